//! Parts of the blank that are looked at, when not all of it need be.

use crate::bounds::Bounds;
use crate::grid::Point;

/// Squares along the longer side.
const SQUARES: f64 = 512.0;

/// Rectangles, and quick to ask for: filed in squares, so that a little around them counts as within.
#[derive(Debug, Clone)]
pub(crate) struct Windows {
    boxes: Vec<Bounds>,
    around: Bounds,
    square: f64,
    columns: usize,
    filed: Vec<bool>,
}

impl Windows {
    /// `None` when there is no rectangle.
    pub(crate) fn new(boxes: Vec<Bounds>) -> Option<Self> {
        let around = boxes.iter().copied().reduce(Bounds::with)?;
        let square = (around.width_mm().max(around.height_mm()) / SQUARES).max(1e-3);
        let count = |mm: f64| (mm / square) as usize + 1;
        let (columns, rows) = (count(around.width_mm()), count(around.height_mm()));
        let mut made = Self { boxes, around, square, columns, filed: vec![false; columns * rows] };
        for index in 0..made.boxes.len() {
            let Bounds { min, max } = made.boxes[index];
            for row in made.row(min.y)..=made.row(max.y) {
                let (from, to) = (made.column(min.x), made.column(max.x));
                made.filed[row * columns + from..=row * columns + to].fill(true);
            }
        }
        Some(made)
    }

    fn column(&self, x: f64) -> usize {
        ((x - self.around.min.x) / self.square) as usize
    }

    fn row(&self, y: f64) -> usize {
        ((y - self.around.min.y) / self.square) as usize
    }

    pub(crate) fn boxes(&self) -> &[Bounds] {
        &self.boxes
    }

    /// Whether a point lies within, or hardly outside.
    pub(crate) fn hold(&self, p: Point) -> bool {
        self.around.holds(&Bounds { min: p, max: p }, 0.0)
            && self.filed[self.row(p.y) * self.columns + self.column(p.x)]
    }

    /// Whether a rectangle reaches in, or nearly.
    pub(crate) fn meet(&self, at: &Bounds) -> bool {
        if !self.around.touches(at) {
            return false;
        }
        let (min, max) = (self.around.min, self.around.max);
        let (left, right) = (self.column(at.min.x.clamp(min.x, max.x)), self.column(at.max.x.clamp(min.x, max.x)));
        let (top, bottom) = (self.row(at.min.y.clamp(min.y, max.y)), self.row(at.max.y.clamp(min.y, max.y)));
        (top..=bottom).any(|row| self.filed[row * self.columns + left..=row * self.columns + right].contains(&true))
    }
}
