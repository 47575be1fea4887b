//! Shading: one stage, all open, and each region dwelt on until it is as frosted as its tone wants.

use crate::coverage::{frosted, grit_for_g_m2};
use crate::grain::Grain;
use crate::jet::Removal;
use language::say;
use quantity::{Area, Fraction, Length, MassRate, Quantity as _, Time};

/// Above this share a surface counts as fully frosted: more grit only deepens it.
pub const FULL: f64 = 0.98;

/// A region of one tone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Region {
    /// Share of the surface to be frosted, 0 to 1; above [`FULL`] it is held there.
    pub tone: Fraction,
    /// All that is swept for it, resist included.
    pub swept: Area,
}

/// What to do for one region.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dwelling {
    /// Seconds of even sweeping.
    pub time: Time,
    /// Depth that goes with it.
    pub depth: Length,
    /// The tone again, from the forward model.
    pub tone: Fraction,
}

/// Tones that cannot be reached.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum ShadeError {
    /// No grit lands.
    #[error("{}", say!("no grit leaves the nozzle; shading needs some"))]
    NoGrit,
}

/// Seconds for each region: `t = m(tone) A / ṁ`, with `m` the grit that a share needs (Poisson coverage).
///
/// Range: finest grades, below 50 µm; a coarse grain shows as a dot before its tone is reached. Accuracy: the chip's
/// size is a judgement, so ±50 % until a step wedge of the shop's own is blasted.
///
/// # Errors
/// [`ShadeError::NoGrit`] when none flows.
pub fn dwellings(
    regions: &[Region],
    grain: Grain,
    grit_rate: MassRate,
    removal: &Removal,
) -> Result<Vec<Dwelling>, ShadeError> {
    let rate = grit_rate.to_kg_per_second() * 1e3;
    if rate <= 0.0 {
        return Err(ShadeError::NoGrit);
    }
    let dwell = |region: &Region| {
        let tone = Fraction::clamped(region.tone.to_ratio().min(FULL));
        let grams = grit_for_g_m2(grain, tone).unwrap_or(0.0);
        let time = Time::clamped(grams * region.swept.to_square_metres() / rate);
        // A gram on a square metre removes E of it, whatever the area.
        let depth = Length::clamped(removal.specific_erosion.to_cubic_metres_per_kg() * grams * 1e-3);
        Dwelling { time, depth, tone: frosted(grain, grams) }
    };
    Ok(regions.iter().map(dwell).collect())
}

/// Light that passes a frosted surface over what passes the clear one, head on: `1 - F (1 - plateau)`, with
/// [`TRANSMISSION_PLATEAU`].
///
/// Source: the plateau of about half was read in an abstract (impact-angle study of soda-lime, ±0.15); that the fall
/// follows the frosted share evenly is judgement.
#[must_use]
pub fn transmission(tone: Fraction) -> f64 {
    1.0 - tone.to_ratio() * (1.0 - TRANSMISSION_PLATEAU)
}

/// Transmission of fully frosted soda-lime glass over that of clear glass.
pub const TRANSMISSION_PLATEAU: f64 = 0.5;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::jet::tests::removal;
    use quantity::{Density, Diameter};

    fn fine() -> Grain {
        Grain { size: Diameter::um(29.2).unwrap(), density: Density::kg_per_cubic_metre(3950.0).unwrap() }
    }

    fn region(tone: f64, cm2: f64) -> Region {
        Region { tone: Fraction::ratio(tone).unwrap(), swept: Area::square_cm(cm2).unwrap() }
    }

    #[test]
    fn tones_come_back_and_times_follow_the_logarithm() {
        let rate = MassRate::grams_per_second(1.0).unwrap();
        let regions = [region(0.0, 20.0), region(0.5, 20.0), region(0.75, 20.0), region(0.75, 40.0), region(1.0, 20.0)];
        let done = dwellings(&regions, fine(), rate, &removal()).unwrap();
        let seconds: Vec<f64> = done.iter().map(|d| d.time.to_seconds()).collect();
        println!("{seconds:.2?} s, deepest {:.1} µm", done[4].depth.to_um());
        assert_eq!(seconds[0], 0.0);
        // ln 4 = 2 ln 2: three quarters take twice as long as a half; twice the area twice as long.
        assert!((seconds[2] / seconds[1] - 2.0).abs() < 1e-9 && (seconds[3] / seconds[2] - 2.0).abs() < 1e-9);
        for (dwelling, region) in done.iter().zip(&regions) {
            assert!((dwelling.tone.to_ratio() - region.tone.to_ratio().min(FULL)).abs() < 1e-9);
        }
        // 0.31 kg/m² for 98 % at 30 µm, at 1 g/s on 20 cm².
        assert!((seconds[4] / 0.62 - 1.0).abs() < 0.05);
    }

    #[test]
    fn long_blasted_glass_lets_half_through() {
        assert!((transmission(Fraction::ratio(1.0).unwrap()) - 0.5).abs() < 1e-12);
        assert!((transmission(Fraction::ratio(0.0).unwrap()) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn no_grit_is_refused() {
        let none = MassRate::grams_per_second(0.0).unwrap();
        assert_eq!(dwellings(&[region(0.5, 1.0)], fine(), none, &removal()), Err(ShadeError::NoGrit));
    }
}
