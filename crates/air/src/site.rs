//! The air around the shop.

use quantity::parse::Unit;
use quantity::{AbsolutePressure, Fraction, OutOfRange, Quantity, Temperature};

/// The state of the air that the compressor draws in and the nozzle blows into.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Site {
    /// The atmosphere's own pressure.
    pub pressure: AbsolutePressure,
    /// Temperature at the compressor's inlet.
    pub temperature: Temperature,
    /// Relative humidity there.
    pub humidity: Fraction,
}

impl Site {
    /// With the pressure of the standard atmosphere: `p = 101.325 kPa (1 - 2.25577e-5 h)^5.2559`,
    /// `h` in metres.
    ///
    /// Weather moves the true value by about 3 % (common practice, no source).
    /// Source: ASHRAE (1997) form, read in a building-services text (air.md section 0).
    /// Checked: 84.556 kPa at 1500 m.
    #[must_use]
    pub fn at_altitude(altitude: Altitude, temperature: Temperature, humidity: Fraction) -> Self {
        let pascals = 101_325.0 * (1.0 - 2.255_77e-5 * altitude.to_metres()).powf(5.2559);
        Self { pressure: AbsolutePressure::clamped(pascals), temperature, humidity }
    }
}

/// Height above mean sea level, in metres inside; -500 to 5000 m.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Altitude(f64);

/// The international foot, m.
const FOOT: f64 = 0.3048;

impl Altitude {
    /// Mean sea level.
    pub const SEA_LEVEL: Self = Self(0.0);

    /// From a value in metres.
    ///
    /// # Errors
    /// [`OutOfRange`] outside -500 to 5000 m, and for a NaN.
    pub fn metres(value: f64) -> Result<Self, OutOfRange> {
        Self::from_base(value)
    }

    /// From a value in feet.
    ///
    /// # Errors
    /// [`OutOfRange`] outside -500 to 5000 m, and for a NaN.
    pub fn feet(value: f64) -> Result<Self, OutOfRange> {
        Self::from_base(value * FOOT)
    }

    /// The value in metres.
    #[must_use]
    pub const fn to_metres(self) -> f64 {
        self.0
    }

    /// The value in feet.
    #[must_use]
    pub const fn to_feet(self) -> f64 {
        self.0 / FOOT
    }
}

impl Quantity for Altitude {
    // Said as a sentence of the catalogue where it is shown; see `quantity`.
    const WHAT: &'static str = "altitude";
    const BASE: &'static str = "m";
    const MIN: f64 = -500.0;
    const MAX: f64 = 5000.0;
    const UNITS: &'static [Unit] = &[
        Unit { spellings: &["m", "metres", "meters"], factor: 1.0, offset: 0.0 },
        Unit { spellings: &["ft", "foot", "feet"], factor: FOOT, offset: 0.0 },
    ];

    fn from_base(value: f64) -> Result<Self, OutOfRange> {
        // A NaN is in no range, so it is refused too.
        if (Self::MIN..=Self::MAX).contains(&value) {
            return Ok(Self(value));
        }
        Err(OutOfRange { what: Self::WHAT, unit: Self::BASE, value, min: Self::MIN, max: Self::MAX })
    }

    fn to_base(self) -> f64 {
        self.0
    }
}

impl std::str::FromStr for Altitude {
    type Err = quantity::ParseError;

    fn from_str(text: &str) -> Result<Self, Self::Err> {
        quantity::parse::parse(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_altitude_is_read_in_metres_and_feet_and_has_bounds() {
        let read = |text: &str| text.parse::<Altitude>().map(Altitude::to_metres);
        assert_eq!(read("1500m"), Ok(1500.0));
        assert!((read("5280ft").unwrap() - 1609.344).abs() < 1e-9);
        assert!(read("9000m").is_err());
        assert!(Altitude::metres(f64::NAN).is_err());
    }
}
