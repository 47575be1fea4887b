//! Water along a network: where it falls out, what the nozzle gets, when to drain, what may clog.

use crate::iso8573::{Class, water_by_dew_point, water_by_liquid};
use crate::ladder::{Ladder, Open, Settings, UnknownStation};
use crate::moisture::{Moist, MoistureError, VapourPressure};
use crate::network::Network;
use crate::nozzle::full_expansion;
use crate::part::{Part, PartKind};
use crate::plant::{Branch, End};
use crate::{MachineKind, Stagnation};
use language::say;
use quantity::{AbsolutePressure, Fraction, GaugePressure, MassRate, Quantity, Temperature, Time, Volume};
use std::f64::consts::PI;

/// How the line is used while water is looked at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DampSettings<'a> {
    /// Pressure of the receivers.
    pub receiver: GaugePressure,
    /// Which stations blast.
    pub open: Open<'a>,
    /// Share of the time that the compressors run: 1 for one that never rests.
    pub running: Fraction,
    /// Temperature around receivers, pipes and hoses.
    pub room: Temperature,
    /// Parts that were once used behind a lubricator, or with oily air, by name.
    pub lubricated: &'a [&'a str],
}

/// Water along the line.
#[derive(Debug, Clone, PartialEq)]
pub struct Dampness {
    /// Water drawn in, averaged over the time.
    pub drawn_in: MassRate,
    /// Every part in the air's order.
    pub parts: Vec<DampPart>,
    /// Every open station.
    pub stations: Vec<DampStation>,
    /// Parts that may bring oil into the stream.
    pub oil: Vec<OilRisk>,
}

/// Water at one part.
#[derive(Debug, Clone, PartialEq)]
pub struct DampPart {
    /// Its name.
    pub part: String,
    /// What it is.
    pub word: &'static str,
    /// Air leaving it.
    pub temperature: Temperature,
    /// Pressure behind it.
    pub pressure: GaugePressure,
    /// Pressure dew point of the air leaving it, none where there is hardly any vapour.
    pub dew_point: Option<Temperature>,
    /// Relative humidity of the air leaving it.
    pub humidity: Fraction,
    /// Water that turns liquid in it.
    pub condenses: MassRate,
    /// Water that stays in it until it is drained.
    pub collects: MassRate,
    /// Liquid that goes on with the air.
    pub carried_on: MassRate,
    /// Longest time between two drainings of its bowl; none where nothing collects or it has none.
    pub drain_every: Option<Time>,
}

/// Water at the end of a station.
#[derive(Debug, Clone, PartialEq)]
pub struct DampStation {
    /// Its name.
    pub station: String,
    /// Dew point at the nozzle's inlet pressure.
    pub dew_point: Option<Temperature>,
    /// Dew or frost point when let out.
    pub released: Option<Temperature>,
    /// Relative humidity at the nozzle's inlet.
    pub humidity: Fraction,
    /// Liquid that reaches the nozzle.
    pub liquid: MassRate,
    /// Coldest that the jet could be: expanded without loss.
    pub jet: Option<Temperature>,
    /// Temperature behind the regulator.
    pub regulator: Temperature,
    /// What is to be feared.
    pub clog: Clogging,
    /// Water class by ISO 8573-1.
    pub water: Class,
}

/// What water may do at a station, worst last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Clogging {
    /// Nothing falls out, even in the jet.
    Dry,
    /// Fog or frost only in the jet itself, for microseconds; common practice is to accept it.
    FogInJet,
    /// No liquid yet, but the air is within 5 K of its dew point: a cold pot or hose makes some.
    NearlyWet,
    /// Liquid reaches the abrasive: it cakes and the nozzle clogs.
    Wet,
    /// The regulator is below freezing with saturated air: ice may block it.
    IceInRegulator,
}

/// A part that may bring oil, and why. Oil cakes abrasive and keeps resist and paint from sticking
/// (common practice, no source).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OilRisk {
    /// Its name.
    pub part: String,
    /// Why.
    pub why: OilCause,
}

/// Where oil comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OilCause {
    /// The part was used behind a lubricator and keeps releasing oil.
    Lubricated,
    /// A flooded compressor without a filter behind it.
    FloodedCompressor,
}

/// Why water along the line could not be computed.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum DampError {
    /// A station that is not there.
    #[error(transparent)]
    Station(#[from] UnknownStation),
    /// A state in which water boils.
    #[error("{}", say!("\"{part}\": {fault}"))]
    At {
        /// The part.
        part: String,
        /// What is wrong.
        #[source]
        fault: MoistureError,
    },
}

/// Share of the drops that settle in a receiver. Own judgement; no measurement was met.
const SETTLES: f64 = 0.95;
/// Heat transfer of a pipe or hose to still air, W/(m² K): as of a receiver's wall (from memory).
const PIPE_W_PER_M2_K: f64 = 8.0;
/// Specific heat of air, J/(kg K).
const CP: f64 = 1004.7;
/// Fall of temperature of air let down without work, K for each Pa: 0.233 K/bar. Source: read off
/// CoolProp 8.0.0 at 20 °C (air.md section 4: 9 to 5 bar 0.93 K, 11 to 4 bar 1.63 K).
const JOULE_THOMSON_K_PA: f64 = 0.233e-5;
/// How near its dew point air counts as nearly wet, K. Own choice: a hose on a cold floor.
const NEAR_K: f64 = 5.0;

/// Temperature of air that a regulator has let down: it falls by 0.233 K for each bar.
///
/// Range: near 20 °C, up to 11 bar absolute, within 0.02 K of CoolProp. Source: see air.md section 4.
#[must_use]
pub fn let_down(temperature: Temperature, from: AbsolutePressure, to: AbsolutePressure) -> Temperature {
    let fall = JOULE_THOMSON_K_PA * (from.to_pascals() - to.to_pascals());
    Temperature::clamped(temperature.to_kelvins() - fall)
}

/// Air on its way: masses of water for each mass of dry air.
#[derive(Debug, Clone, Copy)]
struct Parcel {
    vapour: f64,
    liquid: f64,
    kelvins: f64,
    pressure: f64,
    /// Dry air, kg/s averaged over the time.
    mean: f64,
    /// Air while it flows, kg/s.
    flowing: f64,
}

impl Network {
    /// Water along the line at a steady use of it.
    ///
    /// Air is drawn in with its vapour, leaves the compressors at [`MachineKind::discharge`], and at
    /// each part takes that part's temperature and pressure; what is above saturation falls out, and
    /// what had fallen out and was not caught dries up again where there is room. Temperatures: an
    /// aftercooler `T_room + approach`; a receiver `T_room + (T_in - T_room) m cp/(m cp + UA)` with the
    /// *average* flow, so that a compressor that never rests fills a warmer receiver, which catches
    /// less; pipe and hose `T_room + (T_in - T_room) exp(-UA/(m cp))`; a regulator by [`let_down`].
    ///
    /// Ideal moist air, in equilibrium: within 1 % of real air where much falls out (air.md section 4).
    /// Heat transfer of walls is a textbook size; 20 % of it moves a receiver by 2 K. Caught shares are
    /// the parts' own. Checked: the condensate rows of air.md section 4 on a receiver alone.
    ///
    /// # Errors
    /// [`DampError`].
    pub fn moisture(&self, settings: &DampSettings) -> Result<Dampness, DampError> {
        let ladder = self.steady(&Settings { receiver: settings.receiver, open: settings.open })?;
        let mut walk = Walk { network: self, settings, ladder: &ladder, parts: Vec::new(), stations: Vec::new() };
        let (drawn_in, mut parcel) = walk.supply()?;
        for (place, tank) in self.plant.tanks.iter().enumerate() {
            if place > 0 {
                for placed in &self.plant.link {
                    parcel = walk.pass(placed.part, parcel, None);
                }
            }
            parcel = walk.pass(tank.part, parcel, Some(tank.wall));
        }
        walk.branch(&self.plant.outlet, parcel);
        let Walk { parts, stations, .. } = walk;
        Ok(Dampness { drawn_in: MassRate::clamped(drawn_in), parts, stations, oil: self.oil(settings.lubricated) })
    }

    fn oil(&self, lubricated: &[&str]) -> Vec<OilRisk> {
        let filtered = self.parts().iter().any(|part| matches!(part.kind, PartKind::Filter(_)));
        let cause = |part: &Part| match &part.kind {
            _ if lubricated.contains(&part.name.as_str()) => Some(OilCause::Lubricated),
            PartKind::Compressor(machine) if machine.kind == MachineKind::Screw && !filtered => {
                Some(OilCause::FloodedCompressor)
            }
            _ => None,
        };
        self.parts().iter().filter_map(|part| Some(OilRisk { part: part.name.clone(), why: cause(part)? })).collect()
    }
}

struct Walk<'a> {
    network: &'a Network,
    settings: &'a DampSettings<'a>,
    ladder: &'a Ladder,
    parts: Vec<DampPart>,
    stations: Vec<DampStation>,
}

impl Walk<'_> {
    fn part(&self, place: usize) -> &Part {
        &self.network.parts()[place]
    }

    fn room(&self) -> f64 {
        self.settings.room.to_kelvins()
    }

    /// From every compressor to the first receiver; returns water drawn in and the mixed air.
    fn supply(&mut self) -> Result<(f64, Parcel), DampError> {
        let (site, plant) = (*self.network.site(), &self.network.plant);
        let receiver = plant.absolute(self.settings.receiver);
        let moist = Moist::at(site.pressure.to_pascals(), site.temperature.to_kelvins());
        let mut mixed: Option<Parcel> = None;
        let mut drawn_in = 0.0;
        for unit in plant.machines.iter().filter(|unit| unit.switched_on) {
            let PartKind::Compressor(machine) = &self.part(unit.part).kind else { continue };
            let fault = |fault| DampError::At { part: self.part(unit.part).name.clone(), fault };
            let vapour = moist.ratio(site.humidity.to_ratio()).map_err(fault)?;
            let flowing = unit.curve.rate(receiver);
            let mean = flowing * self.settings.running.to_ratio() / (1.0 + vapour);
            drawn_in += mean * vapour;
            let kelvins = machine.kind.discharge(&site, AbsolutePressure::clamped(receiver)).to_kelvins();
            let mut parcel = Parcel { vapour, liquid: 0.0, kelvins, pressure: receiver, mean, flowing };
            for placed in &unit.path {
                parcel = self.pass(placed.part, parcel, None);
            }
            mixed = Some(mixed.map_or(parcel, |other| other.mixed(&parcel)));
        }
        let idle =
            Parcel { vapour: 0.0, liquid: 0.0, kelvins: self.room(), pressure: receiver, mean: 0.0, flowing: 0.0 };
        Ok((drawn_in, mixed.unwrap_or(idle)))
    }

    /// Air through a part: its temperature and pressure, what falls out, what is caught.
    fn pass(&mut self, place: usize, parcel: Parcel, wall: Option<f64>) -> Parcel {
        let part = self.part(place);
        let pressure = self.pressure_behind(&part.name, parcel.pressure);
        let kelvins = self.temperature_behind(&part.kind, &parcel, pressure, wall);
        let mut after = Parcel { kelvins, pressure, ..parcel };
        let mut collected = 0.0;
        if let PartKind::Dryer(dryer) = &part.kind {
            let driest = Moist::at(pressure, dryer.dew_point.to_kelvins()).most();
            collected = after.liquid + (after.vapour - driest).max(0.0);
            (after.liquid, after.vapour) = (0.0, after.vapour.min(driest));
        }
        let most = Moist::at(pressure, kelvins).most();
        let water = after.vapour + after.liquid;
        after.vapour = water.min(most);
        let condenses = (parcel.vapour - after.vapour).max(0.0);
        let liquid = water - after.vapour;
        let caught = liquid * catches(&part.kind);
        after.liquid = liquid - caught;
        collected += caught;
        let row = self.row(part, &after, condenses * after.mean, collected * after.mean);
        self.note(row);
        after
    }

    /// A part that several compressors share has one row: the water of all.
    fn note(&mut self, row: DampPart) {
        match self.parts.iter_mut().find(|known| known.part == row.part) {
            Some(known) => {
                known.condenses = known.condenses + row.condenses;
                known.collects = known.collects + row.collects;
                known.carried_on = known.carried_on + row.carried_on;
                known.drain_every = drain(bowl(self.network, &row.part), known.collects);
            }
            None => self.parts.push(row),
        }
    }

    fn row(&self, part: &Part, after: &Parcel, condenses: f64, collects: f64) -> DampPart {
        let collects = MassRate::clamped(collects);
        let state = Moist::at(after.pressure, after.kelvins);
        DampPart {
            part: part.name.clone(),
            word: part.kind.word(),
            temperature: Temperature::clamped(after.kelvins),
            pressure: self.network.plant.gauge(after.pressure),
            dew_point: state.vapour(after.vapour).dew_point().ok(),
            humidity: Fraction::clamped(state.humidity(after.vapour)),
            condenses: MassRate::clamped(condenses),
            collects,
            carried_on: MassRate::clamped(after.liquid * after.mean),
            drain_every: drain(bowl(self.network, &part.name), collects),
        }
    }

    fn pressure_behind(&self, name: &str, before: f64) -> f64 {
        let rung = self.ladder.rungs.iter().find(|rung| rung.part == name);
        rung.map_or(before, |rung| self.network.plant.absolute(rung.outlet))
    }

    fn temperature_behind(&self, kind: &PartKind, parcel: &Parcel, pressure: f64, wall: Option<f64>) -> f64 {
        let above = parcel.kelvins - self.room();
        let towards = |share: f64| self.room() + above * share;
        match kind {
            PartKind::Aftercooler(cooler) => parcel.kelvins.min(self.room() + cooler.approach_k),
            PartKind::Receiver(_) => {
                let carries = parcel.mean * CP;
                towards(carries / (carries + wall.unwrap_or(0.0)).max(f64::MIN_POSITIVE))
            }
            PartKind::Pipe(run) | PartKind::Hose(run) => {
                let wall = PIPE_W_PER_M2_K * PI * run.bore.to_metres() * run.length.to_metres();
                towards((-wall / (parcel.flowing * CP).max(1e-9)).exp())
            }
            PartKind::Regulator(_) => {
                let absolute = AbsolutePressure::clamped;
                let_down(Temperature::clamped(parcel.kelvins), absolute(parcel.pressure), absolute(pressure))
                    .to_kelvins()
            }
            _ => parcel.kelvins,
        }
    }

    /// A branch with the air that goes into it; where it splits, water goes with the air.
    fn branch(&mut self, branch: &Branch, mut parcel: Parcel) {
        if self.blasts(branch) <= 0.0 {
            return;
        }
        for placed in &branch.parts {
            parcel = self.pass(placed.part, self.at_rate(placed.part, parcel), None);
        }
        match &branch.end {
            End::Station(number) => self.station(*number, parcel),
            End::Split(rows) => {
                let total: f64 = rows.iter().map(|row| self.blasts(row)).sum();
                for row in rows {
                    let mean = parcel.mean * self.blasts(row) / total.max(f64::MIN_POSITIVE);
                    self.branch(row, Parcel { mean, ..parcel });
                }
            }
        }
    }

    fn at_rate(&self, place: usize, parcel: Parcel) -> Parcel {
        let rung = self.ladder.rungs.iter().find(|rung| rung.part == self.part(place).name);
        Parcel { flowing: rung.map_or(parcel.flowing, |rung| rung.flow.to_base()), ..parcel }
    }

    /// Air through the nozzles of a branch, kg/s.
    fn blasts(&self, branch: &Branch) -> f64 {
        let stations = &self.network.plant.stations;
        let below = (0..stations.len()).filter(|number| branch.mask >> number & 1 == 1);
        let names = below.map(|number| self.part(stations[number].tip).name.as_str());
        names
            .filter_map(|name| self.ladder.stations.iter().find(|state| state.station == name))
            .map(|s| s.flow.to_base())
            .sum()
    }

    fn station(&mut self, number: usize, mut parcel: Parcel) {
        let station = &self.network.plant.stations[number];
        parcel = self.pass(station.regulator, parcel, None);
        let regulator = parcel;
        for placed in &station.after {
            parcel = self.pass(placed.part, self.at_rate(placed.part, parcel), None);
        }
        let name = self.part(station.tip).name.clone();
        let row = end_of(self.network, name, &parcel, &regulator);
        self.stations.push(row);
    }
}

fn end_of(network: &Network, station: String, parcel: &Parcel, regulator: &Parcel) -> DampStation {
    let site = network.site().pressure;
    let state = Moist::at(parcel.pressure, parcel.kelvins);
    let vapour = state.vapour(parcel.vapour);
    let dew_point = vapour.dew_point().ok();
    let at_rest = Stagnation {
        pressure: AbsolutePressure::clamped(parcel.pressure),
        temperature: Temperature::clamped(parcel.kelvins),
    };
    let jet = full_expansion(at_rest, site).ok().map(|jet| jet.temperature);
    let released_vapour: VapourPressure = Moist::at(site.to_pascals(), parcel.kelvins).vapour(parcel.vapour);
    let released = released_vapour.dew_point().ok();
    let humidity = state.humidity(parcel.vapour);
    let clog = clogging(parcel, regulator, dew_point, released, jet);
    let litres = parcel.mean * 1000.0 / quantity::ANR_DENSITY;
    let grams_per_cubic_metre = parcel.liquid * parcel.mean * 1e3 / (litres / 1000.0).max(f64::MIN_POSITIVE);
    let by_dew_point = || dew_point.map_or(Some(Class::Number(1)), water_by_dew_point);
    let water = if parcel.liquid > 0.0 { None } else { by_dew_point() };
    DampStation {
        station,
        dew_point,
        released,
        humidity: Fraction::clamped(humidity),
        liquid: MassRate::clamped(parcel.liquid * parcel.mean),
        jet,
        regulator: Temperature::clamped(regulator.kelvins),
        clog,
        water: water.unwrap_or_else(|| water_by_liquid(grams_per_cubic_metre)),
    }
}

fn clogging(
    parcel: &Parcel,
    regulator: &Parcel,
    dew_point: Option<Temperature>,
    released: Option<Temperature>,
    jet: Option<Temperature>,
) -> Clogging {
    const FREEZES: f64 = 273.15;
    let near = dew_point.is_some_and(|dew_point| parcel.kelvins - dew_point.to_kelvins() < NEAR_K);
    if regulator.kelvins < FREEZES && regulator.liquid > 0.0 {
        Clogging::IceInRegulator
    } else if parcel.liquid > 0.0 {
        Clogging::Wet
    } else if near {
        Clogging::NearlyWet
    } else if released.zip(jet).is_some_and(|(released, jet)| jet < released) {
        Clogging::FogInJet
    } else {
        Clogging::Dry
    }
}

impl Parcel {
    /// Two streams into one receiver.
    fn mixed(&self, other: &Self) -> Self {
        let mean = self.mean + other.mean;
        let share = if mean > 0.0 { other.mean / mean } else { 0.5 };
        let mix = |a: f64, b: f64| a + (b - a) * share;
        Self {
            vapour: mix(self.vapour, other.vapour),
            liquid: mix(self.liquid, other.liquid),
            kelvins: mix(self.kelvins, other.kelvins),
            pressure: self.pressure,
            mean,
            flowing: self.flowing + other.flowing,
        }
    }
}

fn catches(kind: &PartKind) -> f64 {
    match kind {
        PartKind::Aftercooler(cooler) => cooler.catches.to_ratio(),
        PartKind::Separator(trap) | PartKind::Filter(trap) => trap.catches.to_ratio(),
        PartKind::Receiver(_) => SETTLES,
        _ => 0.0,
    }
}

fn bowl(network: &Network, name: &str) -> Option<Volume> {
    network.parts().iter().find(|part| part.name == name).and_then(|part| match &part.kind {
        PartKind::Separator(trap) | PartKind::Filter(trap) => Some(trap.bowl),
        _ => None,
    })
}

fn drain(bowl: Option<Volume>, collects: MassRate) -> Option<Time> {
    crate::moisture::drain_interval(bowl?, collects).ok().flatten()
}
