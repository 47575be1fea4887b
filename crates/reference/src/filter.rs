//! Classes of air filter, as the rows of `filters.toml`.

use crate::{Name, Source, Sourced};
use quantity::Fraction;
use serde::Deserialize;

/// A class of filter and what it holds back at the least.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Filter {
    /// Name in files, `h13`.
    pub id: String,
    /// Name for people.
    pub name: Name,
    /// How its class is tested: classes of different tests cannot be set equal.
    pub test: FilterTest,
    /// Share of the test's dust that it holds back, at the least.
    pub efficiency: Sourced<Fraction>,
}

/// How the class of a filter is tested.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FilterTest {
    /// ASHRAE 52.2, grains of 0.3 to 1 µm.
    Ashrae,
    /// EN 1822, grains of the size that passes most.
    En1822,
    /// United States HEPA, grains of 0.3 µm.
    Hepa,
}

impl Filter {
    /// Whether air may be led back into a room behind it, by the rule that the last filter is of HEPA class.
    #[must_use]
    pub const fn is_hepa(&self) -> bool {
        matches!(self.test, FilterTest::Hepa)
            || matches!(self.test, FilterTest::En1822) && self.efficiency_percent() >= 99.95
    }

    const fn efficiency_percent(&self) -> f64 {
        // A hair of leeway for the product of a percent.
        self.efficiency.value.to_percent() + 1e-9
    }

    /// Every source that the row rests on.
    pub fn sources(&self) -> impl Iterator<Item = &Source> {
        std::iter::once(&self.efficiency.source)
    }
}

#[cfg(test)]
mod tests {
    use crate::tables;

    #[test]
    fn only_h13_h14_and_the_united_states_class_are_hepa() {
        let hepa: Vec<&str> =
            tables().filters.iter().filter(|filter| filter.is_hepa()).map(|filter| filter.id.as_str()).collect();
        assert_eq!(hepa, ["h13", "h14", "hepa_us"]);
    }
}
