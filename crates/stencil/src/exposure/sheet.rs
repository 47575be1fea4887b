//! A sheet to print as a film, expose and wash out: lines, walls, dots, holes, tones and steps; and what its reading
//! says of the shop.

use super::ExposureError;
use super::tablet::{Reading, StepTablet};
use crate::film::{BAR_MM, Emulsion, FilmSheet, Patch};
use artwork::Affine;
use artwork::bounds::Bounds;
use artwork::grid::Point;
use artwork::region::{FillRule, Region, Ring};
use artwork::svg::Fonts;
use artwork::text::{TextError, TextStyle, line};
use language::say;
use quantity::{Estimate, Length, Quantity as _, Time};
use std::f64::consts::TAU;

/// Widths of lines and walls, diameters of dots and holes on the sheet, mm: tenths of a decade, rounded (ISO 3, R 10).
pub const WIDTHS_MM: [f64; 14] = [0.05, 0.063, 0.08, 0.1, 0.125, 0.16, 0.2, 0.25, 0.315, 0.4, 0.5, 0.63, 0.8, 1.0];
/// Tones of the wedge, share of black.
pub const TONES: [f64; 9] = [0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95];
/// From one dot of the wedge to the next: 40 lines an inch.
pub const WEDGE_PITCH_MM: f64 = 25.4 / 40.0;

/// What a part of the sheet is, for its label.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Part {
    /// A black line of this width: it washes out to an opening.
    Line(f64),
    /// Bare film between two black bars: resist that must stay down.
    Wall(f64),
    /// A black dot of this diameter.
    Dot(f64),
    /// A bare dot in black.
    Hole(f64),
    /// A tone of the wedge.
    Tone(f64),
    /// A step of the tablet, from 1.
    Step(usize),
}

/// A part and where its label's middle stands, on the baseline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Label {
    /// Of what.
    pub part: Part,
    /// Where.
    pub at: Point,
}

/// The sheet without its words.
#[derive(Debug, Clone, PartialEq)]
pub struct CalibrationSheet {
    /// To be written like any film ([`crate::film`]).
    pub film: FilmSheet,
    /// One for each part.
    pub labels: Vec<Label>,
    /// Heads of the rows and where each begins, on the baseline.
    pub heads: Vec<(&'static str, Point)>,
}

impl Part {
    fn word(&self) -> String {
        match self {
            Self::Line(mm) | Self::Wall(mm) | Self::Dot(mm) | Self::Hole(mm) => language::number(mm.to_string()),
            Self::Tone(share) => format!("{:.0}", 100.0 * share),
            Self::Step(step) => step.to_string(),
        }
    }
}

impl CalibrationSheet {
    /// The sheet with its heads and labels, as outlines.
    ///
    /// # Errors
    /// [`TextError`] without any font.
    pub fn lettered(mut self, fonts: &Fonts) -> Result<Self, TextError> {
        let style = |size_mm: f64, weight| TextStyle {
            family: "Fira Sans".to_owned(),
            weight,
            size: Length::clamped(size_mm * 1e-3),
            tracking: 0.0,
        };
        let mut letters =
            vec![set(fonts, say!("Exposure sheet"), &style(5.0, 600), Point { x: LEFT_MM, y: 9.0 }, 0.0)?];
        for (head, at) in &self.heads {
            letters.push(set(fonts, head, &style(2.8, 400), *at, 0.0)?);
        }
        for label in &self.labels {
            letters.push(set(fonts, &label.part.word(), &style(2.2, 400), label.at, 0.5)?);
        }
        let bar = Point { x: self.film.bar.max.x + 2.0, y: self.film.bar.max.y };
        letters.push(set(fonts, "100 mm", &style(2.8, 400), bar, 0.0)?);
        self.film.black = Region::union_of(letters.iter().chain([&self.film.black]));
        Ok(self)
    }

    /// As it is printed.
    #[must_use]
    pub fn film(self, emulsion: Emulsion) -> FilmSheet {
        self.film.printed(emulsion)
    }
}

/// Letters leave their curves by no more than this, mm.
const LETTER_MM: f64 = 0.01;

/// A line of text; `middle`: share of its length that lies left of the place.
fn set(fonts: &Fonts, text: &str, style: &TextStyle, at: Point, middle: f64) -> Result<Region, TextError> {
    let lettering = line(fonts, text, style)?;
    let map = Affine::translate((at.x - middle * lettering.advance_mm, at.y));
    Ok(lettering.region(map, LETTER_MM))
}

const WIDTH_MM: f64 = 150.0;
const HEIGHT_MM: f64 = 150.0;
const LEFT_MM: f64 = 8.0;
const PITCH_MM: f64 = 9.8;
/// From a head to its row, and the heights of the rows.
const HEAD_MM: f64 = 3.0;
const LINE_MM: f64 = 13.0;
const BAR_SIDE_MM: f64 = 1.5;
const HOLE_SIDE_MM: f64 = 4.0;
const TONE_MM: f64 = 12.0;
const STEP_MM: f64 = 8.0;
const STEPS: usize = 15;
const STEP_DENSITY: f64 = 0.15;

/// Lays out the sheet, 150 x 150 mm.
#[must_use]
pub fn sheet() -> CalibrationSheet {
    let mut made = Maker::default();
    made.row(say!("Lines: the finest that is open to the ground, mm"), LINE_MM, WIDTHS_MM.map(Part::Line));
    made.row(say!("Walls: the finest that stays down, mm"), LINE_MM, WIDTHS_MM.map(Part::Wall));
    made.row(say!("Dots, mm"), 2.5, WIDTHS_MM.map(Part::Dot));
    made.row(say!("Holes, mm"), HOLE_SIDE_MM, WIDTHS_MM.map(Part::Hole));
    made.row(say!("Tones at 40 lines an inch, %"), TONE_MM, TONES.map(Part::Tone));
    made.row(
        say!("Steps: the last that holds through washout"),
        STEP_MM,
        std::array::from_fn::<_, STEPS, _>(|i| Part::Step(i + 1)),
    );
    made.finished()
}

#[derive(Default)]
struct Maker {
    y: f64,
    rings: Vec<Ring>,
    patches: Vec<Patch>,
    labels: Vec<Label>,
    heads: Vec<(&'static str, Point)>,
}

impl Maker {
    fn row<const N: usize>(&mut self, head: &'static str, height: f64, parts: [Part; N]) {
        self.y += if self.heads.is_empty() { 15.0 } else { 6.5 };
        self.heads.push((head, Point { x: LEFT_MM, y: self.y }));
        let top = self.y + HEAD_MM;
        let pitch = match parts[0] {
            Part::Tone(_) => 14.5,
            Part::Step(_) => STEP_MM + 1.0,
            _ => PITCH_MM,
        };
        for (i, part) in parts.into_iter().enumerate() {
            let x = LEFT_MM + i as f64 * pitch;
            let middle = self.part(part, Point { x, y: top }, height);
            self.labels.push(Label { part, at: Point { x: middle, y: top + height + 3.0 } });
        }
        self.y = top + height + 3.0;
    }

    /// Draws a part with its corner at a place; gives the middle of its label.
    fn part(&mut self, part: Part, at: Point, height: f64) -> f64 {
        let centre = Point { x: at.x + 0.5 * HOLE_SIDE_MM, y: at.y + 0.5 * height };
        match part {
            Part::Line(width) => self.rings.push(bar(centre.x - 0.5 * width, at.y, width, height)),
            Part::Wall(width) => {
                self.rings.push(bar(centre.x - 0.5 * width - BAR_SIDE_MM, at.y, BAR_SIDE_MM, height));
                self.rings.push(bar(centre.x + 0.5 * width, at.y, BAR_SIDE_MM, height));
            }
            Part::Dot(across) => self.rings.push(disc(centre, 0.5 * across)),
            Part::Hole(across) => {
                self.rings.push(bar(at.x, at.y, HOLE_SIDE_MM, height));
                self.rings.push(disc(centre, 0.5 * across));
            }
            Part::Tone(tone) => return self.tone(tone, at),
            Part::Step(step) => {
                let bounds = Bounds { min: at, max: Point { x: at.x + STEP_MM, y: at.y + height } };
                self.patches.push(Patch { bounds, density: (step - 1) as f64 * STEP_DENSITY });
                return at.x + 0.5 * STEP_MM;
            }
        }
        centre.x
    }

    /// Round dots up to half tone, round holes above.
    fn tone(&mut self, tone: f64, at: Point) -> f64 {
        let n = (TONE_MM / WEDGE_PITCH_MM).floor() as usize;
        let side = n as f64 * WEDGE_PITCH_MM;
        let radius = WEDGE_PITCH_MM * (tone.min(1.0 - tone) / std::f64::consts::PI).sqrt();
        if tone > 0.5 {
            self.rings.push(bar(at.x, at.y, side, side));
        }
        for i in 0..n * n {
            let [column, row] = [i % n, i / n].map(|k| (k as f64 + 0.5) * WEDGE_PITCH_MM);
            self.rings.push(disc(Point { x: at.x + column, y: at.y + row }, radius));
        }
        at.x + 0.5 * side
    }

    fn finished(self) -> CalibrationSheet {
        let foot = Point { x: LEFT_MM, y: HEIGHT_MM - 5.0 };
        let bar_bounds = Bounds { min: foot, max: Point { x: foot.x + BAR_MM, y: foot.y + 1.0 } };
        let mut rings = self.rings;
        rings.push(bar(foot.x, foot.y, BAR_MM, 1.0));
        let black = Region::from_rings(&rings, FillRule::EvenOdd);
        let page = Bounds::from_size(WIDTH_MM, HEIGHT_MM);
        let film = FilmSheet { page, black, bar: bar_bounds, patches: self.patches };
        CalibrationSheet { film, labels: self.labels, heads: self.heads }
    }
}

fn bar(x: f64, y: f64, width: f64, height: f64) -> Ring {
    Ring(
        [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)]
            .map(|(dx, dy)| Point { x: x + dx, y: y + dy })
            .to_vec(),
    )
}

/// A polygon of 48 corners with a circle's area.
fn disc(centre: Point, radius: f64) -> Ring {
    const CORNERS: u32 = 48;
    let step = TAU / f64::from(CORNERS);
    let out = radius * (step / step.sin()).sqrt();
    let at = |i: u32| (f64::from(i) * step).sin_cos();
    Ring((0..CORNERS).map(at).map(|(s, c)| Point { x: centre.x + out * c, y: centre.y + out * s }).collect())
}

/// What was read off a sheet that was exposed and washed out.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetReading {
    /// The finest line that is open to the ground.
    pub line: Length,
    /// The finest wall that stays down.
    pub wall: Length,
    /// The smallest dot that is open.
    pub dot: Option<Length>,
    /// Openings measured under a loupe: as printed, as washed out.
    pub widths: Vec<(Length, Length)>,
    /// How long it was exposed and the last step that held.
    pub step: Reading,
}

/// What a sheet says of a shop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShopFilm {
    /// Narrowest opening to draw.
    pub smallest_line: Length,
    /// Narrowest wall to draw.
    pub smallest_wall: Length,
    /// Smallest dot of a halftone.
    pub smallest_dot: Length,
    /// How much wider an opening comes out on each edge, mm; below 0 narrower. `None` without a measured width.
    pub gain_mm: Option<Estimate<f64>>,
    /// To expose with.
    pub time: Estimate<Time>,
}

/// How well a width is read under a loupe, mm, one deviation. Judgement.
const LOUPE_MM: f64 = 0.02;

/// Turns a reading into the shop's numbers.
///
/// The gain is the mean of half the differences between washed-out and printed width; its 90 % interval takes their
/// scatter or the loupe's 0.02 mm, whichever is more. The time is that of [`StepTablet::from_log`].
///
/// # Errors
/// As [`StepTablet::from_log`].
pub fn read(reading: &SheetReading, tablet: StepTablet, wanted: f64) -> Result<ShopFilm, ExposureError> {
    let smallest_line = reading.line;
    Ok(ShopFilm {
        smallest_line,
        smallest_wall: reading.wall,
        smallest_dot: reading.dot.unwrap_or(smallest_line),
        gain_mm: gain_mm(&reading.widths),
        time: tablet.from_log(&[reading.step], wanted)?,
    })
}

fn gain_mm(widths: &[(Length, Length)]) -> Option<Estimate<f64>> {
    if widths.is_empty() {
        return None;
    }
    let gains: Vec<f64> = widths.iter().map(|(printed, out)| 0.5 * (out.to_mm() - printed.to_mm())).collect();
    let n = gains.len() as f64;
    let mean = gains.iter().sum::<f64>() / n;
    let scatter = (gains.iter().map(|gain| (gain - mean).powi(2)).sum::<f64>() / (n - 1.0).max(1.0)).sqrt();
    let reach = super::tablet::NORMAL_90 * scatter.max(0.5 * LOUPE_MM) / n.sqrt();
    Estimate::new(mean - reach, mean, mean + reach).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::pdf;

    #[test]
    fn every_part_lies_on_the_sheet_and_apart_from_the_others() {
        let sheet = sheet();
        let page = sheet.film.page;
        let around = sheet.film.black.bounds().unwrap();
        assert!(page.holds(&around, 0.0), "{around:?}");
        assert!(sheet.film.patches.iter().all(|patch| page.holds(&patch.bounds, 0.0)));
        assert_eq!(sheet.labels.len(), 4 * WIDTHS_MM.len() + TONES.len() + STEPS);
        // Openings: lines, two bars for a wall, dots, holes' frames, dots of the wedge, the dark tones' frames, the bar.
        let n = (TONE_MM / WEDGE_PITCH_MM).floor() as usize;
        let light = TONES.iter().filter(|tone| **tone <= 0.5).count();
        let want = 5 * WIDTHS_MM.len() + light * n * n + (TONES.len() - light) + 1;
        assert_eq!(sheet.film.black.polygons().len(), want);
    }

    #[test]
    fn each_tone_has_its_area_and_the_sheet_is_written_as_a_film() {
        let sheet = sheet();
        let n = (TONE_MM / WEDGE_PITCH_MM).floor();
        let side = n * WEDGE_PITCH_MM;
        for label in &sheet.labels {
            let Part::Tone(tone) = label.part else { continue };
            let bottom = label.at.y - 3.0;
            let patch = Bounds {
                min: Point { x: label.at.x - 0.5 * side, y: bottom - TONE_MM },
                max: Point { x: label.at.x + 0.5 * side, y: bottom - TONE_MM + side },
            };
            let black = sheet.film.black.intersect(&Region::rectangle(patch)).area().to_square_mm();
            assert!((black / (side * side) - tone).abs() < 0.002, "{tone}: {}", black / (side * side));
        }
        assert!(pdf::verified(&sheet.film).unwrap().off_mm < 0.002);
    }

    #[test]
    fn a_reading_gives_the_gain_of_each_edge_and_the_time() {
        let mm = |mm| Length::mm(mm).unwrap();
        let reading = SheetReading {
            line: mm(0.16),
            wall: mm(0.2),
            dot: None,
            widths: vec![(mm(0.5), mm(0.56)), (mm(1.0), mm(1.04))],
            step: Reading { exposed: Time::seconds(60.0).unwrap(), held: 5.0 },
        };
        let shop = read(&reading, StepTablet::HALF_STOP, 7.0).unwrap();
        let gain = shop.gain_mm.unwrap();
        assert!((gain.mid() - 0.025).abs() < 1e-12 && gain.low() < 0.02 && gain.high() > 0.03);
        assert!((shop.time.mid().to_seconds() - 119.716).abs() < 0.01);
        assert_eq!(shop.smallest_dot, mm(0.16));
    }
}
