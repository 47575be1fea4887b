//! The server and its pages, for this computer, and for devices that were paired with it. No physics here.
//!
//! A request goes one way: `guard` lets it through; `routes` reads what it sent; `form`
//! lays the values over the stored piece; `planner` asks the crate `plan`, and keeps the last few
//! answers; `compose` turns a plan into words (`view`); `pages` writes them as HTML. `files` makes
//! what is downloaded, `assets` serves style, script and fonts. `pieces_routes` keeps the list and begins a piece with
//! a `draft`; `setup` asks a shop about itself; `try_routes` answers while a hand moves; `kept_routes` shows files and
//! revisions. `cabinet_routes` serves the tablet; `learn_routes` makes coupons of its logs, `calibration_routes` shows and takes them. `keep_routes` hands out and
//! takes back everything; `pairing` lets other devices in; `api` is the same server for programs, and takes the
//! tablet's logs. `ledger` draws stock and wear from those; `stock_routes` shows what is left, `runs_routes` what was
//! planned beside what was logged. `order_routes` asks for many names as one order, which `orders` makes. What forms
//! and API both do stands once: `entering` keeps entries of a ledger, `order_wish` begins an order.
//!
//! Without script every page works by submitting its forms; with it, a change of the recipe is planned
//! at once and the page is brought to the answer.

mod api;
mod app;
mod assets;
mod cabinet_routes;
mod calibration_routes;
mod compose;
mod draft;
mod entering;
mod error;
mod files;
#[cfg(test)]
mod fixture;
mod form;
mod guard;
mod judgement_routes;
mod keep_routes;
mod kept_routes;
mod learn_routes;
mod ledger;
mod order_routes;
mod order_wish;
mod orders;
mod pages;
mod pairing;
mod pieces_routes;
mod planner;
mod recent;
mod routes;
mod run_log;
mod runs_routes;
mod safety_routes;
mod setup;
mod shop_form;
mod shop_routes;
mod sizing_routes;
mod spoken;
mod stock_routes;
#[cfg(test)]
mod tests;
mod try_routes;
mod upload;
mod view;

pub use app::{App, Doors, router, serve, serve_at};
pub use error::WebError;
pub use keep_routes::{ArchiveFault, look_at, said};
pub use planner::Unreadable;
