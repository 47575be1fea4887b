//! Few curves through many points.
//!
//! A closed line of points is cut at its corners. Between them, from each end on, the longest run of
//! points that one straight line or one cubic fits within the tolerance becomes a piece, and the next begins where
//! it ends, in the same direction. Cubics are fitted by least squares with given end tangents (P. J. Schneider,
//! "An algorithm for automatically fitting digitized curves", Graphics Gems, 1990; from memory). A corner, which the
//! raster has rounded, is put where the sides to it cross when led on.

use kurbo::{BezPath, CubicBez, ParamCurve, ParamCurveDeriv, Point, Vec2};

/// What a fit is held to; lengths in cells.
#[derive(Debug, Clone, Copy)]
pub(super) struct Fit {
    /// Greatest distance between a point and the curve.
    pub(super) tolerance: f64,
    /// Turns sharper than this within [`REACH`] are corners, in radians.
    pub(super) corner: f64,
}

/// Length of line to either side that tells a corner from a bend, in cells.
const REACH: f64 = 3.0;
/// So near to a corner the raster has rounded the line, in cells.
const ROUNDED: f64 = 1.2;
/// Length of line that a tangent is taken from.
const TANGENT: f64 = 4.0;

/// One piece: straight when both handles lie on its ends' line.
#[derive(Debug, Clone, Copy)]
struct Piece {
    curve: CubicBez,
    straight: bool,
}

/// A closed path of few pieces.
pub(super) fn closed(points: &[Point], fit: &Fit) -> BezPath {
    let corners = corners(points, fit.corner);
    if corners.is_empty() {
        let mut whole = points.to_vec();
        whole.push(points[0]);
        return path(&[side(&whole, true, fit)]);
    }
    let next = |i: usize| (i + 1) % corners.len();
    let mut runs: Vec<Vec<Point>> = (0..corners.len()).map(|i| between(points, corners[i], corners[next(i)])).collect();
    let met: Vec<Option<Point>> = (0..runs.len()).map(|i| crossing(&runs[i], &runs[next(i)])).collect();
    for i in 0..runs.len() {
        let before = met[(i + runs.len() - 1) % runs.len()];
        runs[i] = with_ends(&runs[i], before, met[i]);
    }
    path(&runs.iter().map(|run| side(run, false, fit)).collect::<Vec<_>>())
}

/// Where the sides to a corner cross when led on straight: the corner that the raster has rounded off.
/// `None` where they cross further away than a raster rounds a corner of that angle: there it is round.
fn crossing(before: &[Point], after: &[Point]) -> Option<Point> {
    let (before, after) = (trimmed(before), trimmed(after));
    let (&a, &b) = (before.last()?, after.first()?);
    let (da, db) = (-end_tangent_back(before), end_tangent(after));
    let across = da.cross(db);
    let crossing = a + da * ((b - a).cross(db) / across);
    // Half the angle between the sides.
    let half = 0.5 * (std::f64::consts::PI - across.atan2(da.dot(db)).abs());
    // Points lie up to a cell and a half apart.
    let reach = (ROUNDED + 1.0 + 0.6 / half.sin().max(0.15)).min(5.0 * ROUNDED);
    let ahead = (crossing - a).dot(da) > -0.2 && (b - crossing).dot(db) > -0.2;
    let near = (crossing - a).hypot() < reach && (crossing - b).hypot() < reach;
    (across.abs() > 0.2 && ahead && near).then_some(crossing)
}

/// A run whose rounded ends are replaced by the corners found, where they were.
fn with_ends(run: &[Point], start: Option<Point>, end: Option<Point>) -> Vec<Point> {
    let kept = trimmed(run);
    let offset = run.iter().position(|p| p == &kept[0]).unwrap_or(0);
    let from = if start.is_some() { offset } else { 0 };
    let to = if end.is_some() { offset + kept.len() } else { run.len() };
    start.into_iter().chain(run[from..to].iter().copied()).chain(end).collect()
}

/// Points from one corner to the next, both included, by way of the line's end where need be.
fn between(points: &[Point], from: usize, to: usize) -> Vec<Point> {
    let length = if to > from { to - from } else { points.len() - from + to };
    (0..=length).map(|i| points[(from + i) % points.len()]).collect()
}

/// Indices of the sharpest point of each sharp turn.
fn corners(points: &[Point], least: f64) -> Vec<usize> {
    let n = points.len();
    let turns: Vec<f64> = (0..n).map(|i| turn(points, i)).collect();
    let mut found: Vec<usize> = Vec::new();
    for i in 0..n {
        if turns[i] < least {
            continue;
        }
        // The sharpest within reach; of equals the first.
        let mut sharpest = true;
        for sign in [1, n - 1] {
            let mut j = i;
            let mut way = 0.0;
            while sharpest {
                let k = (j + sign) % n;
                way += (points[k] - points[j]).hypot();
                if way > REACH || k == i {
                    break;
                }
                j = k;
                sharpest = turns[j] < turns[i] || (turns[j] == turns[i] && i < j);
            }
        }
        if sharpest {
            found.push(i);
        }
    }
    found
}

/// How much the line turns at a point, seen from [`REACH`] before to as far after.
fn turn(points: &[Point], i: usize) -> f64 {
    let (before, after) = (reached(points, i, false), reached(points, i, true));
    let (a, b) = (points[i] - before, after - points[i]);
    a.cross(b).atan2(a.dot(b)).abs()
}

/// The place on the closed line that lies [`REACH`] from a point along it.
fn reached(points: &[Point], i: usize, ahead: bool) -> Point {
    let n = points.len();
    let step = if ahead { 1 } else { n - 1 };
    let (mut at, mut left) = (i, REACH);
    for _ in 0..n {
        let next = (at + step) % n;
        let length = (points[next] - points[at]).hypot();
        if length >= left {
            return points[at].lerp(points[next], left / length);
        }
        left -= length;
        at = next;
    }
    points[at]
}

/// The pieces from one corner to the next.
fn side(run: &[Point], smooth: bool, fit: &Fit) -> Vec<Piece> {
    let mut pieces = Vec::new();
    let mut start = 0;
    let join = if smooth { Some(middle_tangent(run, 0, true)) } else { None };
    let mut tangent = join;
    while start + 1 < run.len() {
        let (end, piece) = longest(run, start, tangent, join, fit);
        tangent = Some((piece.curve.p3 - piece.curve.p2).normalize_or_zero());
        pieces.push(piece);
        start = end;
    }
    pieces
}

/// A vector of length one, or none.
trait Direction {
    fn normalize_or_zero(self) -> Self;
}

impl Direction for Vec2 {
    fn normalize_or_zero(self) -> Self {
        let length = self.hypot();
        if length > 1e-12 { self / length } else { Self::ZERO }
    }
}

fn trimmed(run: &[Point]) -> &[Point] {
    let (first, last) = (run[0], run[run.len() - 1]);
    let from = run.iter().position(|p| (*p - first).hypot() > ROUNDED).unwrap_or(0);
    let to = run.iter().rposition(|p| (*p - last).hypot() > ROUNDED).unwrap_or(run.len() - 1);
    if from < to { &run[from..=to] } else { run }
}

/// The longest piece from a point on; where it ends.
fn longest(run: &[Point], start: usize, tangent: Option<Vec2>, join: Option<Vec2>, fit: &Fit) -> (usize, Piece) {
    let last = run.len() - 1;
    let attempt = |end: usize| piece(run, start, end, tangent, join, fit);
    // Doubling steps while it fits, then halving between the last that did and the first that did not.
    let (mut good, mut step) = (start + 1, 2);
    let mut best = chord(run, start, good);
    let mut bad = last + 1;
    while good < last {
        let end = (start + step).min(last);
        match attempt(end) {
            Some(piece) => (good, best) = (end, piece),
            None => {
                bad = end;
                break;
            }
        }
        step *= 2;
    }
    while good + 1 < bad {
        let end = (good + bad) / 2;
        match attempt(end) {
            Some(piece) => (good, best) = (end, piece),
            None => bad = end,
        }
    }
    (good, best)
}

fn chord(run: &[Point], start: usize, end: usize) -> Piece {
    let (a, b) = (run[start], run[end]);
    Piece { curve: CubicBez::new(a, a.lerp(b, 1.0 / 3.0), a.lerp(b, 2.0 / 3.0), b), straight: true }
}

/// A line, else a cubic, if either fits.
fn piece(
    run: &[Point],
    start: usize,
    end: usize,
    tangent: Option<Vec2>,
    join: Option<Vec2>,
    fit: &Fit,
) -> Option<Piece> {
    let points = &run[start..=end];
    let line = chord(run, start, end);
    let direction = (points[points.len() - 1] - points[0]).normalize_or_zero();
    let straight = points.iter().all(|p| (*p - points[0]).cross(direction).abs() <= fit.tolerance);
    // A line that does not go on as the piece before it would make a corner of its own.
    let goes_on = tangent.is_none_or(|tangent| tangent.cross(direction).abs() < 0.1 && tangent.dot(direction) > 0.0);
    let ends_well = end < run.len() - 1 || join.is_none_or(|join| join.cross(direction).abs() < 0.1);
    if straight && goes_on && ends_well && direction != Vec2::ZERO {
        return Some(line);
    }
    let first = tangent.unwrap_or_else(|| end_tangent(points));
    let last = if end == run.len() - 1 {
        join.map_or_else(|| end_tangent_back(points), |join| -join)
    } else {
        -middle_tangent(run, end, false)
    };
    cubic(points, first, last, fit.tolerance).map(|curve| Piece { curve, straight: false })
}

/// Direction in which points leave the first of them.
fn end_tangent(points: &[Point]) -> Vec2 {
    let far = points.iter().find(|p| (**p - points[0]).hypot() >= TANGENT).unwrap_or(&points[points.len() - 1]);
    // The direction half way along is that of the chord; a bend's own is as much again further round.
    let half = points.iter().find(|p| (**p - points[0]).hypot() >= 0.5 * TANGENT).unwrap_or(far);
    let (near, whole) = ((*half - points[0]).normalize_or_zero(), (*far - points[0]).normalize_or_zero());
    (near * 2.0 - whole).normalize_or_zero()
}

fn end_tangent_back(points: &[Point]) -> Vec2 {
    let reversed: Vec<Point> = points.iter().rev().copied().take(24).collect();
    end_tangent(&reversed)
}

/// Direction of the line in passing a point of a run. `closed`: the run's end is its start.
fn middle_tangent(run: &[Point], at: usize, closed: bool) -> Vec2 {
    let n = run.len() - 1;
    let point = |i: isize| {
        let i = if closed { i.rem_euclid(n as isize) } else { i.clamp(0, n as isize) };
        run[i as usize]
    };
    let away = |sign: isize| {
        let steps = (1..=12).map(|k| point(at as isize + sign * k));
        let mut far = run[at];
        for p in steps {
            far = p;
            if (p - run[at]).hypot() >= TANGENT {
                break;
            }
        }
        far
    };
    (away(1) - away(-1)).normalize_or_zero()
}

/// A cubic with these end tangents (both pointing inwards) within the tolerance of all points.
fn cubic(points: &[Point], first: Vec2, last: Vec2, tolerance: f64) -> Option<CubicBez> {
    /// Rounds of fitting and of moving each point's parameter to where the curve passes nearest.
    const ROUNDS: usize = 5;
    let mut at = parameters(points);
    for _ in 0..ROUNDS {
        let curve = solve(points, &at, first, last)?;
        let worst = points.iter().zip(&at).map(|(p, &t)| (*p - curve.eval(t)).hypot()).fold(0.0, f64::max);
        if worst <= tolerance {
            return Some(curve);
        }
        if worst > 6.0 * tolerance {
            return None;
        }
        for (p, t) in points.iter().zip(&mut at) {
            *t = nearer(&curve, *p, *t);
        }
    }
    None
}

/// Shares of the length of the line of points.
fn parameters(points: &[Point]) -> Vec<f64> {
    let mut at = vec![0.0];
    for pair in points.windows(2) {
        at.push(at[at.len() - 1] + (pair[1] - pair[0]).hypot());
    }
    let length = at[at.len() - 1].max(1e-12);
    at.iter().map(|way| way / length).collect()
}

/// The lengths of both handles by least squares.
fn solve(points: &[Point], at: &[f64], first: Vec2, last: Vec2) -> Option<CubicBez> {
    let (a, b) = (points[0], points[points.len() - 1]);
    let (mut c, mut x) = ([[0.0; 2]; 2], [0.0; 2]);
    for (p, &t) in points.iter().zip(at) {
        let s = 1.0 - t;
        let [b0, b1, b2, b3] = [s * s * s, 3.0 * t * s * s, 3.0 * t * t * s, t * t * t];
        let handles = [first * b1, last * b2];
        let rest = *p - (a.to_vec2() * (b0 + b1) + b.to_vec2() * (b2 + b3)).to_point();
        for i in 0..2 {
            x[i] += handles[i].dot(rest);
            for j in 0..2 {
                c[i][j] += handles[i].dot(handles[j]);
            }
        }
    }
    let determinant = c[0][0] * c[1][1] - c[0][1] * c[1][0];
    let chord = (b - a).hypot();
    let fallback = [chord / 3.0; 2];
    let lengths = if determinant.abs() > 1e-9 * c[0][0] * c[1][1] {
        [(x[0] * c[1][1] - x[1] * c[0][1]) / determinant, (x[1] * c[0][0] - x[0] * c[1][0]) / determinant]
    } else {
        fallback
    };
    let sound = lengths.iter().all(|&l| l > 1e-3 * chord && l < 3.0 * chord.max(1.0));
    let [l0, l1] = if sound { lengths } else { fallback };
    Some(CubicBez::new(a, a + first * l0, b + last * l1, b))
}

/// One step of Newton's method towards the parameter where the curve is nearest to a point.
fn nearer(curve: &CubicBez, p: Point, t: f64) -> f64 {
    let away = curve.eval(t) - p;
    let slope = curve.deriv();
    let (d1, d2) = (slope.eval(t).to_vec2(), slope.deriv().eval(t).to_vec2());
    let bend = d1.dot(d1) + away.dot(d2);
    if bend.abs() < 1e-12 { t } else { (t - away.dot(d1) / bend).clamp(0.0, 1.0) }
}

fn path(sides: &[Vec<Piece>]) -> BezPath {
    let mut path = BezPath::new();
    for piece in sides.iter().flatten() {
        if path.is_empty() {
            path.move_to(piece.curve.p0);
        }
        if piece.straight {
            path.line_to(piece.curve.p3);
        } else {
            path.curve_to(piece.curve.p1, piece.curve.p2, piece.curve.p3);
        }
    }
    if !path.is_empty() {
        path.close_path();
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape as _;

    const FIT: Fit = Fit { tolerance: 0.35, corner: 0.6 };

    fn nodes(path: &BezPath) -> usize {
        path.segments().count()
    }

    #[test]
    fn a_circle_of_points_is_a_few_cubics() {
        let circle: Vec<Point> = (0..400)
            .map(|i| f64::from(i) * std::f64::consts::TAU / 400.0)
            .map(|a| Point::new(100.0 + 60.0 * a.cos(), 100.0 + 60.0 * a.sin()))
            .collect();
        let path = closed(&circle, &FIT);
        assert!(nodes(&path) <= 8, "{}", nodes(&path));
        assert!((path.area() / (std::f64::consts::PI * 3600.0) - 1.0).abs() < 2e-3, "{}", path.area());
    }

    #[test]
    fn a_square_of_points_is_four_lines_with_sharp_corners() {
        let mut square = Vec::new();
        for (from, to) in [((0, 0), (1, 0)), ((1, 0), (1, 1)), ((1, 1), (0, 1)), ((0, 1), (0, 0))] {
            let at = |(x, y): (i32, i32)| Point::new(f64::from(50 * x), f64::from(50 * y));
            square.extend((1..50).map(|i| at(from).lerp(at(to), f64::from(i) / 50.0)));
        }
        let path = closed(&square, &FIT);
        assert_eq!(nodes(&path), 4, "{path:?}");
        assert!((path.area() - 2500.0).abs() < 1e-6, "{}", path.area());
    }
}
