//! The boundaries of a hatch.

use super::DxfError;
use super::curve::{Vertex, arc, ellipse, polyline, radians, sweep, through};
use super::entity::spline_of;
use super::pairs::{Pair, Record};
use kurbo::{BezPath, Point, Vec2};
use std::f64::consts::TAU;

/// The boundary curves of a hatch, solid or patterned alike; `None` when it has none that can be read.
///
/// Boundaries given as separate edges come as open curves that still want joining.
pub(super) fn hatch(record: &Record<'_, '_>) -> Result<Option<Vec<(BezPath, bool)>>, DxfError> {
    let Some(start) = record.pairs.iter().position(|pair| pair.code == 91) else { return Ok(None) };
    let mut reader = Reader { pairs: &record.pairs[start + 1..], line: record.line };
    let mut paths = Vec::new();
    for _ in 0..record.pairs[start].whole()?.max(0) {
        let Some(kind) = reader.next_of(92) else { break };
        if kind.whole()? & 2 != 0 { paths.push(reader.polyline()?) } else { reader.edges(&mut paths)? }
    }
    Ok((!paths.is_empty()).then_some(paths))
}

/// A hatch's values mean what their order says.
struct Reader<'a, 'p> {
    pairs: &'p [Pair<'a>],
    line: u32,
}

impl<'a, 'p> Reader<'a, 'p> {
    /// The next pair of a code, skipping what stands before it.
    fn next_of(&mut self, code: i32) -> Option<&'p Pair<'a>> {
        let at = self.pairs.iter().position(|pair| pair.code == code)?;
        let found = &self.pairs[at];
        self.pairs = &self.pairs[at + 1..];
        Some(found)
    }

    fn number(&mut self, code: i32) -> Result<f64, DxfError> {
        let line = self.line;
        self.next_of(code).ok_or(DxfError::Missing { line, kind: "HATCH".to_owned(), code })?.number()
    }

    fn point(&mut self, code: i32) -> Result<Point, DxfError> {
        Ok(Point::new(self.number(code)?, self.number(code + 10)?))
    }

    /// All up to the next edge or boundary.
    fn until(&mut self, codes: &[i32]) -> &'p [Pair<'a>] {
        let end = self.pairs.iter().position(|pair| codes.contains(&pair.code)).unwrap_or(self.pairs.len());
        let (taken, rest) = self.pairs.split_at(end);
        self.pairs = rest;
        taken
    }

    fn polyline(&mut self) -> Result<(BezPath, bool), DxfError> {
        let count = self.number(93)?;
        let mut vertices: Vec<Vertex> = Vec::new();
        // The boundary's own pairs end where its list of source objects begins.
        for pair in self.until(&[97, 92, 75]) {
            let full = vertices.len() as f64 >= count;
            match (pair.code, vertices.last_mut()) {
                (10, _) if full => break,
                (10, _) => vertices.push(Vertex { at: Point::new(pair.number()?, 0.0), bulge: 0.0 }),
                (20, Some(last)) => last.at.y = pair.number()?,
                (42, Some(last)) => last.bulge = pair.number()?,
                _ => {}
            }
        }
        // A hatch fills its boundary whether or not it is marked as closed.
        Ok((polyline(&vertices, true), true))
    }

    fn edges(&mut self, paths: &mut Vec<(BezPath, bool)>) -> Result<(), DxfError> {
        let count = self.number(93)?;
        let mut left = count.max(0.0) as u64;
        while left > 0 && self.pairs.iter().any(|pair| pair.code == 72) {
            left -= 1;
            let edge = match self.number(72)? as i64 {
                1 => Some((self.line_edge()?, false)),
                2 => Some(self.arc_edge()?),
                3 => Some(self.ellipse_edge()?),
                4 => self.spline_edge()?,
                _ => None,
            };
            paths.extend(edge);
        }
        Ok(())
    }

    fn line_edge(&mut self) -> Result<BezPath, DxfError> {
        let mut path = BezPath::new();
        path.move_to(self.point(10)?);
        path.line_to(self.point(11)?);
        Ok(path)
    }

    fn arc_edge(&mut self) -> Result<(BezPath, bool), DxfError> {
        let (centre, radius) = (self.point(10)?, self.number(40)?.abs());
        let (start, sweep) = self.turn()?;
        Ok((arc(centre, radius, start, sweep), sweep.abs() == TAU))
    }

    fn ellipse_edge(&mut self) -> Result<(BezPath, bool), DxfError> {
        let (centre, major, ratio) = (self.point(10)?, self.point(11)?.to_vec2(), self.number(40)?);
        let (start, sweep) = self.turn()?;
        Ok((ellipse(centre, major, Vec2::new(-major.y, major.x) * ratio, start, sweep), sweep.abs() == TAU))
    }

    /// Start and sweep; a clockwise edge counts its angles clockwise.
    fn turn(&mut self) -> Result<(f64, f64), DxfError> {
        let (start, end) = (radians(self.number(50)?), radians(self.number(51)?));
        let swept = sweep(start, end);
        Ok(if self.number(73)? == 0.0 { (-start, -swept) } else { (start, swept) })
    }

    fn spline_edge(&mut self) -> Result<Option<(BezPath, bool)>, DxfError> {
        let degree = self.number(94)? as i64;
        let pairs = self.until(&[72, 92, 97]);
        let spline = spline_of(pairs, degree, false, [10, 42])?;
        if spline.control.is_empty() {
            let fitted = spline_of(pairs, degree, false, [11, 42])?;
            return Ok(through(&fitted.control, false).map(|path| (path, false)));
        }
        Ok(spline.path().map(|path| (path, false)))
    }
}
