//! A plan into what a page shows. Here words are chosen and sums are made, so that templates need neither.

mod cabinet;
mod findings;
mod judgement;
mod lists;
mod order;
mod piece;
mod recipe;
mod runs;
mod safety;
mod seen;
mod setup;
mod shop;
mod sizing;
mod stock;

pub(crate) use self::safety::{of_checks, safety};
pub(crate) use cabinet::cabinet;
pub(crate) use judgement::{class, offer, recipes};
pub(crate) use order::{order_made, step, waiting};
pub(crate) use piece::{compose, facts, unplanned};
pub(crate) use runs::{drawing, run_row, sentences};
pub(crate) use seen::{Size, drawn, instant, place_words, preview_options, section_drawing, strip_options, thumbnail};
pub(crate) use setup::setup_parts;
pub(crate) use shop::{shop_parts, what_if};
pub(crate) use sizing::sizing_parts;
pub(crate) use stock::{due, stock, untold};
