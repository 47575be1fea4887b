//! Noise of a day as a dose, by the two rules that share the word and not the number.

use language::say;
use quantity::{Quantity as _, Time};
use reference::{SoundLevel, tables};

/// How a day's noise is added up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Rule {
    /// 90 dBA for 8 h, halved each 5 dB; levels under 80 dBA are left out. 29 CFR 1910.95 Appendix A (read); the
    /// threshold is that of the hearing-conservation dose, from memory.
    Osha,
    /// 85 dBA for 8 h, halved each 3 dB. NIOSH 98-126 (read).
    Niosh,
}

/// A span at one level.
pub type Span = (SoundLevel, Time);

/// Why a day's noise cannot be added up.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum NoiseError {
    /// More than a day.
    #[error("{}", say!("the spans add up to {hours:.1} h; a day has 24: leave out what belongs to another day"))]
    LongerThanADay {
        /// Sum of the spans.
        hours: f64,
    },
}

/// Levels under this do not enter OSHA's hearing-conservation dose. From memory.
const THRESHOLD: SoundLevel = quantity::known(SoundLevel::dba(80.0));

impl Rule {
    const fn base(self) -> (f64, f64) {
        match self {
            Self::Osha => (90.0, 5.0),
            Self::Niosh => (85.0, 3.0),
        }
    }

    /// How long a level alone fills a day's dose: `T = 8 h / 2^((L - base)/exchange)`.
    ///
    /// Checked: OSHA 95 dBA 4 h, 92 dBA 6.06 h (Table G-16a prints 6.1); NIOSH 100 dBA 15 min.
    #[must_use]
    pub fn allowed(self, level: SoundLevel) -> Time {
        let (base, exchange) = self.base();
        Time::clamped(8.0 * 3600.0 / 2_f64.powf((level.to_dba() - base) / exchange))
    }

    /// Dose of a day, 1 for all that it may hold: `D = Σ C/T`.
    ///
    /// Checked: 103 dBA 0.75 h, 95 dBA 2 h, 85 dBA 3 h are 1.256 (OSHA) and 8.89 (NIOSH).
    ///
    /// # Errors
    /// [`NoiseError::LongerThanADay`].
    pub fn dose(self, day: &[Span]) -> Result<f64, NoiseError> {
        let hours: f64 = day.iter().map(|(_, time)| time.to_hours()).sum();
        if hours > 24.0 + 1e-9 {
            return Err(NoiseError::LongerThanADay { hours });
        }
        let counts = |level: &SoundLevel| self == Self::Niosh || *level >= THRESHOLD;
        let spans = day.iter().filter(|(level, _)| counts(level));
        Ok(spans.map(|(level, time)| time.to_seconds() / self.allowed(*level).to_seconds()).sum())
    }

    /// The level that would give a dose over 8 h: `16.61 log10(D) + 90`, or `10 log10(D) + 85`.
    ///
    /// Checked: OSHA's dose of one half is 85 dBA.
    #[must_use]
    pub fn average(self, dose: f64) -> SoundLevel {
        let (base, _) = self.base();
        // 16.61 as Appendix A prints it: 5/log10(2) is 16.6096.
        let slope = if self == Self::Osha { 16.61 } else { 10.0 };
        SoundLevel::clamped(slope * dose.max(1e-12).log10() + base)
    }

    /// How long a day may hold a level, beside what else is in it, for a dose; zero when the rest fills it.
    #[must_use]
    pub fn time_left(self, level: SoundLevel, rest: f64, dose: f64) -> Time {
        Time::clamped((dose - rest).max(0.0) * self.allowed(level).to_seconds())
    }
}

/// Levels of several sources together: `10 log10 Σ 10^(L/10)`. Checked: 88, 96 and 82 dBA are 96.8 dBA.
#[must_use]
pub fn together(levels: &[SoundLevel]) -> SoundLevel {
    let power: f64 = levels.iter().map(|level| 10_f64.powf(level.to_dba() / 10.0)).sum();
    SoundLevel::clamped(10.0 * power.max(1e-12).log10())
}

/// By how many decibels a point source falls off in the open, from one distance to another that is farther:
/// `20 log10(r2/r1)`. In a room it falls off less.
#[must_use]
pub fn falls_off(times_farther: f64) -> f64 {
    20.0 * times_farther.max(1.0).log10()
}

/// Whether plugs and muffs together are called for. Source: a naval coatings manual (read).
#[must_use]
pub fn wants_both(level: SoundLevel) -> bool {
    level > tables().limits.noise_double.value
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn dba(level: f64) -> SoundLevel {
        SoundLevel::dba(level).unwrap()
    }

    #[test]
    fn a_day_of_more_than_24_hours_is_refused() {
        let fault = Rule::Osha.dose(&[(dba(90.0), Time::hours(25.0).unwrap())]).unwrap_err();
        assert_eq!(fault, NoiseError::LongerThanADay { hours: 25.0 });
    }

    proptest! {
        #[test]
        fn the_time_left_fills_the_dose(level in 85.0..120.0, rest in 0.0..0.9) {
            for rule in [Rule::Osha, Rule::Niosh] {
                let left = rule.time_left(dba(level), rest, 1.0);
                prop_assert!((rule.dose(&[(dba(level), left)]).unwrap() + rest - 1.0).abs() < 1e-9);
            }
        }
    }
}
