//! The chain with the regulator fully open, tabulated against receiver pressure.

use crate::chain::{Chain, Point};

/// Intervals of the table. 160 leave the flow within 1e-4 of the held flow of the balance solved
/// afresh, from 1 mbar gauge up and for any regulator; 4e-6 in a usual line. More only cost time.
const INTERVALS: usize = 160;

/// Flow, nozzle and regulator pressure between the site's pressure and the lowest holding one.
///
/// Nodes lie at equal steps of the square root of the nozzle's gauge pressure, and the abscissa is
/// the square root of the receiver's: near no flow all three go with it in a straight line.
/// Between nodes, a cubic with slopes from the neighbours.
#[derive(Debug, Clone)]
pub(crate) struct Table {
    site: f64,
    nodes: Vec<Node>,
}

#[derive(Debug, Clone, Copy)]
struct Node {
    /// Square root of the receiver's gauge pressure.
    root: f64,
    /// Flow, nozzle pressure, regulator outlet.
    values: [f64; 3],
    /// Their slopes against `root`.
    slopes: [f64; 3],
}

impl Table {
    /// Of a chain whose held state is known.
    pub(crate) fn of(chain: &Chain, held: &Point) -> Self {
        let mut nodes: Vec<Node> = (0..=INTERVALS)
            .map(|step| {
                let share = step as f64 / INTERVALS as f64;
                let point = chain.at_nozzle(chain.site + (held.nozzle - chain.site) * share * share);
                let root = (chain.receiver_for(&point) - chain.site).max(0.0).sqrt();
                Node { root, values: [point.flow, point.nozzle, point.regulator_out], slopes: [0.0; 3] }
            })
            .collect();
        set_slopes(&mut nodes);
        Self { site: chain.site, nodes }
    }

    /// The state at a receiver pressure; at the ends beyond them.
    pub(crate) fn at(&self, receiver: f64) -> Point {
        let [flow, nozzle, regulator_out] = self.read(receiver, [0, 1, 2]);
        Point { flow, nozzle, regulator_out }
    }

    /// The flow alone.
    pub(crate) fn flow(&self, receiver: f64) -> f64 {
        let [flow] = self.read(receiver, [0]);
        flow
    }

    fn read<const N: usize>(&self, receiver: f64, which: [usize; N]) -> [f64; N] {
        let last = self.nodes.len() - 1;
        let root = (receiver - self.site).max(0.0).sqrt().min(self.nodes[last].root);
        let above = self.nodes.partition_point(|node| node.root < root).clamp(1, last);
        let (a, b) = (&self.nodes[above - 1], &self.nodes[above]);
        let width = b.root - a.root;
        let t = (root - a.root) / width;
        let (t2, t3) = (t * t, t * t * t);
        which.map(|i| {
            a.values[i] * (2.0 * t3 - 3.0 * t2 + 1.0)
                + b.values[i] * (3.0 * t2 - 2.0 * t3)
                + width * (a.slopes[i] * (t3 - 2.0 * t2 + t) + b.slopes[i] * (t3 - t2))
        })
    }
}

/// Slopes of the parabola through each node and its neighbours; one-sided at the ends.
fn set_slopes(nodes: &mut [Node]) {
    let chord = |a: &Node, b: &Node, i: usize| (b.values[i] - a.values[i]) / (b.root - a.root);
    let last = nodes.len() - 1;
    for at in 0..=last {
        let (before, after) = (at.saturating_sub(1), (at + 1).min(last));
        for i in 0..3 {
            let (left, right) = (nodes[before], nodes[after]);
            let node = nodes[at];
            nodes[at].slopes[i] = if before == at || after == at {
                chord(&left, &right, i)
            } else {
                let (near, far) = (node.root - left.root, right.root - node.root);
                (chord(&left, &node, i) * far + chord(&node, &right, i) * near) / (near + far)
            };
        }
    }
}
