//! Lévy's solution: a sine series along the span, each term solved across the plate.
//!
//! Along x, from 0 to `a`, both ends lie on supports: `w = Σ Y_m(y) sin(α x)`, `α = mπ/a`, m odd, as every load
//! here is symmetric about the middle. Each `Y_m` obeys `Y'''' - 2α²Y'' + α⁴Y = q_m` where the load lies. It is the
//! bending of a plate without edges, in closed form, and four decaying functions that meet the two edges: none
//! grows, so that no term overflows. Stiffness D is 1 here.

use super::{At, Patch, Unit};
use std::f64::consts::PI;

/// Odd terms that are added up. The moment of an even load falls off as 1/m³: the rest is under 1e-6.
const TERMS: usize = 80;

/// An edge that runs along the span.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Edge {
    /// Lies on a support and may turn.
    Simple,
    /// Held by nothing.
    Free,
}

/// One term of the series, across the plate.
#[derive(Debug, Clone, Copy)]
pub(super) struct Term {
    /// mπ/a.
    pub(super) alpha: f64,
    /// Across.
    b: f64,
    /// Load's coefficient, and where it begins and ends across.
    q: f64,
    from: f64,
    to: f64,
    /// Of the four decaying functions.
    c: [f64; 4],
}

impl Term {
    /// The m-th term of a load from `from` to `to` across a plate of `a` by `b`.
    pub(super) fn new(m: usize, (a, b): (f64, f64), poisson: f64, load: Load, edge: Edge) -> Self {
        let alpha = m as f64 * PI / a;
        let sign = if m % 4 == 1 { 1.0 } else { -1.0 };
        let q = 4.0 * load.pressure / (m as f64 * PI) * sign * (0.5 * alpha * load.along).sin();
        let bare = Self { alpha, b, q, from: load.from, to: load.to, c: [0.0; 4] };
        bare.meeting(edge, poisson, [0.0; 4])
    }

    /// No load, but a moment of 1 along both edges, which lie on supports.
    pub(super) fn edge_moment(m: usize, (a, b): (f64, f64)) -> Self {
        let alpha = m as f64 * PI / a;
        let bare = Self { alpha, b, q: 0.0, from: 0.0, to: 0.0, c: [0.0; 4] };
        // M = -w'' there.
        let bend = -1.0 / alpha.powi(2);
        bare.meeting(Edge::Simple, 0.0, [0.0, bend, 0.0, bend])
    }

    /// With the four functions that bring both edges to what is wanted of them.
    fn meeting(mut self, edge: Edge, poisson: f64, wanted: [f64; 4]) -> Self {
        let mut rows = [[0.0; 5]; 4];
        for (side, y) in [0.0, self.b].into_iter().enumerate() {
            let bare: [f64; 4] = std::array::from_fn(|order| self.bare(y, order));
            for (k, bare) in conditions(edge, poisson, bare).into_iter().enumerate() {
                let row = &mut rows[2 * side + k];
                for (j, cell) in row.iter_mut().take(4).enumerate() {
                    let home = std::array::from_fn(|order| self.homogeneous(j, y, order));
                    *cell = conditions(edge, poisson, home)[k];
                }
                row[4] = wanted[2 * side + k] - bare;
            }
        }
        self.c = solved(rows);
        self
    }

    /// The term's value or derivative of an order up to 3, over α to that order.
    pub(super) fn at(&self, y: f64, order: usize) -> f64 {
        let home: f64 = (0..4).map(|j| self.c[j] * self.homogeneous(j, y, order)).sum();
        self.bare(y, order) + home
    }

    /// The load on a plate without edges: `G(r) = (1 + α|r|) e^(-α|r|) / (4α³)`, added up over the load.
    fn bare(&self, y: f64, order: usize) -> f64 {
        let part = |edge: f64| added_up(self.alpha * (y - edge), order);
        self.q / self.alpha.powi(4) * (part(self.from) - part(self.to))
    }

    /// The four functions: `e^-s`, `s e^-s` of the distance `s = αy` from one edge, and of that from the other.
    fn homogeneous(&self, j: usize, y: f64, order: usize) -> f64 {
        // Each derivative of e^-s changes the sign; from the other edge the distance does so once more.
        let turns = if order.is_multiple_of(2) { 1.0 } else { -1.0 };
        let (s, sign) = match j {
            0 | 1 => (self.alpha * y, turns),
            _ => (self.alpha * (self.b - y), 1.0),
        };
        // d/ds of s e^-s, again and again: (-1)^n (s - n) e^-s.
        let value = if j.is_multiple_of(2) { 1.0 } else { s - order as f64 };
        sign * value * (-s).exp()
    }
}

/// A load on a strip across, symmetric about the middle of the span.
#[derive(Debug, Clone, Copy)]
pub(super) struct Load {
    pub(super) pressure: f64,
    /// Length along the span.
    pub(super) along: f64,
    pub(super) from: f64,
    pub(super) to: f64,
}

/// α⁴ times the integral of G from 0 to r, `s = αr`, or a derivative of it over α to the order.
fn added_up(s: f64, order: usize) -> f64 {
    let (size, decay) = (s.abs(), (-s.abs()).exp());
    match order {
        0 => 0.25 * s.signum() * (2.0 - (2.0 + size) * decay),
        1 => 0.25 * (1.0 + size) * decay,
        2 => -0.25 * s * decay,
        _ => -0.25 * (1.0 - size) * decay,
    }
}

/// What an edge demands to be zero, from the value and three derivatives (over α to their order).
fn conditions(edge: Edge, poisson: f64, d: [f64; 4]) -> [f64; 2] {
    match edge {
        Edge::Simple => [d[0], d[2]],
        Edge::Free => [d[2] - poisson * d[0], d[3] - (2.0 - poisson) * d[1]],
    }
}

/// Four equations by elimination with row exchange.
fn solved(mut rows: [[f64; 5]; 4]) -> [f64; 4] {
    for k in 0..4 {
        let best = (k..4).max_by(|&i, &j| rows[i][k].abs().total_cmp(&rows[j][k].abs())).unwrap_or(k);
        rows.swap(k, best);
        let pivot = rows[k];
        for row in rows.iter_mut().skip(k + 1) {
            let factor = row[k] / pivot[k];
            for (cell, above) in row.iter_mut().zip(pivot) {
                *cell -= factor * above;
            }
        }
    }
    let mut x = [0.0; 4];
    for k in (0..4).rev() {
        let known: f64 = (k + 1..4).map(|j| rows[k][j] * x[j]).sum();
        x[k] = (rows[k][4] - known) / rows[k][k];
    }
    x
}

/// Sinking and the two moments at the middle of the span, `y` across.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Felt {
    pub(super) sinking: f64,
    /// Bending along the span.
    pub(super) along: f64,
    /// Bending across it.
    pub(super) across: f64,
}

impl Felt {
    /// With a term added, `times` over.
    pub(super) fn and(self, term: &Term, y: f64, m: usize, poisson: f64, times: f64) -> Self {
        let sign = if m % 4 == 1 { times } else { -times };
        let (value, bend) = (sign * term.at(y, 0), sign * term.at(y, 2));
        let curved = term.alpha.powi(2);
        Self {
            sinking: self.sinking + value,
            along: self.along + curved * (value - poisson * bend),
            across: self.across + curved * (poisson * value - bend),
        }
    }
}

/// The numbers of the odd terms.
pub(super) fn odd(terms: usize) -> impl Iterator<Item = usize> {
    (0..terms).map(|i| 2 * i + 1)
}

/// What is felt at places across a plate of `a` by `b`.
fn felt<const N: usize>(size: (f64, f64), poisson: f64, load: Load, edge: Edge, at: [f64; N]) -> [Felt; N] {
    let mut felt = [Felt::default(); N];
    for m in odd(TERMS) {
        let term = Term::new(m, size, poisson, load, edge);
        for (felt, y) in felt.iter_mut().zip(at) {
            *felt = felt.and(&term, y, m, poisson, 1.0);
        }
    }
    felt
}

/// The load in the middle of a plate that is `b` across.
pub(super) fn centred(patch: Patch, b: f64) -> Load {
    let from = 0.5 * (b - patch.height);
    Load { pressure: patch.pressure, along: patch.width, from, to: from + patch.height }
}

/// What is felt in the middle of a plate on four simple edges.
pub(super) fn middle(width: f64, height: f64, poisson: f64, patch: Patch) -> Felt {
    let [middle] = felt((width, height), poisson, centred(patch, height), Edge::Simple, [0.5 * height]);
    middle
}

pub(super) fn four_sides(width: f64, height: f64, poisson: f64, patch: Patch) -> Unit {
    // The series runs along the longer side: its terms then die off sooner across.
    let (a, b, patch) = if width >= height { (width, height, patch) } else { (height, width, patch.turned()) };
    let middle = middle(a, b, poisson, patch);
    Unit { moment: middle.along.max(middle.across), at: At::Middle, sinking: middle.sinking }
}

/// `span` between the supports, `free` along them.
pub(super) fn two_sides(span: f64, free: f64, poisson: f64, patch: Patch) -> Unit {
    let centred = centred(patch, free);
    let at_edge = if patch.moves { Load { from: 0.0, to: patch.height, ..centred } } else { centred };
    let [middle] = felt((span, free), poisson, centred, Edge::Free, [0.5 * free]);
    let [edge] = felt((span, free), poisson, at_edge, Edge::Free, [0.0]);
    let (moment, at) = match middle.along.max(middle.across) {
        moment if moment >= edge.along => (moment, At::Middle),
        _ => (edge.along, At::FreeEdge),
    };
    Unit { moment, at, sinking: edge.sinking.max(middle.sinking) }
}
