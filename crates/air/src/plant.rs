//! A network as plain SI numbers, and its balance at one pressure: the solver's own picture of it.
//!
//! Everything below a regulator is a plain formula of the *nozzle's* inlet pressure (see `chain`).
//! The same goes for everything below a split and the pressure there: flows add up, and the parts
//! above lift the pressure by what that flow costs. So one bracketed root for each split, and none
//! at all for a table.

use crate::gas::{RT, psi};
use crate::hose::Run;
use crate::machine::{Curve, Duty};
use crate::nozzle::{bore_area, loaded_discharge, worn};
use crate::part::{Part, PartKind};
use crate::root::falling_root;
use crate::tree::{Tree, Twig, TwigEnd};
use crate::{Conductance, Discharge, Loading, Site};
use quantity::{Diameter, GaugePressure, Power, Quantity};

/// A bit for each station: whether its blast valve is open.
pub(crate) type Mask = u64;

/// The whole network.
#[derive(Debug, Clone)]
pub(crate) struct Plant {
    /// Pressure of the site, Pa.
    pub(crate) site: f64,
    pub(crate) machines: Vec<Unit>,
    pub(crate) tanks: Vec<Tank>,
    pub(crate) link: Vec<Placed>,
    pub(crate) outlet: Branch,
    pub(crate) stations: Vec<Station>,
}

/// A compressor; absolute pressures, kg/s.
#[derive(Debug, Clone)]
pub(crate) struct Unit {
    pub(crate) part: usize,
    pub(crate) path: Vec<Placed>,
    pub(crate) curve: Curve,
    pub(crate) cut_in: f64,
    pub(crate) cut_out: f64,
    pub(crate) duty: Duty,
    pub(crate) power: Power,
    pub(crate) switched_on: bool,
}

/// A receiver.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Tank {
    pub(crate) part: usize,
    /// m³.
    pub(crate) volume: f64,
    /// W/K.
    pub(crate) wall: f64,
    /// `Cd A / sqrt(R T)` of its leaks, s m.
    pub(crate) leak: f64,
}

/// A part that air passes, with its place in the list.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Placed {
    pub(crate) part: usize,
    pub(crate) element: Element,
}

/// What a part does to flow and pressure.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Element {
    /// Nothing at all.
    Free,
    Run(Run),
    Valve(Conductance),
    /// A valve that blows off a share of what goes in.
    Purge(Conductance, f64),
}

/// Parts in a row, in the air's order, and what they end in.
#[derive(Debug, Clone)]
pub(crate) struct Branch {
    pub(crate) parts: Vec<Placed>,
    pub(crate) end: End,
    /// Stations below.
    pub(crate) mask: Mask,
}

/// What a row of parts ends in.
#[derive(Debug, Clone)]
pub(crate) enum End {
    Station(usize),
    Split(Vec<Branch>),
}

/// From the regulator to the nozzle.
#[derive(Debug, Clone)]
pub(crate) struct Station {
    pub(crate) regulator: usize,
    pub(crate) tip: usize,
    /// Absolute.
    pub(crate) set: f64,
    droop: f64,
    pub(crate) valve: Conductance,
    pub(crate) after: Vec<Placed>,
    /// `Cd A / sqrt(R T)`, s m.
    nozzle: f64,
    site: f64,
    /// Receiver pressure below which it is shut off, absolute.
    pub(crate) trip: Option<f64>,
    /// While the regulator holds.
    pub(crate) held: Point,
}

/// A station with its valve open; absolute Pa and kg/s.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Point {
    pub(crate) nozzle: f64,
    /// Through the nozzle.
    pub(crate) flow: f64,
    pub(crate) regulator_out: f64,
    /// Through the regulator: more, where a part behind it blows off.
    pub(crate) drawn: f64,
}

impl Element {
    fn of(kind: &PartKind) -> Option<Self> {
        let valve = |passes: Conductance| if passes == Conductance::WIDE { Self::Free } else { Self::Valve(passes) };
        Some(match kind {
            PartKind::Pipe(run) | PartKind::Hose(run) => Self::Run(Run::of(*run)),
            PartKind::Fitting(passes) | PartKind::Valve(passes) => valve(*passes),
            PartKind::Aftercooler(cooler) => valve(cooler.passes),
            PartKind::Separator(trap) | PartKind::Filter(trap) => valve(trap.passes),
            PartKind::Dryer(dryer) => Self::Purge(dryer.passes, dryer.purge.to_ratio()),
            PartKind::Pot(pot) => valve(pot.passes),
            _ => return None,
        })
    }

    /// Flow into the part and its inlet pressure, for a flow out of it and its outlet pressure. A
    /// part that chokes needs more than the outlet tells: its own exit is then above that.
    pub(crate) fn lift(&self, flow: f64, outlet: f64) -> (f64, f64) {
        match self {
            Self::Free => (flow, outlet),
            Self::Run(run) => (flow, run.inlet(outlet.max(run.choking_pressure(flow)), flow)),
            Self::Valve(valve) => (flow, valve.inlet_for(flow, outlet)),
            Self::Purge(valve, share) => {
                let flow_in = flow / (1.0 - share);
                (flow_in, valve.inlet_for(flow_in, outlet))
            }
        }
    }

    /// Flow out of the part and its outlet pressure, for the flow into it and its inlet pressure.
    /// Where the part chokes, the outlet is the lowest that passes the flow.
    pub(crate) fn fall(&self, flow: f64, inlet: f64) -> (f64, f64) {
        match self {
            Self::Free => (flow, inlet),
            Self::Run(run) => (flow, run.outlet(inlet, flow).unwrap_or_else(|| run.choking_pressure(flow).min(inlet))),
            Self::Valve(valve) => (flow, valve.outlet_for(flow, inlet)),
            Self::Purge(valve, share) => (flow * (1.0 - share), valve.outlet_for(flow, inlet)),
        }
    }
}

/// Flow and pressure at the head of parts in a row, for those at their tail.
pub(crate) fn lift(parts: &[Placed], flow: f64, outlet: f64) -> (f64, f64) {
    parts.iter().rev().fold((flow, outlet), |(flow, pressure), placed| placed.element.lift(flow, pressure))
}

impl Plant {
    pub(crate) fn of(site: &Site, parts: &[Part], tree: &Tree) -> Self {
        let pressure = site.pressure.to_pascals();
        let mut stations = Vec::new();
        let outlet = branch(parts, &tree.outlet, pressure, &mut stations);
        let machines = tree.sources.iter().filter_map(|source| {
            let PartKind::Compressor(machine) = &parts[source.machine].kind else { return None };
            Some(Unit {
                part: source.machine,
                path: placed(parts, &source.path),
                curve: Curve::of(&machine.delivery, site),
                cut_in: pressure + machine.cut_in.to_pascals(),
                cut_out: pressure + machine.cut_out.to_pascals(),
                duty: machine.duty,
                power: machine.power,
                switched_on: machine.switched_on,
            })
        });
        let tanks = tree.receivers.iter().filter_map(|&part| {
            let PartKind::Receiver(vessel) = &parts[part].kind else { return None };
            let hole = vessel.leak.map_or(0.0, |bore| Discharge::SHARP.to_ratio() * bore_area(bore));
            let (volume, wall) = (vessel.volume.to_cubic_metres(), vessel.wall_w_per_k());
            Some(Tank { part, volume, wall, leak: hole / RT.sqrt() })
        });
        Self {
            site: pressure,
            machines: machines.collect(),
            tanks: tanks.collect(),
            link: placed(parts, &tree.link),
            outlet,
            stations,
        }
    }

    /// Highest cut-out of what is switched on.
    pub(crate) fn full(&self) -> f64 {
        self.machines.iter().filter(|unit| unit.switched_on).map(|unit| unit.cut_out).fold(0.0, f64::max)
    }

    pub(crate) fn gauge(&self, absolute: f64) -> GaugePressure {
        GaugePressure::clamped(absolute - self.site)
    }

    pub(crate) fn absolute(&self, gauge: GaugePressure) -> f64 {
        self.site + gauge.to_pascals()
    }

    /// Every station's state at a pressure of the last receiver; none where its valve is closed.
    pub(crate) fn balance(&self, pressure: f64, mask: Mask) -> Vec<Option<Point>> {
        let mut points = vec![None; self.stations.len()];
        self.settle(&self.outlet, pressure.max(self.site), mask, &mut points);
        points
    }

    /// Flow into a branch at its inlet pressure; each open station's state goes to `points`.
    fn settle(&self, branch: &Branch, inlet: f64, mask: Mask, points: &mut [Option<Point>]) -> f64 {
        if branch.mask & mask == 0 {
            return 0.0;
        }
        match &branch.end {
            End::Station(number) => {
                let point = self.station_at(*number, branch, inlet);
                points[*number] = Some(point);
                lift(&branch.parts, point.drawn, inlet).0
            }
            End::Split(rows) => {
                let flow = |pressure: f64, points: &mut [Option<Point>]| -> f64 {
                    rows.iter().map(|row| self.settle(row, pressure, mask, points)).sum()
                };
                let excess = |pressure: f64| {
                    let mut unused = vec![None; self.stations.len()];
                    inlet - lift(&branch.parts, flow(pressure, &mut unused), pressure).1
                };
                let split = if branch.parts.is_empty() { inlet } else { falling_root(self.site, inlet, excess) };
                lift(&branch.parts, flow(split, points), split).0
            }
        }
    }

    fn station_at(&self, number: usize, branch: &Branch, inlet: f64) -> Point {
        let station = &self.stations[number];
        let needs = |point: &Point| lift(&branch.parts, point.drawn, station.needs(point)).1;
        if inlet >= needs(&station.held) {
            return station.held;
        }
        let excess = |nozzle: f64| inlet - needs(&station.at_nozzle(nozzle));
        station.at_nozzle(falling_root(self.site, station.held.nozzle, excess))
    }
}

impl Station {
    fn of(parts: &[Part], regulator: usize, after: &[usize], tip: usize, site: f64) -> Self {
        let loading = loading(parts, after.iter());
        let (nozzle, trip) = match &parts[tip].kind {
            PartKind::Nozzle(t) | PartKind::Gun(t) => {
                let bore = worn(t.bore, t.worn).unwrap_or(t.bore);
                let trip = t.trips_below.map(|gauge| site + gauge.to_pascals());
                (passes(bore, t.discharge, loading), trip)
            }
            _ => (0.0, None),
        };
        let (set, droop, valve) = match &parts[regulator].kind {
            PartKind::Regulator(r) => (site + r.set.to_pascals(), r.droop.pascals_per_kg_per_second(), r.valve),
            _ => (site, 0.0, Conductance::WIDE),
        };
        let after = placed(parts, after);
        let mut station = Self { regulator, tip, set, droop, valve, after, nozzle, site, trip, held: Point::default() };
        station.held = station.while_held();
        station
    }

    /// The same with another setting and another bore.
    pub(crate) fn changed(&self, parts: &[Part], set: GaugePressure, bore: Diameter) -> Self {
        let loading = loading(parts, self.after.iter().map(|placed| &placed.part));
        let nozzle = match &parts[self.tip].kind {
            PartKind::Nozzle(tip) | PartKind::Gun(tip) => passes(bore, tip.discharge, loading),
            _ => self.nozzle,
        };
        let mut station = Self { set: self.site + set.to_pascals(), nozzle, ..self.clone() };
        station.held = station.while_held();
        station
    }

    /// The state at a nozzle inlet pressure, at or above the site's.
    pub(crate) fn at_nozzle(&self, nozzle: f64) -> Point {
        let flow = self.nozzle * nozzle * psi(self.site / nozzle);
        let (drawn, regulator_out) = lift(&self.after, flow, nozzle);
        Point { nozzle, flow, regulator_out, drawn }
    }

    /// Inlet pressure that the fully open regulator needs for a state.
    pub(crate) fn needs(&self, point: &Point) -> f64 {
        self.valve.inlet_for(point.drawn, point.regulator_out)
    }

    fn while_held(&self) -> Point {
        let excess = |nozzle: f64| {
            let point = self.at_nozzle(nozzle);
            self.set - self.droop * point.drawn - point.regulator_out
        };
        self.at_nozzle(falling_root(self.site, self.set, excess))
    }
}

/// Abrasive that the pot of a station adds.
fn loading<'a>(parts: &[Part], mut after: impl Iterator<Item = &'a usize>) -> Loading {
    let of_a_pot = |&place: &usize| match &parts[place].kind {
        PartKind::Pot(pot) => Some(pot.loading),
        _ => None,
    };
    after.find_map(of_a_pot).unwrap_or(Loading::NONE)
}

/// `Cd A / sqrt(R T)` of a bore, s m.
fn passes(bore: Diameter, discharge: Discharge, loading: Loading) -> f64 {
    loaded_discharge(discharge, loading, bore).to_ratio() * bore_area(bore) / RT.sqrt()
}

fn placed(parts: &[Part], places: &[usize]) -> Vec<Placed> {
    places.iter().filter_map(|&part| Some(Placed { part, element: Element::of(&parts[part].kind)? })).collect()
}

fn branch(parts: &[Part], twig: &Twig, site: f64, stations: &mut Vec<Station>) -> Branch {
    let (end, mask) = match &twig.end {
        TwigEnd::Station { regulator, after, tip } => {
            stations.push(Station::of(parts, *regulator, after, *tip, site));
            (End::Station(stations.len() - 1), 1 << (stations.len() - 1))
        }
        TwigEnd::Split(rows) => {
            let rows: Vec<Branch> = rows.iter().map(|row| branch(parts, row, site, stations)).collect();
            let mask = rows.iter().fold(0, |mask, row| mask | row.mask);
            (End::Split(rows), mask)
        }
    };
    Branch { parts: placed(parts, &twig.parts), end, mask }
}
