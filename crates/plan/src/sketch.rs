//! A piece in few numbers: what judging a recipe needs to know of its geometry, and nothing else.
//!
//! It can be scaled and its depths changed without a new look at the drawing, so that a remedy is
//! tried in microseconds.

use crate::prepared::union;
use artwork::bounds::Bounds;
use artwork::depth::DepthLayer;
use artwork::distance::{Beyond, Side, distance};
use artwork::grid::{Field, Grid, Point};
use artwork::raster::rasterise;
use artwork::region::Region;
use artwork::ridge::{Of, RidgePoint, ridge};
use carve::distance_rule::DistanceRule;
use carve::staging;
use quantity::{Area, Length, Quantity};
use rayon::prelude::*;

/// The geometry of a piece in few numbers.
#[derive(Debug, Clone)]
pub(crate) struct Sketch {
    /// Deepest first.
    pub layers: Vec<SketchLayer>,
    /// Resist walls when all is open, narrowest first.
    pub walls: Vec<Narrow>,
    /// Of the whole drawing on the blank.
    pub drawing_width_mm: f64,
    /// Of the rectangle around all openings.
    pub stencil_width_mm: f64,
    /// Of the same.
    pub stencil_height_mm: f64,
    /// Twice the furthest that an opening lies from the sheet's upright middle line.
    pub around_mm: f64,
    /// Where the openings begin and end, down from the sheet's upper edge.
    pub down_mm: (f64, f64),
    /// For 1, 2, … layers opened: area within a radius of what is open, in steps of [`RADIUS_STEP_MM`].
    swept_mm2: Vec<Vec<f64>>,
}

/// A layer in few numbers.
#[derive(Debug, Clone)]
pub(crate) struct SketchLayer {
    pub name: String,
    pub target: Length,
    pub area: Area,
    /// Length of its outline.
    pub edge_m: f64,
    /// Separate openings.
    pub parts: usize,
    /// From it to the nearest edge of the blank, by the rectangle around it.
    pub from_edge_mm: Option<f64>,
    /// From the sides of the rectangle around all openings to those of the one around it: left, top, right, bottom.
    inset_mm: Option<[f64; 4]>,
    /// Its middle lines where they are narrow, narrowest first.
    pub narrow: Vec<Narrow>,
    /// The same, tips aside, gathered by width: width and area in mm and mm².
    by_width: Vec<(f64, f64)>,
}

/// A narrow place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Narrow {
    pub at: Point,
    pub width_mm: f64,
    /// Length of line that it stands for.
    pub length_mm: f64,
    /// Area of line that it stands for: width times length.
    pub area_mm2: f64,
    /// Where the line ends in a point: it comes out blunt and is not lost.
    pub tip: bool,
}

/// What a layer's lines reach.
#[derive(Debug, Clone, Copy)]
pub(crate) struct LineReach {
    /// Share of the layer's area in lines that stay more than a tenth short.
    pub short_share: f64,
    /// Depth in the middle of the narrowest line that is no tip.
    pub shallowest: Length,
}

/// Cell of the coarse grid on which swept areas are counted; an area is right within a few cells of edge.
const COARSE_MM: f64 = 0.5;
/// Step of the radius.
const RADIUS_STEP_MM: f64 = 0.5;
/// Largest radius: a footprint at 400 mm standoff.
const RADIUS_MAX_MM: f64 = 40.0;
/// Least width below which lines are followed, and how many depths wide a line is that is followed. A
/// flat bottom needs 2σ, about 1.1 depths; a steeper law up to 1.3.
const FOLLOW_MM: f64 = 2.2;
const FOLLOW_DEPTHS: f64 = 1.15;
/// Walls wider than this hold under every resist of the tables.
const WALLS_FOLLOWED: Length = quantity::known(Length::mm(3.2));
/// Lines this near to their target count as there.
const NEAR_ENOUGH: f64 = 0.9;
/// Two places nearer than this are one to a person who looks.
const APART_MM: f64 = 6.0;

impl Sketch {
    /// * `layers`: deepest first. * `layer`: which layer each cell belongs to.
    pub(crate) fn new(layers: &[DepthLayer], layer: &Field<u8>, blank: Bounds, drawing_width_mm: f64) -> Self {
        let unions: Vec<Region> = (1..=layers.len()).into_par_iter().map(|count| union(&layers[..count])).collect();
        let whole = unions.last().and_then(Region::bounds).unwrap_or(blank);
        let follow =
            |index: usize| Length::clamped((FOLLOW_DEPTHS * layers[index].depth.to_mm()).max(FOLLOW_MM) * 1e-3);
        let ((lines, walls), swept_mm2) = rayon::join(
            || {
                let lines = |(index, open): (usize, &Region)| lines_of(index, open, layer, blank, follow(index));
                let lines: Vec<Vec<Narrow>> = unions.par_iter().enumerate().map(lines).collect();
                let walls = unions.last().map(|open| narrow(ridge(open, blank, Of::Walls, WALLS_FOLLOWED).into_iter()));
                (lines, walls.unwrap_or_default())
            },
            || unions.par_iter().map(|open| swept(open, whole)).collect(),
        );
        let layers = layers.iter().zip(lines).map(|(layer, narrow)| SketchLayer {
            name: layer.name.clone(),
            target: layer.depth,
            area: layer.region.area(),
            edge_m: layer.region.perimeter_mm() * 1e-3,
            parts: layer.region.polygons().len(),
            from_edge_mm: layer.region.bounds().map(|open| nearest(within(open, blank))),
            inset_mm: layer.region.bounds().map(|open| within(open, whole)),
            by_width: by_width(&narrow),
            narrow,
        });
        Self {
            layers: layers.collect(),
            walls: walls.into_iter().filter(|wall| !wall.tip).collect(),
            drawing_width_mm,
            stencil_width_mm: whole.width_mm(),
            stencil_height_mm: whole.height_mm(),
            around_mm: 2.0 * (whole.max.x - blank.centre().x).max(blank.centre().x - whole.min.x),
            down_mm: (whole.min.y, whole.max.y),
            swept_mm2,
        }
    }

    pub(crate) fn layer(&self, name: &str) -> Option<&SketchLayer> {
        self.layers.iter().find(|layer| layer.name == name)
    }

    /// Length of wall narrower than a width, as a share of all outlines.
    pub(crate) fn wall_share_below(&self, width_mm: f64) -> f64 {
        let below = self.walls.iter().take_while(|wall| wall.width_mm < width_mm);
        let edge_mm: f64 = self.layers.iter().map(|layer| layer.edge_m * 1e3).sum();
        // A wall has an outline on either side.
        2.0 * below.map(|wall| wall.length_mm).sum::<f64>() / edge_mm.max(1e-9)
    }

    /// Area that the hand sweeps in a stage: all that is open by then, and one footprint around it.
    pub(crate) fn swept(&self, stage: &staging::Stage, footprint: Length) -> Area {
        let opened = stage.opens.iter().max().map_or(0, |&last| last);
        let areas = &self.swept_mm2[opened.min(self.swept_mm2.len() - 1)];
        let place = (footprint.to_mm() / RADIUS_STEP_MM).min((areas.len() - 1) as f64);
        Area::clamped(area_within(areas, place) * 1e-6)
    }

    /// Swept areas and narrow places by factors: what is measured anew after a change of size may differ a little.
    pub(crate) fn stretch(&mut self, swept: f64, narrow: f64) {
        self.swept_mm2.iter_mut().flatten().for_each(|area| *area *= swept);
        self.walls.iter_mut().for_each(|wall| wall.length_mm *= narrow);
        self.layers.iter_mut().flat_map(|layer| &mut layer.by_width).for_each(|(_, area)| *area *= narrow);
    }

    /// No layer deeper than this.
    pub(crate) fn limit_depth(&mut self, depth: Length) {
        for layer in &mut self.layers {
            if layer.target > depth {
                layer.target = depth;
            }
        }
    }

    /// One layer's depth; `None` when that would change the order of the layers.
    pub(crate) fn set_depth(&mut self, name: &str, depth: Length) -> Option<()> {
        let index = self.layers.iter().position(|layer| layer.name == name)?;
        let deeper = index.checked_sub(1).map(|before| self.layers[before].target);
        let shallower = self.layers.get(index + 1).map(|after| after.target);
        let keeps = deeper.is_none_or(|deeper| depth <= deeper) && shallower.is_none_or(|shallower| depth >= shallower);
        keeps.then(|| self.layers[index].target = depth)
    }

    /// The drawing at another width, what is opened in the middle of a sheet; `None` at none.
    pub(crate) fn set_width(&mut self, width: Length, sheet_mm: (f64, f64)) -> Option<()> {
        let scale = width.to_mm() / self.drawing_width_mm;
        let usable = scale > 0.0 && scale.is_finite();
        usable.then(|| {
            self.scale(scale);
            self.centre(sheet_mm);
        })
    }

    fn centre(&mut self, (width, height): (f64, f64)) {
        let side = 0.5 * (width - self.stencil_width_mm);
        let top = 0.5 * (height - self.stencil_height_mm);
        self.around_mm = self.stencil_width_mm;
        self.down_mm = (top, top + self.stencil_height_mm);
        for layer in &mut self.layers {
            layer.from_edge_mm = layer
                .inset_mm
                .map(|[left, above, right, below]| nearest([side + left, top + above, side + right, top + below]));
        }
    }

    fn scale(&mut self, scale: f64) {
        let squared = scale * scale;
        let lines = self.layers.iter_mut().flat_map(|layer| &mut layer.narrow).chain(&mut self.walls);
        for line in lines {
            line.width_mm *= scale;
            line.length_mm *= scale;
            line.area_mm2 *= squared;
        }
        for layer in &mut self.layers {
            layer.inset_mm = layer.inset_mm.map(|sides| sides.map(|side| side * scale));
            for (width, area) in &mut layer.by_width {
                *width *= scale;
                *area *= squared;
            }
            layer.area = Area::clamped(layer.area.to_base() * squared);
            layer.edge_m *= scale;
        }
        // Within a radius of what was scaled lies the square of the scale times what lay within the radius over it.
        for areas in &mut self.swept_mm2 {
            let before = areas.clone();
            for (step, area) in areas.iter_mut().enumerate() {
                *area = squared * area_within(&before, step as f64 / scale);
            }
        }
        self.drawing_width_mm *= scale;
        self.stencil_width_mm *= scale;
        self.stencil_height_mm *= scale;
    }
}

/// Area within a radius, given in steps; beyond the last on the last two's straight line.
fn area_within(areas: &[f64], place: f64) -> f64 {
    let below = (place.floor() as usize).min(areas.len().saturating_sub(2));
    let above = (below + 1).min(areas.len() - 1);
    areas[below] + (areas[above] - areas[below]) * (place - below as f64)
}

/// From the sides of a rectangle inwards to those of one in it.
fn within(inner: Bounds, outer: Bounds) -> [f64; 4] {
    let [left, top] = [inner.min.x - outer.min.x, inner.min.y - outer.min.y];
    [left, top, outer.max.x - inner.max.x, outer.max.y - inner.max.y]
}

fn nearest(sides: [f64; 4]) -> f64 {
    sides.into_iter().fold(f64::INFINITY, f64::min)
}

impl SketchLayer {
    /// Width of the narrowest line that is no tip; the width up to which lines were followed when
    /// there is none so narrow.
    pub(crate) fn narrowest_mm(&self) -> f64 {
        let line = self.narrow.iter().find(|line| !line.tip);
        line.map_or(FOLLOW_MM.max(FOLLOW_DEPTHS * self.target.to_mm()), |line| line.width_mm)
    }

    /// Share of the layer's area in lines narrower than a width, tips aside.
    pub(crate) fn share_below(&self, width_mm: f64) -> f64 {
        let below = self.by_width.iter().filter(|(width, _)| *width < width_mm);
        below.map(|(_, area)| area).sum::<f64>() / self.area.to_square_mm().max(1e-9)
    }

    /// What the layer's lines reach by the distance rule, with the dose of its target.
    pub(crate) fn reach(&self, rule: &DistanceRule) -> LineReach {
        let target = self.target.to_mm();
        let short_below = self.short_below_mm(rule);
        let narrowest = self.by_width.first().map_or(f64::INFINITY, |(width, _)| *width).min(self.narrowest_mm());
        let shallowest = rule.share((0.5 * narrowest / target) as f32).min(1.0);
        LineReach {
            short_share: self.share_below(short_below),
            shallowest: Length::clamped(f64::from(shallowest) * target * 1e-3),
        }
    }

    /// Width of the line that just comes within a tenth of the target.
    fn short_below_mm(&self, rule: &DistanceRule) -> f64 {
        let enough = Length::clamped(NEAR_ENOUGH * self.target.to_metres());
        // The least half-width with share >= 0.9, by halving: the share grows with the width.
        let (mut short, mut wide) = (0.0, rule.sigma() * self.target.to_mm());
        for _ in 0..24 {
            let middle = 0.5 * (short + wide);
            let depth = f64::from(rule.share((middle / self.target.to_mm()) as f32)) * self.target.to_metres();
            if depth < enough.to_metres() { short = middle } else { wide = middle }
        }
        2.0 * wide
    }

    /// Where lines stay short, narrowest first.
    pub(crate) fn short_places(&self, rule: &DistanceRule) -> Vec<Point> {
        let below = self.short_below_mm(rule);
        apart(self.narrow.iter().filter(|line| !line.tip && line.width_mm < below))
    }
}

/// Lines gathered into steps of 2 % of their width; the width kept is that of the narrowest in a step.
fn by_width(lines: &[Narrow]) -> Vec<(f64, f64)> {
    const STEP: f64 = 1.02;
    let mut gathered: Vec<(f64, f64)> = Vec::new();
    for line in lines.iter().filter(|line| !line.tip) {
        match gathered.last_mut() {
            Some((width, area)) if line.width_mm < *width * STEP => *area += line.area_mm2,
            _ => gathered.push((line.width_mm, line.area_mm2)),
        }
    }
    gathered
}

/// The first few of some places, none beside another.
pub(crate) fn apart<'a>(lines: impl Iterator<Item = &'a Narrow>) -> Vec<Point> {
    /// As many as a person looks at.
    const MOST: usize = 8;
    let mut places: Vec<Point> = Vec::new();
    for line in lines {
        let near = |place: &Point| (place.x - line.at.x).hypot(place.y - line.at.y) < APART_MM;
        if !places.iter().any(near) {
            places.push(line.at);
        }
        if places.len() == MOST {
            break;
        }
    }
    places
}

/// The middle lines of what is open after layer `index`, those of them that lie in it.
fn lines_of(index: usize, open: &Region, layer: &Field<u8>, blank: Bounds, follow: Length) -> Vec<Narrow> {
    let own = |point: &RidgePoint| layer.at(point.at) == Some(index as u8 + 1);
    narrow(ridge(open, blank, Of::Openings, follow).into_iter().filter(own))
}

fn narrow(points: impl Iterator<Item = RidgePoint>) -> Vec<Narrow> {
    let mut lines: Vec<Narrow> = points
        .map(|point| Narrow {
            at: point.at,
            width_mm: point.width.to_mm(),
            length_mm: point.length.to_mm(),
            area_mm2: point.width.to_mm() * point.length.to_mm(),
            tip: point.tip,
        })
        .collect();
    lines.sort_by(|a, b| a.width_mm.total_cmp(&b.width_mm));
    lines
}

/// Area within each radius of what is open.
fn swept(open: &Region, around: Bounds) -> Vec<f64> {
    let around = around.grown(RADIUS_MAX_MM + COARSE_MM);
    let cells = |mm: f64| (mm / COARSE_MM).ceil() as usize;
    let (width, height) = (cells(around.width_mm()), cells(around.height_mm()));
    let mask = rasterise(open, Grid { origin: around.min, cell: COARSE_MM, width, height });
    let away = distance(&mask, Side::Closed, Beyond::Nothing);
    let steps = (RADIUS_MAX_MM / RADIUS_STEP_MM) as usize;
    let mut areas = vec![0.0; steps + 1];
    for (&open, &away) in mask.values.iter().zip(&away.values) {
        let step = if open { 0 } else { (f64::from(away) / RADIUS_STEP_MM).ceil() as usize };
        if let Some(area) = areas.get_mut(step) {
            *area += COARSE_MM * COARSE_MM;
        }
    }
    // Fine lines are narrower than a coarse cell: the openings' own area is known exactly.
    areas[0] = open.area().to_square_mm();
    for step in 1..areas.len() {
        areas[step] += areas[step - 1];
    }
    areas
}
