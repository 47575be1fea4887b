//! Four clamped edges: the plate on simple edges, and moments along all four that bring its slopes to zero.
//!
//! Moments `E_m sin(mπx/a)` along top and bottom, `F_n sin(nπy/b)` along left and right. Each set tilts its own
//! edges term by term, and the other pair by a closed form: a field `Y_m(y) sin(αx)` with bending -E at both edges
//! has the sine coefficient `2Eβ/(α²+β²)²` in y, so that its slope at x = 0 is `4αβE/(b (α²+β²)²)` for each n.
//! Timoshenko's method, with the edges' terms of the simple plate from Lévy's solution. Stiffness D is 1 here.

use super::levy::{Edge, Felt, Term, centred, middle, odd};
use super::{At, Patch, Unit};
use std::f64::consts::PI;

/// Odd terms along each pair of edges.
const TERMS: usize = 24;

pub(super) fn four_clamped(width: f64, height: f64, poisson: f64, patch: Patch) -> Unit {
    let (a, b, patch) = if width >= height { (width, height, patch) } else { (height, width, patch.turned()) };
    let moments = edge_moments((a, b), poisson, patch);
    let (along_long, along_short) = moments.split_at(TERMS);
    // At the middle of an edge the odd sines are 1 and -1 in turn.
    let signed = |(m, term): (usize, &f64)| if m % 4 == 1 { *term } else { -term };
    let edges = [along_long, along_short].map(|terms| odd(TERMS).zip(terms).map(signed).sum::<f64>().abs());
    let middle = centre((a, b), poisson, patch, along_long, along_short);
    let edge = edges[0].max(edges[1]);
    let (moment, at) = match middle.along.max(middle.across) {
        moment if moment > edge => (moment, At::Middle),
        _ => (edge, At::ClampedEdge),
    };
    Unit { moment, at, sinking: middle.sinking }
}

/// The moments along the long edges, then along the short ones.
fn edge_moments((a, b): (f64, f64), poisson: f64, patch: Patch) -> Vec<f64> {
    let slope = |m: usize, size: (f64, f64), patch: Patch| {
        let term = Term::new(m, size, poisson, centred(patch, size.1), Edge::Simple);
        term.alpha * term.at(0.0, 1)
    };
    let own = |m: usize, size: (f64, f64)| {
        let term = Term::edge_moment(m, size);
        term.alpha * term.at(0.0, 1)
    };
    let mut rows = vec![vec![0.0; 2 * TERMS + 1]; 2 * TERMS];
    for (i, m) in odd(TERMS).enumerate() {
        rows[i][i] = own(m, (a, b));
        rows[i][2 * TERMS] = -slope(m, (a, b), patch);
        let across = &mut rows[TERMS + i];
        across[TERMS + i] = own(m, (b, a));
        across[2 * TERMS] = -slope(m, (b, a), patch.turned());
        for (j, n) in odd(TERMS).enumerate() {
            let (alpha, beta) = (m as f64 * PI / a, n as f64 * PI / b);
            let shared = 4.0 * alpha * beta / (alpha.powi(2) + beta.powi(2)).powi(2);
            rows[i][TERMS + j] = shared / a;
            rows[TERMS + j][i] = shared / b;
        }
    }
    solved(rows)
}

/// What is felt in the middle.
fn centre((a, b): (f64, f64), poisson: f64, patch: Patch, along: &[f64], across: &[f64]) -> Felt {
    let mut felt = middle(a, b, poisson, patch);
    let mut turned = Felt::default();
    for (i, m) in odd(TERMS).enumerate() {
        felt = felt.and(&Term::edge_moment(m, (a, b)), 0.5 * b, m, poisson, along[i]);
        turned = turned.and(&Term::edge_moment(m, (b, a)), 0.5 * a, m, poisson, across[i]);
    }
    Felt {
        sinking: felt.sinking + turned.sinking,
        along: felt.along + turned.across,
        across: felt.across + turned.along,
    }
}

/// Equations by elimination: the diagonal leads, so that no rows are exchanged.
fn solved(mut rows: Vec<Vec<f64>>) -> Vec<f64> {
    let count = rows.len();
    for k in 0..count {
        let pivot = rows[k].clone();
        for row in rows.iter_mut().skip(k + 1) {
            let factor = row[k] / pivot[k];
            for (cell, above) in row.iter_mut().zip(&pivot).skip(k) {
                *cell -= factor * above;
            }
        }
    }
    let mut x = vec![0.0; count];
    for k in (0..count).rev() {
        let known: f64 = (k + 1..count).map(|j| rows[k][j] * x[j]).sum();
        x[k] = (rows[k][count] - known) / rows[k][k];
    }
    x
}
