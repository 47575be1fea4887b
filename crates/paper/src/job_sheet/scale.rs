//! Sizes of type and gaps, which shrink together.

use crate::lettering::Style;
use crate::table::Spacing;

/// A size of body text and what follows from it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale {
    body_pt: f64,
}

impl Scale {
    /// From the usual size to the smallest that is read at arm's length at the bench.
    pub(super) const STEPS: [Self; 4] =
        [Self { body_pt: 9.5 }, Self { body_pt: 9.0 }, Self { body_pt: 8.5 }, Self { body_pt: 8.0 }];
    /// No type is smaller.
    pub(super) const SMALLEST_PT: f64 = 7.0;

    pub(super) const fn body(self) -> Style {
        Style::regular(self.body_pt)
    }

    /// Sources, heads of columns, notes.
    pub(super) fn small(self) -> Style {
        Style::regular((self.body_pt * 0.79).max(Self::SMALLEST_PT)).dim()
    }

    pub(super) const fn heading(self) -> Style {
        Style::regular(self.body_pt + 0.5).semi_bold()
    }

    /// The sentence that sums up.
    pub(super) const fn lede(self) -> Style {
        Style::regular(self.body_pt * 1.26)
    }

    /// Between sections, in millimetres.
    pub(super) fn section_gap(self) -> f64 {
        0.66 * self.body_pt
    }

    /// Between the parts of a list, in millimetres.
    pub(super) fn item_gap(self) -> f64 {
        0.21 * self.body_pt
    }

    /// From a heading to what is under it, in millimetres.
    pub(super) fn under_heading(self) -> f64 {
        0.16 * self.body_pt
    }

    /// Of a table with heads.
    pub(super) fn table(self) -> Spacing {
        Spacing { gutter: 3.6, padding: 0.13 * self.body_pt, head: self.small() }
    }

    /// Of a table of two columns.
    pub(super) fn pairs(self) -> Spacing {
        Spacing { padding: 0.075 * self.body_pt, ..self.table() }
    }
}
