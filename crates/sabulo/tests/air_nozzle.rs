//! `sabulo air nozzle` against the handbook's orifice table.

mod common;

use common::{code, complaint, sabulo};

/// "Discharge of air through an orifice", compressed-air handbook; coefficient 1, 70 °F, 14.7 psia.
const ROWS: [(&str, &str, f64); 12] = [
    ("1/8in", "100psi", 26.0),
    ("1/64in", "40psi", 0.194),
    ("1/32in", "20psi", 0.491),
    ("1/32in", "100psi", 1.62),
    ("1/16in", "80psi", 5.36),
    ("1/16in", "125psi", 7.90),
    ("1/8in", "20psi", 7.86),
    ("1/8in", "50psi", 14.7),
    ("1/4in", "80psi", 85.7),
    ("3/8in", "100psi", 234.0),
    ("1/2in", "60psi", 271.0),
    // Not choked.
    ("1/8in", "12psi", 6.07),
];

fn nozzle(bore: &str, pressure: &str, more: &[&str]) -> serde_json::Value {
    let mut arguments =
        vec!["air", "nozzle", "--bore", bore, "--pressure", pressure, "--discharge-coefficient", "1", "--json"];
    arguments.extend(more);
    let output = sabulo(arguments);
    assert_eq!(code(&output), 0, "{}", complaint(&output));
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn twelve_rows_of_the_orifice_table_agree_within_two_percent() {
    let mut worst: f64 = 0.0;
    for (bore, pressure, want) in ROWS {
        let flow = nozzle(bore, pressure, &[])["flow_scfm"].as_f64().unwrap();
        worst = worst.max((flow / want - 1.0).abs());
    }
    println!("worst of {} rows: {:.2} %", ROWS.len(), worst * 100.0);
    assert!(worst < 0.02);
}

#[test]
fn the_flows_of_one_answer_are_the_same_mass() {
    let answer = nozzle("1/8in", "100psi", &[]);
    let number = |key: &str| answer[key].as_f64().unwrap();
    // air.md section 0: 1.20035 kg/m³ at 70 °F and 14.7 psia; 1.29307 at 0 °C and 101.325 kPa.
    let mass = number("mass_flow_g_s");
    assert!((number("flow_scfm") * 28.316_846_592 / 60.0 * 1.200_35 / mass - 1.0).abs() < 1e-6);
    assert!((number("flow_nl_min") / 60.0 * 1.293_07 / mass - 1.0).abs() < 1e-6);
    assert_eq!(answer["choked"], true);
    assert_eq!(nozzle("1/8in", "12psi", &[])["choked"], false);
}

#[test]
fn colder_air_and_thinner_surroundings_change_the_flow_as_the_formula_says() {
    let at = |more: &[&str]| nozzle("1/8in", "100psi", more)["mass_flow_g_s"].as_f64().unwrap();
    // Choked: m ~ 1/sqrt(T).
    let ratio = at(&["--temperature", "0°C"]) / at(&["--temperature", "40°C"]);
    assert!((ratio - (313.15f64 / 273.15).sqrt()).abs() < 1e-6, "{ratio}");
    // Gauge pressure stands on the surroundings: 100 psi over 84.556 kPa is 774.0 kPa absolute.
    let ratio = at(&["--ambient-pressure", "84.556kPa"]) / at(&["--ambient-pressure", "101.325kPa"]);
    assert!((ratio - (689.476 + 84.556) / (689.476 + 101.325)).abs() < 1e-5, "{ratio}");
}

#[test]
fn bad_input_is_one_and_bad_usage_is_two() {
    let output = sabulo(["air", "nozzle", "--bore", "1/8", "--pressure", "100psi"]);
    assert_eq!(code(&output), 1);
    assert!(complaint(&output).contains("--bore") && complaint(&output).contains("1/8in"), "{}", complaint(&output));
    assert_eq!(code(&sabulo(["air", "nozzle", "--bore", "NaN mm", "--pressure", "100psi"])), 1);
    assert_eq!(code(&sabulo(["air", "nozzle", "--bore", "-1mm", "--pressure", "100psi"])), 1);
    assert_eq!(code(&sabulo(["air", "nozzle", "--pressure", "100psi"])), 2);
    assert_eq!(code(&sabulo(["air", "blow"])), 2);
}
