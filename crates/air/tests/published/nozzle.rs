//! Flow through bores: the handbook's orifice table and what was made of it.

use crate::{Row, agree, percent, rows};
use air::gas::LINE_TEMPERATURE;
use air::nozzle::{demand_growth, full_expansion, loaded_discharge, mass_flow};
use air::{Discharge, Loading, Stagnation, Throat};
use quantity::{AbsolutePressure, Diameter, GaugePressure, MassRate, Temperature};

fn at_sea_level(bar: f64) -> AbsolutePressure {
    AbsolutePressure::from_gauge(GaugePressure::bar(bar).unwrap(), AbsolutePressure::pascals(101_325.0).unwrap())
        .unwrap()
}

/// The handbook's state: 70 °F, 14.7 psia around.
fn flow_us(inches: f64, psig: f64, cd: Discharge) -> MassRate {
    let around = AbsolutePressure::psi(14.7).unwrap();
    let upstream = Stagnation {
        pressure: AbsolutePressure::psi(psig + 14.7).unwrap(),
        temperature: Temperature::fahrenheit(70.0).unwrap(),
    };
    mass_flow(Diameter::inches(inches).unwrap(), cd, upstream, around).unwrap().rate
}

/// Bore (in) and pressure (psig) written in the id, as in `ORI-1_8-20`.
fn bore_and_psig(row: &Row) -> (f64, f64) {
    let mut parts = row.id.split('-').skip(1);
    let (above, below) = parts.next().unwrap().split_once('_').unwrap();
    (above.parse::<f64>().unwrap() / below.parse::<f64>().unwrap(), parts.next().unwrap().parse().unwrap())
}

fn off_the_orifice(row: &Row, cd: f64) -> f64 {
    let (inches, psig) = bore_and_psig(row);
    percent(flow_us(inches, psig, Discharge::new(cd).unwrap()).to_scfm(), row.value())
}

#[test]
fn orifice_flow_agrees_with_the_handbook_table() {
    // "Discharge of air through an orifice", compressed-air handbook; the inputs in words and in the
    // id are the same numbers.
    agree("ORI", 1.5, " %", &rows("ORI-"), |row| {
        let (inches, psig) = bore_and_psig(row);
        assert_eq!((row.after("d="), row.after("p1=")), (inches, psig), "{}", row.id);
        off_the_orifice(row, 1.0)
    });
}

#[test]
fn nozzle_flow_agrees_with_the_isentropic_equation_computed_elsewhere() {
    agree("NOZ", 0.1, " %", &rows("NOZ-"), |row| {
        let upstream = Stagnation { pressure: at_sea_level(row.after("p1=")), temperature: LINE_TEMPERATURE };
        let (bore, cd) = (Diameter::mm(row.after("d=")).unwrap(), Discharge::new(row.after("Cd=")).unwrap());
        let flow = mass_flow(bore, cd, upstream, at_sea_level(0.0)).unwrap();
        assert_eq!(flow.choked, row.after("p1=") > 0.9, "{}", row.id);
        percent(flow.rate.to_litres_anr_per_minute(), row.value())
    });
}

#[test]
fn real_air_passes_at_most_half_a_percent_more() {
    // CoolProp 8.0.0, isentropic, choked flux in kg/(s m²).
    agree("REALCHK", 0.5, " %", &rows("REALCHK-"), |row| {
        let pressure = AbsolutePressure::bar(row.after("p0=")).unwrap();
        let bore = Diameter::mm(10.0).unwrap();
        let upstream = Stagnation { pressure, temperature: LINE_TEMPERATURE };
        let flow = mass_flow(bore, Discharge::new(1.0).unwrap(), upstream, at_sea_level(0.0)).unwrap();
        percent(flow.rate.to_kg_per_second() / (0.25 * std::f64::consts::PI * 1e-4), row.value())
    });
}

#[test]
fn the_leak_tables_already_hold_their_coefficient() {
    // Trap: the energy department's leak table is 0.97 times the handbook's, and sharp holes are
    // 0.61 of that; 0.61 of the handbook's would be 3 % high. From memory / second hand.
    let (small, rest): (Vec<Row>, Vec<Row>) =
        rows("DOE-").into_iter().partition(|row| bore_and_psig(row).0 < 1.0 / 16.0 - 1e-9);
    agree("DOE, from 1/16 in", 2.0, " %", &rest, |row| off_the_orifice(row, 0.97));
    agree("DOE, 1/64 and 1/32 in", 5.0, " %", &small, |row| off_the_orifice(row, 0.97));
    agree("LEAKSHARP", 2.0, " %", &rows("LEAKSHARP-"), |row| off_the_orifice(row, 0.97 * 0.61));
    let twice = |row: &Row| off_the_orifice(row, 0.61);
    assert!(rows("LEAKSHARP-").iter().all(|row| twice(row) > 2.0), "without the 0.97 every row is too high");
}

#[test]
fn demand_with_abrasive_is_inside_the_band_of_the_trade_table() {
    // Widely reprinted table of pressure-blast demand; rows name the abrasive's mass ratio.
    let mass_ratio = |text: &str| {
        let at = text.find("abrasive/air mass = ").unwrap();
        text[at + "abrasive/air mass = ".len()..].parse::<f64>().unwrap()
    };
    let ratios: std::collections::BTreeMap<String, f64> = crate::csv_lines(include_str!("air-checks.csv"))
        .filter(|cells| cells[0].starts_with("LOAD-"))
        .map(|cells| (cells[0].clone(), mass_ratio(&cells[1])))
        .collect();
    agree("LOAD, our fit", 8.0, " %", &rows("LOAD-"), |row| {
        let (inches, psig) = bore_and_psig(row);
        let loading = Loading::new(ratios[&row.id]).unwrap();
        let cd = loaded_discharge(Discharge::ROUNDED, loading, Diameter::inches(inches).unwrap());
        percent(flow_us(inches, psig, cd).to_scfm(), row.value())
    });
}

#[test]
fn guidebook_demand_is_inside_its_band() {
    // Surface-finishing guidebook, Table I: 10 % around an effective 0.80; whole cfm are printed.
    agree("GB", 10.0, " %", &rows("GB-"), |row| off_the_orifice(row, 0.80));
    // Table II, suction guns: the air jet alone, clean; jet sizes inferred from the flows. One cell
    // is out of its own series (23, 27, 31, 37, 38, 42 cfm for 50 to 100 psi) and looks misprinted.
    let (misprint, others): (Vec<Row>, Vec<Row>) = rows("GBS-").into_iter().partition(|row| row.id == "GBS-5_32-80");
    agree("GBS", 10.0, " %", &others, |row| off_the_orifice(row, 0.97));
    let off = off_the_orifice(&misprint[0], 0.97);
    println!("GBS-5_32-80, doubtful: {off:+.2} %");
    assert!((-13.0..-10.0).contains(&off), "outside the 10 % of the others");
}

#[test]
fn a_worn_bore_asks_for_more_by_its_area() {
    agree("WEAR", 1e-4, "", &rows("WEAR-"), |row| {
        let mut bores = row.id.split('-').skip(1).map(|mm| Diameter::mm(mm.parse().unwrap()).unwrap());
        demand_growth(bores.next().unwrap(), bores.next().unwrap()) - row.value()
    });
}

#[test]
fn the_throat_is_that_of_the_carving_notes() {
    // carving-physics.md 2.1: T0 293.15 K, 3.0 bar gauge at sea level.
    let upstream = Stagnation { pressure: at_sea_level(3.0), temperature: LINE_TEMPERATURE };
    let throat = Throat::of(upstream, at_sea_level(0.0)).unwrap();
    let offs = [
        percent(throat.temperature.to_kelvins(), 244.29),
        percent(throat.speed.to_metres_per_second(), 313.3),
        percent(throat.density.to_kg_per_cubic_metre(), 3.023),
        percent(throat.viscosity.to_pascal_seconds(), 1.569e-5),
    ];
    println!("throat T, u, rho, mu off by {offs:.4?} %");
    assert!(offs.iter().all(|off| off.abs() < 0.1));
}

#[test]
fn a_fully_expanded_jet_is_that_of_the_closed_form() {
    agree("JET speed", 0.5, " %", &rows("JET-"), |row| {
        let upstream = Stagnation { pressure: at_sea_level(row.before(" bar g")), temperature: LINE_TEMPERATURE };
        let jet = full_expansion(upstream, at_sea_level(0.0)).unwrap();
        let [celsius, _mach, speed] = row.expected[..] else { panic!("{}: three figures", row.id) };
        assert!((jet.temperature.to_celsius() - celsius).abs() < 0.05, "{}", row.id);
        percent(jet.speed.to_metres_per_second(), speed)
    });
}
