//! Stages that bring each layer to its depth, found on the forward model.
//!
//! Two ways are tried. **Growing**: the layer that needs the largest dose is opened first and nothing is covered again;
//! each layer's dose is corrected by what the solver says it reaches. **Covering**: all is opened at once, and a layer
//! is covered when it has reached its depth. The second costs putting resist back, and is taken only where the first
//! leaves a depth unmet: a narrow line in a wide field, whose walls the field's own carving eats away.
//!
//! A layer's depth is read where it is farthest from its own outline: on flat ground, or in the middle of a line.

use crate::distance_rule::share_of;
use crate::height_field::{self, Opening, SolveError, SolveOptions, carry_on};
use crate::jet::{JetError, Removal};
use crate::staging::Layer;
use artwork::distance::{Beyond, Side, distance};
use artwork::grid::{Field, Mask};
use language::say;
use quantity::{Area, Length, Quantity as _, Time};

/// What may be done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// No layer gets more dose than this: what the resist around it stands.
    pub dose_max: Length,
    /// Whether resist may be put back on carved ground.
    pub cover: bool,
    /// A depth this near to its target is met, as a share of the target; 0.001 to 0.2. Default 0.02.
    pub tolerance: f64,
}

impl Limits {
    /// Within 2 %, covering allowed, for a largest dose.
    #[must_use]
    pub fn new(dose_max: Length) -> Self {
        Self { dose_max, cover: true, tolerance: 0.02 }
    }
}

/// A stage of such a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Layers that are open in it, as places in the list.
    pub open: Vec<usize>,
    /// Depth that wide open ground gains.
    pub dose: Length,
}

/// What one layer reaches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reached {
    /// Place in the list of layers.
    pub layer: usize,
    /// Depth wanted.
    pub target: Length,
    /// Depth where the layer is widest.
    pub depth: Length,
    /// Whether that is near enough.
    pub met: bool,
}

/// Stages for a set of layers, and what they reach.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerPlan {
    /// In the order of the work.
    pub steps: Vec<Step>,
    /// In the order of the layers with a target above zero.
    pub reached: Vec<Reached>,
    /// Whether a step covers what an earlier one opened.
    pub covers: bool,
    /// Depth in millimetres after all steps.
    pub depth: Field<f32>,
}

impl LayerPlan {
    /// Seconds of each step while its swept area is blasted evenly.
    ///
    /// # Errors
    /// [`JetError::NothingRemoved`] for no area or no removal.
    pub fn times(&self, removal: &Removal, swept: &[Area]) -> Result<Vec<Time>, JetError> {
        self.steps.iter().zip(swept).map(|(step, &swept)| removal.time_for(step.dose, swept)).collect()
    }

    /// Largest relative miss of a target.
    #[must_use]
    pub fn worst_miss(&self) -> f64 {
        let miss = |r: &Reached| (r.depth.to_metres() / r.target.to_metres() - 1.0).abs();
        self.reached.iter().map(miss).fold(0.0, f64::max)
    }
}

/// Layers that cannot be planned.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LayersError {
    /// No layer has a depth and cells.
    #[error("{}", say!("no layer has both cells and a depth above zero; give at least one"))]
    NothingToCarve,
    /// A layer lies on another grid than the first.
    #[error("{}", say!("layer {layer} lies on another grid than the first; make all of them on one grid"))]
    OtherGrid {
        /// Place in the list of layers.
        layer: usize,
    },
    /// The largest dose is none.
    #[error("{}", say!("the largest dose must be above zero; it is what the resist stands"))]
    NoDose,
    /// The forward model gave up.
    #[error(transparent)]
    Solve(#[from] SolveError),
}

/// Rounds of correction of the growing way, and of one step of the covering way.
const ROUNDS: usize = 6;

/// The plan for layers that do not overlap (a cell in several counts for each).
///
/// Cost: up to six runs of the solver for growing, two to six for each layer for covering. On large pieces plan on a
/// coarse grid: six cells to the narrowest line.
///
/// # Errors
/// [`LayersError`] for nothing to carve, layers on different grids, no dose, or a solver that gives up.
pub fn plan(layers: &[Layer], options: &SolveOptions, limits: &Limits) -> Result<LayerPlan, LayersError> {
    let job = Job::new(layers, options, limits)?;
    let growing = job.growing()?;
    if !limits.cover || growing.reached.iter().all(|reached| reached.met) {
        return Ok(growing);
    }
    let covering = job.covering()?;
    let met = |plan: &LayerPlan| plan.reached.iter().filter(|reached| reached.met).count();
    Ok(if met(&covering) > met(&growing) { covering } else { growing })
}

struct Job<'a> {
    layers: &'a [Layer<'a>],
    options: &'a SolveOptions,
    limits: &'a Limits,
    /// Of each layer that is to be carved: its place, the cell where it is widest, and half its width there in mm.
    goals: Vec<Goal>,
}

#[derive(Clone, Copy)]
struct Goal {
    layer: usize,
    target_mm: f64,
    cell: usize,
    half_mm: f64,
}

impl<'a> Job<'a> {
    fn new(layers: &'a [Layer<'a>], options: &'a SolveOptions, limits: &'a Limits) -> Result<Self, LayersError> {
        let grid = layers.first().ok_or(LayersError::NothingToCarve)?.mask.grid;
        if let Some(layer) = layers.iter().position(|layer| layer.mask.grid != grid) {
            return Err(LayersError::OtherGrid { layer });
        }
        if limits.dose_max.to_metres() <= 0.0 {
            return Err(LayersError::NoDose);
        }
        let goals: Vec<Goal> = (0..layers.len()).filter_map(|i| goal(i, &layers[i])).collect();
        if goals.is_empty() {
            return Err(LayersError::NothingToCarve);
        }
        Ok(Self { layers, options, limits, goals })
    }

    fn growing(&self) -> Result<LayerPlan, LayersError> {
        let max = self.limits.dose_max.to_mm();
        let mut doses: Vec<f64> = self.goals.iter().map(|goal| goal.target_mm.min(max)).collect();
        let mut best: Option<LayerPlan> = None;
        for _ in 0..ROUNDS {
            let plan = self.judged(self.grown_steps(&doses))?;
            for (dose, (goal, reached)) in doses.iter_mut().zip(self.goals.iter().zip(&plan.reached)) {
                *dose = self.corrected(*dose, goal.half_mm, goal.target_mm, reached.depth.to_mm()).min(max);
            }
            let better = best.as_ref().is_none_or(|best| plan.worst_miss() < best.worst_miss());
            if better {
                best = Some(plan);
            }
            if best.as_ref().is_some_and(|best| best.worst_miss() < 0.25 * self.limits.tolerance) {
                break;
            }
        }
        best.ok_or(LayersError::NothingToCarve)
    }

    /// Layers opened in the order of their doses, the largest first.
    fn grown_steps(&self, doses: &[f64]) -> Vec<Step> {
        let mut order: Vec<usize> = (0..doses.len()).collect();
        order.sort_by(|&a, &b| doses[b].total_cmp(&doses[a]));
        let mut open = Vec::new();
        let mut steps: Vec<Step> = Vec::new();
        for (i, &at) in order.iter().enumerate() {
            open.push(self.goals[at].layer);
            let next = order.get(i + 1).map_or(0.0, |&next| doses[next]);
            // Less than a micrometre is no stage of its own.
            if doses[at] - next > 1e-3 {
                steps.push(Step { open: open.clone(), dose: Length::clamped((doses[at] - next) * 1e-3) });
            }
        }
        steps
    }

    /// The dose that would have been right, were depth a power of it with the local exponent of the closed form.
    fn corrected(&self, dose: f64, half: f64, target: f64, depth: f64) -> f64 {
        let share = |dose: f64| dose * share_of(self.options.exponent, half / dose);
        let power = ((share(1.01 * dose) / share(dose)).ln() / 1.01f64.ln()).clamp(0.2, 1.0);
        dose * (target / depth.max(1e-6)).clamp(0.25, 4.0).powf(1.0 / power)
    }

    fn covering(&self) -> Result<LayerPlan, LayersError> {
        let grid = self.layers[0].mask.grid;
        let mut depth = Field::filled(grid, 0.0f32);
        let (mut left, mut spent) = (self.goals.clone(), 0.0);
        let mut steps = Vec::new();
        let max = self.limits.dose_max.to_mm();
        while !left.is_empty() && max - spent > 1e-3 {
            let open: Vec<usize> = left.iter().map(|goal| goal.layer).collect();
            let (dose, after) = self.until_one_is_there(&depth, &open, &left, max - spent)?;
            depth = after;
            spent += dose;
            steps.push(Step { open, dose: Length::clamped(dose * 1e-3) });
            let near = 0.25 * self.limits.tolerance;
            left.retain(|goal| f64::from(depth.values[goal.cell]) < goal.target_mm * (1.0 - near));
        }
        Ok(self.plan_of(steps, depth))
    }

    /// The dose, up to `most`, with which the first of the open layers reaches its target, and the ground after it.
    fn until_one_is_there(
        &self,
        before: &Field<f32>,
        open: &[usize],
        left: &[Goal],
        most: f64,
    ) -> Result<(f64, Field<f32>), LayersError> {
        let (mask, edge) = self.opened(open);
        let run = |dose: f64| {
            let opening = Opening { mask: &mask, edge: Some(&edge), dose: Length::clamped(dose * 1e-3), flux: None };
            height_field::carve_on(before.clone(), &[opening], self.options, &carry_on)
        };
        let want = |goal: &Goal| goal.target_mm - f64::from(before.values[goal.cell]);
        let half = |goal: &Goal| f64::from(edge.values[goal.cell]);
        let guess = |goal: &Goal| {
            let dose = crate::distance_rule::dose_of(self.options.exponent, want(goal), half(goal));
            dose.unwrap_or(most)
        };
        let mut dose = left.iter().map(guess).fold(most, f64::min).max(1e-3);
        let mut after = run(dose)?;
        for _ in 0..ROUNDS {
            let gained = |goal: &Goal| f64::from(after.values[goal.cell] - before.values[goal.cell]);
            let next = |goal: &Goal| self.corrected(dose, half(goal), want(goal), gained(goal));
            let corrected = left.iter().map(next).fold(most, f64::min).max(1e-3);
            if (corrected / dose - 1.0).abs() < 0.1 * self.limits.tolerance {
                break;
            }
            dose = corrected;
            after = run(dose)?;
        }
        Ok((dose, after))
    }

    fn opened(&self, open: &[usize]) -> (Mask, Field<f32>) {
        let mut mask = Mask::filled(self.layers[0].mask.grid, false);
        for &layer in open {
            mask.values.iter_mut().zip(&self.layers[layer].mask.values).for_each(|(cell, &inside)| *cell |= inside);
        }
        let edge = distance(&mask, Side::Open, Beyond::Edge);
        (mask, edge)
    }

    fn judged(&self, steps: Vec<Step>) -> Result<LayerPlan, LayersError> {
        let opened: Vec<(Mask, Field<f32>)> = steps.iter().map(|step| self.opened(&step.open)).collect();
        let openings: Vec<Opening> = opened
            .iter()
            .zip(&steps)
            .map(|((mask, edge), step)| Opening { mask, edge: Some(edge), dose: step.dose, flux: None })
            .collect();
        let depth = height_field::carve(&openings, self.options, &carry_on)?;
        Ok(self.plan_of(steps, depth))
    }

    fn plan_of(&self, steps: Vec<Step>, depth: Field<f32>) -> LayerPlan {
        let reached = |goal: &Goal| {
            let got = f64::from(depth.values[goal.cell]);
            let met = (got / goal.target_mm - 1.0).abs() <= self.limits.tolerance;
            let (target, depth) = (self.layers[goal.layer].target, Length::clamped(got * 1e-3));
            Reached { layer: goal.layer, target, depth, met }
        };
        let reached = self.goals.iter().map(reached).collect();
        let covers = steps.windows(2).any(|pair| pair[0].open.iter().any(|layer| !pair[1].open.contains(layer)));
        LayerPlan { steps, reached, covers, depth }
    }
}

fn goal(index: usize, layer: &Layer) -> Option<Goal> {
    let target_mm = layer.target.to_mm();
    if target_mm < 1e-3 {
        return None;
    }
    let own = distance(layer.mask, Side::Open, Beyond::Edge);
    let (cell, &half) = own.values.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1))?;
    (half > 0.0).then_some(Goal { layer: index, target_mm, cell, half_mm: f64::from(half) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use artwork::grid::{Grid, Point};

    fn mm(value: f64) -> Length {
        Length::mm(value).unwrap()
    }

    fn grid() -> Grid {
        Grid { origin: Point::default(), cell: 0.1, width: 240, height: 120 }
    }

    fn mask(inside: impl Fn(Point) -> bool) -> Mask {
        let grid = grid();
        Field { grid, values: (0..grid.len()).map(|i| inside(grid.centre(i % grid.width, i / grid.width))).collect() }
    }

    fn in_field(p: Point) -> bool {
        p.x > 1.0 && p.x < 15.0 && (p.y - 6.0).abs() < 5.0
    }

    fn in_disc(p: Point) -> bool {
        (p.x - 6.0).hypot(p.y - 6.0) < 3.0
    }

    fn print(plan: &LayerPlan) {
        for step in &plan.steps {
            println!("open {:?} for {:.3} mm", step.open, step.dose.to_mm());
        }
        for reached in &plan.reached {
            println!("layer {}: {:.3} of {:.3} mm", reached.layer, reached.depth.to_mm(), reached.target.to_mm());
        }
    }

    #[test]
    fn wide_nested_layers_and_a_lone_line_are_met_without_covering() {
        let lone = |p: Point| (p.x - 19.0).abs() < 0.5 && (p.y - 6.0).abs() < 4.0;
        let masks = [mask(|p| in_field(p) && !in_disc(p)), mask(in_disc), mask(lone)];
        let layers =
            [(0, 0.5), (1, 1.2), (2, 1.0)].map(|(i, depth): (usize, f64)| Layer { mask: &masks[i], target: mm(depth) });
        let plan = plan(&layers, &SolveOptions::new(7.0 / 3.0), &Limits::new(mm(4.0))).unwrap();
        print(&plan);
        assert!(!plan.covers && plan.worst_miss() < 0.02);
        // The line needs more dose than its depth: it opens before the disc that goes deeper.
        assert_eq!(plan.steps[0].open, [2]);
    }

    #[test]
    fn a_line_in_a_field_is_met_by_putting_resist_back() {
        let line = |p: Point| (p.x - 8.0).abs() < 0.4 && (p.y - 6.0).abs() < 3.0;
        let masks = [mask(|p| in_field(p) && !line(p)), mask(line)];
        let layers = [(0, 0.8), (1, 1.5)].map(|(i, depth): (usize, f64)| Layer { mask: &masks[i], target: mm(depth) });
        let options = SolveOptions::new(7.0 / 3.0);
        let limits = Limits::new(mm(3.0));
        let without = plan(&layers, &options, &Limits { cover: false, ..limits }).unwrap();
        print(&without);
        assert!(!without.covers && without.worst_miss() > 0.02, "the field eats the line's walls away");
        let with = plan(&layers, &options, &limits).unwrap();
        print(&with);
        assert!(with.covers && with.worst_miss() < 0.02);
        assert_eq!(with.steps[0].open, [0, 1]);
        assert_eq!(with.steps.last().unwrap().open, [1]);
    }

    #[test]
    fn what_the_resist_does_not_stand_is_said_to_be_unmet() {
        let hair = mask(|p| (p.x - 8.0).abs() < 0.2 && (p.y - 6.0).abs() < 3.0);
        let layers = [Layer { mask: &hair, target: mm(2.0) }];
        let plan = plan(&layers, &SolveOptions::new(7.0 / 3.0), &Limits::new(mm(2.5))).unwrap();
        print(&plan);
        assert!(!plan.reached[0].met && plan.reached[0].depth.to_mm() < 1.0);
        let total: f64 = plan.steps.iter().map(|step| step.dose.to_mm()).sum();
        assert!(total <= 2.5 + 1e-9);
    }

    #[test]
    fn nothing_to_carve_and_two_grids_are_refused() {
        let all = mask(|_| true);
        let other = Mask::filled(Grid { width: 3, ..grid() }, true);
        let (options, limits) = (SolveOptions::new(2.0), Limits::new(mm(1.0)));
        let flat = Layer { mask: &all, target: mm(0.0) };
        assert_eq!(plan(&[flat], &options, &limits), Err(LayersError::NothingToCarve));
        let layers = [Layer { mask: &all, target: mm(1.0) }, Layer { mask: &other, target: mm(1.0) }];
        assert_eq!(plan(&layers, &options, &limits), Err(LayersError::OtherGrid { layer: 1 }));
        assert_eq!(plan(&layers[..1], &options, &Limits::new(mm(0.0))), Err(LayersError::NoDose));
    }
}
