//! One layer in every form that is asked for, each read back and compared before it is given out.

use crate::cut::corner::{Corners, past};
use crate::cut::order::order;
use crate::cut::overcut::overcut;
use crate::film::{Emulsion, FilmSheet, pdf, tiff};
use crate::layers::{Side, StencilLayer};
use crate::plotter::{self, Coordinates};
use crate::strokes::{Stroke, deviation_mm, of_layer};
use crate::{dxf_out, verify};
use artwork::grid::Point;
use artwork::svg::Fonts;
use artwork::text::TextError;
use language::say;
use quantity::Length;

/// A form of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Form {
    /// Vectors for any drawing program.
    Svg,
    /// Polylines for any drafting program.
    Dxf,
    /// Pen-up, pen-down vectors for a cutter.
    Plotter,
    /// A film positive in vectors.
    FilmPdf,
    /// A film positive in dots.
    FilmTiff,
}

impl Form {
    /// How the file's name ends.
    #[must_use]
    pub const fn ending(self) -> &'static str {
        match self {
            Self::Svg => "svg",
            Self::Dxf => "dxf",
            Self::Plotter => "plt",
            Self::FilmPdf => "pdf",
            Self::FilmTiff => "tif",
        }
    }
}

/// How a layer is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BundleOptions {
    /// How far each closed cut goes past its beginning.
    pub overcut: Length,
    /// What the cutter does at corners. [`Corners::Eased`] is done to the layer before ([`crate::treat`]).
    pub corners: Corners,
    /// How plotter coordinates are written.
    pub coordinates: Coordinates,
    /// Which side of the film the ink is on.
    pub emulsion: Emulsion,
    /// Dots per inch of a film's TIFF.
    pub dpi: f64,
}

/// A file that was read back.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerFile {
    /// Its form.
    pub form: Form,
    /// What it holds.
    pub bytes: Vec<u8>,
    /// Furthest that what was read back is off, mm; a TIFF's dots are the same or it is refused.
    pub off_mm: f64,
}

/// What a cutter does with a layer.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct CutWork {
    /// Lines, each cut in one go.
    pub lines: usize,
    /// Length of all cuts.
    pub cut_mm: f64,
    /// Between them, in the order of the file.
    pub travel_mm: f64,
    /// The same in the order of the drawing.
    pub travel_before_mm: f64,
    /// No order travels less.
    pub travel_least_mm: f64,
}

/// Why a file cannot be given out.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum BundleFault {
    /// SVG.
    #[error("{}", say!("SVG: {0}", _0))]
    Svg(#[from] verify::Mismatch),
    /// DXF.
    #[error("{}", say!("DXF: {0}", _0))]
    Dxf(#[from] dxf_out::DxfMismatch),
    /// Plotter vectors.
    #[error("{}", say!("plotter vectors: {0}", _0))]
    Plotter(#[from] plotter::PlotterError),
    /// Film as PDF.
    #[error("{}", say!("film PDF: {0}", _0))]
    FilmPdf(#[from] pdf::PdfMismatch),
    /// A film's label.
    #[error("{}", say!("film label: {0}", _0))]
    Label(#[from] TextError),
    /// Film as TIFF.
    #[error("{}", say!("film TIFF: {0}", _0))]
    FilmTiff(#[from] tiff::TiffFault),
}

/// Writes a layer in each form.
///
/// # Errors
/// [`BundleFault`] when a file read back is not the layer, or the film is too large for its form.
pub fn files(
    layer: &StencilLayer,
    forms: &[Form],
    cuts: &[Stroke],
    options: &BundleOptions,
) -> Result<Vec<LayerFile>, BundleFault> {
    forms.iter().map(|&form| file(layer, form, cuts, options)).collect()
}

fn file(layer: &StencilLayer, form: Form, cuts: &[Stroke], options: &BundleOptions) -> Result<LayerFile, BundleFault> {
    let made = |bytes: &[u8], off_mm| LayerFile { form, bytes: bytes.to_vec(), off_mm };
    let film = || {
        let sheet = FilmSheet::of(layer, Emulsion::TowardsLamp).labelled(&Fonts::bundled(), &label(layer))?;
        Ok::<_, BundleFault>(sheet.printed(options.emulsion))
    };
    Ok(match form {
        Form::Svg => {
            let file = verify::verified(layer)?;
            made(file.svg().as_bytes(), file.bounds_off_mm)
        }
        Form::Dxf => {
            let file = dxf_out::verified(layer)?;
            made(file.text().as_bytes(), file.off_mm)
        }
        Form::Plotter => {
            let file = plotted(layer, cuts, options)?;
            made(file.text().as_bytes(), file.off_mm)
        }
        Form::FilmPdf => {
            let file = pdf::verified(&film()?)?;
            made(file.bytes(), file.off_mm)
        }
        Form::FilmTiff => made(tiff::verified(&film()?, options.dpi, None)?.bytes(), 0.0),
    })
}

/// What stands at a film's foot.
fn label(layer: &StencilLayer) -> String {
    let (stage, stages, name) = (layer.stage, layer.stages, &layer.name);
    match layer.side {
        Side::Front => say!("Stage {stage} of {stages}: {name}; carved from the front; print at 100 %"),
        Side::Back => say!("Stage {stage} of {stages}: {name}; carved from the back; print at 100 %"),
    }
}

/// Plotter vectors. Cut past its corners a line leaves the artwork there, so the replay is held against the cuts, and
/// the cuts against the layer by as much as they go past.
fn plotted(
    layer: &StencilLayer,
    cuts: &[Stroke],
    options: &BundleOptions,
) -> Result<plotter::Plotted, plotter::PlotterError> {
    let Corners::Past { by } = options.corners else {
        return plotter::verified(layer, cuts, options.coordinates);
    };
    let limit_mm = by.to_mm() + 1e-6;
    let off_mm = deviation_mm(cuts, &of_layer(layer), 2.0 * limit_mm);
    if off_mm > limit_mm {
        return Err(plotter::PlotterError::Elsewhere { off_mm, limit_mm });
    }
    let text = plotter::write(cuts, layer.weed_box, options.coordinates);
    plotter::verify(cuts, layer.weed_box, &text, options.coordinates)
}

/// A layer's lines in the order of cutting, from the page's lower left corner, corners and overcut done; and what
/// that comes to.
#[must_use]
pub fn cuts(layer: &StencilLayer, options: &BundleOptions) -> (Vec<Stroke>, CutWork) {
    let home = Point { x: layer.weed_box.min.x, y: layer.weed_box.max.y };
    let ordered = order(&of_layer(layer), home);
    let freed = match options.corners {
        Corners::Past { by } => past(&ordered.strokes, by),
        Corners::AsDrawn | Corners::Eased { .. } => ordered.strokes,
    };
    let strokes = overcut(&freed, options.overcut);
    let work = CutWork {
        lines: strokes.len(),
        cut_mm: strokes.iter().map(Stroke::length_mm).sum(),
        travel_mm: ordered.travel_mm,
        travel_before_mm: ordered.travel_before_mm,
        travel_least_mm: ordered.travel_least_mm,
    };
    (strokes, work)
}

impl CutWork {
    /// Travel over its lower bound, 1 or more.
    #[must_use]
    pub fn ratio(&self) -> f64 {
        if self.travel_least_mm > 0.0 { self.travel_mm / self.travel_least_mm } else { 1.0 }
    }
}
