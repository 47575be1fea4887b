//! plan
pub mod finding;
pub mod model;
