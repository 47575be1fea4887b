//! Frames around groups of openings, so that the waste comes away in small pieces, and the order of weeding them.

use artwork::bounds::Bounds;
use artwork::grid::Point;
use artwork::region::{Polygon, Region, Ring};
use quantity::{Area, Estimate, Length, Quantity as _, Time};

/// How fast hands weed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeedPace {
    /// For each metre of edge.
    pub per_metre: Time,
    /// For each separate opening.
    pub per_part: Time,
}

/// How much quicker or slower than its pace a weeding goes, 5th and 95th percentile. Judgement: no measurement met;
/// a stopwatch on one's own weeding narrows it.
const SPREAD: (f64, f64) = (0.7, 1.6);

/// A group of openings that is weeded in one go.
#[derive(Debug, Clone, PartialEq)]
pub struct WeedStep {
    /// Its frame.
    pub frame: Bounds,
    /// Its openings, smallest first: lifted last, a small one goes unseen and stays.
    pub parts: Vec<WeedPart>,
    /// Length of all edges.
    pub edge: Length,
    /// Pieces of resist inside its openings that must stay down.
    pub islands: usize,
    /// How long it takes.
    pub time: Estimate<Time>,
}

/// An opening to lift.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeedPart {
    /// A place of it: the middle of the rectangle around it.
    pub at: Point,
    /// How large it is.
    pub area: Area,
}

/// How a layer is weeded.
#[derive(Debug, Clone, PartialEq)]
pub struct WeedPlan {
    /// In order.
    pub steps: Vec<WeedStep>,
    /// All of them.
    pub time: Estimate<Time>,
}

/// Openings of a group at most: what one keeps in mind while lifting. Judgement.
const GROUP_MOST: usize = 12;
/// Height of a row of groups, mm: what a resting hand covers. Judgement.
const ROW_MM: f64 = 60.0;

/// Groups as [`weed_boxes`] frames them, those of many openings halved, in rows from the top, each from left to right,
/// so that the hand lies on resist that is not yet open (common practice, no source; the left-handed turn the sheet
/// round).
#[must_use]
pub fn weed_plan(openings: &Region, clear: Length, pace: WeedPace) -> WeedPlan {
    let frames = weed_boxes(openings, clear);
    let mut framed: Vec<Vec<&Polygon>> = vec![Vec::new(); frames.len()];
    for polygon in openings.polygons() {
        let holds = |frame: &Bounds| polygon.bounds().is_some_and(|around| frame.holds(&around, 1e-9));
        if let Some(group) = frames.iter().position(holds) {
            framed[group].push(polygon);
        }
    }
    let groups = framed.into_iter().flat_map(halved);
    let mut groups: Vec<(Bounds, Vec<&Polygon>)> =
        groups.filter_map(|group| Some((around(&group)?.grown(clear.to_mm()), group))).collect();
    in_rows(&mut groups);
    let steps: Vec<WeedStep> = groups.into_iter().map(|(frame, group)| step(frame, &group, pace)).collect();
    let seconds = steps.iter().map(|step| step.time.mid().to_seconds()).sum();
    WeedPlan { steps, time: spread(seconds) }
}

fn step(frame: Bounds, group: &[&Polygon], pace: WeedPace) -> WeedStep {
    let part = |polygon: &&Polygon| WeedPart {
        at: polygon.bounds().map_or(frame.centre(), |around| around.centre()),
        area: Area::clamped(polygon.area_mm2() * 1e-6),
    };
    let mut parts: Vec<WeedPart> = group.iter().map(part).collect();
    parts.sort_by(|a, b| a.area.to_base().total_cmp(&b.area.to_base()));
    let edge_m: f64 = group.iter().flat_map(|polygon| polygon.rings()).map(Ring::perimeter_mm).sum::<f64>() * 1e-3;
    let seconds = edge_m * pace.per_metre.to_seconds() + parts.len() as f64 * pace.per_part.to_seconds();
    WeedStep {
        frame,
        edge: Length::clamped(edge_m),
        islands: group.iter().map(|polygon| polygon.holes.len()).sum(),
        time: spread(seconds),
        parts,
    }
}

fn spread(seconds: f64) -> Estimate<Time> {
    let [low, mid, high] = [SPREAD.0, 1.0, SPREAD.1].map(|factor| Time::clamped(factor * seconds));
    Estimate::new(low, mid, high).expect("the spread's factors rise")
}

/// Rows from the top by the groups' middles, each from left to right.
fn in_rows(groups: &mut [(Bounds, Vec<&Polygon>)]) {
    let top = groups.iter().map(|(frame, _)| frame.min.y).fold(f64::INFINITY, f64::min);
    let place = |frame: &Bounds| (((frame.centre().y - top) / ROW_MM).floor(), frame.min.x);
    groups.sort_by(|a, b| place(&a.0).partial_cmp(&place(&b.0)).unwrap_or(std::cmp::Ordering::Equal));
}

/// A group in groups of few: halved along its longer side until each is small enough.
fn halved(mut group: Vec<&Polygon>) -> Vec<Vec<&Polygon>> {
    if group.len() <= GROUP_MOST {
        return vec![group];
    }
    let wide = around(&group).is_some_and(|b| b.width_mm() > b.height_mm());
    let along = |polygon: &Polygon| {
        let middle = polygon.bounds().map_or(Point::default(), |b| b.centre());
        if wide { middle.x } else { middle.y }
    };
    group.sort_by(|a, b| along(a).total_cmp(&along(b)));
    let rest = group.split_off(group.len() / 2);
    [halved(group), halved(rest)].concat()
}

fn around(group: &[&Polygon]) -> Option<Bounds> {
    group.iter().filter_map(|polygon| polygon.bounds()).reduce(Bounds::with)
}

/// A frame for each group of openings, `clear` away from them; frames that would touch become one.
///
/// Openings whose own rectangles, grown by `clear`, touch are one group. No frame cuts an opening.
#[must_use]
pub fn weed_boxes(openings: &Region, clear: Length) -> Vec<Bounds> {
    let mut boxes: Vec<Bounds> = openings
        .polygons()
        .iter()
        .filter_map(artwork::region::Polygon::bounds)
        .map(|around| around.grown(clear.to_mm()))
        .collect();
    boxes.sort_by(|a, b| a.min.x.total_cmp(&b.min.x));
    // A box that grew may touch one that was passed already, so until nothing merges.
    loop {
        let before = boxes.len();
        boxes = merged(boxes);
        if boxes.len() == before {
            return boxes;
        }
    }
}

fn merged(boxes: Vec<Bounds>) -> Vec<Bounds> {
    let mut out: Vec<Bounds> = Vec::new();
    for one in boxes {
        match out.iter_mut().find(|other| other.touches(&one)) {
            Some(other) => *other = other.with(one),
            None => out.push(one),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_is_weeded_row_by_row_and_takes_the_pace_of_its_edges_and_parts() {
        let square = |x: f64, y: f64, side: f64| {
            Region::rectangle(Bounds { min: Point { x, y }, max: Point { x: x + side, y: y + side } })
        };
        let ring = square(60.0, 0.0, 20.0).subtract(&square(65.0, 5.0, 10.0));
        let openings =
            Region::union_of(&[square(0.0, 2.0, 10.0), square(12.0, 2.0, 3.0), ring, square(0.0, 60.0, 10.0)]);
        let second = |s: f64| Time::seconds(s).unwrap();
        let pace = WeedPace { per_metre: second(30.0), per_part: second(4.0) };
        let plan = weed_plan(&openings, Length::mm(2.0).unwrap(), pace);
        let corners: Vec<(f64, f64)> = plan.steps.iter().map(|step| (step.frame.min.x, step.frame.min.y)).collect();
        assert_eq!(corners, [(-2.0, 0.0), (58.0, -2.0), (-2.0, 58.0)]);
        // The small square first; the ring's core stays.
        assert!((plan.steps[0].parts[0].area.to_square_mm() - 9.0).abs() < 1e-6 && plan.steps[1].islands == 1);
        // Edges 40 + 12 + 80 + 40 + 40 mm, four parts.
        assert!((plan.time.mid().to_seconds() - (0.212 * 30.0 + 16.0)).abs() < 1e-6);
        assert!(plan.time.low() < plan.time.mid() && plan.time.mid() < plan.time.high());
    }

    #[test]
    fn a_crowd_is_parted_into_groups_that_one_keeps_in_mind() {
        let square = |i: u32| {
            let (x, y) = (5.0 * f64::from(i % 10), 5.0 * f64::from(i / 10));
            Region::rectangle(Bounds { min: Point { x, y }, max: Point { x: x + 3.0, y: y + 3.0 } })
        };
        let openings = Region::union_of(&(0..100).map(square).collect::<Vec<_>>());
        let second = Time::seconds(1.0).unwrap();
        let plan = weed_plan(&openings, Length::mm(2.0).unwrap(), WeedPace { per_metre: second, per_part: second });
        assert!(plan.steps.len() >= 9 && plan.steps.iter().all(|step| step.parts.len() <= GROUP_MOST));
        assert_eq!(plan.steps.iter().map(|step| step.parts.len()).sum::<usize>(), 100);
    }

    #[test]
    fn every_opening_is_in_one_frame_and_frames_do_not_touch() {
        let mut state = 7_u32;
        let mut next = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            f64::from(state >> 8) / f64::from(1 << 24)
        };
        let squares: Vec<Region> = (0..60)
            .map(|_| {
                let min = Point { x: 300.0 * next(), y: 200.0 * next() };
                Region::rectangle(Bounds { min, max: Point { x: min.x + 6.0, y: min.y + 4.0 } })
            })
            .collect();
        let openings = Region::union_of(&squares);
        let boxes = weed_boxes(&openings, Length::mm(2.0).unwrap());
        assert!(boxes.len() > 3 && boxes.len() < 60, "{}", boxes.len());
        for part in openings.polygons() {
            let around = part.bounds().unwrap().grown(1.999);
            assert_eq!(boxes.iter().filter(|b| b.holds(&around, 0.0)).count(), 1);
        }
        for (i, a) in boxes.iter().enumerate() {
            assert!(boxes[i + 1..].iter().all(|b| !a.touches(b)));
        }
    }
}
