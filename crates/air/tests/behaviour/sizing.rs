//! Sizes that hold, the next smaller that does not, and a map that agrees with runs.

use crate::network::{passes, share, site, usual};
use crate::{bar, seconds};
use air::course::{Pattern, RunOptions};
use air::map::Holds;
use air::size::{Allows, SizeError, Sizes, Work, size};
use air::{Conductance, Discharge, Loading, MachineKind, Part, PartKind};
use proptest::prelude::*;
use quantity::{Diameter, FreeFlow, Length, Quantity, Volume};

fn work() -> Work {
    Work {
        site: site(),
        bore: Diameter::mm(2.5).unwrap(),
        discharge: Discharge::new(0.9).unwrap(),
        loading: Loading::NONE,
        pressure: bar(3.5),
        stations: 1,
        share: share(0.5),
        growth: 1.2,
        hose_length: Length::metres(10.0).unwrap(),
        loss_max: bar(0.5),
        kind: MachineKind::TwoStage,
        duty: share(0.7),
        cut_in: bar(7.0),
        cut_out: bar(9.0),
    }
}

struct Lists {
    free_air: Vec<FreeFlow>,
    receivers: Vec<Volume>,
    hoses: Vec<Diameter>,
    regulators: Vec<Conductance>,
}

fn lists() -> Lists {
    let flow = |value: &f64| FreeFlow::litres_per_minute(*value).unwrap();
    Lists {
        free_air: [50.0, 100.0, 150.0, 200.0, 250.0, 300.0, 400.0, 500.0, 700.0, 1000.0, 1500.0, 3000.0]
            .iter()
            .map(flow)
            .collect(),
        receivers: [24.0, 50.0, 100.0, 150.0, 200.0, 270.0, 500.0, 1000.0].map(|l| Volume::litres(l).unwrap()).to_vec(),
        hoses: [6.0, 8.0, 10.0, 13.0, 16.0, 19.0, 25.0].map(|mm| Diameter::mm(mm).unwrap()).to_vec(),
        regulators: [3.0, 6.0, 12.0, 25.0, 50.0].map(passes).to_vec(),
    }
}

impl Lists {
    fn sizes(&self) -> Sizes<'_> {
        Sizes {
            free_air: &self.free_air,
            receivers: &self.receivers,
            hoses: &self.hoses,
            regulators: &self.regulators,
            dryers: &self.free_air,
            separators: &self.free_air,
        }
    }
}

#[test]
fn the_sizes_chosen_hold_and_the_next_smaller_do_not() {
    let (work, lists) = (work(), lists());
    let sizing = size(&work, &lists.sizes()).unwrap();
    println!("{:?}\n{:?}\n{:?}\n{:?}", sizing.free_air, sizing.receiver, sizing.hose, sizing.regulator);
    // By hand: demand at 3.5 bar gauge of 2.5 mm x sqrt(1.2), Cd 0.9.
    let demand = 0.040415 * 0.9 * std::f64::consts::FRAC_PI_4 * 6.25e-6 * 1.2 * 451_325.0 / 293.15f64.sqrt();
    assert!((sizing.demand.to_base() / demand - 1.0).abs() < 1e-4);
    // Free air needed: demand as l/min ANR over 1.01325, times 0.5/0.7.
    let needed = demand / (1.185e-3 / 60.0) / 1.01325 * 0.5 / 0.7;
    let chosen = sizing.free_air.size.to_litres_per_minute();
    let smaller =
        lists.free_air.iter().map(|size| size.to_litres_per_minute()).filter(|&size| size < chosen).fold(0.0, f64::max);
    assert!(smaller < needed && needed <= chosen, "{smaller} {needed} {chosen}");
    assert!((sizing.free_air.margin - (chosen / needed - 1.0)).abs() < 1e-4);
    let nozzle = "nozzle 1";
    let half = air::Valve { open: true, for_: seconds(300.0) };
    let rest = air::Valve { open: false, for_: seconds(300.0) };
    let hour = |volume: Volume| {
        let change = |part: &mut Part| {
            if let PartKind::Receiver(vessel) = &mut part.kind {
                vessel.volume = volume;
            }
        };
        let network = sizing.network.changed(change).unwrap();
        network.run(&[Pattern::repeating(nozzle, &[half, rest])], seconds(3600.0), &RunOptions::default()).unwrap()
    };
    let held = hour(sizing.receiver.size);
    assert!(held.first_loss().is_none());
    assert!((held.samples[0].stations[0].unwrap().nozzle.to_bar() - 3.5).abs() < 0.01, "the nozzle has what was asked");
    let least = sizing.receiver.size.to_base() / (1.0 + sizing.receiver.margin);
    assert!(hour(Volume::cubic_metres(0.97 * least).unwrap()).first_loss().is_some());
    assert!(hour(Volume::cubic_metres(1.02 * least).unwrap()).first_loss().is_none());
    let Some(next) = sizing.free_air.next else { panic!("a larger one is on the list") };
    let Allows::Blasting { share, bore } = next.allows else { panic!("{next:?}") };
    let times = next.size.to_litres_per_minute() / needed;
    assert!(
        (share.to_ratio() - (0.5 * times).min(1.0)).abs() < 1e-4 && (bore.to_mm() - 2.5 * times.sqrt()).abs() < 1e-3
    );
    assert!(sizing.hose.margin >= 0.0 && sizing.dryer.size >= sizing.free_air.size);
}

#[test]
fn work_that_no_size_holds_is_refused_with_the_list_named() {
    let lists = lists();
    let refused = |work: Work| size(&work, &lists.sizes()).unwrap_err();
    let great = refused(Work { bore: Diameter::mm(9.0).unwrap(), ..work() });
    assert!(matches!(great, SizeError::TooSmall { what: "compressor" | "regulator" }), "{great}");
    assert!(matches!(refused(Work { growth: 0.5, ..work() }), SizeError::Work { what: "growth", .. }));
    assert!(matches!(refused(Work { growth: f64::NAN, ..work() }), SizeError::Work { .. }));
    assert!(matches!(refused(Work { stations: 0, ..work() }), SizeError::Work { .. }));
    assert!(matches!(refused(Work { cut_in: bar(3.0), ..work() }), SizeError::CutInTooLow { .. }));
    let empty = Sizes { hoses: &[], ..lists.sizes() };
    assert!(matches!(size(&work(), &empty).unwrap_err(), SizeError::TooSmall { what: "hose bore" }));
}

#[test]
fn a_map_says_what_a_run_says() {
    let network = usual(&[(4.0, 2.5), (4.0, 2.0)]).network();
    let pressures: Vec<_> = [1.0, 3.0, 5.0, 7.0, 9.0].map(bar).to_vec();
    let bores: Vec<_> = [1.0, 2.0, 3.0, 4.0, 5.0].map(|mm| Diameter::mm(mm).unwrap()).to_vec();
    let map = network.map("nozzle 1", &pressures, &bores, seconds(3600.0)).unwrap();
    for (row, &pressure) in pressures.iter().enumerate() {
        for (column, &bore) in bores.iter().enumerate() {
            let cell = map.cell(row, column).unwrap();
            let changed = network.changed(|part| match (&mut part.kind, part.name.as_str()) {
                (PartKind::Regulator(regulator), "regulator 1") => regulator.set = pressure,
                (PartKind::Nozzle(tip), "nozzle 1") => tip.bore = bore,
                _ => {}
            });
            let Ok(changed) = changed else {
                assert_eq!(cell.holds, Holds::Never, "set above the receiver");
                continue;
            };
            let options = RunOptions { until_lost: true, ..RunOptions::default() };
            let course = changed.run(&[Pattern::held_open("nozzle 1")], seconds(3600.0), &options).unwrap();
            match (cell.holds, course.first_loss()) {
                (Holds::Throughout, None) => {}
                (Holds::For(a), Some(b)) => assert!((a.to_seconds() - b.to_seconds()).abs() < 1e-6),
                (Holds::Never, Some(at)) => assert_eq!(at.to_seconds(), 0.0),
                other => panic!("{other:?} at {pressure:?}, {bore:?}"),
            }
        }
    }
    assert_eq!(map.cell(0, 0).unwrap().holds, Holds::Throughout);
    assert!(map.cell(0, 5).is_none() && map.cell(5, 0).is_none());
    assert!(network.map("nozzle 9", &pressures, &bores, seconds(60.0)).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn more_work_never_needs_less(bore in 1.0..3.0, more in 1.0..1.5, minutes in 1.0..6.0) {
        let lists = lists();
        let of = |bore: f64| {
            let work = Work { bore: Diameter::mm(bore).unwrap(), share: share(minutes / 10.0), ..work() };
            size(&work, &lists.sizes())
        };
        if let (Ok(small), Ok(large)) = (of(bore), of(bore * more)) {
            prop_assert!(large.free_air.size >= small.free_air.size && large.hose.size >= small.hose.size);
            prop_assert!(large.free_air.margin >= 0.0 && large.receiver.margin >= -0.011 && large.hose.margin >= 0.0);
        }
    }
}
