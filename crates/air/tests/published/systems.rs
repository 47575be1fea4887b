//! Three whole lines in time: air.md section 6, and the rows of the same systems in the list.

use crate::{Row, agree, csv_lines, rows, the};
use air::transient::run_every;
use air::{
    AirLine, Altitude, Compressor, Conductance, Discharge, Droop, Event, Fittings, Hose, Loading, Nozzle, Regulator,
    Sample, Site, Start, Trace, Valve, hold, steady,
};
use quantity::{
    AbsolutePressure, Diameter, Fraction, FreeFlow, GaugePressure, Length, Power, Temperature, Time, Volume,
};

/// One system as the notes list it.
struct Given {
    site: Site,
    free_air_l_min: f64,
    cut_bar: [f64; 2],
    receiver_l: f64,
    valve: (f64, f64),
    set_bar: f64,
    droop: f64,
    hose_mm_m_k: [f64; 3],
    nozzle: (f64, f64),
}

pub(crate) fn bar(value: f64) -> GaugePressure {
    GaugePressure::bar(value).unwrap()
}

pub(crate) fn seconds(value: f64) -> Time {
    Time::seconds(value).unwrap()
}

impl Given {
    fn line(&self) -> AirLine {
        let [hose_mm, hose_m, k] = self.hose_mm_m_k;
        AirLine {
            site: self.site,
            compressors: vec![Compressor {
                free_air: FreeFlow::litres_per_minute(self.free_air_l_min).unwrap(),
                cut_in: bar(self.cut_bar[0]),
                cut_out: bar(self.cut_bar[1]),
                duty_max: Fraction::ratio(0.5).unwrap(),
                power: Power::kilowatts(1.5).unwrap(),
            }],
            receiver: Volume::litres(self.receiver_l).unwrap(),
            regulator: Regulator {
                set: bar(self.set_bar),
                droop: Droop::bar_per_litre_per_minute(self.droop).unwrap(),
                valve: Conductance::dm3_per_s_bar(self.valve.0, self.valve.1).unwrap(),
            },
            hose: Hose {
                bore: Diameter::mm(hose_mm).unwrap(),
                length: Length::metres(hose_m).unwrap(),
                roughness: Length::mm(0.0015).unwrap(),
                fittings: Fittings::new(k).unwrap(),
            },
            nozzle: Nozzle {
                bore: Diameter::mm(self.nozzle.0).unwrap(),
                discharge: Discharge::new(self.nozzle.1).unwrap(),
                loading: Loading::NONE,
            },
        }
    }
}

/// The site of A and C. Their supply is given in l/min ANR, so the free air is that over 1.01325.
fn at_sea_level() -> Site {
    Site {
        pressure: AbsolutePressure::pascals(101_325.0).unwrap(),
        temperature: Temperature::kelvins(293.15).unwrap(),
        humidity: Fraction::ratio(0.0).unwrap(),
    }
}

pub(crate) fn line(system: &str) -> AirLine {
    let given = match system {
        "A" => Given {
            site: at_sea_level(),
            free_air_l_min: 150.0 / 1.01325,
            cut_bar: [6.0, 8.0],
            receiver_l: 50.0,
            valve: (10.0, 0.3),
            set_bar: 4.0,
            droop: 0.0,
            hose_mm_m_k: [8.0, 10.0, 2.0],
            nozzle: (2.5, 0.80),
        },
        "B" => Given {
            site: Site::at_altitude(
                Altitude::metres(1500.0).unwrap(),
                Temperature::celsius(25.0).unwrap(),
                Fraction::ratio(0.5).unwrap(),
            ),
            free_air_l_min: 400.0,
            cut_bar: [8.0, 10.0],
            receiver_l: 270.0,
            valve: (20.0, 0.25),
            set_bar: 5.0,
            droop: 0.0006,
            hose_mm_m_k: [13.0, 20.0, 4.0],
            nozzle: (4.0, 0.79),
        },
        _ => Given {
            site: at_sea_level(),
            free_air_l_min: 60.0 / 1.01325,
            cut_bar: [6.0, 8.0],
            receiver_l: 24.0,
            valve: (3.0, 0.3),
            set_bar: 3.0,
            droop: 0.0,
            hose_mm_m_k: [6.0, 5.0, 1.0],
            nozzle: (1.2, 0.90),
        },
    };
    given.line()
}

fn held_open(system: &str, for_s: f64) -> Trace {
    let line = line(system);
    run_every(&line, Start::full(&line), &[Valve { open: true, for_: seconds(for_s) }], seconds(1.0)).unwrap()
}

fn thirty_thirty() -> Trace {
    let line = line("B");
    let valve = |open| Valve { open, for_: seconds(30.0) };
    let pattern: Vec<Valve> = (0..40).map(|number| valve(number % 2 == 0)).collect();
    run_every(&line, Start::full(&line), &pattern, seconds(1.0)).unwrap()
}

/// The table's columns against a sample: tank, regulator, nozzle (bar) and flow (l/min).
fn compare(cells: &[String], sample: &Sample, worst: &mut [f64; 4]) {
    let number = |cell: &str| cell.parse::<f64>().unwrap();
    let place = format!("{} at {} s", cells[0], cells[1]);
    let mut note = |column: usize, ours: f64, theirs: f64| worst[column] = worst[column].max((ours - theirs).abs());
    note(0, sample.receiver.to_bar(), number(&cells[2]));
    note(1, sample.regulator_out.to_bar(), number(&cells[4]));
    note(3, sample.flow.to_litres_anr_per_minute(), number(&cells[3]));
    match (sample.nozzle, cells[5].as_str()) {
        (None, "-") => {}
        (Some(nozzle), theirs) => note(2, nozzle.to_bar(), number(theirs)),
        (None, theirs) => panic!("{place}: no nozzle pressure, {theirs} expected"),
    }
    assert_eq!(sample.compressor_on, cells[6] == "on", "{place}: compressor");
    assert_eq!(sample.regulator_fully_open, cells[7] == "yes", "{place}: regulator");
}

fn every_row(system: &str, trace: &Trace) {
    let table = csv_lines(include_str!("systems.csv")).filter(|cells| cells[0] == system);
    let (mut worst, mut count) = ([0.0; 4], 0);
    for cells in table {
        let sample = trace.at(seconds(cells[1].parse().unwrap())).expect(&cells[1]);
        compare(&cells, &sample, &mut worst);
        count += 1;
    }
    let [tank, regulator, nozzle, flow] = worst;
    println!(
        "{system}: {count} rows: tank {tank:.5}, regulator {regulator:.5}, nozzle {nozzle:.5} bar; {flow:.4} l/min"
    );
    assert!(count > 10 && tank.max(regulator).max(nozzle) < 0.002 && flow < 0.02);
}

/// Starts, stops and losses of the hold with their times; valve movements left out.
fn events(trace: &Trace) -> Vec<(&'static str, f64)> {
    let word = |event| match event {
        Event::CompressorStarted { .. } => Some("compressor ON"),
        Event::CompressorStopped { .. } => Some("compressor OFF"),
        Event::HoldLost => Some("hold lost"),
        Event::HoldRegained => Some("hold regained"),
        _ => None,
    };
    trace.events.iter().filter_map(|(at, event)| Some((word(*event)?, at.to_seconds()))).collect()
}

fn every_event(what: &str, trace: &Trace, want: &[(&'static str, f64)]) {
    let ours = events(trace);
    let words = |list: &[(&'static str, f64)]| list.iter().map(|(word, _)| *word).collect::<Vec<_>>();
    assert_eq!(words(&ours), words(want), "{what}: {ours:?}");
    let worst = ours.iter().zip(want).map(|(a, b)| (a.1 - b.1).abs()).fold(0.0, f64::max);
    println!("{what}: {} events, worst {worst:.4} s", want.len());
    assert!(worst < 0.05);
}

#[test]
fn system_a_falls_as_the_independent_solution_does() {
    let trace = held_open("A", 400.0);
    every_row("A", &trace);
    every_event("A", &trace, &[("compressor ON", 26.662), ("hold lost", 105.778)]);
}

#[test]
fn system_b_falls_as_the_independent_solution_does() {
    let trace = held_open("B", 600.0);
    every_row("B", &trace);
    every_event("B", &trace, &[("compressor ON", 52.287), ("hold lost", 240.949)]);
}

#[test]
fn system_b_gains_slowly_at_half_time() {
    let trace = thirty_thirty();
    every_row("B-30-30", &trace);
    every_event("B 30/30", &trace, &[("compressor ON", 82.287)]);
    assert!(trace.lost.to_seconds() == 0.0);
}

#[test]
fn system_c_cycles_and_never_loses_pressure() {
    let trace = held_open("C", 900.0);
    every_row("C", &trace);
    let want = [
        ("compressor ON", 59.628),
        ("compressor OFF", 309.398),
        ("compressor ON", 369.026),
        ("compressor OFF", 618.796),
        ("compressor ON", 678.424),
    ];
    every_event("C", &trace, &want);
}

/// Family of pressure rows: `SYS-A-p-20` names system, column and second.
fn pressures(family: &str, trace: &Trace, of: impl Fn(&Sample) -> f64) {
    agree(family, 0.002, " bar", &rows(family), |row: &Row| {
        let at = row.id.rsplit('-').next().unwrap().parse().unwrap();
        of(&trace.at(seconds(at)).unwrap()) - row.value()
    });
}

#[test]
fn the_listed_pressures_of_all_three_agree() {
    for (system, name, end) in [("A", "A", 400.0), ("B", "B", 600.0), ("C", "Ciso", 900.0)] {
        let trace = held_open(system, end);
        pressures(&format!("SYS-{name}-p-"), &trace, |sample| sample.receiver.to_bar());
        pressures(&format!("SYS-{name}-pn-"), &trace, |sample| sample.nozzle.unwrap().to_bar());
        let ours = events(&trace);
        agree(&format!("SYS-{name}-ev-"), 0.05, " s", &rows(&format!("SYS-{name}-ev-")), |row| {
            let number: usize = row.id.rsplit('-').next().unwrap().parse().unwrap();
            ours[number - 1].1 - row.value()
        });
    }
}

#[test]
fn what_each_line_holds_is_what_the_list_says() {
    for system in ["A", "B", "C"] {
        let held = hold(&line(system)).unwrap();
        let off = held.demand.to_litres_anr_per_minute() - the(&format!("SYS-{system}-demand")).value();
        println!("SYS-{system}-demand: {off:+.5} l/min");
        assert!(off.abs() < 0.006);
    }
    for (system, lost_s, recovery_s) in [("A", 105.778, 80.030), ("B", 240.949, 261.582)] {
        let held = hold(&line(system)).unwrap();
        let row = |what: &str| the(&format!("SYS-{system}-{what}"));
        assert!((held.lowest_receiver.to_bar() - row("hold").value()).abs() < 1e-4, "{held:?}");
        assert!((held.share_by_air.to_ratio() - row("duty").value()).abs() < 1e-4);
        assert!((held.longest_blast.unwrap().to_seconds() - lost_s).abs() < 0.01);
        assert!((held.recovery.to_seconds() - recovery_s).abs() < 0.01);
        assert!((held.recovery.to_seconds() - row("off").value()).abs() < 0.01);
    }
    let a = hold(&line("A")).unwrap();
    assert!((a.share_by_duty.to_ratio() - the("SYS-A-duty").expected[1]).abs() < 1e-4);
    let b = hold(&line("B")).unwrap();
    let listed = the("SYS-B-demand").expected;
    assert!((b.regulator_out.to_bar() - listed[1]).abs() < 1e-4 && (b.nozzle.to_bar() - listed[2]).abs() < 1e-4);
    // System C: supply above demand, so it never loses pressure; yet a 50 % compressor is overloaded.
    let c = hold(&line("C")).unwrap();
    assert!(c.longest_blast.is_none() && c.share_by_air.to_ratio() == 1.0);
    assert!(c.share_by_duty.to_ratio() < 0.62 && c.rhythm.is_some());
    assert!((c.nozzle.to_bar() - 2.9683).abs() < 1e-4);
}

#[test]
fn a_trigger_held_for_ever_ends_where_supply_meets_demand() {
    for system in ["A", "B"] {
        let (line, expected) = (line(system), the(&format!("SYS-{system}-steady")).expected);
        let end = steady(&line, bar(expected[0])).unwrap();
        let supply = line.compressors[0].mass_rate(&line.site);
        println!(
            "SYS-{system}-steady: nozzle {:+.5} bar, supply less demand {:+.4} l/min",
            end.nozzle_gauge.to_bar() - expected[1],
            supply.to_litres_anr_per_minute() - end.flow.to_litres_anr_per_minute()
        );
        assert!((end.nozzle_gauge.to_bar() - expected[1]).abs() < 2e-4 && end.regulator_fully_open);
        let left = (supply.to_kg_per_second() / end.flow.to_kg_per_second() - 1.0).abs();
        assert!(left < 1e-4, "{left}");
    }
}
