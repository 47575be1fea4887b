//! More is more, mass is conserved, backwards is refused.

use crate::{bar, compressor, seconds, shop, valve};
use air::conductance::ConductanceError;
use air::hose::HoseError;
use air::nozzle::{loaded_discharge, mass_flow};
use air::receiver::{Balance, time_between};
use air::{AirLine, Conductance, Discharge, FlowError, Loading, Stagnation, Start, Throat, run, steady};
use proptest::prelude::*;
use quantity::{AbsolutePressure, Diameter, FreeFlow, MassRate, Quantity, Temperature};

fn absolute(value: f64) -> AbsolutePressure {
    AbsolutePressure::bar(value).unwrap()
}

fn flow(bore_mm: f64, from: f64, to: f64) -> Result<f64, FlowError> {
    let upstream = Stagnation { pressure: absolute(from), temperature: Temperature::celsius(20.0).unwrap() };
    let bore = Diameter::mm(bore_mm).unwrap();
    mass_flow(bore, Discharge::ROUNDED, upstream, absolute(to)).map(|flow| flow.rate.to_kg_per_second())
}

/// kg in the receiver: V/(R T) p at 20 °C.
fn stored_kg(line: &AirLine, gauge: f64) -> f64 {
    line.receiver.to_cubic_metres() * gauge / (287.05 * 293.15)
}

proptest! {
    #[test]
    fn a_larger_bore_or_pressure_never_passes_less(a in 0.3..12.0, b in 0.3..12.0, p in 1.1..11.0, q in 1.1..11.0) {
        let (small, large) = (f64::min(a, b), f64::max(a, b));
        prop_assert!(flow(small, p, 1.0).unwrap() <= flow(large, p, 1.0).unwrap());
        prop_assert!(flow(small, f64::min(p, q), 1.0).unwrap() <= flow(small, f64::max(p, q), 1.0).unwrap());
    }

    #[test]
    fn flow_backwards_is_refused_everywhere(p in 1.0..10.0, rise in 0.001..5.0) {
        let refused = flow(2.5, p, p + rise);
        prop_assert!(matches!(refused, Err(FlowError::Backwards { .. })), "nozzle");
        let upstream = Stagnation { pressure: absolute(p), temperature: Temperature::celsius(20.0).unwrap() };
        let throat = Throat::of(upstream, absolute(p + rise));
        prop_assert!(matches!(throat, Err(FlowError::Backwards { .. })), "throat");
        let hose = shop(150.0, 50.0, 0.5).hose.flow(absolute(p), absolute(p + rise));
        prop_assert!(matches!(hose, Err(HoseError::Backwards { .. })), "hose");
        let part = Conductance::dm3_per_s_bar(3.0, 0.3).unwrap().flow(absolute(p), absolute(p + rise));
        prop_assert!(matches!(part, Err(ConductanceError::Backwards { .. })), "valve");
    }

    #[test]
    fn a_hose_loses_more_with_more_flow_or_chokes(a in 1.0..2000.0, b in 1.0..2000.0, p in 2.0..12.0) {
        let hose = shop(150.0, 50.0, 0.5).hose;
        let outlet = |l_min| {
            let flow = MassRate::litres_anr_per_minute(l_min).unwrap();
            hose.outlet(absolute(p), flow).map_or(0.0, AbsolutePressure::to_bar)
        };
        prop_assert!(outlet(f64::max(a, b)) <= outlet(f64::min(a, b)));
        prop_assert!(outlet(a) < p);
    }

    #[test]
    fn a_line_gives_more_at_a_higher_receiver_and_its_ladder_falls(
        a in 0.0..10.0, b in 0.0..10.0, bore in 0.5..6.0, valve in 0.3..20.0,
    ) {
        let mut line = shop(150.0, 50.0, 0.5);
        line.nozzle.bore = Diameter::mm(bore).unwrap();
        line.regulator.valve = Conductance::dm3_per_s_bar(valve, 0.3).unwrap();
        let at = |receiver| steady(&line, bar(receiver)).unwrap();
        let (low, high) = (at(f64::min(a, b)), at(f64::max(a, b)));
        prop_assert!(low.flow.to_base() <= high.flow.to_base() * (1.0 + 1e-9));
        for step in &high.ladder {
            prop_assert!(step.outlet.to_base() <= step.inlet.to_base() + 1e-3, "{step:?}");
        }
        for pair in high.ladder.windows(2) {
            prop_assert_eq!(pair[0].outlet, pair[1].inlet);
        }
    }

    #[test]
    fn a_balanced_line_obeys_each_of_its_parts(receiver in 0.5..9.0, bore in 0.8..4.0, valve in 0.5..20.0) {
        let mut line = shop(150.0, 50.0, 0.5);
        line.nozzle.bore = Diameter::mm(bore).unwrap();
        line.regulator.valve = Conductance::dm3_per_s_bar(valve, 0.3).unwrap();
        let found = steady(&line, bar(receiver)).unwrap();
        let site = line.site.pressure;
        let at = |gauge| AbsolutePressure::from_gauge(gauge, site).unwrap();
        let near = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-6;
        // Hose: its end is the nozzle's inlet.
        let end = line.hose.outlet(at(found.regulator_out), found.flow).unwrap();
        prop_assert!(near(end.to_base(), at(found.nozzle_gauge).to_base()));
        // Nozzle: it passes that flow.
        let temperature = Temperature::celsius(20.0).unwrap();
        let upstream = Stagnation { pressure: at(found.nozzle_gauge), temperature };
        let passed = mass_flow(line.nozzle.bore, line.nozzle.discharge, upstream, site).unwrap().rate;
        prop_assert!(near(passed.to_base(), found.flow.to_base()));
        // Regulator: closed enough to hold, or passing all it can.
        let most = line.regulator.valve.flow(at(bar(receiver)), at(found.regulator_out)).unwrap();
        if found.regulator_fully_open {
            prop_assert!(near(most.to_base(), found.flow.to_base()), "{} passes {}", most, found.flow);
        } else {
            prop_assert!(most.to_base() >= found.flow.to_base() * (1.0 - 1e-9));
            prop_assert!(near(found.regulator_out.to_base(), line.regulator.set.to_base()));
        }
    }

    #[test]
    fn air_in_less_air_out_is_what_the_receiver_gains(
        spans in proptest::collection::vec(0.0..90.0f64, 1..24),
        start in 0.0..9.0, litres in 5.0..300.0, l_min in 30.0..400.0, second in 0.0..200.0,
    ) {
        let mut line = shop(l_min, litres, 0.5);
        line.compressors.push(compressor(second, 3.0, 5.0, 0.5));
        let pattern: Vec<_> = spans.iter().enumerate().map(|(i, span)| valve(i % 2 == 0, *span)).collect();
        let trace = run(&line, Start { receiver: bar(start), running: true }, &pattern).unwrap();
        let supplied: f64 = trace.ran.iter().zip(&line.compressors)
            .map(|(ran, machine)| ran.to_seconds() * machine.mass_rate(&line.site).to_kg_per_second()).sum();
        let end = trace.samples.last().unwrap().receiver.to_pascals();
        let gained = stored_kg(&line, end) - stored_kg(&line, start * 1e5);
        let moved = supplied + trace.used.to_kilograms() + 1e-6;
        prop_assert!((supplied - trace.used.to_kilograms() - gained).abs() < 1e-6 * moved.max(1.0));
        // And the used air is what the samples' flow adds up to, in straight lines between them.
        let sampled: f64 = trace.samples.windows(2).map(|pair| {
            let dt = pair[1].at.to_seconds() - pair[0].at.to_seconds();
            0.5 * dt * (pair[0].flow.to_kg_per_second() + pair[1].flow.to_kg_per_second())
        }).sum();
        prop_assert!((sampled - trace.used.to_kilograms()).abs() < 1e-3 * trace.used.to_kilograms() + 1e-6);
    }

    #[test]
    fn samples_and_events_are_in_order_and_inside_the_pattern(
        spans in proptest::collection::vec(0.0..60.0f64, 1..12), start in 0.0..9.0,
    ) {
        let line = shop(150.0, 20.0, 0.5);
        let pattern: Vec<_> = spans.iter().enumerate().map(|(i, span)| valve(i % 3 != 1, *span)).collect();
        let trace = run(&line, Start { receiver: bar(start), running: false }, &pattern).unwrap();
        prop_assert!(trace.samples.windows(2).all(|pair| pair[0].at <= pair[1].at));
        prop_assert!(trace.events.windows(2).all(|pair| pair[0].0 <= pair[1].0));
        let total: f64 = spans.iter().sum();
        prop_assert!((trace.samples.last().unwrap().at.to_seconds() - total).abs() < 1e-6);
        let open: f64 = pattern.iter().filter(|valve| valve.open).map(|valve| valve.for_.to_seconds()).sum();
        prop_assert!((trace.held.to_seconds() + trace.lost.to_seconds() - open).abs() < 1e-6);
    }

    #[test]
    fn the_solver_fills_a_receiver_as_fast_as_the_closed_form(
        litres in 5.0..500.0, l_min in 30.0..600.0, from in 0.0..5.9,
    ) {
        let line = shop(l_min, litres, 1.0);
        let trace = run(&line, Start { receiver: bar(from), running: true }, &[valve(false, 1e4)]).unwrap();
        let stopped = trace.events[0].0;
        // 1.185 kg/m³ at 20 °C is 99 716 Pa; free air at the site is 1.01325 times as much of it.
        let balance = Balance {
            supply: FreeFlow::litres_per_minute(l_min * 1.013_25).unwrap(),
            demand: FreeFlow::litres_per_minute(0.0).unwrap(),
            reference: AbsolutePressure::pascals(1.185 * 287.05 * 293.15).unwrap(),
        };
        let closed = time_between(line.receiver, bar(from), bar(8.0), balance).unwrap();
        prop_assume!(closed < seconds(1e4));
        prop_assert!((stopped.to_seconds() / closed.to_seconds() - 1.0).abs() < 1e-9);
    }

    #[test]
    fn abrasive_in_the_stream_never_raises_the_flow(a in 0.0..3.0, b in 0.0..3.0, bore in 0.5..15.0) {
        let cd = |ratio| {
            let loading = Loading::new(ratio).unwrap();
            loaded_discharge(Discharge::ROUNDED, loading, Diameter::mm(bore).unwrap()).to_ratio()
        };
        prop_assert!(cd(f64::max(a, b)) <= cd(f64::min(a, b)));
        prop_assert_eq!(cd(0.0), 0.97);
    }
}
