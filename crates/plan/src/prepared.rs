//! The piece's geometry, made once: layers on the blank, their cells, and the sketch that judging needs.

use crate::model::Notes;
use crate::refusal::Refusal;
use crate::sketch::Sketch;
use artwork::bounds::Bounds;
use artwork::depth::{DepthLayer, DepthRule, Resolved, Selector, resolve};
use artwork::grid::{Field, Grid, Mask, Point};
use artwork::place::{Placement, Position, Sizing, place};
use artwork::raster::rasterise;
use artwork::region::Region;
use artwork::svg::{Drawing, Rgb};
use piece::{Piece, Placing, Select, Temper};
use quantity::{Length, Quantity};
use rayon::prelude::*;
use safety::refusal::{Treatment, carvable_thickness};

/// How finely a plan looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Detail {
    /// Coarse cells: while a control moves.
    Instant,
    /// Cells of this edge, 0.02 mm to 1 mm, and the closed form of the profile: exact but for the rims
    /// where a later stage opens ground beside what is carved (0.03 mm there, as `carve::quick` says).
    Fine {
        /// Cell edge.
        cell: Length,
    },
    /// The same cells and the height-field solver.
    Solved {
        /// Cell edge.
        cell: Length,
    },
}

impl Detail {
    /// The usual plan: cells of 0.1 mm.
    pub const USUAL: Self = Self::Fine { cell: quantity::known(Length::mm(0.1)) };

    fn cell_mm(self) -> f64 {
        match self {
            Self::Instant => 0.25,
            Self::Fine { cell } | Self::Solved { cell } => cell.to_mm().clamp(0.02, 1.0),
        }
    }
}

/// Most cells of a grid: 32 million take about half a gigabyte in all. A larger piece gets larger cells.
const CELLS_MAX: f64 = 32e6;

/// The drawing's layers of depth where they stand on the blank, as seen from the front.
///
/// # Errors
/// [`Refusal`] for depths that match nothing and artwork that is larger than the blank.
pub fn placed(piece: &Piece, drawing: &Drawing) -> Result<Resolved, Refusal> {
    let rules: Vec<DepthRule> = piece.depths.iter().map(rule).collect();
    on_blank(&resolve(drawing, &rules)?, piece)
}

/// Closed cells kept around the artwork, so that no opening touches the grid's edge.
const MARGIN_MM: f64 = 1.5;

/// A piece's geometry on its blank.
#[derive(Debug, Clone)]
pub(crate) struct Prepared {
    /// Deepest first; regions do not overlap.
    pub layers: Vec<DepthLayer>,
    /// Cells of the artwork with a margin.
    pub grid: Grid,
    /// 0 covered, else the layer's index plus 1.
    pub layer: Field<u8>,
    /// The numbers that judging needs.
    pub sketch: Sketch,
    /// What the user may not have meant.
    pub notes: Notes,
}

impl Prepared {
    /// # Errors
    /// [`Refusal`] for a blank that must not be carved, depths that match nothing or go through, and
    /// artwork that is larger than the blank.
    pub(crate) fn new(piece: &Piece, drawing: &Drawing, detail: Detail) -> Result<Self, Refusal> {
        carvable_thickness(treatment(piece), piece.blank.thickness)?;
        let rules: Vec<DepthRule> = piece.depths.iter().map(rule).collect();
        let resolved = resolve(drawing, &rules)?;
        let notes = Notes { reading: drawing.notes.clone(), depths: resolved.notes.clone() };
        let placed = on_blank(&resolved, piece)?;
        let page_width_mm = placed.width_mm;
        let mut layers: Vec<DepthLayer> = placed.layers.into_iter().filter(|layer| !layer.region.is_empty()).collect();
        layers.sort_by(|a, b| b.depth.to_base().total_cmp(&a.depth.to_base()));
        let deepest = layers.first().ok_or(Refusal::NothingOpen)?.depth;
        if layers.len() > MOST_LAYERS {
            return Err(Refusal::TooManyLayers { given: layers.len(), most: MOST_LAYERS });
        }
        if deepest >= piece.blank.thickness {
            return Err(Refusal::Through { depth: deepest, thickness: piece.blank.thickness });
        }
        let grid = grid(&layers, detail.cell_mm())?;
        let masks: Vec<Mask> = layers.par_iter().map(|layer| rasterise(&layer.region, grid)).collect();
        let layer = layer_field(grid, &masks);
        let blank = blank_bounds(piece);
        let sketch = Sketch::new(&layers, &layer, blank, page_width_mm);
        Ok(Self { layers, grid, layer, sketch, notes })
    }

    /// What is open after the first `count` layers were weeded.
    pub(crate) fn opened(&self, count: usize) -> Mask {
        let most = count as u8;
        let mut open = Field::filled(self.grid, false);
        by_rows(self.grid, &mut open.values).zip(self.layer.values.par_chunks(self.grid.width)).for_each(
            |(open, layer)| {
                for (open, &layer) in open.iter_mut().zip(layer) {
                    *open = layer != 0 && layer <= most;
                }
            },
        );
        open
    }
}

fn by_rows<T: Send>(grid: Grid, values: &mut [T]) -> impl IndexedParallelIterator<Item = &mut [T]> {
    values.par_chunks_mut(grid.width.max(1))
}

/// A cell names its layer in a byte, and no stencil has as many.
const MOST_LAYERS: usize = 60;

fn treatment(piece: &Piece) -> Treatment {
    let blank = &piece.blank;
    match blank.temper {
        Temper::Tempered => Treatment::Tempered,
        Temper::HeatStrengthened => Treatment::HeatStrengthened,
        Temper::Annealed if blank.laminated => Treatment::Laminated { outer_ply: blank.thickness },
        Temper::Annealed => Treatment::Plain,
    }
}

fn rule(depth: &piece::Depth) -> DepthRule {
    let select = match &depth.select {
        Select::Layer(id) => Selector::Layer(id.clone()),
        Select::Colour([r, g, b]) => Selector::Colour(Rgb { r: *r, g: *g, b: *b }),
    };
    DepthRule { select, depth: depth.depth }
}

/// The drawing on the blank, as seen from the front.
fn on_blank(resolved: &Resolved, piece: &Piece) -> Result<Resolved, Refusal> {
    let body = piece.blank.body;
    let (width, height) = (body.sheet_width_mm(), body.sheet_height_mm());
    let scale = match (piece.placing.width, piece.placing.height) {
        (Some(wanted), _) => wanted.to_mm() / resolved.width_mm,
        (None, Some(wanted)) => wanted.to_mm() / resolved.height_mm,
        (None, None) => 1.0,
    };
    let page = (resolved.width_mm * scale, resolved.height_mm * scale);
    let placement = Placement {
        size: Sizing::Scale(scale),
        position: position(&piece.placing, page, (width, height)),
        mirrored: false,
    };
    let sheet = |mm: f64| Length::mm(mm).map_err(Refusal::Range);
    Ok(place(resolved, &placement, sheet(width)?, sheet(height)?)?)
}

/// Centred where a side is not given: what is opened when neither is, else the page.
fn position(placing: &Placing, page: (f64, f64), sheet: (f64, f64)) -> Position {
    match (placing.left, placing.top) {
        (None, None) => Position::Centred,
        (left, top) => Position::Page(Point {
            x: left.map_or(0.5 * (sheet.0 - page.0), Length::to_mm),
            y: top.map_or(0.5 * (sheet.1 - page.1), Length::to_mm),
        }),
    }
}

fn blank_bounds(piece: &Piece) -> Bounds {
    let body = piece.blank.body;
    let far = Point { x: body.sheet_width_mm(), y: body.sheet_height_mm() };
    Bounds { min: Point { x: 0.0, y: 0.0 }, max: far }
}

fn grid(layers: &[DepthLayer], cell_mm: f64) -> Result<Grid, Refusal> {
    let bounds = layers.iter().filter_map(|layer| layer.region.bounds()).reduce(Bounds::with);
    let bounds = bounds.ok_or(Refusal::NothingOpen)?.grown(MARGIN_MM);
    let area = bounds.width_mm() * bounds.height_mm();
    let cell = cell_mm.max((area / CELLS_MAX).sqrt());
    Ok(Grid {
        origin: bounds.min,
        cell,
        width: (bounds.width_mm() / cell).ceil() as usize,
        height: (bounds.height_mm() / cell).ceil() as usize,
    })
}

/// Which layer each cell belongs to. Layers do not overlap; should rounding make two claim a cell, the
/// deeper one has it.
fn layer_field(grid: Grid, masks: &[Mask]) -> Field<u8> {
    let mut field = Field::filled(grid, 0u8);
    by_rows(grid, &mut field.values).enumerate().for_each(|(row, cells)| {
        // The deepest is written last.
        for (index, mask) in masks.iter().enumerate().rev() {
            for (cell, &open) in cells.iter_mut().zip(mask.row(row)) {
                *cell = if open { index as u8 + 1 } else { *cell };
            }
        }
    });
    field
}

/// The union of some layers' regions.
pub(crate) fn union(layers: &[DepthLayer]) -> Region {
    Region::union_of(layers.iter().map(|layer| &layer.region))
}
