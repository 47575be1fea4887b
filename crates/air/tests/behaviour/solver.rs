//! The transient solver against a slow, plain one, and its details.

use crate::{bar, seconds, shop, valve};
use air::transient::run_every;
use air::{AirLine, Conductance, Event, Start, run, steady};
use quantity::{Diameter, GaugePressure, Quantity};

/// Pressure (Pa gauge) after the valve was open for a time, compressor running throughout: classic
/// Runge-Kutta of order 4 at a fixed step, the balance solved afresh each time.
fn plain(line: &AirLine, start: f64, for_s: f64, step: f64) -> f64 {
    let supply = line.compressors[0].mass_rate(&line.site).to_kg_per_second();
    let capacity = line.receiver.to_cubic_metres() / (287.05 * 293.15);
    let rate = |gauge: f64| {
        let flow = steady(line, GaugePressure::pascals(gauge).unwrap()).unwrap().flow.to_kg_per_second();
        (supply - flow) / capacity
    };
    let mut p = start;
    for _ in 0..(for_s / step).round() as u32 {
        let k1 = rate(p);
        let k2 = rate(p + 0.5 * step * k1);
        let k3 = rate(p + 0.5 * step * k2);
        let k4 = rate(p + step * k3);
        p += step / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4);
    }
    p
}

#[test]
fn below_the_hold_it_agrees_with_a_plain_solver() {
    for (l_min, litres, from) in [(150.0, 50.0, 3.9), (60.0, 24.0, 3.5), (10.0, 10.0, 3.0)] {
        let line = shop(l_min, litres, 1.0);
        let trace = run(&line, Start { receiver: bar(from), running: true }, &[valve(true, 200.0)]).unwrap();
        let ours = trace.samples.last().unwrap().receiver.to_pascals();
        let theirs = plain(&line, from * 1e5, 200.0, 0.5);
        println!("{l_min} l/min, {litres} l: {:+.3} Pa", ours - theirs);
        assert!((ours - theirs).abs() < 10.0);
    }
}

#[test]
fn every_sample_is_the_balance_of_its_receiver_pressure() {
    let line = shop(150.0, 50.0, 1.0);
    let trace = run(&line, Start::full(&line), &[valve(true, 600.0)]).unwrap();
    let mut worst: f64 = 0.0;
    for sample in &trace.samples[1..] {
        let afresh = steady(&line, sample.receiver).unwrap();
        worst = worst.max((sample.flow.to_base() / afresh.flow.to_base() - 1.0).abs());
    }
    println!("table against balance: {worst:.2e}");
    assert!(worst < 2e-5);
}

#[test]
fn the_table_is_good_down_to_an_empty_receiver_and_for_a_throttling_regulator() {
    for valve_c in [0.4, 2.0, 10.0] {
        let mut line = shop(0.0, 20.0, 1.0);
        line.regulator.valve = Conductance::dm3_per_s_bar(valve_c, 0.3).unwrap();
        let trace = run(&line, Start { receiver: bar(3.9), running: false }, &[valve(true, 300.0)]).unwrap();
        let held = steady(&line, bar(15.0)).unwrap().flow.to_base();
        let mut worst: f64 = 0.0;
        for sample in trace.samples[1..].iter().filter(|sample| sample.receiver.to_bar() > 1e-3) {
            let afresh = steady(&line, sample.receiver).unwrap().flow.to_base();
            worst = worst.max((sample.flow.to_base() - afresh).abs() / held);
        }
        println!("C {valve_c}: {worst:.2e} of the held flow");
        assert!(worst < 1e-4);
        assert!(trace.samples.last().unwrap().receiver.to_bar() < 0.1, "it empties");
    }
}

#[test]
fn the_hold_is_regained_when_supply_exceeds_demand() {
    let line = shop(330.0, 50.0, 1.0);
    let start = Start { receiver: bar(2.0), running: true };
    let trace = run(&line, start, &[valve(true, 600.0)]).unwrap();
    let kinds: Vec<Event> = trace.events.iter().map(|(_, event)| *event).collect();
    let expected = [
        Event::ValveOpened,
        Event::HoldLost,
        Event::HoldRegained,
        Event::CompressorStopped { number: 1 },
        Event::CompressorStarted { number: 1 },
    ];
    assert_eq!(kinds[..5], expected);
    assert!(trace.lost.to_seconds() > 0.0 && trace.held.to_seconds() > trace.lost.to_seconds());
}

#[test]
fn a_switching_at_a_bound_while_the_hold_is_lost_is_found() {
    // Cut-in 3 bar is below the 4.01 bar that holds: it starts in the curved part.
    let mut line = shop(300.0, 50.0, 1.0);
    line.compressors[0].cut_in = bar(3.0);
    let trace = run(&line, Start { receiver: bar(5.0), running: false }, &[valve(true, 400.0)]).unwrap();
    let (at, _) = trace.events.iter().find(|(_, event)| matches!(event, Event::CompressorStarted { .. })).unwrap();
    let sample = trace.at(*at).unwrap();
    assert!((sample.receiver.to_bar() - 3.0).abs() < 1e-9 && sample.compressor_on, "{sample:?}");
    assert!(trace.events.iter().any(|(_, event)| *event == Event::HoldRegained), "300 l/min carry the nozzle");
}

#[test]
fn a_trace_can_be_read_anywhere_inside() {
    let line = shop(150.0, 50.0, 0.5);
    let pattern = [valve(true, 20.0), valve(false, 20.0)];
    let trace = run_every(&line, Start::full(&line), &pattern, seconds(5.0)).unwrap();
    assert!(trace.at(seconds(19.99)).unwrap().nozzle.is_some());
    assert!(trace.at(seconds(20.0)).unwrap().nozzle.is_none(), "just after the valve was closed");
    assert!(trace.at(seconds(40.0)).is_some() && trace.at(seconds(40.01)).is_none());
    let half = trace.at(seconds(10.0)).unwrap().receiver.to_bar();
    let (before, after) = (trace.at(seconds(7.0)).unwrap(), trace.at(seconds(13.0)).unwrap());
    assert!((0.5 * (before.receiver.to_bar() + after.receiver.to_bar()) - half).abs() < 1e-9);
}

#[test]
fn an_empty_pattern_is_the_start_alone() {
    let line = shop(150.0, 50.0, 0.5);
    let trace = run(&line, Start::full(&line), &[]).unwrap();
    assert_eq!((trace.samples.len(), trace.events.len()), (1, 0));
}

#[test]
fn a_tiny_regulator_throttles_instead_of_failing() {
    // C 0.1 dm³/(s bar) chokes: the pressure behind it is what the nozzle makes of its flow.
    let mut line = shop(150.0, 50.0, 0.5);
    line.regulator.valve = Conductance::dm3_per_s_bar(0.1, 0.3).unwrap();
    let found = steady(&line, bar(7.0)).unwrap();
    assert!(found.regulator_fully_open);
    assert!((found.regulator_out.to_bar() + 1.01325) < 0.3 * 8.01325, "{found:?}");
    // Choked flow C p1: 0.1 dm³/(s bar) at 8.01325 bar is 48.08 l/min.
    assert!((found.flow.to_litres_anr_per_minute() - 0.1 * 8.01325 * 60.0).abs() < 1e-6);
}

#[test]
fn a_pencil_nozzle_in_laminar_hose_flow_balances() {
    let mut line = shop(150.0, 50.0, 0.5);
    line.nozzle.bore = Diameter::mm(0.3).unwrap();
    line.regulator.set = bar(0.2);
    let found = steady(&line, bar(5.0)).unwrap();
    assert!(found.flow.to_base() > 0.0 && (found.nozzle_gauge.to_bar() - 0.2).abs() < 0.01, "{found:?}");
}
