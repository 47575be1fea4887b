//! Worksheet examples for the receiver, leaks.

use crate::{Family, Row, family, percent};
use air::Discharge;
use air::leak::{Reading, decay};
use air::receiver::{Balance, BlowDown, Cycle, PolytropicExponent, free_air, time_between, volume_for};
use quantity::{AbsolutePressure, Diameter, FreeFlow, GaugePressure, MassRate, Temperature, Time, Volume};

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

/// Esposito, *Fluid Power with Applications*, Ex. 13-7; it takes 7.48 gal to the cubic foot.
fn gallons(supply: f64) -> f64 {
    let time = Time::minutes(6.0).unwrap();
    volume_for(time, psig(100.0), psig(80.0), cfm(supply, 20.0)).unwrap().to_cubic_feet() * 7.48
}

/// A published worksheet.
fn cubic_feet() -> f64 {
    let time = Time::minutes(5.0).unwrap();
    volume_for(time, psig(100.0), psig(60.0), cfm(250.0, 350.0)).unwrap().to_cubic_feet()
}

/// Esposito, Ex. 13-6; the book's Rankine scale has its zero at -460 °F, ours at -459.67.
fn free_cfm() -> f64 {
    let needed = free_air(
        FreeFlow::cfm(30.0).unwrap(),
        AbsolutePressure::psi(125.0 + 14.7).unwrap(),
        Temperature::fahrenheit(90.0).unwrap(),
        AbsolutePressure::psi(14.7).unwrap(),
        Temperature::fahrenheit(70.0).unwrap(),
    );
    needed.unwrap().to_cfm()
}

fn tank(row: &Row) -> f64 {
    let volume = Volume::litres(row.after("V=")).unwrap();
    let (from, to) = row.inputs.split("; ").nth(1).unwrap().trim_end_matches(" bar g").split_once("->").unwrap();
    let balance = litres(row.after("supply "), row.after("demand "));
    let time = time_between(volume, bar(from.parse().unwrap()), bar(to.parse().unwrap()), balance).unwrap();
    assert!(time_between(volume, bar(to.parse().unwrap()), bar(from.parse().unwrap()), balance).is_err());
    percent(time.to_seconds(), row.value())
}

/// US Navy MO-209 Table 5-4: seven losses at mean pressures, the straight line through them at 96 psig.
fn navy_leak(row: &Row) -> f64 {
    let list = |key: &str| -> Vec<f64> {
        let at = row.inputs.find(key).unwrap() + key.len();
        let end =
            row.inputs[at..].find(|c: char| c.is_alphabetic() || c == ';').map_or(row.inputs.len(), |end| at + end);
        row.inputs[at..end].split(',').map(|text| text.trim().parse().unwrap()).collect()
    };
    let pairs = list("mean psig ").into_iter().zip(list("loss "));
    let losses: Vec<_> = pairs.map(|(gauge, scfm)| (psig(gauge), MassRate::scfm(scfm).unwrap())).collect();
    assert_eq!(losses.len(), 7);
    percent(air::leak::fit(&losses).unwrap().at(psig(96.0)).to_scfm(), row.value())
}

pub(crate) fn families() -> Vec<Family> {
    vec![
        family("RCV-1", 0.01, |row| percent(cubic_feet(), row.value())),
        family("RCV-2", 0.5, |row| gallons(0.0) - row.value()),
        family("RCV-3", 0.5, |row| gallons(5.0) - row.value()),
        family("FAD-1", 0.1, |row| percent(free_cfm(), row.value())),
        family("TANK-", 0.01, tank),
        family("BLOW-", 0.05, |row| {
            let time = blow_down(row.after("n=")).time(at(8.0), at(4.0), at(0.0)).unwrap();
            percent(time.to_seconds(), row.value())
        }),
        family("BLOWT-", 0.05, |row| {
            blow_down(row.after("n=")).gas_temperature(at(8.0), at(4.0)).unwrap().to_celsius() - row.value()
        }),
        family("LEAK-NAVY", 1.0, navy_leak),
    ]
}

fn at(gauge: f64) -> AbsolutePressure {
    AbsolutePressure::from_gauge(bar(gauge), AbsolutePressure::pascals(101_325.0).unwrap()).unwrap()
}

#[test]
fn a_receiver_too_empty_to_choke_has_no_blow_down_formula() {
    assert!(blow_down(1.0).time(at(8.0), at(0.5), at(0.0)).is_err(), "not choked below 0.9 bar gauge");
}

#[test]
fn a_decay_test_reads_intervals_not_the_clock() {
    // MO-209 Table 5-4: a system of 629 ft³ loses 10 psi from 90 psig at 40 scfm in 10.7 minutes
    // (air.md section 2 names the volume that every interval gives).
    let reading = |minutes: f64, gauge: f64| Reading { interval: Time::minutes(minutes).unwrap(), gauge: psig(gauge) };
    let volume = Volume::cubic_feet(629.0).unwrap();
    let minutes = 629.0 * 10.0 / 14.7 / 40.0;
    let loss = decay(volume, psig(90.0), &[reading(minutes, 80.0)]).unwrap();
    // Their standard cubic foot is at 70 °F, our tank at 20 °C: 0.4 % more mass.
    assert!(percent(loss[0].1.to_scfm(), 40.0).abs() < 0.5 && loss[0].0 == psig(85.0));
    assert!(decay(volume, psig(90.0), &[reading(0.0, 80.0)]).is_err());
    assert!(decay(volume, psig(90.0), &[reading(5.0, 95.0)]).is_err());
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
