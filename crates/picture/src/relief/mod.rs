//! The carved piece as a solid and as a depth map, for other programs.
//!
//! * [`mesh`]: a closed solid of triangles; [`stl`] and [`glb`] write it.
//! * [`png16`]: depth in 16 bits a pixel, its scale written beside it; [`map`]: the same for a screen.
//!
//! A solid stands with its carved face up, in millimetres: x to the right and y away as the carver sees that face,
//! z from the flat back up. A piece that is carved from the back is therefore turned round: its x runs against the
//! artwork's. A depth map stays as the artwork lies. A tumbler is its wall, bent round, without the floor; its depth map
//! is the sheet, unrolled.

use language::say;

pub mod glb;
pub mod map;
pub mod mesh;
pub mod png16;
pub mod stl;

mod bisection;
mod lines;
mod wall;

/// A relief that cannot be written.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum ReliefError {
    /// There is no cell, or the blank has no size.
    #[error("{}", say!("the relief has no cells; give a blank and artwork of some size"))]
    NoCells,
    /// Ground that lies behind the back.
    #[error(
        "{}",
        say!(
            "the relief is {depth_mm:.2} mm deep in a blank of {thickness_mm:.2} mm; give less depth or a thicker \
             blank"
        )
    )]
    Through {
        /// The deepest cell.
        depth_mm: f64,
        /// The blank.
        thickness_mm: f64,
    },
    /// A tumbler without room inside.
    #[error(
        "{}",
        say!(
            "the wall of {wall_mm:.2} mm fills a tumbler of {radius_mm:.2} mm radius; give its wall's thickness"
        )
    )]
    Solid {
        /// Of the outer face.
        radius_mm: f64,
        /// The blank's thickness.
        wall_mm: f64,
    },
    /// The picture's writer.
    #[error("{}", say!("depth map: {0}", _0))]
    Png(#[from] png::EncodingError),
    /// More than a file of this kind holds.
    #[error(
        "{}",
        say!(
            "the solid has more than {most} bytes, which is what a file of this kind holds; allow fewer triangles"
        )
    )]
    TooLarge {
        /// Bytes that fit.
        most: u64,
    },
}
