//! How the jet is moved over the work: parallel passes, dwelling, and what evenness they leave.
//!
//! The jet removes `Φ(r) = Φ0 exp(-(r/s)²)`, `s` its 1/e radius ([`Removal::footprint_radius`]), so that
//! `Φ0 = V/(π s²)` with `V` the volume rate. One pass at speed `v` leaves `V/(√π s v) exp(-(y/s)²)` across itself;
//! passes at a pitch `p` leave `V/(p v)` on the average.

use crate::jet::Removal;
use artwork::grid::{Field, Grid, Point};
use language::say;
use quantity::{Area, Length, Quantity as _, Speed, Time};
use rayon::prelude::*;
use std::f64::consts::PI;

/// A raster of parallel passes, by hand or by machine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passes {
    /// From one pass to the next.
    pub pitch: Length,
    /// Speed of the nozzle along a pass.
    pub speed: Speed,
    /// How often the whole raster is gone over.
    pub layers: u32,
}

/// Parallel passes that cannot be.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum MotionError {
    /// The nozzle stands still, or passes lie on each other.
    #[error("{}", say!("a raster needs a pitch and a speed above zero"))]
    Still,
    /// There is no footprint.
    #[error("{}", say!("the jet's footprint has no width; give a standoff or a bore"))]
    NoFootprint,
}

impl Passes {
    /// Mean depth that wide ground gains: `layers V/(p v)`.
    ///
    /// # Errors
    /// [`MotionError::Still`] for no pitch or no speed.
    pub fn dose(&self, removal: &Removal) -> Result<Length, MotionError> {
        let swept = self.pitch.to_metres() * self.speed.to_metres_per_second();
        if swept <= 0.0 {
            return Err(MotionError::Still);
        }
        let volume = removal.volume_rate.to_cubic_mm_per_second() * 1e-9;
        Ok(Length::clamped(f64::from(self.layers) * volume / swept))
    }

    /// Share by which neighbouring passes overlap: `1 - p/(2s)`, below 0 when they leave a gap.
    #[must_use]
    pub fn overlap(&self, removal: &Removal) -> f64 {
        1.0 - self.pitch.to_metres() / (2.0 * removal.footprint_radius.to_metres()).max(1e-12)
    }

    /// Greatest less least depth over the mean, of the sum of all passes; see [`crate::jet::ripple`] for its leading
    /// term.
    #[must_use]
    pub fn ripple(&self, removal: &Removal) -> f64 {
        let relative = self.pitch.to_metres() / removal.footprint_radius.to_metres().max(1e-12);
        if relative <= 0.0 {
            return 0.0;
        }
        let reach = (6.0 / relative).ceil().min(1e4) as i64;
        let sum = |x: f64| (-reach..=reach).map(|i| (-(x - i as f64 * relative).powi(2)).exp()).sum::<f64>();
        (sum(0.0) - sum(0.5 * relative)) * relative / PI.sqrt()
    }

    /// Seconds to go over an area once for each layer: `layers A/(p v)`, turning left out.
    ///
    /// # Errors
    /// [`MotionError::Still`] for no pitch or no speed.
    pub fn time(&self, area: Area) -> Result<Time, MotionError> {
        let swept = self.pitch.to_metres() * self.speed.to_metres_per_second();
        if swept <= 0.0 {
            return Err(MotionError::Still);
        }
        Ok(Time::clamped(f64::from(self.layers) * area.to_square_metres() / swept))
    }

    /// Share of the mean dose for each cell, passes along x, the first at `first` (its y): for
    /// [`crate::height_field::Opening::flux`].
    #[must_use]
    pub fn flux(&self, grid: Grid, first: Length, removal: &Removal) -> Field<f32> {
        let (pitch, s) = (self.pitch.to_mm().max(1e-6), removal.footprint_radius.to_mm().max(1e-6));
        let share = |row: usize| {
            let y = grid.centre(0, row).y - first.to_mm();
            let near = (y / pitch).round();
            let reach = (4.0 * s / pitch).ceil().clamp(1.0, 1e4) as i64;
            let one = |i: i64| (-((y - (near + i as f64) * pitch) / s).powi(2)).exp();
            ((-reach..=reach).map(one).sum::<f64>() * pitch / (PI.sqrt() * s)) as f32
        };
        let mut flux = Field::filled(grid, 0.0f32);
        if !grid.is_empty() {
            flux.values.par_chunks_mut(grid.width).enumerate().for_each(|(row, line)| line.fill(share(row)));
        }
        flux
    }
}

/// Greatest pitch that keeps the ripple at or below a share of the depth: `π s/√(ln(4/ripple))`.
///
/// Source: first term of the Poisson sum of Gaussians. Checked: 0.05 gives 1.50 s.
#[must_use]
pub fn pitch_for(ripple: f64, radius: Length) -> Length {
    let ripple = ripple.clamp(1e-6, 2.0);
    Length::clamped(PI * radius.to_metres() / (4.0 / ripple).ln().sqrt())
}

/// Dose on the axis of an unmasked Gaussian pass or spot at which its rounded bottom has focused into a sharp V:
/// `π s/(2 √(2k))`. Deeper than this, real bottoms stay rounder than the model's.
///
/// Source: curvature of the characteristics at the axis, derived. Checked: 0.785398 s for k = 2, 0.72713 for 7/3.
#[must_use]
pub fn focus_dose(exponent: f64, radius: Length) -> Length {
    Length::clamped(0.5 * PI * radius.to_metres() / (2.0 * exponent.max(1e-3)).sqrt())
}

/// A stop of the jet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dwell {
    /// Where its axis meets the piece.
    pub at: Point,
    /// For how long.
    pub time: Time,
}

/// What a jet that dwells leaves: the dose at the deepest cell, and each cell's share of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Dwelt {
    /// Dose where it is largest.
    pub dose: Length,
    /// Share of that for each cell, 0 to 1: for [`crate::height_field::Opening::flux`].
    pub flux: Field<f32>,
}

/// The dose of a hand that dwells here and there: a Gaussian for each stop. A slow path is many stops.
///
/// # Errors
/// [`MotionError::NoFootprint`] when the jet has none.
pub fn dwelt(grid: Grid, stops: &[Dwell], removal: &Removal) -> Result<Dwelt, MotionError> {
    let s = removal.footprint_radius.to_mm();
    if s <= 0.0 {
        return Err(MotionError::NoFootprint);
    }
    let peak = removal.volume_rate.to_cubic_mm_per_second() / (PI * s * s);
    let dose_at = |p: Point| {
        let of =
            |stop: &Dwell| stop.time.to_seconds() * (-((p.x - stop.at.x).hypot(p.y - stop.at.y) / s).powi(2)).exp();
        (peak * stops.iter().map(of).sum::<f64>()) as f32
    };
    let dose = |i: usize| dose_at(grid.centre(i % grid.width, i / grid.width));
    let mut flux = Field { grid, values: (0..grid.len()).into_par_iter().map(dose).collect::<Vec<f32>>() };
    let most = flux.values.iter().copied().fold(0.0, f32::max);
    if most > 0.0 {
        flux.values.par_iter_mut().for_each(|share| *share /= most);
    }
    Ok(Dwelt { dose: Length::clamped(f64::from(most) * 1e-3), flux })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::jet::ripple;
    use crate::jet::tests::removal;

    fn mm(value: f64) -> Length {
        Length::mm(value).unwrap()
    }

    fn passes(pitch: f64) -> Passes {
        Passes { pitch: mm(pitch), speed: Speed::metres_per_second(0.05).unwrap(), layers: 2 }
    }

    fn grid() -> Grid {
        Grid { origin: Point { x: -60.0, y: -60.0 }, cell: 0.5, width: 240, height: 240 }
    }

    #[test]
    fn the_ripple_of_a_raster_is_its_leading_term_and_the_tables() {
        let s = removal().footprint_radius.to_mm();
        for (relative, printed) in [(1.0, 2.1e-4), (1.5, 0.050), (2.0, 0.34)] {
            let got = passes(relative * s).ripple(&removal());
            assert!((got / printed - 1.0).abs() < 0.05, "{relative}: {got}");
            assert!((got / ripple(mm(relative * s), mm(s)) - 1.0).abs() < 0.01);
        }
        assert!((pitch_for(0.05, mm(1.0)).to_mm() - 1.5).abs() < 0.005);
        assert!((pitch_for(0.34, mm(1.0)).to_mm() - 2.0).abs() < 0.01);
    }

    #[test]
    fn the_flux_field_has_that_ripple_and_the_mean_of_one() {
        let s = removal().footprint_radius.to_mm();
        let flux = passes(1.5 * s).flux(grid(), mm(0.0), &removal());
        let column: Vec<f64> = (0..240).map(|row| f64::from(flux.values[row * 240])).collect();
        let (low, high) = column.iter().fold((f64::MAX, 0.0f64), |(low, high), &v| (low.min(v), high.max(v)));
        assert!(((high - low) / 0.050 - 1.0).abs() < 0.05, "{}", high - low);
        assert!((0.5 * (high + low) - 1.0).abs() < 1e-3);
    }

    #[test]
    fn dose_and_time_of_a_raster_carry_the_volume() {
        let area = Area::square_cm(100.0).unwrap();
        let (dose, time) = (passes(8.0).dose(&removal()).unwrap(), passes(8.0).time(area).unwrap());
        let volume = removal().volume_rate.to_cubic_mm_per_second() * time.to_seconds();
        assert!((dose.to_mm() * 1e4 / volume - 1.0).abs() < 1e-9);
        let still = Passes { speed: Speed::metres_per_second(0.0).unwrap(), ..passes(8.0) };
        assert_eq!((still.dose(&removal()), still.time(area)), (Err(MotionError::Still), Err(MotionError::Still)));
    }

    #[test]
    fn a_stop_removes_its_volume() {
        let stops = [Dwell { at: Point { x: 3.0, y: -2.0 }, time: Time::seconds(4.0).unwrap() }];
        let dwelt = dwelt(grid(), &stops, &removal()).unwrap();
        let sum: f64 = dwelt.flux.values.iter().map(|&share| f64::from(share)).sum();
        let volume = sum * dwelt.dose.to_mm() * grid().cell_area();
        assert!((volume / (4.0 * removal().volume_rate.to_cubic_mm_per_second()) - 1.0).abs() < 1e-3, "{volume}");
    }

    #[test]
    fn the_bottom_of_a_pass_focuses_at_the_derived_dose() {
        // π/4 exactly, and π/(2 √(14/3)) worked out to six digits; a table that prints 0.727160 for the second is
        // 3e-5 off its own formula.
        for (k, want) in [(2.0, 0.25 * PI), (7.0 / 3.0, 0.727_137)] {
            assert!((focus_dose(k, mm(1.0)).to_mm() - want).abs() < 1e-6, "{}", focus_dose(k, mm(1.0)).to_mm());
        }
    }
}
