//! A field of tones onto a film's rows of dots.

use super::blue_noise::{TILE, tile};
use super::clustered::Clustered;
use super::diffusion::{Diffusion, Kernel};
use super::limits::least_tone;
use super::tone::ToneCurve;
use artwork::grid::{Field, Grid, Point};
use quantity::Length;
use rayon::prelude::*;

/// How tones become dots.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Screening {
    /// Dots that grow.
    Clustered(Clustered),
    /// Equal spots scattered by a blue-noise tile.
    BlueNoise,
    /// Equal spots scattered by error diffusion.
    Diffusion {
        /// Who gets the error.
        kernel: Kernel,
        /// Whether every other row runs back.
        serpentine: bool,
    },
}

/// What is wanted of a halftone.
#[derive(Debug, Clone)]
pub struct Halftone<'a> {
    /// Share of black, 0 to 1; outside its grid the film stays bare.
    pub tone: &'a Field<f32>,
    /// How it becomes dots.
    pub screening: Screening,
    /// What the process makes of a tone; asked for so that the wanted tone comes out.
    pub curve: Option<&'a ToneCurve>,
    /// Smallest dot, and smallest hole, that film, resist and blast hold. Tones of the clustered screen below
    /// it go to bare film or to the least tone, whichever is nearer; scattered spots are made this large.
    pub least: Length,
}

/// A halftone ready to be asked for rows of a grid of printer's dots.
#[derive(Debug)]
pub struct Screened<'a> {
    tone: &'a Field<f32>,
    grid: Grid,
    asked: Vec<f32>,
    dots: Dots,
}

#[derive(Debug)]
enum Dots {
    Clustered(Clustered),
    /// Spots of so many printer's dots along an edge.
    Spots {
        edge: usize,
        width: usize,
        bits: Vec<u64>,
    },
}

/// Entries of the table from wanted to asked tone: finer than any film tells apart.
const TONES: usize = 4096;

impl Halftone<'_> {
    /// Makes it ready for a film whose dots lie on `grid`.
    #[must_use]
    pub fn on(&self, grid: Grid) -> Screened<'_> {
        let edge = ((self.least.to_mm() / grid.cell) - 1e-6).ceil().max(1.0) as usize;
        let floor = match &self.screening {
            Screening::Clustered(screen) => least_tone(self.least.to_mm(), screen.pitch_mm).min(0.5),
            _ => 0.0,
        };
        let asked = |i: usize| {
            let wanted = i as f64 / (TONES - 1) as f64;
            held(self.curve.map_or(wanted, |curve| curve.ask_for(wanted)), floor) as f32
        };
        let asked: Vec<f32> = (0..TONES).map(asked).collect();
        let spots = Grid {
            cell: grid.cell * edge as f64,
            width: grid.width.div_ceil(edge),
            height: grid.height.div_ceil(edge),
            ..grid
        };
        let tones = Tones { tone: self.tone, grid: spots, asked: &asked };
        let dots = match &self.screening {
            Screening::Clustered(screen) => Dots::Clustered(*screen),
            Screening::BlueNoise => Dots::Spots { edge, width: spots.width, bits: scattered(&tones) },
            Screening::Diffusion { kernel, serpentine } => {
                Dots::Spots { edge, width: spots.width, bits: diffused(&tones, *kernel, *serpentine) }
            }
        };
        Screened { tone: self.tone, grid, asked, dots }
    }
}

impl Screened<'_> {
    /// Which dots of a row are black.
    pub fn row(&self, row: usize, black: &mut [bool]) {
        match &self.dots {
            Dots::Clustered(screen) => self.clustered(screen, row, black),
            Dots::Spots { edge, width, bits } => {
                let line = &bits[row / edge * width.div_ceil(64)..];
                for (spot, dots) in black.chunks_mut(*edge).enumerate() {
                    dots.fill(line[spot / 64] >> (spot % 64) & 1 == 1);
                }
            }
        }
    }

    fn clustered(&self, screen: &Clustered, row: usize, black: &mut [bool]) {
        let first = self.grid.centre(0, row);
        let mut cells = screen.row(first.x, first.y, self.grid.cell);
        let tones = Tones { tone: self.tone, grid: self.grid, asked: &self.asked };
        tones.each(row, |column, tone| black[column] = tone * 65_535.0 > f32::from(cells.next()));
    }
}

/// A tone that its dots can hold: never between bare and `floor`, nor between the darkest and black.
fn held(tone: f64, floor: f64) -> f64 {
    let light = |t: f64| {
        if t >= floor {
            t
        } else if t >= 0.5 * floor {
            floor
        } else {
            0.0
        }
    };
    if tone <= 0.5 { light(tone) } else { 1.0 - light(1.0 - tone) }
}

/// A field of tones seen on another grid.
struct Tones<'a> {
    tone: &'a Field<f32>,
    grid: Grid,
    asked: &'a [f32],
}

impl Tones<'_> {
    /// Calls for every column of a row with the tone to be asked for there, by straight lines between the
    /// field's cells.
    fn each(&self, row: usize, mut take: impl FnMut(usize, f32)) {
        let (field, from) = (&self.tone.grid, self.grid.centre(0, row));
        let y = (from.y - field.origin.y) / field.cell;
        if field.is_empty() || y < 0.0 || y > field.height as f64 {
            return (0..self.grid.width).for_each(|column| take(column, 0.0));
        }
        let line = between(self.tone, y - 0.5);
        let (start, step) = ((from.x - field.origin.x) / field.cell - 0.5, self.grid.cell / field.cell);
        let last = (field.width - 1) as f64;
        // The columns on the field; the others stay bare.
        let column = |x: f64| ((x - start) / step).ceil().clamp(0.0, self.grid.width as f64) as usize;
        let (first, end) = (column(-0.5), column(last + 0.5));
        (0..first).for_each(|column| take(column, 0.0));
        for column in first..end {
            let x = (start + step * column as f64).clamp(0.0, last) as f32;
            let i = x as usize;
            let (a, b) = (line[i], line[(i + 1).min(line.len() - 1)]);
            let tone = a + (b - a) * (x - i as f32);
            take(column, self.asked[((tone * (TONES - 1) as f32 + 0.5) as usize).min(TONES - 1)]);
        }
        (end..self.grid.width).for_each(|column| take(column, 0.0));
    }
}

/// The field's row at a height between two of its rows' middles.
fn between(field: &Field<f32>, y: f64) -> Vec<f32> {
    let last = field.grid.height - 1;
    let y = y.clamp(0.0, last as f64);
    let (upper, part) = (y as usize, (y - y.floor()) as f32);
    let lower = (upper + 1).min(last);
    field.row(upper).iter().zip(field.row(lower)).map(|(a, b)| a + (b - a) * part).collect()
}

fn scattered(tones: &Tones<'_>) -> Vec<u64> {
    let words = tones.grid.width.div_ceil(64);
    let mut bits = vec![0_u64; words * tones.grid.height];
    bits.par_chunks_mut(words.max(1)).enumerate().for_each(|(row, line)| {
        let thresholds = &tile()[row % TILE * TILE..][..TILE];
        tones.each(row, |column, tone| {
            line[column / 64] |= u64::from(tone > thresholds[column % TILE]) << (column % 64);
        });
    });
    bits
}

/// Rows whose tones are looked up at once, while those before are diffused.
const AHEAD: usize = 64;

fn diffused(tones: &Tones<'_>, kernel: Kernel, serpentine: bool) -> Vec<u64> {
    let (width, height) = (tones.grid.width.max(1), tones.grid.height);
    let words = width.div_ceil(64);
    let mut diffusion = Diffusion::new(kernel, width, serpentine);
    let mut black = vec![false; width];
    let mut bits = vec![0_u64; words * height];
    let look_up = |from: usize, rows: &mut [f32]| {
        let rows = rows.par_chunks_mut(width).enumerate().filter(|(i, _)| from + i < height);
        rows.for_each(|(i, row)| tones.each(from + i, |column, tone| row[column] = tone));
    };
    let (mut now, mut next) = (vec![0.0; AHEAD * width], vec![0.0; AHEAD * width]);
    look_up(0, &mut now);
    for (part, lines) in bits.chunks_mut(AHEAD * words).enumerate() {
        let diffuse = || {
            for (row, line) in now.chunks_mut(width).zip(lines.chunks_mut(words)) {
                diffusion.next_row(row, &mut black);
                packed(&black, line);
            }
        };
        rayon::join(diffuse, || look_up((part + 1) * AHEAD, &mut next));
        std::mem::swap(&mut now, &mut next);
    }
    bits
}

/// Spots into words, the first in the lowest bit.
fn packed(black: &[bool], line: &mut [u64]) {
    for (word, spots) in line.iter_mut().zip(black.chunks(64)) {
        *word = spots.iter().rev().fold(0, |word, &black| word << 1 | u64::from(black));
    }
}

/// An even tone over a rectangle, for wedges and tablets.
#[must_use]
pub fn even(tone: f32, from: Point, width_mm: f64, height_mm: f64) -> Field<f32> {
    // One cell would do; two across keep the cell square where the rectangle is not.
    let cell = width_mm.min(height_mm).max(1e-3);
    let [width, height] = [width_mm, height_mm].map(|mm| (mm / cell).ceil().max(1.0) as usize);
    Field::filled(Grid { origin: from, cell, width, height }, tone)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::halftone::clustered::Dot;
    use crate::halftone::limits::pitch_mm;

    fn film(dpi: f64, edge_mm: f64) -> Grid {
        let cell = 25.4 / dpi;
        let n = (edge_mm / cell).round() as usize;
        Grid { origin: Point::default(), cell, width: n, height: n }
    }

    fn found(screening: Screening, tone: f32, least_mm: f64, grid: Grid) -> f64 {
        let field = even(tone, Point::default(), 1000.0, 1000.0);
        let halftone = Halftone { tone: &field, screening, curve: None, least: Length::mm(least_mm).unwrap() };
        let screened = halftone.on(grid);
        let mut row = vec![false; grid.width];
        let count = |y| {
            screened.row(y, &mut row);
            row.iter().filter(|black| **black).count()
        };
        (0..grid.height).map(count).sum::<usize>() as f64 / grid.len() as f64
    }

    #[test]
    fn a_grey_wedge_gives_each_tone_within_a_hundredth_of_the_area() {
        let clustered =
            |lpi, angle_degrees, dot| Screening::Clustered(Clustered { pitch_mm: pitch_mm(lpi), angle_degrees, dot });
        let diffusion = Screening::Diffusion { kernel: Kernel::FLOYD_STEINBERG, serpentine: true };
        let screens = [
            clustered(20.0, 0.0, Dot::Round),
            clustered(33.3, 15.0, Dot::Round),
            clustered(45.0, 45.0, Dot::RoundBothWays),
            clustered(60.0, 75.0, Dot::RoundBothWays),
            clustered(85.0, 0.0, Dot::RoundBothWays),
            Screening::BlueNoise,
            diffusion,
        ];
        let mut worst = (0.0, String::new());
        for (i, screening) in screens.into_iter().enumerate() {
            for step in 0..=20 {
                let tone = f64::from(step) / 20.0;
                let least = if i > 4 { 0.1 } else { 0.0 };
                let off = (found(screening, tone as f32, least, film(1440.0, 15.0)) - tone).abs();
                assert!(off < 0.01, "{screening:?} {tone}: off by {off}");
                if off > worst.0 {
                    worst = (off, format!("{screening:?} at {tone}"));
                }
            }
        }
        println!("worst of 147 patches: {:.5} of the area, {}", worst.0, worst.1);
    }

    #[test]
    fn no_dot_and_no_hole_is_smaller_than_the_film_holds() {
        let grid = film(1200.0, 20.0);
        let at40 = Screening::Clustered(Clustered { pitch_mm: pitch_mm(40.0), angle_degrees: 45.0, dot: Dot::Round });
        // m = 0.2 mm at 40 lpi: least tone 7.79 %.
        assert_eq!(found(at40, 0.03, 0.2, grid), 0.0);
        assert!((found(at40, 0.05, 0.2, grid) - 0.0779).abs() < 0.003);
        assert_eq!(found(at40, 0.97, 0.2, grid), 1.0);
        // Scattered spots: every run of black or bare along a row is a whole number of spots.
        let field = even(0.3, Point::default(), 1000.0, 1000.0);
        let least = Length::mm(0.1).unwrap();
        let halftone = Halftone { tone: &field, screening: Screening::BlueNoise, curve: None, least };
        let screened = halftone.on(grid);
        let mut row = vec![false; grid.width];
        screened.row(7, &mut row);
        let runs: Vec<usize> = row.chunk_by(|a, b| a == b).map(<[bool]>::len).collect();
        assert!(runs.len() > 20 && runs[..runs.len() - 1].iter().all(|run| run % 5 == 0), "{runs:?}");
    }

    #[test]
    fn a_curve_is_undone_before_it_happens() {
        let curve = ToneCurve::of_growth(pitch_mm(40.0), 0.03).unwrap();
        let field = even(0.5, Point::default(), 1000.0, 1000.0);
        let screening =
            Screening::Clustered(Clustered { pitch_mm: pitch_mm(40.0), angle_degrees: 45.0, dot: Dot::Round });
        let halftone = Halftone { tone: &field, screening, curve: Some(&curve), least: Length::mm(0.0).unwrap() };
        let (grid, mut sum) = (film(1200.0, 20.0), 0);
        let screened = halftone.on(grid);
        let mut row = vec![false; grid.width];
        for y in 0..grid.height {
            screened.row(y, &mut row);
            sum += row.iter().filter(|black| **black).count();
        }
        let asked = sum as f64 / grid.len() as f64;
        assert!((curve.printed(asked) - 0.5).abs() < 0.005, "{asked}");
    }
}
