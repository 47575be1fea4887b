//! An upright rectangle around something.

use crate::grid::Point;

/// An upright rectangle, in millimetres, `min` at its top left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Least x and y.
    pub min: Point,
    /// Greatest x and y.
    pub max: Point,
}

impl Bounds {
    /// A rectangle from the origin, `width_mm` to the right and `height_mm` down.
    #[must_use]
    pub const fn from_size(width_mm: f64, height_mm: f64) -> Self {
        Self { min: Point { x: 0.0, y: 0.0 }, max: Point { x: width_mm, y: height_mm } }
    }

    /// The smallest rectangle around the points; `None` when there is none.
    #[must_use]
    pub fn around(points: impl IntoIterator<Item = Point>) -> Option<Self> {
        let mut points = points.into_iter();
        let first = points.next()?;
        Some(points.fold(Self { min: first, max: first }, Self::with_point))
    }

    /// Millimetres from left to right.
    #[must_use]
    pub fn width_mm(&self) -> f64 {
        self.max.x - self.min.x
    }

    /// Millimetres from top to bottom.
    #[must_use]
    pub fn height_mm(&self) -> f64 {
        self.max.y - self.min.y
    }

    /// The middle.
    #[must_use]
    pub fn centre(&self) -> Point {
        Point { x: 0.5 * (self.min.x + self.max.x), y: 0.5 * (self.min.y + self.max.y) }
    }

    /// The smallest rectangle around both.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        self.with_point(other.min).with_point(other.max)
    }

    /// The smallest rectangle around this one and a point.
    #[must_use]
    pub fn with_point(self, point: Point) -> Self {
        Self {
            min: Point { x: self.min.x.min(point.x), y: self.min.y.min(point.y) },
            max: Point { x: self.max.x.max(point.x), y: self.max.y.max(point.y) },
        }
    }

    /// Larger by `margin_mm` on every side.
    #[must_use]
    pub fn grown(self, margin_mm: f64) -> Self {
        Self {
            min: Point { x: self.min.x - margin_mm, y: self.min.y - margin_mm },
            max: Point { x: self.max.x + margin_mm, y: self.max.y + margin_mm },
        }
    }

    /// Whether the two share a point, edges included.
    #[must_use]
    pub fn touches(&self, other: &Self) -> bool {
        self.min.x <= other.max.x && other.min.x <= self.max.x && self.min.y <= other.max.y && other.min.y <= self.max.y
    }

    /// Whether `other` lies wholly inside, edges included, with `slack_mm` to spare for rounding.
    #[must_use]
    pub fn holds(&self, other: &Self, slack_mm: f64) -> bool {
        let room = self.grown(slack_mm);
        room.min.x <= other.min.x && room.min.y <= other.min.y && room.max.x >= other.max.x && room.max.y >= other.max.y
    }
}
