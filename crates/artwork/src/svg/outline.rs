//! Painted pieces into clean regions, with a limit on everything that may grow.

use super::error::ReadError;
use super::walk::{Clip, Ink, Piece, Pieces};
use super::{Limits, ReadOptions, Shape};
use crate::grid::Point;
use crate::region::{FillRule, REACH_MM, Region, Ring, control_length, crossings, flattened};
use kurbo::{Affine, BezPath, Shape as _};
use language::{Language, say};
use rayon::prelude::*;
use std::borrow::Cow;
use std::sync::atomic::{AtomicUsize, Ordering};
use usvg::tiny_skia_path::{self, PathSegment};

/// The pieces that cover anything, in paint order.
pub(super) fn shapes(pieces: Pieces<'_>, options: &ReadOptions) -> Result<Vec<Shape>, ReadError> {
    let maker = Maker { options, vertices: AtomicUsize::new(0) };
    let mut clips: Vec<Region> = Vec::with_capacity(pieces.clips.len());
    for clip in &pieces.clips {
        clips.push(maker.clip(clip, &clips)?);
    }
    let language = Language::current();
    let shapes: Vec<Option<Shape>> = pieces
        .painted
        .into_par_iter()
        .map(|piece| {
            let region = language.scope(|| maker.region(&piece, &clips))?;
            let shape = Shape { id: piece.id, groups: piece.groups, paint: piece.paint, region };
            Ok((!shape.region.is_empty()).then_some(shape))
        })
        .collect::<Result<_, ReadError>>()?;
    let shapes: Vec<Shape> = shapes.into_iter().flatten().collect();
    let all = || shapes.iter().flat_map(|shape| shape.region.rings());
    check_crossings(say!("the drawing"), all(), &options.limits)?;
    Ok(shapes)
}

struct Maker<'a> {
    options: &'a ReadOptions,
    /// Points made so far, and points of clips each time that one is applied.
    vertices: AtomicUsize,
}

impl Maker<'_> {
    fn clip(&self, clip: &Clip<'_>, clips: &[Region]) -> Result<Region, ReadError> {
        let mut whole = Region::default();
        // Neighbours that all let through, or all cover, are taken together.
        for run in clip.parts.chunk_by(|(_, a), (_, b)| a == b) {
            let parts: Vec<Region> = run.iter().map(|(part, _)| self.region(part, clips)).collect::<Result<_, _>>()?;
            let ground = Region::union_of(&parts);
            whole = if run[0].1 { whole.union(&ground) } else { whole.subtract(&ground) };
        }
        Ok(clip.within.iter().fold(whole, |region, &outer| region.intersect(&clips[outer])))
    }

    fn region(&self, piece: &Piece<'_>, clips: &[Region]) -> Result<Region, ReadError> {
        let path = self.inked(piece)?;
        check_reach(piece, &path)?;
        self.check_curves(piece, &path)?;
        let rings = flattened(&path, piece.map, self.options.tolerance_mm);
        self.spend(piece, rings.iter().map(|ring| ring.0.len()).sum())?;
        check_crossings(&named(piece), rings.iter(), &self.options.limits)?;
        let rule = match piece.ink {
            Ink::Fill(rule) => rule,
            Ink::Stroke { .. } => FillRule::NonZero,
        };
        let mut region = Region::from_rings(&rings, rule);
        for &clip in &piece.clips {
            self.spend(piece, clips[clip].vertex_count())?;
            region = region.intersect(&clips[clip]);
        }
        Ok(region)
    }

    /// The path to fill: the piece's own, or the outline of its stroke.
    fn inked(&self, piece: &Piece<'_>) -> Result<BezPath, ReadError> {
        let Ink::Stroke { stroke, dash_px } = &piece.ink else { return Ok(bezier(&piece.path)) };
        // A quarter of a unit at this scale is what the stroker allows itself.
        let tolerance = self.options.tolerance_mm / scale(piece.map).max(1e-9);
        let resolution = (0.5 / tolerance).clamp(1.0, 1e5) as f32;
        let mut line = Cow::Borrowed(piece.path.as_ref());
        if let Some(dash) = &stroke.dash {
            check_dashes(piece, *dash_px, &self.options.limits)?;
            match piece.path.dash(dash, resolution) {
                Some(dashed) => line = Cow::Owned(dashed),
                None => return Ok(BezPath::new()),
            }
        }
        Ok(line.stroke(stroke, resolution).as_ref().map_or_else(BezPath::new, bezier))
    }

    /// Stops a path of enormous curves before its chords fill the memory. A curve of length `l` takes
    /// about `sqrt(l / tolerance) / 2` chords.
    fn check_curves(&self, piece: &Piece<'_>, path: &BezPath) -> Result<(), ReadError> {
        let tolerance_px = self.options.tolerance_mm / scale(piece.map).max(1e-9);
        let chords = |segment: kurbo::PathSeg| match segment {
            kurbo::PathSeg::Line(_) => 1.0,
            curve => 1.0 + 0.5 * (control_length(&curve) / tolerance_px).sqrt(),
        };
        let limit = self.options.limits.vertices;
        if path.segments().map(chords).sum::<f64>() <= 4.0 * limit as f64 {
            return Ok(());
        }
        Err(ReadError::TooManyVertices { element: named(piece), limit })
    }

    fn spend(&self, piece: &Piece<'_>, vertices: usize) -> Result<(), ReadError> {
        let limit = self.options.limits.vertices;
        if self.vertices.fetch_add(vertices, Ordering::Relaxed) + vertices <= limit {
            return Ok(());
        }
        Err(ReadError::TooManyVertices { element: named(piece), limit })
    }
}

fn named(piece: &Piece<'_>) -> String {
    let group = piece.groups.last().map(|group| say!("a shape in \"{group}\""));
    match piece.id.as_str() {
        "" => group.unwrap_or_else(|| say!("an unnamed shape").to_owned()),
        id => format!("\"{id}\""),
    }
}

fn scale(map: Affine) -> f64 {
    map.determinant().abs().sqrt()
}

fn bezier(path: &tiny_skia_path::Path) -> BezPath {
    let at = |p: tiny_skia_path::Point| kurbo::Point::new(f64::from(p.x), f64::from(p.y));
    let mut made = BezPath::new();
    for segment in path.segments() {
        match segment {
            PathSegment::MoveTo(p) => made.move_to(at(p)),
            PathSegment::LineTo(p) => made.line_to(at(p)),
            PathSegment::QuadTo(a, p) => made.quad_to(at(a), at(p)),
            PathSegment::CubicTo(a, b, p) => made.curve_to(at(a), at(b), at(p)),
            PathSegment::Close => made.close_path(),
        }
    }
    made
}

fn check_reach(piece: &Piece<'_>, path: &BezPath) -> Result<(), ReadError> {
    let around = (piece.map * path).control_box();
    let reach_mm = [around.x0, around.y0, around.x1, around.y1].iter().fold(0.0_f64, |far, x| far.max(x.abs()));
    if path.is_empty() || reach_mm <= REACH_MM {
        return Ok(());
    }
    Err(ReadError::FarAway { element: named(piece), reach_mm, limit_mm: REACH_MM })
}

fn check_dashes(piece: &Piece<'_>, dash_px: f64, limits: &Limits) -> Result<(), ReadError> {
    let count = (bezier(&piece.path).perimeter(1.0) / dash_px.max(1e-9)) as u64;
    if count <= limits.dashes {
        return Ok(());
    }
    Err(ReadError::TooManyDashes { element: named(piece), count, limit: limits.dashes })
}

fn check_crossings<'a>(element: &str, rings: impl Iterator<Item = &'a Ring>, limits: &Limits) -> Result<(), ReadError> {
    let edges: Vec<(Point, Point)> = rings.flat_map(Ring::edges).collect();
    let count = crossings(&edges);
    if count <= limits.crossings {
        return Ok(());
    }
    Err(ReadError::TooManyCrossings { element: element.to_owned(), count, limit: limits.crossings })
}
