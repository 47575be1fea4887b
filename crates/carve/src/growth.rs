//! Openings that grow while they are blasted: the resist's edge draws back, rebounding grains cut under it, and resist
//! that is worn through lets go. Each turns one stage into several shorter ones for the solver.

use crate::height_field::Opening;
use artwork::grid::{Field, Mask};
use quantity::{Length, Quantity as _};
use rayon::prelude::*;

/// A part of a stage, with the opening as it then is.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// What is open.
    pub mask: Mask,
    /// Distance to the edge in millimetres, positive where open.
    pub edge: Field<f32>,
    /// Depth that wide ground gains in this part.
    pub dose: Length,
}

impl Part {
    /// The same for the solver.
    #[must_use]
    pub fn opening(&self) -> Opening<'_> {
        Opening { mask: &self.mask, edge: Some(&self.edge), dose: self.dose, flux: None }
    }
}

/// A stage whose edges move outward by `per_dose` of the dose: undercut (0.05 of the depth, 0 to 0.2, judgement) and
/// the resist's own retreat together.
///
/// The stage is cut into parts of equal dose, each with the edge where it lies half-way through its part, so that the
/// edge moves by at most half a cell from part to part; 64 parts at most.
///
/// * `edge`: signed distance to the edge in millimetres, negative where covered. With 0 there, nothing can grow.
#[must_use]
pub fn spreading(edge: &Field<f32>, dose: Length, per_dose: f64) -> Vec<Part> {
    let way = per_dose.max(0.0) * dose.to_mm();
    let parts = (2.0 * way / edge.grid.cell).ceil().clamp(1.0, PARTS_MAX) as u32;
    let part = |i: u32| {
        let out = ((f64::from(i) + 0.5) / f64::from(parts) * way) as f32;
        let values: Vec<f32> = edge.values.par_iter().map(|&d| if d == 0.0 { d } else { d + out }).collect();
        let mask = Field { grid: edge.grid, values: values.par_iter().map(|&d| d > 0.0).collect() };
        Part {
            mask,
            edge: Field { grid: edge.grid, values },
            dose: Length::clamped(dose.to_metres() / f64::from(parts)),
        }
    };
    (0..parts).map(part).collect()
}

/// No stage is cut finer.
const PARTS_MAX: f64 = 64.0;

/// A stage with a resist that lets go where it is worn through.
///
/// A covered cell opens once the dose since its own beginning passes what its resist stands; the stage is cut at
/// these doses, to one `cuts`-th of it. Edges are then half-way between cells.
///
/// * `stands`: dose in millimetres that each cell's resist still stands; infinite where it holds for ever. It is
///   lowered by the stage's dose, for the next stage.
#[must_use]
pub fn letting_go(mask: &Mask, stands: &mut Field<f32>, dose: Length, cuts: u32) -> Vec<Part> {
    let (cuts, dose_mm) = (cuts.max(1), dose.to_mm() as f32);
    let mut parts: Vec<Part> = Vec::new();
    for cut in 0..cuts {
        let gone = dose_mm * cut as f32 / cuts as f32;
        let open = mask.values.iter().zip(&stands.values).map(|(&open, &stands)| open || stands <= gone);
        let open = Field { grid: mask.grid, values: open.collect() };
        let step = Length::clamped(dose.to_metres() / f64::from(cuts));
        match parts.last_mut() {
            Some(last) if last.mask == open => last.dose = last.dose + step,
            _ => {
                let edge =
                    artwork::distance::distance(&open, artwork::distance::Side::Open, artwork::distance::Beyond::Edge);
                parts.push(Part { mask: open, edge, dose: step });
            }
        }
    }
    for (stands, &open) in stands.values.iter_mut().zip(&mask.values) {
        *stands = if open { *stands } else { (*stands - dose_mm).max(0.0) };
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::distance_rule::share_of;
    use crate::height_field::{SolveOptions, carry_on, carve};
    use artwork::grid::{Grid, Point};

    const K: f64 = 2.0;

    fn mm(value: f64) -> Length {
        Length::mm(value).unwrap()
    }

    fn grid() -> Grid {
        Grid { origin: Point { x: -1.0, y: -2.0 }, cell: 0.02, width: 200, height: 200 }
    }

    /// Distance to an upright edge at x = 0, open to its right.
    fn edge() -> Field<f32> {
        let grid = grid();
        Field { grid, values: (0..grid.len()).map(|i| grid.centre(i % grid.width, i / grid.width).x as f32).collect() }
    }

    /// Depth beside an edge that draws back by `u` of the dose: a plane of the slope with `f(s) = u s` from the edge to
    /// `c(s)` doses, the fan of the fixed edge beyond it. Derived from the same characteristics.
    fn retreating(u: f64, dose: f64, x: f64) -> f64 {
        let f = |s: f64| (1.0 + s * s).powf(-0.5 * K);
        let (mut low, mut high) = (0.0, 1e3);
        for _ in 0..80 {
            let s = 0.5 * (low + high);
            if f(s) > u * s { low = s } else { high = s }
        }
        let s = 0.5 * (low + high);
        let reach = K * s * (1.0 + s * s).powf(-0.5 * K - 1.0) * dose;
        if x < reach { (s * (x + u * dose)).max(0.0) } else { dose * share_of(K, x / dose) }
    }

    #[test]
    fn an_edge_that_draws_back_makes_the_derived_wall() {
        let (u, dose) = (0.2, 1.0);
        let parts = spreading(&edge(), mm(dose), u);
        let openings: Vec<Opening> = parts.iter().map(Part::opening).collect();
        let depth = carve(&openings, &SolveOptions::new(K), &carry_on).unwrap();
        let mut worst: f64 = 0.0;
        for column in 30..150 {
            let x = grid().centre(column, 100).x;
            let want = retreating(u, dose, x);
            worst = worst.max((f64::from(depth.values[100 * 200 + column]) - want).abs());
        }
        println!("{} parts, worst {worst:.4} mm of {dose} mm", parts.len());
        assert!(worst < 0.04, "two cells: the edge itself moves by half a cell at a time");
        // The cut reaches under the resist by u of the dose and no farther.
        let at = |x: f64| depth.at(Point { x, y: 0.0 }).unwrap();
        assert!(at(-0.15) > 0.0 && at(-0.25) == 0.0);
    }

    #[test]
    fn sound_edges_do_not_move() {
        let parts = spreading(&edge(), mm(0.7), 0.0);
        assert_eq!((parts.len(), &parts[0].edge), (1, &edge()));
        assert!((parts[0].dose.to_mm() - 0.7).abs() < 1e-12);
    }

    #[test]
    fn worn_resist_lets_go_and_sound_resist_keeps_the_ground() {
        let grid = grid();
        let at = |i: usize| grid.centre(i % grid.width, i / grid.width);
        let mask = Field { grid, values: (0..grid.len()).map(|i| at(i).x > 2.0).collect() };
        // A thin spot that stands 0.4 mm, sound resist else.
        let stands = |i: usize| if (at(i).x - 0.5).hypot(at(i).y) < 0.4 { 0.4 } else { f32::INFINITY };
        let mut stands = Field { grid, values: (0..grid.len()).map(stands).collect() };
        let parts = letting_go(&mask, &mut stands, mm(1.0), 10);
        assert_eq!(parts.len(), 2, "before and after the spot opens");
        assert!((parts[0].dose.to_mm() - 0.4).abs() < 1e-6 && (parts[1].dose.to_mm() - 0.6).abs() < 1e-6);
        let openings: Vec<Opening> = parts.iter().map(Part::opening).collect();
        let depth = carve(&openings, &SolveOptions::new(K), &carry_on).unwrap();
        let spot = f64::from(depth.at(Point { x: 0.5, y: 0.01 }).unwrap());
        assert!((spot - 0.6 * share_of(K, 0.4 / 0.6)).abs() < 0.01, "{spot}");
        for (i, &z) in depth.values.iter().enumerate() {
            let sound = at(i).x < 2.0 && (at(i).x - 0.5).hypot(at(i).y) >= 0.4;
            assert!(!sound || z == 0.0, "no erosion under sound resist");
        }
        assert_eq!(stands.at(Point { x: 0.5, y: 0.01 }), Some(0.0));
    }
}
