//! The receiver against the air crate's own run, and its balance of mass.

use super::*;
use crate::queue::{Job, Place, Visit, run};
use air::course::{Pattern, RunOptions};
use air::machine::{Delivery, Duty, MachineKind};
use air::part::{Part, Pot, Tip, Vessel};
use air::{Conductance, Discharge, Droop, Fittings, Hose, Loading, Machine, Regulator, Site};
use quantity::{AbsolutePressure, Diameter, FreeFlow, Length, Temperature, Time};

fn bar(value: f64) -> GaugePressure {
    GaugePressure::bar(value).unwrap()
}

/// One compressor of 180 l/min, 6 to 8 bar, 200 l, and alike stations of 2 mm at 3 bar.
fn network(stations: usize) -> Network {
    let site = Site {
        pressure: AbsolutePressure::pascals(101_325.0).unwrap(),
        temperature: Temperature::celsius(20.0).unwrap(),
        humidity: Fraction::ratio(0.5).unwrap(),
    };
    let machine = Machine {
        kind: MachineKind::SingleStage,
        delivery: Delivery::Constant(FreeFlow::litres_per_minute(180.0).unwrap()),
        cut_in: bar(6.0),
        cut_out: bar(8.0),
        duty: Duty::reported(Fraction::ratio(0.6).unwrap()),
        power: Power::kilowatts(2.2).unwrap(),
        switched_on: true,
    };
    let names: Vec<String> = (1..=stations).map(|n| format!("regulator {n}")).collect();
    let vessel = PartKind::Receiver(Vessel::of(Volume::litres(200.0).unwrap()));
    let mut parts = vec![
        Part::new("compressor", "receiver", PartKind::Compressor(machine)),
        Part { name: "receiver".to_owned(), feeds: names, kind: vessel },
    ];
    let passes = |c| Conductance::dm3_per_s_bar(c, 0.3).unwrap();
    for n in 1..=stations {
        let name = |word: &str| format!("{word} {n}");
        let hose = Hose {
            bore: Diameter::mm(10.0).unwrap(),
            length: Length::metres(8.0).unwrap(),
            roughness: Length::mm(0.0015).unwrap(),
            fittings: Fittings::new(1.0).unwrap(),
        };
        let regulator = Regulator { set: bar(3.0), droop: Droop::NONE, valve: passes(15.0) };
        let tip = Tip::new(Diameter::mm(2.0).unwrap(), Discharge::new(0.9).unwrap());
        let pot = Pot { passes: passes(30.0), loading: Loading::new(0.8).unwrap() };
        parts.push(Part::new(&name("regulator"), &name("hose"), PartKind::Regulator(regulator)));
        parts.push(Part::new(&name("hose"), &name("pot"), PartKind::Hose(hose)));
        parts.push(Part::new(&name("pot"), &name("nozzle"), PartKind::Pot(pot)));
        parts.push(Part::last(&name("nozzle"), PartKind::Nozzle(tip)));
    }
    Network::new(site, parts).unwrap()
}

/// A supply that two nozzles outrun.
pub(crate) fn small() -> Supply {
    Supply::of(&[network(1), network(2), network(3)]).unwrap()
}

/// Jobs that begin to blast at once and without end in sight.
fn blasting(jobs: usize, blast_s: f64) -> Vec<Job> {
    let visit = Visit { place: 0, hands_s: 0.0, blast_s, after_s: 0.0 };
    vec![Job { arrives_s: 0.0, visits: vec![visit] }; jobs]
}

#[test]
fn a_blast_loses_its_pressure_when_the_air_crate_says_so() {
    for nozzles in [2, 3] {
        let network = network(nozzles);
        let open: Vec<Pattern> = (1..=nozzles).map(|n| Pattern::held_open(&format!("nozzle {n}"))).collect();
        let until = RunOptions { until_lost: true, ..RunOptions::default() };
        let lost = network.run(&open, Time::hours(2.0).unwrap(), &until).unwrap().first_loss().unwrap().to_seconds();
        // So long a blast needs no rest; a little longer needs one.
        let supply = small();
        let rests = |blast_s: f64| {
            let place = [Place { servers: nozzles, holds: 1 }];
            run(&place, &blasting(nozzles, blast_s), Some(&supply)).unwrap().air.unwrap().rests
        };
        println!("{nozzles} nozzles hold for {lost:.1} s");
        assert_eq!((rests(0.97 * lost), rests(1.03 * lost)), (0, 1), "{nozzles} nozzles hold {lost} s");
    }
}

#[test]
fn the_compressor_runs_as_long_as_in_the_air_crate() {
    // One nozzle on and off: 90 s of blast, 60 s of hands, twelve times.
    let network = network(1);
    let valves =
        [air::Valve { open: false, for_: Time::clamped(60.0) }, air::Valve { open: true, for_: Time::clamped(90.0) }];
    let pattern = Pattern::repeating("nozzle 1", &valves);
    let course = network.run(&[pattern], Time::clamped(12.0 * 150.0), &RunOptions::default()).unwrap();
    let visit = Visit { place: 0, hands_s: 60.0, blast_s: 90.0, after_s: 0.0 };
    let jobs = [Job { arrives_s: 0.0, visits: vec![visit; 12] }];
    let day = run(&[Place { servers: 1, holds: 1 }], &jobs, Some(&small())).unwrap();
    let (ours, theirs) = (day.air.unwrap().ran_s[0], course.machines[0].ran.to_seconds());
    println!("compressor {ours:.1} s, air crate {theirs:.1} s");
    assert!(theirs > 100.0 && (ours / theirs - 1.0).abs() < 0.02, "{ours} against {theirs}");
}

#[test]
fn air_is_neither_made_nor_lost() {
    let supply = small();
    let day = run(&[Place { servers: 3, holds: 1 }], &blasting(9, 200.0), Some(&supply)).unwrap();
    let air = day.air.unwrap();
    let kg_per_pa = supply.volume.to_base() / (GAS_CONSTANT_AIR * 293.15);
    let given = supply.pumps[0].rate.to_base() * air.ran_s[0];
    let kept = (air.last_pa - supply.pumps[0].cut_out.to_base()) * kg_per_pa;
    assert!((given - air.used_kg - kept).abs() < 1e-6 * given, "{given} given, {} used, {kept} kept", air.used_kg);
    assert!(air.rests > 1 && air.rested_s > 0.0);
    let floor = supply.levels[2].holds_from.to_base();
    assert!(air.lowest_pa >= floor - 2.0 * NEAR_PA, "{} below {floor}", air.lowest_pa);
}

#[test]
fn a_line_that_cannot_hold_one_nozzle_is_refused_with_its_numbers() {
    let high = network(1).changed(|part| {
        if let PartKind::Regulator(regulator) = &mut part.kind {
            regulator.set = bar(7.0);
        }
    });
    let fault = Supply::of(&[high.unwrap()]).unwrap_err();
    assert!(matches!(fault, SupplyError::NeverHolds { .. }), "{fault}");
    let off = network(1).changed(|part| {
        if let PartKind::Compressor(machine) = &mut part.kind {
            machine.switched_on = false;
        }
    });
    if let Ok(off) = off {
        assert_eq!(Supply::of(&[off]), Err(SupplyError::NoCompressor));
    }
}
