//! How stencils are written, as options; what is left out is the shop's way.

use crate::commands::quantity;
use crate::error::Failure;
use ::piece::StencilMaking;
use clap::{Args, ValueEnum};
use plan::Making;
use quantity::Length;
use reference::ResistKind;
use stencil::bundle::Form;
use stencil::cut::corner::Corners;
use stencil::film::Emulsion;
use stencil::gain::LineGain;
use stencil::plotter::Coordinates;

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
    #[arg(long, value_name = "AREA")]
    holding: Option<String>,
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

impl FormArguments {
    pub(super) fn forms(&self) -> Vec<Form> {
        self.forms.iter().map(|form| form.form()).collect()
    }

    /// The options, with the shop's way for what is left out. `roll`: width of the resist's roll.
    pub(super) fn making(
        &self,
        shop: &StencilMaking,
        kind: ResistKind,
        roll: Option<Length>,
    ) -> Result<Making, Failure> {
        let given = |name, text: &Option<String>| text.as_ref().map(|text| quantity::<Length>(name, text)).transpose();
        let mut making = Making::usual(shop, kind, roll);
        let by = given("--corner-by", &self.corner_by)?.unwrap_or(shop.corner_by);
        if let Some(corners) = self.corners {
            making = making.cornered(corners.corners(by));
        }
        if let Some(frames) = given("--frames", &self.frames)? {
            making = making.framed(frames);
        }
        if let Some(width) = given("--bridges", &self.bridges)? {
            making.treatment.bridges = Some(Making::bridges(width));
        }
        if let (Some(bridges), Some(holding)) = (&mut making.treatment.bridges, &self.holding) {
            bridges.holding = quantity("--holding", holding)?;
        }
        if let Some(text) = &self.gain {
            making.treatment.gain = gain(text)?;
        }
        let overlap = given("--overlap", &self.overlap)?.unwrap_or(shop.overlap);
        let width = given("--cutter", &self.cutter)?.or(making.tiling.map(|tiling| tiling.width));
        if let Some(width) = width {
            making = making.parted(width, overlap);
        }
        making.bundle.overcut = given("--overcut", &self.overcut)?.unwrap_or(making.bundle.overcut);
        making.bundle.dpi = self.dpi.unwrap_or(making.bundle.dpi);
        if self.ink_up {
            making.bundle.emulsion = Emulsion::TowardsLamp;
        }
        if self.whole_units {
            making.bundle.coordinates = Coordinates::Whole;
        }
        Ok(making)
    }
}

impl CornerName {
    const fn corners(self, by: Length) -> Corners {
        match self {
            Self::AsDrawn => Corners::AsDrawn,
            Self::Eased => Corners::Eased { by },
            Self::Past => Corners::Past { by },
        }
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
