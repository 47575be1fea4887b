//! Bands of a given width along middle lines.

use crate::grid::Point;
use crate::groups::Groups;
use crate::region::{FillRule, Region, Ring};
use crate::ridge::RidgePoint;
use quantity::Length;
use rayon::prelude::*;
use std::collections::{BTreeMap, HashMap};

/// A band along one narrow stretch.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Band {
    /// Its narrowest place.
    pub(super) at: Point,
    pub(super) region: Region,
}

/// Corners of the polygon that stands for a circle, and lies around it.
const CORNERS: u32 = 16;
/// A band is this much wider than asked for: a width measured is never quite the width drawn.
const SLACK: f64 = 1.004;
/// A place short of the limit by less than this share is left as it is.
const SLACK_SHORT: f64 = 0.001;
/// A middle line is straightened by this share of its band's width at most.
const STRAIGHT: f64 = 0.001;

/// Bands as wide as `width` along the middle lines through points, given in the order of the outline that
/// they were measured from.
///
/// Points that follow each other closely are a line; lines that run near each other, as those seen from
/// both sides of one stroke do, make one band. A touch of two corners, beside any line, makes a disc.
///
/// * `beyond`: whether a place is on the same side, opening or resist, as the lines. There a line is led on by half a
///   width past its end, or a notch would be left where it meets what is wide enough.
/// * `touches`: whether touches of two corners count, and lines shorter than half a width.
pub(super) fn bands(points: &[RidgePoint], width: Length, beyond: impl Fn(Point) -> bool, touches: bool) -> Vec<Band> {
    let wide = width.to_mm();
    let radius = 0.5 * SLACK * wide;
    let mut lines = lines(points, wide);
    lines.retain(|line| touches || line.iter().map(|point| point.length.to_mm()).sum::<f64>() >= 0.5 * wide);
    let mut file = File::new(wide);
    let mut groups = Groups::new(lines.len() + points.len());
    for (index, line) in lines.iter().enumerate() {
        line.iter().for_each(|point| file.join(point.at, index, &mut groups));
    }
    for point in points.iter().filter(|point| touches && point.length.to_mm() == 0.0) {
        if !file.holds(point.at) {
            file.join(point.at, lines.len(), &mut groups);
            lines.push(vec![*point]);
        }
    }
    let mut gathered: BTreeMap<usize, (RidgePoint, Vec<Ring>)> = BTreeMap::new();
    for (index, line) in lines.iter().enumerate() {
        let narrowest =
            line.iter().fold(line[0], |least, point| if point.width < least.width { *point } else { least });
        let group = gathered.entry(groups.root(index)).or_insert((narrowest, Vec::new()));
        if narrowest.width < group.0.width {
            group.0 = narrowest;
        }
        group.1.extend(rings(&led_on(straightened(line, STRAIGHT * wide), 0.5 * wide, &beyond), radius));
    }
    // What is within a few thousandths of the limit was mended already, or drawn so.
    let short = |(narrowest, _): &(RidgePoint, Vec<Ring>)| narrowest.width.to_mm() < (1.0 - SLACK_SHORT) * wide;
    let gathered: Vec<(RidgePoint, Vec<Ring>)> = gathered.into_values().filter(short).collect();
    let band = |(narrowest, rings): (RidgePoint, Vec<Ring>)| Band {
        at: narrowest.at,
        region: Region::from_rings(&rings, FillRule::NonZero),
    };
    gathered.into_par_iter().map(band).collect()
}

/// Points that follow each other no further apart than places measured can be, until they turn back.
fn lines(points: &[RidgePoint], wide: f64) -> Vec<Vec<RidgePoint>> {
    let reach = 3.0 * (wide / 3.0).clamp(0.1, 1.0);
    let mut found: Vec<Vec<RidgePoint>> = Vec::new();
    for point in points.iter().filter(|point| point.length.to_mm() > 0.0) {
        match found.last_mut() {
            Some(line) if goes_on(line, point.at, reach) => line.push(*point),
            _ => found.push(vec![*point]),
        }
    }
    found
}

fn goes_on(line: &[RidgePoint], next: Point, reach: f64) -> bool {
    let last = line[line.len() - 1].at;
    let back = line.len() > 1 && {
        let before = line[line.len() - 2].at;
        (last.x - before.x) * (next.x - last.x) + (last.y - before.y) * (next.y - last.y) <= 0.0
    };
    distance(last, next) <= reach && !back
}

/// As few of a line's points as keep all within a distance of it.
fn straightened(line: &[RidgePoint], within: f64) -> Vec<Point> {
    let mut kept = vec![line[0].at];
    let mut start = 0;
    while start + 1 < line.len() {
        let mut end = start + 1;
        while end + 1 < line.len() && end - start < 64 && runs_straight(&line[start..=end + 1], within) {
            end += 1;
        }
        kept.push(line[end].at);
        start = end;
    }
    kept
}

fn led_on(mut line: Vec<Point>, by: f64, beyond: &impl Fn(Point) -> bool) -> Vec<Point> {
    if line.len() < 2 {
        return line;
    }
    let on = |from: Point, to: Point| {
        let share = by / distance(from, to).max(1e-9);
        Some(Point { x: to.x + share * (to.x - from.x), y: to.y + share * (to.y - from.y) }).filter(|on| beyond(*on))
    };
    let last = line.len() - 1;
    let (first, end) = (on(line[1], line[0]), on(line[last - 1], line[last]));
    line.extend(end);
    first.into_iter().chain(line).collect()
}

/// Whether points lie along the way from the first to the last, and in its order.
fn runs_straight(points: &[RidgePoint], within: f64) -> bool {
    let (a, b) = (points[0].at, points[points.len() - 1].at);
    let length = distance(a, b).max(1e-9);
    let (ux, uy) = ((b.x - a.x) / length, (b.y - a.y) / length);
    let mut furthest = 0.0;
    points.iter().all(|point| {
        let (dx, dy) = (point.at.x - a.x, point.at.y - a.y);
        let along = dx * ux + dy * uy;
        let ahead = along >= furthest - within;
        furthest = along.max(furthest);
        ahead && (dx * uy - dy * ux).abs() <= within
    })
}

fn rings(line: &[Point], radius: f64) -> Vec<Ring> {
    let mut rings: Vec<Ring> = line.iter().map(|at| disc(*at, radius)).collect();
    rings.extend(line.windows(2).filter(|pair| pair[0] != pair[1]).map(|pair| strip(pair[0], pair[1], radius)));
    rings
}

/// Which lines pass through which squares.
struct File {
    cell: f64,
    cells: HashMap<(i64, i64), Vec<(Point, usize)>>,
}

impl File {
    fn new(cell: f64) -> Self {
        Self { cell, cells: HashMap::new() }
    }

    fn key(&self, p: Point) -> (i64, i64) {
        ((p.x / self.cell).floor() as i64, (p.y / self.cell).floor() as i64)
    }

    fn near(&self, p: Point) -> impl Iterator<Item = usize> + '_ {
        let (column, row) = self.key(p);
        let cells = (-1..=1).flat_map(move |dy| (-1..=1).map(move |dx| (column + dx, row + dy)));
        let filed = cells.flat_map(|cell| self.cells.get(&cell).into_iter().flatten());
        filed.filter(move |(q, _)| distance(*q, p) <= self.cell).map(|(_, line)| *line)
    }

    fn holds(&self, p: Point) -> bool {
        self.near(p).next().is_some()
    }

    /// Adds a line's point, and joins the line to those that pass near it.
    fn join(&mut self, p: Point, line: usize, groups: &mut Groups) {
        let others: Vec<usize> = self.near(p).filter(|other| *other != line).collect();
        others.into_iter().for_each(|other| groups.join(other, line));
        let key = self.key(p);
        let cell = self.cells.entry(key).or_default();
        // A square need know a line only by a few of its points.
        if cell.iter().filter(|(_, known)| *known == line).count() < 4 {
            cell.push((p, line));
        }
    }
}

/// A circle, and a little more.
fn disc(at: Point, radius: f64) -> Ring {
    let radius = radius / (std::f64::consts::PI / f64::from(CORNERS)).cos();
    let corner = |i: u32| {
        let (sin, cos) = (std::f64::consts::TAU * f64::from(i) / f64::from(CORNERS)).sin_cos();
        Point { x: at.x + radius * cos, y: at.y + radius * sin }
    };
    Ring((0..CORNERS).map(corner).collect())
}

/// All within a radius of the way from `a` to `b`, beside it.
fn strip(a: Point, b: Point, radius: f64) -> Ring {
    let length = distance(a, b).max(1e-9);
    let (nx, ny) = (-(b.y - a.y) / length * radius, (b.x - a.x) / length * radius);
    let corner = |p: Point, side: f64| Point { x: p.x + side * nx, y: p.y + side * ny };
    Ring(vec![corner(a, -1.0), corner(b, -1.0), corner(b, 1.0), corner(a, 1.0)])
}

fn distance(a: Point, b: Point) -> f64 {
    (a.x - b.x).hypot(a.y - b.y)
}
