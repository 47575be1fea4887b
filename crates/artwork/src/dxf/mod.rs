//! DXF files in text form, releases 12 to 2018, read into drawings, and regions written as DXF.
//!
//! The way in: [`pairs`](self) splits the text into groups; `tables` finds units, layers and blocks;
//! `entity` turns records into curves; `expand` draws the blocks; `chain` joins loose curves into
//! outlines. The outlines of one layer and colour are filled even-odd, so that an outline inside
//! another is a hole; hatches and solids are added to that.
//!
//! A file's y runs up and its origin may lie anywhere: the drawing's page is the rectangle around all
//! that is drawn, and its y runs down, as everywhere in this crate.
//!
//! The reader is our own: the ready-made one that was tried has no hatches, keeps no line numbers for
//! its errors, and has no limits on what a file may make it do.

mod chain;
mod colour;
mod curve;
mod entity;
mod expand;
mod hatch;
mod pairs;
mod tables;
mod write;

use language::say;
pub use write::{DxfLayer, write_dxf};

use crate::bounds::Bounds;
use crate::drawing::{Drawing, Shape};
use crate::grid::Point;
use crate::region::{FillRule, Region, Ring, crossings, flattened};
use expand::Group;
use kurbo::{Affine, BezPath};
use quantity::Length;
use rayon::prelude::*;

/// How to read a DXF file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DxfOptions {
    /// Widest gap between two ends that is closed, 0 to 1 mm. Wider joins what is meant to be apart.
    pub join_mm: f64,
    /// Greatest distance between a curve and its chords, 0.001 to 0.1 mm.
    pub tolerance_mm: f64,
    /// Millimetres in a unit of a file that does not say.
    pub unit_mm: f64,
    /// What is refused.
    pub limits: DxfLimits,
}

/// How much of a file is too much.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DxfLimits {
    /// Bytes of the file.
    pub bytes: usize,
    /// Entities after all blocks are drawn.
    pub entities: usize,
    /// Blocks inside blocks.
    pub depth: usize,
    /// Points after flattening.
    pub vertices: usize,
    /// Times that outlines cross, estimated.
    pub crossings: u64,
    /// Greatest width or height of the drawing.
    pub size_mm: f64,
}

impl Default for DxfLimits {
    fn default() -> Self {
        Self {
            bytes: 64 << 20,
            entities: 500_000,
            depth: 32,
            vertices: 2_000_000,
            crossings: 2_000_000,
            size_mm: 10_000.0,
        }
    }
}

impl Default for DxfOptions {
    fn default() -> Self {
        Self { join_mm: 0.05, tolerance_mm: 0.005, unit_mm: 1.0, limits: DxfLimits::default() }
    }
}

/// What was mended, or wants mending.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repair {
    /// Where, on the drawing's page.
    pub at: Point,
    /// How far apart the ends were, or still are; zero for a double.
    pub gap: Length,
    /// What was done.
    pub kind: RepairKind,
}

/// What was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum RepairKind {
    /// Two ends were joined by a straight line.
    GapClosed,
    /// A curve that lies on another was left out.
    DoubleRemoved,
    /// A chain of curves whose ends are too far apart encloses nothing, and was left out.
    StaysOpen,
}

/// A drawing and what was mended in it.
#[derive(Debug, Clone, PartialEq)]
pub struct DxfDrawing {
    /// One shape for each layer and colour, named by its layer.
    pub drawing: Drawing,
    /// Each place, widest gap first.
    pub repairs: Vec<Repair>,
}

/// What was left out, or taken for granted.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum DxfNote {
    /// Entities of a kind that has no outline here.
    LeftOut {
        /// The entity's name in the format.
        kind: String,
        /// How many.
        count: usize,
    },
    /// The file does not say its unit.
    UnitAssumed {
        /// Millimetres that one unit was taken for.
        unit_mm: f64,
    },
    /// A layer is switched off or frozen: left out.
    LayerOff {
        /// Its name.
        layer: String,
    },
    /// An insert of a block that the file does not hold: left out.
    NoBlock {
        /// The block's name.
        block: String,
    },
}

/// Why a DXF file could not be read.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum DxfError {
    /// The file is too long.
    #[error("{}", say!("the file has {bytes} bytes, the limit is {limit}; purge unused blocks and layers"))]
    TooLong {
        /// Its length.
        bytes: usize,
        /// The longest allowed.
        limit: usize,
    },
    /// Binary, or another format altogether.
    #[error("{}", say!("the file is not DXF in text form; save the drawing as ASCII DXF"))]
    NotText,
    /// A line that should be a group code is none.
    #[error("{}", say!("line {line}: \"{text}\" is no group code; save the drawing again as ASCII DXF"))]
    NoGroupCode {
        /// Where.
        line: u32,
        /// What stands there.
        text: String,
    },
    /// A group code without a value.
    #[error("{}", say!("line {line}: the file ends in the middle of a group; save the drawing again"))]
    CutShort {
        /// The last line.
        line: u32,
    },
    /// A value that should be a number is none.
    #[error("{}", say!("line {line}: \"{text}\" is no number for group {code}; mend it or save the drawing again"))]
    NoNumber {
        /// Where.
        line: u32,
        /// The group's code.
        code: i32,
        /// What stands there.
        text: String,
    },
    /// An entity lacks a value that it cannot do without.
    #[error("{}", say!("line {line}: {kind} has no group {code}; delete the entity or save the drawing again"))]
    Missing {
        /// Where the entity begins.
        line: u32,
        /// The entity's name in the format.
        kind: String,
        /// The group's code.
        code: i32,
    },
    /// A block that holds itself.
    #[error("{}", say!("line {line}: block \"{block}\" is inserted in itself; explode it"))]
    Circle {
        /// Where it is inserted.
        line: u32,
        /// The block's name.
        block: String,
    },
    /// Blocks in blocks beyond reason.
    #[error("{}", say!("line {line}: block \"{block}\" lies more than {limit} blocks deep; explode some"))]
    TooDeep {
        /// Where it is inserted.
        line: u32,
        /// The block's name.
        block: String,
        /// The deepest allowed.
        limit: usize,
    },
    /// Too many entities.
    #[error("{}", say!("line {line}: with its blocks drawn the file has more than {limit} entities; remove copies"))]
    TooMany {
        /// The entity that reached the limit.
        line: u32,
        /// The most allowed.
        limit: usize,
    },
    /// A curve that lies nowhere.
    #[error("{}", say!("line {line}: the entity lies beyond any drawing; delete it or mend its coordinates"))]
    FarAway {
        /// The entity.
        line: u32,
    },
    /// Too many points.
    #[error("{}", say!("with layer \"{layer}\" the drawing has more than {limit} points; simplify its curves"))]
    TooManyVertices {
        /// The layer that reached the limit.
        layer: String,
        /// The most allowed.
        limit: usize,
    },
    /// Outlines that cross too often.
    #[error("{}", say!("outlines of layer \"{layer}\" cross each other about {count} times, the limit is {limit}"))]
    TooManyCrossings {
        /// The layer.
        layer: String,
        /// Estimated from a sample of edge pairs.
        count: u64,
        /// The most allowed.
        limit: u64,
    },
    /// A drawing that no blank holds.
    #[error(
        "{}",
        say!(
            "the drawing is {width_mm:.1} by {height_mm:.1} mm, the limit is {limit_mm} mm; check the file's unit"
        )
    )]
    Size {
        /// Width found.
        width_mm: f64,
        /// Height found.
        height_mm: f64,
        /// The largest allowed.
        limit_mm: f64,
    },
    /// Nothing that encloses any area.
    #[error(
        "{}",
        say!(
            "nothing in the file encloses an area ({open} open chains); close the outlines, or allow a wider gap than \
             {join_mm} mm",
            join_mm = language::number(join_mm.to_string())
        )
    )]
    NoOutlines {
        /// Chains that stayed open.
        open: usize,
        /// Widest gap that was closed.
        join_mm: f64,
    },
}

/// Reads a DXF file in text form.
///
/// Drawn are lines, arcs, circles, ellipses, polylines light and heavy with bulges, splines (rational
/// too), hatches by their boundaries, solids, and inserts of blocks, nested, scaled, turned, mirrored
/// and in rows; each by the layer that it is on. Left out with a note: texts, dimensions, meshes,
/// widths of lines, and layers that are off.
///
/// Accuracy: curves within `tolerance_mm`, chords inside. A file without a unit is taken in
/// `options.unit_mm` with a note.
/// Checked: areas and lengths of each entity type in five releases as written by ezdxf
/// (tests/oracles/artwork_dxf.py).
///
/// # Errors
/// [`DxfError`] when the file is not text DXF, encloses nothing, or goes beyond `options.limits`.
pub fn read_dxf(bytes: &[u8], options: &DxfOptions) -> Result<DxfDrawing, DxfError> {
    let limits = &options.limits;
    if bytes.len() > limits.bytes {
        return Err(DxfError::TooLong { bytes: bytes.len(), limit: limits.bytes });
    }
    let text = tables::decode(bytes)?;
    let pairs = pairs::pairs(&text)?;
    let file = tables::file(&pairs)?;
    let (groups, mut notes) = expand::groups(&file, options)?;
    let mut joined: Vec<Joined> = groups.into_par_iter().map(|group| join(group, options.join_mm)).collect();
    let page = page(&joined, options)?;
    for repair in joined.iter_mut().flat_map(|group| &mut group.repairs) {
        repair.at = Point { x: repair.at.x - page.min.x, y: repair.at.y - page.min.y };
    }
    let shapes = shapes(&joined, page, options)?;
    let mut repairs: Vec<Repair> = joined.into_iter().flat_map(|group| group.repairs).collect();
    repairs.sort_by(|a, b| b.gap.partial_cmp(&a.gap).unwrap_or(std::cmp::Ordering::Equal));
    if file.unit_mm.is_none() {
        notes.push(DxfNote::UnitAssumed { unit_mm: options.unit_mm });
    }
    let notes = notes.into_iter().map(|note| crate::note::Remark::Dxf(note).into()).collect();
    let drawing = Drawing { width_mm: page.width_mm(), height_mm: page.height_mm(), shapes, notes };
    Ok(DxfDrawing { drawing, repairs })
}

/// A layer's outlines, closed.
struct Joined {
    layer: String,
    paint: crate::drawing::Rgb,
    outlines: Vec<BezPath>,
    /// Each even-odd by itself.
    areas: Vec<Vec<BezPath>>,
    repairs: Vec<Repair>,
}

fn join(group: Group, join_mm: f64) -> Joined {
    let mut repairs = Vec::new();
    let outlines = chain::outlines(group.curves, join_mm, &mut repairs);
    // A hatch repeats its outline on purpose, so what its own joining finds is not told.
    let areas = group.areas.into_iter().map(|curves| chain::outlines(curves, join_mm, &mut Vec::new())).collect();
    Joined { layer: group.layer, paint: group.paint, outlines, areas, repairs }
}

fn page(joined: &[Joined], options: &DxfOptions) -> Result<Bounds, DxfError> {
    let paths = joined.iter().flat_map(|group| group.outlines.iter().chain(group.areas.iter().flatten()));
    let boxes = paths.map(kurbo::Shape::bounding_box).filter(|at| at.is_finite());
    let around = boxes.reduce(|a, b| a.union(b)).filter(|at| at.width() > 0.0 && at.height() > 0.0);
    let Some(around) = around else {
        let repairs = joined.iter().flat_map(|group| &group.repairs);
        let open = repairs.filter(|repair| repair.kind == RepairKind::StaysOpen).count();
        return Err(DxfError::NoOutlines { open, join_mm: options.join_mm });
    };
    let (width_mm, height_mm, limit_mm) = (around.width(), around.height(), options.limits.size_mm);
    if width_mm > limit_mm || height_mm > limit_mm {
        return Err(DxfError::Size { width_mm, height_mm, limit_mm });
    }
    Ok(Bounds { min: Point { x: around.x0, y: around.y0 }, max: Point { x: around.x1, y: around.y1 } })
}

fn shapes(joined: &[Joined], page: Bounds, options: &DxfOptions) -> Result<Vec<Shape>, DxfError> {
    let map = Affine::translate((-page.min.x, -page.min.y));
    let mut left = options.limits.vertices;
    for group in joined {
        let chords = group.outlines.iter().chain(group.areas.iter().flatten()).map(|p| chords(p, options)).sum();
        left = left
            .checked_sub(chords)
            .ok_or_else(|| DxfError::TooManyVertices { layer: group.layer.clone(), limit: options.limits.vertices })?;
    }
    let made = joined.par_iter().map(|group| {
        let mut parts = vec![filled(group, &group.outlines, map, options)?];
        for area in &group.areas {
            parts.push(filled(group, area, map, options)?);
        }
        let region = Region::union_of(&parts);
        Ok(Shape { id: group.layer.clone(), groups: vec![group.layer.clone()], paint: group.paint, region })
    });
    let shapes: Vec<Shape> = made.collect::<Result<_, DxfError>>()?;
    let shapes: Vec<Shape> = shapes.into_iter().filter(|shape| !shape.region.is_empty()).collect();
    if shapes.is_empty() {
        return Err(DxfError::NoOutlines { open: 0, join_mm: options.join_mm });
    }
    Ok(shapes)
}

fn filled(group: &Joined, paths: &[BezPath], map: Affine, options: &DxfOptions) -> Result<Region, DxfError> {
    let rings: Vec<Ring> = paths.iter().flat_map(|path| flattened(path, map, options.tolerance_mm)).collect();
    let edges: Vec<(Point, Point)> = rings.iter().flat_map(Ring::edges).collect();
    let (count, limit) = (crossings(&edges), options.limits.crossings);
    if count > limit {
        return Err(DxfError::TooManyCrossings { layer: group.layer.clone(), count, limit });
    }
    Ok(Region::from_rings(&rings, FillRule::EvenOdd))
}

/// About how many chords a path takes: a curve of length `l` about `sqrt(l / tolerance) / 2`.
fn chords(path: &BezPath, options: &DxfOptions) -> usize {
    let each = |segment: kurbo::PathSeg| match segment {
        kurbo::PathSeg::Line(_) => 1.0,
        curve => 1.0 + 0.5 * (crate::region::control_length(&curve) / options.tolerance_mm).sqrt(),
    };
    path.segments().map(each).sum::<f64>() as usize
}

#[cfg(test)]
mod tests;
