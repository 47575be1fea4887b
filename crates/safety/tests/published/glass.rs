//! Plates, strength, tempering, impact, materials. Standards stand in the rows.

use crate::{Check, Row};
use quantity::{Area, Density, Fraction, Length, Time};
use reference::{AreaLoad, Stress, Toughness, tables};
use safety::glazing::{impact_energy, pendulum_energy};
use safety::handling::mass;
use safety::plate::{Bending, Held, Pane, Pressing, beam, bend};
use safety::refusal::{tempered_stress, tension_depth};
use safety::strength::{Duration, allowed, duration_factor, flaw_strength, notch, shock};
use safety::thickness::stress_multiplier;

pub(crate) const FAMILIES: &[(&str, Check)] = &[
    // Roark Table 11.4 case 1a, and the Lévy series.
    ("PLT-", plate),
    ("PLG-", plate),
    ("PL2-1", |row| vec![strip(row).stress.to_mpa()]),
    ("PL2-2", |_| {
        let modulus = Stress::gpa(70.0).unwrap();
        let load = AreaLoad::kpa(0.75).unwrap();
        vec![beam(mm(1000.0), mm(10.0), modulus, load).unwrap().sinking.to_mm()]
    }),
    ("PL4-1", |_| vec![panel(600.0, 10.0).stress.to_mpa()]),
    ("PL4-2", |_| vec![panel(600.0, 10.0).sinking.to_mm()]),
    ("PL4-3", |row| vec![panel(600.0, row.input("t_r = ")).stress.to_mpa()]),
    ("PL4-4", |row| vec![stress_multiplier(mm(row.input("d=")), mm(row.input("t="))).unwrap()]),
    ("PL4-5", |row| vec![stress_multiplier(mm(row.input("d=")), mm(row.input("t="))).unwrap()]),
    // EN 16612.
    ("KMD-", |row| vec![duration_factor(Duration::Of(Time::hours(row.input("t=")).unwrap()))]),
    ("FGD-", |row| {
        let surface = Fraction::ratio(row.input("ksp=")).unwrap();
        vec![allowed(row.input("kmod="), surface).to_mpa()]
    }),
    ("GRF-", |row| {
        let toughness = Toughness::mpa_root_metre(row.input("KIC=")).unwrap();
        vec![flaw_strength(toughness, Length::um(row.input("a=")).unwrap(), row.input("Y=")).to_mpa()]
    }),
    ("NTC-", |row| vec![notch(mm(row.input("depth ")), mm(row.input("radius ")))]),
    ("TMP-", |row| vec![tension_depth(mm(row.input("t="))).to_mm()]),
    ("TMP-R", |_| vec![-tempered_stress(0.0) / tempered_stress(0.5)]),
    // A maker's guideline for frosting; carving tempered glass is refused all the same.
    // The measure of the other two, so 1 by definition.
    ("TMP-K1", |_| vec![tempered_stress(0.0)]),
    ("TMP-K2", |_| vec![tables().limits.frosted_then_tempered.value.to_ratio()]),
    ("TMP-K3", |_| vec![tables().limits.tempered_then_frosted.value.to_ratio()]),
    // EN 12600; 16 CFR 1201.4.
    ("IMP-", |row| vec![pendulum_energy(row.input("class ") as u8).unwrap().to_joules()]),
    ("CPS-I", |_| vec![impact_energy(false).to_joules()]),
    ("CPS-II", |_| vec![impact_energy(true).to_joules()]),
    // EN 572-1.
    ("WGT-", |row| {
        let [a, b, t, density] = row.inputs()[..4] else { panic!("{}", row.inputs) };
        let density = Density::kg_per_cubic_metre(density).unwrap();
        vec![mass(Area::square_metres(a * b * 1e-6).unwrap(), mm(t), density).to_kilograms()]
    }),
    ("THS-", |row| {
        let [stress, expansion] = [row.inputs()[0], row.input("a=")];
        // The rows write "nu=.2".
        let modulus = Stress::gpa(row.input("E=")).unwrap();
        vec![shock(Stress::mpa(stress).unwrap(), modulus, 0.2, expansion).to_kelvins()]
    }),
    ("MAT-", material),
];

fn mm(value: f64) -> Length {
    Length::mm(value).unwrap()
}

/// Coefficients of a pane on four simple edges; the row's side ratio and Poisson's ratio.
fn plate(row: &Row) -> Vec<f64> {
    let (ratio, poisson) = (row.input("a/b="), row.input("nu="));
    let (q, b, t, modulus) = (1e3, 500.0, 10.0, Stress::gpa(70.0).unwrap());
    let pane = Pane { width: mm(b * ratio), height: mm(b), thickness: mm(t), modulus, poisson };
    let bent = bend(&pane, Held::FourSides, Pressing::Even(AreaLoad::pascals(q).unwrap())).unwrap();
    vec![match row.last().as_bytes()[0] {
        b'b' => bent.stress.to_pascals() / (q * (b / t).powi(2)),
        b'a' => bent.sinking.to_mm() / (q * b * (b / t).powi(3) / modulus.to_pascals()),
        other => panic!("{}: {other} is not known", row.id),
    }]
}

fn strip(row: &Row) -> Bending {
    let load = AreaLoad::kpa(row.input("q=")).unwrap();
    beam(mm(row.input("span ")), mm(row.input("t=")), Stress::gpa(70.0).unwrap(), load).unwrap()
}

/// The panel of the rows PL4: 900 x 600 mm under 1 kPa, ν 0.22.
fn panel(height: f64, thickness: f64) -> Bending {
    let modulus = Stress::gpa(70.0).unwrap();
    let pane = Pane { width: mm(900.0), height: mm(height), thickness: mm(thickness), modulus, poisson: 0.22 };
    bend(&pane, Held::FourSides, Pressing::Even(AreaLoad::kpa(1.0).unwrap())).unwrap()
}

fn material(row: &Row) -> Vec<f64> {
    let of = |id| tables().material(id).unwrap();
    let soda = of("float_glass");
    vec![match row.last() {
        "SL-rho" => soda.density.value.to_kg_per_cubic_metre(),
        "SL-E" => soda.modulus.as_ref().unwrap().value.to_gpa(),
        "SL-nu" => soda.poisson.as_ref().unwrap().value,
        "SL-KIC" => soda.toughness.as_ref().unwrap().value.to_mpa_root_metre(),
        "SL-fgk" => tables().limits.glass_strength.value.to_mpa(),
        "BS-rho" => of("borosilicate").density.value.to_kg_per_cubic_metre(),
        "BS-a" => of("borosilicate").expansion_per_k.as_ref().unwrap().value,
        "MB-rho" => of("marble").density.value.to_kg_per_cubic_metre(),
        other => panic!("{}: {other} is not known", row.id),
    }]
}
