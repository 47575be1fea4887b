//! A network in balance at one receiver pressure: the pressure at every part, and where each bit of
//! it goes.

use crate::network::Network;
use crate::part::PartKind;
use crate::plant::{Branch, End, Mask, Placed, Plant, Point, Station, lift};
use language::say;
use quantity::{GaugePressure, MassRate, Quantity};

/// What a steady balance is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings<'a> {
    /// Pressure of the last receiver.
    pub receiver: GaugePressure,
    /// Names of the stations whose blast valve is open.
    pub open: Open<'a>,
}

/// Which stations blast.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Open<'a> {
    /// All of them.
    All,
    /// Those of these names.
    These(&'a [&'a str]),
}

/// A station's name that is not there.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}", say!("no station is called \"{given}\"; the stations are {known}"))]
pub struct UnknownStation {
    /// What was given.
    pub given: String,
    /// Names there are.
    pub known: String,
}

/// The network in balance.
#[derive(Debug, Clone, PartialEq)]
pub struct Ladder {
    /// Every part that air flows through, in its order: compressors' side, link, then each branch.
    pub rungs: Vec<Rung>,
    /// Every open station.
    pub stations: Vec<StationState>,
    /// Air out of the last receiver.
    pub flow: MassRate,
}

/// The fall of pressure over one part.
#[derive(Debug, Clone, PartialEq)]
pub struct Rung {
    /// The part's name.
    pub part: String,
    /// What it is.
    pub word: &'static str,
    /// Before it.
    pub inlet: GaugePressure,
    /// Behind it.
    pub outlet: GaugePressure,
    /// Air into it.
    pub flow: MassRate,
    /// Whether it passes no more, whatever is behind it.
    pub choked: bool,
    /// The station whose branch it is in; none where it is shared.
    pub station: Option<String>,
}

impl Rung {
    /// Pressure lost in it, Pa.
    #[must_use]
    pub fn loss_pa(&self) -> f64 {
        self.inlet.to_pascals() - self.outlet.to_pascals()
    }
}

/// One station in balance.
#[derive(Debug, Clone, PartialEq)]
pub struct StationState {
    /// Its name.
    pub station: String,
    /// Air through the nozzle.
    pub flow: MassRate,
    /// At the regulator's outlet.
    pub regulator_out: GaugePressure,
    /// At the nozzle's inlet: what the work sees.
    pub nozzle: GaugePressure,
    /// Whether the regulator holds; else it is fully open.
    pub holds: bool,
    /// Lowest pressure of the last receiver at which it holds, with these stations open.
    pub holds_from: GaugePressure,
}

impl Network {
    /// The balance at a pressure of the last receiver, with some stations open.
    ///
    /// The same mass through every part of a branch, flows added where branches meet, each outlet
    /// the next inlet: pipes and hoses as [`crate::Hose::outlet`], parts by ISO 6358, regulators as
    /// [`crate::Regulator`], nozzles as [`crate::nozzle::mass_flow`] with wear and loading. Above the
    /// first receiver the compressors' whole delivery flows. All at 20 °C. A receiver at or below
    /// the site's pressure gives no flow.
    ///
    /// Checked: reference system A of air.md section 6, held: 225.679 l/min ANR, 3.7952 bar gauge.
    ///
    /// # Errors
    /// [`UnknownStation`] for a name that is not there.
    pub fn steady(&self, settings: &Settings) -> Result<Ladder, UnknownStation> {
        let mask = self.mask(settings.open)?;
        let plant = &self.plant;
        let pressure = plant.absolute(settings.receiver).max(plant.site);
        let points = plant.balance(pressure, mask);
        let mut climb = Climb { network: self, points: &points, rungs: Vec::new() };
        climb.supply(pressure);
        let flow = climb.branch(&plant.outlet, pressure);
        climb.link(pressure, flow);
        let rungs = climb.rungs;
        let demand = crate::profile::Demand::of(plant, mask);
        let states = points.iter().enumerate().filter_map(|(number, point)| Some((number, (*point)?)));
        let stations = states.map(|(number, point)| self.state(number, &point, pressure, demand.kinks())).collect();
        Ok(Ladder { rungs, stations, flow: MassRate::clamped(flow) })
    }

    fn state(&self, number: usize, point: &Point, pressure: f64, kinks: &[(f64, usize)]) -> StationState {
        let holds_from = kinks.iter().find(|kink| kink.1 == number).map_or(0.0, |kink| kink.0);
        StationState {
            station: self.parts()[self.plant.stations[number].tip].name.clone(),
            flow: MassRate::clamped(point.flow),
            regulator_out: self.plant.gauge(point.regulator_out),
            nozzle: self.plant.gauge(point.nozzle),
            holds: pressure >= holds_from,
            holds_from: self.plant.gauge(holds_from),
        }
    }

    pub(crate) fn mask(&self, open: Open) -> Result<Mask, UnknownStation> {
        match open {
            Open::All => Ok(self.plant.outlet.mask),
            Open::These(names) => names.iter().try_fold(0, |mask, name| Ok(mask | 1 << self.station_number(name)?)),
        }
    }

    pub(crate) fn station_number(&self, name: &str) -> Result<usize, UnknownStation> {
        let unknown =
            || UnknownStation { given: name.to_owned(), known: self.stations().collect::<Vec<_>>().join(", ") };
        self.stations().position(|station| station == name).ok_or_else(unknown)
    }
}

/// Goes down the network with the air and notes every part.
struct Climb<'a> {
    network: &'a Network,
    points: &'a [Option<Point>],
    rungs: Vec<Rung>,
}

impl Climb<'_> {
    fn plant(&self) -> &Plant {
        &self.network.plant
    }

    fn note(&mut self, part: usize, flow: f64, inlet: f64, outlet: f64, station: Option<usize>) {
        let parts = self.network.parts();
        let choked = match &parts[part].kind {
            PartKind::Pipe(run) | PartKind::Hose(run) => {
                outlet <= crate::hose::Run::of(*run).choking_pressure(flow) * (1.0 + 1e-6)
            }
            PartKind::Nozzle(_) | PartKind::Gun(_) => outlet <= crate::gas::CRITICAL_RATIO * inlet,
            _ => false,
        };
        let plant = self.plant();
        self.rungs.push(Rung {
            part: parts[part].name.clone(),
            word: parts[part].kind.word(),
            inlet: plant.gauge(inlet),
            outlet: plant.gauge(outlet),
            flow: MassRate::clamped(flow),
            choked: choked && flow > 0.0,
            station: station.map(|number| parts[plant.stations[number].tip].name.clone()),
        });
    }

    /// From each compressor to the first receiver, at the compressors' full delivery.
    fn supply(&mut self, receiver: f64) {
        let mut flows: Vec<(Placed, f64)> = Vec::new();
        for unit in self.plant().machines.clone().iter().filter(|unit| unit.switched_on) {
            let rate = unit.curve.rate(receiver);
            for placed in &unit.path {
                match flows.iter_mut().find(|(known, _)| known.part == placed.part) {
                    Some((_, flow)) => *flow += rate,
                    None => flows.push((*placed, rate)),
                }
            }
        }
        let mut rungs: Vec<(usize, f64, f64, f64)> = Vec::new();
        for unit in self.plant().machines.clone().iter().filter(|unit| unit.switched_on) {
            let mut pressure = receiver;
            for placed in unit.path.iter().rev() {
                let flow = flows.iter().find(|(known, _)| known.part == placed.part).map_or(0.0, |(_, flow)| *flow);
                let inlet = placed.element.lift(flow, pressure).1;
                if !rungs.iter().any(|&(part, ..)| part == placed.part) {
                    rungs.push((placed.part, flow, inlet, pressure));
                }
                pressure = inlet;
            }
        }
        rungs.iter().rev().for_each(|&(part, flow, inlet, outlet)| self.note(part, flow, inlet, outlet, None));
    }

    /// Between two receivers, at the flow drawn: as it is when both have settled.
    fn link(&mut self, last: f64, flow: f64) {
        let link = self.plant().link.clone();
        let before = self.rungs.len();
        let mut pressure = last;
        for placed in link.iter().rev() {
            let inlet = placed.element.lift(flow, pressure).1;
            self.note(placed.part, flow, inlet, pressure, None);
            pressure = inlet;
        }
        self.rungs[before..].reverse();
    }

    /// A branch from its inlet down; returns the flow into it.
    fn branch(&mut self, branch: &Branch, inlet: f64) -> f64 {
        match &branch.end {
            End::Station(number) => {
                let Some(point) = self.points[*number] else { return 0.0 };
                let flow = lift(&branch.parts, point.drawn, inlet).0;
                let reached = self.down(&branch.parts, flow, inlet, Some(*number));
                self.station(*number, &point, reached);
                flow
            }
            End::Split(rows) => {
                let drawn: f64 = rows.iter().map(|row| self.drawn(row)).sum();
                let flow = lift(&branch.parts, drawn, inlet).0;
                let reached = self.down(&branch.parts, flow, inlet, None);
                rows.iter().for_each(|row| {
                    self.branch(row, reached);
                });
                flow
            }
        }
    }

    fn drawn(&self, branch: &Branch) -> f64 {
        let drawn = match &branch.end {
            End::Station(number) => self.points[*number].map_or(0.0, |point| point.drawn),
            End::Split(rows) => rows.iter().map(|row| self.drawn(row)).sum(),
        };
        lift(&branch.parts, drawn, self.plant().site).0
    }

    fn down(&mut self, parts: &[Placed], flow: f64, inlet: f64, station: Option<usize>) -> f64 {
        let (mut flow, mut pressure) = (flow, inlet);
        for placed in parts {
            let (left, outlet) = placed.element.fall(flow, pressure);
            self.note(placed.part, flow, pressure, outlet, station);
            (flow, pressure) = (left, outlet);
        }
        pressure
    }

    /// From the regulator to the nozzle. Pressures behind the regulator come from the nozzle upwards.
    fn station(&mut self, number: usize, point: &Point, inlet: f64) {
        let Station { regulator, tip, after, .. } = self.plant().stations[number].clone();
        self.note(regulator, point.drawn, inlet, point.regulator_out, Some(number));
        let mut levels = vec![(point.flow, point.nozzle)];
        for placed in after.iter().rev() {
            let (flow, pressure) = levels[levels.len() - 1];
            levels.push(placed.element.lift(flow, pressure));
        }
        levels.reverse();
        for (placed, pair) in after.iter().zip(levels.windows(2)) {
            self.note(placed.part, pair[0].0, pair[0].1, pair[1].1, Some(number));
        }
        self.note(tip, point.flow, point.nozzle, self.plant().site, Some(number));
    }
}
