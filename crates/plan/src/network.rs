//! The shop's air as a network of named parts.
//!
//! `shop.toml` says for each further part which one it comes *after*; a network says which one a part
//! *feeds*. In between lies the order of the usual parts: compressors, receiver, and for each station
//! its regulator, hose, pot and nozzle. What comes after a station's own part stands in every station.

use crate::line::{delivered, site};
use crate::refusal::Refusal;
use air::machine::{Delivery, Duty, MachineKind};
use air::network::Network;
use air::part::{Cooler, Dryer, Part, PartKind, Pot, Tip, Trap, Vessel};
use air::{Conductance, Discharge, Droop, Fittings, Hose, Loading, Machine, Regulator, Site};
use piece::{
    CompressorKind, Shop, ShopBowl, ShopCompressor, ShopHose, ShopNozzle, ShopPart, ShopPartKind, ShopPassage,
    ShopRegulator, ShopStation,
};
use quantity::{ANR_DENSITY, GaugePressure, Length, MassRate, Quantity as _, Time, known};

/// The shop's stations; where it names none, the one that it has, with `nozzle` at `set`.
#[must_use]
pub fn stations(shop: &Shop, nozzle: &ShopNozzle, set: GaugePressure) -> Vec<ShopStation> {
    if !shop.stations.is_empty() {
        return shop.stations.clone();
    }
    vec![station(shop, nozzle, set)]
}

/// One station with the shop's regulator, hose and pot, blasting without rest.
#[must_use]
pub fn station(shop: &Shop, nozzle: &ShopNozzle, set: GaugePressure) -> ShopStation {
    ShopStation {
        name: "nozzle".to_owned(),
        nozzle: nozzle.name.clone(),
        pressure: set,
        on: known(Time::minutes(30.0)),
        off: known(Time::seconds(0.0)),
        gun: false,
        regulator: shop.regulator,
        hose: shop.hose,
        loading: shop.loading,
    }
}

/// The air line from the compressors to each of the stations.
///
/// # Errors
/// [`Refusal::Network`] for a line through which no air can flow, with the part's name, and the
/// refusals of the parts' own numbers.
pub fn network(shop: &Shop, stations: &[ShopStation]) -> Result<Network, Refusal> {
    let mut parts = supply(shop)?;
    let heads: Vec<String> = stations.iter().map(|station| own(stations, "regulator", station)).collect();
    let mut between = row(shop, "receiver", None);
    between.insert(0, receiver(shop));
    parts.extend(linked(between.into_iter().collect::<Result<_, _>>()?, &heads));
    for station in stations {
        parts.extend(at_station(shop, stations, station)?);
    }
    parts.extend(astray(shop)?);
    Ok(Network::new(site(shop)?, parts)?)
}

const COMPRESSORS: &str = "compressors";
const RECEIVER: &str = "receiver";
/// The first receiver, with the shop's leaks as one hole in it.
fn receiver(shop: &Shop) -> Result<Part, Refusal> {
    let site = site(shop)?;
    let full = shop.compressors.iter().map(|compressor| compressor.cut_out.to_pascals()).fold(0.0, f64::max);
    let leak = if shop.leaks.to_base() > 0.0 {
        Some(air::leak::equivalent_bore(
            MassRate::clamped(ANR_DENSITY * shop.leaks.to_base()),
            GaugePressure::clamped(full),
            &site,
        )?)
    } else {
        None
    };
    let vessel = Vessel { leak, ..Vessel::of(shop.receiver) };
    Ok(Part { name: RECEIVER.to_owned(), feeds: Vec::new(), kind: PartKind::Receiver(vessel) })
}

/// A station's own parts that others may come after.
const OF_STATION: [&str; 2] = ["regulator", "hose"];

/// Name of a station's own part: plain where there is only one station.
fn own(stations: &[ShopStation], part: &str, station: &ShopStation) -> String {
    if stations.len() == 1 { part.to_owned() } else { format!("{part} of {}", station.name) }
}

/// Compressors and what stands between them and the receiver.
fn supply(shop: &Shop) -> Result<Vec<Part>, Refusal> {
    let behind: Vec<Part> = row(shop, COMPRESSORS, None).into_iter().collect::<Result<_, _>>()?;
    let feeds = vec![behind.first().map_or(RECEIVER, |part| &part.name).to_owned()];
    let site = site(shop)?;
    let machine = |compressor: &ShopCompressor| Part {
        name: compressor.name.clone(),
        feeds: feeds.clone(),
        kind: PartKind::Compressor(machine(compressor, &site)),
    };
    let mut parts: Vec<Part> = shop.compressors.iter().map(machine).collect();
    parts.extend(linked(behind, &[RECEIVER.to_owned()]));
    Ok(parts)
}

fn at_station(shop: &Shop, stations: &[ShopStation], station: &ShopStation) -> Result<Vec<Part>, Refusal> {
    let name = |part: &str| own(stations, part, station);
    let suffix = (stations.len() > 1).then_some(station.name.as_str());
    let part = |name: String, kind: PartKind| Part { name, feeds: Vec::new(), kind };
    let mut parts =
        vec![part(name("regulator"), PartKind::Regulator(regulator(&station.regulator, station.pressure)?))];
    parts.extend(row(shop, "regulator", suffix).into_iter().collect::<Result<Vec<_>, _>>()?);
    parts.push(part(name("hose"), PartKind::Hose(hose(&station.hose, SMOOTH)?)));
    parts.extend(row(shop, "hose", suffix).into_iter().collect::<Result<Vec<_>, _>>()?);
    if !station.gun {
        let pot = Pot { passes: Conductance::WIDE, loading: Loading::new(station.loading)? };
        parts.push(part(name("pot"), PartKind::Pot(pot)));
    }
    let nozzle = shop.nozzle(&station.nozzle).ok_or(Refusal::NoNozzle)?;
    let discharge = if station.gun { Discharge::GUN_JET } else { Discharge::new(nozzle.discharge)? };
    let tip = Tip::new(nozzle.bore, discharge);
    let kind = if station.gun { PartKind::Gun(tip) } else { PartKind::Nozzle(tip) };
    parts.push(part(station.name.clone(), kind));
    Ok(linked(parts, &[]))
}

/// Parts in a row, each feeding the next and the last one `ends`.
fn linked(mut parts: Vec<Part>, ends: &[String]) -> Vec<Part> {
    let next: Vec<String> = parts.iter().skip(1).map(|part| part.name.clone()).collect();
    for (part, next) in parts.iter_mut().zip(next) {
        part.feeds = vec![next];
    }
    if let Some(last) = parts.last_mut() {
        last.feeds = ends.to_vec();
    }
    parts
}

/// The further parts that come after one, and those that come after them, in the air's order.
fn row(shop: &Shop, after: &str, suffix: Option<&str>) -> Vec<Result<Part, Refusal>> {
    let mut found = Vec::new();
    follow(shop, after, &mut |further| found.push(part(further, suffix)));
    found
}

fn follow(shop: &Shop, after: &str, visit: &mut impl FnMut(&ShopPart)) {
    for further in shop.parts.iter().filter(|further| further.after == after) {
        visit(further);
        follow(shop, &further.name, visit);
    }
}

/// Parts that hang on each other and on nothing else: the network names them as a loop.
fn astray(shop: &Shop) -> Result<Vec<Part>, Refusal> {
    let mut hung = Vec::new();
    for head in [COMPRESSORS, RECEIVER].into_iter().chain(OF_STATION) {
        follow(shop, head, &mut |further| hung.push(further.name.clone()));
    }
    let loose = shop.parts.iter().filter(|further| !hung.contains(&further.name));
    let fed = |further: &ShopPart| {
        let next = shop.parts.iter().filter(|next| next.after == further.name);
        Ok(Part { feeds: next.map(|next| next.name.clone()).collect(), ..part(further, None)? })
    };
    loose.map(fed).collect()
}

fn part(further: &ShopPart, suffix: Option<&str>) -> Result<Part, Refusal> {
    let name = suffix.map_or_else(|| further.name.clone(), |station| format!("{} of {station}", further.name));
    Ok(Part { name, feeds: Vec::new(), kind: kind(&further.kind)? })
}

fn kind(kind: &ShopPartKind) -> Result<PartKind, Refusal> {
    Ok(match kind {
        ShopPartKind::Aftercooler(passes, approach_k, catches) => {
            PartKind::Aftercooler(Cooler { approach_k: *approach_k, passes: passage(passes)?, catches: *catches })
        }
        ShopPartKind::Receiver(volume) => PartKind::Receiver(Vessel::of(*volume)),
        ShopPartKind::Pipe(run) => PartKind::Pipe(hose(run, STEEL)?),
        ShopPartKind::Hose(run) => PartKind::Hose(hose(run, SMOOTH)?),
        ShopPartKind::Fitting(passes) => PartKind::Fitting(passage(passes)?),
        ShopPartKind::Dryer(passes, dew_point, purge) => {
            PartKind::Dryer(Dryer { dew_point: *dew_point, purge: *purge, passes: passage(passes)? })
        }
        ShopPartKind::Separator(passes, bowl) => PartKind::Separator(trap(passes, bowl)?),
        ShopPartKind::Filter(passes, bowl) => PartKind::Filter(trap(passes, bowl)?),
        ShopPartKind::Valve(passes) => PartKind::Valve(passage(passes)?),
    })
}

fn trap(passes: &ShopPassage, bowl: &ShopBowl) -> Result<Trap, Refusal> {
    Ok(Trap { passes: passage(passes)?, catches: bowl.catches, bowl: bowl.holds })
}

fn passage(passes: &ShopPassage) -> Result<Conductance, Refusal> {
    Ok(Conductance::dm3_per_s_bar(passes.conductance_dm3_s_bar, passes.critical_ratio)?)
}

/// Rubber and plastic hose, drawn smooth. From memory, the usual textbook value (air.md section 3).
const SMOOTH: Length = known(Length::mm(air::hose::SMOOTH_HOSE_MM));
/// Commercial steel pipe. From memory, the usual textbook value (air.md section 3).
const STEEL: Length = known(Length::mm(0.045));

fn hose(run: &ShopHose, roughness: Length) -> Result<Hose, Refusal> {
    Ok(Hose { bore: run.bore, length: run.length, roughness, fittings: Fittings::new(run.fittings_k)? })
}

fn regulator(regulator: &ShopRegulator, set: GaugePressure) -> Result<Regulator, Refusal> {
    Ok(Regulator {
        set,
        droop: Droop::bar_per_litre_per_minute(regulator.droop_bar_per_100_l_min / 100.0)?,
        valve: Conductance::dm3_per_s_bar(regulator.conductance_dm3_s_bar, regulator.critical_ratio)?,
    })
}

fn machine(compressor: &ShopCompressor, site: &Site) -> Machine {
    Machine {
        kind: match compressor.kind {
            CompressorKind::Diaphragm => MachineKind::Diaphragm,
            CompressorKind::SmallPiston => MachineKind::SmallPiston,
            CompressorKind::SingleStage => MachineKind::SingleStage,
            CompressorKind::TwoStage => MachineKind::TwoStage,
            CompressorKind::Screw => MachineKind::Screw,
        },
        delivery: Delivery::Constant(delivered(compressor, site)),
        cut_in: compressor.cut_in,
        cut_out: compressor.cut_out,
        duty: if compressor.thermal_stop { Duty::kept(compressor.duty) } else { Duty::reported(compressor.duty) },
        power: compressor.power,
        switched_on: compressor.running,
    }
}
