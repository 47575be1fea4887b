//! The edges of a region, filed by place, to find those near a point.

use crate::bounds::Bounds;
use crate::grid::Point;
use crate::region::{Region, Ring};

/// Most cells of the file; more would cost memory and find nothing faster.
const CELLS_MAX: f64 = 1_000_000.0;

/// A straight edge, the region on its left (to the right of its way, as seen with y down).
#[derive(Debug, Clone, Copy)]
pub(crate) struct Edge {
    pub(crate) a: Point,
    pub(crate) b: Point,
    /// Which ring; `None` for the edge of the blank.
    pub(crate) ring: Option<u32>,
}

impl Edge {
    /// The point of the edge that is nearest to `p`.
    pub(crate) fn nearest(&self, p: Point) -> Point {
        let (dx, dy) = (self.b.x - self.a.x, self.b.y - self.a.y);
        let squared = dx * dx + dy * dy;
        let along = if squared > 0.0 { ((p.x - self.a.x) * dx + (p.y - self.a.y) * dy) / squared } else { 0.0 };
        let along = along.clamp(0.0, 1.0);
        Point { x: self.a.x + along * dx, y: self.a.y + along * dy }
    }
}

/// Edges of a region and of the blank around it.
#[derive(Debug, Clone)]
pub(crate) struct Edges {
    pub(crate) all: Vec<Edge>,
    /// First edge of each ring, and one past the last ring.
    pub(crate) ring_starts: Vec<u32>,
    origin: Point,
    cell: f64,
    columns: usize,
    rows: usize,
    /// Where the edges of each cell start in `items`.
    starts: Vec<u32>,
    items: Vec<u32>,
}

impl Edges {
    /// `reach_mm`: about how far from a point edges will be asked for.
    pub(crate) fn new(region: &Region, blank: Option<Bounds>, reach_mm: f64) -> Self {
        let mut all: Vec<Edge> = Vec::with_capacity(region.vertex_count() + 4);
        let mut ring_starts = vec![0_u32];
        for (ring, points) in region.rings().enumerate() {
            all.extend(points.edges().map(|(a, b)| Edge { a, b, ring: Some(ring as u32) }));
            ring_starts.push(all.len() as u32);
        }
        all.extend(blank.iter().flat_map(blank_edges));
        let around = Bounds::around(all.iter().flat_map(|edge| [edge.a, edge.b]));
        let around = around.unwrap_or(Bounds::from_size(1.0, 1.0));
        let least = (around.width_mm() * around.height_mm() / CELLS_MAX).sqrt();
        let cell = reach_mm.max(least).max(1e-3);
        let count = |mm: f64| (mm / cell) as usize + 1;
        let (columns, rows) = (count(around.width_mm()), count(around.height_mm()));
        let (starts, items) = (Vec::new(), Vec::new());
        let mut made = Self { all, ring_starts, origin: around.min, cell, columns, rows, starts, items };
        made.file();
        made
    }

    /// A length that one cell of the file has.
    pub(crate) fn reach(&self) -> f64 {
        self.cell
    }

    /// Counts the edges of each cell, then files them: a counting sort.
    fn file(&mut self) {
        let mut starts = vec![0_u32; self.columns * self.rows + 1];
        for edge in &self.all {
            self.cells_of(edge, |cell| starts[cell + 1] += 1);
        }
        for i in 1..starts.len() {
            starts[i] += starts[i - 1];
        }
        let mut items = vec![0_u32; starts[starts.len() - 1] as usize];
        let mut next = starts.clone();
        for (index, edge) in self.all.iter().enumerate() {
            self.cells_of(edge, |cell| {
                items[next[cell] as usize] = index as u32;
                next[cell] += 1;
            });
        }
        self.starts = starts;
        self.items = items;
    }

    /// The cells that an edge runs through, row by row.
    fn cells_of(&self, edge: &Edge, mut visit: impl FnMut(usize)) {
        let (low, high) = if edge.a.y <= edge.b.y { (edge.a, edge.b) } else { (edge.b, edge.a) };
        let slope = if high.y > low.y { (high.x - low.x) / (high.y - low.y) } else { 0.0 };
        let (first, last) = (self.row(low.y), self.row(high.y));
        for row in first..=last {
            let top = self.origin.y + row as f64 * self.cell;
            let x_at = |y: f64| low.x + (y.clamp(low.y, high.y) - low.y) * slope;
            let (x0, x1) = if first == last { (low.x, high.x) } else { (x_at(top), x_at(top + self.cell)) };
            for column in self.column(x0.min(x1))..=self.column(x0.max(x1)) {
                visit(row * self.columns + column);
            }
        }
    }

    fn row(&self, y: f64) -> usize {
        (((y - self.origin.y) / self.cell).max(0.0) as usize).min(self.rows - 1)
    }

    fn column(&self, x: f64) -> usize {
        (((x - self.origin.x) / self.cell).max(0.0) as usize).min(self.columns - 1)
    }

    /// Visits every edge that may come within `reach` of a point, some of them twice.
    pub(crate) fn near(&self, p: Point, reach: f64, mut visit: impl FnMut(usize, &Edge)) {
        for row in self.row(p.y - reach)..=self.row(p.y + reach) {
            let (left, right) = (self.column(p.x - reach), self.column(p.x + reach));
            let from = self.starts[row * self.columns + left] as usize;
            let to = self.starts[row * self.columns + right + 1] as usize;
            for &index in &self.items[from..to] {
                visit(index as usize, &self.all[index as usize]);
            }
        }
    }
}

fn blank_edges(blank: &Bounds) -> impl Iterator<Item = Edge> + use<> {
    let (a, c) = (blank.min, blank.max);
    let ring = Ring(vec![a, Point { x: c.x, y: a.y }, c, Point { x: a.x, y: c.y }]);
    let edges: Vec<_> = ring.edges().collect();
    edges.into_iter().map(|(a, b)| Edge { a, b, ring: None })
}
