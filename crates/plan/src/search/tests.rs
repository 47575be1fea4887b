//! The search against every recipe judged one after the other, by separate code.

use super::grid::Grid;
use super::said::Known;
use super::{Choice, Field, Options, Search, Watch, Within, of_sketch};
use crate::at_work::{AtWork, Finishing};
use crate::blast::{Blasting, Spreading};
use crate::calibration::Belief;
use crate::finding::{Check, State};
use crate::judge::{self, Case, judge, judge_at_work};
use crate::model::Recipe;
use crate::prepared::{Detail, Prepared};
use crate::recipe::STILL;
use crate::scenes::{Draws, Scene};
use crate::tally;
use crate::usual::Usual;
use carve::distance_rule::DistanceRule;
use piece::{Finish, Money, Piece, Shop};
use quantity::Length;
use rayon::prelude::*;
use std::borrow::Cow;
use std::collections::HashMap;
use std::sync::Arc;

const COARSE: Detail = Detail::Fine { cell: quantity::known(Length::mm(0.5)) };

/// Every recipe of a shop with its time, cost and number of samples that stop it; those that nothing stops.
fn enumerated(piece: &Piece, shop: &Shop, prepared: &Prepared) -> Vec<(f64, Money, usize, Recipe)> {
    let belief = Arc::new(Belief::of(shop, piece.blank.material).unwrap());
    let mut rules: HashMap<u64, Arc<DistanceRule>> = HashMap::new();
    let mut all = Vec::new();
    let stages = judge::stages(&prepared.sketch).unwrap().len();
    let stock = shop.abrasives.iter().map(|stock| (stock.abrasive, stock.grit));
    let mut abrasives: Vec<_> = stock.clone().map(|first| (first, None)).collect();
    for first in stock.clone() {
        for (abrasive, grit) in stock.clone().filter(|last| last.1.d50.value.mid() < first.1.d50.value.mid()) {
            abrasives.extend((1..stages).map(|stages| (first, Some(Finish { abrasive, grit, stages }))));
        }
    }
    for nozzle in &shop.nozzles {
        for pressure in piece.recipe.pressure.map_or(Usual::of(shop).pressures.to_vec(), |given| vec![given]) {
            for &((abrasive, grit), finish) in &abrasives {
                for standoff in
                    piece.recipe.standoff.map_or(Usual::of(shop).standoffs(nozzle).to_vec(), |given| vec![given])
                {
                    for resist in &shop.resists {
                        let (resist, nozzle) = (resist.resist, nozzle.clone());
                        let grain_speed = STILL;
                        let recipe = Recipe { resist, abrasive, grit, finish, nozzle, pressure, standoff, grain_speed };
                        let case = Case {
                            piece: Cow::Borrowed(piece),
                            shop: Cow::Borrowed(shop),
                            sketch: Cow::Borrowed(&prepared.sketch),
                            recipe: recipe.clone(),
                            belief: Arc::clone(&belief),
                            supplies: Arc::default(),
                        };
                        let Ok(judged) = judge(&case, Spreading::Whole) else { continue };
                        if judged.findings.iter().any(|one| one.state == State::Stop) {
                            continue;
                        }
                        let at_work = &judged.at_work;
                        let stopped = |sample: usize| {
                            let exponent = at_work.blasting.samples[sample].0.velocity_exponent;
                            let rule = rules
                                .entry(exponent.to_bits())
                                .or_insert_with(|| Arc::new(DistanceRule::new(exponent).unwrap()));
                            let under = |blasting: &Blasting| Arc::new(blasting.under(sample, Arc::clone(rule)));
                            let finishing = at_work
                                .finishing
                                .as_ref()
                                .map(|own| Finishing { blasting: under(&own.blasting), stages: own.stages });
                            let at_work =
                                AtWork { blasting: under(&at_work.blasting), finishing, hold: at_work.hold.clone() };
                            let under = judge_at_work(&case, Arc::new(at_work)).unwrap();
                            under.findings.iter().any(|one| one.state == State::Stop)
                        };
                        let stopped = at_work.samples().map(stopped).filter(|stopped| *stopped).count();
                        let cost = tally::cost(&case, &judged).unwrap();
                        all.push((judged.total().to_seconds(), cost, stopped, recipe));
                    }
                }
            }
        }
    }
    all
}

/// Those of which no other is as good in all and better in one; of equals the first.
fn unbeaten(all: &[(f64, Money, usize, Recipe)]) -> Vec<&(f64, Money, usize, Recipe)> {
    let no_worse =
        |a: &(f64, Money, usize, Recipe), b: &(f64, Money, usize, Recipe)| a.0 <= b.0 && a.1 <= b.1 && a.2 <= b.2;
    let mut kept = Vec::new();
    for (at, one) in all.iter().enumerate() {
        let beaten = all.iter().enumerate().any(|(other_at, other)| {
            let equal = other.0 == one.0 && other.1 == one.1 && other.2 == one.2;
            no_worse(other, one) && (!equal || other_at < at)
        });
        if !beaten {
            kept.push(one);
        }
    }
    kept
}

fn same(choice: &Choice, one: &(f64, Money, usize, Recipe), samples: usize) -> bool {
    let recipe = &choice.recipe;
    choice.time.to_seconds() == one.0
        && choice.cost == one.1
        && (choice.risk.to_ratio() * samples as f64).round() as usize == one.2
        && recipe.resist.id == one.3.resist.id
        && recipe.abrasive.id == one.3.abrasive.id
        && recipe.grit.name == one.3.grit.name
        && recipe.finish == one.3.finish
        && recipe.nozzle.name == one.3.nozzle.name
        && recipe.pressure == one.3.pressure
        && recipe.standoff == one.3.standoff
}

/// A scene in which much holds: its recipe is open, but for the standoff in most.
fn scene(seed: u64) -> (Piece, Shop, Prepared) {
    let mut draws = Draws::new(seed + 77_000);
    let mut scene = Scene::draw(seed);
    scene.shop.cabinet.collector = Some(quantity::FreeFlow::cubic_metres_per_minute(20.0).unwrap());
    scene.piece.recipe = piece::piece_file::RecipePart::default();
    scene.piece.recipe.standoff = draws.chance(0.8).then(|| Length::mm(100.0).unwrap());
    scene.piece.recipe.pressure = draws.chance(0.4).then(|| quantity::GaugePressure::bar(2.5).unwrap());
    scene.shop.nozzle.truncate(2);
    scene.shop.abrasive.truncate(2);
    scene.shop.abrasive.dedup_by(|a, b| (&a.kind, &a.grit) == (&b.kind, &b.grit));
    scene.piece.place = None;
    scene.piece.blank.insulated = false;
    scene.shop.pressure = piece::Pressures::default();
    scene.shop.enclosure = piece::safety_file::EnclosurePart::default();
    scene.shop.protection = piece::Protection::default();
    let (piece, shop) = scene.resolved().unwrap();
    let prepared = Prepared::new(&piece, &scene.drawing, COARSE).unwrap();
    (piece, shop, prepared)
}

fn found(piece: &Piece, prepared: &Prepared, shop: &Shop, watch: &Watch<'_>) -> Search {
    let options = Options { within: Within::Open, ..Options::default() };
    of_sketch(piece, &prepared.sketch, shop, &options, watch).unwrap()
}

#[test]
fn the_search_finds_what_judging_every_recipe_finds() {
    let fits = |seed: &u64| {
        Prepared::new(&Scene::draw(*seed).resolved().unwrap().0, &Scene::draw(*seed).drawing, COARSE).is_ok()
    };
    let seeds: Vec<u64> = (5000..).filter(fits).take(50).collect();
    let compare = |seed: &u64| {
        let (piece, shop, prepared) = scene(*seed);
        let all = enumerated(&piece, &shop, &prepared);
        let want = unbeaten(&all);
        let search = found(&piece, &prepared, &shop, &Watch::default());
        assert!(search.complete && search.tried == search.of);
        assert_eq!(search.front.len(), want.len(), "seed {seed}");
        for one in &want {
            assert!(search.front.iter().any(|choice| same(choice, one, 96)), "seed {seed}: {one:?} is missing");
        }
        (search.of, all.len(), want.len(), want.iter().filter(|one| one.2 > 0).count())
    };
    let counted: Vec<_> = seeds.par_iter().map(compare).collect();
    let sum = |of: fn(&(usize, usize, usize, usize)) -> usize| counted.iter().map(of).sum::<usize>();
    println!(
        "{} shops, {} recipes, {} that nothing stops, {} on fronts, {} of them with a risk",
        counted.len(),
        sum(|one| one.0),
        sum(|one| one.1),
        sum(|one| one.2),
        sum(|one| one.3)
    );
    assert!(sum(|one| one.2) > 40 && sum(|one| one.3) > 10, "the shops are too tame to tell");
}

#[test]
fn what_recipes_share_is_what_each_alone_is_told() {
    let fits = |seed: &u64| {
        Prepared::new(&Scene::draw(*seed).resolved().unwrap().0, &Scene::draw(*seed).drawing, COARSE).is_ok()
    };
    let seeds: Vec<u64> = (9000..).filter(fits).take(12).collect();
    let compare = |seed: &u64| {
        let mut scene = Scene::draw(*seed);
        scene.piece.recipe = piece::piece_file::RecipePart::default();
        let (piece, shop) = scene.resolved().unwrap();
        let prepared = Prepared::new(&piece, &scene.drawing, COARSE).unwrap();
        let belief = Arc::new(Belief::of(&shop, piece.blank.material).unwrap());
        let supplies = Arc::default();
        let (sketch, stages) = (&prepared.sketch, judge::stages(&prepared.sketch).unwrap());
        let field = Field { piece: &piece, shop: &shop, sketch, stages: &stages, belief: &belief, supplies: &supplies };
        let Ok(grid) = Grid::new(&piece, &shop, &supplies, &prepared.sketch) else { return [0; 3] };
        let mut counts = [0; 3];
        for tried in field.tried(&grid, &Known::new(&field, &grid), &Watch::default()) {
            let case = field.case(grid.recipe(tried.at));
            let Ok(judged) = judge(&case, Spreading::Middle) else {
                assert_eq!(tried.stops, [Check::AirHolds], "seed {seed}");
                continue;
            };
            let of = |state| {
                let findings = judged.findings.iter().filter(move |one| one.state == state);
                findings.map(|one| one.check.clone()).collect::<Vec<_>>()
            };
            let (mut stops, watched) = (of(State::Stop), of(State::Watch));
            let worn = stops.contains(&Check::ResistWear);
            stops.retain(|check| *check != Check::ResistWear);
            let cost = if stops.is_empty() { tally::cost(&case, &judged) } else { None };
            assert_eq!((&tried.stops, tried.worn, tried.watched), (&stops, worn, watched.len()), "seed {seed}");
            assert_eq!((tried.time, tried.cost), (judged.total(), cost), "seed {seed}");
            counts = [counts[0] + 1, counts[1] + stops.len(), counts[2] + watched.len()];
        }
        counts
    };
    let all = seeds.par_iter().map(compare).reduce(|| [0; 3], |a, b| std::array::from_fn(|at| a[at] + b[at]));
    println!("{} recipes, {} stops, {} to be watched", all[0], all[1], all[2]);
    assert!(all[0] > 1_000 && all[1] > 1_000 && all[2] > 1_000, "the shops are too tame to tell");
}
