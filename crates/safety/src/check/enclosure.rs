//! Enclosure and collector: inflow, changes, duct, filter, the wait at the door, static.

use super::{About, Checked, Hazard, Mend, Standing, Subject, Value, Work, answered};
use crate::clearing::Clearing;
use crate::dust::{Agent, freed};
use crate::enclosure::{Net, changes, duct_bore, duct_speed, face_speed, filter_area, filter_speed, net};
use piece::{OtherDust, Shop};
use quantity::{FreeFlow, Quantity as _, Time};
use reference::{Source, tables};

pub(super) fn checks(subject: &Subject<'_>) -> Vec<Checked> {
    let shop = subject.shop;
    let mut checks = vec![no_collector(subject), interlock(shop), grounded(shop)];
    if let Some(flow) = shop.cabinet.collector {
        checks.extend(subject.work.as_ref().into_iter().flat_map(|work| inward(shop, work, flow)));
        checks.push(duct(shop, flow));
        checks.push(filter(shop, flow));
        checks.push(door_wait(shop, flow));
    }
    checks.extend(filter_class(subject));
    checks.extend(shop.enclosure.also_takes.iter().map(|other| shared(*other)));
    checks
}

/// The rule that asks for exhaust: it names prompt clearance and no number.
fn exhaust() -> Source {
    Source::second_hand("29 CFR 1910.94(a)", "Mich. R 325.50255, the same rule")
}

fn no_collector(subject: &Subject<'_>) -> Checked {
    let shop = subject.shop;
    let blast = subject.work.as_ref().map_or(FreeFlow::clamped(0.0), |work| work.blast_air);
    let standing = if shop.cabinet.collector.is_some() { Standing::Within } else { Standing::Stop };
    Checked::new(Hazard::NoCollector, standing, exhaust()).mended(wanted(shop, blast))
}

/// A collector that moves what the cabinet wants and the blast's air on top, in whole tenths of m³/min.
fn wanted(shop: &Shop, blast: FreeFlow) -> Option<Mend> {
    let exhaust = crate::clearing::Exhaust::of_cabinet(shop.cabinet.openings, shop.cabinet.volume, blast).ok()?;
    let tenths = (exhaust.needed.to_cubic_metres_per_minute() * 10.0 - 1e-9).ceil();
    FreeFlow::cubic_metres_per_minute(tenths / 10.0).ok().map(Mend::Collector)
}

/// What the collector leaves for openings and changes when the nozzle blows.
fn inward(shop: &Shop, work: &Work<'_>, flow: FreeFlow) -> Vec<Checked> {
    let limits = &tables().limits;
    let mend = || wanted(shop, work.blast_air);
    let out = matches!(net(flow, work.blast_air), Net::Out(_));
    let standing = if out { Standing::Stop } else { Standing::Within };
    let blown = Checked::new(Hazard::BlastOut, standing, Source::computed("mass balance of the cabinet"))
        .held(Value::Flow(work.blast_air), Value::Flow(flow))
        .mended(mend());
    let inward = match net(flow, work.blast_air) {
        Net::In(inward) => inward,
        Net::Out(_) => FreeFlow::clamped(0.0),
    };
    // A hair of leeway: a collector of just the flow that was worked out is enough.
    let slow = |found: f64, wanted: f64| if found < wanted * (1.0 - 1e-9) { Standing::Ask } else { Standing::Within };
    let face = face_speed(inward, shop.cabinet.openings).map(|speed| {
        let limit = &limits.cabinet_face_velocity;
        Checked::new(Hazard::Inflow, slow(speed.to_base(), limit.value.to_base()), limit.source.clone())
            .held(Value::Speed(speed), Value::Speed(limit.value))
            .mended(mend())
    });
    let changed = changes(inward, shop.cabinet.volume);
    let limit = &limits.cabinet_air_changes;
    let changes =
        Checked::new(Hazard::AirChanges, slow(changed.to_base(), limit.value.to_base()), limit.source.clone())
            .held(Value::Changes(changed), Value::Changes(limit.value))
            .mended(mend());
    [Some(blown), face, Some(changes)].into_iter().flatten().collect()
}

fn duct(shop: &Shop, flow: FreeFlow) -> Checked {
    let limit = &tables().limits.duct_velocity;
    let Some(bore) = shop.enclosure.duct else {
        return Checked::new(Hazard::DuctSpeed, Standing::NotTold, limit.source.clone());
    };
    let speed = duct_speed(flow, bore);
    let standing = if speed < limit.value { Standing::Ask } else { Standing::Within };
    // Rounded down to the millimetre: narrower is faster.
    let narrower = duct_bore(flow, limit.value).ok();
    let narrower = narrower.and_then(|bore| quantity::Diameter::mm((bore.to_mm() + 1e-9).floor()).ok());
    Checked::new(Hazard::DuctSpeed, standing, limit.source.clone())
        .held(Value::Speed(speed), Value::Speed(limit.value))
        .mended(narrower.map(Mend::Duct))
}

fn filter(shop: &Shop, flow: FreeFlow) -> Checked {
    let limit = &tables().limits.filter_speed;
    let speed = shop.enclosure.filter_area.and_then(|area| filter_speed(flow, area));
    let found = |standing| Checked::new(Hazard::FilterArea, standing, limit.source.clone());
    let Some(speed) = speed else { return found(Standing::NotTold) };
    let standing = if speed > limit.value.high { Standing::Ask } else { Standing::Within };
    // Rounded up to the tenth of a square metre.
    let tenths = (filter_area(flow).to_square_metres() * 10.0 - 1e-9).ceil();
    let larger = quantity::Area::square_metres(tenths / 10.0).ok();
    found(standing).held(Value::Speed(speed), Value::Speed(limit.value.high)).mended(larger.map(Mend::FilterArea))
}

/// Air led back into the room passes a HEPA filter last; with silica or lead it goes outdoors.
fn filter_class(subject: &Subject<'_>) -> Option<Checked> {
    let shop = subject.shop;
    shop.cabinet.collector?;
    let source = Source::seen("UFC 3-410-04N", "discharge outdoors; HEPA last where air is led back: common practice");
    let found = |standing| Checked::new(Hazard::FilterClass, standing, source.clone()).mended([Mend::Outdoors]);
    let checked = match shop.enclosure.recirculates {
        None => found(Standing::NotTold),
        Some(false) => found(Standing::Within),
        Some(true) => {
            let grave = subject.work.as_ref().and_then(|work| {
                let dusts = freed(work.piece.blank.material, work.abrasive);
                let grave = |agent: &Agent| matches!(agent, Agent::CrystallineSilica | Agent::Lead);
                dusts.into_iter().map(|dust| dust.agent).find(grave)
            });
            let hepa = shop.enclosure.filters.last().is_some_and(|last| last.is_hepa());
            match grave {
                Some(agent) => found(Standing::Stop).about(About::Agent(agent)),
                None if hepa => found(Standing::Within),
                None => {
                    let stop = Checked::new(Hazard::FilterClass, Standing::Stop, source.clone());
                    stop.mended([Mend::LastFilter("h13"), Mend::Outdoors])
                }
            }
        }
    };
    Some(checked)
}

/// The shop's own wait against the formula's.
fn door_wait(shop: &Shop, flow: FreeFlow) -> Checked {
    let source = Source::seen("MMWR 28 Oct 1994", "Table S3-1, with a mixing factor of 3 by common practice");
    let needed = Clearing::new(shop.cabinet.volume, flow).ok().and_then(|clearing| clearing.door_wait().ok());
    let found = |standing| Checked::new(Hazard::DoorWait, standing, source.clone());
    let (Some(needed), Some(kept)) = (needed, shop.enclosure.door_wait) else {
        let found = found(Standing::NotTold);
        return Checked { limit: needed.map(Value::Time), ..found };
    };
    let standing = if kept < needed { Standing::Stop } else { Standing::Within };
    let whole = Time::clamped(needed.to_seconds().ceil());
    found(standing).held(Value::Time(kept), Value::Time(needed)).mended([Mend::DoorWait(whole)])
}

fn interlock(shop: &Shop) -> Checked {
    let source = Source::seen("UFC 3-410-04N", "para 6-3.13: worth copying, law for defence buildings");
    answered(Hazard::Interlock, shop.enclosure.interlock, true, Standing::Ask, source, Mend::Interlock)
}

fn grounded(shop: &Shop) -> Checked {
    answered(Hazard::Static, shop.enclosure.grounded, true, Standing::Ask, Source::CommonPractice, Mend::Ground)
}

/// Dust that burns, or sparks, in the same collector.
fn shared(other: OtherDust) -> Checked {
    let (standing, source) = match other {
        OtherDust::OrganicGrit => (Standing::Stop, Source::seen("UFC 3-410-04N", "6-2, and WAC 296-818-30005")),
        OtherDust::LightMetal => (Standing::Stop, Source::seen("UFC 3-410-04N", "para 6-3.1")),
        OtherDust::Wood | OtherDust::Sparks => (Standing::Ask, Source::CommonPractice),
    };
    Checked::new(Hazard::SharedCollector, standing, source).about(About::Other(other)).mended([Mend::OwnCollector])
}
