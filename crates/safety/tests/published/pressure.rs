//! Cleaning air, relief, shells, energy, thrust. Regulations stand in the rows.

use crate::Check;
use quantity::{AbsolutePressure, Diameter, GaugePressure, Length, Volume};
use reference::{Stress, tables};
use safety::pressure::{
    brode_energy, hoop, isothermal_energy, nozzle_push, relief_most, shell_wall, thrust_coefficient,
};

pub(crate) const FAMILIES: &[(&str, Check)] = &[
    // 29 CFR 1910.242(b).
    ("PRS-1", |_| vec![tables().limits.cleaning_air.value.to_kpa()]),
    // 29 CFR 1910.169(b)(3); 30 CFR 57.13011.
    ("PRS-2", |row| vec![relief_most(GaugePressure::kpa(row.input("MAWP ")).unwrap()).to_kpa()]),
    ("PRS-3", |row| {
        let mm = |mark| row.input(mark);
        let pressure = GaugePressure::mpa(row.input("P=")).unwrap();
        vec![hoop(pressure, Diameter::mm(mm("D=")).unwrap(), Length::mm(mm("t=")).unwrap()).to_mpa()]
    }),
    // ASME VIII-1 UG-27(c)(1).
    ("PRS-4", |row| {
        let pressure = GaugePressure::mpa(row.input("P=")).unwrap();
        let radius = Length::mm(row.input("R=")).unwrap();
        let stress = Stress::mpa(row.input("S=")).unwrap();
        vec![shell_wall(pressure, radius, stress, row.input("; E=")).unwrap().to_mm()]
    }),
    ("PRS-5", |row| {
        let volume = Volume::cubic_metres(row.input("V=")).unwrap();
        vec![brode_energy(GaugePressure::kpa(row.input("; ")).unwrap(), volume).to_kilojoules()]
    }),
    ("PRS-6", |row| {
        let (volume, pressure) = (Volume::cubic_metres(0.227).unwrap(), GaugePressure::kpa(1000.0).unwrap());
        let site = AbsolutePressure::kpa(row.input("p0=")).unwrap();
        vec![isothermal_energy(pressure, volume, site).to_kilojoules()]
    }),
    ("PRS-7", |_| vec![thrust_coefficient()]),
    ("PRS-8", |row| {
        let bore = Diameter::mm(row.input("d=")).unwrap();
        let site = AbsolutePressure::kpa(row.input("pa=")).unwrap();
        vec![nozzle_push(bore, GaugePressure::psi(row.inputs()[1]).unwrap(), site).to_newtons()]
    }),
];
