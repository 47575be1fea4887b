//! What the checks say of many recipes: each is made once for all recipes that share what it hangs on.
//!
//! Openings hang on resist and grit, lines on the law of depth, walls, roll and gores on the resist, silica on the
//! abrasive, the air line on nozzle and setting, the thickness on the jet, checks of safety on the time and on whether
//! the resist is a film; wear on all of it. The order is that of [`crate::judge`].

use super::Field;
use super::grid::Grid;
use crate::at_work::AtWork;
use crate::finding::{Check, Finding, State};
use crate::gores;
use crate::judge::{self, Case, Judged};
use crate::refusal::Refusal;
use crate::safety_checks;
use crate::sketch::SketchLayer;
use crate::spent::Spent;
use quantity::{Diameter, Fraction};
use reference::ResistKind;

/// Checks that do not hold, in the order in which they are made.
#[derive(Debug, Clone, Default)]
pub(super) struct Said {
    pub stops: Vec<Check>,
    pub watched: Vec<Check>,
}

impl Said {
    pub(super) fn of(findings: impl IntoIterator<Item = Finding>) -> Self {
        let mut said = Self::default();
        for finding in findings {
            match finding.state {
                State::Stop => said.stops.push(finding.check),
                State::Watch => said.watched.push(finding.check),
                State::Holds => {}
            }
        }
        said
    }

    fn joined<'s>(parts: impl Iterator<Item = &'s Self>) -> Self {
        let mut all = Self::default();
        parts.for_each(|part| all.add(part));
        all
    }

    fn add(&mut self, part: &Self) {
        self.stops.extend_from_slice(&part.stops);
        self.watched.extend_from_slice(&part.watched);
    }
}

/// What hangs on resist and stock.
#[derive(Debug, Default)]
pub(super) struct Known {
    resists: Vec<OfResist>,
    stocks: Vec<OfStock>,
    /// How many stages are left when a layer is opened, that stage included.
    left: Vec<usize>,
}

#[derive(Debug)]
struct OfResist {
    wall: Said,
    roll: Said,
    /// The body's own checks, the film's gores among them.
    body: Said,
}

#[derive(Debug)]
struct OfStock {
    /// Of each resist, layer by layer.
    openings: Vec<Vec<Said>>,
    /// Layer by layer.
    lines: Vec<Said>,
    silica: Said,
    size: Diameter,
    free_silica: Fraction,
}

/// What hangs on a jet, and on the time with it.
#[derive(Debug)]
pub(super) struct OfJet {
    thickness: Said,
    air_line: Said,
    /// Of films and others by the time that they take.
    days: Vec<((bool, Spent), Said)>,
}

impl Known {
    pub(super) fn new(field: &Field<'_>, grid: &Grid<'_>) -> Self {
        if grid.jets.is_empty() {
            return Self::default();
        }
        let mut case = field.case(grid.recipe(0));
        let stages = judge::stages(field.sketch).unwrap_or_default();
        let left = |layer| stages.len() - judge::opened_in(layer, &stages);
        let mut known = Self { left: (0..field.sketch.layers.len()).map(left).collect(), ..Self::default() };
        for &resist in &grid.resists {
            case.recipe.resist = resist;
            known.resists.push(OfResist {
                wall: Said::of(judge::wall(&case)),
                roll: Said::of(judge::roll_width(&case)),
                body: Said::of(judge::handle(&case).into_iter().chain(gores::finding(&case))),
            });
        }
        for stock in &grid.stocks {
            case.recipe = case.recipe.with_abrasive(stock.abrasive, stock.grit);
            known.stocks.push(OfStock::new(field, &mut case, grid));
        }
        known
    }

    /// What all checks say of a recipe whose time and wear are reckoned.
    pub(super) fn said(&self, grid: &Grid<'_>, at: usize, case: &Case<'_>, judged: &Judged, jet: &mut OfJet) -> Said {
        let resist = &self.resists[grid.resist_of(at)];
        let blast = &grid.jets[grid.jet_of(at)];
        let stock = &self.stocks[blast.stock];
        let finish = blast.finish.map(|(at, own)| (&self.stocks[at], own));
        // What has to find its way into a layer's openings: the coarsest from the stage on that opens it.
        let coarsest = |layer: usize| match finish {
            Some((last, own)) if self.left[layer] <= own || last.size > stock.size => last,
            _ => stock,
        };
        let opening = |layer: usize| &coarsest(layer).openings[grid.resist_of(at)][layer];
        let layers = stock.lines.iter().enumerate().map(|(layer, line)| [opening(layer), line]);
        let dustier = finish.map(|(last, _)| last).filter(|last| last.free_silica > stock.free_silica);
        let silica = &dustier.unwrap_or(stock).silica;
        let wear = Said::of([judge::wear(&judged.wear)]);
        let air = Said::of([judge::air_holds(&judged.at_work.hold, &judged.works)]);
        let OfJet { thickness, air_line, .. } = &*jet;
        let rest = [&resist.wall, &wear, thickness, &air, air_line, silica, &resist.roll];
        let mut said = Said::joined(layers.flatten().chain(rest));
        said.add(jet.day(case, judged));
        said.add(&resist.body);
        said
    }
}

impl OfStock {
    fn new(field: &Field<'_>, case: &mut Case<'_>, grid: &Grid<'_>) -> Self {
        let layers = &field.sketch.layers;
        let mut opened = |resist| {
            case.recipe.resist = resist;
            layers.iter().map(|layer| Said::of([judge::opening(case, layer, case.recipe.grit)])).collect()
        };
        let openings = grid.resists.iter().map(|&resist| opened(resist)).collect();
        let drawn = field.belief.drawn((field.piece.blank.material, case.recipe.abrasive));
        // Without a law no blast is computed either.
        let line = |layer: &SketchLayer| {
            drawn.rule.as_ref().map_or_else(|_| Said::default(), |rule| Said::of([judge::narrow_depth(layer, rule)]))
        };
        Self {
            openings,
            lines: layers.iter().map(line).collect(),
            silica: Said::of([judge::silica(case)]),
            size: case.recipe.grit.d50.value.mid(),
            free_silica: case.recipe.abrasive.free_silica_max.value,
        }
    }
}

impl OfJet {
    /// # Errors
    /// [`Refusal`] when the collector cannot be reckoned.
    pub(super) fn new(case: &Case<'_>, at_work: &AtWork) -> Result<Self, Refusal> {
        Ok(Self {
            thickness: Said::of([judge::thickness(case, at_work, &judge::stages(&case.sketch)?)]),
            air_line: Said::of(judge::air_line(case, at_work)?),
            days: Vec::new(),
        })
    }

    /// What the checks of safety say.
    fn day(&mut self, case: &Case<'_>, judged: &Judged) -> &Said {
        let key = (case.recipe.resist.kind == ResistKind::PhotoFilm, judged.spent);
        let at = self.days.iter().position(|(known, _)| *known == key).unwrap_or_else(|| {
            self.days.push((key, Said::of(safety_checks::findings(case, judged))));
            self.days.len() - 1
        });
        &self.days[at].1
    }
}
