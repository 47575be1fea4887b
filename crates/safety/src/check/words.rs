//! The words of checks: every sentence about them, in one place. `sentences` says what was found
//! and why; here are names, numbers and changes.

mod sentences;

use super::{AirTest, Checked, Hazard, Mend, Value};
use crate::dust::Agent;
use language::say;
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
    given.map_or_else(|| say!("not known").to_owned(), |given| value(given, units))
}

/// The name of a check, for lists.
#[must_use]
pub fn name(hazard: Hazard) -> &'static str {
    match hazard {
        Hazard::FreeSilica => say!(in "a check", "free silica"),
        Hazard::SilicaExposure => say!(in "a check", "silica over the shift"),
        Hazard::LeadExposure => say!(in "a check", "lead over the shift"),
        Hazard::DustExposure => say!(in "a check", "dust over the shift"),
        Hazard::Respirator => say!(in "a check", "respirator"),
        Hazard::BreathingAir => say!(in "a check", "breathing air"),
        Hazard::GradeD => say!(in "a check", "air test"),
        Hazard::NoCollector => say!(in "a check", "collector"),
        Hazard::BlastOut => say!(in "a check", "blast-out"),
        Hazard::Inflow => say!(in "a check", "inflow"),
        Hazard::AirChanges => say!(in "a check", "air changes"),
        Hazard::DuctSpeed => say!(in "a check", "duct"),
        Hazard::FilterArea => say!(in "a check", "filter area"),
        Hazard::FilterClass => say!(in "a check", "filter class"),
        Hazard::DoorWait => say!(in "a check", "wait at the door"),
        Hazard::Interlock => say!(in "a check", "fan interlock"),
        Hazard::SharedCollector => say!(in "a check", "shared collector"),
        Hazard::NoiseDose => say!(in "a check", "noise dose"),
        Hazard::NoiseRecommended => say!(in "a check", "noise, recommended"),
        Hazard::NoiseCeiling => say!(in "a check", "noise level"),
        Hazard::Hearing => say!(in "a check", "ear protection"),
        Hazard::Relief => say!(in "a check", "relief valve"),
        Hazard::CutOut => say!(in "a check", "cut-out"),
        Hazard::ValveBeforeRelief => say!(in "a check", "valve before relief"),
        Hazard::PotRating => say!(in "a check", "pot rating"),
        Hazard::HoseRating => say!(in "a check", "hose rating"),
        Hazard::Couplings => say!(in "a check", "couplings"),
        Hazard::BlastValve => say!(in "a check", "blast valve"),
        Hazard::TiedValve => say!(in "a check", "tied valve"),
        Hazard::NozzleRest => say!(in "a check", "nozzle rest"),
        Hazard::CleaningAir => say!(in "a check", "cleaning air"),
        Hazard::ChipGuard => say!(in "a check", "chip guard"),
        Hazard::Static => say!(in "a check", "static"),
        Hazard::Lamp => say!(in "a check", "exposure lamp"),
        Hazard::Edges => say!(in "a check", "sharp edges"),
        Hazard::Lifting => say!(in "a check", "lifting"),
        Hazard::Place => say!(in "a check", "place"),
        Hazard::SealedUnit => say!(in "a check", "sealed unit"),
        Hazard::Laminate => say!(in "a check", "laminate"),
        Hazard::Supports => say!(in "a check", "supports"),
        Hazard::Strength => say!(in "a check", "strength"),
        Hazard::Sinking => say!(in "a check", "sinking"),
        Hazard::EdgeDistance => say!(in "a check", "edge distance"),
    }
}

/// The key that would tell what is not told.
#[must_use]
pub fn key(hazard: Hazard) -> Option<&'static str> {
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
        Hazard::Relief => say!("pressure.relief and pressure.receiver_rated"),
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
        Hazard::Strength => say!("place.wind, place.push, place.load or place.flat"),
        _ => return None,
    })
}

/// The agent inside a sentence.
#[must_use]
pub fn agent(agent: Agent) -> &'static str {
    match agent {
        Agent::CrystallineSilica => say!(in "a dust", "crystalline silica"),
        Agent::Lead => say!(in "a dust", "lead"),
        Agent::Alumina => say!(in "a dust", "alumina"),
        Agent::SiliconCarbide => say!(in "a dust", "silicon carbide"),
        Agent::Nuisance => say!(in "a dust", "dust"),
    }
}

/// A figure of a test of breathing air.
pub(super) fn air_test(test: AirTest) -> &'static str {
    match test {
        AirTest::CarbonMonoxide => say!("carbon monoxide, parts in a million"),
        AirTest::CarbonDioxide => say!("carbon dioxide, parts in a million"),
        AirTest::Oil => say!(in "a test of breathing air", "oil"),
        AirTest::Oxygen => say!(in "a test of breathing air", "oxygen"),
        AirTest::DewPoint => say!("dew point, kelvins below the coldest place"),
    }
}

/// A change in words, in the imperative.
#[must_use]
pub fn mend(mend: Mend, units: UnitSystem) -> String {
    match mend {
        Mend::Collector(flow) => say!("Fit a collector that draws {}", flow.show(units)),
        Mend::Duct(bore) => say!("Fit a duct of {} bore at most", bore.show(units)),
        Mend::FilterArea(area) => say!("Fit filters of {}", area.show(units)),
        Mend::LastFilter(class) => say!("Fit a last filter of class {}", class.to_uppercase()),
        Mend::Outdoors => say!("Lead the collector's air outdoors").to_owned(),
        Mend::Interlock => say!("Let the blast wait for the collector").to_owned(),
        Mend::Ground => say!("Bond and ground nozzle, hose, cabinet and collector").to_owned(),
        Mend::OwnCollector => say!("Give the blast a collector of its own").to_owned(),
        Mend::DoorWait(wait) => say!("Keep the door shut for {}", clock(wait)),
        Mend::Respirator(class) => say!("Wear {} (factor {})", class.name(), significant(class.factor(), 4)),
        Mend::OwnAir => say!("Feed the hood from a line of its own, tested for Grade D").to_owned(),
        Mend::Blasting(time) => say!("Blast no longer than {} in a shift", clock(time)),
        Mend::Hearing(Hearing::Both) => say!("Wear plugs and muffs together").to_owned(),
        Mend::Hearing(_) => say!("Wear plugs or muffs").to_owned(),
        Mend::Relief(pressure) => say!("Have the relief valve set to {} or less", pressure.show(units)),
        Mend::CutOut(pressure) => say!("Let the compressor stop at {}", pressure.show(units)),
        Mend::NoValveBeforeRelief => say!("Take the valve out, so that nothing shuts the relief valve off").to_owned(),
        Mend::PotRated(pressure) => say!("Use a pot whose plate says {} or more", pressure.show(units)),
        Mend::HoseRated(pressure) => say!("Use a blast hose rated for {} or more", pressure.show(units)),
        Mend::Lash => say!("Lash every coupling of the blast hose").to_owned(),
        Mend::Valve(BlastValve::DeadMan) => say!("Fit a lever that shuts when let go").to_owned(),
        Mend::Valve(_) => say!("Fit a valve that is held by hand and shuts when let go").to_owned(),
        Mend::Untie => say!("Untie it: it has to shut when let go").to_owned(),
        Mend::NozzleRest => say!("Hang up a rest for the nozzle").to_owned(),
        Mend::Cleaning(pressure) => say!("Set the cleaning gun to {} dead-ended", pressure.show(units)),
        Mend::ChipGuard => say!("Fit a chip guard").to_owned(),
        Mend::LampLid => say!("Fit a lid that puts the lamp out when it is opened").to_owned(),
        Mend::Seam => say!("Take the edges off with a wet stone before the blank is handled").to_owned(),
        Mend::SinglePane => say!("Carve a single pane, before the unit is sealed").to_owned(),
        Mend::Depth(depth) => say!("Carve no deeper than {}", depth.show(units)),
        Mend::Thickness(thickness) => say!("Take a blank {} thick", thickness.show(units)),
    }
}
