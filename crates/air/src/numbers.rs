//! Numbers of parts that no line can have, refused with the part's name.

use crate::Hose;
use crate::network::NetworkError;
use crate::part::{Part, PartKind, Tip};
use crate::plant::Plant;
use language::say;
use quantity::{Diameter, Fraction, GaugePressure, Quantity};

/// Most parts of a network.
const PARTS_MAX: usize = 1000;
/// Bore below which a part is taken for having none, mm.
const BORE_MIN_MM: f64 = 0.05;

/// Each part by itself.
pub(crate) fn check(parts: &[Part]) -> Result<(), NetworkError> {
    if parts.len() > PARTS_MAX {
        return Err(NetworkError::TooManyParts { given: parts.len(), most: PARTS_MAX });
    }
    parts.iter().try_for_each(check_part)
}

fn check_part(part: &Part) -> Result<(), NetworkError> {
    let name = || part.name.clone();
    let share = |what, given: Fraction, most| check_range(part, what, given.to_ratio(), 0.0, most);
    match &part.kind {
        PartKind::Compressor(machine) => {
            let (cut_in, cut_out) = (machine.cut_in, machine.cut_out);
            if cut_in >= cut_out {
                return Err(NetworkError::CutInAboveCutOut { part: name(), cut_in, cut_out });
            }
            if cut_in.to_pascals() <= 0.0 {
                return Err(NetworkError::CutInTooLow { part: name(), cut_in });
            }
            if machine.duty.share.to_ratio() <= 0.0 {
                return Err(NetworkError::NoDuty { part: name() });
            }
            check_range(part, say!("duty window in seconds"), machine.duty.window.to_seconds(), 1.0, 86_400.0)
        }
        PartKind::Receiver(vessel) => {
            if vessel.volume.to_cubic_metres() <= 0.0 {
                return Err(NetworkError::NoVolume { part: name() });
            }
            check_range(part, say!("heat loss in W/K"), vessel.wall_w_per_k(), 0.0, 1e5)
        }
        PartKind::Aftercooler(cooler) => {
            share(say!("share of drops caught"), cooler.catches, 1.0)?;
            check_range(part, say!("approach in K"), cooler.approach_k, 0.0, 60.0)
        }
        PartKind::Pipe(run) | PartKind::Hose(run) => check_run(part, run),
        PartKind::Dryer(dryer) => share(say!("purge"), dryer.purge, 0.5),
        PartKind::Nozzle(tip) | PartKind::Gun(tip) => check_tip(part, tip),
        PartKind::Regulator(regulator) if regulator.set.to_pascals() <= 0.0 => {
            Err(NetworkError::NoPressureSet { part: name(), set: regulator.set })
        }
        _ => Ok(()),
    }
}

fn check_range(part: &Part, what: &'static str, given: f64, least: f64, most: f64) -> Result<(), NetworkError> {
    if (least..=most).contains(&given) {
        return Ok(());
    }
    Err(NetworkError::OutOfRange { part: part.name.clone(), word: part.kind.word(), what, given, least, most })
}

fn check_bore(part: &Part, bore: Diameter) -> Result<(), NetworkError> {
    if bore.to_mm() >= BORE_MIN_MM {
        return Ok(());
    }
    Err(NetworkError::NoBore { part: part.name.clone(), word: part.kind.word(), bore })
}

fn check_run(part: &Part, run: &Hose) -> Result<(), NetworkError> {
    check_bore(part, run.bore)?;
    if run.length.to_metres() <= 0.0 {
        return Err(NetworkError::NoLength { part: part.name.clone(), word: part.kind.word() });
    }
    let roughness = run.roughness.to_metres() / run.bore.to_metres();
    check_range(part, say!("roughness over bore"), roughness, 0.0, 0.05)
}

fn check_tip(part: &Part, tip: &Tip) -> Result<(), NetworkError> {
    check_bore(part, tip.bore)?;
    check_range(part, say!("wear of the bore in bores"), tip.worn.to_metres() / tip.bore.to_metres(), 0.0, 3.0)
}

/// The parts against each other.
pub(crate) fn check_settings(parts: &[Part], plant: &Plant) -> Result<(), NetworkError> {
    let machines = plant.machines.iter();
    if machines.clone().all(|machine| !machine.switched_on) {
        return Err(NetworkError::AllOff { part: parts[plant.machines[0].part].name.clone() });
    }
    for machine in machines {
        if machine.curve.rate(machine.cut_out) <= 0.0 {
            let cut_out = GaugePressure::clamped(machine.cut_out - plant.site);
            return Err(NetworkError::NoDelivery { part: parts[machine.part].name.clone(), cut_out });
        }
    }
    let full = plant.full();
    for station in &plant.stations {
        if station.set >= full {
            let (set, full) = (plant.gauge(station.set), plant.gauge(full));
            return Err(NetworkError::SetAboveReceiver { part: parts[station.regulator].name.clone(), set, full });
        }
    }
    Ok(())
}
