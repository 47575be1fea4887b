//! What the air line does, in words: ids for programs, sentences for people.

use crate::line_answer::{LineAnswer, LineFinding};
use air::course::Happening;
use air::damp::{Clogging, DampStation, OilCause};
use air::ladder::StationState;
use air::machine::{PlateCheck, StatedFlow};
use air::network::Network;
use language::say;
use piece::Shop;
use quantity::show::{Show as _, air_flow, clock};
use quantity::{MassRate, Quantity as _, Time, UnitSystem};

/// An event's id, and the compressor or station that it happened to.
#[must_use]
pub fn happening(network: &Network, event: Happening) -> (&'static str, String) {
    let station = |number: usize| network.stations().nth(number).unwrap_or_default().to_owned();
    let machine = |number: usize| network.compressors().nth(number).unwrap_or_default().to_owned();
    match event {
        Happening::ValveOpened(number) => ("valve_opened", station(number)),
        Happening::ValveClosed(number) => ("valve_closed", station(number)),
        Happening::HoldLost(number) => ("pressure_lost", station(number)),
        Happening::HoldRegained(number) => ("pressure_regained", station(number)),
        Happening::Tripped(number) => ("low_pressure_trip", station(number)),
        Happening::Started(number) => ("compressor_started", machine(number)),
        Happening::Stopped(number) => ("compressor_stopped", machine(number)),
        Happening::DutyReached(number) => ("duty_reached", machine(number)),
        Happening::Cooled(number) => ("cooled_down", machine(number)),
    }
}

/// A state of the air as programs read it.
#[must_use]
pub const fn clogging_id(clog: Clogging) -> &'static str {
    match clog {
        Clogging::Dry => "dry",
        Clogging::FogInJet => "fog_in_jet",
        Clogging::NearlyWet => "nearly_wet",
        Clogging::Wet => "wet",
        Clogging::IceInRegulator => "ice_in_regulator",
    }
}

/// Where oil comes from, as programs read it.
#[must_use]
pub const fn oil_id(cause: OilCause) -> &'static str {
    match cause {
        OilCause::Lubricated => "lubricated",
        OilCause::FloodedCompressor => "flooded_compressor",
    }
}

/// The name of a part or station. The parts that every line has are called by the program, the others by the shop.
#[must_use]
pub fn part(name: &str) -> String {
    let own = |name: &str| {
        let said = match name {
            "nozzle" => say!(in "a part of the air line", "nozzle"),
            "compressors" => say!(in "a part of the air line", "compressors"),
            "receiver" => say!(in "a part of the air line", "receiver"),
            "regulator" => say!(in "a part of the air line", "regulator"),
            "hose" => say!(in "a part of the air line", "hose"),
            "pot" => say!(in "a part of the air line", "pot"),
            _ => return None,
        };
        Some(said.to_owned())
    };
    let of_station = || {
        let (part, station) = name.split_once(" of ")?;
        Some(say!("{part} of {station}", part = own(part)?))
    };
    own(name).or_else(of_station).unwrap_or_else(|| name.to_owned())
}

/// A finding about the line: a title and why.
#[must_use]
pub fn finding(answer: &LineAnswer, shop: &Shop, finding: &LineFinding) -> (String, String) {
    let units = shop.units;
    match finding {
        LineFinding::Holds { longest, lost: true } => (say!("The pressure is lost").to_owned(), holds(*longest, true)),
        LineFinding::Holds { longest, lost: false } => (say!("The pressure holds").to_owned(), holds(*longest, false)),
        LineFinding::Duty { compressor, runs, may } => (
            say!("{compressor}: {percent:.0} % of the time", percent = runs.to_percent()),
            say!(
                "It may run {percent:.0} % of ten minutes by its plate. Beyond that it grows hot, and its air wetter.",
                percent = may.to_percent()
            ),
        ),
        LineFinding::Plate { compressor, plate } => {
            (say!("{compressor}: its plate"), self::plate(plate, shop, compressor))
        }
        LineFinding::Water { station, .. } => {
            let station = &answer.damp.stations[*station];
            (format!("{}: {}", part(&station.station), water_title(station.clog)), moisture(station, units))
        }
        LineFinding::Oil { risk } => {
            let risk = &answer.damp.oil[*risk];
            (say!("{part}: oil", part = part(&risk.part)), oil(risk.why).to_owned())
        }
    }
}

/// Where a finding's limit comes from.
#[must_use]
pub fn source(finding: &LineFinding) -> &'static str {
    match finding {
        LineFinding::Holds { .. } => say!("computed: the line in time"),
        LineFinding::Duty { .. } => say!("the plate's own limit"),
        LineFinding::Plate { .. } => say!("ideal compression work; bounds are our judgement"),
        LineFinding::Water { .. } => say!("ISO 8573-1 for the class (read in reprints); equilibrium of moist air"),
        LineFinding::Oil { .. } => say!("common practice, no source"),
    }
}

fn holds(longest: Option<Time>, lost: bool) -> String {
    let longest = match longest {
        None => say!("From full receivers all stations blast without end.").to_owned(),
        Some(time) => say!("From full receivers all stations together blast {time}.", time = clock(time)),
    };
    let own = if lost {
        say!(
            "With the times on and off given here a regulator is fully open and the nozzle pressure falls: blast shorter, \
             rest longer, or take a smaller nozzle."
        )
    } else {
        say!("With the times on and off given here it is never lost.")
    };
    format!("{longest} {own}")
}

/// What a compressor's plate looks like, held against its power.
#[must_use]
pub fn plate(plate: &PlateCheck, shop: &Shop, name: &str) -> String {
    let units = shop.units;
    let Some(compressor) = shop.compressors.iter().find(|compressor| compressor.name == name) else {
        return String::new();
    };
    let (stated, power) = (compressor.free_air.show(units), compressor.power.show(units));
    let (low, high) = (plate.likely.low().show(units), plate.likely.high().show(units));
    match plate.stated {
        StatedFlow::Plausible => say!(
            "{stated} from {power} takes {percent:.0} % of it in the ideal machine: plausible as delivered air.",
            percent = 100.0 * plate.isentropic_share
        ),
        StatedFlow::LooksLikeDisplacement => say!(
            "{stated} from {power} looks like displacement, not delivered air. This reckons with {low} to {high}, 60 to \
             75 % of it (common practice, no source); fill the receiver with a stopwatch to know."
        ),
        StatedFlow::Impossible => say!(
            "No machine delivers {stated} at {pressure} from {power}: it is displacement, or misread. This reckons with \
             {low} to {high}, 60 to 75 % of it (common practice, no source).",
            pressure = compressor.cut_out.show(units)
        ),
        StatedFlow::LittleForThePower => {
            say!("{stated} is little for {power}: perhaps the figure of another pressure. Read the plate again.")
        }
    }
}

fn water_title(clog: Clogging) -> &'static str {
    match clog {
        Clogging::Dry | Clogging::FogInJet => say!("dry air"),
        Clogging::NearlyWet => say!("nearly wet"),
        Clogging::Wet => say!("wet air"),
        Clogging::IceInRegulator => say!("ice in the regulator"),
    }
}

/// What water does at a station.
#[must_use]
pub fn moisture(station: &DampStation, units: UnitSystem) -> String {
    let class = station.water;
    let air = match station.dew_point {
        None => say!("Dew point below any that matters at the nozzle, water class {class} of ISO 8573-1."),
        Some(at) => say!("Dew point {dew} at the nozzle, water class {class} of ISO 8573-1.", dew = at.show(units)),
    };
    let told = match station.clog {
        Clogging::Dry => say!("Nothing falls out, even in the jet."),
        Clogging::FogInJet => say!("Fog only in the jet itself: the abrasive stays dry."),
        Clogging::NearlyWet => {
            say!("No liquid yet, but a cold hose or pot would make some: drain, cool or dry further.")
        }
        Clogging::Wet => say!(
            "Liquid reaches the abrasive, which cakes and clogs the nozzle: drain the bowls, add a separator behind a \
             cooler."
        ),
        Clogging::IceInRegulator => {
            say!("The regulator is below freezing with saturated air: ice may block it. Dry the air or warm the room.")
        }
    };
    format!("{air} {told}")
}

/// Where oil comes from.
#[must_use]
pub fn oil(cause: OilCause) -> &'static str {
    match cause {
        OilCause::Lubricated => say!(
            "It was used behind an oiler and gives off oil for long. Oil cakes abrasive and keeps resist from sticking \
             (common practice, no source): take a hose kept for dry air."
        ),
        OilCause::FloodedCompressor => say!(
            "It is flooded with oil and has no filter behind it. Oil cakes abrasive and keeps resist from sticking \
             (common practice, no source): add a coalescing filter."
        ),
    }
}

/// The line in one sentence.
#[must_use]
pub fn sentence(answer: &LineAnswer, shop: &Shop) -> String {
    let units = shop.units;
    let station = |state: &StationState| {
        say!(
            "{station} sees {pressure} and takes {flow}",
            station = part(&state.station),
            pressure = state.nozzle.show(units),
            flow = air_flow(state.flow, units)
        )
    };
    let stations: Vec<String> = answer.ladder.stations.iter().map(station).collect();
    let given = answer.course.balance.delivered.to_kilograms() / answer.course.length.to_seconds().max(1e-9);
    let compressors = answer.network.compressors().zip(&answer.course.machines);
    let runs: Vec<String> = compressors
        .map(|(name, machine)| say!("{name} runs {percent:.0} % of the time", percent = machine.share.to_percent()))
        .collect();
    say!(
        "{stations}; {runs}, {mean} on average.",
        stations = stations.join(", "),
        runs = runs.join(", "),
        mean = air_flow(MassRate::clamped(given), units)
    )
}
