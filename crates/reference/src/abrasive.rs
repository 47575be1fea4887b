//! Abrasives, as the rows of `abrasives.toml`.

use crate::{Name, Source, Sourced, Span, source};
use quantity::{Density, Estimate, Fraction};
use serde::Deserialize;

/// A kind of abrasive, whatever its grit.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Abrasive {
    /// Name in files, `white_alumina`.
    pub id: String,
    /// Name for people.
    pub name: Name,
    /// Under which exposure limit its own dust falls.
    pub dust: DustClass,
    /// Density of a grain.
    pub grain_density: Sourced<Density>,
    /// Mass of a poured litre, loose.
    #[serde(deserialize_with = "source::estimate")]
    pub bulk_density: Sourced<Estimate<Density>>,
    /// Volume of glass removed for the same mass of grain, relative to angular alumina.
    #[serde(deserialize_with = "source::estimate")]
    pub erosion_factor: Sourced<Estimate<f64>>,
    /// Greatest share of free crystalline silica by mass; the sheet of the bag in use goes before it.
    pub free_silica_max: Sourced<Fraction>,
    /// How many times the grain goes through a cabinet before it is too fine.
    pub turns: Sourced<Span<u32>>,
    /// Why this abrasive is not accepted at all.
    #[serde(default)]
    pub refused: Option<Sourced<String>>,
}

/// Under which exposure limit the dust of a grain falls.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DustClass {
    /// The limits of alumina.
    Alumina,
    /// The limits of silicon carbide.
    SiliconCarbide,
    /// No limit of its own: that of nuisance dust.
    Nuisance,
    /// The limits of crystalline silica.
    Silica,
}

impl Abrasive {
    /// Every source that the row rests on, in the order of its fields.
    pub fn sources(&self) -> impl Iterator<Item = &Source> {
        let firm = [
            &self.grain_density.source,
            &self.bulk_density.source,
            &self.erosion_factor.source,
            &self.free_silica_max.source,
            &self.turns.source,
        ];
        firm.into_iter().chain(self.refused.as_ref().map(|refused| &refused.source))
    }
}

#[cfg(test)]
mod tests {
    use crate::tables;

    #[test]
    fn alumina_is_the_measure_of_the_others() {
        // carving-physics.md section 1.5 [J]: relative to alumina on glass.
        let factor = |id| {
            let band = tables().abrasive(id).unwrap().erosion_factor.value;
            (band.low(), band.mid(), band.high())
        };
        assert_eq!(factor("white_alumina"), (1.0, 1.0, 1.0));
        assert_eq!(factor("silicon_carbide"), (1.0, 1.2, 1.6));
        assert_eq!(factor("garnet"), (0.4, 0.6, 0.8));
        assert_eq!(factor("glass_bead").1, 0.05);
    }

    #[test]
    fn a_loose_litre_weighs_less_than_a_solid_one() {
        for abrasive in &tables().abrasives {
            assert!(abrasive.bulk_density.value.high() < abrasive.grain_density.value, "{}", abrasive.id);
        }
    }

    #[test]
    fn what_holds_a_percent_of_free_silica_is_refused_and_nothing_else() {
        // Great Britain since 1949, NIOSH since 1974: no abrasive with 1 % free silica or more.
        let limit = tables().limits.free_silica_abrasive.value;
        for abrasive in &tables().abrasives {
            assert_eq!(abrasive.free_silica_max.value >= limit, abrasive.refused.is_some(), "{}", abrasive.id);
        }
        assert!(tables().abrasive("silica_sand").unwrap().refused.is_some());
    }
}
