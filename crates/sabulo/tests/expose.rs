//! Photo resist on the command line. Figures with a row's name are those of the process checks.

mod common;

use common::{code, complaint, sabulo, said};
use serde_json::Value;
use std::process::Command;

fn json(arguments: &[&str], wanted: i32) -> Value {
    let output = sabulo(["expose"].into_iter().chain(arguments.iter().copied()).chain(["--json"]));
    assert_eq!(code(&output), wanted, "{arguments:?}: {}", complaint(&output));
    serde_json::from_slice(&output.stdout).unwrap()
}

fn near(document: &Value, key: &str, wanted: f64, share: f64) {
    let found = document[key].as_f64().unwrap_or_else(|| panic!("{key} in {document}"));
    assert!((found / wanted - 1.0).abs() < share, "{key}: {found}, wanted {wanted}");
}

#[test]
fn time_is_dose_over_irradiance_and_grows_with_the_square_of_the_distance() {
    // UVX-1: 8 mW/cm² for 45 s are 360 mJ/cm².
    let plain = json(&["time", "--dose", "360mJ/cm2", "--irradiance", "8mW/cm2"], 0);
    near(&plain, "computed_s", 45.0, 1e-9);
    // Without a reading it is good to a factor of two.
    near(&plain, "time_s_high", 90.0, 1e-6);
    // UVX-12: 600 to 900 mm is 2.25 times; UVX-11: a base of 0.05 is 1.12202 times.
    let far = ["--measured-at", "600mm", "--distance", "900mm", "--base-density", "0.05"];
    let far = json(&[&["time", "--dose", "360mJ/cm2", "--irradiance", "8mW/cm2"][..], &far].concat(), 0);
    near(&far, "computed_s", 45.0 * 2.25 * 1.122_02, 1e-4);
    // UVX-7, UVX-9: 75 µm, Dp 40 µm, 10 mJ/cm² want 65.2082 mJ/cm² and a density of 0.814302, with 0.6 to spare.
    let film = ["time", "--irradiance", "8mW/cm2", "--film", "75um", "--penetration", "40um", "--critical", "10mJ/cm2"];
    let film = json(&film, 0);
    near(&film, "dose_mj_cm2", 65.2082, 1e-4);
    near(&film, "film_density_min", 0.814_302 + 0.6, 1e-4);
}

#[test]
fn a_tablet_corrects_the_time() {
    // UVX-4: 60 s read 5, wanted 7.
    let read = json(&["tablet", "--exposed", "60s", "--held", "5", "--want", "7"], 0);
    near(&read, "time_s", 119.716, 1e-4);
    let time = ["time", "--dose", "360mJ/cm2", "--irradiance", "8mW/cm2", "--exposed", "60s", "--held", "5"];
    let corrected = json(&time, 0);
    let found = corrected["time_s"].as_f64().unwrap();
    assert!(
        found > 100.0 && found < 119.716,
        "between 45 s computed and 119.7 s read, nearer to what was read: {found}"
    );
    // The same from a table, twice.
    let folder = tempfile::tempdir().unwrap();
    let log = folder.path().join("log.csv");
    std::fs::write(&log, "exposed,held\n60s,5\n1min,5\n").unwrap();
    let twice = json(&["tablet", "--log", log.to_str().unwrap()], 0);
    assert_eq!(twice["readings"], 2);
    assert!(twice["time_s_high"].as_f64() < read["time_s_high"].as_f64());
    std::fs::write(&log, "60s,five\n").unwrap();
    let output = sabulo(["expose", "tablet", "--log", log.to_str().unwrap()]);
    assert_eq!(code(&output), 1);
    assert!(complaint(&output).contains("line 1"), "{}", complaint(&output));
}

#[test]
fn an_uneven_bed_stops_and_says_from_which_height_it_holds() {
    // UVX-13: a bulb at 600 mm gives 0.715542 at 300 mm from the middle; the bed's corners lie there.
    let side = 2.0 * 300.0 / std::f64::consts::SQRT_2;
    let bed = format!("{side}mm,{side}mm");
    let bulb = json(&["uniformity", "--bed", &bed, "--height", "600mm", "--point"], 3);
    near(&bulb, "least_over_most", 0.715_542, 1e-5);
    // UVX-15-3: 80 % wants 2.4969 radii.
    near(&bulb, "height_mm_min", 2.4969 * 300.0, 2e-3);
    let height = format!("{}mm", bulb["height_mm_min"].as_f64().unwrap());
    json(&["uniformity", "--bed", &bed, "--height", &height, "--point"], 0);
    for array in [["--tubes", "50mm,900mm,14"], ["--leds", "30mm,20,20"]] {
        let even = json(&["uniformity", "--bed", "300mm,300mm", "--height", "60mm", array[0], array[1]], 0);
        assert!(even["least_over_most"].as_f64().unwrap() > 0.8, "{array:?}: {even}");
    }
}

#[test]
fn the_sheet_measures_right_and_its_reading_is_the_shops_numbers() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["sheet.pdf", "sheet.tif"] {
        let path = folder.path().join(name);
        let output = sabulo(["expose", "sheet", "--dpi", "600", "--ink-up", "--out", path.to_str().unwrap()]);
        assert_eq!(code(&output), 0, "{}", complaint(&output));
    }
    let path = folder.path().join("sheet.pdf");
    let info = Command::new("pdfinfo").arg(&path).output().expect("poppler is installed");
    // 150 mm are 425.197 points.
    assert!(String::from_utf8_lossy(&info.stdout).contains("425.197 x 425.197 pts"), "{info:?}");
    let dots = image::open(folder.path().join("sheet.tif")).unwrap();
    // 150 mm at 600 dots an inch, rounded up.
    assert_eq!((dots.width(), dots.height()), (3544, 3544));
    let reading = ["--line", "0.16mm", "--wall", "0.2mm", "--width", "0.5mm=0.56mm", "--exposed", "60s", "--held", "5"];
    let read = json(&[&["read"][..], &reading].concat(), 0);
    near(&read, "gain_mm", 0.03, 1e-9);
    near(&read, "time_s", 119.716, 1e-4);
    let toml: toml::Table = read["shop_toml"].as_str().unwrap().parse().unwrap();
    assert_eq!(toml["stencil"]["film_finest"].as_str(), Some("0.160mm"));
    assert_eq!(toml["stencil"]["film_widens"].as_str(), Some("0.030mm"));
}

#[test]
fn lengths_are_told_in_mils_and_inches_when_asked() {
    let told = |arguments: &[&str], wanted: i32| {
        let output = sabulo(["expose"].into_iter().chain(arguments.iter().copied()).chain(["--units", "us"]));
        assert_eq!(code(&output), wanted, "{arguments:?}: {}", complaint(&output));
        said(&output)
    };
    // A bulb at 600 mm, 23.6 in, holds from 2.4969 radii of 300 mm: 749 mm, 29.5 in (UVX-15-3).
    let uneven = told(&["uniformity", "--bed", "424.264mm,424.264mm", "--height", "600mm", "--point"], 3);
    assert!(uneven.contains("From 23.6 in") && uneven.contains("Bring the lamp to 29.5 in"), "{uneven}");
    assert!(!uneven.contains(" mm"), "{uneven}");
    let reading = ["--line", "0.16mm", "--wall", "0.2mm", "--width", "0.5mm=0.44mm", "--exposed", "60s", "--held", "5"];
    let read = told(&[&["read"][..], &reading].concat(), 0);
    // 0.16 / 0.0254 and 0.03 / 0.0254, drawn in.
    assert!(read.contains("line 6.30 mil, wall 7.87 mil") && read.contains("out by −1.18 mil"), "{read}");
    let filed = read.split_once("[stencil]").unwrap().1;
    assert!(filed.contains("film_finest = \"6.30mil\"") && filed.contains("film_narrows = \"1.18mil\""), "{filed}");
    let dose = ["time", "--dose", "360mJ/cm2", "--irradiance", "8mW/cm2"];
    let lamp = ["--lamp", "50mm", "--measured-at", "600mm", "--distance", "600mm", "--resist", "4mil"];
    let lit = told(&[&dose[..], &lamp].concat(), 0);
    assert!(lit.contains(" mil under each edge") && !lit.contains("µm") && !lit.contains(" mm"), "{lit}");
}

#[test]
fn what_is_missing_is_named_and_bad_usage_is_told_apart() {
    let refused = |arguments: &[&str], wanted: i32, word: &str| {
        let output = sabulo(["expose"].into_iter().chain(arguments.iter().copied()));
        assert_eq!(code(&output), wanted, "{arguments:?}");
        assert!(complaint(&output).contains(word), "{arguments:?}: {}", complaint(&output));
    };
    refused(&["time", "--irradiance", "8mW/cm2"], 1, "--dose");
    refused(&["time", "--irradiance", "8", "--dose", "360mJ/cm2"], 1, "unit");
    refused(&["time", "--irradiance", "0mW/cm2", "--dose", "360mJ/cm2"], 1, "lamp");
    refused(&["tablet"], 1, "reading");
    refused(&["uniformity", "--bed", "300mm", "--height", "60mm", "--point"], 1, "--bed");
    refused(&["uniformity", "--bed", "300mm,200mm"], 2, "--height");
}
