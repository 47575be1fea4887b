//! The run strip: everything that happens to a piece, stacked on one time axis.
//!
//! From the top: stages, what hands do, depth of each layer (down is into the blank), pressure in the
//! receiver and at the nozzle, what is left of the resist, dust, and when the door may be opened.
//! Nothing is told by colour alone: blocks differ by hatching and by words or letters, lines by dashes
//! and labels.

mod hands;
mod lanes;
mod page;
mod reading;
#[cfg(test)]
pub(crate) mod sample;

pub use crate::axis::TimeAxis;
use language::say;
pub use reading::{Reading, read_at};

use crate::scene::Scene;
use page::Page;
use plan::words::act as word;
use plan::{Act, RunStrip};
use quantity::{Quantity as _, Time, UnitSystem, show::clock};

/// How a run strip is drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct StripOptions {
    /// Width of the whole drawing, 100 mm or more. On a page take 1 mm for 3.78 px.
    pub width_mm: f64,
    /// Size of the words, 2 mm to 6 mm. Everything else grows with it.
    pub text_mm: f64,
    /// Height of the whole drawing. It is met by making the lanes lower or taller, as far as they
    /// can still be read; `None` takes what is enough to read from.
    pub height_mm: Option<f64>,
    /// Units that the reader reads.
    pub units: UnitSystem,
    /// An instant to mark as 'now'.
    pub now: Option<Time>,
}

impl Default for StripOptions {
    fn default() -> Self {
        Self { width_mm: 180.0, text_mm: 2.7, height_mm: None, units: UnitSystem::Metric, now: None }
    }
}

impl StripOptions {
    /// The same, with every number drawn into its range.
    fn in_range(&self) -> Self {
        Self { width_mm: self.width_mm.clamp(100.0, 2000.0), text_mm: self.text_mm.clamp(2.0, 6.0), ..*self }
    }
}

/// Draws a run strip.
#[must_use]
pub fn run_strip(strip: &RunStrip, options: &StripOptions) -> Scene {
    let mut page = Page::new(strip, options.in_range());
    page.background();
    page.time_ticks();
    page.stages();
    page.hands();
    page.depth();
    page.air();
    page.resist();
    page.dust();
    page.door();
    page.now();
    page.key();
    page.into_scene(title(strip), description(strip))
}

/// Where the strip's time axis lies in the drawing of [`run_strip`] with the same options.
#[must_use]
pub fn time_axis(strip: &RunStrip, options: &StripOptions) -> TimeAxis {
    page::axis(strip, &options.in_range())
}

fn title(strip: &RunStrip) -> String {
    say!("Run strip, {} from start to end", clock(strip.length))
}

fn description(strip: &RunStrip) -> String {
    let total = |act: Act| {
        let blocks = strip.hands.iter().filter(|block| block.act == act);
        let (count, seconds) = blocks.fold((0, 0.0), |(count, seconds), block| (count + 1, seconds + span_s(block)));
        (count > 0).then(|| say!("{} {}×, {} in all", word(act), count, clock(Time::clamped(seconds))))
    };
    let acts = [Act::Prepare, Act::Refill, Act::Weed, Act::Blast, Act::Rest, Act::Clear, Act::Finish];
    acts.into_iter().filter_map(total).collect::<Vec<_>>().join("; ") + "."
}

fn span_s(block: &plan::HandBlock) -> f64 {
    block.to.to_seconds() - block.from.to_seconds()
}
