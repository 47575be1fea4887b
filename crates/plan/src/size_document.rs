//! Sizing as programs read it, and in words.

use air::Conductance;
use air::map::{Holds, RunMap};
use air::size::{Allows, Choice, Sizing, Work};
use language::{say, say_count};
use piece::Shop;
use quantity::show::{Show, air_flow, bore, clock, significant};
use quantity::{Diameter, FreeFlow, Quantity as _, Time, UnitSystem, Volume};
use serde::Serialize;
use std::fmt;

/// What holds some work.
#[derive(Debug, Clone, Serialize)]
pub struct SizingDocument {
    /// Air through one nozzle, with room to grow.
    pub demand_scfm: f64,
    /// The same.
    pub demand_l_min_anr: f64,
    /// What the regulator is to be set to.
    pub set_kpa: f64,
    /// Lowest receiver pressure that holds it.
    pub lowest_receiver_kpa: f64,
    /// Free air delivered at the cut-out.
    pub compressor_free_air_l_min: SizeEntry,
    /// Receiver.
    pub receiver_l: SizeEntry,
    /// Hose bore.
    pub hose_bore_mm: SizeEntry,
    /// Sonic conductance of the regulator.
    pub regulator_conductance_dm3_s_bar: SizeEntry,
    /// Free air that the dryer is rated for.
    pub dryer_free_air_l_min: SizeEntry,
    /// Free air that the separator is rated for.
    pub separator_free_air_l_min: SizeEntry,
}

/// One size.
#[derive(Debug, Clone, Serialize)]
pub struct SizeEntry {
    /// The smallest that holds.
    pub size: f64,
    /// What it has to spare, as a share of what is needed.
    pub margin: f64,
    /// The next size up; null when this is the largest.
    pub next: Option<f64>,
    /// What that would allow; null likewise.
    pub next_allows: Option<AllowsEntry>,
}

/// What a larger size allows.
#[derive(Debug, Clone, Serialize)]
#[serde(untagged)]
pub enum AllowsEntry {
    /// A larger compressor.
    Blasting {
        /// Minutes of each ten with the same bore.
        minutes_of_ten: f64,
        /// Or this bore for the same minutes.
        bore_mm: f64,
    },
    /// A larger receiver: one blast from full; null without end.
    OneBlast {
        /// How long.
        one_blast_s: Option<f64>,
    },
    /// A wider hose or larger regulator.
    Loss {
        /// Pressure that is still lost.
        loss_kpa: f64,
    },
    /// A larger dryer or separator.
    Flow {
        /// Free air.
        free_air_l_min: f64,
    },
}

impl From<&Sizing> for SizingDocument {
    fn from(sizing: &Sizing) -> Self {
        Self {
            demand_scfm: sizing.demand.to_scfm(),
            demand_l_min_anr: sizing.demand.to_litres_anr_per_minute(),
            set_kpa: sizing.set.to_kpa(),
            lowest_receiver_kpa: sizing.lowest_receiver.to_kpa(),
            compressor_free_air_l_min: entry(&sizing.free_air, FreeFlow::to_litres_per_minute),
            receiver_l: entry(&sizing.receiver, Volume::to_litres),
            hose_bore_mm: entry(&sizing.hose, Diameter::to_mm),
            regulator_conductance_dm3_s_bar: entry(&sizing.regulator, Conductance::to_dm3_per_s_bar),
            dryer_free_air_l_min: entry(&sizing.dryer, FreeFlow::to_litres_per_minute),
            separator_free_air_l_min: entry(&sizing.separator, FreeFlow::to_litres_per_minute),
        }
    }
}

fn entry<T: Copy>(choice: &Choice<T>, number: impl Fn(T) -> f64) -> SizeEntry {
    SizeEntry {
        size: number(choice.size),
        margin: choice.margin,
        next: choice.next.map(|next| number(next.size)),
        next_allows: choice.next.map(|next| AllowsEntry::from(next.allows)),
    }
}

impl From<Allows> for AllowsEntry {
    fn from(allows: Allows) -> Self {
        match allows {
            Allows::Blasting { share, bore } => {
                Self::Blasting { minutes_of_ten: 10.0 * share.to_ratio(), bore_mm: bore.to_mm() }
            }
            Allows::OneBlast(time) => Self::OneBlast { one_blast_s: time.map(Time::to_seconds) },
            Allows::Loss(loss) => Self::Loss { loss_kpa: loss.to_kpa() },
            Allows::Flow(flow) => Self::Flow { free_air_l_min: flow.to_litres_per_minute() },
        }
    }
}

/// Sizes in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// What was wanted, and what it takes of each nozzle.
    pub wanted: String,
    /// A row for each part of the line.
    pub rows: Vec<ToldRow>,
    /// Where the sizes come from, and who has the last word.
    pub note: &'static str,
}

/// A part of the line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToldRow {
    /// What it is.
    pub part: &'static str,
    /// The smallest size that holds.
    pub size: String,
    /// What it has to spare.
    pub spare: String,
    /// The next size, and what it would allow.
    pub next: String,
}

/// Sizes in words.
#[must_use]
pub fn told(work: &Work, sizing: &Sizing, units: UnitSystem) -> Told {
    let wanted = say_count!(
        work.stations,
        "One nozzle of {bore} at {pressure} for {minutes} of each ten minutes, {growth:.0} % to grow: {air} each, regulator \
         at {set}.",
        "{n} nozzles of {bore} at {pressure} for {minutes} of each ten minutes, {growth:.0} % to grow: {air} each, \
         regulator at {set}.",
        n = work.stations,
        bore = bore(work.bore, units),
        pressure = work.pressure.show(units),
        minutes = significant(10.0 * work.share.to_ratio(), 2),
        growth = 100.0 * (work.growth - 1.0),
        air = air_flow(sizing.demand, units),
        set = sizing.set.show(units),
    );
    let conductance = |valve: Conductance| format!("C {} dm³/(s bar)", significant(valve.to_dm3_per_s_bar(), 3));
    let rated = |flow: FreeFlow| say!("for {flow}", flow = flow.show(units));
    let rows = vec![
        row(
            say!(in "a part of the air line", "compressor"),
            &sizing.free_air,
            |size| say!("{flow} delivered", flow = size.show(units)),
            units,
        ),
        row(
            say!(in "a part of the air line", "receiver"),
            &sizing.receiver,
            |size| size.show(units).to_string(),
            units,
        ),
        row(
            say!(in "a part of the air line", "hose"),
            &sizing.hose,
            |size| say!("{bore} bore", bore = bore(size, units)),
            units,
        ),
        row(say!(in "a part of the air line", "regulator"), &sizing.regulator, conductance, units),
        row(say!(in "a part of the air line", "dryer"), &sizing.dryer, rated, units),
        row(say!(in "a part of the air line", "separator"), &sizing.separator, rated, units),
    ];
    let note = say!(
        "Sizes are those of the trade's usual series (common practice, no source). Free air is what is delivered, not \
         displacement; a receiver is a pressure vessel: local code and a licensed inspector have the last word."
    );
    Told { wanted, rows, note }
}

impl fmt::Display for Told {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "{}", self.wanted)?;
        // Other languages have longer words.
        let wide = self.rows.iter().map(|row| row.part.chars().count()).fold(11, usize::max);
        for ToldRow { part, size, spare, next } in &self.rows {
            writeln!(f, "  {part:<wide$} {size:<22} {spare:>15}; {next}")?;
        }
        writeln!(f, "{}", self.note)
    }
}

fn row<T: Copy>(part: &'static str, choice: &Choice<T>, words: impl Fn(T) -> String, units: UnitSystem) -> ToldRow {
    let next = match choice.next {
        None => say!("the largest of the series").to_owned(),
        Some(next) => {
            say!("next {size}: {allows}", size = words(next.size), allows = allows(next.allows, units))
        }
    };
    // Above twice what is needed a share of it no longer reads.
    let spare = match choice.margin {
        margin if margin < 1.0 => say!("{percent:.0} % to spare", percent = 100.0 * margin),
        margin => say!("{times} times what is needed", times = significant(1.0 + margin, 2)),
    };
    ToldRow { part, size: words(choice.size), spare, next }
}

fn allows(allows: Allows, units: UnitSystem) -> String {
    match allows {
        Allows::Blasting { share, bore } => say!(
            "{minutes} of ten minutes, or a bore of {bore}",
            minutes = significant(10.0 * share.to_ratio(), 2),
            bore = bore.show(units)
        ),
        Allows::OneBlast(None) => say!("one blast without end").to_owned(),
        Allows::OneBlast(Some(time)) => say!("one blast of {time}", time = clock(time)),
        Allows::Loss(loss) => say!("takes {loss}", loss = loss.show(units)),
        Allows::Flow(flow) => say!("serves {flow}", flow = flow.show(units)),
    }
}

/// What a shop runs with each of its nozzles, in words.
#[must_use]
pub fn map_told(map: &RunMap, shop: &Shop) -> String {
    let units = shop.units;
    let column = |wanted: Diameter| {
        let far = |at: &usize| (map.bores[*at].to_base() - wanted.to_base()).abs();
        (0..map.bores.len()).min_by(|a, b| far(a).total_cmp(&far(b))).unwrap_or(0)
    };
    let mut lines = Vec::new();
    for nozzle in &shop.nozzles {
        lines.push(format!("{} ({}):", nozzle.name, bore(nozzle.bore, units)));
        // Every fifth row is enough to read.
        for row in (4..map.pressures.len()).step_by(5) {
            let Some(cell) = map.cell(row, column(nozzle.bore)) else { continue };
            let (set, seen) = (map.pressures[row].show(units), cell.nozzle.show(units));
            let told = match cell.holds {
                Holds::Never => say!("set to {set}, {seen} at the nozzle: holds not at all"),
                Holds::Throughout => say!("set to {set}, {seen} at the nozzle: holds without end"),
                Holds::For(time) => {
                    say!("set to {set}, {seen} at the nozzle: holds {time}", time = clock(time))
                }
            };
            lines.push(format!("  {told}"));
        }
    }
    lines.join("\n") + "\n"
}
