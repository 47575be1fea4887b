//! The typical equipment of the tables makes lines that run, and its plates pass our own check.

use crate::network::{litres, share, site};
use crate::{bar, seconds};
use air::course::{Pattern, RunOptions};
use air::machine::{Delivery, Duty, StatedFlow, check_plate};
use air::size::{Sizes, Work, size};
use air::{Conductance, Discharge, Droop, Loading, Machine, MachineKind, Network, Part, PartKind, Regulator};
use quantity::{Diameter, Length, Quantity};
use reference::{CompressorKind, TypicalCompressor, tables};

fn kind(of: CompressorKind) -> MachineKind {
    match of {
        CompressorKind::Diaphragm => MachineKind::Diaphragm,
        CompressorKind::SmallPiston => MachineKind::SmallPiston,
        CompressorKind::SingleStage => MachineKind::SingleStage,
        CompressorKind::TwoStage => MachineKind::TwoStage,
        CompressorKind::Screw => MachineKind::Screw,
    }
}

fn machine(typical: &TypicalCompressor) -> Machine {
    Machine {
        kind: kind(typical.kind),
        delivery: Delivery::Constant(typical.free_air.value.mid()),
        cut_in: typical.cut_in.value,
        cut_out: typical.cut_out.value,
        duty: Duty::kept(typical.duty.value.mid()),
        power: typical.power.value.mid(),
        switched_on: true,
    }
}

#[test]
fn every_typical_compressor_has_a_plausible_plate() {
    for typical in &tables().equipment.compressors {
        let (free_air, power) = (typical.free_air.value.mid(), typical.power.value.mid());
        let check = check_plate(free_air, power, typical.cut_out.value, &site());
        println!(
            "{}: {:.1} kW/(m³/min), share {:.2}",
            typical.id, check.specific_kw_per_m3_min, check.isentropic_share
        );
        assert_eq!(check.stated, StatedFlow::Plausible, "{}: {check:?}", typical.id);
    }
}

#[test]
fn every_typical_compressor_runs_a_pencil_nozzle_on_its_receiver() {
    let regulator = tables().equipment.regulator("regulator_quarter").unwrap();
    let valve = Conductance::dm3_per_s_bar(regulator.conductance_dm3_s_bar.value.mid(), regulator.critical_ratio.value);
    let droop = Droop::bar_per_litre_per_minute(regulator.droop_bar_per_100_l_min.value / 100.0);
    let regulator = Regulator { set: bar(2.0), droop: droop.unwrap(), valve: valve.unwrap() };
    for typical in &tables().equipment.compressors {
        let receiver = typical.receiver.value.mid().to_litres();
        let parts = vec![
            Part::new("compressor", "receiver", PartKind::Compressor(machine(typical))),
            Part::new("receiver", "regulator", PartKind::Receiver(litres(receiver))),
            Part::new("regulator", "nozzle", PartKind::Regulator(regulator)),
            Part::last("nozzle", PartKind::Nozzle(crate::network::tip(0.6))),
        ];
        let network = Network::new(site(), parts).unwrap();
        let course = network.run(&[Pattern::held_open("nozzle")], seconds(1800.0), &RunOptions::default()).unwrap();
        assert!(course.balance.residual.abs() < 1e-9 && course.stations[0].held.to_seconds() > 10.0, "{}", typical.id);
    }
}

#[test]
fn the_series_of_sizes_serve_a_usual_shop() {
    let equipment = &tables().equipment;
    let typical = equipment.compressor("two_stage").unwrap();
    let regulators: Vec<Conductance> = equipment
        .regulators
        .iter()
        .map(|row| Conductance::dm3_per_s_bar(row.conductance_dm3_s_bar.value.low(), row.critical_ratio.value).unwrap())
        .collect();
    let work = Work {
        site: site(),
        bore: Diameter::mm(3.0).unwrap(),
        discharge: Discharge::ROUNDED,
        loading: Loading::NONE,
        pressure: bar(4.0),
        stations: 2,
        share: share(0.4),
        growth: 1.25,
        hose_length: Length::metres(10.0).unwrap(),
        loss_max: bar(0.5),
        kind: MachineKind::TwoStage,
        duty: typical.duty.value.mid(),
        cut_in: typical.cut_in.value,
        cut_out: typical.cut_out.value,
    };
    let series = &equipment.series;
    let sizes = Sizes {
        free_air: &series.free_air.value,
        receivers: &series.receivers.value,
        hoses: &series.hoses.value,
        regulators: &regulators,
        dryers: &series.dryers.value,
        separators: &series.separators.value,
    };
    let sizing = size(&work, &sizes).unwrap();
    println!("{:?} {:?} {:?}", sizing.free_air.size, sizing.receiver.size, sizing.hose.size);
    assert!(sizing.dryer.size.to_base() >= sizing.free_air.size.to_base());
    assert!(sizing.receiver.margin >= 0.0 && sizing.regulator.margin >= 0.0 && sizing.separator.margin >= 0.0);
}
