//! Exhaust, ducts, clearing, settling, filters. Sources stand in the rows.

use crate::{Check, Row};
use quantity::{Area, Density, FreeFlow, Length, Speed, Time, Volume};
use reference::{Concentration, tables};
use safety::clearing::{Clearing, Exhaust};
use safety::enclosure::{duct_bore, falling_time, passing, stokes, velocity_pressure_pa};

pub(crate) const FAMILIES: &[(&str, Check)] = &[
    // UFC 3-410-04N (2004) para 6-3.2 and 6-3.8; ACGIH.
    ("VNT-1", |_| vec![tables().limits.cabinet_face_velocity.value.to_metres_per_second()]),
    ("VNT-3", |row| vec![cabinet(row.input("area "), 0.6).face.to_cubic_metres_per_second()]),
    ("VNT-4", |row| vec![cabinet(0.05, row.inputs()[0]).changes.to_cubic_metres_per_second()]),
    ("VNT-5", |row| vec![FreeFlow::cubic_metres_per_second(row.inputs()[0]).unwrap().to_cfm()]),
    ("VNT-6", |row| vec![bore(row, tables().limits.duct_velocity.value)]),
    ("VNT-7", |row| vec![bore(row, tables().limits.duct_velocity_heavy.value)]),
    ("VNT-8", |row| {
        let density = Density::kg_per_cubic_metre(row.input("rho=")).unwrap();
        vec![velocity_pressure_pa(density, Speed::metres_per_second(row.input("v=")).unwrap())]
    }),
    // MMWR 28 Oct 1994, Table S3-1.
    ("PRG-", |row| {
        let [changes, removed] = row.inputs()[..] else { panic!("{}", row.inputs) };
        let clearing = boxed(1.0, changes / 60.0, 1.0);
        vec![clearing.time_to_fall(1.0 / (1.0 - removed)).unwrap().to_minutes()]
    }),
    ("PRG-B", |row| vec![room(row).time_to_fall(2.0 / 0.05).unwrap().to_minutes()]),
    ("PRG-C", |row| vec![room(row).time_to_fall(row.input("C0/C=")).unwrap().to_hours()]),
    ("PRG-D", |row| {
        let clearing = boxed(row.input("V="), row.input("Q="), row.input("K="));
        let start = Concentration::mg_per_m3(row.input("C0=")).unwrap();
        vec![clearing.after(start, Time::seconds(row.input("t=")).unwrap()).to_mg_per_m3()]
    }),
    ("STK-", |row| {
        let density = Density::kg_per_cubic_metre(row.input("rho=")).unwrap();
        vec![stokes(Length::um(row.input("d=")).unwrap(), density).to_metres_per_second()]
    }),
    ("STK-T", |_| {
        let glass = tables().material("float_glass").unwrap().density.value;
        vec![falling_time(Length::metres(1.5).unwrap(), Length::um(1.0).unwrap(), glass).to_hours()]
    }),
    ("FLT-1", |row| {
        let held = ["E1=", "E2="].map(|mark| quantity::Fraction::ratio(row.input(mark)).unwrap());
        vec![passing(held).to_ratio()]
    }),
    // EN 1822-1 and ASHRAE 52.2.
    ("FLT-", |row| vec![tables().filter(&row.inputs.to_lowercase()).unwrap().efficiency.value.to_percent()]),
];

fn cabinet(area: f64, volume: f64) -> Exhaust {
    let none = FreeFlow::litres_per_minute(0.0).unwrap();
    Exhaust::of_cabinet(Area::square_metres(area).unwrap(), Volume::cubic_metres(volume).unwrap(), none).unwrap()
}

fn bore(row: &Row, speed: Speed) -> f64 {
    assert!((speed.to_metres_per_second() - row.input("v=")).abs() < 1e-9, "{}", row.inputs);
    duct_bore(FreeFlow::cubic_metres_per_second(row.input("Q=")).unwrap(), speed).unwrap().to_mm()
}

fn boxed(cubic_metres: f64, per_minute: f64, mixing: f64) -> Clearing {
    let flow = FreeFlow::cubic_metres_per_minute(per_minute).unwrap();
    Clearing::with_mixing(Volume::cubic_metres(cubic_metres).unwrap(), flow, mixing).unwrap()
}

fn room(row: &Row) -> Clearing {
    boxed(row.input("V="), row.input("Q=") / 60.0, row.input("K="))
}
