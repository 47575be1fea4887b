//! Worksheet examples for the receiver.

use crate::{agree, percent, rows, the};
use air::Discharge;
use air::receiver::{Balance, BlowDown, Cycle, PolytropicExponent, free_air, time_between, volume_for};
use quantity::{AbsolutePressure, Diameter, FreeFlow, GaugePressure, Temperature, Time, Volume};

fn psig(value: f64) -> GaugePressure {
    GaugePressure::psi(value).unwrap()
}

fn bar(value: f64) -> GaugePressure {
    GaugePressure::bar(value).unwrap()
}

fn cfm(supply: f64, demand: f64) -> Balance {
    let flow = |value| FreeFlow::cfm(value).unwrap();
    Balance { supply: flow(supply), demand: flow(demand), reference: AbsolutePressure::psi(14.7).unwrap() }
}

fn litres(supply: f64, demand: f64) -> Balance {
    let flow = |value| FreeFlow::litres_per_minute(value).unwrap();
    Balance { supply: flow(supply), demand: flow(demand), reference: AbsolutePressure::bar(1.0).unwrap() }
}

#[test]
fn receiver_volumes_are_those_of_two_books() {
    let minutes = |value| Time::minutes(value).unwrap();
    let worksheet = volume_for(minutes(5.0), psig(100.0), psig(60.0), cfm(250.0, 350.0)).unwrap();
    let off = percent(worksheet.to_cubic_feet(), the("RCV-1").value());
    assert!(off.abs() < 0.01, "RCV-1 {off} %");
    // Esposito, Fluid Power with Applications, Ex. 13-7; it takes 7.48 gal to the cubic foot.
    for (id, supply) in [("RCV-2", 0.0), ("RCV-3", 5.0)] {
        let volume = volume_for(minutes(6.0), psig(100.0), psig(80.0), cfm(supply, 20.0)).unwrap();
        let gallons = volume.to_cubic_feet() * 7.48;
        println!("{id}: {gallons:.2} gal, {} in the book", the(id).value());
        assert!((gallons - the(id).value()).abs() < 0.5);
    }
}

#[test]
fn free_air_is_that_of_the_book() {
    // Esposito, Ex. 13-6; the book's Rankine scale has its zero at -460 °F, ours at -459.67.
    let needed = free_air(
        FreeFlow::cfm(30.0).unwrap(),
        AbsolutePressure::psi(125.0 + 14.7).unwrap(),
        Temperature::fahrenheit(90.0).unwrap(),
        AbsolutePressure::psi(14.7).unwrap(),
        Temperature::fahrenheit(70.0).unwrap(),
    );
    let off = percent(needed.unwrap().to_cfm(), the("FAD-1").value());
    println!("FAD-1: {off:+.4} %");
    assert!(off.abs() < 0.1);
}

#[test]
fn fill_and_draw_down_times_are_the_closed_forms() {
    agree("TANK", 0.01, " %", &rows("TANK-"), |row| {
        let volume = Volume::litres(row.after("V=")).unwrap();
        let (from, to) = row.inputs.split("; ").nth(1).unwrap().trim_end_matches(" bar g").split_once("->").unwrap();
        let balance = litres(row.after("supply "), row.after("demand "));
        let time = time_between(volume, bar(from.parse().unwrap()), bar(to.parse().unwrap()), balance).unwrap();
        assert!(time_between(volume, bar(to.parse().unwrap()), bar(from.parse().unwrap()), balance).is_err());
        percent(time.to_seconds(), row.value())
    });
}

fn blow_down(n: f64) -> BlowDown {
    BlowDown {
        volume: Volume::litres(100.0).unwrap(),
        bore: Diameter::mm(3.2).unwrap(),
        discharge: Discharge::new(0.95).unwrap(),
        temperature: Temperature::kelvins(293.15).unwrap(),
        polytropic: PolytropicExponent::new(n).unwrap(),
    }
}

#[test]
fn a_blow_down_takes_as_long_and_cools_as_far_as_the_closed_form_says() {
    let site = AbsolutePressure::pascals(101_325.0).unwrap();
    let at = |gauge| AbsolutePressure::from_gauge(bar(gauge), site).unwrap();
    agree("BLOW", 0.05, " %", &rows("BLOW-"), |row| {
        percent(blow_down(row.after("n=")).time(at(8.0), at(4.0), site).unwrap().to_seconds(), row.value())
    });
    agree("BLOWT", 0.05, " K", &rows("BLOWT-"), |row| {
        blow_down(row.after("n=")).gas_temperature(at(8.0), at(4.0)).unwrap().to_celsius() - row.value()
    });
    assert!(blow_down(1.0).time(at(8.0), at(0.5), site).is_err(), "not choked below 0.9 bar gauge");
}

#[test]
fn a_compressor_cycles_as_system_c_does() {
    // air.md section 6, C: off 59.63 s, on 249.77 s, duty 0.807. Its flows are at 1.185 kg/m³, which
    // is 99 716 Pa at 20 °C.
    let reference = AbsolutePressure::pascals(1.185 * 287.05 * 293.15).unwrap();
    let balance = Balance { reference, ..litres(60.0, 48.437) };
    let cycle = Cycle::of(Volume::litres(24.0).unwrap(), bar(6.0), bar(8.0), balance).unwrap();
    assert!((cycle.off.to_seconds() - 59.63).abs() < 0.01 && (cycle.on.to_seconds() - 249.77).abs() < 0.05);
    assert!((cycle.duty.to_ratio() - 0.807).abs() < 5e-4);
    assert!((cycle.starts_per_hour() - 3600.0 / 309.4).abs() < 0.01);
}
