//! Water: saturation, condensate, dew points.

use crate::{Row, agree, percent, rows};
use air::Site;
use air::moisture::{VapourPressure, condensate, dew_point_at, pressure_dew_point};
use quantity::{AbsolutePressure, Fraction, FreeFlow, GaugePressure, Temperature};

fn celsius(value: f64) -> Temperature {
    Temperature::celsius(value).unwrap()
}

fn bar(value: f64) -> GaugePressure {
    GaugePressure::bar(value).unwrap()
}

fn site(inlet_c: f64, humidity: f64) -> Site {
    let pressure = AbsolutePressure::pascals(101_325.0).unwrap();
    Site { pressure, temperature: celsius(inlet_c), humidity: Fraction::ratio(humidity).unwrap() }
}

fn absolute(gauge: f64) -> AbsolutePressure {
    AbsolutePressure::from_gauge(bar(gauge), site(20.0, 0.0).pressure).unwrap()
}

#[test]
fn saturation_is_that_of_iapws_95() {
    agree("PSAT", 0.1, " %", &rows("PSAT-"), |row| {
        percent(VapourPressure::saturated(celsius(row.after("T="))).to_pascals(), row.value())
    });
}

fn condensate_off(row: &Row) -> f64 {
    let site = site(row.after("inlet "), row.after("RH "));
    let flow = FreeFlow::litres_per_minute(row.after("FAD ")).unwrap();
    let water = condensate(&site, flow, bar(row.before(" bar g")), celsius(row.after("cooled to "))).unwrap();
    let grams = water.to_kg_per_hour() * 1000.0;
    if row.value() == 0.0 { grams } else { percent(grams, row.value()) }
}

#[test]
fn condensate_is_within_two_percent_of_real_moist_air() {
    agree("COND", 2.0, " %", &rows("COND-"), condensate_off);
}

#[test]
fn undried_air_has_the_dew_point_of_its_compressed_vapour() {
    agree("PDPIN", 0.5, " K", &rows("PDPIN-"), |row| {
        let site = site(row.after("inlet "), row.after("RH "));
        pressure_dew_point(&site, bar(row.before(" bar g"))).unwrap().to_celsius() - row.value()
    });
}

#[test]
fn air_let_down_from_its_dew_point_frosts_where_real_air_does() {
    agree("PDP", 0.6, " K", &rows("PDP-"), |row| {
        let dew = dew_point_at(celsius(row.after("PDP ")), absolute(row.before(" bar g")), absolute(0.0)).unwrap();
        dew.to_celsius() - row.value()
    });
}

#[test]
fn air_behind_the_regulator_is_drier_by_the_pressures() {
    // Saturated at 20 °C before it; the relative humidity behind it from its dew point there.
    agree("RHREG", 2.0, " %", &rows("RHREG-"), |row| {
        let (from, to) = (row.id.split('-').nth(1).unwrap(), row.id.split('-').nth(2).unwrap());
        let dew = dew_point_at(celsius(20.0), absolute(from.parse().unwrap()), absolute(to.parse().unwrap())).unwrap();
        let humidity =
            VapourPressure::saturated(dew).to_pascals() / VapourPressure::saturated(celsius(20.0)).to_pascals();
        percent(humidity, row.value())
    });
}
