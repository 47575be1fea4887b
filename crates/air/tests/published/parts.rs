//! Valves by ISO 6358, altitude, free air delivered.

use crate::{agree, percent, rows};
use air::compressor::Compressor;
use air::conductance::{Conductance, series};
use air::{Altitude, Site};
use quantity::{AbsolutePressure, Fraction, FreeFlow, GaugePressure, Power, Temperature};

fn bar(absolute: f64) -> AbsolutePressure {
    AbsolutePressure::bar(absolute).unwrap()
}

#[test]
fn a_valves_flow_is_that_of_iso_6358() {
    agree("ISO6358", 0.01, " %", &rows("ISO6358-"), |row| {
        let part = Conductance::dm3_per_s_bar(row.after("C="), row.after("b=")).unwrap();
        let (inlet, outlet) = (bar(row.after("p1=")), bar(row.after("p2=")));
        let flow = part.flow(inlet, outlet).unwrap();
        if outlet.to_bar() / inlet.to_bar() > part.critical_ratio() {
            let back = part.outlet(inlet, flow).unwrap();
            assert!((back.to_bar() - outlet.to_bar()).abs() < 1e-9, "{}: the inverse", row.id);
        }
        percent(flow.to_litres_anr_per_minute(), row.value())
    });
}

#[test]
fn parts_in_a_row_pass_what_their_balance_says() {
    agree("CHAIN", 0.1, " %", &rows("CHAIN-"), |row| {
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
    });
}

#[test]
fn the_atmosphere_thins_with_altitude() {
    agree("ALT", 0.05, " %", &rows("ALT-"), |row| {
        let altitude = Altitude::metres(row.after("h=")).unwrap();
        let site = Site::at_altitude(altitude, Temperature::celsius(20.0).unwrap(), Fraction::ratio(0.5).unwrap());
        percent(site.pressure.to_kpa(), row.value())
    });
}

#[test]
fn free_air_is_a_mass_of_its_site() {
    agree("FADANR", 0.1, " %", &rows("FADANR-"), |row| {
        let altitude = Altitude::metres(row.after("h=")).unwrap();
        let inlet = Temperature::celsius(row.after("inlet ")).unwrap();
        let site = Site::at_altitude(altitude, inlet, Fraction::ratio(0.0).unwrap());
        let compressor = Compressor {
            free_air: FreeFlow::litres_per_minute(100.0).unwrap(),
            cut_in: GaugePressure::bar(6.0).unwrap(),
            cut_out: GaugePressure::bar(8.0).unwrap(),
            duty_max: Fraction::ratio(0.6).unwrap(),
            power: Power::kilowatts(2.0).unwrap(),
        };
        percent(compressor.mass_rate(&site).to_litres_anr_per_minute() / 100.0, row.value())
    });
}
