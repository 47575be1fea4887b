//! The compressors while the solver runs: pressure switches, thermal switches, hours and starts.

use crate::course::Happening;
use crate::model::Model;
use crate::plant::{Plant, Unit};
use crate::trace::Start;

/// A compressor while the solver runs.
pub(crate) struct Machine {
    /// What its pressure switch wants.
    pub(crate) wanted: bool,
    /// Stopped by its thermal switch.
    hot: bool,
    /// The limit was reached and has not been left.
    reached: bool,
    /// Seconds of [`crate::machine::Duty`].
    warmth: f64,
    pub(crate) warmest: f64,
    pub(crate) ran: f64,
    pub(crate) starts: u32,
}

impl Machine {
    pub(crate) fn runs(&self) -> bool {
        self.wanted && !self.hot
    }

    /// Seconds to its duty limit, or from it to cold.
    fn until_limit(&self, unit: &Unit) -> f64 {
        let (k, capacity) = (unit.duty.share.to_ratio(), unit.duty.capacity_s());
        match (self.runs(), self.reached) {
            _ if k >= 1.0 => f64::INFINITY,
            (true, false) => ((capacity - self.warmth) / (1.0 - k)).max(0.0),
            (false, true) => self.warmth / k,
            _ => f64::INFINITY,
        }
    }

    fn pass(&mut self, unit: &Unit, seconds: f64) {
        let k = unit.duty.share.to_ratio();
        if self.runs() {
            self.ran += seconds;
            self.warmth += (1.0 - k) * seconds;
            self.warmest = self.warmest.max(self.warmth);
        } else {
            self.warmth = (self.warmth - k * seconds).max(0.0);
        }
    }
}

/// All of them, in the network's order.
pub(crate) struct Bank {
    pub(crate) machines: Vec<Machine>,
}

impl Bank {
    pub(crate) fn of(plant: &Plant, start: &Start) -> Self {
        let pressure = plant.absolute(start.receiver);
        let wanted =
            |unit: &Unit| unit.switched_on && (pressure <= unit.cut_in || (start.running && pressure < unit.cut_out));
        let machine = |unit: &Unit| Machine {
            wanted: wanted(unit),
            hot: false,
            reached: false,
            warmth: 0.0,
            warmest: 0.0,
            ran: 0.0,
            starts: 0,
        };
        Self { machines: plant.machines.iter().map(machine).collect() }
    }

    /// kg/s into a pressure.
    pub(crate) fn supply(&self, model: &Model, pressure: f64) -> f64 {
        let pairs = model.plant.machines.iter().zip(&self.machines);
        pairs.filter(|(_, machine)| machine.runs()).map(|(unit, _)| unit.curve.rate(pressure)).sum()
    }

    /// Those that run from the first instant on have started then.
    pub(crate) fn start(&mut self) -> Vec<Happening> {
        let mut happened = Vec::new();
        for (number, machine) in self.machines.iter_mut().enumerate().filter(|(_, machine)| machine.runs()) {
            machine.starts += 1;
            happened.push(Happening::Started(number));
        }
        happened
    }

    /// The pressure switch of one turns.
    pub(crate) fn switch(&mut self, number: usize) -> Option<Happening> {
        let ran = self.machines[number].runs();
        self.machines[number].wanted ^= true;
        (self.machines[number].runs() != ran).then(|| self.turned(number, !ran))
    }

    /// Time passes.
    pub(crate) fn pass(&mut self, plant: &Plant, seconds: f64) {
        plant.machines.iter().zip(&mut self.machines).for_each(|(unit, machine)| machine.pass(unit, seconds));
    }

    /// Seconds to the next duty limit reached or left.
    pub(crate) fn until_limit(&self, plant: &Plant) -> f64 {
        let times = plant.machines.iter().zip(&self.machines).map(|(unit, machine)| machine.until_limit(unit));
        times.fold(f64::INFINITY, f64::min)
    }

    /// Duty limits that are reached or left now.
    pub(crate) fn limits(&mut self, plant: &Plant) -> Vec<Happening> {
        let mut happened = Vec::new();
        for (number, unit) in plant.machines.iter().enumerate() {
            let (machine, capacity) = (&self.machines[number], unit.duty.capacity_s());
            let (runs, reached, warmth) = (machine.runs(), machine.reached, machine.warmth);
            if unit.duty.share.to_ratio() >= 1.0 {
                continue;
            }
            if runs && !reached && warmth >= capacity * (1.0 - 1e-9) {
                self.reach(number, unit.duty.stops, &mut happened);
            } else if !runs && reached && warmth <= capacity * 1e-9 {
                self.leave(number, &mut happened);
            }
        }
        happened
    }

    fn reach(&mut self, number: usize, stops: bool, happened: &mut Vec<Happening>) {
        self.machines[number].reached = true;
        happened.push(Happening::DutyReached(number));
        if stops {
            self.machines[number].hot = true;
            happened.push(self.turned(number, false));
        }
    }

    fn leave(&mut self, number: usize, happened: &mut Vec<Happening>) {
        self.machines[number].reached = false;
        if std::mem::take(&mut self.machines[number].hot) {
            happened.push(Happening::Cooled(number));
            if self.machines[number].runs() {
                happened.push(self.turned(number, true));
            }
        }
    }

    fn turned(&mut self, number: usize, on: bool) -> Happening {
        self.machines[number].starts += u32::from(on);
        if on { Happening::Started(number) } else { Happening::Stopped(number) }
    }
}
