//! What one piece's ground looks like when it is carved: depths at points and along a section, with the model's range.
//!
//! The surface is the height-field solver's at the middle of the model. A point's range comes from the model's samples:
//! under each, the closed form gives what the point's place in each stage's opening (its distance to the edge) comes to,
//! with that sample's exponent and its doses, faster or slower by its rate; the solver's depth moves by the same
//! ratio. So flat ground spreads as the rate does, and the middle of a narrow line, which fills up slowly, by less.

use crate::blast::Spreading;
use crate::calibration::Belief;
use crate::judge::{Case, Judged, judge};
use crate::model::{LayerPlan, Recipe, Relief};
use crate::prepared::{Detail, Prepared};
use crate::refusal::Refusal;
use crate::{recipe, simulate};
use artwork::distance::{Beyond, Side, distance};
use artwork::grid::{Field, Point};
use artwork::svg::Drawing;
use carve::distance_rule::DistanceRule;
use carve::probe;
use carve::staging;
use language::{number, say};
use piece::{Piece, Shop};
use quantity::{Estimate, Length, Quantity as _, Time, known};
use rayon::prelude::*;
use std::borrow::Cow;
use std::sync::Arc;

/// What is asked of a piece's ground. Points in millimetres from the blank's top left corner, y down.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    /// Cell edge of the solver's grid, 0.02 mm to 1 mm.
    pub cell: Length,
    /// Where depths are read.
    pub points: Vec<Point>,
    /// Ends of a straight section.
    pub section: Option<(Point, Point)>,
}

/// A question that has no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum CarvingError {
    /// A point beside the blank.
    #[error(
        "{}",
        say!(
            "the point {x},{y} is not on the blank, which is {width_mm:.1} mm wide and {height_mm:.1} mm high; give \
             millimetres from its top left corner",
            x = number(x_mm.to_string()),
            y = number(y_mm.to_string())
        )
    )]
    Outside {
        /// To the right.
        x_mm: f64,
        /// Down.
        y_mm: f64,
        /// Of the blank.
        width_mm: f64,
        /// Of the blank.
        height_mm: f64,
    },
    /// Both ends of a section are one point.
    #[error(
        "{}",
        say!(
            "the section from {x},{y} has no length; give two points that differ",
            x = number(x_mm.to_string()),
            y = number(y_mm.to_string())
        )
    )]
    NoLength {
        /// To the right.
        x_mm: f64,
        /// Down.
        y_mm: f64,
    },
    /// A grid too fine or too coarse.
    #[error("{}", say!("a cell of {given} is outside 0.02 mm to 1 mm; give one between them"))]
    Cell {
        /// Its edge.
        given: Length,
    },
    /// The piece cannot be planned.
    #[error(transparent)]
    Refused(#[from] Refusal),
}

/// A carved piece.
#[derive(Debug, Clone)]
pub struct Carving {
    /// What is used.
    pub recipe: Recipe,
    /// In the order of the work.
    pub stages: Vec<CarvingStage>,
    /// Deepest first.
    pub layers: Vec<LayerPlan>,
    /// The surface at the middle of the model.
    pub relief: Relief,
    /// In the order of the question.
    pub points: Vec<Reading>,
    /// Along the section; empty when none was asked for.
    pub section: Vec<Reading>,
}

/// A stage and its time at the nozzle.
#[derive(Debug, Clone, PartialEq)]
pub struct CarvingStage {
    /// Layers weeded before it, as places in the list.
    pub opens: Vec<usize>,
    /// Depth that wide ground gains.
    pub dose: Length,
    /// Blasting, rests left out.
    pub blast: Estimate<Time>,
}

/// The ground at a point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Where.
    pub at: Point,
    /// From the section's start; 0 for a single point.
    pub along_mm: f64,
    /// The layer it lies in; `None` where resist stays.
    pub layer: Option<usize>,
    /// How deep.
    pub depth: Estimate<Length>,
}

/// Carves a piece with the height-field solver and reads its ground.
///
/// # Errors
/// [`CarvingError`] for a point off the blank, a section of no length, and a piece that cannot be planned.
pub fn carve(piece: &Piece, drawing: &Drawing, shop: &Shop, look: &Look) -> Result<Carving, CarvingError> {
    if !(CELL_MIN..=CELL_MAX).contains(&look.cell) {
        return Err(CarvingError::Cell { given: look.cell });
    }
    check(piece, look)?;
    let ground = Ground::new(piece, drawing, shop, Detail::Solved { cell: look.cell })?;
    let points = ground.points(&look.points)?;
    let section = look.section.map(|(from, to)| ground.section(from, to)).transpose()?.unwrap_or_default();
    let Ground { judged, recipe, carved, .. } = ground;
    let stages = judged.stages.iter().enumerate().map(|(at, stage)| CarvingStage {
        opens: stage.opens.clone(),
        dose: stage.dose,
        blast: judged.stage_time(at),
    });
    Ok(Carving { stages: stages.collect(), recipe, layers: carved.layers, relief: carved.relief, points, section })
}

/// A carved ground that can be read again and again.
pub struct Ground {
    piece: Piece,
    prepared: Prepared,
    judged: Judged,
    recipe: Recipe,
    carved: simulate::Carved,
    /// Distance to the edge of what each stage has open, in millimetres.
    edges: Vec<Field<f32>>,
    spread: Spread,
}

impl std::fmt::Debug for Ground {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Ground").field("piece", &self.piece.name).finish_non_exhaustive()
    }
}

impl Ground {
    /// Carves a piece in this detail.
    ///
    /// # Errors
    /// [`Refusal`] as [`crate::plan`].
    pub fn new(piece: &Piece, drawing: &Drawing, shop: &Shop, detail: Detail) -> Result<Self, Refusal> {
        let (prepared, recipe, judged) = judged(piece, drawing, shop, detail)?;
        let carved = simulate::carve(&prepared, &judged, piece, &recipe, detail)?;
        let edge = |stage: &staging::Stage| {
            distance(&prepared.opened(simulate::opened_count(stage)), Side::Open, Beyond::Edge)
        };
        let edges = judged.stages.iter().map(edge).collect();
        let spread = Spread::new(&judged)?;
        Ok(Self { piece: piece.clone(), prepared, judged, recipe, carved, edges, spread })
    }

    /// Deepest first.
    #[must_use]
    pub fn layers(&self) -> &[LayerPlan] {
        &self.carved.layers
    }

    /// Of the blank.
    #[must_use]
    pub const fn thickness(&self) -> Length {
        self.piece.blank.thickness
    }

    /// The ground at single points, in millimetres from the blank's top left corner.
    ///
    /// # Errors
    /// [`CarvingError::Outside`].
    pub fn points(&self, points: &[Point]) -> Result<Vec<Reading>, CarvingError> {
        on_blank(&self.piece, points)?;
        Ok(self.read(&points.iter().map(|&at| (at, 0.0)).collect::<Vec<_>>()))
    }

    /// The ground along a straight line, a reading to each cell.
    ///
    /// # Errors
    /// [`CarvingError::Outside`], [`CarvingError::NoLength`].
    pub fn section(&self, from: Point, to: Point) -> Result<Vec<Reading>, CarvingError> {
        on_blank(&self.piece, &[from, to])?;
        has_length(from, to)?;
        let stations = probe::section(&self.carved.relief.depth_mm, from, to);
        Ok(self.read(&stations.iter().map(|station| (station.at, station.along_mm)).collect::<Vec<_>>()))
    }

    fn read(&self, places: &[(Point, f64)]) -> Vec<Reading> {
        let reading = |&(at, along_mm): &(Point, f64)| {
            let solved = probe::depth_at(&self.carved.relief.depth_mm, at).unwrap_or(0.0);
            let away = self.edges.iter().map(|edge| probe::depth_at(edge, at).unwrap_or(0.0) as f32);
            let depth = self.spread.depth(&away.collect::<Vec<_>>(), solved);
            Reading { at, along_mm, layer: layer_at(&self.prepared, at), depth }
        };
        places.par_iter().map(reading).collect()
    }
}

/// The order of a piece's stages with their times, without carving it.
///
/// # Errors
/// [`Refusal`] as [`crate::plan`].
pub fn stages(piece: &Piece, drawing: &Drawing, shop: &Shop) -> Result<(Recipe, Vec<PieceStage>), Refusal> {
    let (prepared, recipe, judged) = judged(piece, drawing, shop, Detail::Instant)?;
    let name = |&layer: &usize| prepared.layers[layer].name.clone();
    let depth = |&layer: &usize| prepared.layers[layer].depth;
    let stages = judged.stages.iter().enumerate().map(|(at, stage)| PieceStage {
        opens: stage.opens.iter().map(name).collect(),
        depths: stage.opens.iter().map(depth).collect(),
        dose: stage.dose,
        blast: judged.stage_time(at),
    });
    Ok((recipe, stages.collect()))
}

/// A stage by the names of its layers.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceStage {
    /// Layers weeded before it.
    pub opens: Vec<String>,
    /// Their depths.
    pub depths: Vec<Length>,
    /// Depth that wide ground gains.
    pub dose: Length,
    /// Blasting, rests left out.
    pub blast: Estimate<Time>,
}

fn judged(
    piece: &Piece,
    drawing: &Drawing,
    shop: &Shop,
    detail: Detail,
) -> Result<(Prepared, Recipe, Judged), Refusal> {
    let prepared = Prepared::new(piece, drawing, detail)?;
    let belief = Arc::new(Belief::of(shop, piece.blank.material)?);
    let recipe = recipe::choose(piece, shop, &prepared.sketch, &belief)?;
    let case = Case {
        piece: Cow::Borrowed(piece),
        shop: Cow::Borrowed(shop),
        sketch: Cow::Borrowed(&prepared.sketch),
        recipe: recipe.clone(),
        belief,
        supplies: std::sync::Arc::default(),
    };
    let judged = judge(&case, Spreading::Whole)?;
    let recipe = Recipe { grain_speed: judged.at_work.blasting.grain_speed()?, ..recipe };
    Ok((prepared, recipe, judged))
}

/// Before anything is carved: what is asked lies on the blank.
fn check(piece: &Piece, look: &Look) -> Result<(), CarvingError> {
    on_blank(piece, &look.points)?;
    match look.section {
        Some((from, to)) => on_blank(piece, &[from, to]).and_then(|()| has_length(from, to)),
        None => Ok(()),
    }
}

fn on_blank(piece: &Piece, points: &[Point]) -> Result<(), CarvingError> {
    let (width_mm, height_mm) = (piece.blank.body.sheet_width_mm(), piece.blank.body.sheet_height_mm());
    let inside = |p: &Point| (0.0..=width_mm).contains(&p.x) && (0.0..=height_mm).contains(&p.y);
    match points.iter().find(|p| !inside(p)) {
        Some(&Point { x: x_mm, y: y_mm }) => Err(CarvingError::Outside { x_mm, y_mm, width_mm, height_mm }),
        None => Ok(()),
    }
}

fn has_length(from: Point, to: Point) -> Result<(), CarvingError> {
    let length = (to.x - from.x).hypot(to.y - from.y);
    if length < SHORTEST_MM { Err(CarvingError::NoLength { x_mm: from.x, y_mm: from.y }) } else { Ok(()) }
}

/// Cells that a plan takes.
const CELL_MIN: Length = known(Length::mm(0.02));
const CELL_MAX: Length = known(Length::mm(1.0));

/// A shorter section is a point.
const SHORTEST_MM: f64 = 1e-3;

fn layer_at(prepared: &Prepared, at: Point) -> Option<usize> {
    let grid = prepared.grid;
    let cell = |from: f64, origin: f64| ((from - origin) / grid.cell).floor();
    let (column, row) = (cell(at.x, grid.origin.x), cell(at.y, grid.origin.y));
    let inside = 0.0 <= column && column < grid.width as f64 && 0.0 <= row && row < grid.height as f64;
    let layer = inside.then(|| prepared.layer.values[row as usize * grid.width + column as usize])?;
    usize::from(layer).checked_sub(1)
}

/// The model's samples as this piece sees them.
struct Spread {
    doses_mm: Vec<f32>,
    mid: DistanceRule,
    /// Rate over that of the middle in each stage, with the sample's own rule.
    samples: Vec<(Vec<f32>, DistanceRule)>,
}

impl Spread {
    fn new(judged: &Judged) -> Result<Self, Refusal> {
        let blasting = &judged.at_work.blasting;
        let rules = blasting.samples.par_iter().map(|(model, _)| DistanceRule::new(model.velocity_exponent));
        let rules = rules.collect::<Result<Vec<_>, _>>()?;
        let count = judged.stages.len();
        let factors = judged.at_work.samples().map(|sample| {
            let factor = |stage| judged.at_work.of_stage(stage, count).rate_factor_of(sample) as f32;
            (0..count).map(factor).collect()
        });
        Ok(Self {
            doses_mm: judged.stages.iter().map(|stage| stage.dose.to_mm() as f32).collect(),
            mid: DistanceRule::new(blasting.model.velocity_exponent)?,
            samples: factors.zip(rules).collect(),
        })
    }

    /// A solved depth in millimetres with its range.
    fn depth(&self, away_mm: &[f32], solved_mm: f64) -> Estimate<Length> {
        let mid = Length::clamped(solved_mm * 1e-3);
        let closed = self.closed(&self.mid, &vec![1.0; self.doses_mm.len()], away_mm);
        if solved_mm <= 0.0 || closed <= 0.0 {
            return Estimate::exact(mid);
        }
        let ratio =
            |(factors, rule): &(Vec<f32>, DistanceRule)| f64::from(self.closed(rule, factors, away_mm) / closed);
        let mut depths: Vec<f64> = self.samples.iter().map(|sample| ratio(sample) * mid.to_metres()).collect();
        let [low, _, high] = quantity::percentiles(&mut depths);
        let (low, high) = (Length::clamped(low.min(mid.to_metres())), Length::clamped(high.max(mid.to_metres())));
        Estimate::new(low, mid, high).unwrap_or(Estimate::exact(mid))
    }

    /// Several stages by the distance rule, as `carve::quick` does it.
    fn closed(&self, rule: &DistanceRule, factors: &[f32], away_mm: &[f32]) -> f32 {
        let (mut depth, mut dose) = (0.0f32, 0.0);
        for ((&away, &own), factor) in away_mm.iter().zip(&self.doses_mm).zip(factors).rev() {
            dose += own * factor;
            if away > 0.0 && dose > 0.0 {
                depth = depth.max(dose * rule.share(away / dose));
            }
        }
        depth
    }
}
