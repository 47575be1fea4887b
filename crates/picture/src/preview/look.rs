//! What a blank is made of, as far as it shows.

use reference::{Family, Material};

/// How a material looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Look {
    /// Clear glass with the green of float at its edges.
    Float,
    /// Clear glass without a tint.
    Clear,
    /// Silvered glass.
    Mirror,
    /// Dark polished granite.
    Granite,
    /// White polished marble.
    Marble,
    /// Slate, split or honed.
    Slate,
}

impl Look {
    /// The look of a material of the tables.
    #[must_use]
    pub fn of(material: &Material) -> Self {
        match (material.id.as_str(), material.family) {
            ("borosilicate" | "lead_crystal", _) => Self::Clear,
            ("mirror", _) => Self::Mirror,
            ("marble", _) => Self::Marble,
            ("slate", _) => Self::Slate,
            (_, Family::Stone) => Self::Granite,
            (_, Family::Glass) => Self::Float,
        }
    }

    /// Whether light passes through an untouched blank.
    #[must_use]
    pub const fn is_clear(self) -> bool {
        matches!(self, Self::Float | Self::Clear)
    }

    /// Whether it is stone, which lies in daylight.
    #[must_use]
    pub const fn is_stone(self) -> bool {
        matches!(self, Self::Granite | Self::Marble | Self::Slate)
    }

    /// Colour of light that has passed along the glass: linear RGB.
    pub(super) const fn tint(self) -> [f32; 3] {
        match self {
            Self::Float | Self::Mirror => [0.55, 1.0, 0.82],
            _ => [0.82, 0.95, 1.0],
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_material_of_the_tables_has_its_look() {
        let looks: Vec<(&str, Look)> =
            reference::tables().materials.iter().map(|row| (row.id.as_str(), Look::of(row))).collect();
        for (id, want) in [("float_glass", Look::Float), ("mirror", Look::Mirror), ("granite", Look::Granite)] {
            assert!(looks.contains(&(id, want)), "{looks:?}");
        }
        for row in &reference::tables().materials {
            assert_eq!(Look::of(row).is_stone(), row.family == Family::Stone, "{}", row.id);
            assert!(row.transparent || !Look::of(row).is_clear(), "{}", row.id);
        }
    }
}
