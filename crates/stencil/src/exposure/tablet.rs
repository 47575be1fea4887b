//! A step tablet: a strip of film that darkens step by step, exposed with the artwork.

use super::ExposureError;
use super::dose::{positive, seconds};
use language::say;
use quantity::{Estimate, Time};

/// A step tablet by the density that each step adds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepTablet {
    /// Density from one step to the next, above 0.
    pub step: f64,
}

impl StepTablet {
    /// The usual 21 steps of half a stop, 0.15 each: light falls by `10^0.15 = 1.4125` a step, the square root
    /// of 2 (1.4142) within 0.12 %.
    pub const HALF_STOP: Self = Self { step: 0.15 };
    /// Steps of a factor of exactly `sqrt(2)`: density `log10(2) / 2 = 0.1505`.
    pub const ROOT_TWO: Self = Self { step: 0.5 * std::f64::consts::LOG10_2 };

    /// How much less light each step passes: `10^step`.
    #[must_use]
    pub fn factor(&self) -> f64 {
        10_f64.powf(self.step)
    }

    /// The time that holds the step `wanted`, after `exposed` held the step `read`:
    /// `t2 = t1 10^(step (wanted - read))`. A step read too high means too much light.
    ///
    /// Checked: 60 s read 5, wanted 7, gives 119.716 s.
    ///
    /// # Errors
    /// [`ExposureError::OutOfReach`] when it comes out too long to be a time.
    pub fn time(&self, reading: &Reading, wanted: f64) -> Result<Time, ExposureError> {
        seconds(reading.exposed.to_seconds() * 10_f64.powf(self.step * (wanted - reading.held)))
    }

    /// The time for the step `wanted` from all logged readings of one resist, lamp and distance.
    ///
    /// Each reading tells a time; their logarithms are averaged. The 90 % interval takes the scatter of the
    /// log or the tablet's own coarseness (a reading is good to half a step either way, `step / sqrt(12)`),
    /// whichever is larger. Readings change as the lamp ages: give recent ones.
    ///
    /// # Errors
    /// [`ExposureError::NoReading`] for an empty log; [`ExposureError::NotPositive`] for a tablet without
    /// steps or a reading without time; [`ExposureError::OutOfReach`] as [`Self::time`].
    pub fn from_log(&self, log: &[Reading], wanted: f64) -> Result<Estimate<Time>, ExposureError> {
        positive(say!(in "what is needed", "step of density"), self.step)?;
        if log.is_empty() {
            return Err(ExposureError::NoReading);
        }
        let logs = log.iter().map(|reading| {
            let exposed = positive(say!(in "what is needed", "exposure time"), reading.exposed.to_seconds())?;
            Ok(exposed.log10() + self.step * (wanted - reading.held))
        });
        let logs: Vec<f64> = logs.collect::<Result<_, ExposureError>>()?;
        let n = logs.len() as f64;
        let mean = logs.iter().sum::<f64>() / n;
        let scatter = (logs.iter().map(|log| (log - mean).powi(2)).sum::<f64>() / (n - 1.0).max(1.0)).sqrt();
        let reach = NORMAL_90 * scatter.max(self.step / 12_f64.sqrt()) / n.sqrt();
        let [low, mid, high] = [-reach, 0.0, reach].map(|off| seconds(10_f64.powf(mean + off)));
        Ok(Estimate::new(low?, mid?, high?).expect("the three rise by how they are made"))
    }
}

/// Half of a normal distribution's middle 90 %, in deviations.
pub(super) const NORMAL_90: f64 = 1.644_853_627;

/// One line of the log.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// How long it was exposed.
    pub exposed: Time,
    /// The last step that held through washout, from 1; a half for one that is half gone.
    pub held: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reading(seconds: f64, held: f64) -> Reading {
        Reading { exposed: Time::seconds(seconds).unwrap(), held }
    }

    #[test]
    fn two_steps_of_the_root_of_two_double_the_time() {
        assert!((StepTablet::ROOT_TWO.factor() - 2_f64.sqrt()).abs() < 1e-15);
        let time = StepTablet::ROOT_TWO.time(&reading(60.0, 5.0), 7.0).unwrap();
        assert!((time.to_seconds() - 120.0).abs() < 1e-9);
    }

    #[test]
    fn a_log_that_agrees_narrows_the_time_and_one_that_scatters_widens_it() {
        let tablet = StepTablet::HALF_STOP;
        let one = tablet.from_log(&[reading(60.0, 6.0)], 7.0).unwrap();
        let four = tablet.from_log(&[reading(60.0, 6.0); 4], 7.0).unwrap();
        let odd = tablet.from_log(&[reading(60.0, 4.0), reading(60.0, 8.0)], 6.0).unwrap();
        let width = |e: Estimate<Time>| (e.high().to_seconds() / e.low().to_seconds()).ln();
        assert!((width(four) / width(one) - 0.5).abs() < 1e-9 && width(odd) > width(one));
        assert!((four.mid().to_seconds() - 60.0 * tablet.factor()).abs() < 1e-9);
        assert!((odd.mid().to_seconds() - 60.0).abs() < 1e-9);
        assert_eq!(tablet.from_log(&[], 7.0), Err(ExposureError::NoReading));
        assert!(matches!(tablet.time(&reading(60.0, 1.0), 900.0), Err(ExposureError::OutOfReach { .. })));
    }
}
