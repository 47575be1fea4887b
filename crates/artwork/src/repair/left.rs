//! What mending left, and why.

use super::{Change, ChangeKind, IslandRemedy, OpeningRemedy, Remedies, WallRemedy};
use crate::analysis::{Analysis, AnalysisLimits, Fault, FaultKind};
use crate::bounds::Bounds;
use crate::windows::Windows;
use language::say;
use std::fmt;

/// A fault that is still there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Left {
    /// The fault; [`Fault::scale`] is the size that would mend it.
    pub fault: Fault,
    /// Why it was not mended.
    pub why: Why,
}

/// Why a fault was not mended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[non_exhaustive]
pub enum Why {
    /// Faults of its kind were to be left.
    NotAsked,
    /// There is not room for the openings and the walls side by side, each as wide as its limit.
    Crowded,
    /// Two corners come near each other: a cut would only move them.
    Corners,
    /// Something else: a stretch too short for a band, a part tied as far as there are ways.
    Short,
}

impl fmt::Display for Why {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::NotAsked => say!("left as asked"),
            Self::Crowded => say!("no room for opening and wall side by side"),
            Self::Corners => say!("two corners near each other"),
            Self::Short => say!("too short a stretch to mend"),
        })
    }
}

/// The faults that a remedy could have been for.
pub(super) fn left(analysis: &Analysis, changes: &[Change], limits: &AnalysisLimits, remedies: &Remedies) -> Vec<Left> {
    let reach = limits.opening.to_mm() + limits.wall.to_mm();
    let made = |kinds: &[ChangeKind]| {
        let of = changes.iter().filter(|change| kinds.contains(&change.kind));
        Windows::new(of.filter_map(|change| change.around(reach)).collect())
    };
    let found = |kind: FaultKind| {
        let of = analysis.faults.iter().filter(|fault| fault.kind == kind);
        Windows::new(of.map(|fault| Bounds { min: fault.at, max: fault.at }.grown(reach)).collect())
    };
    let opening = [made(&[ChangeKind::OpeningThickened]), found(FaultKind::ThinOpening)];
    let wall = [made(&[ChangeKind::WallThickened, ChangeKind::Bridged]), found(FaultKind::ThinWall)];
    let beside = |fault: &Fault, of: &[Option<Windows>]| of.iter().flatten().any(|windows| windows.hold(fault.at));
    let why = |fault: &Fault| {
        let asked = match fault.kind {
            FaultKind::ThinOpening => remedies.openings != OpeningRemedy::Leave,
            FaultKind::SmallIsland => remedies.islands != IslandRemedy::Leave,
            _ => remedies.walls != WallRemedy::Leave,
        };
        let other = if fault.kind == FaultKind::ThinOpening { &wall } else { &opening };
        match asked {
            false => Why::NotAsked,
            true if beside(fault, other) => Why::Crowded,
            true if fault.length.to_mm() == 0.0 => Why::Corners,
            true => Why::Short,
        }
    };
    let mendable = |fault: &&Fault| !matches!(fault.kind, FaultKind::NearEdge | FaultKind::AcuteCorner);
    analysis.faults.iter().filter(mendable).map(|fault| Left { fault: *fault, why: why(fault) }).collect()
}
