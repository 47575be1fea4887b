//! Classes of respirator, by the protection assigned to each.

use language::say;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Classes of respirator, by the protection assigned to each.
///
/// Source: 29 CFR 1910.134(d)(3)(i)(A) Table 1 (2006), second-hand from an Army summary. The factor
/// holds in a respirator programme with fit tests only.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
#[non_exhaustive]
pub enum Respirator {
    /// Half mask with filters.
    HalfMask,
    /// Full facepiece with filters, negative pressure.
    FullFace,
    /// Loose-fitting facepiece, powered or airline.
    LooseFitting,
    /// Helmet or hood without the maker's test evidence.
    Hood,
    /// Helmet or hood with the maker's evidence for 1000.
    HoodTested,
    /// Full facepiece on an airline, continuous flow.
    FullFaceAirline,
}

impl Respirator {
    /// Every class, least protection first.
    pub const ALL: [Self; 6] =
        [Self::HalfMask, Self::LooseFitting, Self::Hood, Self::FullFace, Self::HoodTested, Self::FullFaceAirline];

    /// Assigned protection factor: concentration outside over concentration inside.
    #[must_use]
    pub const fn factor(self) -> f64 {
        match self {
            Self::HalfMask => 10.0,
            Self::LooseFitting | Self::Hood => 25.0,
            Self::FullFace => 50.0,
            Self::HoodTested | Self::FullFaceAirline => 1000.0,
        }
    }

    /// Whether air is led to it through a hose: only such a one is for work inside a booth.
    #[must_use]
    pub const fn is_supplied(self) -> bool {
        matches!(self, Self::Hood | Self::HoodTested | Self::FullFaceAirline)
    }

    /// The name inside a sentence.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::HalfMask => say!("a half mask with filters"),
            Self::FullFace => say!("a full facepiece with filters"),
            Self::LooseFitting => say!("a loose-fitting facepiece, powered or on an airline"),
            Self::Hood => say!("a blast hood on an airline"),
            Self::HoodTested => say!("a blast hood with its maker's evidence for a factor of 1000"),
            Self::FullFaceAirline => say!("a full facepiece on an airline, continuous flow"),
        }
    }
}
