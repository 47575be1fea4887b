//! From target depths to stages of masking and blasting.
//!
//! Deepest first: the deepest layer is weeded and blasted alone by as much as it must go deeper than
//! the next, then the next is weeded too, and so on. Wide ground then ends exactly on its target;
//! narrow ground falls short, as [`crate::distance_rule`] says.

use artwork::grid::Mask;
use language::say;
use quantity::{Length, Quantity as _};

/// A layer of the artwork: cells that shall reach one depth.
#[derive(Debug, Clone, Copy)]
pub struct Layer<'a> {
    /// Its cells.
    pub mask: &'a Mask,
    /// Depth wanted.
    pub target: Length,
}

/// A stage of the work.
#[derive(Debug, Clone, PartialEq)]
pub struct Stage {
    /// Layers weeded before this stage, as places in the list of targets; those of earlier stages stay open.
    pub opens: Vec<usize>,
    /// Depth that wide open ground gains in it.
    pub dose: Length,
}

/// Targets that cannot be staged.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StagingError {
    /// No layer has a depth.
    #[error("{}", say!("no layer has a depth above zero; give at least one layer a depth"))]
    NothingToCarve,
}

/// Two targets nearer than this are one.
const SAME_DEPTH: f64 = 1e-6;

/// The stages that bring each layer to its target, deepest first.
///
/// Layers of equal depth (to a micrometre) open together; a layer of zero depth never opens. The doses
/// are the differences of the depths, so they add up to the deepest target.
///
/// # Errors
/// [`StagingError::NothingToCarve`] when no target is above zero.
pub fn stages(targets: &[Length]) -> Result<Vec<Stage>, StagingError> {
    let mut order: Vec<usize> = (0..targets.len()).filter(|&i| targets[i].to_metres() >= SAME_DEPTH).collect();
    order.sort_by(|&a, &b| targets[b].to_metres().total_cmp(&targets[a].to_metres()).then(a.cmp(&b)));
    let mut groups: Vec<(f64, Vec<usize>)> = Vec::new();
    for layer in order {
        let depth = targets[layer].to_metres();
        match groups.last_mut() {
            Some((group, layers)) if *group - depth < SAME_DEPTH => layers.push(layer),
            _ => groups.push((depth, vec![layer])),
        }
    }
    if groups.is_empty() {
        return Err(StagingError::NothingToCarve);
    }
    let shallower: Vec<f64> = groups.iter().skip(1).map(|group| group.0).chain([0.0]).collect();
    let stage = |((depth, opens), next): ((f64, Vec<usize>), f64)| Stage { opens, dose: Length::clamped(depth - next) };
    Ok(groups.into_iter().zip(shallower).map(stage).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::distance_rule::DistanceRule;
    use crate::height_field::{Opening, SolveOptions, carry_on, carve};
    use artwork::grid::{Field, Grid, Point};
    use proptest::prelude::*;

    fn mm(value: f64) -> Length {
        Length::mm(value).unwrap()
    }

    /// The dose that each layer has had after all stages, in millimetres.
    fn layer_doses(count: usize, stages: &[Stage]) -> Vec<f32> {
        let mut doses = vec![0.0; count];
        for (i, stage) in stages.iter().enumerate() {
            let rest: f64 = stages[i..].iter().map(|stage| stage.dose.to_mm()).sum();
            for &layer in &stage.opens {
                doses[layer] = rest as f32;
            }
        }
        doses
    }

    fn lengths(values: &[f64]) -> Vec<Length> {
        values.iter().map(|&value| mm(value)).collect()
    }

    #[test]
    fn the_deepest_layer_opens_first_and_doses_are_differences() {
        let stages = stages(&lengths(&[0.5, 2.0, 0.0, 1.25, 2.0])).unwrap();
        let opens: Vec<Vec<usize>> = stages.iter().map(|stage| stage.opens.clone()).collect();
        assert_eq!(opens, [vec![1, 4], vec![3], vec![0]], "equal depths together, zero depth never");
        for (stage, want) in stages.iter().zip([0.75, 0.75, 0.5]) {
            assert!((stage.dose.to_mm() - want).abs() < 1e-12);
        }
    }

    #[test]
    fn nothing_to_carve_is_said() {
        assert_eq!(stages(&lengths(&[0.0, 0.0])), Err(StagingError::NothingToCarve));
        assert_eq!(stages(&[]), Err(StagingError::NothingToCarve));
    }

    proptest! {
        #[test]
        fn every_layer_gets_its_target_in_doses(depths in proptest::collection::vec(0.01..5.0f64, 1..7)) {
            let targets = lengths(&depths);
            let doses = layer_doses(targets.len(), &stages(&targets).unwrap());
            for (dose, want) in doses.iter().zip(&depths) {
                prop_assert!((f64::from(*dose) - want).abs() < 2e-3 * want.max(1.0));
            }
        }
    }

    fn grid() -> Grid {
        Grid { origin: Point::default(), cell: 0.1, width: 300, height: 120 }
    }

    fn mask(inside: impl Fn(Point) -> bool) -> Mask {
        let grid = grid();
        Field { grid, values: (0..grid.len()).map(|i| inside(grid.centre(i % grid.width, i / grid.width))).collect() }
    }

    /// Three nested layers: a field of 20 mm, a disc in it, and a line of 0.8 mm in the disc; a second
    /// line of 0.8 mm stands alone at the right.
    fn masks() -> [Mask; 3] {
        let disc = |p: Point| (p.x - 10.0).hypot(p.y - 6.0) < 4.0;
        let line = |p: Point| (p.x - 10.0).abs() < 3.0 && (p.y - 6.0).abs() < 0.4;
        let alone = |p: Point| (p.x - 26.0).abs() < 0.4 && (p.y - 6.0).abs() < 4.0;
        [
            mask(|p| p.x > 0.5 && p.x < 20.0 && (p.y - 6.0).abs() < 5.5 && !disc(p)),
            mask(|p| disc(p) && !line(p)),
            mask(|p| line(p) || alone(p)),
        ]
    }

    /// What is open in each stage: all layers weeded so far.
    fn open_masks(layers: &[Layer], stages: &[Stage]) -> Vec<Mask> {
        let union = |open: &mut Mask, stage: &Stage| {
            for &layer in &stage.opens {
                open.values.iter_mut().zip(&layers[layer].mask.values).for_each(|(open, &inside)| *open |= inside);
            }
            Some(open.clone())
        };
        stages.iter().scan(Mask::filled(grid(), false), union).collect()
    }

    #[test]
    fn wide_layers_reach_their_targets_and_a_narrow_line_stays_short() {
        let masks = masks();
        let targets = lengths(&[0.5, 1.0, 1.5]);
        let layers: Vec<Layer> = masks.iter().zip(&targets).map(|(mask, &target)| Layer { mask, target }).collect();
        let stages = stages(&targets).unwrap();
        let open = open_masks(&layers, &stages);
        let openings: Vec<Opening> = open
            .iter()
            .zip(&stages)
            .map(|(mask, stage)| Opening { mask, edge: None, dose: stage.dose, flux: None })
            .collect();
        let rule = DistanceRule::new(7.0 / 3.0).unwrap();
        let depth = carve(&openings, &SolveOptions::new(7.0 / 3.0), &carry_on).unwrap();
        let at = |x: f64, y: f64| f64::from(depth.at(Point { x, y }).unwrap());
        for (x, y, want) in [(3.0, 2.0, 0.5), (17.0, 10.0, 0.5), (10.0, 8.3, 1.0)] {
            assert!((at(x, y) - want).abs() < 5e-3, "{} of {want} at {x}, {y}", at(x, y));
        }
        // By the closed form, 0.35 mm from the edge: its deepest cells lie half a cell from its middle.
        let want = 1.5 * rule.share_exact(0.35 / 1.5);
        let narrow = (0..40).map(|i| at(26.0, 4.05 + 0.1 * f64::from(i))).fold(0.0, f64::max);
        assert!((narrow / want - 1.0).abs() < 0.03 && narrow < 1.2, "{narrow} of {want}");
    }
}
