//! Regulator, hose and nozzle in a row, as plain SI numbers: the balance behind `line`, `hold` and
//! `transient`.
//!
//! Everything is a plain formula of the *nozzle's* inlet pressure: it gives the flow, the flow and
//! that pressure give the hose's inlet, which is the regulator's outlet, and that gives the receiver
//! pressure at which the fully open regulator would supply it. So a balance is one bracketed root,
//! and a table of the fully open regulator needs no root at all.

use crate::Conductance;
use crate::gas::{PSI_CHOKED, RT, psi};
use crate::hose::Run;
use crate::line::{AirLine, LineError};
use crate::nozzle::{bore_area, loaded_discharge};
use crate::root::falling_root;
use quantity::{GaugePressure, Quantity};

/// One state of the chain with the valve open; absolute Pa and kg/s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Point {
    pub(crate) nozzle: f64,
    pub(crate) flow: f64,
    pub(crate) regulator_out: f64,
}

/// The chain of one line, checked.
#[derive(Debug, Clone)]
pub(crate) struct Chain {
    pub(crate) site: f64,
    pub(crate) set: f64,
    droop: f64,
    valve: Conductance,
    hose: Run,
    /// `Cd A / sqrt(R T)`, s m.
    nozzle: f64,
}

impl Chain {
    /// The numbers of a line, its faults found.
    pub(crate) fn of(line: &AirLine) -> Result<Self, LineError> {
        let (bore, hose) = (line.nozzle.bore, Run::of(line.hose));
        let discharge = loaded_discharge(line.nozzle.discharge, line.nozzle.loading, bore).to_ratio();
        let area = discharge * bore_area(bore);
        // The nozzle draws m = psi Cd A p/sqrt(R T); the hose chokes at p = m sqrt(R T)/A_hose.
        if PSI_CHOKED * area >= hose.area {
            return Err(LineError::HoseTooSmall { hose: line.hose.bore, nozzle: bore });
        }
        if line.regulator.set.to_pascals() <= 0.0 {
            return Err(LineError::NoPressureSet { set: line.regulator.set });
        }
        let site = line.site.pressure.to_pascals();
        Ok(Self {
            site,
            set: site + line.regulator.set.to_pascals(),
            droop: line.regulator.droop.pascals_per_kg_per_second(),
            valve: line.regulator.valve,
            hose,
            nozzle: area / RT.sqrt(),
        })
    }

    /// The state at a nozzle inlet pressure, at or above the site's.
    pub(crate) fn at_nozzle(&self, nozzle: f64) -> Point {
        let flow = self.nozzle * nozzle * psi(self.site / nozzle);
        Point { nozzle, flow, regulator_out: self.hose.inlet(nozzle, flow) }
    }

    /// The least receiver pressure that the fully open regulator needs for a state.
    pub(crate) fn receiver_for(&self, point: &Point) -> f64 {
        self.valve.inlet_for(point.flow, point.regulator_out)
    }

    /// The state while the regulator holds: independent of the receiver.
    pub(crate) fn held(&self) -> Point {
        let excess = |nozzle: f64| {
            let point = self.at_nozzle(nozzle);
            self.set - self.droop * point.flow - point.regulator_out
        };
        self.at_nozzle(falling_root(self.site, self.set, excess))
    }

    /// The state with the regulator fully open at a receiver pressure below the holding one.
    pub(crate) fn fully_open(&self, receiver: f64, held: &Point) -> Point {
        let excess = |nozzle: f64| receiver - self.receiver_for(&self.at_nozzle(nozzle));
        self.at_nozzle(falling_root(self.site, held.nozzle, excess))
    }

    pub(crate) fn gauge(&self, absolute: f64) -> GaugePressure {
        GaugePressure::clamped(absolute - self.site)
    }

    pub(crate) fn absolute(&self, gauge: GaugePressure) -> f64 {
        self.site + gauge.to_pascals()
    }
}
