//! A piece and a shop: what a person writes, checked and made into values.
//!
//! * [`reader`]: TOML into any of our file types, by that type's own JSON Schema. It keeps going and
//!   returns every complaint with its place and mend, not the first one alone.
//! * [`piece_file`], [`shop_file`], [`line_file`], [`safety_file`]: the files as written, versioned; [`schema`] prints their JSON Schema.
//! * [`Piece`], [`Shop`]: the values that a plan is made from. Ids have become rows of
//!   `reference`, texts have become quantities; nothing later looks back at the file.
//!
//! Not here: the artwork itself (a piece names its file, the caller brings the bytes), and whether
//! a piece can be made at all (that is the plan's to judge).

mod body;
mod coupon;
mod line;
pub mod line_file;
pub mod money;
mod piece;
pub mod piece_file;
pub mod reader;
pub mod safety_file;
pub mod schema;
mod shop;
pub mod shop_file;
mod syntax;

pub use body::{Ball, Body};
pub use coupon::{ResistAfter, UnknownState};
pub use line::{ShopBowl, ShopPart, ShopPartKind, ShopPassage, ShopStation};
pub use money::Money;
pub use piece::{Blank, Depth, Finish, Handle, OpenRecipe, Piece, Placing, Select, read_piece, resolve_piece};
pub use piece_file::{Side, Temper};
pub use reader::{Complaint, Complaints};
pub use safety_file::{
    AirFrom, BlastValve, BreathingAir, EdgeFinish, EnclosureKind, Hearing, OtherDust, PlaceKind, PlacePart, Pressures,
    Protection, Shift, Supports,
};
pub use shop::{
    Cabinet, Coupon, Enclosure, Hands, Rates, Shop, ShopCompressor, ShopHose, ShopNozzle, ShopRegulator, StencilMaking,
    StockedAbrasive, StockedResist, read_shop, resolve_shop,
};
pub use shop_file::{CompressorKind, CornerKind};

/// Standard deviation of a gauge that nothing is said of: a caliper's.
pub const CALIPER: quantity::Length = shop_file::caliper();
