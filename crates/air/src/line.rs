//! Receiver, regulator, hose and nozzle in a row, balanced at one receiver pressure.

use crate::chain::{Chain, Point};
use crate::{Compressor, Discharge, Hose, Loading, Regulator, Site};
use language::say;
use quantity::{Diameter, GaugePressure, MassRate, Quantity, Time, Volume};

/// Everything that air meets from the compressor's inlet to the nozzle.
#[derive(Debug, Clone, PartialEq)]
pub struct AirLine {
    /// The air around.
    pub site: Site,
    /// Compressors in parallel, at least one.
    pub compressors: Vec<Compressor>,
    /// Volume of all receivers together.
    pub receiver: Volume,
    /// The regulator behind the receiver.
    pub regulator: Regulator,
    /// The hose behind the regulator.
    pub hose: Hose,
    /// The nozzle at its end.
    pub nozzle: Nozzle,
}

/// The nozzle at the end of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nozzle {
    /// Its bore today; for a suction gun that of the air jet.
    pub bore: Diameter,
    /// Discharge coefficient with clean air.
    pub discharge: Discharge,
    /// Abrasive in the stream; [`Loading::NONE`] for a suction gun.
    pub loading: Loading,
}

/// Why a line cannot be computed, or cannot hold its pressure.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LineError {
    /// The nozzle would draw more than the hose can ever pass.
    #[error(
        "{}",
        say!("air line, hose: a {hose} hose is too small for a {nozzle} nozzle: it chokes; fit a wider hose")
    )]
    HoseTooSmall {
        /// The hose's bore.
        hose: Diameter,
        /// The nozzle's bore.
        nozzle: Diameter,
    },
    /// The regulator is closed.
    #[error("{}", say!("air line, regulator: set to {set} it passes no air; set it above 0"))]
    NoPressureSet {
        /// What it is set to.
        set: GaugePressure,
    },
    /// Nothing fills the receiver.
    #[error("{}", say!("air line: there is no compressor; add one"))]
    NoCompressor,
    /// A receiver without volume.
    #[error("{}", say!("air line, receiver: its volume is 0; give the volume on its plate"))]
    NoReceiver,
    /// A pressure switch that contradicts itself.
    #[error(
        "{}",
        say!("air line, compressor {number}: it cuts in at {cut_in} and out at {cut_out}; cut-out must be the higher")
    )]
    CutInAboveCutOut {
        /// Which compressor, from 1.
        number: usize,
        /// Where it starts.
        cut_in: GaugePressure,
        /// Where it stops.
        cut_out: GaugePressure,
    },
    /// Even a full receiver is not enough.
    #[error(
        "{}",
        say!(
            "air line, regulator: holding {set} needs {needs} in the receiver, which is full at {full}; set less, or \
             fit a larger regulator or a smaller nozzle"
        )
    )]
    NeverHolds {
        /// What the regulator is set to.
        set: GaugePressure,
        /// Receiver pressure needed.
        needs: GaugePressure,
        /// Highest cut-out.
        full: GaugePressure,
    },
    /// No compressor starts before the regulator loses its pressure.
    #[error(
        "{}",
        say!(
            "air line, compressor: the regulator needs {needs} in the receiver, but the compressor starts only at \
             {cut_in}; raise the cut-in or set less pressure"
        )
    )]
    CutInTooLow {
        /// Receiver pressure needed.
        needs: GaugePressure,
        /// Highest cut-in.
        cut_in: GaugePressure,
    },
    /// A compressor that may never run.
    #[error(
        "{}",
        say!("air line, compressor {number}: a duty of 0 % lets it never run; give the share of time on its plate")
    )]
    NoDuty {
        /// Which compressor, from 1.
        number: usize,
    },
    /// A pattern of more blasts than anybody would keep.
    #[error(
        "{}",
        say!(
            "air line: {needed} of blasting would take more than {most} blasts; split the work, or fit a larger \
             receiver"
        )
    )]
    TooManyBlasts {
        /// Blasting asked for.
        needed: Time,
        /// Most blasts that a pattern may have.
        most: usize,
    },
}

/// The line in balance with the blast valve open.
#[derive(Debug, Clone, PartialEq)]
pub struct Steady {
    /// Air through the nozzle.
    pub flow: MassRate,
    /// At the regulator's outlet.
    pub regulator_out: GaugePressure,
    /// At the nozzle's inlet: the pressure that the work sees.
    pub nozzle_gauge: GaugePressure,
    /// Pressure from part to part, in the air's order.
    pub ladder: Vec<Drop>,
    /// Whether the regulator is fully open, so that it holds no longer.
    pub regulator_fully_open: bool,
}

/// The fall of pressure over one part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drop {
    /// Which part.
    pub component: Component,
    /// Before it.
    pub inlet: GaugePressure,
    /// Behind it.
    pub outlet: GaugePressure,
}

/// A part of the line that pressure is lost in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Component {
    /// The regulator.
    Regulator,
    /// The hose with its fittings.
    Hose,
    /// The nozzle.
    Nozzle,
}

/// The line in balance at a receiver pressure, blast valve open.
///
/// The same mass flow through each part, each outlet the next inlet: the regulator by
/// [`Regulator`], the hose by [`Hose::outlet`], the nozzle by [`crate::nozzle::mass_flow`] with the
/// loaded discharge coefficient, its inlet at rest at the hose's end pressure. A receiver at or below
/// the site's pressure gives no flow.
///
/// Source: the chaining of ISO 6358-3 (scope seen). Checked: reference system A of air.md section 6,
/// held: 225.679 l/min ANR, 3.7952 bar gauge at the nozzle.
///
/// # Errors
/// [`LineError::HoseTooSmall`], [`LineError::NoPressureSet`].
pub fn steady(line: &AirLine, receiver: GaugePressure) -> Result<Steady, LineError> {
    let chain = Chain::of(line)?;
    let held = chain.held();
    let pressure = chain.absolute(receiver);
    let fully_open = pressure < chain.receiver_for(&held);
    let point = if fully_open { chain.fully_open(pressure.max(chain.site), &held) } else { held };
    Ok(Steady {
        flow: MassRate::clamped(point.flow),
        regulator_out: chain.gauge(point.regulator_out),
        nozzle_gauge: chain.gauge(point.nozzle),
        ladder: ladder(&chain, &point, receiver),
        regulator_fully_open: fully_open,
    })
}

fn ladder(chain: &Chain, point: &Point, receiver: GaugePressure) -> Vec<Drop> {
    let (regulated, nozzle) = (chain.gauge(point.regulator_out), chain.gauge(point.nozzle));
    let drop = |component, inlet, outlet| Drop { component, inlet, outlet };
    vec![
        drop(Component::Regulator, receiver, regulated),
        drop(Component::Hose, regulated, nozzle),
        drop(Component::Nozzle, nozzle, chain.gauge(chain.site)),
    ]
}
