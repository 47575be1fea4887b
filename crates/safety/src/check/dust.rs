//! Dust: the abrasive, exposure over the shift, respirator, breathing air.

use super::{About, AirTest, Checked, Hazard, Mend, Standing, Subject, Value, Work};
use crate::dust::{Agent, Dust, Origin, factor_needed, freed};
use crate::exposure::{Day, Exposed};
use piece::{AirFrom, BreathingAir, EnclosureKind, Shop, Side};
use quantity::{Quantity as _, Temperature};
use reference::{Respirator, Source, tables};

pub(super) fn checks(subject: &Subject<'_>) -> Vec<Checked> {
    let mut checks = Vec::new();
    if let Some(work) = &subject.work {
        checks.push(free_silica(work));
        let day = Day::of_pieces(&subject.shop.shift, work.nozzle_open, work.making, work.piece.quantity);
        let dusts = worst_of_each(work);
        checks.extend(dusts.iter().map(|dust| exposure(dust, &day, subject.shop)));
        checks.extend(respirator(&dusts, &day, subject.shop));
    }
    checks.extend(breathing_air(subject.shop));
    checks.extend(subject.shop.protection.air.as_ref().map(grade_d));
    checks
}

fn free_silica(work: &Work<'_>) -> Checked {
    let limit = &tables().limits.free_silica_abrasive;
    let share = work.free_silica.unwrap_or(work.abrasive.free_silica_max.value);
    let standing = if share >= limit.value { Standing::Stop } else { Standing::Within };
    Checked::new(Hazard::FreeSilica, standing, limit.source.clone())
        .held(Value::Share(share), Value::Share(limit.value))
}

/// Of every kind of limit the dust that reaches it first. A mirror's back counts only when it is carved.
fn worst_of_each(work: &Work<'_>) -> Vec<Dust> {
    let back = work.piece.blank.carve_from == Side::Back;
    let freed = freed(work.piece.blank.material, work.abrasive);
    let mut dusts: Vec<Dust> = freed.into_iter().filter(|dust| back || dust.origin != Origin::Backing).collect();
    let reached = |dust: &Dust| match dust.share {
        None => 0.0,
        Some(_) => dust.carrying(dust.limit.value).map_or(f64::INFINITY, quantity::Quantity::to_base),
    };
    dusts.sort_by(|a, b| reached(a).total_cmp(&reached(b)));
    let mut seen = Vec::new();
    dusts.retain(|dust| {
        let new = !seen.contains(&hazard(dust.agent));
        seen.push(hazard(dust.agent));
        new
    });
    dusts
}

const fn hazard(agent: Agent) -> Hazard {
    match agent {
        Agent::CrystallineSilica => Hazard::SilicaExposure,
        Agent::Lead => Hazard::LeadExposure,
        Agent::Alumina | Agent::SiliconCarbide | Agent::Nuisance => Hazard::DustExposure,
    }
}

fn exposed(dust: &Dust, day: &Day<'_>) -> Option<Exposed> {
    day.exposed(dust).ok().flatten()
}

fn exposure(dust: &Dust, day: &Day<'_>, shop: &Shop) -> Checked {
    let source = dust.action.unwrap_or(dust.limit).source.clone();
    let checked = |standing| Checked::new(hazard(dust.agent), standing, source.clone()).about(About::Agent(dust.agent));
    let Some(exposed) = exposed(dust, day) else {
        // Of silica and lead nobody may go on guessing.
        let grave = dust.action.is_some();
        let found = checked(if grave { Standing::Ask } else { Standing::NotTold });
        // What a measurement of dust would be held against.
        let enough = dust.carrying(dust.action.unwrap_or(dust.limit).value);
        return Checked { limit: enough.map(Value::Concentration), ..found };
    };
    let guarded = shop.protection.respirator.is_some_and(|worn| worn.factor() >= needed(&exposed));
    let standing = match () {
        () if exposed.average <= exposed.action => Standing::Within,
        () if exposed.average <= exposed.limit || guarded => Standing::Ask,
        () => Standing::Stop,
    };
    // What is asked for at the action level is not what stops at the limit.
    let limit = if exposed.average <= exposed.limit { exposed.action } else { exposed.limit };
    let shorter = day.blasting_for(dust, exposed.action).map(Mend::Blasting);
    let mask = (standing == Standing::Stop).then(|| enough(needed(&exposed))).flatten().map(Mend::Respirator);
    checked(standing)
        .held(Value::Concentration(exposed.average), Value::Concentration(limit))
        .mended(shorter.into_iter().chain(mask))
}

fn needed(exposed: &Exposed) -> f64 {
    factor_needed(exposed.average, exposed.limit).unwrap_or(f64::INFINITY)
}

/// The class of the least protection that is enough.
fn enough(factor: f64) -> Option<Respirator> {
    let mut fitting = Respirator::ALL.into_iter().filter(|class| class.factor() >= factor);
    fitting.next()
}

/// Source of the assigned protection factors.
fn factors() -> Source {
    Source::second_hand("29 CFR 1910.134(d)(3)(i)(A) Table 1", "an Army summary of the 2006 rule")
}

/// The factor that is needed over all that was measured; inside a booth air has to be led to a hood whatever
/// was measured.
fn respirator(dusts: &[Dust], day: &Day<'_>, shop: &Shop) -> Option<Checked> {
    let inside = shop.enclosure.kind.is_entered();
    let needs = dusts.iter().filter_map(|dust| exposed(dust, day)).map(|exposed| needed(&exposed));
    let needed = needs.reduce(f64::max);
    let grave = dusts.iter().any(|dust| dust.action.is_some());
    if !inside && needed.is_none_or(|needed| needed <= 1.0) && !grave {
        return None;
    }
    let least = if inside { Respirator::Hood.factor() } else { 1.0 };
    let wanted = needed.unwrap_or(1.0).max(least);
    let worn = shop.protection.respirator;
    let right = |class: &Respirator| class.factor() >= wanted && (!inside || class.is_supplied());
    let standing = match worn {
        None if wanted > 1.0 => Standing::Ask,
        None => Standing::NotTold,
        Some(worn) if right(&worn) => Standing::Within,
        Some(_) => Standing::Stop,
    };
    let found = Checked::new(Hazard::Respirator, standing, factors());
    let found = Checked { about: inside.then_some(About::Entered), ..found };
    let found = found.held(Value::Number(worn.map_or(1.0, Respirator::factor)), Value::Number(wanted));
    Some(found.mended(Respirator::ALL.into_iter().find(right).map(Mend::Respirator)))
}

fn grade() -> Source {
    tables().limits.breathing_co.source.clone()
}

/// A hood is fed from a line of its own.
fn breathing_air(shop: &Shop) -> Option<Checked> {
    let fed = shop.protection.respirator.is_some_and(Respirator::is_supplied) || shop.enclosure.kind.is_entered();
    let from = shop.protection.air.as_ref().map(|air| air.from);
    let standing = match from {
        None if fed => Standing::Ask,
        None => return None,
        Some(AirFrom::ShopAir) => Standing::Stop,
        Some(AirFrom::OwnLine) => Standing::Within,
    };
    let found = Checked::new(Hazard::BreathingAir, standing, grade());
    let about = (shop.enclosure.kind != EnclosureKind::Cabinet).then_some(About::Entered);
    Some(Checked { about, ..found }.mended([Mend::OwnAir]))
}

/// The last test of breathing air, each figure against Grade D.
fn grade_d(air: &BreathingAir) -> Checked {
    let limits = &tables().limits;
    let dew = air.dew_point.zip(air.coldest).map(|(dew, coldest)| kelvins_below(dew, coldest));
    let number =
        |told: Option<f64>, most: f64| told.map(|told| (told <= most, Value::Number(told), Value::Number(most)));
    let oxygen = air.oxygen.map(|share| {
        let bounds = limits.breathing_oxygen.value;
        let near = if share < bounds.low { bounds.low } else { bounds.high };
        (bounds.low <= share && share <= bounds.high, Value::Share(share), Value::Share(near))
    });
    let oil = air.oil.map(|oil| {
        let most = limits.breathing_oil.value;
        (oil <= most, Value::Concentration(oil), Value::Concentration(most))
    });
    let below = limits.breathing_dew_below.value.to_kelvins();
    let dew = dew.map(|dew| (dew >= below, Value::Number(dew), Value::Number(below)));
    let tests = [
        (AirTest::CarbonMonoxide, number(air.co_ppm, limits.breathing_co.value)),
        (AirTest::CarbonDioxide, number(air.co2_ppm, limits.breathing_co2.value)),
        (AirTest::Oil, oil),
        (AirTest::Oxygen, oxygen),
        (AirTest::DewPoint, dew),
    ];
    let found = |standing| Checked::new(Hazard::GradeD, standing, grade());
    if let Some((test, Some((_, value, limit)))) = tests.iter().find(|(_, test)| test.is_some_and(|test| !test.0)) {
        return found(Standing::Stop).held(*value, *limit).about(About::Test(*test));
    }
    match tests.iter().find(|(_, test)| test.is_none()) {
        Some((test, _)) => found(Standing::NotTold).about(About::Test(*test)),
        None => found(Standing::Within),
    }
}

fn kelvins_below(dew: Temperature, coldest: Temperature) -> f64 {
    coldest.to_base() - dew.to_base()
}
