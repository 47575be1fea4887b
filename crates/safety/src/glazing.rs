//! Places in which glass is safety glazing, or licensed practice has the word: they are flagged, never judged.

use language::say;
use piece::PlaceKind;
use quantity::Quantity as _;
use reference::{Energy, Source};

/// What a place asks of glass.
#[derive(Debug, Clone, PartialEq)]
pub enum Asked {
    /// Nothing that we know of; local code may know more.
    Nothing,
    /// Local code is to be asked first.
    LocalCode(Source),
    /// Safety glazing or an engineer: stop here.
    Licensed(Source),
}

/// What a place asks of glass.
///
/// Source: 16 CFR 1201 names doors, storm doors, bath and shower doors and enclosures, sliding patio doors (read).
/// The others are local code's: common practice, no source.
#[must_use]
pub fn asked(place: PlaceKind) -> Asked {
    match place {
        PlaceKind::Door | PlaceKind::StormDoor | PlaceKind::PatioDoor | PlaceKind::BathOrShower => {
            Asked::Licensed(Source::seen("16 CFR 1201", "doors, storm doors, baths and showers, patio doors"))
        }
        PlaceKind::Guard
        | PlaceKind::Stairs
        | PlaceKind::Floor
        | PlaceKind::Overhead
        | PlaceKind::Aquarium
        | PlaceKind::Pressure
        | PlaceKind::Heat => Asked::Licensed(Source::CommonPractice),
        PlaceKind::BesideDoor | PlaceKind::Shelf | PlaceKind::TableTop | PlaceKind::Window => {
            Asked::LocalCode(Source::CommonPractice)
        }
        PlaceKind::Wall | PlaceKind::Standing | PlaceKind::Ware | PlaceKind::Marker => Asked::Nothing,
    }
}

/// A place as a sentence says it: "in a door".
#[must_use]
pub fn in_place(place: PlaceKind) -> &'static str {
    match place {
        PlaceKind::Wall => say!(in "a place", "on a wall"),
        PlaceKind::Standing => say!(in "a place", "on a stand"),
        PlaceKind::Ware => say!(in "a place", "in use as ware"),
        PlaceKind::Marker => say!(in "a place", "outdoors as a marker"),
        PlaceKind::Window => say!(in "a place", "in a window"),
        PlaceKind::Shelf => say!(in "a place", "as a shelf"),
        PlaceKind::TableTop => say!(in "a place", "as a table top"),
        PlaceKind::Door => say!(in "a place", "in a door"),
        PlaceKind::StormDoor => say!(in "a place", "in a storm door"),
        PlaceKind::PatioDoor => say!(in "a place", "in a patio door"),
        PlaceKind::BathOrShower => say!(in "a place", "at a bath or shower"),
        PlaceKind::BesideDoor => say!(in "a place", "beside a door"),
        PlaceKind::Guard => say!(in "a place", "as a guard"),
        PlaceKind::Stairs => say!(in "a place", "on or beside stairs"),
        PlaceKind::Floor => say!(in "a place", "in a floor"),
        PlaceKind::Overhead => say!(in "a place", "above people"),
        PlaceKind::Aquarium => say!(in "a place", "in an aquarium"),
        PlaceKind::Pressure => say!(in "a place", "under pressure"),
        PlaceKind::Heat => say!(in "a place", "near heat"),
    }
}

/// Energy of the impact that safety glazing of a class is tested with, to say what "tested" means. A carved pane
/// was not.
///
/// Source: 16 CFR 1201.4, from memory: 150 and 400 ft·lbf.
#[must_use]
pub fn impact_energy(category_two: bool) -> Energy {
    Energy::clamped(if category_two { 400.0 } else { 150.0 } * 1.355_817_948_331_4)
}

/// Energy of EN 12600's pendulum: 50 kg falling 1200, 450 or 190 mm, for class 1, 2 or 3. `None` for others.
///
/// Source: the heights read, the mass from memory, g as the check values have it (9.81 m/s²).
#[must_use]
pub fn pendulum_energy(class: u8) -> Option<Energy> {
    let metres = match class {
        1 => 1.2,
        2 => 0.45,
        3 => 0.19,
        _ => return None,
    };
    Some(Energy::clamped(50.0 * 9.81 * metres))
}
