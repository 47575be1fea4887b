//! The equations of the receivers: what fills them, what empties them, how warm their gas is. Pa absolute, kg, J.

use crate::course::TankModel;
use crate::gas::{RT, psi};
use crate::link::Link;
use crate::plant::Plant;
use crate::profile::Demand;
use quantity::GAS_CONSTANT_AIR;

/// Error allowed in a step, Pa.
const TOLERANCE_PA: f64 = 0.1;
/// Specific heats of air, J/(kg K). Source: air.md, constants used everywhere.
const CP: f64 = 1004.7;
const CV: f64 = CP - GAS_CONSTANT_AIR;

/// Mass and energy of each receiver, then what was delivered and what was drawn.
pub(crate) type State = [f64; 6];
pub(crate) const DELIVERED: usize = 4;
pub(crate) const DRAWN: usize = 5;

/// What does not change.
pub(crate) struct Model<'a> {
    pub(crate) plant: &'a Plant,
    tank: Gas,
    link: Option<Link>,
    /// Whether every compressor delivers the same at every pressure.
    pub(crate) constant: bool,
}

#[derive(Clone, Copy)]
enum Gas {
    Isothermal,
    Heat { inflow: f64, room: f64 },
}

impl Model<'_> {
    pub(crate) fn of<'a>(plant: &'a Plant, tank: TankModel) -> Model<'a> {
        let tank = match tank {
            TankModel::Isothermal => Gas::Isothermal,
            TankModel::EnergyBalance { inflow, room } => {
                Gas::Heat { inflow: inflow.to_kelvins(), room: room.to_kelvins() }
            }
        };
        let link = plant.tanks.get(1).map(|second| {
            let capacities = [plant.tanks[0].volume / RT, second.volume / RT];
            Link::of(&plant.link, capacities, plant.site, 1.5 * plant.full())
        });
        let constant = plant.machines.iter().all(|unit| unit.curve.is_constant());
        Model { plant, tank, link, constant }
    }

    fn start_temperature(&self) -> f64 {
        match self.tank {
            Gas::Isothermal => RT / GAS_CONSTANT_AIR,
            Gas::Heat { room, .. } => room,
        }
    }

    /// Whether pressure is monotone between two events.
    pub(crate) fn is_monotone(&self) -> bool {
        self.link.is_none() && matches!(self.tank, Gas::Isothermal)
    }

    pub(crate) fn pressure(&self, state: &State, tank: usize) -> f64 {
        let volume = self.plant.tanks[tank].volume;
        match self.tank {
            Gas::Isothermal => state[2 * tank] * RT / volume,
            Gas::Heat { .. } => state[2 * tank + 1] * (GAS_CONSTANT_AIR / CV) / volume,
        }
    }

    pub(crate) fn temperature(&self, state: &State, tank: usize) -> f64 {
        match self.tank {
            Gas::Isothermal => RT / GAS_CONSTANT_AIR,
            Gas::Heat { .. } => state[2 * tank + 1] / (state[2 * tank] * CV),
        }
    }

    pub(crate) fn last(&self) -> usize {
        self.plant.tanks.len() - 1
    }

    pub(crate) fn leak(&self, tank: usize, pressure: f64) -> f64 {
        let leak = self.plant.tanks[tank].leak;
        if leak > 0.0 && pressure > self.plant.site { leak * pressure * psi(self.plant.site / pressure) } else { 0.0 }
    }

    pub(crate) fn rates(&self, state: &State, supply: impl Fn(f64) -> f64, demand: &Demand, holding: usize) -> State {
        let first = self.pressure(state, 0);
        let (supply, leak) = (supply(first), self.leak(0, first));
        let mut rates = [0.0; 6];
        let (mut from_first, mut drawn) = (leak, leak);
        if let Some(link) = &self.link {
            let second = self.pressure(state, 1);
            let (through, leak) = (link.flow(first, second), self.leak(1, second));
            let out = demand.flow(self.plant, second, holding) + leak;
            rates[2] = through - out;
            rates[3] = self.heat(state, 1, through, self.temperature(state, 0), out);
            (from_first, drawn) = (from_first + through, drawn + out);
        } else {
            let out = demand.flow(self.plant, first, holding);
            (from_first, drawn) = (from_first + out, drawn + out);
        }
        rates[0] = supply - from_first;
        let inflow = if let Gas::Heat { inflow, .. } = self.tank { inflow } else { 0.0 };
        rates[1] = self.heat(state, 0, supply, inflow, from_first);
        (rates[DELIVERED], rates[DRAWN]) = (supply, drawn);
        rates
    }

    /// Energy into a receiver, W.
    fn heat(&self, state: &State, tank: usize, into: f64, at: f64, out: f64) -> f64 {
        let Gas::Heat { room, .. } = self.tank else { return 0.0 };
        let own = self.temperature(state, tank);
        into * CP * at - out * CP * own - self.plant.tanks[tank].wall * (own - room)
    }

    pub(crate) fn tolerance(&self) -> State {
        let mass = |tank: &crate::plant::Tank| TOLERANCE_PA * tank.volume / RT;
        let first = mass(&self.plant.tanks[0]);
        let second = self.plant.tanks.get(1).map_or(first, mass);
        let energy = |mass: f64| mass * CV * RT / GAS_CONSTANT_AIR;
        [first, energy(first), second, energy(second), first, first]
    }

    /// Every receiver at a pressure.
    pub(crate) fn full_at(&self, pressure: f64) -> State {
        let kelvins = self.start_temperature();
        let mut state = [0.0; 6];
        for (number, tank) in self.plant.tanks.iter().enumerate() {
            let mass = pressure * tank.volume / (GAS_CONSTANT_AIR * kelvins);
            (state[2 * number], state[2 * number + 1]) = (mass, mass * CV * kelvins);
        }
        state
    }
}
