//! Drawings mended where they break a limit, and nowhere else.
//!
//! Each change is listed with its place and what it adds and takes; the layers as they were are kept
//! beside the new ones. The result is measured again by [`analyse`], so what could not be mended,
//! because one mend would undo another, stands in its faults.

mod bands;
mod islands;
mod left;

pub use left::{Left, Why};

use crate::analysis::{Analysis, AnalysisLimits, analyse, hanging, least_scale, narrow, peninsulas};
use crate::bounds::Bounds;
use crate::depth::DepthLayer;
use crate::edges::Edges;
use crate::grid::Point;
use crate::near::Near;
use crate::region::Region;
use crate::ridge::{Of, RidgePoint};
use crate::windows::Windows;
use bands::{Band, bands};
use quantity::{Area, Length, Quantity as _};

/// What is done about an opening that is too narrow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OpeningRemedy {
    /// Leave it.
    Leave,
    /// Widen it to the limit where it is narrower.
    Thicken,
    /// Cover it if all of it is too narrow; else widen it.
    Drop,
}

/// What is done about a wall that is too thin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WallRemedy {
    /// Leave it.
    Leave,
    /// Thicken it to the limit where it is thinner; the openings beside it shrink.
    Thicken,
    /// Open it.
    Drop,
}

/// What is done about a part of the resist that is too small to hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum IslandRemedy {
    /// Leave it.
    Leave,
    /// Tie it to the resist around it.
    Bridge {
        /// Width of a bridge; the limit for necks where that is more, or the island would not hold by it.
        width: Length,
        /// Bridges for each island, 1 to 4, spread around it as far as there are ways.
        count: u8,
    },
    /// Open it.
    Drop,
    /// Enlarge it until it holds.
    Enlarge,
}

/// What is to be done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Remedies {
    /// About narrow openings.
    pub openings: OpeningRemedy,
    /// About thin walls, and about the necks of peninsulas that are too small to hold.
    pub walls: WallRemedy,
    /// About islands that are too small to hold.
    pub islands: IslandRemedy,
}

/// What was done at a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum ChangeKind {
    /// An opening was widened.
    OpeningThickened,
    /// An opening was covered.
    OpeningDropped,
    /// A wall was thickened.
    WallThickened,
    /// A wall was opened.
    WallDropped,
    /// A bridge was left standing.
    Bridged,
    /// An island was opened.
    IslandDropped,
    /// An island was enlarged.
    IslandEnlarged,
}

/// One change.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// What was done.
    pub kind: ChangeKind,
    /// Where.
    pub at: Point,
    /// What it opens; empty for a change that covers.
    pub opened: Region,
    /// What it covers; empty for a change that opens.
    pub covered: Region,
    /// What to show of the drawing, as the viewBox of a small picture.
    pub view: Bounds,
    /// What is opened or covered, and the ground beside that is so already: joined to that, or cut out with that, no
    /// hairline stays between.
    ground: Region,
}

impl Change {
    /// Area that it opens and covers, together.
    #[must_use]
    pub fn area(&self) -> Area {
        Area::clamped(self.opened.area().to_base() + self.covered.area().to_base())
    }

    /// The rectangle around it, and so much more.
    fn around(&self, more_mm: f64) -> Option<Bounds> {
        let parts = [self.opened.bounds(), self.covered.bounds()];
        Some(parts.into_iter().flatten().reduce(Bounds::with)?.grown(more_mm))
    }
}

/// A drawing mended.
#[derive(Debug, Clone, PartialEq)]
pub struct Repaired {
    /// As it was: to undo.
    pub before: Vec<DepthLayer>,
    /// As it is now; layers do not overlap.
    pub layers: Vec<DepthLayer>,
    /// What was done, in the order in which it was.
    pub changes: Vec<Change>,
    /// The new drawing measured.
    pub analysis: Analysis,
    /// The new drawing's faults of those kinds that a remedy could have been for, worst first.
    pub left: Vec<Left>,
    /// The smallest scale at which the *old* drawing would hold without any of this; `None` when nothing is open.
    pub least_scale: Option<f64>,
}

/// Rounds of mending: one mend may make the next place too narrow. After the first only stretches of line are mended,
/// for a cut leaves small corners that a further cut would only move.
const ROUNDS: usize = 3;

/// Mends layers on a blank.
///
/// Where an opening is widened, the ground goes to the layer that it widens. In each round islands come
/// first, then walls, then openings: so where wall and opening cannot both have their width, the opening has it and the
/// wall stands in the analysis as a fault.
#[must_use]
pub fn repair(layers: &[DepthLayer], blank: Bounds, limits: &AnalysisLimits, remedies: &Remedies) -> Repaired {
    let before = layers.to_vec();
    let old = opened(&before);
    let ((layers, changes), least_scale) = rayon::join(
        || mended(layers.to_vec(), blank, limits, remedies),
        || least_scale(&analyse(&old, blank, limits), &old, blank, limits),
    );
    let analysis = analyse(&opened(&layers), blank, limits);
    let left = left::left(&analysis, &changes, limits, remedies);
    Repaired { before, layers, changes, analysis, left, least_scale }
}

/// Rounds of mending until nothing more is to be done.
fn mended(
    mut layers: Vec<DepthLayer>,
    blank: Bounds,
    limits: &AnalysisLimits,
    remedies: &Remedies,
) -> (Vec<DepthLayer>, Vec<Change>) {
    let mut changes: Vec<Change> = Vec::new();
    let mut within: Option<Windows> = None;
    for round in 0..ROUNDS {
        let had = changes.len();
        for step in [island_changes, wall_changes, opening_changes] {
            let open = &opened(&layers);
            let made = step(&Job { open, blank, limits, remedies, touches: round == 0, within: within.as_ref() });
            layers = applied(&layers, &made);
            changes.extend(made);
        }
        // What a change makes too narrow lies beside it.
        let reach = limits.opening.to_mm().max(limits.wall.to_mm()).max(limits.neck.to_mm());
        within = Windows::new(changes[had..].iter().filter_map(|change| change.around(reach)).collect());
        if within.is_none() {
            break;
        }
    }
    (layers, changes)
}

/// All that is open, without the hairlines that rounding leaves between layers.
fn opened(layers: &[DepthLayer]) -> Region {
    let all = match layers {
        // Clean as it is.
        [one] => one.region.clone(),
        _ => Region::union_of(layers.iter().map(|layer| &layer.region)),
    };
    all.without_slivers()
}

/// What a step of mending looks at.
struct Job<'a> {
    open: &'a Region,
    blank: Bounds,
    limits: &'a AnalysisLimits,
    remedies: &'a Remedies,
    /// Whether touches of two corners and necks are mended too.
    touches: bool,
    /// Where to look: all over at first, then where the round before changed something.
    within: Option<&'a Windows>,
}

fn island_changes(job: &Job<'_>) -> Vec<Change> {
    islands::changes(job)
}

fn wall_changes(job: &Job<'_>) -> Vec<Change> {
    let Job { open, blank, limits, remedies, .. } = *job;
    if remedies.walls == WallRemedy::Leave {
        return Vec::new();
    }
    let near = Near::new(open);
    let resist = |at: Point| !near.contains(at);
    let mut found = bands(&narrow(open, blank, Of::Walls, limits.wall, job.within), limits.wall, resist, job.touches);
    if remedies.walls == WallRemedy::Thicken && job.touches {
        let necks = necks(job);
        found.extend(bands(&necks, limits.neck, resist, job.touches));
    }
    match remedies.walls {
        WallRemedy::Drop => changes_of(found, &near, blank, |band, open| {
            (ChangeKind::WallDropped, band.region.subtract(open), Region::default())
        }),
        _ => changes_of(found, &near, blank, |band, open| {
            (ChangeKind::WallThickened, Region::default(), band.region.intersect(open))
        }),
    }
}

/// The necks of peninsulas that are too small to hold.
fn necks(job: &Job<'_>) -> Vec<RidgePoint> {
    let Job { open, blank, limits, within, .. } = *job;
    let weak: Vec<Bounds> = peninsulas(open, blank, hanging(limits), within)
        .iter()
        .filter_map(|peninsula| Some(peninsula.region.bounds()?.grown(limits.neck.to_mm())))
        .collect();
    let Some(beside) = Windows::new(weak) else { return Vec::new() };
    narrow(open, blank, Of::Walls, limits.neck, Some(&beside))
}

fn opening_changes(job: &Job<'_>) -> Vec<Change> {
    match job.remedies.openings {
        OpeningRemedy::Leave => Vec::new(),
        OpeningRemedy::Thicken => thickened(job),
        OpeningRemedy::Drop => {
            let dropped = too_narrow(job.open, job.limits);
            if dropped.is_empty() { thickened(job) } else { dropped }
        }
    }
}

fn thickened(job: &Job<'_>) -> Vec<Change> {
    let limit = job.limits.opening;
    let near = Near::new(job.open);
    let points = narrow(job.open, job.blank, Of::Openings, limit, job.within);
    let found = bands(&points, limit, |at| near.contains(at), job.touches);
    changes_of(found, &near, job.blank, |band, open| {
        (ChangeKind::OpeningThickened, band.region.subtract(open), Region::default())
    })
}

/// Openings that are nowhere as wide as the limit.
fn too_narrow(open: &Region, limits: &AnalysisLimits) -> Vec<Change> {
    let half = 0.499 * limits.opening.to_mm();
    let narrow = |part: &Region| part.inset(half, 1e-3, crate::region::Rounding::Grow).is_empty();
    let small = open.parts().filter(narrow);
    let change = |part: Region| {
        let around = part.bounds()?;
        Some(Change {
            kind: ChangeKind::OpeningDropped,
            at: around.centre(),
            opened: Region::default(),
            ground: part.clone(),
            covered: part,
            view: around.grown(4.0),
        })
    };
    small.filter_map(change).collect()
}

/// Each band against the part of the drawing beside it.
fn changes_of(
    bands: Vec<Band>,
    near: &Near<'_>,
    blank: Bounds,
    change: impl Fn(&Band, &Region) -> (ChangeKind, Region, Region) + Sync,
) -> Vec<Change> {
    use rayon::prelude::*;
    let made = bands.into_par_iter().filter_map(|band| {
        let around = band.region.bounds()?;
        let (kind, opened, covered) = change(&band, &near.part(&around));
        // Less than this is rounding: the place was at its limit already.
        let worth = opened.area().to_square_mm() + covered.area().to_square_mm() > 1e-4;
        let grown = around.grown(4.0);
        let view = Bounds {
            min: Point { x: grown.min.x.max(blank.min.x), y: grown.min.y.max(blank.min.y) },
            max: Point { x: grown.max.x.min(blank.max.x), y: grown.max.y.min(blank.max.y) },
        };
        worth.then_some(Change { kind, at: band.at, opened, covered, view, ground: band.region })
    });
    made.collect()
}

/// Layers with changes made: what is opened goes to the layer beside it, what is covered is taken from all.
fn applied(layers: &[DepthLayer], changes: &[Change]) -> Vec<DepthLayer> {
    if changes.is_empty() {
        return layers.to_vec();
    }
    let covers = |change: &&Change| !change.covered.is_empty();
    let covered = Region::union_of(changes.iter().filter(covers).map(|change| &change.ground));
    let owners = owners(layers, changes);
    let mut made: Vec<DepthLayer> = Vec::with_capacity(layers.len());
    for (index, layer) in layers.iter().enumerate() {
        let opens = changes.iter().zip(&owners).filter(|(change, owner)| **owner == index && !change.opened.is_empty());
        let gained = opens.map(|(change, _)| &change.ground);
        let gained = Region::union_of(gained);
        if gained.is_empty() && covered.is_empty() {
            made.push(layer.clone());
            continue;
        }
        // Two changes may open the same ground: the first layer has it. What is another layer's stays so.
        let others = made.iter().chain(&layers[index + 1..]).map(|other| &other.region);
        let gained = gained.subtract(&Region::union_of(others));
        made.push(DepthLayer { region: layer.region.union(&gained).subtract(&covered), ..layer.clone() });
    }
    made
}

/// For each change the layer that lies nearest to what it opens.
fn owners(layers: &[DepthLayer], changes: &[Change]) -> Vec<usize> {
    if layers.len() < 2 {
        return vec![0; changes.len()];
    }
    let edges: Vec<Edges> = layers.iter().map(|layer| Edges::new(&layer.region, None, 0.5)).collect();
    let owner = |change: &Change| {
        let Some(point) = change.opened.rings().next().and_then(|ring| ring.0.first()) else { return 0 };
        let away = |edges: &Edges| {
            let reached =
                [0.1, 0.5, 2.0, 10.0].into_iter().find_map(|reach| crate::analysis::nearest_ring(edges, *point, reach));
            reached.map_or(f64::INFINITY, |(distance, ..)| distance)
        };
        let nearest = edges.iter().map(away).enumerate().min_by(|a, b| a.1.total_cmp(&b.1));
        nearest.map_or(0, |(index, _)| index)
    };
    changes.iter().map(owner).collect()
}

#[cfg(test)]
mod tests;
