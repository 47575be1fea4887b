//! The solver behind [`Network::run`]. Seconds, Pa absolute, kg, J.

use crate::bank::{Bank, Machine};
use crate::course::{
    Balance, Course, CourseError, Happening, MachineCourse, Moment, Pattern, RunOptions, StationCourse, StationMoment,
};
use crate::dormand_prince::{Step, weights_at};
use crate::model::{DELIVERED, DRAWN, Model, State};
use crate::network::Network;
use crate::plant::{Mask, Unit};
use crate::profile::Demand;
use crate::root::falling_root;
use crate::schedule::Schedule;
use crate::trace::Start;
use quantity::{Fraction, Mass, MassRate, Quantity, Temperature, Time};

/// Steps after which a run is given up.
const STEPS_MAX: u32 = 400_000;
/// Most samples at equal gaps.
const SAMPLES_MAX: u32 = 1_000_000;
/// Samples at equal gaps when the gap was not chosen.
const SAMPLES_USUAL: f64 = 600.0;
/// Longest step where pressure may turn round inside one: two receivers, or gas that warms. Longer
/// ones could step over a switching.
const TURNING_STEP_S: f64 = 5.0;

/// A bound on a receiver's pressure and what happens there.
struct Watch {
    tank: usize,
    bound: f64,
    rising: bool,
    then: Then,
}

#[derive(Clone, Copy)]
enum Then {
    Switch(usize),
    Hold(usize),
    Trip(usize),
}

/// The solver while it runs.
pub(crate) struct Engine<'a> {
    network: &'a Network,
    model: Model<'a>,
    schedule: Schedule,
    demands: Vec<(Mask, Demand)>,
    current: usize,
    open: Mask,
    tripped: Mask,
    /// Open stations whose regulator does not hold.
    lost_now: Mask,
    bank: Bank,
    state: State,
    stored_before: f64,
    time: f64,
    end: f64,
    step_seconds: f64,
    steps: u32,
    gap: f64,
    next_sample: f64,
    until_lost: bool,
    stations: Vec<[f64; 3]>,
    purged: f64,
    leaked: f64,
    samples: Vec<Moment>,
    events: Vec<(Time, Happening)>,
}

impl<'a> Engine<'a> {
    pub(crate) fn new(
        network: &'a Network,
        patterns: &[Pattern],
        for_: Time,
        options: &RunOptions,
    ) -> Result<Self, CourseError> {
        let end = for_.to_seconds();
        if end <= 0.0 {
            return Err(CourseError::NoTime);
        }
        let gap = options.gap.unwrap_or(Time::clamped((end / SAMPLES_USUAL).max(1e-3)));
        if gap.to_seconds() * f64::from(SAMPLES_MAX) < end {
            return Err(CourseError::TooManySamples { gap, most: SAMPLES_MAX });
        }
        let schedule = Schedule::of(network, patterns)?;
        let model = Model::of(&network.plant, options.tank);
        let start = options.start.unwrap_or(Start { receiver: network.full(), running: false });
        let state = model.full_at(network.plant.absolute(start.receiver).max(network.plant.site));
        let mut engine = Self {
            network,
            bank: Bank::of(&network.plant, &start),
            schedule,
            demands: Vec::new(),
            current: 0,
            open: 0,
            tripped: 0,
            lost_now: 0,
            state,
            stored_before: state[0] + state[2],
            time: 0.0,
            end,
            step_seconds: 1.0,
            steps: 0,
            gap: gap.to_seconds(),
            next_sample: gap.to_seconds(),
            until_lost: options.until_lost,
            stations: vec![[0.0; 3]; network.plant.stations.len()],
            purged: 0.0,
            leaked: 0.0,
            samples: Vec::new(),
            events: Vec::new(),
            model,
        };
        engine.look_up();
        Ok(engine)
    }

    pub(crate) fn run(mut self) -> Result<Course, CourseError> {
        let started = self.bank.start();
        self.happened_all(started);
        self.work_valves();
        self.record();
        while self.time < self.end && !(self.until_lost && self.lost_now != 0) {
            self.steps += 1;
            if self.steps > STEPS_MAX {
                let receiver = self.network.receivers().next().unwrap_or_default().to_owned();
                return Err(CourseError::TooManySteps { receiver, at: Time::clamped(self.time), steps: STEPS_MAX });
            }
            self.step();
        }
        Ok(self.finish())
    }

    fn demand(&self) -> &Demand {
        &self.demands[self.current].1
    }

    /// The demand of the valves that are open, made when first met.
    fn look_up(&mut self) {
        let known = self.demands.iter().position(|(mask, _)| *mask == self.open);
        self.current = known.unwrap_or_else(|| {
            self.demands.push((self.open, Demand::of(self.model.plant, self.open)));
            self.demands.len() - 1
        });
    }

    /// One step of the integration, ended by whatever comes first.
    fn step(&mut self) {
        let due = self.schedule.next().min(self.end).min(self.time + self.bank.until_limit(self.model.plant));
        let most = if self.model.is_monotone() { f64::INFINITY } else { TURNING_STEP_S };
        let left = due - self.time;
        let seconds = self.step_seconds.min(most).min(left);
        if seconds <= 0.0 {
            return self.due(due);
        }
        let constant = self.model.constant.then(|| self.bank.supply(&self.model, 0.0));
        let supply = |pressure: f64| constant.unwrap_or_else(|| self.bank.supply(&self.model, pressure));
        let holding = self.demand().holding(self.lost_now);
        let rates = |state: &State| self.model.rates(state, supply, self.demand(), holding);
        let step = Step::take(rates, self.state, seconds, &self.model.tolerance());
        if step.error > 1.0 {
            self.step_seconds = step.next_seconds();
            return;
        }
        // A step cut short says nothing about how long a step may be.
        self.step_seconds = step.next_seconds().max(if seconds < self.step_seconds { self.step_seconds } else { 0.0 });
        let (share, watch) = self.first_watch(&step);
        self.go(&step, share);
        match watch {
            Some(watch) => self.reach(watch.then),
            None if seconds >= left => self.due(due),
            None => {}
        }
    }

    /// Bounds on pressure that matter now.
    fn watches(&self) -> Vec<Watch> {
        let plant = self.model.plant;
        let last = self.model.last();
        let mut watches = Vec::with_capacity(plant.machines.len() + 2 * plant.stations.len());
        for (number, (unit, machine)) in plant.machines.iter().zip(&self.bank.machines).enumerate() {
            if unit.switched_on {
                let (bound, rising) = if machine.wanted { (unit.cut_out, true) } else { (unit.cut_in, false) };
                watches.push(Watch { tank: 0, bound, rising, then: Then::Switch(number) });
            }
        }
        for &(bound, number) in self.demand().kinks() {
            let rising = self.lost_now >> number & 1 == 1;
            watches.push(Watch { tank: last, bound, rising, then: Then::Hold(number) });
            if let Some(bound) = plant.stations[number].trip {
                watches.push(Watch { tank: last, bound, rising: false, then: Then::Trip(number) });
            }
        }
        watches
    }

    /// The first bound that a step passes, and the share of the step at which it does.
    fn first_watch(&self, step: &Step<6>) -> (f64, Option<Watch>) {
        let ends = [0, self.model.last()].map(|tank| self.model.pressure(&step.to, tank));
        let mut first = (1.0, None);
        for watch in self.watches() {
            let end = ends[usize::from(watch.tank != 0)];
            let strict = matches!(watch.then, Then::Hold(_)) && !watch.rising;
            let passed =
                if watch.rising { end >= watch.bound } else { end < watch.bound || (!strict && end <= watch.bound) };
            if !passed {
                continue;
            }
            let sign = if watch.rising { 1.0 } else { -1.0 };
            let short = |share: f64| sign * (watch.bound - self.model.pressure(&step.at(share), watch.tank));
            let share = falling_root(0.0, 1.0, short);
            if share < first.0 || first.1.is_none() {
                first = (share.min(first.0), Some(watch));
            }
        }
        first
    }

    /// Goes along a step to a share of it.
    fn go(&mut self, step: &Step<6>, share: f64) {
        let seconds = share * step.seconds;
        self.sample_until(self.time + seconds, step);
        self.count(step, share);
        self.state = if share < 1.0 { step.at(share) } else { step.to };
        self.bank.pass(self.model.plant, seconds);
        self.time += seconds;
    }

    /// Where the air of a step went.
    fn count(&mut self, step: &Step<6>, share: f64) {
        let seconds = share * step.seconds;
        for (number, sums) in self.stations.iter_mut().enumerate() {
            if self.open >> number & 1 == 1 {
                sums[1 + usize::from(self.lost_now >> number & 1 == 1)] += seconds;
            }
        }
        let Self { model, stations, demands, current, purged, leaked, lost_now, .. } = self;
        let (demand, last) = (&demands[*current].1, model.last());
        let holding = demand.holding(*lost_now);
        let leaks = model.plant.tanks.iter().any(|tank| tank.leak > 0.0);
        let mut add = |state: &State, seconds: f64| {
            let pressure = model.pressure(state, last);
            demand.each(model.plant, pressure, holding, |number, point| stations[number][0] += seconds * point.flow);
            let (flow, blast) =
                (demand.flow(model.plant, pressure, holding), demand.blast(model.plant, pressure, holding));
            *purged += seconds * (flow - blast);
            *leaked += seconds * (0..=last).map(|tank| model.leak(tank, model.pressure(state, tank))).sum::<f64>();
        };
        if *lost_now == 0 && !leaks {
            return add(&step.from, seconds);
        }
        for (state, weight) in step.stages().iter().zip(weights_at(share)) {
            add(state, step.seconds * weight);
        }
    }

    fn reach(&mut self, then: Then) {
        match then {
            Then::Switch(number) => {
                let turned = self.bank.switch(number);
                self.happened_all(turned);
            }
            Then::Hold(number) => {
                self.lost_now ^= 1 << number;
                let lost = self.lost_now >> number & 1 == 1;
                self.happened(if lost { Happening::HoldLost(number) } else { Happening::HoldRegained(number) });
            }
            Then::Trip(number) => {
                self.tripped |= 1 << number;
                self.happened(Happening::Tripped(number));
                self.work_valves();
            }
        }
        self.record();
    }

    /// What its time has come for: valves, duty limits.
    fn due(&mut self, due: f64) {
        self.time = due;
        let limits = self.bank.limits(self.model.plant);
        self.happened_all(limits);
        if self.schedule.next() <= self.time && self.time < self.end {
            self.record();
            self.work_valves();
        }
        self.record();
    }

    /// Moves the valves that are due.
    fn work_valves(&mut self) {
        self.schedule.advance(self.time);
        let wanted = self.schedule.open();
        self.tripped &= wanted;
        let (before, now) = (self.open, wanted & !self.tripped);
        if before == now {
            return;
        }
        self.open = now;
        self.look_up();
        for number in 0..self.stations.len() {
            match (before >> number & 1, now >> number & 1) {
                (0, 1) => self.happened(Happening::ValveOpened(number)),
                (1, 0) => self.happened(Happening::ValveClosed(number)),
                _ => {}
            }
        }
        self.judge_holds();
    }

    /// Which of the open stations hold, after a change of valves.
    fn judge_holds(&mut self) {
        let pressure = self.model.pressure(&self.state, self.model.last());
        let lost =
            self.demand().kinks().iter().filter(|kink| pressure < kink.0).fold(0, |mask, kink| mask | 1 << kink.1);
        let before = std::mem::replace(&mut self.lost_now, lost);
        let open = self.open;
        for number in (0..self.stations.len()).filter(|number| open >> number & 1 == 1) {
            match (before >> number & 1, lost >> number & 1) {
                (0, 1) => self.happened(Happening::HoldLost(number)),
                (1, 0) => self.happened(Happening::HoldRegained(number)),
                _ => {}
            }
        }
    }

    fn happened_all(&mut self, events: impl IntoIterator<Item = Happening>) {
        events.into_iter().for_each(|event| self.happened(event));
    }

    fn happened(&mut self, event: Happening) {
        self.events.push((Time::clamped(self.time), event));
    }

    /// Samples at the equal gaps before a time, from inside a step.
    fn sample_until(&mut self, until: f64, step: &Step<6>) {
        while self.next_sample < until {
            let state = step.at((self.next_sample - self.time) / step.seconds);
            self.samples.push(self.moment(self.next_sample, &state));
            self.next_sample += self.gap;
        }
    }

    /// A sample now.
    fn record(&mut self) {
        self.samples.push(self.moment(self.time, &self.state));
        if self.next_sample <= self.time {
            self.next_sample += self.gap;
        }
    }

    fn moment(&self, time: f64, state: &State) -> Moment {
        let plant = self.model.plant;
        let tanks = 0..plant.tanks.len();
        let mut stations = vec![None; plant.stations.len()];
        let pressure = self.model.pressure(state, self.model.last());
        self.demand().each(plant, pressure, self.demand().holding(self.lost_now), |number, point| {
            stations[number] = Some(StationMoment {
                nozzle: plant.gauge(point.nozzle),
                regulator_out: plant.gauge(point.regulator_out),
                flow: MassRate::clamped(point.flow),
                holds: self.lost_now >> number & 1 == 0,
            });
        });
        Moment {
            at: Time::clamped(time),
            receivers: tanks.clone().map(|tank| plant.gauge(self.model.pressure(state, tank))).collect(),
            gas: tanks.map(|tank| Temperature::clamped(self.model.temperature(state, tank))).collect(),
            running: self.bank.machines.iter().map(Machine::runs).collect(),
            stations,
        }
    }

    fn finish(self) -> Course {
        let stations = self.stations.iter().map(|&[blasted, held, lost]| StationCourse {
            blasted: Mass::clamped(blasted),
            held: Time::clamped(held),
            lost: Time::clamped(lost),
        });
        let units = self.model.plant.machines.iter();
        Course {
            stations: stations.collect(),
            balance: self.balance(),
            machines: units.zip(&self.bank.machines).map(|(unit, machine)| self.machine(unit, machine)).collect(),
            length: Time::clamped(self.time),
            samples: self.samples,
            events: self.events,
        }
    }

    fn balance(&self) -> Balance {
        let [delivered, drawn] = [self.state[DELIVERED], self.state[DRAWN]];
        let blasted: f64 = self.stations.iter().map(|sums| sums[0]).sum();
        let after = self.state[0] + self.state[2];
        let left_over = self.stored_before + delivered - after - blasted - self.purged - self.leaked;
        Balance {
            delivered: Mass::clamped(delivered),
            blasted: Mass::clamped(blasted),
            purged: Mass::clamped(self.purged),
            leaked: Mass::clamped(self.leaked),
            stored_before: Mass::clamped(self.stored_before),
            stored_after: Mass::clamped(after),
            residual: left_over / (delivered + drawn).max(self.stored_before * f64::EPSILON),
        }
    }

    fn machine(&self, unit: &Unit, machine: &Machine) -> MachineCourse {
        let capacity = unit.duty.capacity_s();
        MachineCourse {
            ran: Time::clamped(machine.ran),
            starts: machine.starts,
            share: Fraction::clamped(machine.ran / self.time.max(f64::MIN_POSITIVE)),
            warmest: if capacity > 0.0 { machine.warmest / capacity } else { 0.0 },
            power: unit.power,
        }
    }
}
