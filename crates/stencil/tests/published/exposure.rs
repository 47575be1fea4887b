//! Dose, step tablets, sources, the walk of light under an edge. Sources stand in the rows.

use crate::Found::{self, Number};
use crate::{Check, Row};
use artwork::grid::Point;
use quantity::{Dose, Irradiance, Length, Time};
use stencil::exposure::dose::{WorkingCurve, dose, reciprocity_factor, time, transmitted};
use stencil::exposure::sharp::{edge_shift, half_angle};
use stencil::exposure::source::{Source, least_height_over_radius, long_bank_uniformity};
use stencil::exposure::tablet::{Reading, StepTablet};

pub(crate) const FAMILIES: &[(&str, Check)] = &[
    ("UVX-", dose_row),
    ("UVX-15", |row| {
        let lobe = if row.last() == "3" { 0.0 } else { 1.0 };
        Number(least_height_over_radius(0.8, lobe))
    }),
    ("UVT-", |row| Number(long_bank_uniformity(row.input("h/pitch=")))),
    ("UVU-", sharp_row),
];

fn um(um: f64) -> Length {
    Length::um(um).unwrap()
}

fn irradiance(mw: f64) -> Irradiance {
    Irradiance::milliwatts_per_square_cm(mw).unwrap()
}

fn seconds(s: f64) -> Time {
    Time::seconds(s).unwrap()
}

fn dose_row(row: &Row) -> Found {
    let mj = |mj| Dose::millijoules_per_square_cm(mj).unwrap();
    Number(match row.last() {
        "1" => dose(irradiance(row.inputs()[0]), seconds(row.input("x "))).to_millijoules_per_square_cm(),
        "2" => StepTablet::HALF_STOP.factor(),
        "4" => {
            let reading = Reading { exposed: seconds(row.input("t=")), held: 5.0 };
            StepTablet::HALF_STOP.time(&reading, 7.0).unwrap().to_seconds()
        }
        "8" => {
            let curve = WorkingCurve { penetration: um(row.input("Dp=")), critical: mj(10.0) };
            curve.depth(mj(160.0)).to_um() - curve.depth(mj(80.0)).to_um()
        }
        "10" => transmitted(row.input("Dmax=")),
        "11" => {
            let under = |density| time(mj(100.0), irradiance(5.0), density).unwrap().to_seconds();
            under(row.input("Dmin=")) / under(0.0)
        }
        "12" => Source::Point { height_mm: 600.0, lobe: 0.0 }.time_factor(900.0).unwrap(),
        "14" => corner(row, 1.0),
        other => panic!("{}: {other} is not known", row.id),
    })
}

fn corner(row: &Row, lobe: f64) -> f64 {
    let source = Source::Point { height_mm: row.input("h="), lobe };
    let at = |x| source.irradiance(Point { x, y: 0.0 }).unwrap();
    at(row.input("r=")) / at(0.0)
}

/// The lamp of rows UVU-1 and UVU-2: 50 mm across, 600 mm away.
fn lamp() -> f64 {
    half_angle(Length::mm(25.0).unwrap(), Length::mm(600.0).unwrap())
}

fn sharp_row(row: &Row) -> Found {
    let shift = |angle: f64| edge_shift(angle, um(0.0), um(row.input("t=")), row.input("n=")).to_um();
    Number(match row.last() {
        "1" => lamp().to_degrees(),
        "2" => shift(lamp()),
        "3" => shift(60_f64.to_radians()),
        "5" => shift((row.input("r=") / row.input("h=")).atan()),
        "6" => reciprocity_factor(0.5, row.input("p=")),
        other => panic!("{}: {other} is not known", row.id),
    })
}

/// Figures of the derivation's own table that are not among the rows.
#[test]
fn through_cure_and_a_bulbs_corner_agree_with_the_derivation() {
    let curve = WorkingCurve { penetration: um(40.0), critical: Dose::millijoules_per_square_cm(10.0).unwrap() };
    let through = curve.through(um(75.0)).unwrap();
    assert!((through.to_millijoules_per_square_cm() / 65.2082 - 1.0).abs() < 1e-5);
    assert!((curve.density_needed(through) / 0.814_302 - 1.0).abs() < 1e-5);
    assert!((curve.depth(through).to_um() - 75.0).abs() < 1e-9);
    let bulb = Source::Point { height_mm: 600.0, lobe: 0.0 };
    let at = |x| bulb.irradiance(Point { x, y: 0.0 }).unwrap();
    assert!((at(300.0) / at(0.0) / 0.715_542 - 1.0).abs() < 1e-5);
}
