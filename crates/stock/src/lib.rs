//! What a shop has left: stock that pieces draw down, and nozzles that wear.
//!
//! Nothing here is a number that is overwritten. A shop keeps a *ledger*: it bought, it counted, a run drew. What is
//! left is worked out from all of it, and a mistake is undone by an entry that takes another back.
//!
//! * [`Item`]: something that is used up, and the name by which a ledger knows it.
//! * [`Movement`], [`standing`]: the ledger in the order in which things happened, without what was taken back.
//! * [`level`](fn@level): what is left of an item, as a range. [`lasts_for`]: how many pieces that is.
//! * [`wear`]: hours of a nozzle against the life that such nozzles have, and the bore that it may have by now.
//! * [`Entry`]: an entry as it is stored, and how it is read.
//!
//! Not here: what one piece draws, which its plan says; clocks and files.

mod entry;
mod item;
mod ledger;
mod level;
pub mod wear;

pub use entry::{Entry, EntryFault, Verb, nozzle_movements, stock_movements};
pub use item::{Item, Measure};
pub use ledger::{Movement, standing};
pub use level::{Act, Level, Suffices, lasts_for, level, suffices};
