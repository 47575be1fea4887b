//! The jet on the piece: its footprint, what it removes in a second, seconds for a dose.

use crate::erosion::{self, ErosionError, Impact};
use crate::grain::{self, Drag, Gas, Grain, GrainError, Way};
use crate::model::Model;
use language::say;
use quantity::{Area, Diameter, Estimate, Length, MassRate, OutOfRange, Quantity as _, SpecificErosion, Speed, Time};
use std::f64::consts::PI;

/// Everything about a blast that is not uncertain.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blast {
    /// Air at the throat, without grit.
    pub gas: Gas,
    /// Air around the piece; its speed is ignored.
    pub room: Gas,
    /// Bore of the nozzle.
    pub bore: Diameter,
    /// Length of its straight part.
    pub bore_length: Length,
    /// Nozzle to piece, along the jet.
    pub standoff: Length,
    /// The abrasive.
    pub grain: Grain,
    /// Abrasive leaving the nozzle.
    pub grit_rate: MassRate,
    /// Air leaving the nozzle.
    pub air_rate: MassRate,
    /// Angle between jet and surface in degrees; 90 is square on.
    pub angle_deg: f64,
    /// Volume lost by this target over soda-lime glass.
    pub target_factor: f64,
    /// Volume removed by this abrasive over angular alumina.
    pub abrasive_factor: f64,
}

/// What the jet does to the piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Removal {
    /// Volume removed each second while the whole jet falls on bare target.
    pub volume_rate: VolumeRate,
    /// Radius at which the carving rate falls to 1/e of that on the axis.
    pub footprint_radius: Length,
    /// Speed of the grains at the piece.
    pub grain_speed: Speed,
    /// Volume removed by each kilogram of abrasive.
    pub specific_erosion: SpecificErosion,
}

/// Volume of target removed in a second, in m³/s inside; never negative.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct VolumeRate(f64);

impl VolumeRate {
    /// In cubic millimetres each second.
    #[must_use]
    pub fn to_cubic_mm_per_second(self) -> f64 {
        self.0 * 1e9
    }
}

/// A blast that cannot be computed.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum JetError {
    /// The grain's flight.
    #[error(transparent)]
    Grain(#[from] GrainError),
    /// The erosion law.
    #[error(transparent)]
    Erosion(#[from] ErosionError),
    /// No air, so no ratio of grit to air.
    #[error("{}", say!("the nozzle passes no air; grit needs air to carry it"))]
    NoAir,
    /// Nothing is swept, or nothing removed.
    #[error("{}", say!("the blast removes nothing from this area; give an area, grit and a pressure above zero"))]
    NothingRemoved,
    /// The time or rate is beyond what the program counts.
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
}

/// The law by which the air pulls.
const DRAG: Drag = Drag::Henderson;

impl Blast {
    /// What this blast removes, by one set of constants.
    ///
    /// The grain is accelerated through the bore, slowed by the grit around it and by the standoff;
    /// then `volume rate = E × grit rate`.
    ///
    /// # Errors
    /// [`JetError`] when a part of the blast cannot be.
    pub fn removal(&self, model: &Model) -> Result<Removal, JetError> {
        let ratio = self.loading_ratio()?;
        let alone = grain::exit_speed(self.grain, &self.gas, self.bore_length, DRAG, model.drag_factor)?;
        let loaded = erosion::loaded_speed(model, alone, self.gas.speed, ratio)?;
        let speed = grain::speed_at_standoff(self.grain, loaded, &self.gas, &self.way(), DRAG, model.drag_factor)?;
        self.removal_at(model, speed)
    }

    /// What it removes by each of many sets of constants: the same numbers as one by one, in less time.
    ///
    /// # Errors
    /// As [`Self::removal`].
    pub fn removals(&self, models: &[Model]) -> Result<Vec<Removal>, JetError> {
        self.loading_ratio()?;
        let arrivals = self.arrivals(models, &self.exits(models)?)?;
        models.iter().zip(arrivals).map(|(model, speed)| self.removal_at(model, speed)).collect()
    }

    /// Speeds at which lone grains leave the nozzle, by each set of constants. They hang on the nozzle, its air, the
    /// grain and the drag factor alone.
    ///
    /// # Errors
    /// As [`Self::removal`].
    pub fn exits(&self, models: &[Model]) -> Result<Vec<Speed>, JetError> {
        let factors: Vec<f64> = models.iter().map(|model| model.drag_factor).collect();
        Ok(grain::exit_speeds(self.grain, &self.gas, self.bore_length, DRAG, &factors)?)
    }

    /// Speeds at which grains that left the nozzle so, had they been alone, meet the piece, by each set of constants.
    /// Besides what the exits hang on, they hang on the loading and the standoff.
    ///
    /// # Errors
    /// As [`Self::removal`].
    pub fn arrivals(&self, models: &[Model], exits: &[Speed]) -> Result<Vec<Speed>, JetError> {
        let ratio = self.loading_ratio()?;
        let loaded = models.iter().zip(exits).map(|(model, &alone)| {
            Ok((erosion::loaded_speed(model, alone, self.gas.speed, ratio)?, model.drag_factor))
        });
        let loaded = loaded.collect::<Result<Vec<_>, JetError>>()?;
        Ok(grain::speeds_at_standoff(self.grain, &loaded, &self.gas, &self.way(), DRAG)?)
    }

    /// What is removed by grains that meet the piece at this speed.
    ///
    /// # Errors
    /// As [`Self::removal`].
    pub fn removal_at(&self, model: &Model, speed: Speed) -> Result<Removal, JetError> {
        let specific_erosion = erosion::specific_erosion(model, &self.impact(speed))?;
        Ok(Removal {
            volume_rate: VolumeRate(specific_erosion.to_cubic_metres_per_kg() * self.grit_rate.to_kg_per_second()),
            footprint_radius: footprint_radius(model, self.bore, self.standoff),
            grain_speed: speed,
            specific_erosion,
        })
    }

    /// Grit over air, by mass.
    fn loading_ratio(&self) -> Result<f64, JetError> {
        let air = self.air_rate.to_kg_per_second();
        if air <= 0.0 { Err(JetError::NoAir) } else { Ok(self.grit_rate.to_kg_per_second() / air) }
    }

    fn way(&self) -> Way {
        Way { room: self.room, bore: self.bore, standoff: self.standoff }
    }

    fn impact(&self, speed: Speed) -> Impact {
        Impact {
            speed,
            size: self.grain.size,
            angle_deg: self.angle_deg,
            target_factor: self.target_factor,
            abrasive_factor: self.abrasive_factor,
        }
    }
}

impl Removal {
    /// The same footprint with other means over the grains.
    pub(crate) fn with_means(self, specific_erosion: SpecificErosion, speed: f64, grit_rate: MassRate) -> Self {
        let volume_rate = VolumeRate(specific_erosion.to_cubic_metres_per_kg() * grit_rate.to_kg_per_second());
        Self { volume_rate, specific_erosion, grain_speed: Speed::clamped(speed), ..self }
    }

    /// Mean depth gained each second by a wide ground while the hand sweeps `swept` evenly.
    ///
    /// `swept` is all that the jet passes over, resist included: what lands on resist carves nothing.
    ///
    /// # Errors
    /// [`JetError::NothingRemoved`] for no area.
    pub fn dose_rate(&self, swept: Area) -> Result<Speed, JetError> {
        let area = swept.to_square_metres();
        if area <= 0.0 {
            return Err(JetError::NothingRemoved);
        }
        Ok(Speed::metres_per_second(self.volume_rate.0 / area)?)
    }

    /// Seconds to give `dose` to `swept`.
    ///
    /// # Errors
    /// [`JetError::NothingRemoved`] when it would take for ever, [`JetError::OutOfRange`] beyond three
    /// years.
    pub fn time_for(&self, dose: Length, swept: Area) -> Result<Time, JetError> {
        let rate = self.dose_rate(swept)?.to_metres_per_second();
        if rate <= 0.0 {
            return Err(JetError::NothingRemoved);
        }
        Ok(Time::seconds(dose.to_metres() / rate)?)
    }

    /// The least area that a hand can keep under the jet: the footprint's own, `π r²`.
    #[must_use]
    pub fn footprint(&self) -> Area {
        Area::clamped(PI * self.footprint_radius.to_metres().powi(2))
    }
}

/// Seconds to give `dose` to `swept`, with their spread over `models`.
///
/// # Errors
/// As [`Blast::removal`] and [`Removal::time_for`]; [`JetError::OutOfRange`] also for no models.
pub fn time_estimate(blast: &Blast, models: &[Model], dose: Length, swept: Area) -> Result<Estimate<Time>, JetError> {
    let seconds = |model: &Model| Ok(blast.removal(model)?.time_for(dose, swept)?.to_seconds());
    let mut samples = models.iter().map(seconds).collect::<Result<Vec<f64>, JetError>>()?;
    Ok(Estimate::from_samples(&mut samples)?)
}

/// Radius at which the carving rate falls to 1/e: `√((h/b)² + (D/2)²)`, the Gaussian spread over the
/// standoff `h` and the nozzle's own bore `D` together.
///
/// Source: `b` from micro-jets, from memory, 10 with the band 6 to 18 by judgement; adding the bore in
/// squares is judgement.
#[must_use]
pub fn footprint_radius(model: &Model, bore: Diameter, standoff: Length) -> Length {
    Length::clamped((standoff.to_metres() / model.focus).hypot(0.5 * bore.to_metres()))
}

/// Grit flux in kg/(m² s) at `radius` from the axis: `φ = ṁ b²/(π h²) exp(-(b r/h)²)`.
///
/// Its integral over the plane is the grit rate (checked numerically).
#[must_use]
pub fn grit_flux_kg_m2_s(grit_rate: MassRate, focus: f64, standoff: Length, radius: Length) -> f64 {
    let spread = focus / standoff.to_metres();
    let r = radius.to_metres() * spread;
    grit_rate.to_kg_per_second() * spread * spread / PI * (-r * r).exp()
}

/// Focus of the carving rate when the speed too falls off as `exp(-(a r/h)²)`: `b_eff² = b² + m a²`.
#[must_use]
pub fn power_focus(model: &Model, speed_focus: f64) -> f64 {
    (model.focus * model.focus + model.velocity_exponent * speed_focus * speed_focus).sqrt()
}

/// Peak-to-peak ripple over mean depth of parallel passes: `4 exp(-(π s/p)²)`, with pitch `p` and the
/// passes' 1/e half-width `s`, in the same unit. At most 0.05 needs `p <= 1.5 s`.
///
/// Source: first term of the Poisson sum of Gaussians; within 1 % up to `p = 2 s`.
/// Checked: `p/s` of 1, 1.5, 2 gives 2.1e-4, 0.050, 0.34.
#[must_use]
pub fn ripple(pitch: Length, half_width: Length) -> f64 {
    4.0 * (-(PI * half_width.to_metres() / pitch.to_metres().max(1e-9)).powi(2)).exp()
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::model::Prior;
    use quantity::{AbsolutePressure, Density, Temperature};

    fn mm(value: f64) -> Length {
        Length::mm(value).unwrap()
    }

    fn blast() -> Blast {
        let warm = Temperature::celsius(20.0).unwrap();
        Blast {
            gas: Gas::choked(AbsolutePressure::kpa(401.325).unwrap(), warm).unwrap(),
            room: Gas {
                speed: Speed::metres_per_second(0.0).unwrap(),
                temperature: warm,
                density: Density::kg_per_cubic_metre(1.204).unwrap(),
                viscosity_pa_s: 1.81e-5,
            },
            bore: Diameter::mm(2.4).unwrap(),
            bore_length: mm(50.0),
            standoff: mm(120.0),
            grain: Grain { size: Diameter::um(80.0).unwrap(), density: Density::kg_per_cubic_metre(3950.0).unwrap() },
            grit_rate: MassRate::grams_per_second(3.0).unwrap(),
            air_rate: MassRate::grams_per_second(3.5).unwrap(),
            angle_deg: 90.0,
            target_factor: 1.0,
            abrasive_factor: 1.0,
        }
    }

    /// What that blast removes at the middle of the model.
    pub(crate) fn removal() -> Removal {
        blast().removal(&Prior::default().mid()).unwrap()
    }

    #[test]
    fn the_flux_adds_up_to_the_grit_rate() {
        let rate = MassRate::grams_per_second(3.0).unwrap();
        let step = 5e-5;
        let sum: f64 = (0..4000)
            .map(|i| {
                let r = (f64::from(i) + 0.5) * step;
                grit_flux_kg_m2_s(rate, 10.0, mm(120.0), Length::metres(r).unwrap()) * 2.0 * PI * r * step
            })
            .sum();
        assert!((sum / rate.to_kg_per_second() - 1.0).abs() < 1e-5, "{sum}");
    }

    #[test]
    fn the_carving_rate_is_the_flux_times_a_power_of_the_speed() {
        let model = Prior::default().mid();
        let (r, a) = (0.07, 5.0);
        let product = (-(model.focus * r).powi(2)).exp() * (-(a * r).powi(2)).exp().powf(model.velocity_exponent);
        assert!(((-(power_focus(&model, a) * r).powi(2)).exp() / product - 1.0).abs() < 1e-12);
    }

    #[test]
    fn ripple_agrees_with_summed_passes() {
        for (pitch, printed) in [(1.0, 2.1e-4), (1.5, 0.050), (2.0, 0.34)] {
            let sum = |x: f64| (-40..=40).map(|i| (-(x - f64::from(i) * pitch).powi(2)).exp()).sum::<f64>();
            let mean = PI.sqrt() / pitch;
            let summed = (sum(0.0) - sum(0.5 * pitch)) / mean;
            let got = ripple(mm(pitch), mm(1.0));
            assert!((got / summed - 1.0).abs() < 0.01, "{got} {summed}");
            assert!((got / printed - 1.0).abs() < 0.05, "{got}");
        }
    }

    #[test]
    fn dose_and_time_belong_together() {
        let removal = blast().removal(&Prior::default().mid()).unwrap();
        let swept = Area::square_cm(50.0).unwrap();
        let time = removal.time_for(mm(1.0), swept).unwrap();
        let volume = removal.volume_rate.to_cubic_mm_per_second() * time.to_seconds();
        println!("{removal:?}, 1 mm over 50 cm² in {:.0} s", time.to_seconds());
        assert!((volume - 5000.0).abs() < 1e-6, "1 mm over 50 cm² is 5000 mm³");
        let rate = removal.dose_rate(swept).unwrap().to_metres_per_second();
        assert!((rate * time.to_seconds() - 1e-3).abs() < 1e-12);
    }

    #[test]
    fn removal_is_erosion_times_grit() {
        let removal = blast().removal(&Prior::default().mid()).unwrap();
        let want = removal.specific_erosion.to_cubic_mm_per_gram() * 3.0;
        assert!((removal.volume_rate.to_cubic_mm_per_second() - want).abs() < 1e-9);
        assert!((removal.footprint_radius.to_mm() - 12.0f64.hypot(1.2)).abs() < 1e-9);
        assert!((60.0..250.0).contains(&removal.grain_speed.to_metres_per_second()), "published: 80 to 300 m/s");
    }

    #[test]
    fn an_uncertain_level_spreads_the_time_by_about_three_each_way() {
        let models = Prior::default().samples(200);
        let time = time_estimate(&blast(), &models, mm(1.0), Area::square_cm(50.0).unwrap()).unwrap();
        let (low, mid, high) = (time.low().to_seconds(), time.mid().to_seconds(), time.high().to_seconds());
        println!("1 mm over 50 cm²: {low:.0} / {mid:.0} / {high:.0} s");
        assert!((2.5..6.0).contains(&(mid / low)) && (2.5..6.0).contains(&(high / mid)));
    }

    #[test]
    fn a_coupon_narrows_the_time() {
        let models = Prior::default().calibrated(1.0, 1.18).unwrap().samples(200);
        let time = time_estimate(&blast(), &models, mm(1.0), Area::square_cm(50.0).unwrap()).unwrap();
        assert!(time.high().to_seconds() / time.low().to_seconds() < 9.0 * 0.6);
    }

    #[test]
    fn many_sizes_remove_about_what_their_median_does() {
        use crate::sizes::{GRADED_SPREAD, Sizes, removal};
        let (model, blast) = (Prior::default().mid(), blast());
        let sizes = Sizes { median: blast.grain.size, spread: GRADED_SPREAD };
        let rate = |removal: Removal| removal.volume_rate.to_cubic_mm_per_second();
        let one = rate(blast.removal(&model).unwrap());
        let [seven, many] = [7, 51].map(|parts| rate(removal(&blast, sizes, &model, parts).unwrap()));
        println!("median {one:.3}, 7 parts {seven:.3}, 51 parts {many:.3} mm³/s");
        assert!((seven / many - 1.0).abs() < 0.01 && (many / one - 1.0).abs() < 0.05);
        let none = rate(removal(&blast, Sizes { spread: 0.0, ..sizes }, &model, 7).unwrap());
        assert!((none / one - 1.0).abs() < 1e-12);
    }

    #[test]
    fn many_sets_of_constants_remove_as_each_alone() {
        let models = Prior::default().samples(13);
        let many = blast().removals(&models).unwrap();
        let each: Vec<Removal> = models.iter().map(|model| blast().removal(model).unwrap()).collect();
        assert_eq!(many, each);
    }

    #[test]
    fn no_air_and_no_area_are_refused() {
        let model = Prior::default().mid();
        let none = MassRate::grams_per_second(0.0).unwrap();
        assert_eq!(Blast { air_rate: none, ..blast() }.removal(&model), Err(JetError::NoAir));
        let removal = blast().removal(&model).unwrap();
        assert_eq!(removal.dose_rate(Area::square_mm(0.0).unwrap()), Err(JetError::NothingRemoved));
        let idle = Blast { grit_rate: none, ..blast() }.removal(&model).unwrap();
        assert_eq!(idle.time_for(mm(1.0), Area::square_cm(1.0).unwrap()), Err(JetError::NothingRemoved));
    }
}
