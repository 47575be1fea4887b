//! A computed time and the shop's own readings, put together.

use super::ExposureError;
use super::tablet::{NORMAL_90, Reading, StepTablet};
use quantity::{Estimate, Time};

/// What a computed time is worth: 90 % of shops lie within this factor of it either way. Judgement: the meter's band,
/// the film's age and the lamp's spread are each good for a third of a stop or more.
pub const COMPUTED_FACTOR: f64 = 2.0;

/// A time with what it rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corrected {
    /// To expose with.
    pub time: Estimate<Time>,
    /// The middle over the computed time.
    pub factor: f64,
    /// Share of what is known that the readings bring, 0 to 1.
    pub by_readings: f64,
}

/// Weighs a computed time against logged readings, both as logarithms, by their variances.
///
/// The computed time is good to [`COMPUTED_FACTOR`]; a reading to half a step of its tablet either way
/// (`step / sqrt(12)`), or to the scatter of the log where that is more. Without readings the computed time comes back
/// with its range. Method: the normal distribution's conjugate update (standard statistics).
///
/// # Errors
/// As [`StepTablet::from_log`].
pub fn corrected(computed: Time, tablet: StepTablet, log: &[Reading], wanted: f64) -> Result<Corrected, ExposureError> {
    let prior = (computed.to_seconds().max(1e-9).ln(), (COMPUTED_FACTOR.ln() / NORMAL_90).powi(2));
    if log.is_empty() {
        return told(prior, prior, 0.0);
    }
    let read = tablet.from_log(log, wanted)?;
    let middle = read.mid().to_seconds().ln();
    let variance = ((read.high().to_seconds().ln() - middle) / NORMAL_90).powi(2);
    let weight = prior.1 / (prior.1 + variance);
    let mean = prior.0 + weight * (middle - prior.0);
    told((mean, prior.1 * variance / (prior.1 + variance)), prior, weight)
}

fn told((mean, variance): (f64, f64), prior: (f64, f64), by_readings: f64) -> Result<Corrected, ExposureError> {
    let reach = NORMAL_90 * variance.sqrt();
    let [low, mid, high] = [-reach, 0.0, reach].map(|off| super::dose::seconds((mean + off).exp()));
    let time = Estimate::new(low?, mid?, high?).expect("the three rise by how they are made");
    Ok(Corrected { time, factor: (mean - prior.0).exp(), by_readings })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seconds(s: f64) -> Time {
        Time::seconds(s).unwrap()
    }

    #[test]
    fn readings_take_over_as_they_gather_and_narrow_the_range() {
        let log = [Reading { exposed: seconds(90.0), held: 7.0 }; 6];
        let at = |n: usize| corrected(seconds(60.0), StepTablet::HALF_STOP, &log[..n], 7.0).unwrap();
        let width = |c: Corrected| c.time.high().to_seconds() / c.time.low().to_seconds();
        let none = at(0);
        assert!((none.time.mid().to_seconds() - 60.0).abs() < 1e-9 && (width(none) - 4.0).abs() < 1e-9);
        assert!(at(1).time.mid() > none.time.mid() && at(6).time.mid() > at(1).time.mid());
        assert!((at(6).time.mid().to_seconds() / 90.0 - 1.0).abs() < 0.01, "{}", at(6).time.mid());
        assert!(width(at(6)) < width(at(1)) && width(at(1)) < width(none) && at(6).by_readings > 0.98);
    }

    #[test]
    fn one_reading_is_weighed_by_both_variances() {
        // Prior deviation ln 2 / 1.645, reading's 0.15 ln 10 / sqrt(12), each squared; worked by hand: 0.17754 and
        // 0.009942, so that the reading weighs 0.94698.
        let log = [Reading { exposed: seconds(120.0), held: 7.0 }];
        let one = corrected(seconds(60.0), StepTablet::HALF_STOP, &log, 7.0).unwrap();
        assert!((one.by_readings - 0.946_98).abs() < 1e-4, "{}", one.by_readings);
        assert!((one.factor - 2_f64.powf(0.946_98)).abs() < 1e-3);
    }
}
