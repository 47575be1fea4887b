//! A fault names its place and its mend.

use crate::{bar, seconds, shop, valve};
use air::transient::run_every;
use air::{AirLine, Discharge, FlowError, LineError, Loading, Start, TransientError, hold, pattern_for, run, steady};
use quantity::{Diameter, Fraction, Quantity, Volume};

fn with(change: impl FnOnce(&mut AirLine)) -> AirLine {
    let mut line = shop(150.0, 50.0, 0.5);
    change(&mut line);
    line
}

#[test]
fn every_line_that_cannot_hold_says_why_and_what_to_do() {
    let cases: Vec<(AirLine, &str)> = vec![
        (with(|line| line.nozzle.bore = Diameter::mm(12.0).unwrap()), "fit a wider hose"),
        (with(|line| line.regulator.set = bar(0.0)), "set it above 0"),
        (with(|line| line.regulator.set = bar(8.5)), "set less"),
        (with(|line| line.compressors.clear()), "add one"),
        (with(|line| line.receiver = Volume::litres(0.0).unwrap()), "volume on its plate"),
        (with(|line| line.compressors[0].cut_in = bar(8.0)), "cut-out must be the higher"),
        (with(|line| line.compressors[0].cut_in = bar(3.0)), "raise the cut-in"),
        (with(|line| line.compressors[0].duty_max = Fraction::ratio(0.0).unwrap()), "share of time on its plate"),
    ];
    for (line, mend) in cases {
        let words = hold(&line).unwrap_err().to_string();
        println!("{words}");
        assert!(words.starts_with("air line") && words.contains(mend), "{words}");
    }
}

#[test]
fn a_line_without_compressors_still_balances() {
    let line = with(|line| line.compressors.clear());
    assert!(steady(&line, bar(7.0)).is_ok());
    assert_eq!(hold(&line), Err(LineError::NoCompressor));
}

#[test]
fn a_thimble_for_a_receiver_ends_at_the_bound() {
    // 0.1 ml switches about a hundred thousand times a minute.
    let line = with(|line| {
        line.receiver = Volume::cubic_mm(100.0).unwrap();
        line.compressors = vec![crate::compressor(600.0, 6.0, 8.0, 1.0)];
    });
    let refused = run(&line, Start::full(&line), &[valve(true, 1800.0)]);
    let Err(TransientError::TooManySteps { at, .. }) = refused else { panic!("{refused:?}") };
    assert!(at.to_seconds() > 0.0 && at.to_seconds() < 1800.0);
}

#[test]
fn samples_without_a_gap_are_refused() {
    let line = shop(150.0, 50.0, 0.5);
    let refused = run_every(&line, Start::full(&line), &[valve(true, 10.0)], seconds(0.0));
    assert!(matches!(refused, Err(TransientError::TooManySamples { .. })));
}

#[test]
fn a_year_of_blasting_is_refused() {
    let line = shop(150.0, 50.0, 0.5);
    let refused = pattern_for(&line, Start::full(&line), seconds(3e7));
    assert!(matches!(refused, Err(LineError::TooManyBlasts { .. })));
}

#[test]
fn coefficients_out_of_range_are_refused_with_a_usual_value() {
    let words = Discharge::new(1.2).unwrap_err().to_string();
    assert!(words.contains("0.97"), "{words}");
    assert!(matches!(Discharge::new(f64::NAN), Err(FlowError::Discharge { .. })));
    assert!(matches!(Loading::new(-0.1), Err(FlowError::Loading { .. })));
    let (none, some) = (quantity::MassRate::clamped(0.0), quantity::MassRate::clamped(1.0));
    assert!(Loading::of(some, none).is_err() && Loading::of(none, none).is_err());
}
