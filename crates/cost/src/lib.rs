//! What a piece costs and what is asked for it: exact in its arithmetic, a range where the blast is one.
//!
//! * [`work`]: what one piece takes: materials, tasks, energy, hours of equipment, and how likely it spoils. A plan
//!   fills it in; nothing here knows a plan.
//! * [`Terms`]: what a shop charges. [`costed`]: one piece at some quantity, line by line.
//! * [`risk`]: the chance of a stop, from a number's range against its limit. [`wear`]: abrasive by its turns.
//! * [`quote`](fn@quote): offers over several quantities, with breaks, rush and tax. [`compare`]: a plan's minutes
//!   against those logged.
//! * [`currency`]: digits of a currency, and amounts as people read them. [`document`]: a quote as JSON and CSV.
//!
//! One formula for all: `each = direct + spoilage + order`, where
//! `direct = blank + materials + labour + energy + equipment + overhead (materials + labour)`,
//! `spoilage = direct p / (1 - p)`, `order = (1 + overhead) order labour / quantity`; then
//! `price = each / (1 - margin) (1 - less) (1 + rush)`, rounded up to the shop's step.

mod actual;
pub mod currency;
pub mod document;
mod offer;
mod price;
pub mod risk;
mod terms;
pub mod wear;
pub mod work;

pub use actual::{Comparison, Difference, Logged, compare};
pub use offer::{Ask, Offer, Quote, QuoteError, quote};
pub use price::{Costed, Kind, Line, costed};
pub use risk::{Cause, Risk};
pub use terms::Terms;
pub use work::{Drive, Energy, Equipment, Gear, Material, MaterialName, Task, TaskKind, Work};
