//! Purity classes of compressed air by ISO 8573-1:2010: particles, water, oil, written `P:W:O`.
//!
//! Source: two reprints that agree (air.md section 4); the standard's text was not seen. Reference
//! state 20 °C, 1 bar absolute, dry. Class 0 is agreed between buyer and seller and is not computed. No
//! standard was found that asks for a class for blasting glass.

use quantity::Temperature;
use std::fmt;

/// A class of one kind of impurity.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// A numbered class; smaller is purer.
    Number(u8),
    /// Worse than every numbered one.
    X,
}

impl fmt::Display for Class {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Number(number) => write!(f, "{number}"),
            Self::X => f.write_str("X"),
        }
    }
}

/// Highest pressure dew point of water classes 1 to 6, °C.
pub const DEW_POINT_MAX_C: [f64; 6] = [-70.0, -40.0, -20.0, 3.0, 7.0, 10.0];
/// Most liquid water of classes 7 to 9, g/m³.
pub const LIQUID_MAX_G_M3: [f64; 3] = [0.5, 5.0, 10.0];
/// Most oil (aerosol, liquid and vapour together) of classes 1 to 4, mg/m³.
pub const OIL_MAX_MG_M3: [f64; 4] = [0.01, 0.1, 1.0, 5.0];
/// Most particles in a cubic metre of 0.1–0.5, 0.5–1 and 1–5 µm for classes 1 to 5; none: no limit.
pub const PARTICLES_MAX: [[Option<f64>; 3]; 5] = [
    [Some(20_000.0), Some(400.0), Some(10.0)],
    [Some(400_000.0), Some(6_000.0), Some(100.0)],
    [None, Some(90_000.0), Some(1_000.0)],
    [None, None, Some(10_000.0)],
    [None, None, Some(100_000.0)],
];
/// Most particle mass of classes 6 and 7, mg/m³.
pub const PARTICLE_MASS_MAX_MG_M3: [f64; 2] = [5.0, 10.0];

fn first(limits: &[f64], from: u8, value: f64) -> Class {
    let place = limits.iter().position(|&most| value <= most);
    place.map_or(Class::X, |place| Class::Number(from + place as u8))
}

/// Water class of air without liquid, by its pressure dew point; above 10 °C there is none of 1 to 6.
#[must_use]
pub fn water_by_dew_point(dew_point: Temperature) -> Option<Class> {
    // A kelvin value of 276.15 comes back as 3.000000000000057 °C.
    match first(&DEW_POINT_MAX_C, 1, dew_point.to_celsius() - 1e-9) {
        Class::X => None,
        class => Some(class),
    }
}

/// Water class by liquid, g in each m³ of the reference state.
#[must_use]
pub fn water_by_liquid(grams_per_cubic_metre: f64) -> Class {
    first(&LIQUID_MAX_G_M3, 7, grams_per_cubic_metre)
}

/// Oil class by aerosol, liquid and vapour together, mg in each m³ of the reference state.
#[must_use]
pub fn oil(milligrams_per_cubic_metre: f64) -> Class {
    first(&OIL_MAX_MG_M3, 1, milligrams_per_cubic_metre)
}

/// Particle class by counts in a cubic metre, of 0.1–0.5, 0.5–1 and 1–5 µm. None: none of 1 to 5.
#[must_use]
pub fn particles(counts: [f64; 3]) -> Option<Class> {
    let fits = |limits: &[Option<f64>; 3]| {
        limits.iter().zip(counts).all(|(most, count)| most.is_none_or(|most| count <= most))
    };
    PARTICLES_MAX.iter().position(fits).map(|place| Class::Number(place as u8 + 1))
}

/// Particle class by mass, mg/m³: 6, 7 or X.
#[must_use]
pub fn particle_mass(milligrams_per_cubic_metre: f64) -> Class {
    first(&PARTICLE_MASS_MAX_MG_M3, 6, milligrams_per_cubic_metre)
}
