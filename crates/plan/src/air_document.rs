//! The air line's answers as programs read them: units in the key names, pressures gauge, flows in
//! standard cubic feet (70 °F, 14.7 psia) or litres a minute ANR.

use crate::air_words;
use crate::line_answer::LineAnswer;
use air::course::Moment;
use air::damp::{DampPart, DampStation, Dampness};
use air::ladder::{Ladder, Rung, StationState};
use air::map::{Holds, RunMap};
use piece::Money;
use quantity::{MassRate, Temperature, Time};
use rust_decimal::Decimal;
use serde::Serialize;

/// A pressure ladder.
#[derive(Debug, Clone, Serialize)]
pub struct LadderDocument {
    /// Pressure of the last receiver.
    pub receiver_kpa: f64,
    /// Air out of it.
    pub flow_scfm: f64,
    /// Every part that air flows through.
    pub parts: Vec<RungEntry>,
    /// Every open station.
    pub stations: Vec<StationEntry>,
}

/// One part's step.
#[derive(Debug, Clone, Serialize)]
pub struct RungEntry {
    /// The part's name.
    pub part: String,
    /// What it is.
    pub kind: &'static str,
    /// Its station; absent where it is shared.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub station: Option<String>,
    /// Before it.
    pub inlet_kpa: f64,
    /// Behind it.
    pub outlet_kpa: f64,
    /// What it takes.
    pub loss_kpa: f64,
    /// Air into it.
    pub flow_scfm: f64,
    /// Air into it.
    pub flow_l_min_anr: f64,
    /// It passes no more, whatever is behind it.
    pub choked: bool,
}

/// A station in balance.
#[derive(Debug, Clone, Serialize)]
pub struct StationEntry {
    /// Its name.
    pub station: String,
    /// Air through the nozzle.
    pub flow_scfm: f64,
    /// The same.
    pub flow_l_min_anr: f64,
    /// At the regulator's outlet.
    pub regulator_kpa: f64,
    /// At the nozzle's inlet.
    pub nozzle_pressure_kpa: f64,
    /// Whether the regulator holds.
    pub holds: bool,
    /// Lowest receiver pressure at which it does.
    pub holds_from_kpa: f64,
}

impl LadderDocument {
    /// A ladder at a receiver pressure.
    #[must_use]
    pub fn new(ladder: &Ladder, receiver: quantity::GaugePressure) -> Self {
        Self {
            receiver_kpa: receiver.to_kpa(),
            flow_scfm: ladder.flow.to_scfm(),
            parts: ladder.rungs.iter().map(RungEntry::new).collect(),
            stations: ladder.stations.iter().map(StationEntry::new).collect(),
        }
    }
}

impl RungEntry {
    fn new(rung: &Rung) -> Self {
        Self {
            part: rung.part.clone(),
            kind: rung.word,
            station: rung.station.clone(),
            inlet_kpa: rung.inlet.to_kpa(),
            outlet_kpa: rung.outlet.to_kpa(),
            loss_kpa: rung.loss_pa() * 1e-3,
            flow_scfm: rung.flow.to_scfm(),
            flow_l_min_anr: rung.flow.to_litres_anr_per_minute(),
            choked: rung.choked,
        }
    }
}

impl StationEntry {
    fn new(state: &StationState) -> Self {
        Self {
            station: state.station.clone(),
            flow_scfm: state.flow.to_scfm(),
            flow_l_min_anr: state.flow.to_litres_anr_per_minute(),
            regulator_kpa: state.regulator_out.to_kpa(),
            nozzle_pressure_kpa: state.nozzle.to_kpa(),
            holds: state.holds,
            holds_from_kpa: state.holds_from.to_kpa(),
        }
    }
}

/// A network in time.
#[derive(Debug, Clone, Serialize)]
pub struct CourseDocument {
    /// How long it was followed.
    pub length_s: f64,
    /// Names of the receivers, as in each sample.
    pub receivers: Vec<String>,
    /// Names of the compressors, as in each sample.
    pub compressors: Vec<String>,
    /// Names of the stations, as in each sample.
    pub stations: Vec<String>,
    /// The lowest pressure that any open nozzle saw; absent when none was open.
    pub min_nozzle_pressure_kpa: Option<f64>,
    /// How long all stations blast together from full receivers before a regulator no longer holds;
    /// absent when it holds without end.
    pub longest_blast_s: Option<f64>,
    /// Largest share of the time that any compressor runs.
    pub duty: f64,
    /// Starts of all compressors in an hour.
    pub starts_per_hour: f64,
    /// Electrical energy of the compressors.
    pub energy_kwh: f64,
    /// Of that energy, in the shop's currency.
    pub energy_cost: Decimal,
    /// Water that collects along the line in an hour of this, by the moisture of the site's air.
    pub condensate_g_per_h: f64,
    /// What switched or was lost, in order.
    pub events: Vec<EventEntry>,
    /// In order of time; two at one time where something switches.
    pub samples: Vec<SampleEntry>,
}

/// Something happened.
#[derive(Debug, Clone, Serialize)]
pub struct EventEntry {
    /// When.
    pub t_s: f64,
    /// What: one of a few words with low lines.
    pub event: &'static str,
    /// To which compressor or station.
    pub part: String,
}

/// One instant.
#[derive(Debug, Clone, Serialize)]
pub struct SampleEntry {
    /// When.
    pub t_s: f64,
    /// Each receiver.
    pub receiver_kpa: Vec<f64>,
    /// Each station's nozzle; null while it is shut.
    pub nozzle_kpa: Vec<Option<f64>>,
    /// Each station's flow; null while it is shut.
    pub flow_l_min_anr: Vec<Option<f64>>,
    /// Which compressors run.
    pub running: Vec<bool>,
}

impl CourseDocument {
    /// A line's course, with what the energy costs.
    #[must_use]
    pub fn new(answer: &LineAnswer, price_per_kwh: Money) -> Self {
        let LineAnswer { network, course, .. } = answer;
        let names = |names: &mut dyn Iterator<Item = &str>| names.map(str::to_owned).collect::<Vec<_>>();
        let nozzles = course.samples.iter().flat_map(|sample| sample.stations.iter().flatten());
        let least = nozzles.map(|station| station.nozzle.to_kpa()).reduce(f64::min);
        let event = |&(at, event): &(Time, air::course::Happening)| {
            let (word, part) = air_words::happening(network, event);
            EventEntry { t_s: at.to_seconds(), event: word, part }
        };
        Self {
            length_s: course.length.to_seconds(),
            receivers: names(&mut network.receivers()),
            compressors: names(&mut network.compressors()),
            stations: names(&mut network.stations()),
            min_nozzle_pressure_kpa: least,
            longest_blast_s: answer.longest_blast.map(Time::to_seconds),
            duty: course.machines.iter().map(|machine| machine.share.to_ratio()).fold(0.0, f64::max),
            starts_per_hour: course.starts_per_hour(),
            energy_kwh: course.kilowatt_hours(),
            energy_cost: price_per_kwh.times(course.kilowatt_hours()).cents(),
            condensate_g_per_h: per_hour(collected(&answer.damp)),
            events: course.events.iter().map(event).collect(),
            samples: course.samples.iter().map(SampleEntry::new).collect(),
        }
    }

    /// The samples as comma-separated values, one row each.
    #[must_use]
    pub fn csv(&self) -> String {
        let heads = |kind: &str, names: &[String]| -> Vec<String> {
            names.iter().map(|name| quoted(&format!("{kind} {name}"))).collect()
        };
        let mut head = vec!["t_s".to_owned()];
        head.extend(heads("receiver_kpa", &self.receivers));
        head.extend(heads("nozzle_kpa", &self.stations));
        head.extend(heads("flow_l_min_anr", &self.stations));
        head.extend(heads("running", &self.compressors));
        let mut text = head.join(",") + "\n";
        for sample in &self.samples {
            text += &(sample.row().join(",") + "\n");
        }
        text
    }
}

impl SampleEntry {
    fn new(moment: &Moment) -> Self {
        let each = |of: fn(&air::course::StationMoment) -> f64| {
            moment.stations.iter().map(|station| station.as_ref().map(of)).collect()
        };
        Self {
            t_s: moment.at.to_seconds(),
            receiver_kpa: moment.receivers.iter().map(|pressure| pressure.to_kpa()).collect(),
            nozzle_kpa: each(|station| station.nozzle.to_kpa()),
            flow_l_min_anr: each(|station| station.flow.to_litres_anr_per_minute()),
            running: moment.running.clone(),
        }
    }

    fn row(&self) -> Vec<String> {
        let number = |value: &f64| format!("{value:.3}");
        let maybe = |value: &Option<f64>| value.as_ref().map(number).unwrap_or_default();
        let mut row = vec![number(&self.t_s)];
        row.extend(self.receiver_kpa.iter().map(number));
        row.extend(self.nozzle_kpa.iter().map(maybe));
        row.extend(self.flow_l_min_anr.iter().map(maybe));
        row.extend(self.running.iter().map(|&runs| u8::from(runs).to_string()));
        row
    }
}

/// A field of comma-separated values (RFC 4180).
fn quoted(text: &str) -> String {
    if text.contains([',', '"', '\n']) { format!("\"{}\"", text.replace('"', "\"\"")) } else { text.to_owned() }
}

/// Water along the line.
#[derive(Debug, Clone, Serialize)]
pub struct MoistureDocument {
    /// Water drawn in with the air.
    pub drawn_in_g_per_h: f64,
    /// Water that stays in the line until it is drained.
    pub condensate_g_per_h: f64,
    /// Every part in the air's order.
    pub parts: Vec<MoisturePart>,
    /// Every station.
    pub stations: Vec<MoistureStation>,
    /// Where oil may come from.
    pub oil: Vec<OilEntry>,
}

/// Water at one part.
#[derive(Debug, Clone, Serialize)]
pub struct MoisturePart {
    /// Its name.
    pub part: String,
    /// What it is.
    pub kind: &'static str,
    /// Air leaving it.
    pub temperature_c: f64,
    /// Behind it.
    pub pressure_kpa: f64,
    /// Pressure dew point of the air leaving it.
    pub dew_point_c: Option<f64>,
    /// Relative humidity of it.
    pub humidity: f64,
    /// Water that turns liquid in it.
    pub condenses_g_per_h: f64,
    /// Water that stays in it.
    pub collects_g_per_h: f64,
    /// Liquid that goes on.
    pub carried_on_g_per_h: f64,
    /// Longest time between two drainings of its bowl.
    pub drain_every_s: Option<f64>,
}

/// Water at a nozzle.
#[derive(Debug, Clone, Serialize)]
pub struct MoistureStation {
    /// Its name.
    pub station: String,
    /// At the nozzle's inlet pressure.
    pub dew_point_c: Option<f64>,
    /// Dew or frost point when let out.
    pub released_dew_point_c: Option<f64>,
    /// Relative humidity at the nozzle's inlet.
    pub humidity: f64,
    /// Liquid that reaches it.
    pub liquid_g_per_h: f64,
    /// Coldest that the jet could be.
    pub jet_c: Option<f64>,
    /// Behind the regulator.
    pub regulator_c: f64,
    /// What is to be feared: dry, fog_in_jet, nearly_wet, wet, ice_in_regulator.
    pub clogging: &'static str,
    /// Water class by ISO 8573-1.
    pub iso_8573_1_water: String,
}

/// A part that may bring oil.
#[derive(Debug, Clone, Serialize)]
pub struct OilEntry {
    /// Its name.
    pub part: String,
    /// lubricated or flooded_compressor.
    pub why: &'static str,
}

fn per_hour(rate: MassRate) -> f64 {
    rate.to_grams_per_second() * 3600.0
}

/// Water that stays anywhere in the line.
fn collected(damp: &Dampness) -> MassRate {
    damp.parts.iter().map(|part| part.collects).sum()
}

impl From<&Dampness> for MoistureDocument {
    fn from(damp: &Dampness) -> Self {
        Self {
            drawn_in_g_per_h: per_hour(damp.drawn_in),
            condensate_g_per_h: per_hour(collected(damp)),
            parts: damp.parts.iter().map(MoisturePart::new).collect(),
            stations: damp.stations.iter().map(MoistureStation::new).collect(),
            oil: damp
                .oil
                .iter()
                .map(|risk| OilEntry { part: risk.part.clone(), why: air_words::oil_id(risk.why) })
                .collect(),
        }
    }
}

impl MoistureDocument {
    /// The parts as comma-separated values, one row each.
    #[must_use]
    pub fn csv(&self) -> String {
        let mut text = "part,kind,temperature_c,pressure_kpa,dew_point_c,humidity,condenses_g_per_h,collects_g_per_h,\
                        carried_on_g_per_h,drain_every_s\n"
            .to_owned();
        let maybe = |value: Option<f64>| value.map(|value| format!("{value:.3}")).unwrap_or_default();
        for part in &self.parts {
            let numbers = [part.condenses_g_per_h, part.collects_g_per_h, part.carried_on_g_per_h];
            let numbers = numbers.map(|value| format!("{value:.3}")).join(",");
            text += &format!(
                "{},{},{:.2},{:.1},{},{:.4},{numbers},{}\n",
                quoted(&part.part),
                part.kind,
                part.temperature_c,
                part.pressure_kpa,
                maybe(part.dew_point_c),
                part.humidity,
                maybe(part.drain_every_s)
            );
        }
        text
    }
}

impl MoisturePart {
    fn new(part: &DampPart) -> Self {
        Self {
            part: part.part.clone(),
            kind: part.word,
            temperature_c: part.temperature.to_celsius(),
            pressure_kpa: part.pressure.to_kpa(),
            dew_point_c: part.dew_point.map(Temperature::to_celsius),
            humidity: part.humidity.to_ratio(),
            condenses_g_per_h: per_hour(part.condenses),
            collects_g_per_h: per_hour(part.collects),
            carried_on_g_per_h: per_hour(part.carried_on),
            drain_every_s: part.drain_every.map(Time::to_seconds),
        }
    }
}

impl MoistureStation {
    fn new(station: &DampStation) -> Self {
        Self {
            station: station.station.clone(),
            dew_point_c: station.dew_point.map(Temperature::to_celsius),
            released_dew_point_c: station.released.map(Temperature::to_celsius),
            humidity: station.humidity.to_ratio(),
            liquid_g_per_h: per_hour(station.liquid),
            jet_c: station.jet.map(Temperature::to_celsius),
            regulator_c: station.regulator.to_celsius(),
            clogging: air_words::clogging_id(station.clog),
            iso_8573_1_water: station.water.to_string(),
        }
    }
}

/// What a shop can run.
#[derive(Debug, Clone, Serialize)]
pub struct MapDocument {
    /// How long each cell was followed.
    pub horizon_s: f64,
    /// Regulator settings, one for each row.
    pub pressure_kpa: Vec<f64>,
    /// Bores, one for each column.
    pub bore_mm: Vec<f64>,
    /// Seconds that a blast from full receivers holds, 0 when not at all, null when to the horizon.
    pub holds_s: Vec<Vec<Option<f64>>>,
    /// Pressure at the nozzle while it holds.
    pub nozzle_kpa: Vec<Vec<f64>>,
}

impl MapDocument {
    /// A map that was followed to a horizon.
    #[must_use]
    pub fn new(map: &RunMap, horizon: Time) -> Self {
        let rows = || map.cells.chunks(map.bores.len().max(1));
        let holds = |holds: Holds| match holds {
            Holds::Never => Some(0.0),
            Holds::For(time) => Some(time.to_seconds()),
            Holds::Throughout => None,
        };
        Self {
            horizon_s: horizon.to_seconds(),
            pressure_kpa: map.pressures.iter().map(|pressure| pressure.to_kpa()).collect(),
            bore_mm: map.bores.iter().map(|bore| bore.to_mm()).collect(),
            holds_s: rows().map(|row| row.iter().map(|cell| holds(cell.holds)).collect()).collect(),
            nozzle_kpa: rows().map(|row| row.iter().map(|cell| cell.nozzle.to_kpa()).collect()).collect(),
        }
    }

    /// One row for each pressure, one column for each bore: seconds held, or the horizon.
    #[must_use]
    pub fn csv(&self) -> String {
        let head: Vec<String> = self.bore_mm.iter().map(|bore| format!("bore_mm {bore:.2}")).collect();
        let mut text = format!("pressure_kpa,{}\n", head.join(","));
        for (pressure, row) in self.pressure_kpa.iter().zip(&self.holds_s) {
            let held = row.iter().map(|held| format!("{:.1}", held.unwrap_or(self.horizon_s)));
            text += &format!("{pressure:.1},{}\n", held.collect::<Vec<_>>().join(","));
        }
        text
    }
}
