//! A shop's air as named parts that feed one another, checked and resolved.

use crate::numbers;
use crate::part::{Part, PartKind, Pot, Tip, Vessel};
use crate::plant::Plant;
use crate::tree::{Source, Tree, Twig, TwigEnd};
use crate::{AirLine, Conductance, Site};
use language::{number, say};
use quantity::{Diameter, GaugePressure};

/// A whole line: compressors, coolers, one or two receivers in a row, dryers, pipes, and one or more
/// stations with a regulator and a nozzle each. Made by [`Network::new`], so that it can be computed.
#[derive(Debug, Clone)]
pub struct Network {
    site: Site,
    parts: Vec<Part>,
    pub(crate) plant: Plant,
}

impl Network {
    /// The network of some parts at a site.
    ///
    /// The shape allowed: compressors, each through coolers, separators, dryers or pipes, into one
    /// receiver; from it perhaps through parts into a second receiver; from the last receiver a tree
    /// of parts that ends in nozzles or guns, with exactly one regulator on the way to each.
    ///
    /// # Errors
    /// The first [`NetworkError`] found, with the part's name.
    pub fn new(site: Site, parts: Vec<Part>) -> Result<Self, NetworkError> {
        numbers::check(&parts)?;
        let tree = Tree::of(&parts)?;
        let plant = Plant::of(&site, &parts, &tree);
        numbers::check_settings(&parts, &plant)?;
        Ok(Self { site, parts, plant })
    }

    /// The air around.
    #[must_use]
    pub const fn site(&self) -> &Site {
        &self.site
    }

    /// Its parts, in the order given.
    #[must_use]
    pub fn parts(&self) -> &[Part] {
        &self.parts
    }

    /// Names of the stations, each that of its nozzle or gun, in the order given.
    pub fn stations(&self) -> impl Iterator<Item = &str> {
        self.plant.stations.iter().map(|station| self.parts[station.tip].name.as_str())
    }

    /// Names of the compressors, in the order given.
    pub fn compressors(&self) -> impl Iterator<Item = &str> {
        self.plant.machines.iter().map(|machine| self.parts[machine.part].name.as_str())
    }

    /// Names of the receivers, in the air's order.
    pub fn receivers(&self) -> impl Iterator<Item = &str> {
        self.plant.tanks.iter().map(|tank| self.parts[tank.part].name.as_str())
    }

    /// The same network with parts changed by a function, checked anew.
    ///
    /// # Errors
    /// Those of [`Network::new`].
    pub fn changed(&self, change: impl FnMut(&mut Part)) -> Result<Self, NetworkError> {
        let mut parts = self.parts.clone();
        parts.iter_mut().for_each(change);
        Self::new(self.site, parts)
    }

    /// The same network with one station's setting and bore replaced: for maps. The parts keep theirs.
    pub(crate) fn with_station(&self, number: usize, set: GaugePressure, bore: Diameter) -> Self {
        let mut network = self.clone();
        network.plant.stations[number] = self.plant.stations[number].changed(&self.parts, set, bore);
        network
    }

    /// Highest cut-out of the compressors that are switched on: a full receiver.
    #[must_use]
    pub fn full(&self) -> GaugePressure {
        self.plant.gauge(self.plant.full())
    }
}

/// A line of one station as a network: its parts are called `compressor 1` and so on, `receiver`,
/// `regulator`, `hose`, `pot` and `nozzle`.
impl TryFrom<&AirLine> for Network {
    type Error = NetworkError;

    fn try_from(line: &AirLine) -> Result<Self, NetworkError> {
        Self::new(line.site, parts_of(line))
    }
}

impl Network {
    /// A line of one station whose faults [`crate::LineError`] tells: here only its shape counts.
    pub(crate) fn of_line(line: &AirLine) -> Self {
        let parts = parts_of(line);
        let last = parts.len();
        let sources = (0..line.compressors.len()).map(|machine| Source { machine, path: Vec::new() }).collect();
        let end = TwigEnd::Station { regulator: last - 4, after: vec![last - 3, last - 2], tip: last - 1 };
        let outlet = Twig { parts: Vec::new(), end };
        let tree = Tree { sources, receivers: vec![last - 5], link: Vec::new(), outlet };
        let plant = Plant::of(&line.site, &parts, &tree);
        Self { site: line.site, parts, plant }
    }
}

fn parts_of(line: &AirLine) -> Vec<Part> {
    let compressors = line.compressors.iter().enumerate().map(|(index, compressor)| {
        let name = format!("compressor {}", index + 1);
        Part::new(&name, "receiver", PartKind::Compressor(compressor.into()))
    });
    let tip = Tip::new(line.nozzle.bore, line.nozzle.discharge);
    let pot = Pot { passes: Conductance::WIDE, loading: line.nozzle.loading };
    let rest = [
        Part::new("receiver", "regulator", PartKind::Receiver(Vessel::of(line.receiver))),
        Part::new("regulator", "hose", PartKind::Regulator(line.regulator)),
        Part::new("hose", "pot", PartKind::Hose(line.hose)),
        Part::new("pot", "nozzle", PartKind::Pot(pot)),
        Part::last("nozzle", PartKind::Nozzle(tip)),
    ];
    compressors.chain(rest).collect()
}

/// Why parts make no line that air can flow through.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum NetworkError {
    /// A part without a name.
    #[error("{}", say!("part {number} has no name; give every part one"))]
    NoName {
        /// Which, from 1.
        number: usize,
    },
    /// Two parts of one name.
    #[error("{}", say!("\"{name}\": two parts are called so; give each its own name"))]
    SameName {
        /// The name.
        name: String,
    },
    /// A part feeds one that is not there.
    #[error("{}", say!("\"{part}\" feeds \"{feeds}\", which is not there; the parts are {known}"))]
    UnknownFeed {
        /// The part.
        part: String,
        /// What it should feed.
        feeds: String,
        /// Names there are.
        known: String,
    },
    /// Parts that feed themselves.
    #[error("{}", say!("the parts feed themselves in a loop: {through}; cut it at one of them"))]
    Loop {
        /// The names around the loop.
        through: String,
    },
    /// Nothing feeds a part.
    #[error("{}", say!("\"{part}\" ({word}): nothing feeds it; let a part feed it, or remove it"))]
    Orphan {
        /// The part.
        part: String,
        /// What it is.
        word: &'static str,
    },
    /// Two parts feed one inlet.
    #[error(
        "{}",
        say!(
            "\"{part}\": both \"{first}\" and \"{second}\" feed its inlet; only compressors may join, before a \
             receiver"
        )
    )]
    TwoFeeds {
        /// The part.
        part: String,
        /// One that feeds it.
        first: String,
        /// Another.
        second: String,
    },
    /// A branch that ends without a nozzle.
    #[error("{}", say!("\"{part}\" ({word}) feeds nothing: this station has no nozzle; put a nozzle or gun behind it"))]
    NoNozzle {
        /// The last part.
        part: String,
        /// What it is.
        word: &'static str,
    },
    /// A nozzle that feeds something.
    #[error("{}", say!("\"{part}\": a nozzle blows into the open and feeds nothing; remove what it feeds"))]
    NozzleFeeds {
        /// The nozzle.
        part: String,
    },
    /// No compressor.
    #[error("{}", say!("there is no compressor; add one"))]
    NoCompressor,
    /// None is switched on.
    #[error("{}", say!("\"{part}\": every compressor is switched off; switch one on"))]
    AllOff {
        /// The first compressor.
        part: String,
    },
    /// No receiver.
    #[error("{}", say!("\"{part}\" (compressor): no receiver is behind it; add one"))]
    NoReceiver {
        /// The compressor.
        part: String,
    },
    /// Compressors that fill different receivers.
    #[error(
        "{}",
        say!("\"{part}\": another compressor fills \"{other}\" first; let all of them fill the same receiver")
    )]
    TwoSupplies {
        /// One receiver.
        part: String,
        /// The other.
        other: String,
    },
    /// More than two receivers in a row, or one in a branch.
    #[error(
        "{}",
        say!("\"{part}\": only two receivers in a row can be computed, before the line splits; join their volumes")
    )]
    ReceiverOutOfPlace {
        /// The receiver.
        part: String,
    },
    /// The line splits too early.
    #[error("{}", say!("\"{part}\" ({word}) feeds several parts before the last receiver; let it feed one"))]
    SplitTooEarly {
        /// Where.
        part: String,
        /// What it is.
        word: &'static str,
    },
    /// A part where it makes no sense.
    #[error("{}", say!("\"{part}\": a {word} does not belong {place}; move it"))]
    OutOfPlace {
        /// The part.
        part: String,
        /// What it is.
        word: &'static str,
        /// Where it is.
        place: &'static str,
    },
    /// No regulator on the way to a nozzle.
    #[error("{}", say!("\"{station}\": no regulator is on the way to it; put one between receiver and hose"))]
    NoRegulator {
        /// The nozzle.
        station: String,
    },
    /// Two regulators on the way to a nozzle, or one for several nozzles.
    #[error("{}", say!("\"{part}\": {fault}; give each station exactly one regulator of its own"))]
    RegulatorShared {
        /// The regulator.
        part: String,
        /// What is wrong.
        fault: &'static str,
    },
    /// A bore of next to nothing.
    #[error("{}", say!("\"{part}\" ({word}): a bore of {bore} passes no air; give its inside diameter"))]
    NoBore {
        /// The part.
        part: String,
        /// What it is.
        word: &'static str,
        /// Its bore.
        bore: Diameter,
    },
    /// A hose or pipe of no length.
    #[error("{}", say!("\"{part}\" ({word}): it has no length; give it"))]
    NoLength {
        /// The part.
        part: String,
        /// What it is.
        word: &'static str,
    },
    /// A receiver without volume.
    #[error("{}", say!("\"{part}\" (receiver): its volume is 0; give the volume on its plate"))]
    NoVolume {
        /// The receiver.
        part: String,
    },
    /// A compressor that delivers nothing at its cut-out.
    #[error(
        "{}",
        say!(
            "\"{part}\" (compressor): it delivers no air at its cut-out of {cut_out}; give its free air delivered \
             there"
        )
    )]
    NoDelivery {
        /// The compressor.
        part: String,
        /// Where it stops.
        cut_out: GaugePressure,
    },
    /// A pressure switch that contradicts itself.
    #[error(
        "{}",
        say!("\"{part}\" (compressor): it cuts in at {cut_in} and out at {cut_out}; cut-out must be the higher")
    )]
    CutInAboveCutOut {
        /// The compressor.
        part: String,
        /// Where it starts.
        cut_in: GaugePressure,
        /// Where it stops.
        cut_out: GaugePressure,
    },
    /// A cut-in below the atmosphere.
    #[error("{}", say!("\"{part}\" (compressor): a cut-in of {cut_in} is never reached; set it above 0"))]
    CutInTooLow {
        /// The compressor.
        part: String,
        /// Where it starts.
        cut_in: GaugePressure,
    },
    /// A compressor that may never run.
    #[error(
        "{}",
        say!("\"{part}\" (compressor): a duty of 0 % lets it never run; give the share of time on its plate")
    )]
    NoDuty {
        /// The compressor.
        part: String,
    },
    /// A regulator that is closed.
    #[error("{}", say!("\"{part}\" (regulator): set to {set} it passes no air; set it above 0"))]
    NoPressureSet {
        /// The regulator.
        part: String,
        /// What it is set to.
        set: GaugePressure,
    },
    /// A regulator set above what the receiver ever has.
    #[error(
        "{}",
        say!("\"{part}\" (regulator): set to {set}, but the receiver is full at {full}; set less, or raise the cut-out")
    )]
    SetAboveReceiver {
        /// The regulator.
        part: String,
        /// What it is set to.
        set: GaugePressure,
        /// Highest cut-out.
        full: GaugePressure,
    },
    /// A number of a part outside its range.
    #[error(
        "{}",
        say!(
            "\"{part}\" ({word}): {what} of {given} is outside {least} to {most}; correct it",
            given = number(given.to_string()),
            least = number(least.to_string()),
            most = number(most.to_string())
        )
    )]
    OutOfRange {
        /// The part.
        part: String,
        /// What it is.
        word: &'static str,
        /// Which number.
        what: &'static str,
        /// What was given.
        given: f64,
        /// Least allowed.
        least: f64,
        /// Greatest allowed.
        most: f64,
    },
    /// More parts than anybody's shop has.
    #[error("{}", say!("{given} parts are more than the {most} that a line may have; describe one line at a time"))]
    TooManyParts {
        /// How many.
        given: usize,
        /// Most.
        most: usize,
    },
    /// More stations than can be computed at once.
    #[error("{}", say!("{given} stations are more than the {most} that can be computed at once; split the shop"))]
    TooManyStations {
        /// How many.
        given: usize,
        /// Most.
        most: usize,
    },
}

impl NetworkError {
    /// The part that the fault is at, where there is one.
    #[must_use]
    pub fn part(&self) -> Option<&str> {
        match self {
            Self::SameName { name: part }
            | Self::UnknownFeed { part, .. }
            | Self::Loop { through: part }
            | Self::Orphan { part, .. }
            | Self::TwoFeeds { part, .. }
            | Self::NoNozzle { part, .. }
            | Self::NozzleFeeds { part }
            | Self::AllOff { part }
            | Self::NoReceiver { part }
            | Self::TwoSupplies { part, .. }
            | Self::ReceiverOutOfPlace { part }
            | Self::SplitTooEarly { part, .. }
            | Self::OutOfPlace { part, .. }
            | Self::NoRegulator { station: part }
            | Self::RegulatorShared { part, .. }
            | Self::NoBore { part, .. }
            | Self::NoLength { part, .. }
            | Self::NoVolume { part }
            | Self::NoDelivery { part, .. }
            | Self::CutInAboveCutOut { part, .. }
            | Self::CutInTooLow { part, .. }
            | Self::NoDuty { part }
            | Self::NoPressureSet { part, .. }
            | Self::SetAboveReceiver { part, .. }
            | Self::OutOfRange { part, .. } => Some(part),
            Self::NoName { .. } | Self::NoCompressor | Self::TooManyParts { .. } | Self::TooManyStations { .. } => None,
        }
    }
}
