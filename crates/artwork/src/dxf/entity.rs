//! Records into curves, filled areas and inserted blocks, in the drawing's own units, y up.

use super::DxfError;
use super::colour::{indexed, packed};
use super::curve::{Spline, Vertex, arc, ellipse, polyline, radians, sweep, through};
use super::hatch;
use super::pairs::{Pair, Record};
use crate::drawing::Rgb;
use kurbo::{Affine, BezPath, Point, Vec2};

/// How an entity is coloured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Paint {
    /// As its layer.
    Layer,
    /// As the insert that it is part of.
    Block,
    /// In this colour.
    Own(Rgb),
}

/// What is drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Geometry {
    /// A curve, closed or open.
    Curve { path: BezPath, closed: bool },
    /// An area bounded by curves that may still want joining; even-odd.
    Area(Vec<(BezPath, bool)>),
    /// A block, drawn again.
    Insert(Insert),
}

/// A block drawn again, once or in rows and columns.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Insert {
    pub(super) block: String,
    /// From the block's units, its base point at the origin, to where it is inserted.
    pub(super) map: Affine,
    pub(super) columns: u32,
    pub(super) rows: u32,
    /// Between columns and between rows, before turning.
    pub(super) spacing: Vec2,
    /// The turn alone, which the spacing follows.
    pub(super) turn: Affine,
}

/// One entity.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Entity<'a> {
    pub(super) layer: &'a str,
    pub(super) paint: Paint,
    pub(super) geometry: Geometry,
    pub(super) line: u32,
}

/// What a record comes to.
pub(super) enum Read<'a> {
    Drawn(Entity<'a>),
    /// It has no outline, or one that we cannot read.
    LeftOut(&'a str),
    /// Not meant to be seen, or part of another entity.
    Nothing,
}

/// Reads the entity that begins `records`; gives how many records it takes.
pub(super) fn entity<'a>(records: &[Record<'a, '_>]) -> Result<(Read<'a>, usize), DxfError> {
    let head = &records[0];
    let taken = extent(records);
    if head.whole_or(67, 0)? == 1 || head.whole_or(60, 0)? == 1 {
        return Ok((Read::Nothing, taken));
    }
    let geometry = match head.kind {
        "LINE" => Some(line(head)?),
        "CIRCLE" => Some(circle(head)?),
        "ARC" => Some(arc_of(head)?),
        "ELLIPSE" => Some(ellipse_of(head)?),
        "LWPOLYLINE" => light_polyline(head)?,
        "POLYLINE" => heavy_polyline(head, &records[1..taken])?,
        "SPLINE" => spline(head)?,
        "HATCH" => hatch::hatch(head)?.map(|paths| placed_area(head, paths)).transpose()?,
        "SOLID" | "TRACE" => Some(solid(head)?),
        "INSERT" => Some(Geometry::Insert(insert(head)?)),
        // Points mark, they do not bound; the rest of a table or a list is no drawing.
        "POINT" | "SEQEND" | "VERTEX" | "ATTDEF" | "ATTRIB" | "VIEWPORT" => return Ok((Read::Nothing, taken)),
        _ => None,
    };
    let Some(geometry) = geometry else { return Ok((Read::LeftOut(head.kind), taken)) };
    let entity = Entity { layer: head.text(8).unwrap_or("0"), paint: paint(head)?, geometry, line: head.line };
    Ok((Read::Drawn(entity), taken))
}

/// A polyline's points and an insert's texts follow as records of their own, up to a SEQEND.
fn extent(records: &[Record<'_, '_>]) -> usize {
    let follows = |record: &Record<'_, '_>| matches!(record.kind, "VERTEX" | "ATTRIB");
    match records[0].kind {
        "POLYLINE" | "INSERT" => {
            let parts = records[1..].iter().take_while(|record| follows(record)).count();
            let ends = records.get(1 + parts).is_some_and(|record| record.kind == "SEQEND");
            1 + parts + usize::from(ends)
        }
        _ => 1,
    }
}

fn paint(record: &Record<'_, '_>) -> Result<Paint, DxfError> {
    if let Some(true_colour) = record.find(420) {
        return Ok(Paint::Own(packed(true_colour.whole()?)));
    }
    Ok(match record.whole_or(62, 256)? {
        0 => Paint::Block,
        index @ 1..=255 => Paint::Own(indexed(index as u8)),
        _ => Paint::Layer,
    })
}

/// From an entity's own plane to the drawing's, seen from above.
///
/// The plane's axes follow from its normal by the format's "arbitrary axis" rule: x is `Y × n` where
/// the normal is within 1/64 of upright in both parts, else `Z × n`; y is `n × x`.
pub(super) fn plane(record: &Record<'_, '_>) -> Result<Affine, DxfError> {
    let n = normal(record)?;
    let height = record.number_or(38, record.number_or(30, 0.0)?)?;
    let (x, y) = axes(n);
    Ok(Affine::new([x[0], x[1], y[0], y[1], n[0] * height, n[1] * height]))
}

fn normal(record: &Record<'_, '_>) -> Result<[f64; 3], DxfError> {
    let n = [record.number_or(210, 0.0)?, record.number_or(220, 0.0)?, record.number_or(230, 1.0)?];
    Ok(unit(n).unwrap_or([0.0, 0.0, 1.0]))
}

fn axes(n: [f64; 3]) -> ([f64; 3], [f64; 3]) {
    let near_upright = n[0].abs() < 1.0 / 64.0 && n[1].abs() < 1.0 / 64.0;
    let from = if near_upright { [0.0, 1.0, 0.0] } else { [0.0, 0.0, 1.0] };
    let x = unit(cross(from, n)).unwrap_or([1.0, 0.0, 0.0]);
    (x, cross(n, x))
}

fn cross(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

fn unit(v: [f64; 3]) -> Option<[f64; 3]> {
    let length = v.iter().map(|x| x * x).sum::<f64>().sqrt();
    (length > 1e-12).then(|| v.map(|x| x / length))
}

pub(super) fn point(record: &Record<'_, '_>, code: i32) -> Result<Point, DxfError> {
    Ok(Point::new(record.need(code)?, record.need(code + 10)?))
}

fn curve(path: BezPath, closed: bool) -> Geometry {
    Geometry::Curve { path, closed }
}

fn line(record: &Record<'_, '_>) -> Result<Geometry, DxfError> {
    let mut path = BezPath::new();
    path.move_to(point(record, 10)?);
    path.line_to(point(record, 11)?);
    Ok(curve(path, false))
}

fn circle(record: &Record<'_, '_>) -> Result<Geometry, DxfError> {
    let path = arc(point(record, 10)?, record.need(40)?.abs(), 0.0, std::f64::consts::TAU);
    Ok(curve(plane(record)? * path, true))
}

fn arc_of(record: &Record<'_, '_>) -> Result<Geometry, DxfError> {
    let (start, end) = (radians(record.need(50)?), radians(record.need(51)?));
    let path = arc(point(record, 10)?, record.need(40)?.abs(), start, sweep(start, end));
    Ok(curve(plane(record)? * path, false))
}

/// An ellipse lies in the drawing's own space; its minor axis is `n × major` times the ratio.
fn ellipse_of(record: &Record<'_, '_>) -> Result<Geometry, DxfError> {
    let major = [record.need(11)?, record.need(21)?, record.number_or(31, 0.0)?];
    let across = cross(normal(record)?, major);
    let ratio = record.need(40)?;
    let (start, end) = (record.number_or(41, 0.0)?, record.number_or(42, std::f64::consts::TAU)?);
    let swept = sweep(start, end);
    let minor = Vec2::new(across[0], across[1]) * ratio;
    let path = ellipse(point(record, 10)?, Vec2::new(major[0], major[1]), minor, start, swept);
    Ok(curve(path, swept == std::f64::consts::TAU))
}

fn light_polyline(record: &Record<'_, '_>) -> Result<Option<Geometry>, DxfError> {
    let mut vertices: Vec<Vertex> = Vec::new();
    for pair in record.pairs {
        match (pair.code, vertices.last_mut()) {
            (10, _) => vertices.push(Vertex { at: Point::new(pair.number()?, 0.0), bulge: 0.0 }),
            (20, Some(last)) => last.at.y = pair.number()?,
            (42, Some(last)) => last.bulge = pair.number()?,
            _ => {}
        }
    }
    let closed = record.whole_or(70, 0)? & 1 == 1;
    Ok((vertices.len() > 1)
        .then_some(())
        .map(|()| plane(record))
        .transpose()?
        .map(|plane| curve(plane * polyline(&vertices, closed), closed)))
}

/// A mesh has no one outline, and is left out.
fn heavy_polyline(head: &Record<'_, '_>, parts: &[Record<'_, '_>]) -> Result<Option<Geometry>, DxfError> {
    let flags = head.whole_or(70, 0)?;
    let mut vertices = Vec::new();
    for part in parts.iter().filter(|part| part.kind == "VERTEX") {
        // The frame that a fitted curve was made from is not drawn.
        if part.whole_or(70, 0)? & 16 == 0 {
            vertices.push(Vertex { at: point(part, 10)?, bulge: part.number_or(42, 0.0)? });
        }
    }
    if flags & (16 | 64) != 0 || vertices.len() < 2 {
        return Ok(None);
    }
    let closed = flags & 1 == 1;
    let three_dimensional = flags & 8 != 0;
    let plane = if three_dimensional { Affine::IDENTITY } else { plane(head)? };
    Ok(Some(curve(plane * polyline(&vertices, closed), closed)))
}

fn spline(record: &Record<'_, '_>) -> Result<Option<Geometry>, DxfError> {
    let spline = spline_of(record.pairs, record.whole_or(71, 3)?, record.whole_or(70, 0)? & 1 == 1, [10, 41])?;
    let fitted = if spline.control.is_empty() { points(record.pairs, 11)? } else { Vec::new() };
    let path = if fitted.is_empty() { spline.path() } else { through(&fitted, spline.closed) };
    Ok(path.map(|path| curve(path, spline.closed)))
}

/// * `codes`: of the control points' x, and of their weights.
pub(super) fn spline_of(pairs: &[Pair<'_>], degree: i64, closed: bool, codes: [i32; 2]) -> Result<Spline, DxfError> {
    let all = |code: i32| pairs.iter().filter(move |pair| pair.code == code).map(Pair::number);
    Ok(Spline {
        degree: usize::try_from(degree).unwrap_or(0),
        knots: all(40).collect::<Result<_, _>>()?,
        control: points(pairs, codes[0])?,
        weights: all(codes[1]).collect::<Result<_, _>>()?,
        closed,
    })
}

/// Points whose x has this code and y ten more.
fn points(pairs: &[Pair<'_>], code: i32) -> Result<Vec<Point>, DxfError> {
    let mut found: Vec<Point> = Vec::new();
    for pair in pairs {
        if pair.code == code {
            found.push(Point::new(pair.number()?, 0.0));
        } else if pair.code == code + 10
            && let Some(last) = found.last_mut()
        {
            last.y = pair.number()?;
        }
    }
    Ok(found)
}

/// Its third and fourth corner are stored crosswise.
fn solid(record: &Record<'_, '_>) -> Result<Geometry, DxfError> {
    let (a, b, c) = (point(record, 10)?, point(record, 11)?, point(record, 12)?);
    let d = if record.find(13).is_some() { point(record, 13)? } else { c };
    let corner = |at| Vertex { at, bulge: 0.0 };
    let path = polyline(&[a, b, d, c].map(corner), true);
    Ok(Geometry::Area(vec![(plane(record)? * path, true)]))
}

fn placed_area(record: &Record<'_, '_>, paths: Vec<(BezPath, bool)>) -> Result<Geometry, DxfError> {
    // A hatch's elevation stands in its first point, whose x and y are zero.
    let plane = plane(record)?;
    Ok(Geometry::Area(paths.into_iter().map(|(path, closed)| (plane * path, closed)).collect()))
}

fn insert(record: &Record<'_, '_>) -> Result<Insert, DxfError> {
    let block = record.text(2).ok_or(DxfError::Missing { line: record.line, kind: "INSERT".to_owned(), code: 2 })?;
    let at = point(record, 10)?;
    let turn = Affine::rotate(radians(record.number_or(50, 0.0)?));
    let scale = Affine::scale_non_uniform(record.number_or(41, 1.0)?, record.number_or(42, 1.0)?);
    let count = |code| Ok(record.whole_or(code, 1)?.clamp(1, i64::from(u16::MAX)) as u32);
    let plane = plane(record)?;
    let placed = plane * Affine::translate(at.to_vec2());
    Ok(Insert {
        block: block.to_owned(),
        map: placed * turn * scale,
        columns: count(70)?,
        rows: count(71)?,
        spacing: Vec2::new(record.number_or(44, 0.0)?, record.number_or(45, 0.0)?),
        turn: plane * turn,
    })
}
