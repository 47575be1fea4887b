//! The format's curves as Bézier curves: bulges, arcs, ellipses, splines.

use kurbo::{Affine, Arc, BezPath, CubicBez, ParamCurve, Point, Vec2};
use std::f64::consts::{PI, TAU};

/// Greatest error of a curve, as a share of its size. At 1 m that is 0.1 µm.
const SHARE: f64 = 1e-7;
/// Halvings of a spline's span at most; each cuts the error by 16.
const HALVINGS: u32 = 8;

/// A point of a polyline and how much the way to the next bulges: the tangent of a quarter of the
/// arc's angle, to the left of the way when positive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Vertex {
    pub(super) at: Point,
    pub(super) bulge: f64,
}

/// A polyline with bulges.
pub(super) fn polyline(vertices: &[Vertex], closed: bool) -> BezPath {
    let mut path = BezPath::new();
    let Some(first) = vertices.first() else { return path };
    path.move_to(first.at);
    for pair in vertices.windows(2) {
        bulged(&mut path, pair[0], pair[1].at);
    }
    if closed {
        bulged(&mut path, vertices[vertices.len() - 1], first.at);
        path.close_path();
    }
    path
}

/// With `θ = 4 atan b` the arc's angle: radius `chord / (2 sin θ/2)`, centre at
/// `(1 - b²) / (4 b)` chords to the left of the chord's middle.
fn bulged(path: &mut BezPath, from: Vertex, to: Point) {
    let chord = to - from.at;
    let b = from.bulge;
    if b.abs() < 1e-9 || chord.hypot() == 0.0 {
        path.line_to(to);
        return;
    }
    let left = Vec2::new(-chord.y, chord.x);
    let centre = from.at.midpoint(to) + left * ((1.0 - b * b) / (4.0 * b));
    let start = (from.at - centre).atan2();
    append(path, centre, (from.at - centre).hypot(), start, 4.0 * b.atan());
    // Rounding of the arc's end would leave a step before the next piece.
    if let Some(kurbo::PathEl::CurveTo(_, _, end)) = path.elements_mut().last_mut() {
        *end = to;
    }
}

fn append(path: &mut BezPath, centre: Point, radius: f64, start: f64, sweep: f64) {
    let arc = Arc::new(centre, (radius, radius), start, sweep, 0.0);
    path.extend(arc.append_iter(SHARE * radius));
}

/// An arc of a circle, or all of it when `sweep` is a full turn.
pub(super) fn arc(centre: Point, radius: f64, start: f64, sweep: f64) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(centre + Vec2::from_angle(start) * radius);
    append(&mut path, centre, radius, start, sweep);
    if sweep.abs() >= TAU - 1e-9 {
        path.close_path();
    }
    path
}

/// A part of an ellipse: `centre + cos t major + sin t minor`, `t` from `start` over `sweep`.
pub(super) fn ellipse(centre: Point, major: Vec2, minor: Vec2, start: f64, sweep: f64) -> BezPath {
    let map = Affine::new([major.x, major.y, minor.x, minor.y, centre.x, centre.y]);
    map * arc(Point::ORIGIN, 1.0, start, sweep)
}

/// The sweep from one angle to another, counter-clockwise; equal angles are a full turn.
pub(super) fn sweep(start: f64, end: f64) -> f64 {
    let sweep = (end - start).rem_euclid(TAU);
    if sweep < 1e-9 || TAU - sweep < 1e-9 { TAU } else { sweep }
}

/// A B-spline, rational when its weights differ.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Spline {
    pub(super) degree: usize,
    pub(super) knots: Vec<f64>,
    pub(super) control: Vec<Point>,
    /// As many as control points, or none.
    pub(super) weights: Vec<f64>,
    pub(super) closed: bool,
}

impl Spline {
    /// The curve from its first knot to its last, as cubics; `None` when it is no spline.
    ///
    /// Each span of knots becomes the cubic that has its ends and their tangents, halved until it lies
    /// within a ten-millionth of the control polygon's size: at once for a plain cubic, which it equals.
    pub(super) fn path(&self) -> Option<BezPath> {
        let (n, p) = (self.control.len(), self.degree);
        let sound = (1..=15).contains(&p) && n > p && self.knots.len() == n + p + 1;
        let rising = self.knots.windows(2).all(|pair| pair[0] <= pair[1]);
        let weighted = self.weights.is_empty() || self.weights.len() == n && self.weights.iter().all(|&w| w > 0.0);
        if !sound || !rising || !weighted {
            return None;
        }
        let reach = kurbo::Rect::from_points(self.control[0], self.control[0]);
        let reach = self.control.iter().fold(reach, |reach, &point| reach.union_pt(point));
        let tolerance = SHARE * (reach.width() + reach.height()).max(f64::MIN_POSITIVE);
        let mut path = BezPath::new();
        path.move_to(self.at(self.knots[p], p).0);
        for span in p..n {
            let (from, to) = (self.knots[span], self.knots[span + 1]);
            if to > from {
                self.fit(&mut path, span, from, to, tolerance, HALVINGS);
            }
        }
        if self.closed {
            path.close_path();
        }
        Some(path)
    }

    fn fit(&self, path: &mut BezPath, span: usize, from: f64, to: f64, tolerance: f64, halvings: u32) {
        let ((a, da), (b, db)) = (self.at(from, span), self.at(to, span));
        let third = (to - from) / 3.0;
        let cubic = CubicBez::new(a, a + da * third, b - db * third, b);
        let off = |share: f64| (cubic.eval(share) - self.at(from + share * (to - from), span).0).hypot();
        let close = [0.25, 0.5, 0.75].into_iter().all(|share| off(share) <= tolerance);
        if close || halvings == 0 {
            path.curve_to(cubic.p1, cubic.p2, cubic.p3);
            return;
        }
        let middle = 0.5 * (from + to);
        self.fit(path, span, from, middle, tolerance, halvings - 1);
        self.fit(path, span, middle, to, tolerance, halvings - 1);
    }

    /// Place and derivative at a parameter in a span of knots, by de Boor's recursion on homogeneous
    /// points `(w x, w y, w)`.
    fn at(&self, u: f64, span: usize) -> (Point, Vec2) {
        let p = self.degree;
        let homogeneous = |i: usize| {
            let weight = self.weights.get(i).copied().unwrap_or(1.0);
            [self.control[i].x * weight, self.control[i].y * weight, weight]
        };
        let mut d: Vec<[f64; 3]> = (0..=p).map(|j| homogeneous(span - p + j)).collect();
        let mut slope = [0.0; 3];
        for r in 1..=p {
            for j in (r..=p).rev() {
                let (low, high) = (self.knots[span - p + j], self.knots[span + 1 + j - r]);
                let share = if high > low { (u - low) / (high - low) } else { 0.0 };
                if r == p && high > low {
                    slope = std::array::from_fn(|k| (d[j][k] - d[j - 1][k]) * p as f64 / (high - low));
                }
                d[j] = std::array::from_fn(|k| d[j - 1][k] * (1.0 - share) + d[j][k] * share);
            }
        }
        let [x, y, w] = d[p];
        let at = Point::new(x / w, y / w);
        (at, Vec2::new((slope[0] - slope[2] * at.x) / w, (slope[1] - slope[2] * at.y) / w))
    }
}

/// The natural cubic spline through points, its parameter the length of the chords (C. de Boor, "A
/// Practical Guide to Splines", 1978; from memory). For a spline that the file gives by its points only.
pub(super) fn through(points: &[Point], closed: bool) -> Option<BezPath> {
    let mut points = points.to_vec();
    points.dedup_by(|a, b| (*a - *b).hypot() < 1e-12);
    if points.len() < 2 {
        return None;
    }
    let gaps: Vec<f64> = points.windows(2).map(|pair| (pair[1] - pair[0]).hypot()).collect();
    let tangents = natural(&points, &gaps);
    let mut path = BezPath::new();
    path.move_to(points[0]);
    for (i, gap) in gaps.iter().enumerate() {
        let third = gap / 3.0;
        path.curve_to(points[i] + tangents[i] * third, points[i + 1] - tangents[i + 1] * third, points[i + 1]);
    }
    if closed {
        path.close_path();
    }
    Some(path)
}

/// Tangents of the natural spline: a tridiagonal system, solved from the top down and back.
fn natural(points: &[Point], gaps: &[f64]) -> Vec<Vec2> {
    let last = points.len() - 1;
    let chord = |i: usize| (points[i + 1] - points[i]) / gaps[i];
    // Each row: below * m[i-1] + middle * m[i] + above * m[i+1] = right.
    let row = |i: usize| match i {
        0 => (0.0, 2.0, 1.0, chord(0) * 3.0),
        _ if i == last => (1.0, 2.0, 0.0, chord(last - 1) * 3.0),
        _ => {
            let (before, after) = (gaps[i - 1], gaps[i]);
            (after, 2.0 * (before + after), before, (chord(i - 1) * after + chord(i) * before) * 3.0)
        }
    };
    let mut swept: Vec<(f64, Vec2)> = Vec::with_capacity(points.len());
    for i in 0..=last {
        let (below, middle, above, right) = row(i);
        let (share, before) = swept.last().copied().unwrap_or((0.0, Vec2::ZERO));
        let pivot = middle - below * share;
        swept.push((above / pivot, (right - before * below) / pivot));
    }
    let mut tangents = vec![Vec2::ZERO; points.len()];
    let mut next = Vec2::ZERO;
    for (i, (share, right)) in swept.into_iter().enumerate().rev() {
        next = right - next * share;
        tangents[i] = next;
    }
    tangents
}

/// Degrees, as the format writes most angles, in radians.
pub(super) fn radians(degrees: f64) -> f64 {
    degrees * PI / 180.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape as _;

    fn vertex(x: f64, y: f64, bulge: f64) -> Vertex {
        Vertex { at: Point::new(x, y), bulge }
    }

    #[test]
    fn two_bulges_of_one_are_a_circle() {
        let path = polyline(&[vertex(0.0, 0.0, 1.0), vertex(10.0, 0.0, 1.0)], true);
        assert!((path.area().abs() - 25.0 * PI).abs() < 1e-4, "{}", path.area());
        let bounds = path.bounding_box();
        assert!((bounds.y0 + 5.0).abs() < 1e-5 && (bounds.y1 - 5.0).abs() < 1e-5);
    }

    #[test]
    fn a_positive_bulge_turns_left() {
        // From left to right with a positive bulge the arc runs below: counter-clockwise about a centre above.
        let path = polyline(&[vertex(0.0, 0.0, 0.5), vertex(10.0, 0.0, 0.0)], false);
        assert!(path.bounding_box().y0 < -2.4 && path.bounding_box().y1 < 1e-9);
        // The sagitta is b times half the chord.
        assert!((path.bounding_box().y0 + 2.5).abs() < 1e-5);
    }

    /// The unit circle of nine points and weights 1, √½ (L. Piegl and W. Tiller, "The NURBS Book"; from memory).
    #[test]
    fn a_rational_spline_is_a_circle() {
        let corners = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)];
        let spline = Spline {
            degree: 2,
            knots: [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4].map(f64::from).to_vec(),
            control: corners.map(|(x, y)| Point::new(f64::from(x), f64::from(y))).to_vec(),
            weights: (0..9).map(|i| if i % 2 == 0 { 1.0 } else { 0.5_f64.sqrt() }).collect(),
            closed: true,
        };
        let path = spline.path().unwrap();
        assert!((path.area() - PI).abs() < 1e-5, "{}", path.area() - PI);
        assert!((path.perimeter(1e-9) - TAU).abs() < 1e-5);
    }

    #[test]
    fn a_cubic_spline_of_one_span_is_its_bezier_curve() {
        let control = vec![(0.0, 0.0).into(), (1.0, 2.0).into(), (3.0, 2.0).into(), (4.0, 0.0).into()];
        let knots = vec![0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0, 1.0];
        let spline = Spline { degree: 3, knots, control, ..Spline::default() };
        let path = spline.path().unwrap();
        assert_eq!(path.elements().len(), 2);
        assert_eq!(path.elements()[1], kurbo::PathEl::CurveTo((1.0, 2.0).into(), (3.0, 2.0).into(), (4.0, 0.0).into()));
    }

    #[test]
    fn a_spline_that_is_none_is_refused() {
        let knots = vec![0.0, 1.0];
        assert!(Spline { degree: 3, knots, control: vec![Point::ORIGIN; 4], ..Spline::default() }.path().is_none());
    }

    #[test]
    fn a_natural_spline_passes_its_points_and_keeps_a_straight_line() {
        let points: Vec<Point> = (0..5).map(|i| Point::new(f64::from(i * i), 2.0 * f64::from(i * i))).collect();
        let path = through(&points, false).unwrap();
        assert!((path.perimeter(1e-9) - 16.0 * 5.0_f64.sqrt()).abs() < 1e-9);
    }
}
