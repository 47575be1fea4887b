//! Materials of blanks, as the rows of `materials.toml`.

use crate::{Name, Source, Sourced, Span, Stress, Toughness, source};
use quantity::{Density, Estimate, Fraction};
use serde::Deserialize;

/// What a blank is made of. How it was treated (tempered, laminated) is the blank's, not the material's.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// Name in files, `float_glass`.
    pub id: String,
    /// Name for people.
    pub name: Name,
    /// Glass or stone.
    pub family: Family,
    /// Whether light passes through an untouched blank.
    pub transparent: bool,
    /// Density.
    pub density: Sourced<Density>,
    /// Volume removed by the same blast, relative to soda-lime float glass.
    #[serde(deserialize_with = "source::estimate")]
    pub erosion_factor: Sourced<Estimate<f64>>,
    /// Share of crystalline silica by mass. Absent for glass, which is amorphous.
    #[serde(default)]
    pub crystalline_silica: Option<Sourced<Span<Fraction>>>,
    /// Share of lead oxide (PbO) by mass. Absent where none is put in.
    #[serde(default)]
    pub lead_oxide: Option<Sourced<Fraction>>,
    /// What is on the back of it.
    #[serde(default)]
    pub backing: Option<Sourced<String>>,
    /// Young's modulus. Absent for stone, which varies from quarry to quarry.
    #[serde(default)]
    pub modulus: Option<Sourced<Stress>>,
    /// Poisson's ratio, 0 to 0.5. Absent for stone.
    #[serde(default)]
    pub poisson: Option<Sourced<f64>>,
    /// Thermal expansion, as a share of the length for each kelvin. Absent where it is not known.
    #[serde(default)]
    pub expansion_per_k: Option<Sourced<f64>>,
    /// Resistance to the growth of a crack. Absent where it is not known.
    #[serde(default)]
    pub toughness: Option<Sourced<Toughness>>,
}

/// Which dust rules and which looks a material follows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Family {
    /// Amorphous: no crystalline silica, whatever its share of SiO₂.
    Glass,
    /// Crystalline: may hold quartz.
    Stone,
}

impl Material {
    /// Every source that the row rests on, in the order of its fields.
    pub fn sources(&self) -> impl Iterator<Item = &Source> {
        let firm = [&self.density.source, &self.erosion_factor.source];
        firm.into_iter()
            .chain(self.crystalline_silica.as_ref().map(|silica| &silica.source))
            .chain(self.lead_oxide.as_ref().map(|lead| &lead.source))
            .chain(self.backing.as_ref().map(|backing| &backing.source))
            .chain(self.modulus.as_ref().map(|modulus| &modulus.source))
            .chain(self.poisson.as_ref().map(|poisson| &poisson.source))
            .chain(self.expansion_per_k.as_ref().map(|expansion| &expansion.source))
            .chain(self.toughness.as_ref().map(|toughness| &toughness.source))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tables;

    /// Chip volume of a sharp grain by the lateral-crack theory (Marshall, Lawn & Evans 1982):
    /// `E^(5/4) Kc^-1 H^(-17/12)`, from modulus (GPa), hardness (GPa) and toughness (MPa m^0.5).
    fn chip(modulus: f64, hardness: f64, toughness: f64) -> f64 {
        modulus.powf(1.25) / toughness * hardness.powf(-17.0 / 12.0)
    }

    #[test]
    fn the_factors_of_glasses_follow_from_the_lateral_crack_theory() {
        let float = chip(72.0, 5.5, 0.75);
        for (id, chip) in [("borosilicate", chip(63.0, 6.0, 0.77)), ("lead_crystal", chip(60.0, 4.5, 0.65))] {
            let factor = tables().material(id).unwrap().erosion_factor.value.mid();
            assert!((factor / (chip / float) - 1.0).abs() < 0.02, "{id}: {factor} against {}", chip / float);
        }
    }

    #[test]
    fn glass_holds_no_crystalline_silica_and_every_stone_may() {
        for material in &tables().materials {
            assert_eq!(material.crystalline_silica.is_some(), material.family == Family::Stone, "{}", material.id);
        }
    }

    #[test]
    fn densities_are_those_of_the_standards() {
        // process-checks.csv MAT-SL-rho (EN 572-1), MAT-BS-rho (ISO 3585), MAT-MB-rho (a quarry's sheet).
        for (id, want) in [("float_glass", 2500.0), ("borosilicate", 2230.0), ("marble", 2710.0)] {
            assert_eq!(tables().material(id).unwrap().density.value.to_kg_per_cubic_metre(), want);
        }
    }

    #[test]
    fn only_lead_crystal_holds_lead_and_only_a_mirror_has_a_backing() {
        let ids = |has: fn(&Material) -> bool| -> Vec<&str> {
            tables().materials.iter().filter(|material| has(material)).map(|material| material.id.as_str()).collect()
        };
        assert_eq!(ids(|material| material.lead_oxide.is_some()), ["lead_crystal"]);
        assert_eq!(ids(|material| material.backing.is_some()), ["mirror"]);
    }
}
