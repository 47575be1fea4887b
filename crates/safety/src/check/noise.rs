//! Noise of the planned shift, and what is worn on the ears.

use super::{Checked, Hazard, Mend, Standing, Subject, Value};
use crate::exposure::Day;
use crate::noise::{Rule, Span, wants_both};
use piece::{Hearing, Shop};
use quantity::{Quantity as _, Time};
use reference::{SoundLevel, tables};

pub(super) fn checks(subject: &Subject<'_>) -> Vec<Checked> {
    let shop = subject.shop;
    let Some(level) = shop.shift.noise_blasting else {
        // A level is not predicted: it is taken to be above the action level until somebody measures it.
        let limit = &tables().limits.noise_action;
        let unknown = Checked::new(Hazard::NoiseDose, Standing::NotTold, limit.source.clone());
        let unknown = Checked { limit: Some(Value::Level(limit.value)), ..unknown };
        return vec![unknown, hearing(shop, None, None)];
    };
    let mut checks = vec![ceiling(level)];
    let average = day(subject).map(|(blasting, day)| {
        checks.push(dose(&day, level, blasting));
        checks.push(recommended(&day, level, blasting));
        Rule::Osha.dose(&day).map_or(level, |dose| Rule::Osha.average(dose))
    });
    checks.push(hearing(shop, Some(level), average));
    checks
}

/// The shift's spans, blasting first; `None` when it is not known how long is blasted.
fn day(subject: &Subject<'_>) -> Option<(Time, Vec<Span>)> {
    let shift = &subject.shop.shift;
    let blasting = match &subject.work {
        Some(work) => Day::of_pieces(shift, work.nozzle_open, work.making, work.piece.quantity).blasting,
        None => shift.blasting?,
    };
    let rest = Time::clamped((shift.length.to_seconds() - blasting.to_seconds()).max(0.0));
    let elsewhere = shift.noise_else.map(|level| (level, rest));
    Some((blasting, shift.noise_blasting.map(|level| (level, blasting)).into_iter().chain(elsewhere).collect()))
}

/// OSHA's dose: half is where hearing conservation begins, all of it is the limit.
fn dose(day: &[Span], level: SoundLevel, blasting: Time) -> Checked {
    let limits = &tables().limits;
    let dose = Rule::Osha.dose(day).unwrap_or(f64::INFINITY);
    let (standing, limit) = match dose {
        dose if dose <= 0.5 => (Standing::Within, 0.5),
        dose if dose <= 1.0 => (Standing::Ask, 0.5),
        _ => (Standing::Stop, 1.0),
    };
    Checked::new(Hazard::NoiseDose, standing, limits.noise_pel.source.clone())
        .held(Value::Ratio(dose), Value::Ratio(limit))
        .mended(shorter(Rule::Osha, dose, level, blasting, limit))
}

/// NIOSH's dose: advice, a number that cannot be set beside OSHA's.
fn recommended(day: &[Span], level: SoundLevel, blasting: Time) -> Checked {
    let dose = Rule::Niosh.dose(day).unwrap_or(f64::INFINITY);
    let standing = if dose <= 1.0 { Standing::Within } else { Standing::Ask };
    Checked::new(Hazard::NoiseRecommended, standing, tables().limits.noise_rel.source.clone())
        .held(Value::Ratio(dose), Value::Ratio(1.0))
        .mended(shorter(Rule::Niosh, dose, level, blasting, 1.0))
}

/// The whole minutes of blasting that leave a dose, the rest of the day as it is.
fn shorter(rule: Rule, dose: f64, level: SoundLevel, blasting: Time, wanted: f64) -> Option<Mend> {
    let rest = dose - blasting.to_seconds() / rule.allowed(level).to_seconds();
    let whole = Time::clamped(rule.time_left(level, rest.max(0.0), wanted).to_minutes().floor() * 60.0);
    (whole.to_seconds() >= 60.0).then_some(Mend::Blasting(whole))
}

fn ceiling(level: SoundLevel) -> Checked {
    let limit = &tables().limits.noise_ceiling;
    let standing = if level > limit.value { Standing::Stop } else { Standing::Within };
    Checked::new(Hazard::NoiseCeiling, standing, limit.source.clone())
        .held(Value::Level(level), Value::Level(limit.value))
}

/// What is worn, against the level and the day's average; unknown levels count as above the action level.
fn hearing(shop: &Shop, level: Option<SoundLevel>, average: Option<SoundLevel>) -> Checked {
    let limits = &tables().limits;
    let both = level.is_some_and(wants_both);
    let loud = average.or(level).is_none_or(|level| level >= limits.noise_action.value);
    let wanted = match () {
        () if both => Hearing::Both,
        () if loud => Hearing::One,
        () => Hearing::None,
    };
    let rank = |hearing: Hearing| match hearing {
        Hearing::None => 0,
        Hearing::One => 1,
        Hearing::Both => 2,
    };
    let standing = match shop.protection.hearing {
        Some(worn) if rank(worn) >= rank(wanted) => Standing::Within,
        Some(_) => Standing::Stop,
        None if wanted == Hearing::None => Standing::Within,
        None => Standing::NotTold,
    };
    let limit = if both { &limits.noise_double } else { &limits.noise_action };
    let found = Checked::new(Hazard::Hearing, standing, limit.source.clone()).mended([Mend::Hearing(wanted)]);
    let found = Checked { limit: Some(Value::Level(limit.value)), ..found };
    Checked { value: level.map(Value::Level), ..found }
}
