//! In what order and how a layer's lines are cut.
//!
//! [`order`] shortens the travel between cuts; [`overcut`] closes every line past its beginning;
//! [`weed`] frames groups for weeding; [`tiles`] parts a layer that is wider than the cutter.

pub mod order;
pub mod overcut;
pub mod tiles;
pub mod weed;
