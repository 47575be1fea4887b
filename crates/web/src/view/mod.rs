//! What a page shows, in words: made of a plan once, so that templates hold neither choices nor arithmetic. A file for
//! each page.

mod cabinet;
mod calibration;
mod frame;
mod judgement;
mod kept;
mod order;
mod picture;
mod piece;
mod pieces;
mod recipe;
mod runs;
mod safety;
mod setup;
mod shop;
mod stock;

pub(crate) use cabinet::*;
pub(crate) use calibration::*;
pub(crate) use frame::*;
pub(crate) use judgement::*;
pub(crate) use kept::*;
pub(crate) use order::*;
pub(crate) use picture::*;
pub(crate) use piece::*;
pub(crate) use pieces::*;
pub(crate) use recipe::*;
pub(crate) use runs::*;
pub(crate) use safety::*;
pub(crate) use setup::*;
pub(crate) use shop::*;
pub(crate) use stock::*;
