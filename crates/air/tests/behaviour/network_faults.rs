//! No line that is none passes, and none of it panics.

use crate::network::{hose, litres, machine, regulator, share, site, station, tip, usual};
use crate::{bar, seconds};
use air::course::{CourseError, Pattern, RunOptions};
use air::ladder::{Open, Settings};
use air::machine::Duty;
use air::part::{Dryer, Pot, Tip};
use air::{Conductance, Loading, Network, NetworkError, Part, PartKind};
use proptest::prelude::*;
use quantity::{Diameter, Fraction, Length, Quantity, Temperature, Volume};

fn parts() -> Vec<Part> {
    usual(&[(4.0, 2.0), (3.0, 1.6)]).parts()
}

fn with(name: &str, change: impl Fn(&mut Part)) -> Vec<Part> {
    let mut parts = parts();
    let part = parts.iter_mut().find(|part| part.name == name).unwrap();
    change(part);
    parts
}

fn feeding(name: &str, feeds: &[&str]) -> Vec<Part> {
    with(name, |part| part.feeds = feeds.iter().map(|&feed| feed.to_owned()).collect())
}

fn more(part: Part) -> Vec<Part> {
    let mut parts = parts();
    parts.push(part);
    parts
}

fn compressors(change: impl Fn(&mut air::Machine)) -> Vec<Part> {
    let mut parts = parts();
    for part in &mut parts {
        if let PartKind::Compressor(machine) = &mut part.kind {
            change(machine);
        }
    }
    parts
}

/// The fault, its part and its mend.
fn refuse(parts: Vec<Part>, part: Option<&str>, mend: &str) -> NetworkError {
    let error = Network::new(site(), parts).expect_err(mend);
    let words = error.to_string();
    println!("{words}");
    assert!(words.contains(mend), "{words}");
    if let Some(part) = part {
        assert!(words.contains(part) && error.part().is_some_and(|named| named.contains(part)), "{words}");
    }
    error
}

#[test]
fn every_impossible_line_is_refused_with_its_part_and_a_mend() {
    let none = |part: &mut Part| {
        if let PartKind::Hose(hose) | PartKind::Pipe(hose) = &mut part.kind {
            hose.bore = Diameter::clamped(0.0);
        }
    };
    refuse(with("hose 1", none), Some("hose 1"), "give its inside diameter");
    let short = |part: &mut Part| {
        if let PartKind::Pipe(pipe) = &mut part.kind {
            pipe.length = Length::clamped(0.0);
        }
    };
    refuse(with("pipe", short), Some("pipe"), "it has no length");
    let nozzle = |part: &mut Part| part.kind = PartKind::Nozzle(Tip { bore: Diameter::clamped(0.0), ..tip(2.0) });
    refuse(with("nozzle 2", nozzle), Some("nozzle 2"), "passes no air");
    let worn = |part: &mut Part| part.kind = PartKind::Nozzle(Tip { worn: Length::mm(50.0).unwrap(), ..tip(2.0) });
    refuse(with("nozzle 2", worn), Some("nozzle 2"), "wear of the bore");
    let high = |part: &mut Part| part.kind = PartKind::Regulator(regulator(8.5));
    refuse(with("regulator 2", high), Some("regulator 2"), "set less");
    let shut = |part: &mut Part| part.kind = PartKind::Regulator(regulator(0.0));
    refuse(with("regulator 2", shut), Some("regulator 2"), "set it above 0");
    refuse(compressors(|machine| machine.switched_on = false), Some("first compressor"), "switch one on");
    refuse(compressors(|machine| machine.cut_in = bar(9.0)), Some("first compressor"), "must be the higher");
    refuse(compressors(|machine| machine.cut_in = bar(0.0)), Some("first compressor"), "set it above 0");
    refuse(compressors(|machine| machine.duty.share = share(0.0)), Some("first compressor"), "share of time");
    refuse(
        compressors(|machine| machine.delivery = air::machine::Delivery::Constant(Quantity::clamped(0.0))),
        Some("first compressor"),
        "delivers no air",
    );
    let mut without = parts();
    without.retain(|part| !matches!(part.kind, PartKind::Compressor(_)));
    refuse(without, None, "there is no compressor");
    let empty = |part: &mut Part| part.kind = PartKind::Receiver(litres(0.0));
    refuse(with("receiver 1", empty), Some("receiver 1"), "volume on its plate");
    let dry = |part: &mut Part| {
        let dew_point = Temperature::celsius(-40.0).unwrap();
        part.kind = PartKind::Dryer(Dryer { dew_point, purge: share(0.9), passes: Conductance::WIDE });
    };
    refuse(with("dryer", dry), Some("dryer"), "purge of 0.9");
}

#[test]
fn every_impossible_shape_is_refused_with_its_part_and_a_mend() {
    refuse(feeding("separator", &["dryer"]), Some("dryer"), "in a loop: \"dryer\" > \"separator\" > \"dryer\"");
    refuse(feeding("pipe", &["pipe"]), Some("pipe"), "in a loop: \"pipe\" > \"pipe\"");
    refuse(more(Part::new("stray", "dryer", PartKind::Pipe(hose(10.0, 1.0)))), Some("stray"), "nothing feeds it");
    refuse(feeding("pipe", &["regulator 1", "regulator 2", "hose 2"]), Some("hose 2"), "both");
    refuse(feeding("pot 1", &[]), Some("pot 1"), "has no nozzle");
    refuse(feeding("nozzle 1", &["nozzle 2"]), Some("nozzle 1"), "feeds nothing");
    refuse(feeding("pipe", &["regulator 1", "regulator 3"]), Some("pipe"), "\"regulator 3\", which is not there");
    refuse(more(Part::last("nozzle 1", PartKind::Nozzle(tip(2.0)))), Some("nozzle 1"), "two parts are called so");
    refuse(more(Part::last(" ", PartKind::Nozzle(tip(2.0)))), None, "has no name");
    refuse(feeding("pipe", &["regulator 1", "regulator 2", "pot 1"]), Some("pot 1"), "both");
    refuse(feeding("regulator 1", &["hose 1", "hose 2"]), Some("hose 2"), "both");
    let mut tee = parts();
    tee.iter_mut().find(|part| part.name == "hose 1").unwrap().feeds.push("extra nozzle".to_owned());
    tee.push(Part::last("extra nozzle", PartKind::Nozzle(tip(1.0))));
    refuse(tee, Some("regulator 1"), "exactly one regulator");
    let mut bare = parts();
    bare.iter_mut().find(|part| part.name == "pipe").unwrap().feeds.push("bare nozzle".to_owned());
    bare.push(Part::last("bare nozzle", PartKind::Nozzle(tip(1.0))));
    refuse(bare, Some("bare nozzle"), "no regulator is on the way");
    let second = |part: &mut Part| part.kind = PartKind::Regulator(regulator(2.0));
    refuse(with("pot 1", second), Some("pot 1"), "exactly one regulator");
    let vessel = |part: &mut Part| part.kind = PartKind::Receiver(litres(10.0));
    refuse(with("pot 1", vessel), Some("pot 1"), "only two receivers");
    let pot = Pot { passes: Conductance::WIDE, loading: Loading::NONE };
    refuse(with("separator", |part| part.kind = PartKind::Pot(pot)), Some("separator"), "before the regulator");
    refuse(with("nozzle 1", |part| part.kind = PartKind::Gun(tip(2.0))), Some("pot 1"), "before a gun");
    let no_receiver = |part: &mut Part| part.kind = PartKind::Pipe(hose(20.0, 1.0));
    refuse(with("receiver 1", no_receiver), Some("pipe"), "feeds several parts before the last receiver");
    let compressor = |part: &mut Part| part.kind = PartKind::Compressor(machine(100.0, Duty::reported(share(0.5))));
    refuse(with("separator", compressor), Some("separator"), "behind another part");
    let mut many = parts();
    many.iter_mut().find(|part| part.name == "pipe").unwrap().feeds =
        (1..=61).map(|n| format!("regulator {n}")).collect();
    (3..=61).for_each(|n| many.extend(station(n, 3.0, 1.0)));
    refuse(many, None, "61 stations");
    refuse((0..1001).map(|n| Part::last(&n.to_string(), PartKind::Nozzle(tip(1.0)))).collect(), None, "1001 parts");
}

#[test]
fn a_hose_that_chokes_is_shown_and_not_a_fault() {
    let narrow = |part: &mut Part| part.kind = PartKind::Hose(hose(2.0, 20.0));
    let network = Network::new(site(), with("hose 1", narrow)).unwrap();
    let ladder = network.steady(&Settings { receiver: bar(8.0), open: Open::These(&["nozzle 1"]) }).unwrap();
    let rung = ladder.rungs.iter().find(|rung| rung.part == "hose 1").unwrap();
    assert!(ladder.stations[0].nozzle.to_bar() < 1.5, "{ladder:?}");
    assert!(rung.loss_pa() > 2e5, "{rung:?}");
}

#[test]
fn an_unknown_station_a_second_pattern_and_a_run_of_no_time_are_refused() {
    let network = Network::new(site(), parts()).unwrap();
    let wrong = network.steady(&Settings { receiver: bar(8.0), open: Open::These(&["nozzle 9"]) }).unwrap_err();
    assert!(wrong.to_string().contains("nozzle 1, nozzle 2"), "{wrong}");
    let open = || Pattern::held_open("nozzle 1");
    let run = |patterns: &[Pattern], s: f64, gap: Option<f64>| {
        let options = RunOptions { gap: gap.map(seconds), ..RunOptions::default() };
        network.run(patterns, seconds(s), &options).unwrap_err()
    };
    assert!(matches!(run(&[open(), open()], 10.0, None), CourseError::TwoPatterns { .. }));
    assert_eq!(run(&[open()], 0.0, None), CourseError::NoTime);
    assert!(matches!(run(&[open()], 10.0, Some(0.0)), CourseError::TooManySamples { .. }));
    assert!(matches!(run(&[Pattern::held_open("nozzle 7")], 10.0, None), CourseError::Station(_)));
}

#[test]
fn a_thimble_for_a_receiver_ends_at_the_bound() {
    let tiny = |part: &mut Part| {
        if let PartKind::Receiver(vessel) = &mut part.kind {
            vessel.volume = Volume::cubic_mm(100.0).unwrap();
        }
    };
    let network = Network::new(site(), with("receiver 1", tiny)).unwrap();
    let refused = network.run(&[Pattern::held_open("nozzle 1")], seconds(1800.0), &RunOptions::default());
    let Err(CourseError::TooManySteps { receiver, at, .. }) = refused else { panic!("{refused:?}") };
    assert!(receiver == "receiver 1" && at.to_seconds() < 1800.0);
}

fn kind(which: u8) -> PartKind {
    match which {
        0 => PartKind::Compressor(machine(150.0, Duty::kept(Fraction::ratio(0.5).unwrap()))),
        1 => PartKind::Receiver(litres(80.0)),
        2 => PartKind::Pipe(hose(12.0, 5.0)),
        3 => PartKind::Regulator(regulator(3.0)),
        4 => PartKind::Nozzle(tip(2.0)),
        5 => PartKind::Gun(tip(1.5)),
        6 => PartKind::Pot(Pot { passes: Conductance::WIDE, loading: Loading::NONE }),
        _ => PartKind::Hose(hose(8.0, 5.0)),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    /// Any parts, feeding anything: refused with words or computed, never a panic.
    #[test]
    fn any_heap_of_parts_is_refused_or_runs(heap in prop::collection::vec((0u8..8, prop::collection::vec(0usize..9, 0..3)), 1..9)) {
        let parts = heap.iter().enumerate().map(|(place, (which, feeds))| Part {
            name: place.to_string(),
            feeds: feeds.iter().map(usize::to_string).collect(),
            kind: kind(*which),
        });
        match Network::new(site(), parts.collect()) {
            Err(error) => prop_assert!(error.to_string().len() > 20),
            Ok(network) => {
                let patterns: Vec<Pattern> = network.stations().map(Pattern::held_open).collect();
                let course = network.run(&patterns, seconds(300.0), &RunOptions::default()).unwrap();
                prop_assert!(course.balance.residual.abs() < 1e-9);
            }
        }
    }

}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Chains in the right order with random parts between: most of these run.
    #[test]
    fn any_row_of_parts_in_order_runs(
        middle in prop::collection::vec(prop_oneof![Just(2u8), Just(7)], 0..4), second in any::<bool>(), gun in any::<bool>(),
    ) {
        let mut order = vec![0u8, 2, 1];
        order.extend(second.then_some([2u8, 1]).into_iter().flatten());
        order.extend(&middle);
        order.push(3);
        order.extend(&middle);
        order.push(if gun { 5 } else { 4 });
        let parts = order.iter().enumerate().map(|(place, &which)| {
            let feeds = if place + 1 < order.len() { vec![(place + 1).to_string()] } else { vec![] };
            Part { name: place.to_string(), feeds, kind: kind(which) }
        });
        let network = Network::new(site(), parts.collect()).unwrap();
        let station = network.stations().next().unwrap().to_owned();
        let course = network.run(&[Pattern::held_open(&station)], seconds(600.0), &RunOptions::default()).unwrap();
        prop_assert!(course.balance.residual.abs() < 1e-9 && course.balance.blasted.to_base() > 0.0);
    }
}
