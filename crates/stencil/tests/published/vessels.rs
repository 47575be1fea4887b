//! Frusta, cylinders, balls, gores. The formulas' sources stand in the rows.

use crate::Found::{self, Number};
use crate::{Check, Row};
use quantity::{Diameter, Length};
use stencil::vessel::curved::{gaussian_per_mm2, mismatch, patch_radius_mm, small_mismatch};
use stencil::vessel::front::from_front;
use stencil::vessel::frustum::Frustum;
use stencil::vessel::gores::{Bowl, Gores};

pub(crate) const FAMILIES: &[(&str, Check)] = &[
    ("CON-", cone),
    ("CON-S", sagitta),
    ("CYL-", cylinder),
    ("SPH-M", |row| Number(mismatch(row.input("rho/a=")))),
    ("SPH-R", |row| Number(patch_radius_mm(row.input("a="), row.input("limit=")))),
    ("GOR-", gores),
    ("GAU-1", |row| Number(gaussian_per_mm2(row.input("hoop radius "), row.input("profile radius ")))),
    ("GAU-2", |_| Number(small_mismatch(gaussian_per_mm2(40.0, 400.0), 30.0))),
];

/// Millimetres of the list's unit: its first example is in inches.
fn unit(row: &Row) -> f64 {
    if row.inputs.contains("inches") { 25.4 } else { 1.0 }
}

fn frustum(row: &Row) -> Frustum {
    let mm = |mark| row.input(mark) * unit(row);
    let [upper, lower] = ["R=", "r="].map(|mark| Diameter::mm(2.0 * mm(mark)).unwrap());
    Frustum::new(upper, lower, Length::mm(mm("H=")).unwrap()).unwrap()
}

fn cone(row: &Row) -> Found {
    let (side, unit) = (frustum(row), unit(row));
    Number(match row.last() {
        "s" => side.slant_mm() / unit,
        "Ro" => side.radii_mm().unwrap().0 / unit,
        "Ri" => side.radii_mm().unwrap().1 / unit,
        "th" => side.sector().to_degrees(),
        "A" => side.area().to_square_mm() / (unit * unit),
        "W" => side.sheet_mm().0 / unit,
        "H" => side.sheet_mm().1 / unit,
        other => panic!("{}: {other} is not known", row.id),
    })
}

/// "Case 2" and "case 3" are the tumblers of the rows CON-2 and CON-3.
fn sagitta(row: &Row) -> Found {
    let (upper, lower, height) = if row.id == "CON-S1" { (84.0, 60.0, 120.0) } else { (90.0, 80.0, 150.0) };
    let [upper, lower] = [upper, lower].map(|mm| Diameter::mm(mm).unwrap());
    let side = Frustum::new(upper, lower, Length::mm(height).unwrap()).unwrap();
    Number(side.sagitta_mm(Length::mm(row.input("w=")).unwrap()))
}

fn cylinder(row: &Row) -> Found {
    let seen = from_front(row.input("R="), row.input("s=")).unwrap();
    Number(match row.last() {
        "3" => seen.angle_degrees,
        "4" => seen.farther_mm,
        other => panic!("{}: {other} is not known", row.id),
    })
}

fn gores(row: &Row) -> Found {
    let count = row.input("n=") as usize;
    let gores = Gores::new(Bowl::ball(Diameter::mm(100.0).unwrap()), count).unwrap();
    Number(if row.id.ends_with('p') { gores.largest_strain() } else { gores.mean_strain() })
}

/// A figure of the derivation's table that is not among the rows.
#[test]
fn a_place_on_a_cylinder_is_seen_where_the_derivation_says() {
    assert!((from_front(40.0, 30.0).unwrap().seen_mm / 27.2656 - 1.0).abs() < 1e-5);
    assert_eq!(from_front(40.0, 80.0), None);
}
