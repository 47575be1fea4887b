//! What `hold`, its rhythm and a pattern promise, played through by the transient solver.

use crate::{bar, compressor, seconds, shop, valve};
use air::{AirLine, Event, Start, Trace, Valve, hold, pattern_for, run};
use quantity::Quantity;

/// Small and large, starved and rich, with and without a duty limit, and two compressors.
fn shops() -> Vec<AirLine> {
    let mut shops: Vec<AirLine> =
        [(150.0, 50.0, 0.5), (150.0, 50.0, 1.0), (90.0, 270.0, 0.6), (240.0, 24.0, 0.5), (280.0, 50.0, 0.7)]
            .map(|(l_min, litres, duty)| shop(l_min, litres, duty))
            .into();
    let mut pair = shop(100.0, 100.0, 0.7);
    pair.compressors.push(compressor(80.0, 5.0, 7.0, 0.6));
    shops.push(pair);
    let mut late = shop(150.0, 50.0, 0.7);
    late.compressors[0].cut_in = bar(4.05);
    shops.push(late);
    shops
}

fn lost(trace: &Trace) -> bool {
    trace.lost.to_seconds() > 0.0 || trace.events.iter().any(|(_, event)| *event == Event::HoldLost)
}

fn blasting(pattern: &[Valve]) -> f64 {
    pattern.iter().filter(|valve| valve.open).map(|valve| valve.for_.to_seconds()).sum()
}

#[test]
fn the_rhythm_never_loses_the_hold_and_keeps_the_duty() {
    for line in shops() {
        let rhythm = hold(&line).unwrap().rhythm.unwrap();
        let one = [Valve { open: true, for_: rhythm.blast }, Valve { open: false, for_: rhythm.rest }];
        let pattern = one.repeat(40);
        let trace = run(&line, Start::full(&line), &pattern).unwrap();
        assert!(!lost(&trace), "{rhythm:?}");
        let total: f64 = pattern.iter().map(|valve| valve.for_.to_seconds()).sum();
        for (ran, machine) in trace.ran.iter().zip(&line.compressors) {
            let duty = ran.to_seconds() / total;
            assert!(duty <= machine.duty_max.to_ratio() + 1e-6, "{rhythm:?} runs a compressor {duty} of the time");
        }
        let last = trace.samples.last().unwrap().receiver.to_bar();
        assert!((last - Start::full(&line).receiver.to_bar()).abs() < 1e-6, "each round ends full: {last}");
    }
}

#[test]
fn a_limited_duty_sets_the_rhythms_share() {
    let line = shop(150.0, 50.0, 0.5);
    let held = hold(&line).unwrap();
    let rhythm = held.rhythm.unwrap();
    let share = rhythm.blast.to_seconds() / (rhythm.blast.to_seconds() + rhythm.rest.to_seconds());
    assert!((share - held.share_by_duty.to_ratio()).abs() < 1e-3, "{share} of {:?}", held.share_by_duty);
}

#[test]
fn the_longest_blast_is_when_the_solver_loses_the_hold() {
    for line in shops() {
        let held = hold(&line).unwrap();
        let trace = run(&line, Start::full(&line), &[valve(true, 3000.0)]).unwrap();
        let at = trace.events.iter().find(|(_, event)| *event == Event::HoldLost).map(|(at, _)| at.to_seconds());
        match (held.longest_blast, at) {
            (Some(longest), Some(at)) => assert!((longest.to_seconds() - at).abs() < 1e-6, "{longest} against {at}"),
            (None, None) => {}
            disagreement => panic!("{disagreement:?}"),
        }
    }
}

#[test]
fn enough_air_without_a_duty_limit_needs_no_rest() {
    let line = shop(330.0, 50.0, 1.0);
    let held = hold(&line).unwrap();
    assert_eq!((held.rhythm, held.longest_blast), (None, None));
    assert_eq!(pattern_for(&line, Start::full(&line), seconds(7200.0)).unwrap(), [valve(true, 7200.0)]);
}

#[test]
fn a_pattern_blasts_as_long_as_asked_and_holds_all_the_way() {
    for line in shops() {
        let full = Start::full(&line);
        for start in [
            full,
            Start { receiver: bar(6.5), running: false },
            Start { receiver: bar(5.2), ..full },
            Start { receiver: bar(0.0), running: true },
        ] {
            for needed in [1.0, 40.0, 104.0, 400.0, 3600.0] {
                let pattern = pattern_for(&line, start, seconds(needed)).unwrap();
                assert!((blasting(&pattern) - needed).abs() < 1e-6 * needed);
                let trace = run(&line, start, &pattern).unwrap();
                assert!(!lost(&trace), "{needed} s from {start:?}: {pattern:?}");
                assert!(pattern.last().unwrap().open, "it ends with a blast");
            }
        }
    }
}

#[test]
fn a_pattern_keeps_the_duty_up_to_its_last_blast() {
    for line in shops() {
        let start = Start::full(&line);
        let pattern = pattern_for(&line, start, seconds(3600.0)).unwrap();
        let before_last = &pattern[..pattern.len() - 1];
        let total: f64 = before_last.iter().map(|valve| valve.for_.to_seconds()).sum();
        let trace = run(&line, start, before_last).unwrap();
        for (ran, machine) in trace.ran.iter().zip(&line.compressors) {
            assert!(
                ran.to_seconds() <= machine.duty_max.to_ratio() * total * (1.0 + 1e-6) + 1e-6,
                "{ran} in {total} s"
            );
        }
    }
}

#[test]
fn a_blast_that_fits_is_not_broken() {
    let line = shop(150.0, 50.0, 0.5);
    let pattern = pattern_for(&line, Start::full(&line), seconds(95.0)).unwrap();
    assert_eq!(pattern, [valve(true, 95.0)]);
}

#[test]
fn an_empty_receiver_is_filled_first() {
    let line = shop(150.0, 50.0, 0.5);
    let pattern = pattern_for(&line, Start { receiver: bar(0.0), running: true }, seconds(30.0)).unwrap();
    assert!(!pattern[0].open && pattern[1].open && pattern.len() == 2, "{pattern:?}");
}

#[test]
fn no_blasting_needs_no_pattern() {
    let line = shop(150.0, 50.0, 0.5);
    assert_eq!(pattern_for(&line, Start::full(&line), seconds(0.0)).unwrap(), []);
}

#[test]
fn compressors_in_parallel_add() {
    let mut line = shop(100.0, 100.0, 0.7);
    let one = hold(&line).unwrap();
    line.compressors.push(compressor(80.0, 5.0, 7.0, 0.6));
    let both = hold(&line).unwrap();
    assert!((both.available.to_base() / one.available.to_base() - 1.8).abs() < 1e-9);
    // The second starts at 5 bar on the way down, after the first at 6.
    let trace = run(&line, Start::full(&line), &[valve(true, 200.0)]).unwrap();
    let started = |event: &Event| matches!(event, Event::CompressorStarted { .. });
    let starts: Vec<&Event> = trace.events.iter().map(|(_, event)| event).filter(|event| started(event)).collect();
    assert_eq!(starts, [&Event::CompressorStarted { number: 1 }, &Event::CompressorStarted { number: 2 }]);
}

#[test]
fn a_compressor_that_starts_too_late_does_not_count() {
    let mut line = shop(100.0, 100.0, 0.7);
    line.compressors.push(compressor(80.0, 3.0, 7.0, 0.6));
    let alone = hold(&shop(100.0, 100.0, 0.7)).unwrap();
    assert_eq!(hold(&line).unwrap().available, alone.available);
}
