//! How a shop makes its stencils, as the stencil crate takes it.

use piece::{CornerKind, Hands, StencilMaking};
use quantity::{Area, Length, Quantity as _, Time, known};
use reference::ResistKind;
use stencil::bundle::BundleOptions;
use stencil::cut::corner::Corners;
use stencil::cut::tiles::Tiling;
use stencil::cut::weed::WeedPace;
use stencil::film::Emulsion;
use stencil::gain::LineGain;
use stencil::plotter::Coordinates;
use stencil::treat::{Bridges, Treatment};

/// How every layer is made ready and written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Making {
    /// Before it is written.
    pub treatment: Treatment,
    /// Parted for the cutter; `None` whole.
    pub tiling: Option<Tiling>,
    /// How it is written.
    pub bundle: BundleOptions,
    /// Openings nearer than twice this are weeded in one go.
    pub group: Length,
}

/// Half the length of an overlap mark's strokes.
const OVERLAP_MARK: Length = known(Length::mm(4.0));
/// Weeded in one go, when no frame says otherwise.
const GROUP: Length = known(Length::mm(5.0));
/// Islands smaller than this do not hold. Judgement: a square of 3 mm.
const HOLDING: Area = known(Area::square_mm(9.0));
/// Bridges to each island.
const BRIDGES: u8 = 2;

impl Making {
    /// The shop's way with a kind of resist; `roll`: the width of its roll or sheet.
    ///
    /// Film is neither cut nor weeded: no frames and bridges for it, strips as wide as its sheets, and the shop's line
    /// gain.
    #[must_use]
    pub fn usual(shop: &StencilMaking, kind: ResistKind, roll: Option<Length>) -> Self {
        let cut = kind != ResistKind::PhotoFilm;
        let corners = match shop.corners {
            CornerKind::AsDrawn => Corners::AsDrawn,
            CornerKind::Eased => Corners::Eased { by: shop.corner_by },
            CornerKind::Past => Corners::Past { by: shop.corner_by },
        };
        let frames = Some(shop.weed_frames).filter(|frames| cut && frames.to_mm() > 0.0);
        let width = shop.cutter_width.filter(|_| cut).or(roll);
        let bridges = shop.bridges.filter(|_| cut);
        Self {
            treatment: Treatment {
                bridges: bridges.map(Self::bridges),
                ease: None,
                gain: LineGain::of_mm(if cut { 0.0 } else { shop.film_gain_mm }),
                frames,
            },
            tiling: width.map(|width| Tiling { width, overlap: shop.overlap, mark: OVERLAP_MARK }),
            bundle: BundleOptions {
                overcut: shop.overcut,
                corners,
                coordinates: Coordinates::Tenths,
                emulsion: Emulsion::TowardsResist,
                dpi: shop.printer_dpi,
            },
            group: frames.unwrap_or(GROUP),
        }
        .cornered(corners)
    }

    /// How fast the shop's hands weed this kind of resist; `None` for a film, which is washed out.
    #[must_use]
    pub fn pace(hands: &Hands, kind: ResistKind) -> Option<WeedPace> {
        let pace =
            WeedPace { per_metre: Time::clamped(hands.weed_s_per_m), per_part: Time::clamped(hands.weed_s_per_part) };
        (kind != ResistKind::PhotoFilm).then_some(pace)
    }

    /// The same with another way at corners.
    #[must_use]
    pub fn cornered(mut self, corners: Corners) -> Self {
        self.bundle.corners = corners;
        self.treatment.ease = match corners {
            Corners::Eased { by } => Some(by),
            Corners::AsDrawn | Corners::Past { .. } => None,
        };
        self
    }

    /// The same with frames this far from openings; at 0 none.
    #[must_use]
    pub fn framed(mut self, clear: Length) -> Self {
        self.treatment.frames = Some(clear).filter(|clear| clear.to_mm() > 0.0);
        self.group = self.treatment.frames.unwrap_or(GROUP);
        self
    }

    /// Usual bridges of a width.
    #[must_use]
    pub fn bridges(width: Length) -> Bridges {
        Bridges { width, holding: HOLDING, count: BRIDGES }
    }

    /// The same parted for a cutter of this reach.
    #[must_use]
    pub fn parted(mut self, width: Length, overlap: Length) -> Self {
        self.tiling = Some(Tiling { width, overlap, mark: OVERLAP_MARK });
        self
    }
}
