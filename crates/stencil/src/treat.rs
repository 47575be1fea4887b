//! A layer made ready for its process: bridges, eased corners, line gain, frames for weeding.

use crate::cut::corner::eased;
use crate::cut::weed::weed_boxes;
use crate::gain::{LineGain, compensated};
use crate::layers::StencilLayer;
use crate::strokes::rectangle;
use artwork::analysis::AnalysisLimits;
use artwork::depth::DepthLayer;
use artwork::grid::Point;
use artwork::region::{Region, Ring};
use artwork::repair::{ChangeKind, IslandRemedy, OpeningRemedy, Remedies, WallRemedy, repair};
use quantity::{Area, Length, known};

/// Bridges to islands that would not hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bridges {
    /// Width of a bridge.
    pub width: Length,
    /// Islands smaller than this get them.
    pub holding: Area,
    /// Bridges for each island, 1 to 4.
    pub count: u8,
}

/// What is done to a layer before it is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Treatment {
    /// Bridges; they are not carved. `None`: islands stay loose and are held by the tape.
    pub bridges: Option<Bridges>,
    /// Corners eased from this far before them; `None` as drawn.
    pub ease: Option<Length>,
    /// What the process does to an edge.
    pub gain: LineGain,
    /// Frames around groups of openings, this far from them; `None`: none.
    pub frames: Option<Length>,
}

impl Treatment {
    /// The layer as it is.
    pub const NONE: Self = Self { bridges: None, ease: None, gain: LineGain::NONE, frames: None };
}

/// A layer made ready.
#[derive(Debug, Clone, PartialEq)]
pub struct Treated {
    /// To be written.
    pub layer: StencilLayer,
    /// Where bridges stand.
    pub bridges: Vec<Point>,
    /// Openings that the line gain takes away wholly: they cannot be had.
    pub lost: usize,
}

/// Makes a layer ready, in this order: bridges, corners, line gain, frames.
#[must_use]
pub fn treated(layer: &StencilLayer, treatment: &Treatment) -> Treated {
    let (mut openings, bridges) = match &treatment.bridges {
        Some(bridges) => bridged(layer, bridges),
        None => (layer.openings.clone(), Vec::new()),
    };
    if let Some(by) = treatment.ease {
        openings = eased(&openings, by);
    }
    let drawn = compensated(&openings, treatment.gain);
    let frames = treatment.frames.map(|clear| weed_boxes(&drawn.openings, clear)).unwrap_or_default();
    let frames = frames.into_iter().map(|frame| Ring(rectangle(frame).points));
    let cuts = layer.cuts.iter().cloned().chain(frames).collect();
    let layer = StencilLayer { openings: drawn.openings, cuts, ..layer.clone() };
    Treated { layer, bridges, lost: drawn.lost }
}

fn bridged(layer: &StencilLayer, bridges: &Bridges) -> (Region, Vec<Point>) {
    let none = known(Length::mm(0.0));
    let limits = AnalysisLimits {
        opening: none,
        wall: none,
        holding: bridges.holding,
        neck: bridges.width,
        corner_degrees: 0.0,
        margin: none,
    };
    let islands = IslandRemedy::Bridge { width: bridges.width, count: bridges.count.clamp(1, 4) };
    let remedies = Remedies { openings: OpeningRemedy::Leave, walls: WallRemedy::Leave, islands };
    // The depth plays no part: one layer has nothing to be sorted against.
    let alone = DepthLayer { name: layer.name.clone(), depth: bridges.width, region: layer.openings.clone() };
    let mended = repair(&[alone], layer.weed_box, &limits, &remedies);
    let places = mended.changes.iter().filter(|change| change.kind == ChangeKind::Bridged).map(|change| change.at);
    let openings = Region::union_of(mended.layers.iter().map(|layer| &layer.region));
    (openings, places.collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layers::Side;
    use artwork::bounds::Bounds;

    fn square(x: f64, y: f64, side: f64) -> Region {
        Region::rectangle(Bounds { min: Point { x, y }, max: Point { x: x + side, y: y + side } })
    }

    /// A square of 20 mm with an island of 2 mm, and a bar.
    fn layer() -> StencilLayer {
        let openings = square(10.0, 10.0, 20.0).subtract(&square(19.0, 19.0, 2.0)).union(&square(50.0, 10.0, 5.0));
        StencilLayer {
            stage: 1,
            stages: 1,
            name: "square".into(),
            side: Side::Front,
            openings,
            marks: Vec::new(),
            cuts: Vec::new(),
            weed_box: Bounds::from_size(70.0, 40.0),
        }
    }

    fn mm(mm: f64) -> Length {
        Length::mm(mm).unwrap()
    }

    #[test]
    fn a_loose_island_is_tied_and_a_frame_stands_around_each_group() {
        let bridges = Bridges { width: mm(1.0), holding: Area::square_mm(9.0).unwrap(), count: 2 };
        let treatment = Treatment { bridges: Some(bridges), frames: Some(mm(2.0)), ..Treatment::NONE };
        let treated = treated(&layer(), &treatment);
        assert!(!treated.bridges.is_empty(), "{treated:?}");
        // Tied, the island is no hole any more.
        assert!(treated.layer.openings.polygons().iter().all(|polygon| polygon.holes.is_empty()));
        assert_eq!(treated.layer.cuts.len(), 2);
        assert_eq!(super::treated(&layer(), &Treatment::NONE).layer, layer());
    }

    #[test]
    fn the_gain_is_taken_off_every_edge() {
        let treatment = Treatment { gain: LineGain::of_mm(0.1), ..Treatment::NONE };
        let area = treated(&layer(), &treatment).layer.openings.area().to_square_mm();
        let want = 19.8 * 19.8 - (2.2 * 2.2) + 4.8 * 4.8;
        // The island's corners come out round.
        assert!((area - want).abs() < 0.05, "{area} {want}");
    }
}
