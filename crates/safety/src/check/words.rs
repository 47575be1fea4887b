//! The catalogue of English for checks: every sentence about them, in one place. `sentences` says what was found
//! and why; here are names, numbers and changes.

mod sentences;

use super::{Checked, Hazard, Mend, Value};
use crate::dust::Agent;
use piece::{BlastValve, Hearing};
use quantity::UnitSystem;
use quantity::show::{Show as _, clock, significant};

/// A check in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CheckWords {
    /// What, in one sentence.
    pub title: String,
    /// The number against its limit, and what it means.
    pub why: String,
    /// Where the limit comes from.
    pub source: String,
    /// What would mend it, one sentence each.
    pub mends: Vec<String>,
}

/// A check in words.
#[must_use]
pub fn words(checked: &Checked, units: UnitSystem) -> CheckWords {
    CheckWords {
        title: sentences::title(checked, units),
        why: sentences::why(checked, units),
        source: checked.source.to_string(),
        mends: checked.mends.iter().map(|change| mend(*change, units)).collect(),
    }
}

/// A number of any kind.
#[must_use]
pub fn value(value: Value, units: UnitSystem) -> String {
    match value {
        Value::Concentration(dust) => dust.show(units).to_string(),
        Value::Flow(flow) => flow.show(units).to_string(),
        // Ventilation in the United States is told in feet a minute.
        Value::Speed(speed) if units == UnitSystem::Us => {
            format!("{}\u{202f}ft/min", significant(speed.to_feet_per_minute(), 3))
        }
        // Through a filter air creeps: metres a minute read better than millimetres a second.
        Value::Speed(speed) if speed.to_metres_per_second() < 0.1 => {
            format!("{}\u{202f}m/min", significant(speed.to_metres_per_second() * 60.0, 3))
        }
        Value::Speed(speed) => speed.show(units).to_string(),
        Value::Changes(changes) => changes.show(units).to_string(),
        Value::Pressure(pressure) => pressure.show(units).to_string(),
        Value::Time(time) => clock(time),
        Value::Length(length) => length.show(units).to_string(),
        Value::Bore(bore) => bore.show(units).to_string(),
        Value::Area(area) => area.show(units).to_string(),
        Value::Stress(stress) => stress.show(units).to_string(),
        Value::Level(level) => level.show(units).to_string(),
        Value::Mass(mass) => mass.show(units).to_string(),
        Value::Share(share) => share.show_digits(units, 2).to_string(),
        Value::Ratio(ratio) => format!("{}\u{202f}%", significant(ratio * 100.0, 3)),
        Value::Number(number) => significant(number, 3),
    }
}

fn told(given: Option<Value>, units: UnitSystem) -> String {
    given.map_or_else(|| "not known".to_owned(), |given| value(given, units))
}

/// The name of a check, for lists.
#[must_use]
pub const fn name(hazard: Hazard) -> &'static str {
    match hazard {
        Hazard::FreeSilica => "free silica",
        Hazard::SilicaExposure => "silica over the shift",
        Hazard::LeadExposure => "lead over the shift",
        Hazard::DustExposure => "dust over the shift",
        Hazard::Respirator => "respirator",
        Hazard::BreathingAir => "breathing air",
        Hazard::GradeD => "air test",
        Hazard::NoCollector => "collector",
        Hazard::BlastOut => "blast-out",
        Hazard::Inflow => "inflow",
        Hazard::AirChanges => "air changes",
        Hazard::DuctSpeed => "duct",
        Hazard::FilterArea => "filter area",
        Hazard::FilterClass => "filter class",
        Hazard::DoorWait => "wait at the door",
        Hazard::Interlock => "fan interlock",
        Hazard::SharedCollector => "shared collector",
        Hazard::NoiseDose => "noise dose",
        Hazard::NoiseRecommended => "noise, recommended",
        Hazard::NoiseCeiling => "noise level",
        Hazard::Hearing => "ear protection",
        Hazard::Relief => "relief valve",
        Hazard::CutOut => "cut-out",
        Hazard::ValveBeforeRelief => "valve before relief",
        Hazard::PotRating => "pot rating",
        Hazard::HoseRating => "hose rating",
        Hazard::Couplings => "couplings",
        Hazard::BlastValve => "blast valve",
        Hazard::TiedValve => "tied valve",
        Hazard::NozzleRest => "nozzle rest",
        Hazard::CleaningAir => "cleaning air",
        Hazard::ChipGuard => "chip guard",
        Hazard::Static => "static",
        Hazard::Lamp => "exposure lamp",
        Hazard::Edges => "sharp edges",
        Hazard::Lifting => "lifting",
        Hazard::Place => "place",
        Hazard::SealedUnit => "sealed unit",
        Hazard::Laminate => "laminate",
        Hazard::Supports => "supports",
        Hazard::Strength => "strength",
        Hazard::Sinking => "sinking",
        Hazard::EdgeDistance => "edge distance",
    }
}

/// The key that would tell what is not told.
#[must_use]
pub const fn key(hazard: Hazard) -> Option<&'static str> {
    Some(match hazard {
        Hazard::SilicaExposure | Hazard::LeadExposure | Hazard::DustExposure => "shift.dust_blasting",
        Hazard::Respirator => "protection.respirator",
        Hazard::BreathingAir | Hazard::GradeD => "protection.air",
        Hazard::DuctSpeed => "enclosure.duct",
        Hazard::FilterArea => "enclosure.filter_area",
        Hazard::FilterClass => "enclosure.recirculates",
        Hazard::DoorWait => "enclosure.door_wait",
        Hazard::Interlock => "enclosure.interlock",
        Hazard::NoiseDose => "shift.noise_blasting",
        Hazard::Hearing => "protection.hearing",
        Hazard::Relief => "pressure.relief and pressure.receiver_rated",
        Hazard::ValveBeforeRelief => "pressure.valve_before_relief",
        Hazard::PotRating => "pressure.pot_rated",
        Hazard::HoseRating => "pressure.hose_rated",
        Hazard::Couplings => "pressure.hose_lashed",
        Hazard::BlastValve => "pressure.valve",
        Hazard::TiedValve => "pressure.tied_open",
        Hazard::NozzleRest => "pressure.nozzle_rest",
        Hazard::CleaningAir => "pressure.cleaning",
        Hazard::ChipGuard => "pressure.chip_guard",
        Hazard::Static => "enclosure.grounded",
        Hazard::Lamp => "protection.lamp_closed",
        Hazard::Edges => "blank.edges",
        Hazard::Place => "place.kind",
        Hazard::Supports => "place.supports",
        Hazard::Strength => "place.wind, place.push, place.load or place.flat",
        _ => return None,
    })
}

/// The agent inside a sentence.
#[must_use]
pub const fn agent(agent: Agent) -> &'static str {
    match agent {
        Agent::CrystallineSilica => "crystalline silica",
        Agent::Lead => "lead",
        Agent::Alumina => "alumina",
        Agent::SiliconCarbide => "silicon carbide",
        Agent::Nuisance => "dust",
    }
}

/// A change in words, in the imperative.
#[must_use]
pub fn mend(mend: Mend, units: UnitSystem) -> String {
    match mend {
        Mend::Collector(flow) => format!("Fit a collector that draws {}", flow.show(units)),
        Mend::Duct(bore) => format!("Fit a duct of {} bore at most", bore.show(units)),
        Mend::FilterArea(area) => format!("Fit filters of {}", area.show(units)),
        Mend::LastFilter(class) => format!("Fit a last filter of class {}", class.to_uppercase()),
        Mend::Outdoors => "Lead the collector's air outdoors".to_owned(),
        Mend::Interlock => "Let the blast wait for the collector".to_owned(),
        Mend::Ground => "Bond and ground nozzle, hose, cabinet and collector".to_owned(),
        Mend::OwnCollector => "Give the blast a collector of its own".to_owned(),
        Mend::DoorWait(wait) => format!("Keep the door shut for {}", clock(wait)),
        Mend::Respirator(class) => format!("Wear {} (factor {})", class.name(), significant(class.factor(), 4)),
        Mend::OwnAir => "Feed the hood from a line of its own, tested for Grade D".to_owned(),
        Mend::Blasting(time) => format!("Blast no longer than {} in a shift", clock(time)),
        Mend::Hearing(Hearing::Both) => "Wear plugs and muffs together".to_owned(),
        Mend::Hearing(_) => "Wear plugs or muffs".to_owned(),
        Mend::Relief(pressure) => format!("Have the relief valve set to {} or less", pressure.show(units)),
        Mend::CutOut(pressure) => format!("Let the compressor stop at {}", pressure.show(units)),
        Mend::NoValveBeforeRelief => "Take the valve out, so that nothing shuts the relief valve off".to_owned(),
        Mend::PotRated(pressure) => format!("Use a pot whose plate says {} or more", pressure.show(units)),
        Mend::HoseRated(pressure) => format!("Use a blast hose rated for {} or more", pressure.show(units)),
        Mend::Lash => "Lash every coupling of the blast hose".to_owned(),
        Mend::Valve(BlastValve::DeadMan) => "Fit a lever that shuts when let go".to_owned(),
        Mend::Valve(_) => "Fit a valve that is held by hand and shuts when let go".to_owned(),
        Mend::Untie => "Untie it: it has to shut when let go".to_owned(),
        Mend::NozzleRest => "Hang up a rest for the nozzle".to_owned(),
        Mend::Cleaning(pressure) => format!("Set the cleaning gun to {} dead-ended", pressure.show(units)),
        Mend::ChipGuard => "Fit a chip guard".to_owned(),
        Mend::LampLid => "Fit a lid that puts the lamp out when it is opened".to_owned(),
        Mend::Seam => "Take the edges off with a wet stone before the blank is handled".to_owned(),
        Mend::SinglePane => "Carve a single pane, before the unit is sealed".to_owned(),
        Mend::Depth(depth) => format!("Carve no deeper than {}", depth.show(units)),
        Mend::Thickness(thickness) => format!("Take a blank {} thick", thickness.show(units)),
    }
}
