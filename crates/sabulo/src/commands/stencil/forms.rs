//! How stencils are written, as options; what is left out is the shop's way.

use crate::commands::quantity;
use crate::error::Failure;
use ::piece::{CornerKind, StencilMaking};
use clap::{Args, ValueEnum};
use quantity::{Area, Length, known};
use reference::ResistKind;
use stencil::bundle::{BundleOptions, Form};
use stencil::cut::corner::Corners;
use stencil::cut::tiles::Tiling;
use stencil::film::Emulsion;
use stencil::gain::LineGain;
use stencil::plotter::Coordinates;
use stencil::treat::{Bridges, Treatment};

/// A form of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum FormName {
    /// Vectors for any drawing program.
    Svg,
    /// Polylines for any drafting program.
    Dxf,
    /// Pen-up, pen-down vectors for a cutter.
    Plt,
    /// A film positive in vectors.
    Pdf,
    /// A film positive in dots, one bit each.
    Tiff,
}

impl FormName {
    pub(super) const fn form(self) -> Form {
        match self {
            Self::Svg => Form::Svg,
            Self::Dxf => Form::Dxf,
            Self::Plt => Form::Plotter,
            Self::Pdf => Form::FilmPdf,
            Self::Tiff => Form::FilmTiff,
        }
    }
}

#[derive(Debug, Args)]
pub(super) struct FormArguments {
    /// Forms of file, with commas between.
    #[arg(long = "as", value_enum, value_delimiter = ',', default_value = "svg")]
    pub(super) forms: Vec<FormName>,
    /// What the cutter reaches across: a wider stencil is written in strips that overlap.
    #[arg(long, value_name = "WIDTH")]
    cutter: Option<String>,
    /// What two strips share.
    #[arg(long, value_name = "WIDTH")]
    overlap: Option<String>,
    /// How far each closed cut goes past its beginning.
    #[arg(long, value_name = "LENGTH")]
    overcut: Option<String>,
    /// What is done at corners.
    #[arg(long, value_enum)]
    corners: Option<CornerName>,
    /// How far around a corner.
    #[arg(long, value_name = "LENGTH")]
    corner_by: Option<String>,
    /// Frames for weeding, this far from the openings; 0mm for none.
    #[arg(long, value_name = "LENGTH")]
    frames: Option<String>,
    /// Leave bridges of this width to islands that would not hold.
    #[arg(long, value_name = "WIDTH")]
    bridges: Option<String>,
    /// Islands smaller than this get bridges.
    #[arg(long, value_name = "AREA", default_value = "9mm2")]
    holding: String,
    /// How much wider openings come out than drawn, on each edge: they are drawn narrower. A minus before it when
    /// they come out narrower.
    #[arg(long, value_name = "[-]LENGTH", allow_hyphen_values = true)]
    gain: Option<String>,
    /// Dots per inch of a film's TIFF, 300 to 2880.
    #[arg(long)]
    dpi: Option<f64>,
    /// The film's ink towards the lamp; usually it lies on the resist, printed mirrored.
    #[arg(long)]
    ink_up: bool,
    /// Plotter coordinates in whole units, for the oldest cutters: 0.025 mm.
    #[arg(long)]
    whole_units: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum CornerName {
    /// As drawn.
    AsDrawn,
    /// Rounded, so that thick resist does not tear.
    Eased,
    /// Cut past, so that they come free.
    Past,
}

/// How every layer is made ready and written.
pub(super) struct Making {
    pub(super) forms: Vec<Form>,
    pub(super) treatment: Treatment,
    pub(super) tiling: Option<Tiling>,
    pub(super) bundle: BundleOptions,
    /// How far weed groups are kept apart, whether or not they are framed.
    pub(super) group: Length,
}

/// Half the length of an overlap mark's strokes.
const OVERLAP_MARK: Length = known(Length::mm(4.0));
/// Openings nearer than twice this are weeded in one go, when no frame says otherwise.
const GROUP: Length = known(Length::mm(5.0));
/// Bridges to each island.
const BRIDGES: u8 = 2;

impl FormArguments {
    /// The options, with the shop's way for what is left out. `roll`: width of the resist's roll.
    pub(super) fn making(
        &self,
        shop: &StencilMaking,
        kind: ResistKind,
        roll: Option<Length>,
    ) -> Result<Making, Failure> {
        let film = kind == ResistKind::PhotoFilm;
        let length = |name, text: &Option<String>, usual| text.as_ref().map_or(Ok(usual), |text| quantity(name, text));
        let by = length("--corner-by", &self.corner_by, shop.corner_by)?;
        let corners = corners(self.corners, shop.corners, by);
        let frames = length("--frames", &self.frames, shop.weed_frames)?;
        let framed = !film && frames.to_mm() > 0.0;
        let bridges = match &self.bridges {
            Some(text) => Some(quantity("--bridges", text)?),
            None => shop.bridges.filter(|_| !film),
        };
        let holding: Area = quantity("--holding", &self.holding)?;
        let gain = match &self.gain {
            Some(text) => gain(text)?,
            None => LineGain::of_mm(if film { shop.film_gain_mm } else { 0.0 }),
        };
        Ok(Making {
            forms: self.forms.iter().map(|form| form.form()).collect(),
            treatment: Treatment {
                bridges: bridges.map(|width| Bridges { width, holding, count: BRIDGES }),
                ease: matches!(corners, Corners::Eased { .. }).then_some(by),
                gain,
                frames: framed.then_some(frames),
            },
            tiling: self.tiling(shop, roll.filter(|_| !film))?,
            bundle: BundleOptions {
                overcut: length("--overcut", &self.overcut, shop.overcut)?,
                corners,
                coordinates: if self.whole_units { Coordinates::Whole } else { Coordinates::Tenths },
                emulsion: if self.ink_up { Emulsion::TowardsLamp } else { Emulsion::TowardsResist },
                dpi: self.dpi.unwrap_or(shop.printer_dpi),
            },
            group: if framed { frames } else { GROUP },
        })
    }

    fn tiling(&self, shop: &StencilMaking, roll: Option<Length>) -> Result<Option<Tiling>, Failure> {
        let cutter = match &self.cutter {
            Some(text) => Some(quantity("--cutter", text)?),
            None => shop.cutter_width.or(roll),
        };
        let overlap = match &self.overlap {
            Some(text) => quantity("--overlap", text)?,
            None => shop.overlap,
        };
        Ok(cutter.map(|width| Tiling { width, overlap, mark: OVERLAP_MARK }))
    }
}

fn corners(asked: Option<CornerName>, shop: CornerKind, by: Length) -> Corners {
    let name = asked.unwrap_or(match shop {
        CornerKind::AsDrawn => CornerName::AsDrawn,
        CornerKind::Eased => CornerName::Eased,
        CornerKind::Past => CornerName::Past,
    });
    match name {
        CornerName::AsDrawn => Corners::AsDrawn,
        CornerName::Eased => Corners::Eased { by },
        CornerName::Past => Corners::Past { by },
    }
}

/// A length that may have a minus before it.
fn gain(text: &str) -> Result<LineGain, Failure> {
    let trimmed = text.trim();
    match trimmed.strip_prefix(['-', '−']) {
        Some(rest) => Ok(LineGain::Narrows(quantity("--gain", rest)?)),
        None => Ok(LineGain::Widens(quantity("--gain", trimmed.strip_prefix('+').unwrap_or(trimmed))?)),
    }
}
