//! What nozzles are made of, as the rows of `nozzles.toml`.

use crate::{Abrasive, Name, Source, Sourced, source};
use quantity::{Estimate, Time};
use serde::Deserialize;

/// What the bore of a nozzle is made of, and how long it lasts.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NozzleMaterial {
    /// Name in files, `boron_carbide`.
    pub id: String,
    /// Name for people.
    pub name: Name,
    /// Nozzle open until it is worn out, with a hard abrasive.
    #[serde(deserialize_with = "source::estimate")]
    pub life_hard: Sourced<Estimate<Time>>,
    /// With a milder one.
    #[serde(deserialize_with = "source::estimate")]
    pub life_mild: Sourced<Estimate<Time>>,
}

/// Abrasives that wear a nozzle fast: those as hard as alumina or harder. Common practice, no source.
const HARD: [&str; 3] = ["white_alumina", "brown_alumina", "silicon_carbide"];

impl NozzleMaterial {
    /// How long it lasts with an abrasive, nozzle open.
    #[must_use]
    pub fn life(&self, abrasive: &Abrasive) -> &Sourced<Estimate<Time>> {
        if HARD.contains(&abrasive.id.as_str()) { &self.life_hard } else { &self.life_mild }
    }

    /// Every source that the row rests on.
    pub fn sources(&self) -> impl Iterator<Item = &Source> {
        [&self.life_hard.source, &self.life_mild.source].into_iter()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables;
    use quantity::Quantity as _;

    #[test]
    fn every_hard_abrasive_is_one_of_the_table_and_shortens_every_life() {
        let garnet = tables().abrasive("garnet").unwrap();
        for hard in HARD.map(|id| tables().abrasive(id).unwrap()) {
            for row in &tables().nozzles {
                assert!(row.life(hard).value.high() < row.life(garnet).value.mid(), "{}", row.id);
            }
        }
    }

    #[test]
    fn the_middle_is_the_geometric_mean_of_the_ends() {
        for life in tables().nozzles.iter().flat_map(|row| [row.life_hard.value, row.life_mild.value]) {
            let mean = (life.low().to_base() * life.high().to_base()).sqrt();
            assert!((life.mid().to_base() / mean - 1.0).abs() < 0.03, "{life:?}");
        }
    }
}
