//! What a shop can run: set pressure against nozzle bore, each cell a run in time.

use crate::course::{CourseError, Pattern, RunOptions};
use crate::network::Network;
use quantity::{Diameter, GaugePressure, Time};
use rayon::prelude::*;

/// A grid of what holds how long.
#[derive(Debug, Clone, PartialEq)]
pub struct RunMap {
    /// Regulator settings, as given.
    pub pressures: Vec<GaugePressure>,
    /// Bores, as given.
    pub bores: Vec<Diameter>,
    /// A row for each pressure, a cell for each bore.
    pub cells: Vec<Cell>,
}

/// One setting with one bore.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// How long a blast from full receivers keeps the regulator's pressure.
    pub holds: Holds,
    /// At the nozzle's inlet while it holds.
    pub nozzle: GaugePressure,
}

/// How long a pressure holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Holds {
    /// Not even with full receivers.
    Never,
    /// For a time.
    For(Time),
    /// As long as was looked at.
    Throughout,
}

impl RunMap {
    /// The cell of a pressure and a bore, by their places.
    #[must_use]
    pub fn cell(&self, pressure: usize, bore: usize) -> Option<&Cell> {
        (bore < self.bores.len()).then(|| self.cells.get(pressure * self.bores.len() + bore)).flatten()
    }
}

impl Network {
    /// How long one station blasts at each regulator setting with each bore, the others closed: a
    /// transient from full receivers, compressors stopped, to the first loss of the hold or to `horizon`.
    ///
    /// Everything else stays as it is; a bore replaces the nozzle's with its wear, a gun's jet likewise.
    /// Thermal switches of compressors take part. Cells are computed side by side.
    ///
    /// # Errors
    /// [`CourseError`] of a station that is not there, or of the first cell that cannot be run.
    pub fn map(
        &self,
        station: &str,
        pressures: &[GaugePressure],
        bores: &[Diameter],
        horizon: Time,
    ) -> Result<RunMap, CourseError> {
        let number = self.station_number(station)?;
        let pairs: Vec<(GaugePressure, Diameter)> =
            pressures.iter().flat_map(|&pressure| bores.iter().map(move |&bore| (pressure, bore))).collect();
        let cells = pairs.par_iter().map(|&(set, bore)| self.cell(number, set, bore, horizon));
        let cells = cells.collect::<Result<_, CourseError>>()?;
        Ok(RunMap { pressures: pressures.to_vec(), bores: bores.to_vec(), cells })
    }

    fn cell(&self, number: usize, set: GaugePressure, bore: Diameter, horizon: Time) -> Result<Cell, CourseError> {
        let network = self.with_station(number, set, bore);
        let plant = &network.plant;
        let nozzle = plant.gauge(plant.stations[number].held.nozzle);
        let demand = crate::profile::Demand::of(plant, 1 << number);
        if set.to_pascals() <= 0.0 || !demand.holds(plant.full()) {
            return Ok(Cell { holds: Holds::Never, nozzle });
        }
        let station = network.parts()[plant.stations[number].tip].name.clone();
        let options = RunOptions { gap: Some(horizon), until_lost: true, ..RunOptions::default() };
        let course = network.run(&[Pattern::held_open(&station)], horizon, &options)?;
        let holds = course.first_loss().map_or(Holds::Throughout, Holds::For);
        Ok(Cell { holds, nozzle })
    }
}
