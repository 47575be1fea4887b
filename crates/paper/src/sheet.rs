//! Sizes of sheets, lengths on them, and dates.

use language::say;
use quantity::UnitSystem;

/// Millimetres in a point, 1/72 inch.
pub(crate) const MM_PER_POINT: f64 = 25.4 / 72.0;

/// A size of paper, upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Sheet {
    /// 8.5 by 11 inches (ANSI/ASME Y14.1, size A).
    Letter,
    /// 210 by 297 millimetres (ISO 216).
    #[default]
    A4,
}

impl Sheet {
    /// Width and height in millimetres.
    #[must_use]
    pub const fn size_mm(self) -> (f64, f64) {
        match self {
            Self::Letter => (215.9, 279.4),
            Self::A4 => (210.0, 297.0),
        }
    }

    /// The sheet that the readers of a unit system have in the printer.
    #[must_use]
    pub const fn usual(units: UnitSystem) -> Self {
        match units {
            UnitSystem::Us => Self::Letter,
            UnitSystem::Metric => Self::A4,
        }
    }
}

/// A day of the Gregorian calendar.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

fn month_name(month: u8) -> &'static str {
    let names = [
        say!("January"),
        say!("February"),
        say!("March"),
        say!("April"),
        say!("May"),
        say!("June"),
        say!("July"),
        say!("August"),
        say!("September"),
        say!("October"),
        say!("November"),
        say!("December"),
    ];
    names[usize::from(month) - 1]
}

impl Date {
    /// `None` when there is no such day.
    #[must_use]
    pub const fn new(year: u16, month: u8, day: u8) -> Option<Self> {
        let leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
        let days = match month {
            2 => 28 + leap as u8,
            4 | 6 | 9 | 11 => 30,
            1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
            _ => return None,
        };
        if day == 0 || day > days || year > 9999 {
            return None;
        }
        Some(Self { year, month, day })
    }

    /// `25 November 2026`, or `November 25, 2026` where inches are read.
    pub(crate) fn words(self, units: UnitSystem) -> String {
        let month = month_name(self.month);
        match units {
            UnitSystem::Us => say!("{month} {}, {}", self.day, self.year),
            UnitSystem::Metric => say!("{} {month} {}", self.day, self.year),
        }
    }

    pub(crate) fn stamp(self) -> krilla::metadata::DateTime {
        krilla::metadata::DateTime::new(self.year).month(self.month).day(self.day)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_days_that_exist_are_dates() {
        assert!(Date::new(2028, 2, 29).is_some() && Date::new(2000, 2, 29).is_some());
        for (year, month, day) in
            [(2026, 2, 29), (1900, 2, 29), (2026, 4, 31), (2026, 13, 1), (2026, 0, 1), (2026, 1, 0)]
        {
            assert_eq!(Date::new(year, month, day), None, "{year}-{month}-{day}");
        }
    }

    #[test]
    fn a_date_is_written_as_its_readers_write_it() {
        let date = Date::new(2026, 11, 25).unwrap();
        assert_eq!(date.words(UnitSystem::Metric), "25 November 2026");
        assert_eq!(date.words(UnitSystem::Us), "November 25, 2026");
    }
}
