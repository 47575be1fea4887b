//! Water: saturation, condensate, dew points.

use crate::{Family, Row, each, family, percent};
use air::Site;
use air::damp::let_down;
use air::iso8573::{oil, particle_mass, particles, water_by_dew_point, water_by_liquid};
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

/// CoolProp's humid air; where nothing falls out, grams.
fn condensate_off(row: &Row) -> f64 {
    let site = site(row.after("inlet "), row.after("RH "));
    let flow = FreeFlow::litres_per_minute(row.after("FAD ")).unwrap();
    let water = condensate(&site, flow, bar(row.before(" bar g")), celsius(row.after("cooled to "))).unwrap();
    let grams = water.to_kg_per_hour() * 1000.0;
    if row.value() == 0.0 { grams } else { percent(grams, row.value()) }
}

/// Saturated at 20 °C before the regulator; the relative humidity behind it from its dew point there.
fn behind_the_regulator(row: &Row) -> f64 {
    let (from, to) = (row.id.split('-').nth(1).unwrap(), row.id.split('-').nth(2).unwrap());
    let dew = dew_point_at(celsius(20.0), absolute(from.parse().unwrap()), absolute(to.parse().unwrap())).unwrap();
    let saturated = |at| VapourPressure::saturated(at).to_pascals();
    percent(saturated(dew) / saturated(celsius(20.0)), row.value())
}

/// CoolProp's air let down without work.
fn joule_thomson(row: &Row) -> f64 {
    let (from, to) = row.inputs.split_once(" bar abs").unwrap().0.split_once("->").unwrap();
    let pressure = |bar: &str| AbsolutePressure::bar(bar.parse().unwrap()).unwrap();
    let after = let_down(celsius(20.0), pressure(from), pressure(to));
    after.to_celsius() - 20.0 - row.value()
}

/// The limits of the standard's classes, and that a value on either side lands in the right one.
fn purity_class(row: &Row) -> f64 {
    let class = row.inputs.trim_start_matches("class ");
    let above = |value: f64| value * (1.0 + 1e-6) + 1e-6;
    match row.id.as_bytes()[8] {
        b'W' => {
            let numbers = &row.expected;
            if row.quantity.contains("dew point") {
                let limit = numbers[0];
                assert_eq!(water_by_dew_point(celsius(limit)).unwrap().to_string(), class, "{}", row.id);
                assert_ne!(water_by_dew_point(celsius(limit + 0.01)).map(|c| c.to_string()), Some(class.to_owned()));
                return 0.0;
            }
            let most = numbers[numbers.len() - 1].abs();
            if class == "X" {
                assert_eq!(water_by_liquid(above(most)).to_string(), class, "{}", row.id);
            } else {
                assert_eq!(water_by_liquid(most).to_string(), class, "{}", row.id);
            }
            assert_ne!(water_by_liquid(above(most)), water_by_liquid(most), "{}", row.id);
        }
        b'O' => {
            assert_eq!(oil(row.value()).to_string(), class, "{}", row.id);
            assert_ne!(oil(above(row.value())).to_string(), class, "{}", row.id);
        }
        b'P' if row.written.contains('/') => particle_class(row, class),
        _ => {
            let most = row.expected[row.expected.len() - 1].abs();
            let at_most = if class == "X" { above(most) } else { most };
            assert_eq!(particle_mass(at_most).to_string(), class, "{}", row.id);
            assert_ne!(particle_mass(above(most)), particle_mass(most), "{}", row.id);
        }
    }
    0.0
}

fn particle_class(row: &Row, class: &str) {
    let counts: Vec<Option<f64>> = row.written.split('/').map(|text| text.parse().ok()).collect();
    let many = [1e12, 1e12, 1e12];
    let filled: Vec<f64> = counts.iter().zip(many).map(|(count, many)| count.unwrap_or(many)).collect();
    let counts = [filled[0], filled[1], filled[2]];
    assert_eq!(particles(counts).unwrap().to_string(), class, "{}", row.id);
    let more = [counts[0], counts[1], counts[2] + 1.0];
    assert_ne!(particles(more).map(|c| c.to_string()), Some(class.to_owned()), "{}", row.id);
}

pub(crate) fn families() -> Vec<Family> {
    vec![
        family("PSAT-", 0.1, |row| {
            percent(VapourPressure::saturated(celsius(row.after("T="))).to_pascals(), row.value())
        }),
        family("COND-", 2.0, condensate_off),
        family("PDPIN-", 0.5, |row| {
            let site = site(row.after("inlet "), row.after("RH "));
            pressure_dew_point(&site, bar(row.before(" bar g"))).unwrap().to_celsius() - row.value()
        }),
        family("PDP-", 0.6, |row| {
            let dew = dew_point_at(celsius(row.after("PDP ")), absolute(row.before(" bar g")), absolute(0.0)).unwrap();
            dew.to_celsius() - row.value()
        }),
        family("RHREG-", 2.0, behind_the_regulator),
        family("JT-", 0.1, joule_thomson),
        // Two reprints of ISO 8573-1:2010 that agree.
        each("ISO8573-", purity_class),
    ]
}
