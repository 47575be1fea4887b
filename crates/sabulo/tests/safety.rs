//! `sabulo safety`, as a person or a script runs it.

mod common;

use common::{code, complaint, examples, sabulo};
use serde_json::Value;
use std::fs;
use std::path::PathBuf;

fn json(arguments: &[&str]) -> (i32, Value) {
    let output = sabulo([&["safety"], arguments, &["--json"]].concat());
    let value = serde_json::from_slice(&output.stdout);
    (code(&output), value.unwrap_or_else(|fault| panic!("{fault}: {}", complaint(&output))))
}

#[track_caller]
fn close(value: &Value, want: f64, tolerance: f64) {
    let have = value.as_f64().unwrap_or_else(|| panic!("{value} is no number"));
    assert!((have / want - 1.0).abs() < tolerance, "{have} is not {want}");
}

/// The heron with keys added, in a folder of its own.
struct Bench {
    folder: tempfile::TempDir,
}

impl Bench {
    fn new(piece_keys: &str, shop_keys: &str) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let text = |name: &str| fs::read_to_string(examples().join(name)).unwrap();
        let piece = text("heron/piece.toml").replacen("[[depth]]", &format!("{piece_keys}\n[[depth]]"), 1);
        fs::write(folder.path().join("piece.toml"), piece).unwrap();
        let shop = text("shop.toml");
        let silent = shop.split_once("# What protects people here.").expect("the shop has a part about people").0;
        fs::write(folder.path().join("shop.toml"), format!("{silent}\n{shop_keys}")).unwrap();
        fs::write(folder.path().join("heron.svg"), text("heron/heron.svg")).unwrap();
        Self { folder }
    }

    fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn checks(&self) -> (i32, Value) {
        let (piece, shop) = (self.at("piece.toml"), self.at("shop.toml"));
        json(&[piece.to_str().unwrap(), "--shop", shop.to_str().unwrap()])
    }
}

fn of<'a>(document: &'a Value, id: &str) -> &'a Value {
    let mut checks = document["checks"].as_array().unwrap().iter();
    checks.find(|check| check["id"] == id).unwrap_or_else(|| panic!("{id} is not there"))
}

#[test]
fn a_piece_is_checked_in_its_shop() {
    let (code, document) = Bench::new("", "").checks();
    assert_eq!(code, 0);
    assert_eq!(of(&document, "no_collector")["standing"], "within");
    assert_eq!(of(&document, "relief")["standing"], "not_told");
    assert_eq!(of(&document, "relief")["key"], "pressure.relief and pressure.receiver_rated");
    assert_eq!(of(&document, "place")["standing"], "not_told");
    let schema = sabulo(["schema", "safety"]);
    let schema: Value = serde_json::from_slice(&schema.stdout).unwrap();
    assert!(jsonschema::is_valid(&schema, &document));
}

#[test]
fn what_stops_gives_code_3_with_mends() {
    let place = "[place]\nkind = \"door\"\nsupports = \"four_sides\"\npush = \"2kN\"";
    let (code, document) = Bench::new(place, "[pressure]\ntied_open = true").checks();
    assert_eq!(code, 3);
    for id in ["place", "tied_valve", "strength"] {
        assert_eq!(of(&document, id)["standing"], "stop", "{id}");
    }
    assert!(of(&document, "tied_valve")["mends"][0]["sets"].as_str().unwrap().contains("tied_open"));
    let thicker = of(&document, "strength")["mends"].as_array().unwrap();
    assert!(thicker.iter().any(|mend| mend["sets"] == "blank.thickness"), "{thicker:?}");
}

#[test]
fn bad_input_gives_code_1_and_bad_usage_2() {
    let bench = Bench::new("", "[protection]\nrespirator = \"paper\"");
    let output = sabulo(["safety".as_ref(), bench.at("piece.toml").as_os_str()]);
    assert_eq!(code(&output), 1);
    assert!(complaint(&output).contains("protection.respirator"), "{}", complaint(&output));
    assert_eq!(code(&sabulo(["safety"])), 2);
    assert_eq!(code(&sabulo(["safety", "plate"])), 2);
    let output = sabulo(["safety", "noise", "96dBA"]);
    assert_eq!(code(&output), 1);
    assert!(complaint(&output).contains("96dBA@2h"), "{}", complaint(&output));
}

#[test]
fn an_abrasive_that_is_not_listed_is_refused_until_its_sheet_is_given() {
    let output = sabulo(["safety", "dust", "--material", "float_glass", "--abrasive", "pumice"]);
    assert_eq!(code(&output), 1);
    assert!(complaint(&output).contains("no figure for free silica"), "{}", complaint(&output));
    let (code, _) = json(&["dust", "--material", "float_glass", "--abrasive", "pumice", "--free-silica", "0.2%"]);
    assert_eq!(code, 0);
    let bench = Bench::new("", "[[abrasive]]\nkind = \"pumice\"\ngrit = \"F120\"");
    let output = sabulo(["plan".as_ref(), bench.at("piece.toml").as_os_str()]);
    assert!(complaint(&output).contains("its free silica is not known"), "{}", complaint(&output));
}

#[test]
fn a_shifts_dust_is_averaged_and_names_the_respirator() {
    // TWA-4: 65.375 µg/m³, all of it granite of up to 40 % quartz.
    let day = ["dust", "--material", "granite", "--span", "1500ug/m3@20min", "--span", "3ug/m3@460min"];
    let (code, report) = json(&day);
    assert_eq!(code, 0);
    close(&report["respirable_average_ug_m3"], 65.375, 1e-9);
    assert_eq!(report["agents"][0]["agent"], "crystalline_silica");
    close(&report["agents"][0]["average_ug_m3"], 65.375 * 0.4, 1e-9);
    assert_eq!(report["agents"][0]["standing"], "ask");
    // APF-5: 3 mg/m³ at 50 µg/m³ wants a factor of 60.
    let (code, report) = json(&["dust", "--material", "granite", "--span", "7.5mg/m3@8h"]);
    assert_eq!(code, 3);
    close(&report["agents"][0]["factor_needed"], 60.0, 1e-9);
    assert_eq!(report["agents"][0]["respirator_needed"], "hood_tested");
}

#[test]
fn waits_doses_and_plates_are_those_of_the_check_values() {
    // PRG-A: 62.17 s; VNT-5 and VNT-6: 0.2 m³/s, 119.6 mm.
    let (code, clear) = json(&["clear", "--volume", "0.6m3", "--flow", "12m3/min", "--openings", "0.05m2"]);
    assert_eq!(code, 0);
    close(&clear["door_wait_s"], 62.1698, 1e-4);
    close(&clear["collector_needed_m3_min"], 12.0, 1e-9);
    close(&clear["duct_bore_mm_max"], 119.608, 1e-4);
    let (code, clear) = json(&["clear", "--volume", "0.6m3", "--flow", "0.4m3/min", "--blast-air", "0.5m3/min"]);
    assert_eq!((code, &clear["blows_out"]), (3, &Value::Bool(true)));
    // NOI-D2 and NOI-D4.
    let (code, noise) = json(&["noise", "103dBA@0.75h", "95dBA@2h", "85dBA@3h"]);
    assert_eq!(code, 3);
    close(&noise["osha"]["dose"], 1.25589, 1e-4);
    close(&noise["niosh"]["dose"], 8.89484, 1e-4);
    // PL2-1 with its own strip: 5.625 MPa of a beam; a plate's free edge bears up to a tenth more.
    let shelf = ["plate", "--width", "1m", "--height", "60mm", "--thickness", "10mm", "--supports", "left_and_right"];
    let (code, plate) = json(&[&shelf[..], &["--load", "0.75kPa"]].concat());
    assert_eq!(code, 3);
    close(&plate["loads"][0]["stress_mpa"], 5.625, 5e-3);
    close(&plate["allowed_mpa"], 4.35, 1e-9);
    let (code, plate) = json(&[&shelf[..], &["--load", "0.1kPa", "--depth", "2mm", "--root", "0.5mm"]].concat());
    assert_eq!(code, 0);
    close(&plate["notch_factor"], 5.0, 1e-9);
}

#[test]
fn the_words_say_screening_and_never_promise() {
    for arguments in [
        &["safety", "plate", "--width", "900mm", "--height", "600mm", "--thickness", "10mm", "--push", "500N"][..],
        &["safety", "noise", "96dBA@2h"],
        &["safety", "clear", "--volume", "600l", "--flow", "12m3/min"],
        &["safety", "dust", "--material", "mirror"],
    ] {
        let output = sabulo(arguments);
        let said = String::from_utf8(output.stdout).unwrap();
        assert!(!said.is_empty() && !said.to_lowercase().contains(" safe "), "{said}");
    }
    let plate =
        sabulo(["safety", "plate", "--width", "900mm", "--height", "600mm", "--thickness", "10mm", "--push", "500N"]);
    assert!(String::from_utf8_lossy(&plate.stdout).contains("Screening only."));
}
