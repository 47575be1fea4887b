//! Test plates: plain shapes on a blank, and limits to hold them to.

use crate::analysis::AnalysisLimits;
use crate::bounds::Bounds;
use crate::grid::Point;
use crate::region::Region;
use quantity::{Area, Length, known};

/// 100 by 80 mm.
pub(crate) const BLANK: Bounds = Bounds { min: Point { x: 0.0, y: 0.0 }, max: Point { x: 100.0, y: 80.0 } };

/// Corners may be as sharp, and openings as near to the blank's edge, as they like.
pub(crate) const LIMITS: AnalysisLimits = AnalysisLimits {
    opening: known(Length::mm(0.5)),
    wall: known(Length::mm(0.6)),
    holding: known(Area::square_mm(4.0)),
    neck: known(Length::mm(1.5)),
    corner_degrees: 0.0,
    margin: known(Length::mm(0.0)),
};

pub(crate) fn millimetres(mm: f64) -> Length {
    Length::mm(mm).unwrap()
}

pub(crate) fn box_at(x: f64, y: f64, width: f64, height: f64) -> Region {
    Region::rectangle(Bounds { min: Point { x, y }, max: Point { x: x + width, y: y + height } })
}
