//! In what order and how a layer's lines are cut.
//!
//! [`order`] shortens the travel between cuts; [`overcut`] closes every line past its beginning, [`corner`] frees or
//! eases corners; [`weed`] frames groups for weeding and says in which order they come off; [`tiles`] parts a layer
//! that is wider than the cutter.

pub mod corner;
pub mod order;
pub mod overcut;
pub mod tiles;
pub mod weed;
