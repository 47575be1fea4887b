//! The air behind the cabinets: one receiver, its compressors, nozzles that all blast alike.
//!
//! While every regulator holds, each nozzle takes the same air whatever the receiver's pressure is, so that pressure
//! moves in straight lines: `dp/dt = R T / V (S - m)`, `S` what the running compressors give, `m` what the open
//! nozzles take. Several receivers count as one of their whole volume. The rule at the cabinets is one that can be
//! said: when the gauge falls to where a regulator would no longer hold, all nozzles shut until the receiver is full.
//!
//! Assumed: constant delivery between cut-in and cut-out, 20 °C, no leaks. Held against `air`'s own run in the tests.

use air::ladder::{Open, Settings};
use air::{Network, PartKind};
use language::say;
use quantity::{Fraction, GAS_CONSTANT_AIR, GaugePressure, MassRate, Power, Quantity as _, Volume};

/// The air, as much of it as the cabinets feel.
#[derive(Debug, Clone, PartialEq)]
pub struct Supply {
    /// Of all receivers.
    pub volume: Volume,
    /// Those that are switched on; never empty.
    pub pumps: Vec<Pump>,
    /// With 1, 2, … nozzles open; never empty. More than these cannot be open at a time.
    pub levels: Vec<Level>,
}

/// A compressor.
#[derive(Debug, Clone, PartialEq)]
pub struct Pump {
    /// What the shop calls it.
    pub name: String,
    /// Starts at.
    pub cut_in: GaugePressure,
    /// Stops at.
    pub cut_out: GaugePressure,
    /// Gives.
    pub rate: MassRate,
    /// Takes while it runs.
    pub power: Power,
    /// Largest share of the time that it may run.
    pub duty: Fraction,
}

/// The line with some nozzles open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// All nozzles together.
    pub flow: MassRate,
    /// Receiver pressure from which every regulator holds.
    pub holds_from: GaugePressure,
    /// At the nozzle that sees least.
    pub nozzle: GaugePressure,
}

/// Why the air cannot serve.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum SupplyError {
    /// No compressor gives anything.
    #[error("{}", say!("no compressor is switched on; switch one on in the shop file"))]
    NoCompressor,
    /// Not even one nozzle can be held.
    #[error("{}", say!(
            "one nozzle needs {needs} in the receiver, and the compressors let it fall to {cut_in}; set a lower pressure \
             or take a smaller nozzle"
        ))]
    NeverHolds {
        /// What it needs.
        needs: GaugePressure,
        /// Where the first compressor starts.
        cut_in: GaugePressure,
    },
    /// A network without a station.
    #[error("{}", say!("a line without a cabinet; give a station of the kind \"cabinet\""))]
    NoStation,
}

impl Supply {
    /// From the line with 1, 2, … alike stations on it, in that order.
    ///
    /// # Errors
    /// [`SupplyError`] when no nozzle can be held, or nothing fills the receiver.
    pub fn of(networks: &[Network]) -> Result<Self, SupplyError> {
        let first = networks.first().ok_or(SupplyError::NoStation)?;
        let pumps = pumps(first);
        let highest = pumps.iter().map(|pump| pump.cut_in.to_base()).fold(f64::NEG_INFINITY, f64::max);
        if pumps.is_empty() {
            return Err(SupplyError::NoCompressor);
        }
        let levels: Vec<Level> = networks.iter().map(level).collect::<Option<_>>().ok_or(SupplyError::NoStation)?;
        // Above the cut-in no compressor would come to help, however long one waits.
        let held: Vec<Level> =
            levels.iter().copied().take_while(|level| level.holds_from.to_base() < highest).collect();
        if held.is_empty() {
            let cut_in = GaugePressure::clamped(highest);
            return Err(SupplyError::NeverHolds { needs: levels[0].holds_from, cut_in });
        }
        let volume = first.parts().iter().filter_map(|part| match &part.kind {
            PartKind::Receiver(vessel) => Some(vessel.volume),
            _ => None,
        });
        Ok(Self { volume: volume.sum(), pumps, levels: held })
    }

    /// Most nozzles that can be open at a time.
    #[must_use]
    pub fn most(&self) -> usize {
        self.levels.len()
    }

    /// Full again after a rest: where the compressor that starts first stops.
    #[must_use]
    pub fn full(&self) -> GaugePressure {
        let first = self.pumps.iter().max_by(|a, b| a.cut_in.to_base().total_cmp(&b.cut_in.to_base()));
        first.map_or(self.levels[0].holds_from, |pump| pump.cut_out)
    }

    /// What one nozzle takes.
    #[must_use]
    pub fn each(&self) -> MassRate {
        self.levels[0].flow
    }

    /// What the compressors give together.
    #[must_use]
    pub fn given(&self) -> MassRate {
        self.pumps.iter().map(|pump| pump.rate).sum()
    }
}

fn pumps(network: &Network) -> Vec<Pump> {
    let pump = |part: &air::Part| match &part.kind {
        PartKind::Compressor(machine) if machine.switched_on => Some(Pump {
            name: part.name.clone(),
            cut_in: machine.cut_in,
            cut_out: machine.cut_out,
            rate: machine.mass_rate(network.site(), machine.cut_out),
            power: machine.power,
            duty: machine.duty.share,
        }),
        _ => None,
    };
    network.parts().iter().filter_map(pump).filter(|pump| pump.rate.to_base() > 0.0).collect()
}

fn level(network: &Network) -> Option<Level> {
    let ladder = network.steady(&Settings { receiver: network.full(), open: Open::All }).ok()?;
    let most = |of: fn(&air::ladder::StationState) -> f64| ladder.stations.iter().map(of).max_by(f64::total_cmp);
    let least = ladder.stations.iter().map(|station| station.nozzle.to_base()).min_by(f64::total_cmp)?;
    Some(Level {
        flow: ladder.flow,
        holds_from: GaugePressure::clamped(most(|station| station.holds_from.to_base())?),
        nozzle: GaugePressure::clamped(least),
    })
}

/// What the air did in a day.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct AirDay {
    /// How long each compressor ran.
    pub ran_s: Vec<f64>,
    /// How often compressors started, in all.
    pub starts: u32,
    /// How often all nozzles were shut for want of air.
    pub rests: u32,
    /// How long nozzles that were wanted stood shut, summed over them.
    pub rested_s: f64,
    /// Nozzle time, summed over them.
    pub blasted_s: f64,
    /// Air through the nozzles.
    pub used_kg: f64,
    /// Lowest pressure in the receiver.
    pub lowest_pa: f64,
    /// Pressure in the receiver at the end.
    pub last_pa: f64,
}

/// Within this of a threshold it counts as reached, in pascals.
const NEAR_PA: f64 = 0.5;

/// The receiver in time.
pub(crate) struct Receiver<'a> {
    supply: &'a Supply,
    pressure_pa: f64,
    running: Vec<bool>,
    resting: bool,
    day: AirDay,
}

impl<'a> Receiver<'a> {
    pub(crate) fn full(supply: &'a Supply) -> Self {
        let full = supply.pumps.iter().map(|pump| pump.cut_out.to_base()).fold(0.0, f64::max);
        let (pumps, day) = (supply.pumps.len(), AirDay { ran_s: vec![0.0; supply.pumps.len()], ..AirDay::default() });
        let day = AirDay { lowest_pa: full, ..day };
        Self { supply, pressure_pa: full, running: vec![false; pumps], resting: false, day }
    }

    pub(crate) fn day(self) -> AirDay {
        AirDay { last_pa: self.pressure_pa, ..self.day }
    }

    /// How many of the nozzles that are wanted may be open.
    pub(crate) fn open(&self, wanted: usize) -> usize {
        if self.resting { 0 } else { wanted.min(self.supply.most()) }
    }

    fn demand(&self, open: usize) -> f64 {
        open.checked_sub(1).map_or(0.0, |last| self.supply.levels[last].flow.to_base())
    }

    /// Rise of the pressure, Pa/s.
    fn slope(&self, open: usize) -> f64 {
        let running = self.supply.pumps.iter().zip(&self.running).filter(|(_, running)| **running);
        let given: f64 = running.map(|(pump, _)| pump.rate.to_base()).sum();
        let volume = self.supply.volume.to_base().max(1e-6);
        GAS_CONSTANT_AIR * air::gas::LINE_TEMPERATURE.to_kelvins() / volume * (given - self.demand(open))
    }

    fn resumes_pa(&self) -> f64 {
        self.supply.full().to_base()
    }

    /// Time until a compressor switches or a rest begins or ends, with so many nozzles open.
    pub(crate) fn next_change_s(&self, open: usize) -> Option<f64> {
        let slope = self.slope(open);
        if slope == 0.0 {
            return None;
        }
        let pumps = self.supply.pumps.iter().zip(&self.running);
        let mut thresholds: Vec<f64> = match slope > 0.0 {
            true => pumps.filter(|(_, running)| **running).map(|(pump, _)| pump.cut_out.to_base()).collect(),
            false => pumps.filter(|(_, running)| !**running).map(|(pump, _)| pump.cut_in.to_base()).collect(),
        };
        thresholds.extend((slope > 0.0 && self.resting).then(|| self.resumes_pa()));
        thresholds.extend((slope < 0.0 && open > 0).then(|| self.supply.levels[open - 1].holds_from.to_base()));
        let times = thresholds.into_iter().map(|threshold| (threshold - self.pressure_pa) / slope);
        times.filter(|time| *time >= 0.0).min_by(f64::total_cmp)
    }

    pub(crate) fn advance(&mut self, passed_s: f64, open: usize, wanted: usize) {
        self.pressure_pa += self.slope(open) * passed_s;
        for (ran, _) in self.day.ran_s.iter_mut().zip(&self.running).filter(|(_, running)| **running) {
            *ran += passed_s;
        }
        self.day.blasted_s += passed_s * open as f64;
        self.day.rested_s += passed_s * (wanted - open) as f64;
        self.day.used_kg += passed_s * self.demand(open);
        self.day.lowest_pa = self.day.lowest_pa.min(self.pressure_pa);
    }

    /// Switches what is to be switched at this pressure.
    pub(crate) fn settle(&mut self, open: usize) {
        for (pump, running) in self.supply.pumps.iter().zip(&mut self.running) {
            if !*running && self.pressure_pa <= pump.cut_in.to_base() + NEAR_PA {
                *running = true;
                self.day.starts += 1;
            } else if *running && self.pressure_pa >= pump.cut_out.to_base() - NEAR_PA {
                *running = false;
            }
        }
        if self.resting {
            self.resting = self.pressure_pa < self.resumes_pa() - NEAR_PA;
        } else if open > 0
            && self.pressure_pa <= self.supply.levels[open - 1].holds_from.to_base() + NEAR_PA
            && self.slope(open) < 0.0
        {
            self.resting = true;
            self.day.rests += 1;
        }
    }
}

#[cfg(test)]
pub(crate) mod tests;
