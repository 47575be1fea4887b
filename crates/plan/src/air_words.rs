//! What the air line does, in words: ids for programs, sentences for people.

use crate::line_answer::{LineAnswer, LineFinding};
use air::course::Happening;
use air::damp::{Clogging, DampStation, OilCause};
use air::ladder::StationState;
use air::machine::{PlateCheck, StatedFlow};
use air::network::Network;
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

/// A finding about the line: a title and why.
#[must_use]
pub fn finding(answer: &LineAnswer, shop: &Shop, finding: &LineFinding) -> (String, String) {
    let units = shop.units;
    match finding {
        LineFinding::Holds { longest, lost } => {
            (if *lost { "The pressure is lost" } else { "The pressure holds" }.to_owned(), holds(*longest, *lost))
        }
        LineFinding::Duty { compressor, runs, may } => (
            format!("{compressor}: {:.0} % of the time", runs.to_percent()),
            format!(
                "It may run {:.0} % of ten minutes by its plate. Beyond that it grows hot, and its air wetter.",
                may.to_percent()
            ),
        ),
        LineFinding::Plate { compressor, plate } => {
            (format!("{compressor}: its plate"), self::plate(plate, shop, compressor))
        }
        LineFinding::Water { station, .. } => {
            let station = &answer.damp.stations[*station];
            (format!("{}: {}", station.station, water_title(station.clog)), moisture(station, units))
        }
        LineFinding::Oil { risk } => {
            let risk = &answer.damp.oil[*risk];
            (format!("{}: oil", risk.part), oil(risk.why).to_owned())
        }
    }
}

/// Where a finding's limit comes from.
#[must_use]
pub const fn source(finding: &LineFinding) -> &'static str {
    match finding {
        LineFinding::Holds { .. } => "computed: the line in time",
        LineFinding::Duty { .. } => "the plate's own limit",
        LineFinding::Plate { .. } => "ideal compression work; bounds are our judgement",
        LineFinding::Water { .. } => "ISO 8573-1 for the class (read in reprints); equilibrium of moist air",
        LineFinding::Oil { .. } => "common practice, no source",
    }
}

fn holds(longest: Option<Time>, lost: bool) -> String {
    let longest = longest.map_or_else(
        || "From full receivers all stations blast without end.".to_owned(),
        |time| format!("From full receivers all stations together blast {}.", clock(time)),
    );
    let own = if lost {
        "With the times on and off given here a regulator is fully open and the nozzle pressure falls: blast shorter, rest longer, or take a smaller nozzle."
    } else {
        "With the times on and off given here it is never lost."
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
    let likely = format!("{} to {}", plate.likely.low().show(units), plate.likely.high().show(units));
    match plate.stated {
        StatedFlow::Plausible => format!(
            "{stated} from {power} takes {:.0} % of it in the ideal machine: plausible as delivered air.",
            100.0 * plate.isentropic_share
        ),
        StatedFlow::LooksLikeDisplacement => format!(
            "{stated} from {power} looks like displacement, not delivered air. This reckons with {likely}, 60 to 75 % of it (common practice, no source); fill the receiver with a stopwatch to know."
        ),
        StatedFlow::Impossible => format!(
            "No machine delivers {stated} at {} from {power}: it is displacement, or misread. This reckons with {likely}, 60 to 75 % of it (common practice, no source).",
            compressor.cut_out.show(units)
        ),
        StatedFlow::LittleForThePower => {
            format!("{stated} is little for {power}: perhaps the figure of another pressure. Read the plate again.")
        }
    }
}

const fn water_title(clog: Clogging) -> &'static str {
    match clog {
        Clogging::Dry | Clogging::FogInJet => "dry air",
        Clogging::NearlyWet => "nearly wet",
        Clogging::Wet => "wet air",
        Clogging::IceInRegulator => "ice in the regulator",
    }
}

/// What water does at a station.
#[must_use]
pub fn moisture(station: &DampStation, units: UnitSystem) -> String {
    let dew = station.dew_point.map_or_else(|| "below any that matters".to_owned(), |at| at.show(units).to_string());
    let told = match station.clog {
        Clogging::Dry => "Nothing falls out, even in the jet.",
        Clogging::FogInJet => "Fog only in the jet itself: the abrasive stays dry.",
        Clogging::NearlyWet => "No liquid yet, but a cold hose or pot would make some: drain, cool or dry further.",
        Clogging::Wet => {
            "Liquid reaches the abrasive, which cakes and clogs the nozzle: drain the bowls, add a separator behind a cooler."
        }
        Clogging::IceInRegulator => {
            "The regulator is below freezing with saturated air: ice may block it. Dry the air or warm the room."
        }
    };
    format!("Dew point {dew} at the nozzle, water class {} of ISO 8573-1. {told}", station.water)
}

/// Where oil comes from.
#[must_use]
pub const fn oil(cause: OilCause) -> &'static str {
    match cause {
        OilCause::Lubricated => {
            "It was used behind an oiler and gives off oil for long. Oil cakes abrasive and keeps resist from sticking (common practice, no source): take a hose kept for dry air."
        }
        OilCause::FloodedCompressor => {
            "It is flooded with oil and has no filter behind it. Oil cakes abrasive and keeps resist from sticking (common practice, no source): add a coalescing filter."
        }
    }
}

/// The line in one sentence.
#[must_use]
pub fn sentence(answer: &LineAnswer, shop: &Shop) -> String {
    let units = shop.units;
    let station = |state: &StationState| {
        format!("{} sees {} and takes {}", state.station, state.nozzle.show(units), air_flow(state.flow, units))
    };
    let stations: Vec<String> = answer.ladder.stations.iter().map(station).collect();
    let given = answer.course.balance.delivered.to_kilograms() / answer.course.length.to_seconds().max(1e-9);
    let runs: Vec<String> = answer
        .network
        .compressors()
        .zip(&answer.course.machines)
        .map(|(name, machine)| format!("{name} runs {:.0} % of the time", machine.share.to_percent()))
        .collect();
    let mean = air_flow(MassRate::clamped(given), units);
    format!("{}; {}, {mean} on average.", stations.join(", "), runs.join(", "))
}
