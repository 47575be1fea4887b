//! Flat film for round glass: development of cylinder and cone, gores for a bowl.
//!
//! [`frustum`] unrolls a straight-sided vessel exactly; [`handle`] leaves out where a handle stands;
//! [`gores`] splits a bowl, which cannot be laid flat, and states the strain, [`gore_sheet`] lays them side by side; [`curved`] tells how
//! large a patch a curved side bears; [`front`] what a gun that stands still sees. [`lay`] carries
//! artwork over.

pub mod curved;
pub mod front;
pub mod frustum;
pub mod gore_sheet;
pub mod gores;
pub mod handle;
pub mod lay;

use language::say;
use quantity::OutOfRange;

/// Why a vessel cannot be covered.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum VesselError {
    /// A frustum of no slant.
    #[error("{}", say!("the vessel has no side: height 0 and the same diameter above and below; give its height"))]
    NoSide,
    /// A bowl without depth.
    #[error("{}", say!("the bowl has no depth; give the height from its foot to its rim"))]
    NoDepth,
    /// Too few gores.
    #[error("{}", say!("{count} gores do not cover a bowl; take {least} or more"))]
    TooFewGores {
        /// Asked for.
        count: usize,
        /// Least that can be drawn.
        least: usize,
    },
    /// Artwork above one rim or below the other.
    #[error(
        "{}",
        say!(
            "the artwork reaches from {from_mm:.2} to {to_mm:.2} mm down a side that is {side_mm:.2} mm long; move or \
             shrink it"
        )
    )]
    PastRim {
        /// Its upper end along the side.
        from_mm: f64,
        /// Its lower end.
        to_mm: f64,
        /// Length of the side.
        side_mm: f64,
    },
    /// Artwork that meets itself behind the vessel.
    #[error("{}", say!("the artwork is {turns:.3} turns wide and would lie over itself; make it narrower"))]
    PastSeam {
        /// Its width in turns of the vessel.
        turns: f64,
    },
    /// A size out of its range.
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
}
