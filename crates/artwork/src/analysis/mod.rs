//! What a drawing on a blank is like, and where it breaks a limit.
//!
//! Everything is measured on the outlines of what is opened. Which limits matter is the caller's to say:
//! this crate knows no resist. Every number that breaks one is a [`Fault`]; they are listed worst first.

mod corners;
mod peninsulas;

pub use corners::{Corner, Side};
pub use peninsulas::Peninsula;
pub(crate) use peninsulas::{Hanging, peninsulas};

use crate::bounds::Bounds;
use crate::edges::Edges;
use crate::grid::Point;
use crate::region::Region;
use crate::ridge::{Of, RidgePoint, ridge_within};
use crate::width::{Island, Spot, WidthLimits, widths_within};
use crate::windows::Windows;
use quantity::{Area, Length, Quantity as _};

/// What a drawing is held to. A limit of zero is none.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AnalysisLimits {
    /// Narrowest opening.
    pub opening: Length,
    /// Narrowest wall of resist.
    pub wall: Length,
    /// Smallest part of the resist that holds by its own area, with nothing or only a neck to help it.
    pub holding: Area,
    /// Narrowest neck that holds what hangs on it.
    pub neck: Length,
    /// Sharpest corner, in degrees, of openings and of resist.
    pub corner_degrees: f64,
    /// Least distance between an opening and the blank's edge.
    pub margin: Length,
}

/// What a drawing on a blank is like.
#[derive(Debug, Clone, PartialEq)]
pub struct Analysis {
    /// Area opened.
    pub opened: Area,
    /// Area that the resist covers, on the blank.
    pub covered: Area,
    /// Length of all outlines, in millimetres.
    pub perimeter_mm: f64,
    /// Separate openings.
    pub parts: usize,
    /// Points on all outlines.
    pub points: usize,
    /// The narrowest opening, tips aside; `None` when nothing is open.
    pub min_opening: Option<Spot>,
    /// The narrowest wall, tips aside.
    pub min_wall: Option<Spot>,
    /// Parts of the resist with openings all around, smallest first.
    pub islands: Vec<Island>,
    /// Parts of the resist too small to hold that hang on necks below the limit only, smallest first.
    pub peninsulas: Vec<Peninsula>,
    /// Corners sharper than the limit, sharpest first.
    pub corners: Vec<Corner>,
    /// Openings nearer to the blank's edge than the limit, nearest first.
    pub at_edge: Vec<AtEdge>,
    /// What breaks a limit, worst first.
    pub faults: Vec<Fault>,
}

/// An opening near the blank's edge, or across it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtEdge {
    /// The place nearest to the edge.
    pub at: Point,
    /// How far from it; zero when it meets the edge or lies beyond.
    pub distance: Length,
}

/// Which limit is broken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum FaultKind {
    /// A wall of resist narrower than the limit.
    ThinWall,
    /// An opening narrower than the limit.
    ThinOpening,
    /// An island too small to hold.
    SmallIsland,
    /// A part of the resist on a narrow neck, too small to hold.
    WeakPeninsula,
    /// An opening too near to the blank's edge.
    NearEdge,
    /// A corner sharper than the limit.
    AcuteCorner,
}

/// A number with its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Measure {
    /// A width or a distance.
    Length(Length),
    /// An area.
    Area(Area),
    /// An angle in degrees.
    Degrees(f64),
}

/// A place where a limit is broken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fault {
    /// Which limit.
    pub kind: FaultKind,
    /// Where it is worst.
    pub at: Point,
    /// What it measures there.
    pub value: Measure,
    /// What it should at least.
    pub limit: Measure,
    /// How far along the line it is so; zero for a place.
    pub length: Length,
    /// What to show of the drawing: a square around the place, as the viewBox of a small picture.
    pub view: Bounds,
}

impl Fault {
    /// Value over limit, below 1: the smaller, the worse.
    #[must_use]
    pub fn share(&self) -> f64 {
        match (self.value, self.limit) {
            (Measure::Length(value), Measure::Length(limit)) => value.to_mm() / limit.to_mm(),
            (Measure::Area(value), Measure::Area(limit)) => value.to_square_mm() / limit.to_square_mm(),
            (Measure::Degrees(value), Measure::Degrees(limit)) => value / limit,
            _ => 1.0,
        }
    }

    /// How many times larger the drawing must be for this to hold; `None` when size does not change it.
    #[must_use]
    pub fn scale(&self) -> Option<f64> {
        match (self.value, self.kind) {
            (_, FaultKind::NearEdge | FaultKind::AcuteCorner) => None,
            (Measure::Area(_), _) => Some((1.0 / self.share()).sqrt()),
            _ => Some(1.0 / self.share()),
        }
    }
}

/// Measures a drawing on a blank and lists what breaks a limit.
///
/// Accuracy: widths as [`crate::width::widths`]; areas and lengths exact for the polygons; a peninsula's
/// area is that of the part that a disc of half a neck reaches: sharp corners rounded off, a little of its stalk kept.
#[must_use]
pub fn analyse(region: &Region, blank: Bounds, limits: &AnalysisLimits) -> Analysis {
    analyse_within(region, blank, limits, None)
}

/// As [`analyse`]; widths and peninsulas within windows only, if any are given.
pub(crate) fn analyse_within(
    region: &Region,
    blank: Bounds,
    limits: &AnalysisLimits,
    within: Option<&Windows>,
) -> Analysis {
    let narrow = WidthLimits { opening: limits.opening, wall: limits.wall };
    let ((widths, corners), (peninsulas, at_edge)) = rayon::join(
        || {
            let widths = || widths_within(region, blank, narrow, within);
            rayon::join(widths, || corners::corners(region, limits.corner_degrees))
        },
        || (peninsulas(region, blank, hanging(limits), within), at_edge(region, blank, limits.margin)),
    );
    let covered = Region::rectangle(blank).area().to_square_mm() - region.area().to_square_mm();
    let mut found = Analysis {
        opened: region.area(),
        covered: quantity::Quantity::clamped(covered.max(0.0) * 1e-6),
        perimeter_mm: region.perimeter_mm(),
        parts: widths.parts,
        points: region.vertex_count(),
        min_opening: widths.narrowest_opening,
        min_wall: widths.narrowest_wall,
        islands: widths.islands,
        peninsulas,
        corners,
        at_edge,
        faults: Vec::new(),
    };
    found.faults = faults(&found, [&widths.thin_openings, &widths.thin_walls], blank, limits);
    found
}

fn faults(found: &Analysis, thin: [&[Spot]; 2], blank: Bounds, limits: &AnalysisLimits) -> Vec<Fault> {
    let none: Length = quantity::Quantity::clamped(0.0);
    let [openings, walls] = thin;
    let fault = |kind, at, value, limit, length| Fault { kind, at, value, limit, length, view: view(at, limit, blank) };
    let spot = |kind, limit: Length| {
        move |spot: &Spot| fault(kind, spot.at, Measure::Length(spot.width), Measure::Length(limit), spot.length)
    };
    let holding = Measure::Area(limits.holding);
    let small = |area: Area| area.to_square_mm() < limits.holding.to_square_mm();
    let mut faults: Vec<Fault> = Vec::new();
    faults.extend(openings.iter().map(spot(FaultKind::ThinOpening, limits.opening)));
    faults.extend(walls.iter().map(spot(FaultKind::ThinWall, limits.wall)));
    let islands = found.islands.iter().filter(|island| small(island.area));
    faults.extend(islands.map(|i| fault(FaultKind::SmallIsland, i.at, Measure::Area(i.area), holding, none)));
    let weak = found.peninsulas.iter().filter(|peninsula| small(peninsula.area));
    faults.extend(weak.map(|p| fault(FaultKind::WeakPeninsula, p.at, Measure::Area(p.area), holding, none)));
    let sharpest = Measure::Degrees(limits.corner_degrees);
    let corners = found.corners.iter();
    faults.extend(corners.map(|c| fault(FaultKind::AcuteCorner, c.at, Measure::Degrees(c.degrees), sharpest, none)));
    let margin = Measure::Length(limits.margin);
    let near = found.at_edge.iter();
    faults.extend(near.map(|e| fault(FaultKind::NearEdge, e.at, Measure::Length(e.distance), margin, none)));
    // A width measured is never quite the width drawn: what is right at the limit is no fault.
    faults.retain(|fault| fault.share() < 1.0 - 1e-3);
    faults.sort_by(|a, b| a.share().total_cmp(&b.share()).then(a.kind.cmp(&b.kind)));
    faults
}

/// A square around a place, several limits wide, within the blank where it can be.
fn view(at: Point, limit: Measure, blank: Bounds) -> Bounds {
    let size = match limit {
        Measure::Length(limit) => 12.0 * limit.to_mm(),
        Measure::Area(limit) => 4.0 * limit.to_square_mm().sqrt(),
        Measure::Degrees(_) => 0.0,
    };
    let half = 0.5 * size.clamp(8.0, 60.0);
    let within =
        |x: f64, low: f64, high: f64| if high - low > 2.0 * half { x.clamp(low + half, high - half) } else { x };
    let (x, y) = (within(at.x, blank.min.x, blank.max.x), within(at.y, blank.min.y, blank.max.y));
    Bounds { min: Point { x: x - half, y: y - half }, max: Point { x: x + half, y: y + half } }
}

fn at_edge(region: &Region, blank: Bounds, margin: Length) -> Vec<AtEdge> {
    let inside = |p: &Point| {
        [p.x - blank.min.x, p.y - blank.min.y, blank.max.x - p.x, blank.max.y - p.y]
            .into_iter()
            .fold(f64::INFINITY, f64::min)
    };
    let mut found: Vec<(f64, Point)> = region
        .polygons()
        .iter()
        .filter_map(|polygon| polygon.outer.0.iter().map(|p| (inside(p), *p)).min_by(|a, b| a.0.total_cmp(&b.0)))
        .filter(|(distance, _)| *distance < margin.to_mm())
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    let near =
        |(distance, at): (f64, Point)| AtEdge { at, distance: quantity::Quantity::clamped(distance.max(0.0) * 1e-3) };
    found.into_iter().map(near).collect()
}

/// The smallest scale, 1 as drawn, of an analysed drawing at which every width and every island holds, the blank growing with the
/// drawing; `None` when nothing is open. Corners and the distance to the blank's edge are not counted.
///
/// Widths grow with the scale and areas with its square, so it follows from the narrowest and the smallest.
/// Necks below the limit become fewer: the drawing is measured again at the scale that the widths ask for,
/// and what then still hangs on a neck is counted.
#[must_use]
pub fn least_scale(found: &Analysis, region: &Region, blank: Bounds, limits: &AnalysisLimits) -> Option<f64> {
    let by_width = |spot: Option<Spot>, limit: Length| spot.map_or(0.0, |spot| limit.to_mm() / spot.width.to_mm());
    let by_area =
        |area: Option<Area>| area.map_or(0.0, |area| (limits.holding.to_square_mm() / area.to_square_mm()).sqrt());
    found.min_opening?;
    let widths = by_width(found.min_opening, limits.opening).max(by_width(found.min_wall, limits.wall));
    let scale = widths.max(by_area(found.islands.first().map(|island| island.area)));
    if scale <= 0.0 || !scale.is_finite() {
        return Some(scale);
    }
    // A drawing at a scale against its limits is the drawing as it is against limits so much smaller.
    let neck = Length::clamped(limits.neck.to_base() / scale);
    let holding = Area::clamped(limits.holding.to_base() / (scale * scale));
    let again = peninsulas(region, blank, Hanging { neck, holding }, None);
    let smallest = again.first().map(|peninsula| Area::clamped(peninsula.area.to_base() * scale * scale));
    Some(scale * by_area(smallest).max(1.0))
}

pub(crate) const fn hanging(limits: &AnalysisLimits) -> Hanging {
    Hanging { neck: limits.neck, holding: limits.holding }
}

/// Middle lines of narrow walls or openings that are no tips.
pub(crate) fn narrow(
    region: &Region,
    blank: Bounds,
    of: Of,
    limit: Length,
    within: Option<&Windows>,
) -> Vec<RidgePoint> {
    if limit.to_mm() <= 0.0 {
        return Vec::new();
    }
    ridge_within(region, blank, of, limit, within).into_iter().filter(|point| !point.tip).collect()
}

/// The ring whose edge is nearest to a point, if one is within reach.
pub(crate) fn nearest_ring(edges: &Edges, p: Point, reach: f64) -> Option<(f64, u32, Point)> {
    let mut best: Option<(f64, u32, Point)> = None;
    edges.near(p, reach, |_, edge| {
        let q = edge.nearest(p);
        let distance = (q.x - p.x).hypot(q.y - p.y);
        if let Some(ring) = edge.ring
            && distance <= reach
            && best.is_none_or(|(least, ..)| distance < least)
        {
            best = Some((distance, ring, q));
        }
    });
    best
}

#[cfg(test)]
mod tests;
