//! Two thousand random pieces in random shops: what is offered, made in the files and judged anew, does what it says.

use crate::blast::Spreading;
use crate::calibration::Belief;
use crate::edit;
use crate::finding::{Check, Finding, Remedy, State};
use crate::judge::{Case, Judged, judge};
use crate::model::Recipe;
use crate::prepared::{Detail, Prepared};
use crate::recipe;
use crate::scenes::Scene;
use quantity::Length;
use rayon::prelude::*;
use std::borrow::Cow;
use std::collections::{BTreeMap, HashSet};
use std::sync::Arc;

/// Samples of the model: few, so that many shops are judged; the same number before and after a change.
/// `SABULO_SAMPLES=96` takes as many as a plan does.
fn few() -> Spreading {
    let wanted = std::env::var("SABULO_SAMPLES").ok().and_then(|text| text.parse().ok());
    Spreading::Some(wanted.unwrap_or(6))
}
const COARSE: Detail = Detail::Fine { cell: quantity::known(Length::mm(0.2)) };

/// A scene judged from its files.
fn judged(scene: &Scene) -> Result<(Prepared, Recipe, Judged), String> {
    let (piece, shop) = scene.resolved()?;
    let prepared = Prepared::new(&piece, &scene.drawing, COARSE).map_err(|refusal| refusal.to_string())?;
    let belief = Arc::new(Belief::of(&shop, piece.blank.material).map_err(|refusal| refusal.to_string())?);
    let recipe = recipe::choose(&piece, &shop, &prepared.sketch, &belief).map_err(|refusal| refusal.to_string())?;
    let case = Case {
        piece: Cow::Borrowed(&piece),
        shop: Cow::Borrowed(&shop),
        sketch: Cow::Borrowed(&prepared.sketch),
        recipe: recipe.clone(),
        belief,
        supplies: Arc::default(),
    };
    let mut judged = judge(&case, few()).map_err(|refusal| refusal.to_string())?;
    super::fill(&case, &mut judged, few());
    drop(case);
    Ok((prepared, recipe, judged))
}

/// The same after a remedy was written into the files.
fn judged_after(scene: &Scene, prepared: &Prepared, recipe: &Recipe, remedy: &Remedy) -> Result<Judged, String> {
    let mut changed = scene.clone();
    if !edit::apply_all(remedy, recipe, &mut changed.piece, &mut changed.shop) {
        return Err("the files have nothing that it speaks of".to_owned());
    }
    let (piece, shop) = changed.resolved()?;
    // The drawing is looked at anew only where it, its depths or its blank changed.
    let same = changed.piece.artwork == scene.piece.artwork
        && changed.piece.depth == scene.piece.depth
        && changed.piece.blank == scene.piece.blank;
    let anew = || Prepared::new(&piece, &changed.drawing, COARSE).map_err(|refusal| refusal.to_string());
    let prepared = if same { Cow::Borrowed(prepared) } else { Cow::Owned(anew()?) };
    let belief = Arc::new(Belief::of(&shop, piece.blank.material).map_err(|refusal| refusal.to_string())?);
    let recipe = recipe::choose(&piece, &shop, &prepared.sketch, &belief).map_err(|refusal| refusal.to_string())?;
    let case = Case {
        piece: Cow::Borrowed(&piece),
        shop: Cow::Borrowed(&shop),
        sketch: Cow::Borrowed(&prepared.sketch),
        recipe,
        belief,
        supplies: Arc::default(),
    };
    judge(&case, few()).map_err(|refusal| refusal.to_string())
}

fn stops(judged: &Judged) -> HashSet<&Check> {
    judged.findings.iter().filter(|one| one.state == State::Stop).map(|one| &one.check).collect()
}

fn fault(before: &Judged, finding: &Finding, remedy: &Remedy, after: &Judged) -> Option<String> {
    let now = crate::levers::state_of(after, &finding.check).unwrap_or(State::Holds);
    let new: Vec<&Check> = stops(after).difference(&stops(before)).copied().collect();
    if now >= finding.state {
        return Some(format!("it gives {now:?}, not {:?}", remedy.gives));
    }
    (!new.is_empty()).then(|| format!("it stops {new:?}"))
}

/// What was counted over some scenes.
#[derive(Debug, Default)]
struct Counted {
    scenes: usize,
    refused: usize,
    findings: usize,
    remedies: usize,
    together: [usize; 4],
    without: usize,
    by_check: BTreeMap<&'static str, [usize; 3]>,
    faults: Vec<String>,
}

impl Counted {
    fn of(seed: u64) -> Self {
        let scene = Scene::draw(seed);
        let mut counted = Self { scenes: 1, ..Self::default() };
        let Ok((prepared, recipe, before)) = judged(&scene) else {
            counted.refused = 1;
            return counted;
        };
        for finding in before.findings.iter().filter(|one| one.state != State::Holds) {
            counted.findings += 1;
            let of_check = counted.by_check.entry(finding.check.id()).or_default();
            of_check[0] += 1;
            of_check[1] += finding.remedies.len();
            of_check[2] += usize::from(finding.no_remedy.is_some());
            counted.without += usize::from(finding.no_remedy.is_some());
            if finding.remedies.is_empty() != finding.no_remedy.is_some() {
                counted.faults.push(format!("seed {seed}: {:?} says neither", finding.check));
            }
            for remedy in &finding.remedies {
                counted.remedies += 1;
                counted.together[remedy.changes.len().min(3)] += 1;
                let fault = match judged_after(&scene, &prepared, &recipe, remedy) {
                    Ok(after) => fault(&before, finding, remedy, &after),
                    Err(why) => Some(why),
                };
                counted.faults.extend(fault.map(|why| {
                    format!("seed {seed}: {:?} {:?} by {:?}: {why}", finding.check, finding.state, remedy.changes)
                }));
            }
        }
        counted
    }

    fn with(mut self, other: Self) -> Self {
        self.scenes += other.scenes;
        self.refused += other.refused;
        self.findings += other.findings;
        self.remedies += other.remedies;
        self.without += other.without;
        for (sum, count) in self.together.iter_mut().zip(other.together) {
            *sum += count;
        }
        for (check, counts) in other.by_check {
            let sums = self.by_check.entry(check).or_default();
            for (sum, count) in sums.iter_mut().zip(counts) {
                *sum += count;
            }
        }
        self.faults.extend(other.faults);
        self
    }
}

/// Scenes of each of four tests, so that they run beside one another. `SABULO_SCENES=500` makes them two thousand, which
/// takes some minutes.
const SCENES: u64 = 40;

fn check(part: u64) {
    let wanted = std::env::var("SABULO_SCENES").ok().and_then(|text| text.parse().ok());
    let each: u64 = wanted.unwrap_or(SCENES);
    let seeds = part * 10_000..part * 10_000 + each;
    let counted = seeds.into_par_iter().map(Counted::of).reduce(Counted::default, Counted::with);
    let Counted { scenes, refused, findings, remedies, together, without, by_check, faults } = counted;
    println!("{scenes} scenes, {refused} refused; {findings} findings, {without} without a remedy and said so");
    println!(
        "{remedies} remedies applied: {} alone, {} of two changes, {} of three",
        together[1], together[2], together[3]
    );
    println!("check: findings, remedies, without: {by_check:?}");
    assert!(faults.is_empty(), "{} of {remedies}:\n{}", faults.len(), faults.join("\n"));
    assert!(remedies > 5 * scenes && refused < scenes / 5);
}

#[test]
fn remedies_made_in_the_files_turn_their_finding_and_stop_nothing_else_1() {
    check(0);
}

#[test]
fn remedies_made_in_the_files_turn_their_finding_and_stop_nothing_else_2() {
    check(1);
}

#[test]
fn remedies_made_in_the_files_turn_their_finding_and_stop_nothing_else_3() {
    check(2);
}

#[test]
fn remedies_made_in_the_files_turn_their_finding_and_stop_nothing_else_4() {
    check(3);
}
