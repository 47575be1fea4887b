//! The switch that chooses the units that people read, and the few words that it needs beyond `quantity::show`.

use clap::{Args, ValueEnum};
use language::say;
use quantity::show::{Show as _, Shown};
use quantity::{Length, Quantity as _, UnitSystem};

/// Units to print in; JSON has its own in the key names.
#[derive(Debug, Clone, Copy, Args)]
pub(super) struct UnitsArgument {
    /// Units to print in.
    #[arg(long, value_enum, default_value_t = Units::Metric)]
    units: Units,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Units {
    Metric,
    Us,
}

impl Units {
    pub(super) const fn system(self) -> UnitSystem {
        match self {
            Self::Metric => UnitSystem::Metric,
            Self::Us => UnitSystem::Us,
        }
    }
}

impl UnitsArgument {
    pub(super) const fn system(self) -> UnitSystem {
        self.units.system()
    }
}

/// A length in three digits.
pub(super) fn length(mm: f64, units: UnitSystem) -> Shown {
    fine(mm, units, 3)
}

/// A length in as many digits as asked for.
pub(super) fn fine(mm: f64, units: UnitSystem, digits: usize) -> Shown {
    Length::clamped(mm * 1e-3).show_digits(units, digits)
}

/// A place in the drawing, or a way from it: to a tenth of a millimetre, or to a hundredth of an inch.
pub(super) fn place(x_mm: f64, y_mm: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => say!("{x_mm:.1}, {y_mm:.1}\u{202f}mm"),
        UnitSystem::Us => say!("{:.2}, {:.2}\u{202f}in", x_mm / MM_PER_INCH, y_mm / MM_PER_INCH),
    }
}

/// A way that may be longer than any one length: all outlines of a drawing together.
pub(super) fn way(mm: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => language::number(format!("{mm:.1}\u{202f}mm")),
        UnitSystem::Us => language::number(format!("{:.1}\u{202f}in", mm / MM_PER_INCH)),
    }
}

/// A size that is enough: rounded up, to a millimetre or a tenth of an inch.
pub(super) fn at_least(mm: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{:.0}\u{202f}mm", mm.ceil()),
        UnitSystem::Us => language::number(format!("{:.1}\u{202f}in", (10.0 * mm / MM_PER_INCH).ceil() / 10.0)),
    }
}

const MM_PER_INCH: f64 = 25.4;
