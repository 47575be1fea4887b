//! The polygons of a region, filed by place.

use crate::bounds::Bounds;
use crate::grid::Point;
use crate::region::{Polygon, Region};

/// Most squares along the longer side; few polygons get few.
const SQUARES: f64 = 128.0;

/// Which polygons, by their place in the region, are near a place.
pub(crate) struct Filed {
    boxes: Vec<Bounds>,
    around: Bounds,
    square: f64,
    columns: usize,
    /// Those whose rectangle reaches into each square.
    squares: Vec<Vec<u32>>,
}

impl Filed {
    pub(crate) fn new(region: &Region) -> Self {
        // A clean region has no polygon without points.
        let nowhere = Bounds::from_size(0.0, 0.0);
        let boxes: Vec<Bounds> = region.polygons().iter().map(|polygon| polygon.bounds().unwrap_or(nowhere)).collect();
        let around = boxes.iter().copied().reduce(Bounds::with).unwrap_or(nowhere);
        let squares = SQUARES.min(2.0 * (boxes.len() as f64).sqrt()).max(1.0);
        let square = (around.width_mm().max(around.height_mm()) / squares).max(1e-3);
        let count = |mm: f64| (mm / square) as usize + 1;
        let (columns, rows) = (count(around.width_mm()), count(around.height_mm()));
        let mut made = Self { boxes, around, square, columns, squares: vec![Vec::new(); columns * rows] };
        for index in 0..made.boxes.len() {
            for square in made.reached(&made.boxes[index]) {
                made.squares[square].push(index as u32);
            }
        }
        made
    }

    fn reached(&self, at: &Bounds) -> impl Iterator<Item = usize> + use<> {
        let within = self.around.touches(at);
        let (min, max) = (self.around.min, self.around.max);
        let column = |x: f64| ((x.clamp(min.x, max.x) - min.x) / self.square) as usize;
        let row = |y: f64| ((y.clamp(min.y, max.y) - min.y) / self.square) as usize;
        let (left, right) = (column(at.min.x), column(at.max.x));
        let (rows, columns) = (row(at.min.y)..=row(at.max.y), self.columns);
        let all = rows.flat_map(move |row| (left..=right).map(move |column| row * columns + column));
        all.take(if within { usize::MAX } else { 0 })
    }

    /// Whether any polygon's rectangle touches another.
    pub(crate) fn any_touches(&self, at: &Bounds) -> bool {
        let mut filed = self.reached(at).flat_map(|square| &self.squares[square]);
        filed.any(|index| self.boxes[*index as usize].touches(at))
    }

    /// Polygons whose rectangles touch any of these, each once, in order.
    pub(crate) fn touching_any(&self, boxes: &[Bounds]) -> impl Iterator<Item = usize> + use<> {
        let mut found: Vec<u32> = Vec::new();
        for at in boxes {
            let filed = self.reached(at).flat_map(|square| &self.squares[square]);
            found.extend(filed.filter(|index| self.boxes[**index as usize].touches(at)));
        }
        found.sort_unstable();
        found.dedup();
        found.into_iter().map(|index| index as usize)
    }
}

/// A region with its file.
pub(crate) struct Near<'a> {
    region: &'a Region,
    filed: Filed,
}

impl<'a> Near<'a> {
    pub(crate) fn new(region: &'a Region) -> Self {
        Self { region, filed: Filed::new(region) }
    }

    /// Polygons whose rectangles touch another, in the region's order.
    pub(crate) fn touching(&self, at: &Bounds) -> impl Iterator<Item = &'a Polygon> + use<'a> {
        let region = self.region;
        self.filed.touching_any(std::slice::from_ref(at)).map(|index| &region.polygons()[index])
    }

    pub(crate) fn contains(&self, p: Point) -> bool {
        let rings = self.touching(&Bounds { min: p, max: p }).flat_map(Polygon::rings);
        rings.filter(|ring| ring.contains(p)).count() % 2 == 1
    }

    /// The part of the region that may reach into a rectangle.
    pub(crate) fn part(&self, around: &Bounds) -> Region {
        Region::of_polygons(self.touching(around).cloned().collect())
    }
}
