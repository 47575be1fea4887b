//! A layer as a film positive: black where the resist washes out.
//!
//! [`FilmSheet::of`] lays out what is on the film; [`pdf`] writes it as vectors, [`tiff`] as dots with
//! halftones. Both are read back before they are given out.

pub mod pdf;
pub mod tiff;

use crate::layers::{Mark, StencilLayer};
use artwork::Affine;
use artwork::bounds::Bounds;
use artwork::grid::Point;
use artwork::region::{FillRule, Region, Ring};
use artwork::svg::Fonts;
use artwork::text::{TextError, TextStyle, line};
use quantity::{Length, Quantity as _, known};

/// Which side the ink or emulsion is on when the film lies on the resist.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Emulsion {
    /// Against the resist, so that no light walks through the film's thickness: printed mirrored.
    #[default]
    TowardsResist,
    /// Towards the lamp: printed as it is to be seen.
    TowardsLamp,
}

/// One patch of the step tablet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Patch {
    /// Where it is.
    pub bounds: Bounds,
    /// Its density over bare film, if black is as dense as can be: the tone is `1 - 10^-D`.
    pub density: f64,
}

impl Patch {
    /// Share of its area that is black.
    #[must_use]
    pub fn tone(&self) -> f64 {
        1.0 - 10_f64.powf(-self.density)
    }
}

/// All that is on a film, in the layer's millimetres.
#[derive(Debug, Clone, PartialEq)]
pub struct FilmSheet {
    /// The film's edge.
    pub page: Bounds,
    /// Black throughout: openings, registration marks, scale bar.
    pub black: Region,
    /// The scale bar's own rectangle, [`BAR_MM`] long; on a sheet wide enough for it.
    pub bar: Bounds,
    /// The step tablet, from bare film on.
    pub patches: Vec<Patch>,
}

/// Length of the scale bar.
pub const BAR_MM: f64 = 100.0;
/// Steps of the tablet and the density of each: half a stop, until eight bits of grey no longer tell them apart.
const STEPS: usize = 11;
const STEP_DENSITY: f64 = 0.15;
/// Width of a registration mark's lines, of the bar, edge of a patch, free room.
const LINE_MM: f64 = 0.1;
const BAR_WIDTH_MM: f64 = 1.0;
const PATCH_MM: f64 = 8.0;
const ROOM_MM: f64 = 5.0;
/// Size of the label, and how far its letters may leave their curves.
const LABEL_MM: f64 = 4.0;
const LETTER_MM: f64 = 0.01;

impl FilmSheet {
    /// Lays out a layer: its openings and marks within the weed box, below it the scale bar with a tick
    /// every 10 mm, and the step tablet.
    #[must_use]
    pub fn of(layer: &StencilLayer, emulsion: Emulsion) -> Self {
        let page = page(layer.weed_box);
        let foot = Point { x: page.min.x + ROOM_MM, y: layer.weed_box.max.y + ROOM_MM };
        let bar = sized(foot, BAR_MM, BAR_WIDTH_MM);
        let patch = |i: usize| Patch {
            bounds: sized(Point { x: foot.x + i as f64 * PATCH_MM, y: foot.y + ROOM_MM }, PATCH_MM, PATCH_MM),
            density: i as f64 * STEP_DENSITY,
        };
        let parts: Vec<Ring> = layer.marks.iter().flat_map(lines).chain(scale(bar)).collect();
        let black = layer.openings.union(&Region::from_rings(&parts, FillRule::NonZero));
        Self { page, black, bar, patches: (0..STEPS).map(patch).collect() }.printed(emulsion)
    }

    /// With a line of text along its foot, so that films are told apart. Before it is [`Self::printed`].
    ///
    /// # Errors
    /// [`TextError`] without any font.
    pub fn labelled(mut self, fonts: &Fonts, label: &str) -> Result<Self, TextError> {
        let style =
            TextStyle { family: "Fira Sans".to_owned(), weight: 400, size: known(Length::mm(LABEL_MM)), tracking: 0.0 };
        let room = Length::clamped((self.page.width_mm() - 2.0 * ROOM_MM) * 1e-3);
        let (set, _) = line(fonts, label, &style)?.fitted(room);
        let at = Affine::translate((self.page.min.x + ROOM_MM, self.page.max.y));
        self.black = self.black.union(&set.region(at, LETTER_MM));
        self.page.max.y += LABEL_MM;
        Ok(self)
    }

    /// A sheet laid out as it is to be seen, as it is printed.
    #[must_use]
    pub fn printed(self, emulsion: Emulsion) -> Self {
        match emulsion {
            Emulsion::TowardsLamp => self,
            Emulsion::TowardsResist => self.mirrored(),
        }
    }

    fn mirrored(self) -> Self {
        let x = self.page.centre().x;
        let flip = |b: Bounds| Bounds {
            min: Point { x: 2.0 * x - b.max.x, y: b.min.y },
            max: Point { x: 2.0 * x - b.min.x, y: b.max.y },
        };
        let patches = self.patches.iter().map(|patch| Patch { bounds: flip(patch.bounds), ..*patch }).collect();
        Self { black: self.black.mirrored(x), bar: flip(self.bar), patches, ..self }
    }
}

/// The weed box with room for bar and tablet below, never narrower than they are.
fn page(weed_box: Bounds) -> Bounds {
    let short = (BAR_MM + 2.0 * ROOM_MM - weed_box.width_mm()).max(0.0);
    Bounds {
        min: Point { x: weed_box.min.x - 0.5 * short, y: weed_box.min.y },
        max: Point { x: weed_box.max.x + 0.5 * short, y: weed_box.max.y + 3.0 * ROOM_MM + PATCH_MM },
    }
}

fn sized(min: Point, width_mm: f64, height_mm: f64) -> Bounds {
    Bounds { min, max: Point { x: min.x + width_mm, y: min.y + height_mm } }
}

fn box_ring(b: Bounds) -> Ring {
    Ring(vec![b.min, Point { x: b.max.x, y: b.min.y }, b.max, Point { x: b.min.x, y: b.max.y }])
}

fn lines(mark: &Mark) -> [Ring; 2] {
    let line = |dx: f64, dy: f64| {
        let from = Point { x: mark.centre.x - dx, y: mark.centre.y - dy };
        box_ring(sized(from, 2.0 * dx, 2.0 * dy))
    };
    [line(mark.reach_mm, 0.5 * LINE_MM), line(0.5 * LINE_MM, mark.reach_mm)]
}

fn scale(bar: Bounds) -> impl Iterator<Item = Ring> {
    // Ticks stay within the bar's length, so that its ends are the bar's own.
    let tick = move |i: usize| {
        let x = bar.min.x + (BAR_MM / 10.0 * i as f64).clamp(0.0, BAR_MM - LINE_MM);
        box_ring(sized(Point { x, y: bar.min.y }, LINE_MM, 3.0 * BAR_WIDTH_MM))
    };
    std::iter::once(box_ring(bar)).chain((0..=10).map(tick))
}
