//! Irradiance and dose, in the units of the trade's meters.

use quantity::parse::Unit;
use quantity::{OutOfRange, Quantity};

macro_rules! light {
    ($(#[$doc:meta])* $name:ident: $what:literal in $base:literal to $max:literal; $make:ident / $get:ident, $factor:literal, $text:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// From the trade's unit.
            ///
            /// # Errors
            /// [`OutOfRange`] below 0, above the kind's range, and for a NaN.
            pub fn $make(value: f64) -> Result<Self, OutOfRange> {
                Self::from_base(value * $factor)
            }

            /// In the trade's unit.
            #[must_use]
            pub fn $get(self) -> f64 {
                self.0 / $factor
            }
        }

        impl Quantity for $name {
            const WHAT: &'static str = $what;
            const BASE: &'static str = $base;
            const MIN: f64 = 0.0;
            const MAX: f64 = $max;
            const UNITS: &'static [Unit] = &[Unit { spellings: &[$text], factor: $factor, offset: 0.0 }];

            fn from_base(value: f64) -> Result<Self, OutOfRange> {
                // A NaN fails the comparison, so it is refused too.
                if (Self::MIN..=Self::MAX).contains(&value) {
                    return Ok(Self(value));
                }
                Err(OutOfRange { what: $what, unit: $base, value, min: Self::MIN, max: Self::MAX })
            }

            fn to_base(self) -> f64 {
                self.0
            }
        }
    };
}

light! {
    /// Light power on an area, as a meter at the film reads it in the resist's own band; W/m² inside.
    Irradiance: "irradiance" in "W/m²" to 1e6; milliwatts_per_square_cm / to_milliwatts_per_square_cm, 10.0, "mW/cm²"
}
light! {
    /// Light energy on an area; J/m² inside.
    Dose: "dose" in "J/m²" to 1e8; millijoules_per_square_cm / to_millijoules_per_square_cm, 10.0, "mJ/cm²"
}
