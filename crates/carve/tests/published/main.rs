//! Rows of the check-value table of the derivation that belong to carving, each by its source. The tables themselves
//! (7.1 to 7.3, exit speeds, drag) stand beside the code.
//!
//! "Derived": characteristics and concave hull of the carving equation, worked out independently of this code.

mod blast;
mod depth;
mod surface;
