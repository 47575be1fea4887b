//! Pictures of a plan, from values to drawings and pixels.
//!
//! * [`scene`]: a drawing as data, in millimetres, coloured by role; [`theme`] gives the roles their
//!   values; [`svg`] writes it.
//! * [`run_strip`]: the run strip, everything that happens to a piece on one time axis.
//! * [`air`]: the air line: pressure ladder, pressure in time, what it can run.
//! * [`marked`]: the artwork as drawn, with depths and the places of findings; thumbnails of stages.
//! * [`faults`]: artwork with the places that break a limit; [`raster`]: any drawing as pixels.
//! * [`rotation`](mod@rotation): a class in time; [`ratios`](mod@ratios): what was logged over what was planned.
//! * [`weed`]: a layer's groups in the order of weeding; [`turned`]: artwork on a vessel.
//! * [`preview`]: the piece as it will look, as pixels.
//! * [`section`]: a cut through the carved piece; [`relief`]: the piece as a solid and as a depth map.
//!
//! Not here: pages, paper and files. A scene goes to the paper crate as it is.

pub mod air;
mod axis;
pub mod faults;
pub mod marked;
pub mod metrics;
mod pen;
pub mod preview;
pub mod raster;
pub mod ratios;
pub mod relief;
pub mod rotation;
pub mod run_strip;
pub mod scene;
pub mod section;
pub mod svg;
pub mod theme;
pub mod turned;
pub mod weed;

#[cfg(test)]
mod looks;

pub use marked::{Drawn, MarkedOptions, marked, stage_thumbnail, state_mark, thumbnail};
pub use preview::{Look, PreviewOptions, preview, preview_png};
pub use run_strip::{StripOptions, run_strip};
pub use scene::Scene;
pub use theme::{Role, Theme};
