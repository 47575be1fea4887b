//! HTML templates: values of `view` into text.

mod cabinet;
mod findings;
mod frame;
mod history;
mod judgement;
mod keep;
mod learn;
mod message;
mod pair;
mod picture;
mod piece;
mod pieces;
mod recipe;
mod reference;
mod safety;
mod script_words;
mod setup;
mod shop;
mod sizing;
mod stages;
mod strip;
mod words;

pub(crate) use self::safety::safety;
pub(crate) use cabinet::cabinet;
pub(crate) use history::history;
pub(crate) use judgement::{class, price, recipes};
pub(crate) use keep::{KeepPage, Told, keep};
pub(crate) use learn::learn;
pub(crate) use message::message;
pub(crate) use pair::{DeviceRow, OpenCode, PairPage, Scan, cabinet_list, enter, pair};
pub(crate) use piece::{faulty, parts, piece};
pub(crate) use pieces::pieces;
pub(crate) use reference::reference;
pub(crate) use setup::{file, setup, setup_parts, shops};
pub(crate) use shop::{shop, shop_parts};
pub(crate) use sizing::{sizing, sizing_parts};
