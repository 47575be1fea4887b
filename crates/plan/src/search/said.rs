//! What the checks say of many recipes: each is made once for all recipes that share what it hangs on.
//!
//! Openings hang on resist and grit, lines on the law of depth, walls, roll and gores on the resist, silica on the
//! abrasive, the air line on nozzle and setting, the thickness on the jet, checks of safety on the time and on whether
//! the resist is a film; wear on all of it. The order is that of [`crate::judge`].

use super::Field;
use super::grid::{Grid, Jet};
use crate::at_work::AtWork;
use crate::finding::{Check, Finding, State};
use crate::gores;
use crate::judge::{self, Case, Judged};
use crate::safety_checks;
use crate::sketch::SketchLayer;
use crate::spent::Spent;
use carve::staging::Stage;
use quantity::{Diameter, Fraction};
use reference::ResistKind;
use std::sync::OnceLock;

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

    /// The worse of two that were made by the same checks of safety.
    fn worse(mut self, other: &Self) -> Self {
        let hazard = |check: &Check| match check {
            Check::Safety(hazard) => Some(*hazard),
            _ => None,
        };
        self.stops.extend(other.stops.iter().filter(|check| !self.stops.contains(check)).cloned().collect::<Vec<_>>());
        self.watched
            .extend(other.watched.iter().filter(|check| !self.watched.contains(check)).cloned().collect::<Vec<_>>());
        self.watched.retain(|check| !self.stops.contains(check));
        self.stops.sort_by_key(hazard);
        self.watched.sort_by_key(hazard);
        self
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
    /// By nozzle and setting; `None` where it cannot be reckoned.
    air_lines: Vec<OnceLock<Option<Said>>>,
    /// What the checks of safety say by nozzle and setting, stock, and whether the resist is a film, where they do not
    /// hang on the time.
    days: Option<Vec<OnceLock<Said>>>,
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
    /// Of films and others by the time that they take.
    days: Vec<((bool, Spent), Said)>,
}

impl Known {
    pub(super) fn new(field: &Field<'_>, grid: &Grid<'_>) -> Self {
        if grid.jets.is_empty() {
            return Self::default();
        }
        let mut case = field.case(grid.recipe(0));
        let left = |layer| field.stages.len() - judge::opened_in(layer, field.stages);
        let none = |count: usize| (0..count).map(|_| OnceLock::new()).collect();
        let days = (!safety_checks::hang_on_time(field.shop)).then(|| 2 * grid.seats.len() * grid.stocks.len());
        let mut known = Self {
            left: (0..field.sketch.layers.len()).map(left).collect(),
            air_lines: (0..grid.seats.len()).map(|_| OnceLock::new()).collect(),
            days: days.map(none),
            ..Self::default()
        };
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

    /// What hangs on a jet.
    pub(super) fn of_jet(&self, case: &Case<'_>, at_work: &AtWork, stages: &[Stage]) -> OfJet {
        OfJet { thickness: Said::of([judge::thickness(case, at_work, stages)]), days: Vec::new() }
    }

    /// What all checks say of a recipe whose time and wear are reckoned; `None` where its air cannot be.
    pub(super) fn said(
        &self,
        grid: &Grid<'_>,
        at: usize,
        case: &Case<'_>,
        judged: &Judged,
        jet: &mut OfJet,
    ) -> Option<Said> {
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
        let air_line = self.air_lines[blast.seat]
            .get_or_init(|| judge::air_line(case, &judged.at_work).ok().map(Said::of))
            .as_ref()?;
        let rest = [&resist.wall, &wear, &jet.thickness, &air, air_line, silica, &resist.roll];
        let mut said = Said::joined(layers.flatten().chain(rest));
        match &self.days {
            None => said.add(jet.day(case, judged)),
            Some(days) => self.add_day(days, grid, blast, case, judged, &mut said),
        }
        said.add(&resist.body);
        Some(said)
    }

    /// Adds what the checks of safety say where they do not hang on the time: of each abrasive once.
    fn add_day(
        &self,
        days: &[OnceLock<Said>],
        grid: &Grid<'_>,
        jet: &Jet,
        case: &Case<'_>,
        judged: &Judged,
        said: &mut Said,
    ) {
        let film = usize::from(case.recipe.resist.kind == ResistKind::PhotoFilm);
        let of_stock = |stock: usize| {
            days[2 * (jet.seat * grid.stocks.len() + stock) + film].get_or_init(|| {
                let stock = grid.stocks[stock];
                let mut alone = case.clone();
                alone.recipe = alone.recipe.with_abrasive(stock.abrasive, stock.grit);
                Said::of(safety_checks::findings(&alone, judged))
            })
        };
        let first = of_stock(jet.stock);
        match jet.finish {
            None => said.add(first),
            Some((last, _)) => said.add(&first.clone().worse(of_stock(last))),
        }
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
