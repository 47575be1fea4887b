//! The air line on the command line: its answers read back, and lines that cannot be.

mod common;

use common::{code, complaint, sabulo};
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Output;

/// The demonstration shop with something put into its line or replaced in it.
fn shop(folder: &tempfile::TempDir, change: impl Fn(String) -> String) -> PathBuf {
    let text = include_str!("../../../examples/shop.toml").to_owned();
    let changed = change(text.clone());
    assert_ne!(text, changed, "nothing was changed");
    let path = folder.path().join("shop.toml");
    std::fs::write(&path, changed).unwrap();
    path
}

/// Two stations that blast in turns, with a dryer before them.
fn two_stations(text: String) -> String {
    let parts = r#"
[[part]]
name = "dryer"
kind = "dryer"
after = "receiver"

[[station]]
name = "left"
nozzle = "carver"
pressure = "2.5 bar"
on = "120s"
off = "60s"

[[station]]
name = "right"
nozzle = "detail"
pressure = "4 bar"
on = "90s"
off = "30s"

[hose]"#;
    text.replacen("[hose]", parts, 1)
}

fn ask(arguments: &[&str], shop: &Path) -> Output {
    let shop = shop.to_str().expect("a path of plain letters");
    sabulo(arguments.iter().copied().chain(["--shop", shop]))
}

fn json(arguments: &[&str], shop: &Path) -> Value {
    let output = ask(&[arguments, &["--json"]].concat(), shop);
    assert!(output.status.success(), "{}", complaint(&output));
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn a_ladder_falls_from_part_to_part_and_ends_at_the_nozzle() {
    let folder = tempfile::tempdir().unwrap();
    let ladder = json(&["air", "line"], &shop(&folder, two_stations));
    let parts = ladder["parts"].as_array().unwrap();
    let names: Vec<&str> = parts.iter().map(|part| part["part"].as_str().unwrap()).collect();
    for name in ["dryer", "separator", "blast valve of right", "regulator of left", "hose of right", "left"] {
        assert!(names.contains(&name), "{name} in {names:?}");
    }
    for part in parts {
        let [inlet, outlet, loss] = ["inlet_kpa", "outlet_kpa", "loss_kpa"].map(|key| part[key].as_f64().unwrap());
        assert!(loss >= 0.0 && (inlet - outlet - loss).abs() < 1e-6, "{part}");
    }
    let left = &ladder["stations"][0];
    assert!(left["holds"].as_bool().unwrap() && left["nozzle_pressure_kpa"].as_f64().unwrap() < 250.0);
}

#[test]
fn a_run_of_two_stations_tells_pressures_events_duty_and_water() {
    let folder = tempfile::tempdir().unwrap();
    let path = shop(&folder, two_stations);
    let run = json(&["air", "run", "--for", "30min"], &path);
    assert_eq!(run["stations"].as_array().unwrap().len(), 2);
    assert!(run["samples"].as_array().unwrap().len() > 500);
    assert!(run["events"].as_array().unwrap().iter().any(|event| event["event"] == "compressor_started"));
    let duty = run["duty"].as_f64().unwrap();
    assert!(duty > 0.1 && duty <= 1.0, "{duty}");
    assert!(run["condensate_g_per_h"].as_f64().unwrap() > 0.0);
    let least = run["min_nozzle_pressure_kpa"].as_f64().unwrap();
    assert!(least > 200.0 && least < 400.0, "{least}");
    // What is drawn is what is told: every sample of the series, and a picture that another library reads.
    let (csv, svg) = (folder.path().join("run.csv"), folder.path().join("run.svg"));
    let files = [&csv, &svg].map(|path| path.to_str().unwrap());
    assert_eq!(code(&ask(&["air", "run", "--csv", files[0], "--svg", files[1]], &path)), 0);
    let rows = std::fs::read_to_string(csv).unwrap().lines().count();
    assert_eq!(rows, run["samples"].as_array().unwrap().len() + 1);
    usvg::Tree::from_data(&std::fs::read(svg).unwrap(), &usvg::Options::default()).unwrap();
}

#[test]
fn a_dryer_takes_the_water_away() {
    let folder = tempfile::tempdir().unwrap();
    let wet = json(
        &["air", "moisture", "--pressure", "2.5bar"],
        &shop(&folder, |text| text.replace("60%\"\n\n# Two", "90%\"\n\n# Two")),
    );
    let dry = json(&["air", "moisture"], &shop(&folder, two_stations));
    let dew = |document: &Value| document["stations"][0]["dew_point_c"].as_f64().unwrap_or(-99.0);
    // A pressure dew point of 3 °C at 7.5 bar is -8 °C at 2.4 bar; without a dryer the receiver's own stays.
    assert!(dew(&dry) < -5.0 && dew(&wet) > dew(&dry) + 8.0, "{} and {}", dew(&dry), dew(&wet));
    assert!(wet["condensate_g_per_h"].as_f64().unwrap() > 10.0);
}

/// Each of these cannot be; the message names the part.
#[test]
fn a_line_that_cannot_be_is_refused_with_the_part_named() {
    let folder = tempfile::tempdir().unwrap();
    let refused = |change: &dyn Fn(String) -> String, pressure: &str| {
        let path = shop(&folder, change);
        let output = ask(&["air", "line", "--pressure", pressure], &path);
        assert_eq!(code(&output), 1, "{}", String::from_utf8_lossy(&output.stdout));
        complaint(&output)
    };
    let hose = |text: String| text.replace("bore = \"10mm\"\nlength = \"7m\"", "bore = \"0mm\"\nlength = \"7m\"");
    assert!(refused(&hose, "2bar").contains("hose"));
    assert!(refused(&|text| text.replace("7.5 bar", "7 bar"), "12bar").contains("regulator"));
    let off = |text: String| text.replacen("power = \"4 kW\"", "power = \"4 kW\"\nrunning = false", 1);
    assert!(refused(&off, "2bar").contains("two-stage, 4 kW"));
    let looped = |text: String| {
        let parts = "[[part]]\nname = \"here\"\nkind = \"separator\"\nafter = \"there\"\n\n\
                     [[part]]\nname = \"there\"\nkind = \"filter\"\nafter = \"here\"\n\n[hose]";
        text.replacen("[hose]", parts, 1)
    };
    let told = refused(&looped, "2bar");
    assert!(told.contains("here") && told.contains("there"), "{told}");
    let nothing = |text: String| {
        text.replacen("[hose]", "[[part]]\nname = \"far\"\nkind = \"filter\"\nafter = \"moon\"\n\n[hose]", 1)
    };
    assert!(refused(&nothing, "2bar").contains("moon"));
}

#[test]
fn a_plate_that_states_displacement_is_recognised_and_derated() {
    let folder = tempfile::tempdir().unwrap();
    let path = shop(&folder, |text| text.replace("460 l/min", "690 l/min"));
    let output = ask(&["air", "line", "--pressure", "2.5bar"], &path);
    let told = String::from_utf8(output.stdout).unwrap();
    assert!(told.contains("looks like displacement, not delivered air"), "{told}");
    // 690 l/min derated to 414..518: the line then runs as one of 466 l/min would.
    let run = json(&["air", "run", "--nozzle", "broad", "--pressure", "4bar", "--on", "10min", "--off", "5min"], &path);
    let honest = shop(&folder, |text| text.replace("460 l/min", "465.75 l/min"));
    let same =
        json(&["air", "run", "--nozzle", "broad", "--pressure", "4bar", "--on", "10min", "--off", "5min"], &honest);
    assert!((run["duty"].as_f64().unwrap() - same["duty"].as_f64().unwrap()).abs() < 1e-6);
}

#[test]
fn sizing_holds_what_it_was_asked_for() {
    let ask = ["size", "--bore", "3.2mm", "--pressure", "2.8bar", "--on", "6min", "--growth", "20%", "--json"];
    let output = sabulo(ask);
    assert_eq!(code(&output), 0, "{}", complaint(&output));
    let sizing: Value = serde_json::from_slice(&output.stdout).unwrap();
    for key in ["compressor_free_air_l_min", "receiver_l", "hose_bore_mm", "dryer_free_air_l_min"] {
        let entry = &sizing[key];
        assert!(entry["margin"].as_f64().unwrap() >= 0.0, "{key}: {entry}");
        assert!(entry["next"].as_f64().unwrap() > entry["size"].as_f64().unwrap(), "{key}: {entry}");
    }
    // By hand: demand of choked flow at 2.8 bar through 3.2 mm, 0.97, times 1.2, six of ten minutes at the duty.
    let demand = sizing["demand_l_min_anr"].as_f64().unwrap();
    let by_hand = 0.040_415 * 0.97 * (std::f64::consts::PI * 0.0016f64.powi(2)) * 381_325.0 / 293.15f64.sqrt() / 1.185
        * 60e3
        * 1.2;
    assert!((demand / by_hand - 1.0).abs() < 2e-3, "{demand} against {by_hand}");
}

#[test]
fn a_map_of_a_shop_holds_longer_with_less_bore() {
    let folder = tempfile::tempdir().unwrap();
    let map = json(&["size"], &shop(&folder, two_stations));
    let rows = map["holds_s"].as_array().unwrap();
    let horizon = map["horizon_s"].as_f64().unwrap();
    assert_eq!((rows.len(), rows[0].as_array().unwrap().len()), (40, 60));
    for row in rows {
        let held: Vec<f64> = row.as_array().unwrap().iter().map(|held| held.as_f64().unwrap_or(horizon)).collect();
        // Below the cut-in a larger bore never holds longer.
        if held.first() == Some(&horizon) {
            assert!(held.windows(2).all(|pair| pair[1] <= pair[0] + 1e-6), "{held:?}");
        }
    }
}
