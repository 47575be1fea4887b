//! Typical compressed-air equipment and the sizes it is sold in, as the rows of `equipment.toml`.

use crate::{Name, Sourced, Unknown, lookup, source};
use quantity::{Diameter, Estimate, Fraction, FreeFlow, GaugePressure, Power, Temperature, Volume};
use serde::Deserialize;

/// Everything in the file.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Equipment {
    /// Compressors by kind, smallest first.
    #[serde(rename = "compressor")]
    pub compressors: Vec<TypicalCompressor>,
    /// Regulators by their ports.
    #[serde(rename = "regulator")]
    pub regulators: Vec<TypicalRegulator>,
    /// Separators and filters.
    #[serde(rename = "trap")]
    pub traps: Vec<TypicalTrap>,
    /// Dryers.
    #[serde(rename = "dryer")]
    pub dryers: Vec<TypicalDryer>,
    /// Sizes that are sold.
    pub series: Series,
}

/// A compressor of a kind.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TypicalCompressor {
    /// Name in files.
    pub id: String,
    /// Name for people.
    pub name: Name,
    /// How it is built.
    pub kind: CompressorKind,
    /// Free air delivered at its cut-out.
    #[serde(deserialize_with = "source::estimate")]
    pub free_air: Sourced<Estimate<FreeFlow>>,
    /// Electrical power while it runs.
    #[serde(deserialize_with = "source::estimate")]
    pub power: Sourced<Estimate<Power>>,
    /// Largest share of the time that it may run.
    #[serde(deserialize_with = "source::estimate")]
    pub duty: Sourced<Estimate<Fraction>>,
    /// Receiver that it stands on.
    #[serde(deserialize_with = "source::estimate")]
    pub receiver: Sourced<Estimate<Volume>>,
    /// Starts at.
    pub cut_in: Sourced<GaugePressure>,
    /// Stops at.
    pub cut_out: Sourced<GaugePressure>,
}

/// How a compressor is built.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CompressorKind {
    /// A diaphragm pump.
    Diaphragm,
    /// A small direct-driven piston machine.
    SmallPiston,
    /// A single-stage piston machine.
    SingleStage,
    /// A two-stage piston machine.
    TwoStage,
    /// An oil-flooded rotary screw.
    Screw,
}

/// A regulator by its ports.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TypicalRegulator {
    /// Name in files.
    pub id: String,
    /// Name for people.
    pub name: Name,
    /// Sonic conductance of the fully open valve, dm³/(s bar).
    #[serde(deserialize_with = "source::estimate")]
    pub conductance_dm3_s_bar: Sourced<Estimate<f64>>,
    /// Critical pressure ratio.
    pub critical_ratio: Sourced<f64>,
    /// Fall of its outlet, bar for each 100 l/min ANR.
    pub droop_bar_per_100_l_min: Sourced<f64>,
}

/// A separator or filter.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TypicalTrap {
    /// Name in files.
    pub id: String,
    /// Name for people.
    pub name: Name,
    /// Which of the two.
    pub kind: TrapKind,
    /// Sonic conductance, dm³/(s bar).
    #[serde(deserialize_with = "source::estimate")]
    pub conductance_dm3_s_bar: Sourced<Estimate<f64>>,
    /// Share of the drops that it catches.
    #[serde(deserialize_with = "source::estimate")]
    pub catches: Sourced<Estimate<Fraction>>,
    /// What its bowl holds.
    pub bowl: Sourced<Volume>,
}

/// A separator or a filter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TrapKind {
    /// Throws drops out of the stream.
    Separator,
    /// Strains them and dust.
    Filter,
}

/// A dryer.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TypicalDryer {
    /// Name in files.
    pub id: String,
    /// Name for people.
    pub name: Name,
    /// Pressure dew point that it leaves.
    pub dew_point: Sourced<Temperature>,
    /// Share of its air that it blows off.
    pub purge: Sourced<Fraction>,
    /// Sonic conductance, dm³/(s bar).
    #[serde(deserialize_with = "source::estimate")]
    pub conductance_dm3_s_bar: Sourced<Estimate<f64>>,
}

/// Sizes that are sold, each list ascending.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Series {
    /// Free air delivered by compressors.
    pub free_air: Sourced<Vec<FreeFlow>>,
    /// Receivers.
    pub receivers: Sourced<Vec<Volume>>,
    /// Hose bores.
    pub hoses: Sourced<Vec<Diameter>>,
    /// Rated flow of dryers.
    pub dryers: Sourced<Vec<FreeFlow>>,
    /// Rated flow of separators.
    pub separators: Sourced<Vec<FreeFlow>>,
}

impl Equipment {
    /// The compressor of this id.
    ///
    /// # Errors
    /// [`Unknown::Equipment`] with the nearest id.
    pub fn compressor(&self, given: &str) -> Result<&TypicalCompressor, Unknown> {
        find(&self.compressors, |row| &row.id, given)
    }

    /// The regulator of this id.
    ///
    /// # Errors
    /// [`Unknown::Equipment`] with the nearest id.
    pub fn regulator(&self, given: &str) -> Result<&TypicalRegulator, Unknown> {
        find(&self.regulators, |row| &row.id, given)
    }

    /// The separator or filter of this id.
    ///
    /// # Errors
    /// [`Unknown::Equipment`] with the nearest id.
    pub fn trap(&self, given: &str) -> Result<&TypicalTrap, Unknown> {
        find(&self.traps, |row| &row.id, given)
    }

    /// The dryer of this id.
    ///
    /// # Errors
    /// [`Unknown::Equipment`] with the nearest id.
    pub fn dryer(&self, given: &str) -> Result<&TypicalDryer, Unknown> {
        find(&self.dryers, |row| &row.id, given)
    }
}

fn find<'a, T>(rows: &'a [T], id_of: impl Fn(&T) -> &String, given: &str) -> Result<&'a T, Unknown> {
    let id = lookup::as_id(given);
    let row = rows.iter().find(|row| *id_of(row) == id);
    row.ok_or_else(|| {
        let nearest = lookup::nearest(&id, rows.iter().map(|row| id_of(row).as_str()));
        Unknown::Equipment { given: given.to_owned(), nearest }
    })
}

#[cfg(test)]
mod tests {
    use crate::tables;
    use quantity::Quantity;

    #[test]
    fn every_series_ascends() {
        let series = &tables().equipment.series;
        let ascends = |list: Vec<f64>| list.len() > 4 && list.windows(2).all(|pair| pair[0] < pair[1]);
        assert!(ascends(series.free_air.value.iter().map(|size| size.to_base()).collect()));
        assert!(ascends(series.receivers.value.iter().map(|size| size.to_base()).collect()));
        assert!(ascends(series.hoses.value.iter().map(|size| size.to_base()).collect()));
        assert!(ascends(series.dryers.value.iter().map(|size| size.to_base()).collect()));
        assert!(ascends(series.separators.value.iter().map(|size| size.to_base()).collect()));
    }

    #[test]
    fn a_compressor_starts_below_where_it_stops() {
        for compressor in &tables().equipment.compressors {
            assert!(compressor.cut_in.value < compressor.cut_out.value, "{}", compressor.id);
        }
    }

    #[test]
    fn a_misspelt_kind_finds_its_neighbour() {
        let equipment = &tables().equipment;
        assert_eq!(equipment.compressor("Two stage").unwrap().id, "two_stage");
        let words = equipment.compressor("two_stagge").unwrap_err().to_string();
        assert!(words.contains("two_stage"), "{words}");
        assert!(equipment.dryer("refrigerated").is_ok() && equipment.trap("separator").is_ok());
        assert!(equipment.regulator("regulator_half").is_ok());
    }
}
