//! The shop's air line asked by itself: in balance, in time, and what water does in it.

use crate::finding::State;
use crate::network::network;
use crate::refusal::Refusal;
use air::Valve;
use air::course::{Course, CourseError, Pattern, RunOptions};
use air::damp::{Clogging, DampSettings, Dampness};
use air::ladder::{Ladder, Open, Settings};
use air::machine::{PlateCheck, StatedFlow, check_plate};
use air::map::RunMap;
use air::network::Network;
use piece::{Shop, ShopCompressor, ShopStation};
use quantity::{Diameter, Fraction, GaugePressure, Quantity as _, Temperature, Time, known};

/// What the line does with some stations on it.
#[derive(Debug, Clone)]
pub struct LineAnswer {
    /// Its parts.
    pub network: Network,
    /// Pressure of the receivers for balance and water.
    pub receiver: GaugePressure,
    /// In balance at that, all stations blasting.
    pub ladder: Ladder,
    /// In time, each station on and off by its own times.
    pub course: Course,
    /// From full receivers, all stations blasting, to the first regulator that no longer holds; `None` when
    /// none is lost in two hours.
    pub longest_blast: Option<Time>,
    /// Water, while the busiest compressor runs its share of that time.
    pub damp: Dampness,
}

/// How far the line is looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// Pressure of the receivers; `None` is the lowest cut-in, what the line must live with.
    pub receiver: Option<GaugePressure>,
    /// How long it is followed in time.
    pub for_: Time,
    /// Time between samples; `None` is a six-hundredth of the whole.
    pub every: Option<Time>,
    /// Share of the time that compressors run, for water; `None` is as the course makes it.
    pub running: Option<Fraction>,
    /// Temperature around pipes and hoses; `None` is the site's.
    pub room: Option<Temperature>,
}

impl Default for Look {
    fn default() -> Self {
        Self { receiver: None, for_: known(Time::minutes(30.0)), every: None, running: None, room: None }
    }
}

/// How long the longest blast is looked for.
const LOOKED_FOR: Time = known(Time::hours(2.0));

/// Asks the line everything.
///
/// # Errors
/// [`Refusal`] for a line through which no air can flow, with the part's name, or one that cannot be followed.
pub fn ask(shop: &Shop, stations: &[ShopStation], look: &Look) -> Result<LineAnswer, Refusal> {
    let network = network(shop, stations)?;
    let receiver = look.receiver.unwrap_or_else(|| lowest_cut_in(shop, &network));
    let ladder = network.steady(&Settings { receiver, open: Open::All })?;
    let patterns: Vec<Pattern> = stations.iter().map(pattern).collect();
    let options = RunOptions { gap: look.every, ..RunOptions::default() };
    let course = network.run(&patterns, look.for_, &options)?;
    let open: Vec<Pattern> = stations.iter().map(|station| Pattern::held_open(&station.name)).collect();
    let to_loss = RunOptions { until_lost: true, gap: Some(LOOKED_FOR), ..RunOptions::default() };
    let longest_blast = network.run(&open, LOOKED_FOR, &to_loss)?.first_loss();
    let damp = network.moisture(&DampSettings {
        receiver,
        open: Open::All,
        running: look.running.unwrap_or_else(|| busiest(&course)),
        room: look.room.unwrap_or(shop.temperature),
        lubricated: &oiled(shop, &network),
    })?;
    Ok(LineAnswer { receiver, ladder, course, longest_blast, damp, network })
}

fn lowest_cut_in(shop: &Shop, network: &Network) -> GaugePressure {
    let running = shop.compressors.iter().filter(|compressor| compressor.running);
    let lowest = running.map(|compressor| compressor.cut_in).min_by(|a, b| a.to_base().total_cmp(&b.to_base()));
    lowest.unwrap_or_else(|| network.full())
}

fn pattern(station: &ShopStation) -> Pattern {
    let mut valves = vec![Valve { open: true, for_: station.on }];
    if station.off.to_seconds() > 0.0 {
        valves.push(Valve { open: false, for_: station.off });
    }
    Pattern::repeating(&station.name, &valves)
}

fn busiest(course: &Course) -> Fraction {
    Fraction::clamped(course.machines.iter().map(|machine| machine.share.to_ratio()).fold(0.0, f64::max))
}

/// Names of the hoses that give off oil.
fn oiled<'a>(shop: &Shop, network: &'a Network) -> Vec<&'a str> {
    let hoses = network.parts().iter().filter(|part| matches!(part.kind, air::PartKind::Hose(_)));
    if shop.oiled { hoses.map(|part| part.name.as_str()).collect() } else { Vec::new() }
}

/// How far each cell of [`what_runs`] is followed.
pub const MAP_HORIZON: Time = known(Time::minutes(30.0));

/// How long the first station holds each of 40 settings, up to the cut-out, with each of 60 bores from
/// 0.6 mm to half as wide again as `widest`, 6 mm at least.
///
/// # Errors
/// [`CourseError`] when a cell cannot be followed.
pub fn what_runs(network: &Network, widest: Diameter) -> Result<RunMap, CourseError> {
    const ROWS: u32 = 40;
    const COLUMNS: u32 = 60;
    let full = network.full().to_base();
    let pressures = (1..=ROWS).map(|row| GaugePressure::clamped(full * f64::from(row) / f64::from(ROWS)));
    let (from, to) = (0.6e-3, widest.to_base().max(4e-3) * 1.5);
    let bore = |at: u32| Diameter::clamped(from + (to - from) * f64::from(at) / f64::from(COLUMNS - 1));
    let bores: Vec<Diameter> = (0..COLUMNS).map(bore).collect();
    let station = network.stations().next().unwrap_or_default();
    network.map(station, &pressures.collect::<Vec<_>>(), &bores, MAP_HORIZON)
}

/// The widest bore that a shop has.
#[must_use]
pub fn widest(shop: &Shop) -> Diameter {
    Diameter::clamped(shop.nozzles.iter().map(|nozzle| nozzle.bore.to_base()).fold(0.0, f64::max))
}

/// What each compressor's plate looks like against its power.
#[must_use]
pub fn plates<'a>(shop: &'a Shop, network: &Network) -> Vec<(&'a ShopCompressor, PlateCheck)> {
    let check = |compressor: &'a ShopCompressor| {
        (compressor, check_plate(compressor.free_air, compressor.power, compressor.cut_out, network.site()))
    };
    shop.compressors.iter().map(check).collect()
}

/// Something that the line was checked for.
#[derive(Debug, Clone, PartialEq)]
pub enum LineFinding {
    /// A station's pressure, from full receivers with all stations blasting.
    Holds {
        /// Until it is lost; `None` when it never is.
        longest: Option<Time>,
        /// Whether each station's own times on and off lose it.
        lost: bool,
    },
    /// A compressor's share of the time against its duty limit.
    Duty {
        /// Its name.
        compressor: String,
        /// What it runs.
        runs: Fraction,
        /// What it may.
        may: Fraction,
    },
    /// A compressor's plate against its power.
    Plate {
        /// Its name.
        compressor: String,
        /// What was found.
        plate: PlateCheck,
    },
    /// Water at a station.
    Water {
        /// Its place in the answer's list.
        station: usize,
        /// The worst to be feared.
        clog: Clogging,
    },
    /// A part that may bring oil.
    Oil {
        /// Its place in the answer's list.
        risk: usize,
    },
}

impl LineAnswer {
    /// Everything that was checked, worst first.
    #[must_use]
    pub fn findings(&self, shop: &Shop) -> Vec<(State, LineFinding)> {
        let lost = self.course.stations.iter().any(|station| station.lost.to_seconds() > 0.5);
        let holds = LineFinding::Holds { longest: self.longest_blast, lost };
        let mut findings = vec![(if lost { State::Stop } else { State::Holds }, holds)];
        findings.extend(self.duties(shop));
        findings.extend(plates(shop, &self.network).into_iter().map(|(compressor, plate)| {
            let state = if plate.stated == StatedFlow::Plausible { State::Holds } else { State::Watch };
            (state, LineFinding::Plate { compressor: compressor.name.clone(), plate })
        }));
        findings.extend(self.damp.stations.iter().enumerate().map(|(station, damp)| {
            let state = match damp.clog {
                Clogging::Dry | Clogging::FogInJet => State::Holds,
                Clogging::NearlyWet => State::Watch,
                Clogging::Wet | Clogging::IceInRegulator => State::Stop,
            };
            (state, LineFinding::Water { station, clog: damp.clog })
        }));
        findings.extend((0..self.damp.oil.len()).map(|risk| (State::Watch, LineFinding::Oil { risk })));
        findings.sort_by_key(|(state, _)| std::cmp::Reverse(*state));
        findings
    }

    fn duties(&self, shop: &Shop) -> Vec<(State, LineFinding)> {
        let names: Vec<&str> = self.network.compressors().collect();
        let each = names.iter().zip(&self.course.machines);
        each.filter_map(|(name, machine)| {
            let compressor = shop.compressors.iter().find(|compressor| compressor.name == *name)?;
            let state = if machine.warmest > 1.0 { State::Watch } else { State::Holds };
            Some((
                state,
                LineFinding::Duty { compressor: (*name).to_owned(), runs: machine.share, may: compressor.duty },
            ))
        })
        .collect()
    }
}
