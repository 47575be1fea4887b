//! The film as a PDF of vectors at true scale.

use super::FilmSheet;
use crate::strokes::{Stroke, deviation_mm, outlines};
use artwork::bounds::Bounds;
use artwork::grid::Point;
use krilla::color::luma;
use krilla::geom::{Path, PathBuilder, Size, Transform};
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule};
use krilla::surface::Surface;
use krilla::{Document, SerializeSettings};
use language::say;
use lopdf::content::Content;

/// Points in a millimetre.
const POINTS_PER_MM: f64 = 72.0 / 25.4;
/// Furthest that a line may be off: numbers in the file are of 32 bits.
const LIMIT_MM: f64 = 0.002;
/// Most that a patch's grey may be off its tone: half a step of eight bits.
const GREY_MAX: f64 = 0.5 / 255.0 + 1e-6;

/// Why a film's PDF is not what was meant.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PdfMismatch {
    /// The writer refused.
    #[error("{}", say!("the PDF cannot be written: {0}", _0))]
    Write(#[source] krilla::error::KrillaError),
    /// The page has no size that PDF holds.
    #[error("{}", say!("a page of {width_mm:.1} x {height_mm:.1} mm is no PDF page; tile the film"))]
    Page {
        /// Its width.
        width_mm: f64,
        /// Its height.
        height_mm: f64,
    },
    /// It cannot be read.
    #[error("{}", say!("the written PDF cannot be read back: {0}", _0))]
    Unreadable(#[from] lopdf::Error),
    /// Another page size.
    #[error("{}", say!("the page is off by {off_mm:.3} mm; write it again"))]
    PageSize {
        /// Width or height, whichever is worse.
        off_mm: f64,
    },
    /// Lines elsewhere.
    #[error("{}", say!("the film's outlines are off by {off_mm:.4} mm; write it again"))]
    Elsewhere {
        /// Furthest off, infinite for a shape too many or too few.
        off_mm: f64,
    },
    /// A patch of another grey.
    #[error("{}", say!("a patch of the step tablet is {found:.4} black, not {wanted:.4}; write it again"))]
    Grey {
        /// In the file.
        found: f64,
        /// As it should be.
        wanted: f64,
    },
}

/// A film's PDF that was read back and found to be what it should.
#[derive(Debug, Clone, PartialEq)]
pub struct FilmPdf {
    bytes: Vec<u8>,
    /// Furthest that an outline is off, mm.
    pub off_mm: f64,
}

impl FilmPdf {
    /// The file.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }
}

/// Writes a film, reads it back and compares: page size, every outline, every patch's grey.
///
/// # Errors
/// [`PdfMismatch`] when the page is too large, or by a defect of writer or reader.
pub fn verified(sheet: &FilmSheet) -> Result<FilmPdf, PdfMismatch> {
    verify(sheet, write(sheet)?)
}

/// Writes a film; black is DeviceGray 0, and the tablet's greys are left to the printer. Not checked yet.
///
/// # Errors
/// [`PdfMismatch::Page`] and [`PdfMismatch::Write`].
pub fn write(sheet: &FilmSheet) -> Result<Vec<u8>, PdfMismatch> {
    let (width_mm, height_mm) = (sheet.page.width_mm(), sheet.page.height_mm());
    let [w, h] = [width_mm, height_mm].map(|mm| (mm * POINTS_PER_MM) as f32);
    let size = Size::from_wh(w, h).ok_or(PdfMismatch::Page { width_mm, height_mm })?;
    let mut document = Document::new_with(SerializeSettings::default());
    let mut page = document.start_page_with(PageSettings::new(size));
    let mut surface = page.surface();
    let scale = POINTS_PER_MM as f32;
    surface.push_transform(&Transform::from_scale(scale, scale));
    for patch in &sheet.patches {
        let strokes = [crate::strokes::rectangle(patch.bounds)];
        fill(&mut surface, &strokes, sheet.page, (255.0 * (1.0 - patch.tone())).round() as u8);
    }
    fill(&mut surface, &outlines(&sheet.black), sheet.page, 0);
    surface.pop();
    surface.finish();
    page.finish();
    document.finish().map_err(PdfMismatch::Write)
}

fn fill(surface: &mut Surface<'_>, strokes: &[Stroke], page: Bounds, grey: u8) {
    let Some(path) = path(strokes, page) else { return };
    let paint = luma::Color::new(grey).into();
    surface.set_fill(Some(Fill { paint, rule: FillRule::EvenOdd, ..Fill::default() }));
    surface.set_stroke(None);
    surface.draw_path(&path);
}

fn path(strokes: &[Stroke], page: Bounds) -> Option<Path> {
    let mut path = PathBuilder::new();
    for stroke in strokes {
        for (i, p) in stroke.points.iter().enumerate() {
            let (x, y) = ((p.x - page.min.x) as f32, (p.y - page.min.y) as f32);
            if i == 0 { path.move_to(x, y) } else { path.line_to(x, y) }
        }
        path.close();
    }
    path.finish()
}

/// Reads a film's PDF back and compares it with what it should hold.
///
/// # Errors
/// [`PdfMismatch`] for what differs first: page size, outlines, greys.
pub fn verify(sheet: &FilmSheet, bytes: Vec<u8>) -> Result<FilmPdf, PdfMismatch> {
    let found = read_back(&bytes)?;
    let off_mm = [found.size_mm.0 - sheet.page.width_mm(), found.size_mm.1 - sheet.page.height_mm()]
        .map(f64::abs)
        .into_iter()
        .fold(0.0, f64::max);
    if off_mm > LIMIT_MM {
        return Err(PdfMismatch::PageSize { off_mm });
    }
    let moved = |stroke: Stroke| Stroke {
        points: stroke.points.iter().map(|p| Point { x: p.x + sheet.page.min.x, y: p.y + sheet.page.min.y }).collect(),
        ..stroke
    };
    let patch_count = sheet.patches.len();
    let (patches, black): (Vec<_>, Vec<_>) = found.filled.into_iter().enumerate().partition(|(i, _)| *i < patch_count);
    for (patch, (_, filled)) in sheet.patches.iter().zip(&patches) {
        let (found, wanted) = (1.0 - filled.grey, patch.tone());
        if (found - wanted).abs() > GREY_MAX {
            return Err(PdfMismatch::Grey { found, wanted });
        }
    }
    if let Some((_, filled)) = black.iter().find(|(_, filled)| filled.grey != 0.0) {
        return Err(PdfMismatch::Grey { found: 1.0 - filled.grey, wanted: 1.0 });
    }
    let drawn: Vec<Stroke> =
        patches.into_iter().chain(black).flat_map(|(_, filled)| filled.outline).map(moved).collect();
    let wanted: Vec<Stroke> =
        sheet.patches.iter().map(|p| crate::strokes::rectangle(p.bounds)).chain(outlines(&sheet.black)).collect();
    let off_mm = deviation_mm(&drawn, &wanted, 2.0 * LIMIT_MM);
    if off_mm > LIMIT_MM {
        return Err(PdfMismatch::Elsewhere { off_mm });
    }
    Ok(FilmPdf { bytes, off_mm })
}

/// What a PDF's first page fills, in millimetres from its upper left corner.
#[derive(Debug, Clone, PartialEq)]
pub struct PdfPage {
    /// Width and height.
    pub size_mm: (f64, f64),
    /// In the order of painting.
    pub filled: Vec<Filled>,
}

/// One painted shape.
#[derive(Debug, Clone, PartialEq)]
pub struct Filled {
    /// 0 black, 1 bare.
    pub grey: f64,
    /// Its rings.
    pub outline: Vec<Stroke>,
}

/// Reads the filled paths of the first page.
///
/// # Errors
/// [`lopdf::Error`] when it is no PDF or has no page.
pub fn read_back(bytes: &[u8]) -> Result<PdfPage, lopdf::Error> {
    let document = lopdf::Document::load_mem(bytes)?;
    let page = document.page_iter().next().ok_or(lopdf::Error::PageNumberNotFound(1))?;
    let media = document.get_dictionary(page)?.get(b"MediaBox")?.as_array()?;
    let media: Vec<f64> = media.iter().map(number).collect();
    let [x0, y0, x1, y1] = media[..] else { return Err(lopdf::Error::PageNumberNotFound(1)) };
    let mut reader = Reader::new();
    for operation in Content::decode(&document.get_page_content(page))?.operations {
        let numbers: Vec<f64> = operation.operands.iter().map(number).collect();
        reader.step(&operation.operator, &numbers);
    }
    let mm = |p: Point| Point { x: (p.x - x0) / POINTS_PER_MM, y: (y1 - p.y) / POINTS_PER_MM };
    for stroke in reader.filled.iter_mut().flat_map(|filled| &mut filled.outline) {
        stroke.points.iter_mut().for_each(|p| *p = mm(*p));
    }
    Ok(PdfPage { size_mm: ((x1 - x0) / POINTS_PER_MM, (y1 - y0) / POINTS_PER_MM), filled: reader.filled })
}

fn number(object: &lopdf::Object) -> f64 {
    object.as_float().map_or(0.0, f64::from)
}

/// The part of a PDF's painting that a film uses.
struct Reader {
    states: Vec<(artwork::Affine, f64)>,
    now: (artwork::Affine, f64),
    path: Vec<Stroke>,
    filled: Vec<Filled>,
}

impl Reader {
    fn new() -> Self {
        Self { states: Vec::new(), now: (artwork::Affine::IDENTITY, 0.0), path: Vec::new(), filled: Vec::new() }
    }

    fn step(&mut self, operator: &str, n: &[f64]) {
        match (operator, n) {
            ("q", _) => self.states.push(self.now),
            ("Q", _) => self.now = self.states.pop().unwrap_or(self.now),
            ("cm", &[a, b, c, d, e, f]) => self.now.0 *= artwork::Affine::new([a, b, c, d, e, f]),
            ("g" | "sc" | "scn", &[grey]) => self.now.1 = grey,
            ("m", &[x, y]) => self.path.push(Stroke { points: vec![self.at(x, y)], closed: true }),
            ("l", &[x, y]) => {
                let point = self.at(x, y);
                if let Some(stroke) = self.path.last_mut() {
                    stroke.points.push(point);
                }
            }
            ("re", &[x, y, w, h]) => {
                let points = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)].map(|(x, y)| self.at(x, y)).to_vec();
                self.path.push(Stroke { points, closed: true });
            }
            ("f" | "f*" | "F", _) => {
                self.filled.push(Filled { grey: self.now.1, outline: std::mem::take(&mut self.path) });
            }
            ("n", _) => self.path.clear(),
            _ => {}
        }
    }

    fn at(&self, x: f64, y: f64) -> Point {
        let [a, b, c, d, e, f] = self.now.0.as_coeffs();
        Point { x: a * x + c * y + e, y: b * x + d * y + f }
    }
}
