//! Pressure: plates, relief, hose, how the blast is held, cleaning air.

use super::{Checked, Hazard, Mend, Standing, Subject, Value, answered};
use crate::pressure::relief_most;
use piece::{BlastValve, Shop};
use quantity::GaugePressure;
use reference::{Source, tables};

pub(super) fn checks(subject: &Subject<'_>) -> Vec<Checked> {
    let shop = subject.shop;
    let told = &shop.pressures;
    let line = subject.work.as_ref().map_or_else(|| highest(shop), |work| Some(work.line_pressure));
    let mut checks = vec![relief(shop), valve_before(shop), lashed(shop), valve(shop), tied(shop), rest(shop)];
    checks.extend(cut_out(shop));
    checks.extend(line.map(|line| rated(Hazard::PotRating, told.pot_rated, line, Mend::PotRated)));
    checks.extend(line.map(|line| rated(Hazard::HoseRating, told.hose_rated, line, Mend::HoseRated)));
    checks.push(cleaning(shop));
    checks.extend(told.cleaning.map(|_| guard(shop)));
    checks
}

/// The highest pressure that the compressors give.
fn highest(shop: &Shop) -> Option<GaugePressure> {
    shop.compressors.iter().map(|compressor| compressor.cut_out).reduce(|a, b| if a > b { a } else { b })
}

/// 29 CFR 1910.169, through the letter that quotes it.
fn vessels() -> Source {
    Source::second_hand("29 CFR 1910.169(b)(3)", "OSHA letter of 6 April 1981")
}

/// The valve opens at the plate's pressure at the latest; its flow may let it rise a tenth above.
fn relief(shop: &Shop) -> Checked {
    let told = shop.pressures.relief.zip(shop.pressures.receiver_rated);
    let Some((set, rated)) = told else { return Checked::new(Hazard::Relief, Standing::NotTold, vessels()) };
    let standing = match () {
        () if set <= rated => Standing::Within,
        () if set <= relief_most(rated) => Standing::Ask,
        () => Standing::Stop,
    };
    Checked::new(Hazard::Relief, standing, tables().limits.relief_accumulation.source.clone())
        .held(Value::Pressure(set), Value::Pressure(rated))
        .mended([Mend::Relief(rated)])
}

fn cut_out(shop: &Shop) -> Option<Checked> {
    let (relief, highest) = shop.pressures.relief.zip(highest(shop))?;
    let standing = if highest < relief { Standing::Within } else { Standing::Stop };
    // A tenth below the valve's setting, so that it does not lift in work: common practice, no source.
    let lower = GaugePressure::bar((relief.to_bar() * 9.0).floor() / 10.0).ok();
    let checked = Checked::new(Hazard::CutOut, standing, Source::CommonPractice);
    Some(checked.held(Value::Pressure(highest), Value::Pressure(relief)).mended(lower.map(Mend::CutOut)))
}

fn valve_before(shop: &Shop) -> Checked {
    let told = shop.pressures.valve_before_relief;
    answered(Hazard::ValveBeforeRelief, told, false, Standing::Stop, vessels(), Mend::NoValveBeforeRelief)
}

/// A pressure against what is printed on a pot or a hose.
fn rated(
    hazard: Hazard,
    rated: Option<GaugePressure>,
    line: GaugePressure,
    mend: fn(GaugePressure) -> Mend,
) -> Checked {
    let source = Source::seen("its plate or print", "the shop file");
    let Some(rated) = rated else {
        let found = Checked::new(hazard, Standing::NotTold, source);
        return Checked { value: Some(Value::Pressure(line)), ..found };
    };
    let standing = if line <= rated { Standing::Within } else { Standing::Stop };
    Checked::new(hazard, standing, source).held(Value::Pressure(line), Value::Pressure(rated)).mended([mend(line)])
}

fn lashed(shop: &Shop) -> Checked {
    let source = Source::seen("EM 385-1-1", "13.G, lashings on blast hoses; 30 CFR 77.412(d) chains from 1 in of bore");
    answered(Hazard::Couplings, shop.pressures.hose_lashed, true, Standing::Ask, source, Mend::Lash)
}

/// The rule that the valve is held open by hand.
fn by_hand() -> Source {
    Source::second_hand("29 CFR 1910.244(b)", "OSHA letter of 3 April 2000")
}

fn valve(shop: &Shop) -> Checked {
    let standing = match shop.pressures.valve {
        None => Standing::NotTold,
        Some(valve) if !valve.shuts_itself() => Standing::Stop,
        Some(valve) if !valve.is_held_by_hand() => Standing::Ask,
        Some(_) => Standing::Within,
    };
    Checked::new(Hazard::BlastValve, standing, by_hand()).mended([Mend::Valve(BlastValve::DeadMan)])
}

fn tied(shop: &Shop) -> Checked {
    answered(Hazard::TiedValve, shop.pressures.tied_open, false, Standing::Stop, by_hand(), Mend::Untie)
}

fn rest(shop: &Shop) -> Checked {
    answered(Hazard::NozzleRest, shop.pressures.nozzle_rest, true, Standing::Ask, by_hand(), Mend::NozzleRest)
}

fn cleaning(shop: &Shop) -> Checked {
    let limit = &tables().limits.cleaning_air;
    let found = |standing| Checked::new(Hazard::CleaningAir, standing, limit.source.clone());
    let Some(pressure) = shop.pressures.cleaning else {
        return Checked { limit: Some(Value::Pressure(limit.value)), ..found(Standing::NotTold) };
    };
    // The rule says below, not at.
    let standing = if pressure < limit.value { Standing::Within } else { Standing::Stop };
    let lower = GaugePressure::bar((limit.value.to_bar() * 10.0).floor() / 10.0).ok();
    found(standing).held(Value::Pressure(pressure), Value::Pressure(limit.value)).mended(lower.map(Mend::Cleaning))
}

fn guard(shop: &Shop) -> Checked {
    let source = tables().limits.cleaning_air.source.clone();
    answered(Hazard::ChipGuard, shop.pressures.chip_guard, true, Standing::Stop, source, Mend::ChipGuard)
}
