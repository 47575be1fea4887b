//! Closed lines, and the pieces that they enclose.

use crate::bounds::Bounds;
use crate::grid::Point;

/// A closed line of points; the last joins the first.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ring(pub Vec<Point>);

/// One connected piece: an outer ring and what is cut out of it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Polygon {
    /// Positive area.
    pub outer: Ring,
    /// Negative area each.
    pub holes: Vec<Ring>,
}

impl Ring {
    /// Enclosed area in mm² by the shoelace formula; its sign tells the direction.
    #[must_use]
    pub fn signed_area_mm2(&self) -> f64 {
        // Relative to the first point: far from the origin the products would lose the area's digits.
        let Some(&first) = self.0.first() else { return 0.0 };
        let cross = |(a, b): (Point, Point)| (a.x - first.x) * (b.y - first.y) - (b.x - first.x) * (a.y - first.y);
        0.5 * self.edges().map(cross).sum::<f64>()
    }

    /// Length of the closed line.
    #[must_use]
    pub fn perimeter_mm(&self) -> f64 {
        self.edges().map(|(a, b)| (b.x - a.x).hypot(b.y - a.y)).sum()
    }

    /// The edges, the closing one last.
    pub fn edges(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        self.0.iter().copied().zip(self.0.iter().copied().cycle().skip(1))
    }

    /// Whether a point lies inside (even-odd).
    #[must_use]
    pub fn contains(&self, point: Point) -> bool {
        let crosses = |&(a, b): &(Point, Point)| {
            (a.y > point.y) != (b.y > point.y) && point.x < (b.x - a.x) * (point.y - a.y) / (b.y - a.y) + a.x
        };
        self.edges().filter(crosses).count() % 2 == 1
    }

    pub(super) fn mapped(&self, map: impl Fn(Point) -> Point) -> Self {
        Self(self.0.iter().map(|&p| map(p)).collect())
    }
}

impl Polygon {
    /// The outer ring, then the holes.
    pub fn rings(&self) -> impl Iterator<Item = &Ring> {
        std::iter::once(&self.outer).chain(&self.holes)
    }

    /// Area in mm², holes taken off.
    #[must_use]
    pub fn area_mm2(&self) -> f64 {
        self.rings().map(Ring::signed_area_mm2).sum()
    }

    /// The rectangle around it; `None` for a polygon of no points.
    #[must_use]
    pub fn bounds(&self) -> Option<Bounds> {
        Bounds::around(self.outer.0.iter().copied())
    }
}
