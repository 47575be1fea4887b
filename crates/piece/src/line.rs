//! The air line's further parts and stations as values.

use crate::line_file::{LinePart, LinePartKind, StationPart};
use crate::piece::{unknown, unless};
use crate::reader::{Complaint, Fault, Read};
use crate::shop::{ShopHose, ShopRegulator};
use crate::shop_file::ShopFile;
use language::say;
use quantity::{Fraction, GaugePressure, Temperature, Time, Volume, known};

/// A part of the line between the usual ones.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopPart {
    /// What the shop calls it.
    pub name: String,
    /// The part whose air it takes.
    pub after: String,
    /// What it is.
    pub kind: ShopPartKind,
}

/// What a part is, with its numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ShopPartKind {
    /// A cooler: kelvins above the room that are left, and the share of drops caught.
    Aftercooler(ShopPassage, f64, Fraction),
    /// A second receiver.
    Receiver(Volume),
    /// Rigid pipe.
    Pipe(ShopHose),
    /// A hose.
    Hose(ShopHose),
    /// A coupling, tee or reducer.
    Fitting(ShopPassage),
    /// A dryer: the pressure dew point it leaves, and the share of its air that it blows off.
    Dryer(ShopPassage, Temperature, Fraction),
    /// A separator.
    Separator(ShopPassage, ShopBowl),
    /// A filter.
    Filter(ShopPassage, ShopBowl),
    /// A blast valve.
    Valve(ShopPassage),
}

/// How a part lets air pass, by ISO 6358.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShopPassage {
    /// Sonic conductance, dm³/(s bar).
    pub conductance_dm3_s_bar: f64,
    /// Critical pressure ratio.
    pub critical_ratio: f64,
}

/// What a separator or filter catches and holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShopBowl {
    /// Share of the drops.
    pub catches: Fraction,
    /// Until it must be drained.
    pub holds: Volume,
}

/// A place where somebody blasts.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopStation {
    /// What the shop calls it.
    pub name: String,
    /// Name of the nozzle on it; one of the shop's.
    pub nozzle: String,
    /// Regulator setting.
    pub pressure: GaugePressure,
    /// Blasting at a time, above zero.
    pub on: Time,
    /// Resting in between.
    pub off: Time,
    /// A suction gun.
    pub gun: bool,
    /// Before its hose.
    pub regulator: ShopRegulator,
    /// To its nozzle.
    pub hose: ShopHose,
    /// Mass of abrasive for each mass of air.
    pub loading: f64,
}

/// Usual numbers where the file is silent. All are common practice, no source.
mod usual {
    use super::{Fraction, Temperature, Volume, known};

    /// A 1/2 in separator or filter, dm³/(s bar).
    pub(super) const CONDUCTANCE: f64 = 18.0;
    pub(super) const CRITICAL_RATIO: f64 = 0.3;
    pub(super) const FITTINGS_K: f64 = 2.0;
    pub(super) const CATCHES: Fraction = known(Fraction::percent(90.0));
    pub(super) const BOWL: Volume = known(Volume::litres(0.1));
    pub(super) const APPROACH_K: f64 = 10.0;
    pub(super) const DEW_POINT: Temperature = known(Temperature::celsius(3.0));
    pub(super) const PURGE: Fraction = known(Fraction::percent(0.0));
}

/// A key that some kinds of part have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Key {
    Bore,
    Length,
    FittingsK,
    Volume,
    Conductance,
    CriticalRatio,
    Catches,
    Bowl,
    Approach,
    DewPoint,
    Purge,
}

impl Key {
    const ALL: [Self; 11] = [
        Self::Bore,
        Self::Length,
        Self::FittingsK,
        Self::Volume,
        Self::Conductance,
        Self::CriticalRatio,
        Self::Catches,
        Self::Bowl,
        Self::Approach,
        Self::DewPoint,
        Self::Purge,
    ];

    const fn written(self) -> &'static str {
        match self {
            Self::Bore => "bore",
            Self::Length => "length",
            Self::FittingsK => "fittings_k",
            Self::Volume => "volume",
            Self::Conductance => "conductance_dm3_s_bar",
            Self::CriticalRatio => "critical_ratio",
            Self::Catches => "catches",
            Self::Bowl => "bowl",
            Self::Approach => "approach_k",
            Self::DewPoint => "dew_point",
            Self::Purge => "purge",
        }
    }

    const fn given(self, part: &LinePart) -> bool {
        match self {
            Self::Bore => part.bore.is_some(),
            Self::Length => part.length.is_some(),
            Self::FittingsK => part.fittings_k.is_some(),
            Self::Volume => part.volume.is_some(),
            Self::Conductance => part.conductance_dm3_s_bar.is_some(),
            Self::CriticalRatio => part.critical_ratio.is_some(),
            Self::Catches => part.catches.is_some(),
            Self::Bowl => part.bowl.is_some(),
            Self::Approach => part.approach_k.is_some(),
            Self::DewPoint => part.dew_point.is_some(),
            Self::Purge => part.purge.is_some(),
        }
    }

    /// Keys that a kind must have, and keys that it may have.
    const fn of(kind: LinePartKind) -> (&'static [Self], &'static [Self]) {
        const PASSAGE: &[Key] = &[Key::Conductance, Key::CriticalRatio];
        const TRAP: &[Key] = &[Key::Conductance, Key::CriticalRatio, Key::Catches, Key::Bowl];
        match kind {
            LinePartKind::Aftercooler => {
                (&[], &[Self::Conductance, Self::CriticalRatio, Self::Catches, Self::Approach])
            }
            LinePartKind::Receiver => (&[Self::Volume], &[]),
            LinePartKind::Pipe | LinePartKind::Hose => (&[Self::Bore, Self::Length], &[Self::FittingsK]),
            LinePartKind::Fitting | LinePartKind::Valve => (&[Self::Conductance], PASSAGE),
            LinePartKind::Dryer => (&[], &[Self::Conductance, Self::CriticalRatio, Self::DewPoint, Self::Purge]),
            LinePartKind::Separator | LinePartKind::Filter => (&[], TRAP),
        }
    }
}

/// Parts as values.
///
/// # Errors
/// Complaints about a key that a part lacks, and about one that its kind does not have.
pub(crate) fn parts(read: &Read<ShopFile>) -> Result<Vec<ShopPart>, Vec<Complaint>> {
    let mut complaints = Vec::new();
    for (index, part) in read.value.part.iter().enumerate() {
        let at = format!("part[{}]", index + 1);
        complaints.extend(misplaced(read, index, part));
        let (needed, allowed) = Key::of(part.kind);
        for key in Key::ALL {
            let place = format!("{at}.{}", key.written());
            if !key.given(part) && needed.contains(&key) {
                complaints.push(read.complain(&at, lacking(key)));
            } else if key.given(part) && !needed.contains(&key) && !allowed.contains(&key) {
                complaints.push(read.complain(&place, foreign(key)));
            }
        }
    }
    unless(complaints, read.value.part.iter().filter_map(part).collect())
}

/// Names of the usual parts, which others come after.
const USUAL: [&str; 4] = ["compressors", "receiver", "regulator", "hose"];

/// Faults of a part's name and place.
fn misplaced(read: &Read<ShopFile>, index: usize, part: &LinePart) -> Vec<Complaint> {
    let mut complaints = Vec::new();
    let earlier = read.value.part[..index].iter().map(|earlier| earlier.name.as_str());
    let taken = USUAL.into_iter().chain(["pot", "nozzle"]).chain(earlier);
    if taken.into_iter().any(|name| name == part.name) {
        let why = say!("another part of the line has this name, and parts are placed by it");
        let fault = Fault::Impossible { given: part.name.clone(), why, mend: say!("give each part its own name") };
        complaints.push(read.complain(&format!("part[{}].name", index + 1), fault));
    }
    let known: Vec<String> =
        USUAL.map(str::to_owned).into_iter().chain(read.value.part.iter().map(|part| part.name.clone())).collect();
    if !known.contains(&part.after) {
        let fault = unknown(say!("part of the line"), &part.after, known);
        complaints.push(read.complain(&format!("part[{}].after", index + 1), fault));
    }
    complaints
}

fn lacking(key: Key) -> Fault {
    let why = match key {
        Key::Bore | Key::Length => say!("a pipe or hose has a bore and a length"),
        Key::Volume => say!("a receiver has a volume"),
        _ => say!("a fitting or valve is known by its conductance"),
    };
    Fault::Impossible { given: say!("no {}", key.written()), why, mend: say!("write it from its plate or data sheet") }
}

fn foreign(key: Key) -> Fault {
    let why = say!("a part of this kind has none");
    Fault::Impossible {
        given: say!("a {} here", key.written()),
        why,
        mend: say!("take the line away, or change the kind"),
    }
}

/// `None` when a key is missing, which was complained about.
fn part(part: &LinePart) -> Option<ShopPart> {
    let passage = ShopPassage {
        conductance_dm3_s_bar: part.conductance_dm3_s_bar.unwrap_or(usual::CONDUCTANCE),
        critical_ratio: part.critical_ratio.unwrap_or(usual::CRITICAL_RATIO),
    };
    let catches = part.catches.unwrap_or(usual::CATCHES);
    let bowl = ShopBowl { catches, holds: part.bowl.unwrap_or(usual::BOWL) };
    let run = || {
        Some(ShopHose {
            bore: part.bore?,
            length: part.length?,
            fittings_k: part.fittings_k.unwrap_or(usual::FITTINGS_K),
        })
    };
    let kind = match part.kind {
        LinePartKind::Aftercooler => {
            ShopPartKind::Aftercooler(passage, part.approach_k.unwrap_or(usual::APPROACH_K), catches)
        }
        LinePartKind::Receiver => ShopPartKind::Receiver(part.volume?),
        LinePartKind::Pipe => ShopPartKind::Pipe(run()?),
        LinePartKind::Hose => ShopPartKind::Hose(run()?),
        LinePartKind::Fitting => ShopPartKind::Fitting(passage),
        LinePartKind::Dryer => {
            ShopPartKind::Dryer(passage, part.dew_point.unwrap_or(usual::DEW_POINT), part.purge.unwrap_or(usual::PURGE))
        }
        LinePartKind::Separator => ShopPartKind::Separator(passage, bowl),
        LinePartKind::Filter => ShopPartKind::Filter(passage, bowl),
        LinePartKind::Valve => ShopPartKind::Valve(passage),
    };
    Some(ShopPart { name: part.name.clone(), after: part.after.clone(), kind })
}

/// Stations as values; empty when the file names none.
///
/// # Errors
/// Complaints about a nozzle that the shop does not have and about times of nothing.
pub(crate) fn stations(read: &Read<ShopFile>) -> Result<Vec<ShopStation>, Vec<Complaint>> {
    let mut complaints = Vec::new();
    for (index, station) in read.value.station.iter().enumerate() {
        let at = format!("station[{}]", index + 1);
        if !read.value.nozzle.iter().any(|nozzle| nozzle.name == station.nozzle) {
            let names = read.value.nozzle.iter().map(|nozzle| nozzle.name.clone()).collect();
            let fault = unknown(say!("nozzle of this shop"), &station.nozzle, names);
            complaints.push(read.complain(&format!("{at}.nozzle"), fault));
        }
        if station.on.to_seconds() <= 0.0 {
            let why = say!("a station blasts for some time");
            let fault =
                Fault::Impossible { given: "0s".to_owned(), why, mend: say!("give how long it blasts at a time") };
            complaints.push(read.complain(&format!("{at}.on"), fault));
        }
    }
    let file = &read.value;
    unless(complaints, file.station.iter().map(|station| self::station(station, file)).collect())
}

fn station(station: &StationPart, file: &ShopFile) -> ShopStation {
    ShopStation {
        name: station.name.clone(),
        nozzle: station.nozzle.clone(),
        pressure: station.pressure,
        on: station.on,
        off: station.off,
        gun: station.gun,
        regulator: ShopRegulator::of(station.regulator.as_ref().unwrap_or(&file.regulator)),
        hose: ShopHose::of(station.hose.as_ref().unwrap_or(&file.hose)),
        loading: station.pot.as_ref().unwrap_or(&file.pot).loading,
    }
}
