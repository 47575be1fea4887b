//! The order of cuts that shortens the way between them.

use crate::strokes::{Stroke, apart};
use artwork::bounds::Bounds;
use artwork::grid::Point;

/// Strokes in the order of cutting, and the ways between them.
#[derive(Debug, Clone, PartialEq)]
pub struct Ordered {
    /// Closed strokes begin where the tool arrives; open ones may be turned round.
    pub strokes: Vec<Stroke>,
    /// Travel with the tool up from `home` through all of them, mm.
    pub travel_mm: f64,
    /// The same in the order given, each begun at its first corner.
    pub travel_before_mm: f64,
    /// No order travels less: the minimum spanning tree over `home` and the strokes, each pair as far apart as
    /// its nearest corners.
    pub travel_least_mm: f64,
}

impl Ordered {
    /// Travel over the lower bound, 1 or more; the best order's own is unknown between the two.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        if self.travel_least_mm > 0.0 { self.travel_mm / self.travel_least_mm } else { 1.0 }
    }
}

/// Rounds of changing the order and then where each stroke begins.
const ROUNDS: usize = 4;
/// Sweeps of 2-opt and moves in a round. Each costs the square of the number of strokes.
const SWEEPS: usize = 12;

/// Orders strokes from `home`: nearest neighbour, then 2-opt and moving single strokes, beginnings chosen
/// anew in between.
///
/// A closed stroke inside another is cut before it (common practice, no source: what is cut out no longer holds
/// what lies in it). For up to some thousand strokes: time grows with their number's square.
#[must_use]
pub fn order(strokes: &[Stroke], home: Point) -> Ordered {
    let strokes: Vec<&Stroke> = strokes.iter().filter(|stroke| !stroke.points.is_empty()).collect();
    let mut tour = nearest_neighbour(&strokes, &parents(&strokes), home);
    for _ in 0..ROUNDS {
        let before = tour.travel();
        tour.shorten();
        tour.begin_anew();
        if tour.travel() > before - 1e-9 {
            break;
        }
    }
    let given = Tour { order: (0..strokes.len()).collect(), begin: vec![0; strokes.len()], ..tour.clone() };
    Ordered {
        strokes: tour.order.iter().map(|&i| begun(strokes[i], tour.begin[i])).collect(),
        travel_mm: tour.travel(),
        travel_before_mm: given.travel(),
        travel_least_mm: spanning_tree(&strokes, home),
    }
}

/// The smallest closed stroke around each, if any.
fn parents(strokes: &[&Stroke]) -> Vec<Option<usize>> {
    let rings: Vec<_> = strokes.iter().map(|stroke| artwork::region::Ring(stroke.points.clone())).collect();
    let areas: Vec<f64> = rings.iter().map(|ring| ring.signed_area_mm2().abs()).collect();
    let boxes: Vec<_> = rings.iter().map(|ring| artwork::bounds::Bounds::around(ring.0.iter().copied())).collect();
    let around = |inner: usize, outer: usize| {
        let holds = matches!((boxes[outer], boxes[inner]), (Some(o), Some(i)) if o.holds(&i, 0.0));
        strokes[outer].closed && areas[outer] > areas[inner] && holds && rings[outer].contains(rings[inner].0[0])
    };
    (0..strokes.len())
        .map(|i| (0..strokes.len()).filter(|&j| j != i && around(i, j)).min_by(|&a, &b| areas[a].total_cmp(&areas[b])))
        .collect()
}

#[derive(Debug, Clone)]
struct Tour<'a> {
    strokes: &'a [&'a Stroke],
    parents: Vec<Option<usize>>,
    home: Point,
    order: Vec<usize>,
    /// At which corner each stroke begins; for an open one 0 or its last.
    begin: Vec<usize>,
}

fn nearest_neighbour<'a>(strokes: &'a [&'a Stroke], parents: &[Option<usize>], home: Point) -> Tour<'a> {
    let n = strokes.len();
    let mut tour = Tour { strokes, parents: parents.to_vec(), home, order: Vec::with_capacity(n), begin: vec![0; n] };
    let mut inside = vec![0_usize; n];
    parents.iter().flatten().for_each(|&parent| inside[parent] += 1);
    let (mut left, mut at): (Vec<usize>, Point) = ((0..n).collect(), home);
    while !left.is_empty() {
        let free = left.iter().enumerate().filter(|(_, i)| inside[**i] == 0);
        let nearest =
            free.map(|(place, &i)| (place, nearest_begin(strokes[i], at))).min_by(|a, b| a.1.1.total_cmp(&b.1.1));
        let (place, (corner, _)) = nearest.expect("the smallest stroke left holds no other");
        let i = left.swap_remove(place);
        tour.begin[i] = corner;
        tour.order.push(i);
        if let Some(parent) = parents[i] {
            inside[parent] -= 1;
        }
        at = tour.out(i);
    }
    tour
}

/// The corners at which a stroke may begin.
fn begins(stroke: &Stroke) -> impl Iterator<Item = usize> {
    let last = stroke.points.len() - 1;
    let step = if stroke.closed { 1 } else { last.max(1) };
    (0..=last).step_by(step)
}

fn nearest_begin(stroke: &Stroke, at: Point) -> (usize, f64) {
    let far = |corner: usize| (corner, apart(at, stroke.points[corner]));
    begins(stroke).map(far).min_by(|a, b| a.1.total_cmp(&b.1)).unwrap_or((0, f64::INFINITY))
}

impl Tour<'_> {
    fn enter(&self, i: usize) -> Point {
        self.strokes[i].points[self.begin[i]]
    }

    fn out(&self, i: usize) -> Point {
        let stroke = self.strokes[i];
        if stroke.closed { self.enter(i) } else { stroke.points[stroke.points.len() - 1 - self.begin[i]] }
    }

    /// Where the tool comes from before the stroke at a place of the order.
    fn before(&self, place: usize) -> Point {
        if place == 0 { self.home } else { self.out(self.order[place - 1]) }
    }

    fn travel(&self) -> f64 {
        (0..self.order.len()).map(|place| apart(self.before(place), self.enter(self.order[place]))).sum()
    }

    fn shorten(&mut self) {
        for _ in 0..SWEEPS {
            let turned = self.two_opt();
            let moved = self.move_single();
            if !turned && !moved {
                break;
            }
        }
    }

    /// Turns round every part of the order whose turning shortens the way. Open strokes in it change ends.
    fn two_opt(&mut self) -> bool {
        let (n, mut changed) = (self.order.len(), false);
        for from in 0..n {
            for to in from + 1..n {
                let (a, b) = (self.before(from), self.enter(self.order[from]));
                let (c, d) = (self.out(self.order[to]), self.order.get(to + 1).map(|&i| self.enter(i)));
                let saved = apart(a, b) - apart(a, c) + d.map_or(0.0, |d| apart(c, d) - apart(b, d));
                if saved > 1e-9 && self.may_turn(from, to) {
                    self.order[from..=to].reverse();
                    for &i in &self.order[from..=to] {
                        if !self.strokes[i].closed {
                            self.begin[i] = self.strokes[i].points.len() - 1 - self.begin[i];
                        }
                    }
                    changed = true;
                }
            }
        }
        changed
    }

    /// Whether no stroke in the part lies within another of it.
    fn may_turn(&self, from: usize, to: usize) -> bool {
        let part = &self.order[from..=to];
        part.iter().all(|&i| self.parents[i].is_none_or(|parent| !part.contains(&parent)))
    }

    /// Takes single strokes out and puts them where they cost least.
    fn move_single(&mut self) -> bool {
        let (n, mut changed) = (self.order.len(), false);
        for place in 0..n {
            let i = self.order[place];
            let after = self.order.get(place + 1).map(|&j| self.enter(j));
            let (enter, out, before) = (self.enter(i), self.out(i), self.before(place));
            let gain = apart(before, enter) + after.map_or(0.0, |d| apart(out, d) - apart(before, d));
            let cost = |gap: usize| {
                let from = self.before(gap);
                let to = self.order.get(gap).map(|&j| self.enter(j));
                apart(from, enter) + to.map_or(0.0, |d| apart(out, d) - apart(from, d))
            };
            let (low, high) = self.room(place);
            let gaps = (low..=high).filter(|&gap| gap != place && gap != place + 1);
            let best = gaps.map(|gap| (gap, cost(gap))).min_by(|a, b| a.1.total_cmp(&b.1));
            if let Some((gap, _)) = best.filter(|(_, cost)| gain - cost > 1e-9) {
                self.order.remove(place);
                self.order.insert(if gap > place { gap - 1 } else { gap }, i);
                changed = true;
            }
        }
        changed
    }

    /// The gaps of the order to which the stroke at a place may go: after all that lie in it, before what it
    /// lies in.
    fn room(&self, place: usize) -> (usize, usize) {
        let i = self.order[place];
        let low = self.order[..place].iter().rposition(|&j| self.parents[j] == Some(i)).map_or(0, |at| at + 1);
        let rest = &self.order[place + 1..];
        let high = rest.iter().position(|&j| self.parents[i] == Some(j)).map_or(self.order.len(), |at| place + 1 + at);
        (low, high)
    }

    /// For each stroke the beginning that makes the ways to it and from it shortest.
    fn begin_anew(&mut self) {
        for place in 0..self.order.len() {
            let i = self.order[place];
            let (from, to) = (self.before(place), self.order.get(place + 1).map(|&j| self.enter(j)));
            let stroke = self.strokes[i];
            let way = |begin: usize| {
                let out = if stroke.closed { begin } else { stroke.points.len() - 1 - begin };
                apart(from, stroke.points[begin]) + to.map_or(0.0, |to| apart(stroke.points[out], to))
            };
            self.begin[i] = begins(stroke).min_by(|&a, &b| way(a).total_cmp(&way(b))).unwrap_or(0);
        }
    }
}

fn begun(stroke: &Stroke, begin: usize) -> Stroke {
    let mut stroke = stroke.clone();
    if stroke.closed {
        stroke.points.rotate_left(begin);
    } else if begin > 0 {
        stroke.points.reverse();
    }
    stroke
}

/// Prim's tree over home and all strokes; open strokes count by their ends, closed ones by all corners.
fn spanning_tree(strokes: &[&Stroke], home: Point) -> f64 {
    let boxes: Vec<Bounds> = strokes.iter().map(|stroke| around(stroke)).collect();
    let mut near: Vec<f64> = strokes.iter().map(|stroke| nearest_begin(stroke, home).1).collect();
    let (mut left, mut sum): (Vec<usize>, f64) = ((0..strokes.len()).collect(), 0.0);
    while let Some((place, &i)) = left.iter().enumerate().min_by(|a, b| near[*a.1].total_cmp(&near[*b.1])) {
        sum += near[i];
        left.swap_remove(place);
        for &j in &left {
            near[j] = between((strokes[i], boxes[i]), (strokes[j], boxes[j]), near[j]);
        }
    }
    sum
}

/// Shortest way between two strokes' corners, if it is below `limit`.
fn between((a, box_a): (&Stroke, Bounds), (b, box_b): (&Stroke, Bounds), limit: f64) -> f64 {
    if gap(box_a, box_b) >= limit {
        return limit;
    }
    // Only corners nearer to the other's rectangle than the limit can matter.
    let point = |p: Point, other: Bounds| gap(Bounds { min: p, max: p }, other) < limit;
    let far: Vec<Point> = begins(b).map(|corner| b.points[corner]).filter(|&p| point(p, box_a)).collect();
    let near = begins(a).map(|corner| a.points[corner]).filter(|&p| point(p, box_b));
    near.flat_map(|p| far.iter().map(move |&q| apart(p, q))).fold(limit, f64::min)
}

fn around(stroke: &Stroke) -> Bounds {
    Bounds::around(stroke.points.iter().copied()).unwrap_or(Bounds { min: Point::default(), max: Point::default() })
}

/// From one rectangle to another, 0 when they touch.
fn gap(a: Bounds, b: Bounds) -> f64 {
    let dx = (b.min.x - a.max.x).max(a.min.x - b.max.x).max(0.0);
    let dy = (b.min.y - a.max.y).max(a.min.y - b.max.y).max(0.0);
    apart(Point::default(), Point { x: dx, y: dy })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::strokes::rectangle;
    use proptest::prelude::*;

    fn square(x: f64, y: f64, side: f64) -> Stroke {
        rectangle(Bounds { min: Point { x, y }, max: Point { x: x + side, y: y + side } })
    }

    /// The best order of all, every beginning tried.
    fn best(strokes: &[Stroke], at: Point, left: &mut Vec<usize>) -> f64 {
        if left.is_empty() {
            return 0.0;
        }
        let mut least = f64::INFINITY;
        for place in 0..left.len() {
            let i = left.remove(place);
            for &corner in &strokes[i].points {
                least = least.min(apart(at, corner) + best(strokes, corner, left));
            }
            left.insert(place, i);
        }
        least
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]
        #[test]
        fn the_bound_is_below_the_best_order_and_ours_is_near_it(
            places in proptest::collection::vec((0.0..90.0, 0.0..90.0), 1..6),
        ) {
            let strokes: Vec<Stroke> = places.iter().map(|&(x, y)| square(x, y, 3.0)).collect();
            let ours = order(&strokes, Point::default());
            let best = best(&strokes, Point::default(), &mut (0..strokes.len()).collect());
            prop_assert!(ours.travel_least_mm <= best + 1e-9);
            // Overlapping squares may lie in one another's corner; then an order may be forbidden.
            prop_assert!(best <= ours.travel_mm + 1e-9 && ours.travel_mm <= 1.35 * best + 3.0, "{} {best}", ours.travel_mm);
        }
    }

    #[test]
    fn a_field_of_letters_is_cut_near_the_bound() {
        let mut state = 3_u32;
        let mut next = |most: f64| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            most * f64::from(state >> 8) / f64::from(1 << 24)
        };
        let strokes: Vec<Stroke> = (0..300).map(|_| square(next(500.0), next(300.0), 2.0)).collect();
        let ours = order(&strokes, Point::default());
        println!(
            "travel {:.0} mm, in the order given {:.0}, ratio to the bound {:.3}",
            ours.travel_mm,
            ours.travel_before_mm,
            ours.ratio()
        );
        assert!(ours.travel_mm < 0.1 * ours.travel_before_mm && ours.ratio() < 1.35, "{}", ours.ratio());
        // Every stroke is there once: the same set of lower left corners.
        let key = |s: &Stroke| {
            let least = |pick: fn(&Point) -> f64| s.points.iter().map(pick).fold(f64::INFINITY, f64::min);
            (least(|p| p.x).to_bits(), least(|p| p.y).to_bits())
        };
        let mut sets = [strokes.iter().map(key).collect::<Vec<_>>(), ours.strokes.iter().map(key).collect()];
        sets.iter_mut().for_each(|set| set.sort_unstable());
        assert_eq!(sets[0], sets[1]);
        let ways = ours.strokes.iter().scan(Point::default(), |at, stroke| {
            let way = apart(*at, stroke.points[0]);
            *at = stroke.points[0];
            Some(way)
        });
        assert!((ways.sum::<f64>() - ours.travel_mm).abs() < 1e-6);
    }

    #[test]
    fn what_lies_inside_is_cut_first() {
        let nested: Vec<Stroke> = (0..8)
            .flat_map(|i| {
                let x = 40.0 * f64::from(i % 4);
                let y = 40.0 * f64::from(i / 4);
                [square(x, y, 30.0), square(x + 5.0, y + 5.0, 20.0), square(x + 10.0, y + 10.0, 5.0)]
            })
            .collect();
        let ours = order(&nested, Point { x: 80.0, y: 40.0 });
        let place = |of: &Stroke| {
            ours.strokes
                .iter()
                .position(|s| {
                    (
                        s.length_mm(),
                        s.points.iter().map(|p| p.x).fold(f64::INFINITY, f64::min),
                        s.points.iter().map(|p| p.y).fold(f64::INFINITY, f64::min),
                    ) == (of.length_mm(), of.points[0].x, of.points[0].y)
                })
                .unwrap()
        };
        for nest in nested.chunks(3) {
            assert!(place(&nest[2]) < place(&nest[1]) && place(&nest[1]) < place(&nest[0]));
        }
    }

    #[test]
    fn an_open_stroke_may_be_followed_either_way() {
        let line =
            |x0: f64, x1: f64| Stroke { points: vec![Point { x: x0, y: 0.0 }, Point { x: x1, y: 0.0 }], closed: false };
        let ours = order(&[line(10.0, 0.0), line(30.0, 12.0)], Point::default());
        assert!((ours.travel_mm - 2.0).abs() < 1e-12, "{}", ours.travel_mm);
        assert!(order(&[], Point::default()).strokes.is_empty());
    }
}
