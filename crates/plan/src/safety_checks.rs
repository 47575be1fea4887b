//! What the crate `safety` is asked about a case, and its answers as findings.
//!
//! A check that is within its limit or not told stays with the plan's list of checks
//! ([`crate::Plan::safety`]); what asks, stops or is screened only becomes a finding, its mends tried like every other change.

use crate::finding::{Amount, Change, Check, Finding, State};
use crate::judge::{Case, Judged};
use crate::model::Recipe;
use piece::{Body, Piece, Shop};
use quantity::{Area, FreeFlow, GAS_CONSTANT_AIR, GaugePressure, Length, Mass, Quantity as _, Time};
use reference::{Abrasive, Grit, ResistKind, tables};
use safety::Caution;
use safety::caution::{Facts, cautions};
use safety::check::{Checked, Hazard, Mend, Standing, Subject, Work, all, daily};

/// Every check of a case. What hangs on the abrasive is checked for each that is used, and the worse one told.
pub(crate) fn checks(case: &Case<'_>, judged: &Judged) -> Vec<Checked> {
    worst_of(case, judged, |work| all(&Subject { shop: &case.shop, work: Some(work) }))
}

/// What is checked of a case with each of its abrasives, the worse standing of each hazard.
fn worst_of<'a>(case: &'a Case<'_>, judged: &Judged, check: impl Fn(Work<'a>) -> Vec<Checked>) -> Vec<Checked> {
    let each = case.recipe.abrasives().map(|(abrasive, grit)| check(work(case, judged, abrasive, grit)));
    each.reduce(|mut worst, others| {
        for other in others {
            let same = |known: &&mut Checked| known.hazard == other.hazard && known.about == other.about;
            match worst.iter_mut().find(same) {
                Some(known) if known.standing < other.standing => *known = other,
                Some(_) => {}
                None => worst.push(other),
            }
        }
        worst.sort_by_key(|checked| checked.hazard);
        worst
    })
    .unwrap_or_default()
}

/// Whether a check hangs on how long is blasted: only where something was measured and the shift leaves it open.
pub(crate) fn hang_on_time(shop: &Shop) -> bool {
    let shift = &shop.shift;
    shift.blasting.is_none() && (shift.dust_blasting.is_some() || shift.noise_blasting.is_some())
}

/// Hazards that stop a case when its nozzle is open for so long, of those that hang on it.
pub(crate) fn stops_of_the_day(case: &Case<'_>, judged: &Judged, nozzle_open: Time, making: Time) -> Vec<Hazard> {
    let of_the_day = |work| daily(&Subject { shop: &case.shop, work: Some(Work { nozzle_open, making, ..work }) });
    let checks = worst_of(case, judged, of_the_day);
    let stops = checks.into_iter().filter(|checked| checked.standing == Standing::Stop && !is_elsewhere(checked));
    stops.map(|checked| checked.hazard).collect()
}

fn work<'a>(case: &'a Case<'_>, judged: &Judged, abrasive: &'static Abrasive, grit: &'static Grit) -> Work<'a> {
    Work {
        piece: &case.piece,
        abrasive,
        free_silica: case.shop.abrasive(abrasive, grit).and_then(|stock| stock.free_silica),
        photo_resist: case.recipe.resist.kind == ResistKind::PhotoFilm,
        depth: deepest(case),
        edge_distance: edge_distance(case),
        blast_air: blast_air(judged),
        line_pressure: line_pressure(&case.shop),
        nozzle_open: judged.spent.blast,
        making: judged.total(),
    }
}

fn deepest(case: &Case<'_>) -> Length {
    Length::clamped(case.sketch.layers.iter().map(|layer| layer.target.to_metres()).fold(0.0, f64::max))
}

/// From the nearest carving deeper than a third of the thickness to the edge of a panel.
fn edge_distance(case: &Case<'_>) -> Option<Length> {
    let Body::Panel { .. } = case.piece.blank.body else { return None };
    let deep = tables().limits.carve_depth_watch.value.to_ratio() * case.piece.blank.thickness.to_mm();
    let layers = case.sketch.layers.iter().filter(|layer| layer.target.to_mm() > deep * (1.0 + 1e-9));
    let nearest = layers.filter_map(|layer| layer.from_edge_mm).reduce(f64::min);
    nearest.map(|mm| Length::clamped(mm.max(0.0) * 1e-3))
}

/// The nozzle's air at the state of the room.
fn blast_air(judged: &Judged) -> FreeFlow {
    let site = judged.at_work.blasting.line.site;
    let density = site.pressure.to_pascals() / (GAS_CONSTANT_AIR * site.temperature.to_kelvins());
    FreeFlow::clamped(judged.at_work.blasting.steady.flow.to_kg_per_second() / density)
}

/// What the line sees when its regulator lets everything through.
fn line_pressure(shop: &Shop) -> GaugePressure {
    GaugePressure::clamped(shop.compressors.iter().map(|one| one.cut_out.to_pascals()).fold(0.0, f64::max))
}

/// Findings of the checks that the plan does not make by itself, what holds included: a remedy is judged by them.
pub(crate) fn findings(case: &Case<'_>, judged: &Judged) -> Vec<Finding> {
    checks(case, judged).into_iter().filter_map(finding).collect()
}

/// What the plan already says with a finding of its own, or refuses.
const fn is_elsewhere(checked: &Checked) -> bool {
    match checked.hazard {
        Hazard::NoCollector | Hazard::Inflow | Hazard::AirChanges | Hazard::FreeSilica => true,
        Hazard::SilicaExposure => checked.value.is_none(),
        _ => false,
    }
}

fn finding(checked: Checked) -> Option<Finding> {
    let state = match checked.standing {
        Standing::NotTold => return None,
        // A screening is never said to hold: it asks for somebody who may judge it.
        Standing::Screened if matches!(checked.hazard, Hazard::Strength) => State::Watch,
        Standing::Within | Standing::Screened => State::Holds,
        Standing::Ask => State::Watch,
        Standing::Stop => State::Stop,
    };
    (!is_elsewhere(&checked)).then(|| Finding {
        check: Check::Safety(checked.hazard),
        state,
        value: Amount::Safety(checked.value),
        limit: Amount::Safety(checked.limit),
        about: checked.about,
        source: checked.source,
        places: Vec::new(),
        remedies: Vec::new(),
        no_remedy: None,
    })
}

/// The checked thing that a finding was made of, as its words want it.
pub(crate) fn checked(finding: &Finding, hazard: Hazard) -> Checked {
    let number = |amount: &Amount| match amount {
        Amount::Safety(value) => *value,
        _ => None,
    };
    Checked {
        hazard,
        standing: match finding.state {
            State::Holds => Standing::Within,
            State::Watch => Standing::Ask,
            State::Stop => Standing::Stop,
        },
        value: number(&finding.value),
        limit: number(&finding.limit),
        about: finding.about,
        source: finding.source.clone(),
        mends: Vec::new(),
    }
}

/// The mends of a check as changes to be tried.
pub(crate) fn changes(case: &Case<'_>, judged: &Judged, hazard: Hazard) -> Vec<Change> {
    let found = checks(case, judged).into_iter().filter(|checked| checked.hazard == hazard);
    let mends = found.max_by_key(|checked| checked.standing).map(|checked| checked.mends).unwrap_or_default();
    mends.into_iter().map(change).collect()
}

/// A mend, as the change that the plan knows where it knows one.
fn change(mend: Mend) -> Change {
    match mend {
        Mend::Collector(flow) => Change::Collector(flow),
        Mend::Depth(depth) => Change::Depth(depth),
        Mend::Thickness(thickness) => Change::BlankThickness(thickness),
        other => Change::Safety(other),
    }
}

/// What a list of findings keeps of the safety checks: what asks or stops.
pub(crate) fn is_worth_a_finding(finding: &Finding) -> bool {
    !matches!(finding.check, Check::Safety(_)) || finding.state != State::Holds
}

/// What can hurt, of each abrasive that is used.
pub(crate) fn cautions_of(recipe: &Recipe, piece: &Piece, shop: &Shop, judged: &Judged) -> Vec<Caution> {
    let mut told: Vec<Caution> = Vec::new();
    for (abrasive, _) in recipe.abrasives() {
        let others = cautions(&facts(abrasive, recipe, piece, shop, judged));
        told.extend(others.into_iter().filter(|other| !told.contains(other)).collect::<Vec<_>>());
    }
    told
}

/// What the cautions depend on.
fn facts<'a>(
    abrasive: &'static Abrasive,
    recipe: &Recipe,
    piece: &'a Piece,
    shop: &Shop,
    judged: &Judged,
) -> Facts<'a> {
    let blank = &piece.blank;
    let face = Area::clamped(blank.body.sheet_width_mm() * blank.body.sheet_height_mm() * 1e-6);
    let mass: Mass = safety::handling::mass(face, blank.thickness, blank.material.density.value);
    Facts {
        material: blank.material,
        abrasive,
        collector: shop.cabinet.collector.is_some(),
        door_wait: judged.clearing.map(|_| judged.clear),
        photo_resist: recipe.resist.kind == ResistKind::PhotoFilm,
        pressure_vessel: true,
        supplied_air: shop.protection.air.is_some()
            || shop.protection.respirator.is_some_and(reference::Respirator::is_supplied),
        noise: shop.shift.noise_blasting,
        entered: shop.enclosure.kind.is_entered(),
        mass: Some(mass),
        sealed: blank.insulated,
        place: piece.place.as_ref().map(|place| place.kind),
    }
}
