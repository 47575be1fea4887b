//! Valves by ISO 6358, altitude, free air delivered, reference densities.

use crate::{Family, Row, family, percent};
use air::compressor::Compressor;
use air::conductance::{Conductance, series};
use air::moisture::VapourPressure;
use air::{Altitude, Site};
use quantity::{
    AbsolutePressure, Fraction, FreeFlow, GaugePressure, NORMAL_DENSITY, Power, STANDARD_CUBIC_FOOT_DENSITY,
    Temperature,
};

fn bar(absolute: f64) -> AbsolutePressure {
    AbsolutePressure::bar(absolute).unwrap()
}

fn valve(row: &Row) -> f64 {
    let part = Conductance::dm3_per_s_bar(row.after("C="), row.after("b=")).unwrap();
    let (inlet, outlet) = (bar(row.after("p1=")), bar(row.after("p2=")));
    let flow = part.flow(inlet, outlet).unwrap();
    if outlet.to_bar() / inlet.to_bar() > part.critical_ratio() {
        let back = part.outlet(inlet, flow).unwrap();
        assert!((back.to_bar() - outlet.to_bar()).abs() < 1e-9, "{}: the inverse", row.id);
    }
    percent(flow.to_litres_anr_per_minute(), row.value())
}

fn chain(row: &Row) -> f64 {
    let (pairs, pressures) = row.inputs.split_once("]; ").unwrap();
    let numbers: Vec<f64> = pairs
        .trim_start_matches("(C,b)=")
        .split(|c: char| !(c.is_ascii_digit() || c == '.'))
        .filter(|text| !text.is_empty())
        .map(|text| text.parse().unwrap())
        .collect();
    let parts: Vec<_> = numbers.chunks(2).map(|c| Conductance::dm3_per_s_bar(c[0], c[1]).unwrap()).collect();
    let (inlet, outlet) = pressures.trim_end_matches(" bar abs").split_once(" -> ").unwrap();
    let flow = series(&parts, bar(inlet.parse().unwrap()), bar(outlet.parse().unwrap())).unwrap();
    percent(flow.to_litres_anr_per_minute(), row.value())
}

fn site(row: &Row, inlet_c: f64) -> Site {
    let (inlet, dry) = (Temperature::celsius(inlet_c).unwrap(), Fraction::ratio(0.0).unwrap());
    Site::at_altitude(Altitude::metres(row.after("h=")).unwrap(), inlet, dry)
}

fn free_air(row: &Row) -> f64 {
    let compressor = Compressor {
        free_air: FreeFlow::litres_per_minute(100.0).unwrap(),
        cut_in: GaugePressure::bar(6.0).unwrap(),
        cut_out: GaugePressure::bar(8.0).unwrap(),
        duty_max: Fraction::ratio(0.6).unwrap(),
        power: Power::kilowatts(2.0).unwrap(),
    };
    let site = site(row, row.after("inlet "));
    percent(compressor.mass_rate(&site).to_litres_anr_per_minute() / 100.0, row.value())
}

/// The densities behind our units: kg/m³ by ideal gas at the state that the row names, and the one
/// that the unit itself is made of.
fn density(row: &Row) -> f64 {
    let ideal = |pascals: f64, kelvins: f64| pascals / (287.05 * kelvins);
    let (ours, unit) = match row.id.as_str() {
        "RHO-ISO1217_20C_100kPa_dry" => (ideal(1e5, 293.15), None),
        "RHO-DIN1343_0C_101325_dry" => (ideal(101_325.0, 273.15), Some(NORMAL_DENSITY)),
        "RHO-scfm_68F_14.5psia_0%" => (ideal(14.5 * 6_894.757, 293.15), None),
        "RHO-scfm_70F_14.7_dry" => (ideal(14.7 * 6_894.757, 294.261), Some(STANDARD_CUBIC_FOOT_DENSITY)),
        "RHO-ANR" => (moist_anr(), None),
        other => panic!("{other}: which state?"),
    };
    if let Some(unit) = unit {
        assert!(percent(unit, row.value()).abs() < 0.001, "{}: the unit's own density {unit}", row.id);
    }
    percent(ours, row.value())
}

/// 20 °C, 100 kPa, 65 %: dry air and vapour side by side, `R_w` = 461.5 J/(kg K).
fn moist_anr() -> f64 {
    let vapour = 0.65 * VapourPressure::saturated(Temperature::celsius(20.0).unwrap()).to_pascals();
    ((1e5 - vapour) / 287.042 + vapour / 461.5) / 293.15
}

pub(crate) fn families() -> Vec<Family> {
    vec![
        family("ISO6358-", 0.01, valve),
        family("CHAIN-", 0.1, chain),
        family("ALT-", 0.05, |row| percent(site(row, 20.0).pressure.to_kpa(), row.value())),
        family("FADANR-", 0.1, free_air),
        family("RHO-", 0.1, density),
    ]
}

#[test]
fn the_reference_density_of_pneumatics_is_that_of_its_standard_rounded() {
    // ISO 6358 prints 1.185; the moist air itself is 0.25 % lighter (air.md section 0).
    let off = percent(quantity::ANR_DENSITY, moist_anr());
    assert!((0.2..0.3).contains(&off), "{off} %");
}
