//! A line of one station as the closed forms of `line`, `hold` and `pattern` use it: absolute Pa, kg/s.

use crate::gas::PSI_CHOKED;
use crate::line::{AirLine, LineError};
use crate::network::Network;
use crate::nozzle::{bore_area, loaded_discharge};
pub(crate) use crate::plant::Point;
use crate::plant::Station;
use crate::root::falling_root;
use quantity::{GaugePressure, Quantity};

/// The station of one line, its faults found.
#[derive(Debug, Clone)]
pub(crate) struct Chain {
    pub(crate) site: f64,
    station: Station,
}

impl Chain {
    /// The numbers of a line, its faults found.
    pub(crate) fn of(line: &AirLine) -> Result<Self, LineError> {
        let bore = line.nozzle.bore;
        let discharge = loaded_discharge(line.nozzle.discharge, line.nozzle.loading, bore).to_ratio();
        // The nozzle draws m = psi Cd A p/sqrt(R T); the hose chokes at p = m sqrt(R T)/A_hose.
        if PSI_CHOKED * discharge * bore_area(bore) >= bore_area(line.hose.bore) {
            return Err(LineError::HoseTooSmall { hose: line.hose.bore, nozzle: bore });
        }
        if line.regulator.set.to_pascals() <= 0.0 {
            return Err(LineError::NoPressureSet { set: line.regulator.set });
        }
        let plant = Network::of_line(line).plant;
        let [station] = <[Station; 1]>::try_from(plant.stations).unwrap_or_else(|_| unreachable!("a line has one"));
        Ok(Self { site: plant.site, station })
    }

    /// The least receiver pressure that the fully open regulator needs for a state.
    pub(crate) fn receiver_for(&self, point: &Point) -> f64 {
        self.station.needs(point)
    }

    /// The state while the regulator holds: independent of the receiver.
    pub(crate) fn held(&self) -> Point {
        self.station.held
    }

    /// The state with the regulator fully open at a receiver pressure below the holding one.
    pub(crate) fn fully_open(&self, receiver: f64, held: &Point) -> Point {
        let excess = |nozzle: f64| receiver - self.receiver_for(&self.station.at_nozzle(nozzle));
        self.station.at_nozzle(falling_root(self.site, held.nozzle, excess))
    }

    pub(crate) fn gauge(&self, absolute: f64) -> GaugePressure {
        GaugePressure::clamped(absolute - self.site)
    }

    pub(crate) fn absolute(&self, gauge: GaugePressure) -> f64 {
        self.site + gauge.to_pascals()
    }
}
