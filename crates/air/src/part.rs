//! The parts that a network is made of.

use crate::{Conductance, Discharge, Hose, Loading, Machine, Regulator};
use language::say;
use quantity::{Diameter, Fraction, GaugePressure, Length, Temperature, Volume, known};

/// One part by its name, and what it blows into.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// What the shop calls it; every name once.
    pub name: String,
    /// Names of the parts that its air goes to; empty for a nozzle or gun.
    pub feeds: Vec<String>,
    /// What it is.
    pub kind: PartKind,
}

impl Part {
    /// A part that feeds one other.
    #[must_use]
    pub fn new(name: &str, feeds: &str, kind: PartKind) -> Self {
        Self { name: name.to_owned(), feeds: vec![feeds.to_owned()], kind }
    }

    /// A nozzle or gun, which feeds nothing.
    #[must_use]
    pub fn last(name: &str, kind: PartKind) -> Self {
        Self { name: name.to_owned(), feeds: Vec::new(), kind }
    }
}

/// What a part is.
#[derive(Debug, Clone, PartialEq)]
pub enum PartKind {
    /// A compressor.
    Compressor(Machine),
    /// A cooler between compressor and receiver.
    Aftercooler(Cooler),
    /// A receiver.
    Receiver(Vessel),
    /// Rigid pipe.
    Pipe(Hose),
    /// A hose.
    Hose(Hose),
    /// A coupling, tee or reducer by its ISO 6358 numbers.
    Fitting(Conductance),
    /// A dryer.
    Dryer(Dryer),
    /// A water separator.
    Separator(Trap),
    /// A filter.
    Filter(Trap),
    /// A pressure regulator: one before every nozzle.
    Regulator(Regulator),
    /// The blast valve.
    Valve(Conductance),
    /// A pressure pot: abrasive joins the air behind it.
    Pot(Pot),
    /// A nozzle behind a pot, or one with clean air.
    Nozzle(Tip),
    /// A suction gun: its air jet sets the demand, and no abrasive passes through that.
    Gun(Tip),
}

impl PartKind {
    /// The trade's word for it.
    #[must_use]
    pub fn word(&self) -> &'static str {
        match self {
            Self::Compressor(_) => say!(in "a part of the air line", "compressor"),
            Self::Aftercooler(_) => say!(in "a part of the air line", "aftercooler"),
            Self::Receiver(_) => say!(in "a part of the air line", "receiver"),
            Self::Pipe(_) => say!(in "a part of the air line", "pipe"),
            Self::Hose(_) => say!(in "a part of the air line", "hose"),
            Self::Fitting(_) => say!(in "a part of the air line", "fitting"),
            Self::Dryer(_) => say!(in "a part of the air line", "dryer"),
            Self::Separator(_) => say!(in "a part of the air line", "separator"),
            Self::Filter(_) => say!(in "a part of the air line", "filter"),
            Self::Regulator(_) => say!(in "a part of the air line", "regulator"),
            Self::Valve(_) => say!(in "a part of the air line", "valve"),
            Self::Pot(_) => say!(in "a part of the air line", "pot"),
            Self::Nozzle(_) => say!(in "a part of the air line", "nozzle"),
            Self::Gun(_) => say!(in "a part of the air line", "gun"),
        }
    }
}

/// An aftercooler.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cooler {
    /// How far above the room's temperature its air leaves, K, 0 to 60. 10 is usual (common practice,
    /// no source).
    pub approach_k: f64,
    /// Loss of pressure.
    pub passes: Conductance,
    /// Share of the drops that its trap catches; 0 without a trap.
    pub catches: Fraction,
}

/// A receiver.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vessel {
    /// Volume.
    pub volume: Volume,
    /// Heat through its wall for each kelvin, W/K. `None`: 8 W/(m² K) on the surface of an upright
    /// tank three times as high as wide.
    pub heat_loss_w_per_k: Option<f64>,
    /// Every leak that is always under pressure, as the bore of one sharp hole; see [`crate::leak`].
    pub leak: Option<Diameter>,
}

/// Heat transfer through the wall of a tank in still air, W/(m² K). Usual textbook size for natural
/// convection with radiation (from memory); a fan doubles it.
const WALL_W_PER_M2_K: f64 = 8.0;

impl Vessel {
    /// A receiver of a volume, its wall estimated.
    #[must_use]
    pub const fn of(volume: Volume) -> Self {
        Self { volume, heat_loss_w_per_k: None, leak: None }
    }

    /// Heat through its wall, W/K.
    ///
    /// Estimated: surface of a cylinder with `h = 3 d`: `7/2 π d²`, `d³ = 4 V/(3 π)`.
    #[must_use]
    pub fn wall_w_per_k(&self) -> f64 {
        self.heat_loss_w_per_k.unwrap_or_else(|| {
            let width = (4.0 * self.volume.to_cubic_metres() / (3.0 * std::f64::consts::PI)).cbrt();
            WALL_W_PER_M2_K * 3.5 * std::f64::consts::PI * width * width
        })
    }
}

/// A dryer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Dryer {
    /// Pressure dew point that it leaves: 3 °C for a refrigerated one, -20 to -40 °C for desiccant
    /// (common practice, no source).
    pub dew_point: Temperature,
    /// Share of the air going in that it blows off to regenerate itself, below 50 %.
    pub purge: Fraction,
    /// Loss of pressure.
    pub passes: Conductance,
}

/// A separator or filter with a bowl.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trap {
    /// Loss of pressure.
    pub passes: Conductance,
    /// Share of the drops that it catches.
    pub catches: Fraction,
    /// What its bowl holds before it must be drained.
    pub bowl: Volume,
}

/// A pressure pot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pot {
    /// Loss of pressure of its pipework, air alone.
    pub passes: Conductance,
    /// Abrasive mass for each mass of air behind it.
    pub loading: Loading,
}

/// The narrowest bore at the end of a station.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tip {
    /// Its bore when new; of a gun, that of the air jet.
    pub bore: Diameter,
    /// What wear has added to the bore.
    pub worn: Length,
    /// Discharge coefficient with clean air.
    pub discharge: Discharge,
    /// Receiver pressure below which the station is shut off, where it has such a switch.
    pub trips_below: Option<GaugePressure>,
}

impl Tip {
    /// A new one of a bore, without a low-pressure switch.
    #[must_use]
    pub fn new(bore: Diameter, discharge: Discharge) -> Self {
        Self { bore, worn: known(Length::metres(0.0)), discharge, trips_below: None }
    }
}
