//! Strokes in the plain pen-up, pen-down language of plotters: `PU`, `PD`, 40 units in a millimetre, y up.

use crate::layers::StencilLayer;
use crate::strokes::{Stroke, deviation_mm, of_layer};
use artwork::bounds::Bounds;
use artwork::grid::Point;
use language::say;
use std::fmt::Write as _;

/// Units in a millimetre: 0.025 mm each.
pub const UNITS_PER_MM: f64 = 40.0;

/// How coordinates are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Coordinates {
    /// Whole units, as the oldest machines want: a corner may be off by half a unit along and across, 0.018 mm.
    Whole,
    /// Tenths of a unit, which machines that only know whole ones cut short: a corner is off by 0.0018 mm.
    #[default]
    Tenths,
}

impl Coordinates {
    /// Furthest that a corner may be off by rounding, and half as much again.
    fn limit_mm(self) -> f64 {
        match self {
            Self::Whole => 0.5 / UNITS_PER_MM * std::f64::consts::SQRT_2 + 1e-6,
            Self::Tenths => 0.01,
        }
    }
}

/// Why a plotter file is not what was meant.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum PlotterError {
    /// An instruction that the writer never writes.
    #[error("{}", say!("instruction {number}, \"{text}\", is none of IN, SP, PA, PU, PD; write the file again"))]
    Unknown {
        /// Which, from 1.
        number: usize,
        /// Its beginning.
        text: String,
    },
    /// Coordinates that are not pairs of numbers.
    #[error("{}", say!("instruction {number}, \"{text}\", has no pairs of numbers; write the file again"))]
    Coordinates {
        /// Which, from 1.
        number: usize,
        /// Its beginning.
        text: String,
    },
    /// The replayed lines lie elsewhere.
    #[error(
        "{}",
        say!(
            "the replayed lines are off by {off_mm:.4} mm, {limit_mm:.4} are allowed; write the file again"
        )
    )]
    Elsewhere {
        /// Furthest off, infinite for a line too many or too few.
        off_mm: f64,
        /// What is allowed.
        limit_mm: f64,
    },
}

/// A plotter file that was replayed and found to be what it should.
#[derive(Debug, Clone, PartialEq)]
pub struct Plotted {
    text: String,
    /// Furthest that a replayed line is off, mm.
    pub off_mm: f64,
}

impl Plotted {
    /// The file's text, plain ASCII.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }
}

/// Points in one instruction at most: old machines read into a short buffer.
const POINTS_MAX: usize = 32;

/// Writes strokes in their order; the page's lower left corner is the origin.
///
/// Not checked yet: hand out [`verified`]'s.
#[must_use]
pub fn write(strokes: &[Stroke], page: Bounds, coordinates: Coordinates) -> String {
    let mut out = String::from("IN;SP1;\n");
    for stroke in strokes {
        let points = stroke.points.iter().chain(stroke.points.first().filter(|_| stroke.closed));
        let texts: Vec<String> = points.map(|&p| pair(p, page, coordinates)).collect();
        let Some((first, rest)) = texts.split_first() else { continue };
        let _ = writeln!(out, "PU{first};");
        for part in rest.chunks(POINTS_MAX) {
            let _ = writeln!(out, "PD{};", part.join(","));
        }
    }
    out.push_str("PU0,0;SP0;\n");
    out
}

fn pair(p: Point, page: Bounds, coordinates: Coordinates) -> String {
    let [x, y] = [p.x - page.min.x, page.max.y - p.y].map(|mm| number(mm * UNITS_PER_MM, coordinates));
    format!("{x},{y}")
}

fn number(units: f64, coordinates: Coordinates) -> String {
    let tenths = match coordinates {
        Coordinates::Whole => 10 * units.round() as i64,
        Coordinates::Tenths => (10.0 * units).round() as i64,
    };
    let sign = if tenths < 0 { "-" } else { "" };
    match (tenths.abs() / 10, tenths.abs() % 10) {
        (whole, 0) => format!("{sign}{whole}"),
        (whole, tenth) => format!("{sign}{whole}.{tenth}"),
    }
}

/// Replays a file: the strokes that a pen would draw, in the page's millimetres. A stroke that comes back to
/// its beginning counts as closed.
///
/// # Errors
/// [`PlotterError::Unknown`] and [`PlotterError::Coordinates`], naming the instruction.
pub fn replay(text: &str, page: Bounds) -> Result<Vec<Stroke>, PlotterError> {
    let (mut strokes, mut at, mut down) = (Vec::<Stroke>::new(), Point { x: page.min.x, y: page.max.y }, false);
    let instructions = text.split([';', '\n', '\r']).map(str::trim).filter(|text| !text.is_empty());
    for (i, text) in instructions.enumerate() {
        let short = || text.chars().take(12).collect::<String>();
        let (name, rest) = text.split_at_checked(2).unwrap_or((text, ""));
        match name {
            "IN" | "SP" => continue,
            "PU" => down = false,
            "PD" => down = true,
            "PA" => {}
            _ => return Err(PlotterError::Unknown { number: i + 1, text: short() }),
        }
        let points = pairs(rest, page).ok_or_else(|| PlotterError::Coordinates { number: i + 1, text: short() })?;
        for point in points {
            match (down, strokes.last_mut()) {
                (true, Some(stroke)) if stroke.points.last() == Some(&at) => stroke.points.push(point),
                (true, _) => strokes.push(Stroke { points: vec![at, point], closed: false }),
                (false, _) => {}
            }
            at = point;
        }
    }
    for stroke in strokes.iter_mut().filter(|stroke| stroke.points.first() == stroke.points.last()) {
        stroke.points.pop();
        stroke.closed = true;
    }
    Ok(strokes)
}

fn pairs(text: &str, page: Bounds) -> Option<Vec<Point>> {
    if text.is_empty() {
        return Some(Vec::new());
    }
    let numbers: Vec<f64> = text.split(',').map(|n| n.trim().parse().ok()).collect::<Option<_>>()?;
    let point = |pair: &[f64]| Point { x: page.min.x + pair[0] / UNITS_PER_MM, y: page.max.y - pair[1] / UNITS_PER_MM };
    (numbers.len().is_multiple_of(2) && numbers.iter().all(|n| n.is_finite()))
        .then(|| numbers.chunks(2).map(point).collect())
}

/// Replays a file and compares it with the lines that it should hold, nothing else.
///
/// `page`: its lower left corner is the file's origin.
///
/// # Errors
/// [`PlotterError`] when it cannot be read, or a line is off by more than the rounding of its coordinates.
pub fn verify(strokes: &[Stroke], page: Bounds, text: &str, coordinates: Coordinates) -> Result<Plotted, PlotterError> {
    let (found, limit_mm) = (replay(text, page)?, coordinates.limit_mm());
    let off_mm = deviation_mm(&found, strokes, 2.0 * limit_mm);
    if off_mm > limit_mm {
        return Err(PlotterError::Elsewhere { off_mm, limit_mm });
    }
    Ok(Plotted { text: text.to_owned(), off_mm })
}

/// Writes a layer's strokes in the given order, replays them and compares with the layer itself: openings, marks,
/// cuts and weed box.
///
/// `strokes`: of this layer, ordered and overcut as wanted ([`crate::cut`]).
///
/// # Errors
/// [`PlotterError`] when the strokes are not the layer's, or by a defect of the writer.
pub fn verified(layer: &StencilLayer, strokes: &[Stroke], coordinates: Coordinates) -> Result<Plotted, PlotterError> {
    verify(&of_layer(layer), layer.weed_box, &write(strokes, layer.weed_box, coordinates), coordinates)
}
