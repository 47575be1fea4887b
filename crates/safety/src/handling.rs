//! Carrying: what a blank weighs and how many it takes.

use quantity::{Area, Density, Length, Mass, Quantity as _};
use reference::tables;

/// Mass of a plate: `m = ρ A t`. Checked: 900 x 600 x 10 mm of 2500 kg/m³ is 13.5 kg.
#[must_use]
pub fn mass(face: Area, thickness: Length, density: Density) -> Mass {
    Mass::clamped(face.to_square_metres() * thickness.to_metres() * density.to_kg_per_cubic_metre())
}

/// How many people carry it, each no more than the lifting equation allows one under the best conditions.
///
/// Source: NIOSH 94-110, from memory: 23 kg, less for a load that is wide or far from the body.
#[must_use]
pub fn people(mass: Mass) -> u32 {
    let one = tables().limits.lift_one_person.value.to_kilograms();
    (mass.to_kilograms() / one - 1e-9).ceil().max(1.0) as u32
}
