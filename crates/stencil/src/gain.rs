//! Openings drawn narrower or wider, so that after film, light and washout, or after the blade, they come out right.

use artwork::region::{Region, Rounding};
use quantity::{Length, Quantity as _};

/// What a shop's process does to the edge of an opening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LineGain {
    /// Openings come out wider by this on each edge; they are drawn narrower.
    Widens(Length),
    /// Openings come out narrower by this on each edge; they are drawn wider.
    Narrows(Length),
}

impl LineGain {
    /// Nothing changes.
    pub const NONE: Self = Self::Widens(quantity::known(Length::mm(0.0)));

    /// From millimetres on each edge, positive when openings come out wider.
    #[must_use]
    pub fn of_mm(mm: f64) -> Self {
        let by = Length::clamped(mm.abs() * 1e-3);
        if mm < 0.0 { Self::Narrows(by) } else { Self::Widens(by) }
    }

    /// Millimetres on each edge, positive when openings come out wider.
    #[must_use]
    pub fn to_mm(self) -> f64 {
        match self {
            Self::Widens(by) => by.to_mm(),
            Self::Narrows(by) => -by.to_mm(),
        }
    }
}

/// Openings as they must be drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct Compensated {
    /// What to draw.
    pub openings: Region,
    /// Openings that are narrower than the gain takes away: they cannot be had, and are missing.
    pub lost: usize,
}

/// Round corners of the offset leave the true arc by no more than this, mm: a tenth of a dot at 2880 dpi.
const TOLERANCE_MM: f64 = 1e-3;

/// Draws openings so that they come out as they are.
#[must_use]
pub fn compensated(openings: &Region, gain: LineGain) -> Compensated {
    match gain.to_mm() {
        0.0 => Compensated { openings: openings.clone(), lost: 0 },
        mm if mm > 0.0 => {
            let narrower = openings.inset(mm, TOLERANCE_MM, Rounding::Grow);
            let lost = openings.parts().filter(|part| part.intersect(&narrower).is_empty()).count();
            Compensated { openings: narrower, lost }
        }
        mm => Compensated { openings: openings.outset(-mm, TOLERANCE_MM, Rounding::Shrink), lost: 0 },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use artwork::bounds::Bounds;
    use artwork::grid::Point;

    #[test]
    fn a_line_is_drawn_narrower_by_both_of_its_edges_gain_and_a_hair_is_missed() {
        let bar = |x: f64, wide: f64| {
            Region::rectangle(Bounds { min: Point { x, y: 0.0 }, max: Point { x: x + wide, y: 10.0 } })
        };
        let openings = bar(0.0, 1.0).union(&bar(5.0, 0.05));
        let drawn = compensated(&openings, LineGain::of_mm(0.03));
        assert!((drawn.openings.area().to_square_mm() - 0.94 * 9.94).abs() < 1e-3);
        assert_eq!(drawn.lost, 1);
        let wider = compensated(&bar(0.0, 1.0), LineGain::of_mm(-0.03));
        let around = wider.openings.bounds().unwrap();
        assert!((around.width_mm() - 1.06).abs() < 1e-3 && wider.lost == 0);
        assert_eq!(compensated(&openings, LineGain::NONE).openings, openings);
    }
}
