//! Work of compression and temperature of discharge.

use crate::{Family, Row, each, family, percent};
use air::energy::{Stages, compression_work, isentropic_discharge};
use quantity::{AbsolutePressure, Temperature};

fn bar(absolute: f64) -> AbsolutePressure {
    AbsolutePressure::bar(absolute).unwrap()
}

/// Gauge pressure in the id; the atmosphere of these rows is 1 bar.
fn outlet(row: &Row) -> AbsolutePressure {
    bar(1.0 + row.id.split('-').nth(1).unwrap().parse::<f64>().unwrap())
}

/// kW for 1 m³/min.
fn work(row: &Row) -> f64 {
    let words = row.id.splitn(3, '-').nth(2).unwrap();
    let stages = if words.starts_with("two-stage") { Stages::Two } else { Stages::One };
    let exponent = if words.contains("isothermal") {
        1.0
    } else if words.contains("n=1.3") {
        1.3
    } else {
        assert!(words.contains("isentropic"), "{words}");
        1.4
    };
    let kilowatts = compression_work(bar(1.0), outlet(row), exponent, stages) / 60e3;
    // Real air by CoolProp 8.0.0 is allowed 1 %.
    percent(kilowatts, row.value()) / if words.contains("CoolProp") { 1.0 } else { 0.01 }
}

/// Isentropic, one and two stages, against real air.
fn discharge(row: &Row) -> f64 {
    let inlet = Temperature::celsius(20.0).unwrap();
    let of = |stages| isentropic_discharge(inlet, bar(1.0), outlet(row), stages).to_celsius();
    let [one, two] = row.expected[..] else { panic!("{}: two figures", row.id) };
    let (off_one, off_two) = (of(Stages::One) - one, of(Stages::Two) - two);
    if off_one.abs() > off_two.abs() { off_one } else { off_two }
}

pub(crate) fn families() -> Vec<Family> {
    vec![each("WORK-", work), family("TDIS-", 3.0, discharge)]
}
