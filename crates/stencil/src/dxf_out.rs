//! A layer as DXF of release 12: polylines without bulges, in millimetres, y up.

use crate::layers::StencilLayer;
use crate::strokes::{Stroke, around, cross, deviation_mm, of_layer, outlines};
use artwork::bounds::Bounds;
use language::say;
use std::fmt::Write as _;

/// The layers of the file: name and colour number.
const LAYERS: [(&str, u8); 3] = [("OPENINGS", 7), ("MARKS", 5), ("WEED_BOX", 1)];
/// Furthest that a corner may be off: coordinates have four decimals.
const LIMIT_MM: f64 = 1e-3;

/// Why a DXF file is not what was meant.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum DxfMismatch {
    /// A group code or coordinate that is no number.
    #[error("{}", say!("line {line} is no number; write the file again"))]
    NoNumber {
        /// Which, from 1.
        line: usize,
    },
    /// A curve where there should be straight pieces only.
    #[error("{}", say!("line {line} gives a bulge; write the file again"))]
    Bulge {
        /// Which, from 1.
        line: usize,
    },
    /// Lines elsewhere.
    #[error("{}", say!("the file's lines are off by {off_mm:.4} mm; write it again"))]
    Elsewhere {
        /// Furthest off, infinite for a line too many or too few.
        off_mm: f64,
    },
}

/// A DXF file that was read back and found to be what it should.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    text: String,
    /// Furthest that a line is off, mm.
    pub off_mm: f64,
}

impl Drawn {
    /// The file's text, plain ASCII.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }
}

/// Writes a layer; the weed box's lower left corner is the origin. Not checked yet: hand out [`verified`]'s.
#[must_use]
pub fn write(layer: &StencilLayer) -> String {
    let page = layer.weed_box;
    let mut out = head(page);
    let groups: [Vec<Stroke>; 3] =
        [outlines(&layer.openings), layer.marks.iter().flat_map(cross).collect(), around(layer)];
    for (strokes, (name, _)) in groups.iter().zip(LAYERS) {
        strokes.iter().for_each(|stroke| polyline(&mut out, stroke, name, page));
    }
    out.push_str("0\nENDSEC\n0\nEOF\n");
    out
}

fn head(page: Bounds) -> String {
    let mut out = String::from("0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1009\n9\n$INSUNITS\n70\n4\n");
    let (w, h) = (page.width_mm(), page.height_mm());
    let _ =
        write!(out, "9\n$EXTMIN\n10\n0.0\n20\n0.0\n30\n0.0\n9\n$EXTMAX\n10\n{w:.4}\n20\n{h:.4}\n30\n0.0\n0\nENDSEC\n");
    out.push_str("0\nSECTION\n2\nTABLES\n0\nTABLE\n2\nLTYPE\n70\n1\n0\nLTYPE\n2\nCONTINUOUS\n70\n0\n3\nSolid line\n");
    out.push_str("72\n65\n73\n0\n40\n0.0\n0\nENDTAB\n0\nTABLE\n2\nLAYER\n70\n4\n");
    for (name, colour) in [("0", 7)].into_iter().chain(LAYERS) {
        let _ = write!(out, "0\nLAYER\n2\n{name}\n70\n0\n62\n{colour}\n6\nCONTINUOUS\n");
    }
    out.push_str("0\nENDTAB\n0\nENDSEC\n0\nSECTION\n2\nENTITIES\n");
    out
}

fn polyline(out: &mut String, stroke: &Stroke, layer: &str, page: Bounds) {
    let flag = u8::from(stroke.closed);
    let _ = write!(out, "0\nPOLYLINE\n8\n{layer}\n66\n1\n10\n0.0\n20\n0.0\n30\n0.0\n70\n{flag}\n");
    for p in &stroke.points {
        let (x, y) = (p.x - page.min.x, page.max.y - p.y);
        let _ = write!(out, "0\nVERTEX\n8\n{layer}\n10\n{x:.4}\n20\n{y:.4}\n30\n0.0\n");
    }
    let _ = write!(out, "0\nSEQEND\n8\n{layer}\n");
}

/// Reads the polylines of a file back, in the page's millimetres.
///
/// # Errors
/// [`DxfMismatch::NoNumber`] and [`DxfMismatch::Bulge`], naming the line.
pub fn read_back(text: &str, page: Bounds) -> Result<Vec<Stroke>, DxfMismatch> {
    let lines: Vec<&str> = text.lines().map(str::trim).collect();
    let mut strokes: Vec<Stroke> = Vec::new();
    let mut in_vertex = false;
    for (i, pair) in lines.chunks_exact(2).enumerate() {
        let line = 2 * i + 1;
        let code: u16 = pair[0].parse().map_err(|_| DxfMismatch::NoNumber { line })?;
        let value = || pair[1].parse::<f64>().map_err(|_| DxfMismatch::NoNumber { line: line + 1 });
        match (code, pair[1], strokes.last_mut()) {
            (0, "POLYLINE", _) => {
                in_vertex = false;
                strokes.push(Stroke { points: Vec::new(), closed: false });
            }
            (0, "VERTEX", Some(stroke)) => {
                in_vertex = true;
                stroke.points.push(page.min);
            }
            (0, _, _) => in_vertex = false,
            (70, flag, Some(stroke)) if !in_vertex && stroke.points.is_empty() => stroke.closed = flag == "1",
            (42, _, _) if in_vertex => return Err(DxfMismatch::Bulge { line }),
            (10 | 20, _, Some(stroke)) if in_vertex => {
                let last = stroke.points.last_mut().expect("a vertex was begun");
                match code {
                    10 => last.x = page.min.x + value()?,
                    _ => last.y = page.max.y - value()?,
                }
            }
            _ => {}
        }
    }
    Ok(strokes)
}

/// Reads a file back and compares it with all lines of a layer.
///
/// # Errors
/// [`DxfMismatch`] when it cannot be read or a line is off by more than 1 µm.
pub fn verify(layer: &StencilLayer, text: &str) -> Result<Drawn, DxfMismatch> {
    let off_mm = deviation_mm(&read_back(text, layer.weed_box)?, &of_layer(layer), 2.0 * LIMIT_MM);
    if off_mm > LIMIT_MM {
        return Err(DxfMismatch::Elsewhere { off_mm });
    }
    Ok(Drawn { text: text.to_owned(), off_mm })
}

/// Writes a layer, reads it back and compares.
///
/// # Errors
/// [`DxfMismatch`]: a defect of the writer.
pub fn verified(layer: &StencilLayer) -> Result<Drawn, DxfMismatch> {
    verify(layer, &write(layer))
}
