//! A grey relief in a few stencil layers.
//!
//! The relief's depths are cut into `k` bands and what stays uncarved; each band gets one depth. The cut with the least
//! sum of squares is found exactly, by dynamic programming over the sorted depths (optimal one-dimensional
//! quantisation: Bruce 1965, from memory). Then bands and depths are moved one at a time while that lowers the
//! residual of the carved relief, walls and all, as [`crate::quick`] gives it.

use crate::distance_rule::DistanceRule;
use crate::quick::{self, QuickError, QuickStage};
use artwork::distance::{Beyond, Side, distance};
use artwork::grid::{Field, Mask};
use language::say;
use quantity::{Length, Quantity as _};

/// Most bands that are worth weeding.
pub const LAYERS_MAX: usize = 12;

/// Steps that the depths are sorted into.
const BINS: usize = 192;

/// A relief in layers.
#[derive(Debug, Clone, PartialEq)]
pub struct Layered {
    /// Depth of each layer, shallowest first.
    pub depths: Vec<Length>,
    /// For each cell its layer, from 1; 0 where it stays uncarved.
    pub layer: Field<u8>,
    /// Depth in millimetres as carved.
    pub carved: Field<f32>,
    /// Carved less wanted, in millimetres.
    pub residual: Field<f32>,
    /// Root of the mean square of the residual over the cells with a wanted depth.
    pub rms: Length,
}

/// A relief that cannot be layered.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum ReliefError {
    /// No layers, or more than anybody weeds.
    #[error("{}", say!("{given} layers cannot be; give 1 to {max}"))]
    Layers {
        /// What was given.
        given: usize,
        /// Most.
        max: usize,
    },
    /// No cell has a depth, or one has none that is a number.
    #[error("{}", say!("the relief needs depths of 0 or more, and one above 0"))]
    Flat,
    /// The forward model.
    #[error(transparent)]
    Quick(#[from] QuickError),
}

/// The best `count` layers for a relief of wanted depths in millimetres.
///
/// Cost: one run of the distance rule for each change tried, some hundreds of them: use a preview of the relief (a
/// hundred thousand cells) and [`Layered::depths`] on the whole.
///
/// # Errors
/// [`ReliefError`] for no or too many layers, or a relief without depth.
pub fn layers(wanted: &Field<f32>, rule: &DistanceRule, count: usize) -> Result<Layered, ReliefError> {
    if !(1..=LAYERS_MAX).contains(&count) {
        return Err(ReliefError::Layers { given: count, max: LAYERS_MAX });
    }
    let bins = Bins::of(wanted).ok_or(ReliefError::Flat)?;
    let mut cut = bins.best_cut(count);
    let mut best = Carving::of(wanted, &bins, &cut, rule)?;
    // Each round tries every band's border and every depth; it ends when none helps.
    let mut reach = 16usize;
    while reach > 0 {
        let mut moved = false;
        for trial in cut.neighbours(reach, &bins) {
            let tried = Carving::of(wanted, &bins, &trial, rule)?;
            if tried.error < best.error * (1.0 - 1e-9) {
                (cut, best, moved) = (trial, tried, true);
            }
        }
        if !moved {
            reach /= 2;
        }
    }
    Ok(best.finished(wanted, &cut))
}

/// The cells' depths, sorted into steps.
struct Bins {
    /// Depth of a step, in millimetres, and its number of cells.
    depth: Vec<f64>,
    count: Vec<f64>,
    /// Each cell's step.
    of: Vec<u16>,
}

impl Bins {
    fn of(wanted: &Field<f32>) -> Option<Self> {
        let deepest = wanted.values.iter().copied().fold(0.0f32, f32::max);
        let usable = deepest > 0.0 && deepest.is_finite() && wanted.values.iter().all(|z| *z >= 0.0);
        if !usable {
            return None;
        }
        let mut distinct: Vec<f32> = wanted.values.clone();
        distinct.sort_by(f32::total_cmp);
        distinct.dedup();
        // Few depths are kept as they are; many are gathered.
        let step = |z: f32| (f64::from(z) / f64::from(deepest) * (BINS - 1) as f64).round() as usize;
        let few = distinct.len() <= BINS;
        let place = |z: f32| if few { distinct.partition_point(|other| *other < z) } else { step(z) };
        let size = if few { distinct.len() } else { BINS };
        let (mut sum, mut count) = (vec![0.0; size], vec![0.0; size]);
        let mut of = Vec::with_capacity(wanted.values.len());
        for &z in &wanted.values {
            let at = place(z);
            sum[at] += f64::from(z);
            count[at] += 1.0;
            of.push(at as u16);
        }
        let depth = sum.iter().zip(&count).enumerate();
        let depth = depth.map(|(i, (sum, count))| {
            let middle = if few { f64::from(distinct[i]) } else { i as f64 / (BINS - 1) as f64 * f64::from(deepest) };
            if *count > 0.0 { sum / count } else { middle }
        });
        Some(Self { depth: depth.collect(), count, of })
    }

    /// The cut of least squares: band 0 has depth 0, the others their mean.
    fn best_cut(&self, count: usize) -> Cut {
        let n = self.depth.len();
        let running = |value: &dyn Fn(usize) -> f64| {
            let mut sums = vec![0.0; n + 1];
            for i in 0..n {
                sums[i + 1] = sums[i] + value(i);
            }
            sums
        };
        let zero = running(&|i| self.count[i]);
        let one = running(&|i| self.count[i] * self.depth[i]);
        let two = running(&|i| self.count[i] * self.depth[i] * self.depth[i]);
        let about_mean = |from: usize, to: usize| {
            let (cells, sum) = (zero[to] - zero[from], one[to] - one[from]);
            if cells > 0.0 { (two[to] - two[from] - sum * sum / cells).max(0.0) } else { 0.0 }
        };
        // cost[j][i]: least cost of the first i steps in bands 0 to j; from[j][i]: where band j then begins.
        let mut cost = vec![two.clone()];
        let mut from: Vec<Vec<usize>> = vec![vec![0; n + 1]];
        for band in 1..=count {
            let best = |to: usize| {
                let at = |begin: usize| cost[band - 1][begin] + about_mean(begin, to);
                (0..=to).map(|begin| (at(begin), begin)).min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((0.0, 0))
            };
            let (costs, begins): (Vec<f64>, Vec<usize>) = (0..=n).map(best).unzip();
            cost.push(costs);
            from.push(begins);
        }
        let mut begins = vec![0; count];
        let mut end = n;
        for band in (1..=count).rev() {
            end = from[band][end];
            begins[band - 1] = end;
        }
        let levels = (0..count).map(|band| {
            let (start, end) = (begins[band], begins.get(band + 1).copied().unwrap_or(n));
            let cells = zero[end] - zero[start];
            if cells > 0.0 { (one[end] - one[start]) / cells } else { self.depth[start.min(n - 1)] }
        });
        let levels = levels.collect();
        Cut { begins, levels }
    }
}

/// Bands of depth: where each begins among the steps, and what it is carved to.
#[derive(Clone, PartialEq)]
struct Cut {
    begins: Vec<usize>,
    levels: Vec<f64>,
}

impl Cut {
    /// The cuts that differ in one border, by up to `reach` steps, or in one depth, by up to `reach` hundredths.
    fn neighbours(&self, reach: usize, bins: &Bins) -> Vec<Self> {
        let mut all = Vec::new();
        for band in 0..self.begins.len() {
            let low = if band == 0 { 0 } else { self.begins[band - 1] };
            let high = self.begins.get(band + 1).copied().unwrap_or(bins.depth.len());
            for begin in [self.begins[band].saturating_sub(reach).max(low), (self.begins[band] + reach).min(high)] {
                let mut other = self.clone();
                other.begins[band] = begin;
                all.push(other);
            }
            for factor in [1.0 + 0.005 * reach as f64, 1.0 / (1.0 + 0.005 * reach as f64)] {
                let mut other = self.clone();
                other.levels[band] *= factor;
                if other.levels.windows(2).all(|pair| pair[0] <= pair[1]) {
                    all.push(other);
                }
            }
        }
        all.retain(|other| other != self);
        all
    }

    fn layer_of(&self, step: u16) -> u8 {
        self.begins.partition_point(|&begin| begin <= usize::from(step)) as u8
    }
}

/// A cut as it comes out when carved.
struct Carving {
    layer: Field<u8>,
    carved: Field<f32>,
    /// Sum of the squares of the residual.
    error: f64,
}

impl Carving {
    fn of(wanted: &Field<f32>, bins: &Bins, cut: &Cut, rule: &DistanceRule) -> Result<Self, QuickError> {
        let layer = Field { grid: wanted.grid, values: bins.of.iter().map(|&step| cut.layer_of(step)).collect() };
        let carved = carved(&layer, &cut.levels, rule)?;
        let error = carved.values.iter().zip(&wanted.values).map(|(a, b)| f64::from(a - b).powi(2)).sum();
        Ok(Self { layer, carved, error })
    }

    fn finished(self, wanted: &Field<f32>, cut: &Cut) -> Layered {
        let residual = self.carved.values.iter().zip(&wanted.values).map(|(carved, wanted)| carved - wanted);
        let residual = Field { grid: wanted.grid, values: residual.collect() };
        let cells = wanted.values.iter().filter(|&&z| z > 0.0).count();
        let rms = (self.error / cells.max(1) as f64).sqrt();
        let depths = cut.levels.iter().map(|&mm| Length::clamped(mm * 1e-3)).collect();
        Layered { depths, layer: self.layer, carved: self.carved, residual, rms: Length::clamped(rms * 1e-3) }
    }
}

/// The layers carved deepest first, by the distance rule.
fn carved(layer: &Field<u8>, levels: &[f64], rule: &DistanceRule) -> Result<Field<f32>, QuickError> {
    let opened = |band: usize| {
        let mask = Mask { grid: layer.grid, values: layer.values.iter().map(|&own| usize::from(own) > band).collect() };
        distance(&mask, Side::Open, Beyond::Nothing)
    };
    let edges: Vec<Field<f32>> = (0..levels.len()).rev().map(opened).collect();
    let doses = (0..levels.len()).rev().map(|band| levels[band] - if band > 0 { levels[band - 1] } else { 0.0 });
    let stages = edges.iter().zip(doses);
    let stages: Vec<QuickStage> =
        stages.map(|(distance, mm)| QuickStage { distance, dose: Length::clamped(mm.max(0.0) * 1e-3) }).collect();
    quick::depths(rule, &stages)
}

#[cfg(test)]
mod tests {
    use super::*;
    use artwork::grid::{Grid, Point};

    fn rule() -> DistanceRule {
        DistanceRule::new(7.0 / 3.0).unwrap()
    }

    fn relief(cell: f64, side: usize, depth: impl Fn(Point) -> f64) -> Field<f32> {
        let half = 0.5 * cell * side as f64;
        let grid = Grid { origin: Point { x: -half, y: -half }, cell, width: side, height: side };
        Field { grid, values: (0..grid.len()).map(|i| depth(grid.centre(i % side, i / side)) as f32).collect() }
    }

    /// A dome in steps of a tenth of a millimetre: eleven depths.
    fn stepped(shape: f64) -> Field<f32> {
        relief(0.5, 64, |p| ((1.2 * (1.0 - (p.x.hypot(p.y) / 15.0).powf(shape))).max(0.0) * 10.0).round() * 0.1)
    }

    /// The least residual over all ways to cut the distinct depths into four bands with their means, carved.
    fn exhaustive(wanted: &Field<f32>) -> f64 {
        let bins = Bins::of(wanted).unwrap();
        let n = bins.depth.len();
        let mut least = f64::INFINITY;
        for (a, b) in (0..n).flat_map(|a| (a..n).map(move |b| (a, b))) {
            for (c, d) in (b..n).flat_map(|c| (c..n).map(move |d| (c, d))) {
                let begins = vec![a, b, c, d];
                let level = |band: usize| {
                    let steps = begins[band]..begins.get(band + 1).copied().unwrap_or(n);
                    let cells: f64 = bins.count[steps.clone()].iter().sum();
                    let sum: f64 = steps.map(|i| bins.count[i] * bins.depth[i]).sum();
                    if cells > 0.0 { sum / cells } else { bins.depth[begins[band].min(n - 1)] }
                };
                let levels: Vec<f64> = (0..4).map(level).collect();
                let cut = Cut { begins: begins.clone(), levels };
                least = least.min(Carving::of(wanted, &bins, &cut, &rule()).unwrap().error);
            }
        }
        least
    }

    #[test]
    fn four_layers_are_no_worse_than_an_exhaustive_search() {
        for shape in [1.0, 2.0, 0.6] {
            let wanted = stepped(shape);
            let got = layers(&wanted, &rule(), 4).unwrap();
            let error: f64 = got.residual.values.iter().map(|&r| f64::from(r).powi(2)).sum();
            let least = exhaustive(&wanted);
            println!("shape {shape}: {error:.4} against {least:.4}, rms {:.4} mm", got.rms.to_mm());
            assert!(error <= least * (1.0 + 1e-9));
        }
    }

    #[test]
    fn the_cut_without_walls_is_the_optimal_quantisation() {
        // Depths 1, 2, 3, 11, 12, 13 in two bands: 1 left uncarved costs 1 and leaves 0.5 + 2 in the bands; 1 taken
        // into the first costs 2 + 2.
        let grid = Grid { origin: Point::default(), cell: 1.0, width: 6, height: 1 };
        let wanted = Field { grid, values: vec![1.0, 2.0, 3.0, 11.0, 12.0, 13.0] };
        let cut = Bins::of(&wanted).unwrap().best_cut(2);
        assert_eq!((cut.begins, cut.levels), (vec![1, 3], vec![2.5, 12.0]));
    }

    #[test]
    fn more_layers_leave_less_and_the_residual_says_where() {
        let wanted = relief(0.25, 128, |p| (1.5 * (1.0 - p.x.hypot(p.y) / 14.0)).max(0.0));
        let rms: Vec<f64> = [1, 2, 4, 8].map(|count| layers(&wanted, &rule(), count).unwrap().rms.to_mm()).to_vec();
        println!("rms for 1, 2, 4, 8 layers: {rms:.3?} mm");
        assert!(rms.windows(2).all(|pair| pair[1] < 0.75 * pair[0]));
        // A cone in 4 even bands errs by a band's height over √12 without walls.
        assert!(rms[2] < 1.2 * 1.5 / 4.5 / 12f64.sqrt());
        let four = layers(&wanted, &rule(), 4).unwrap();
        for ((carved, wanted), residual) in four.carved.values.iter().zip(&wanted.values).zip(&four.residual.values) {
            assert!((carved - wanted - residual).abs() < 1e-6);
        }
        assert!(four.depths.windows(2).all(|pair| pair[0] <= pair[1]));
    }

    #[test]
    fn flat_reliefs_and_odd_counts_are_refused() {
        let flat = relief(0.5, 8, |_| 0.0);
        assert_eq!(layers(&flat, &rule(), 3), Err(ReliefError::Flat));
        assert_eq!(layers(&relief(0.5, 8, |_| f64::NAN), &rule(), 3), Err(ReliefError::Flat));
        assert!(matches!(layers(&stepped(1.0), &rule(), 0), Err(ReliefError::Layers { given: 0, .. })));
        assert!(layers(&stepped(1.0), &rule(), 13).is_err());
    }
}
