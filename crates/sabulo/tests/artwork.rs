//! Drawings on the command line: judged, marked, mended, and lettered by the hundred.

mod common;

use common::{code, complaint, examples, filled, sabulo, said};
use kurbo::Shape as _;
use serde_json::Value;
use std::path::Path;

/// A ring 10 mm across with a wall of 0.3 mm, a slot 0.5 mm wide, and an island of 2 x 2 mm.
const DRAWING: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
<g id="cut"><path fill-rule="evenodd" d="M5 5h20v20h-20zM14 14h2v2h-2z"/><path d="M25.3 5h10v20h-10z"/>
<path d="M40 10h15v0.5h-15z"/></g></svg>"##;

fn json(arguments: &[&str]) -> Value {
    let output = sabulo(arguments.iter().copied().chain(["--json"]));
    assert_eq!(code(&output), 0, "{}", complaint(&output));
    serde_json::from_slice(&output.stdout).unwrap()
}

fn drawn(folder: &Path) -> String {
    let path = folder.join("drawing.svg");
    std::fs::write(&path, DRAWING).unwrap();
    path.to_str().unwrap().to_owned()
}

#[test]
fn a_drawing_is_measured_as_it_was_drawn() {
    let folder = tempfile::tempdir().unwrap();
    let found = json(&["artwork", &drawn(folder.path()), "--opening", "0.8mm", "--wall", "0.6mm"]);
    let number = |key: &str| found[key].as_f64().unwrap();
    assert!((number("open_area_mm2") - (400.0 - 4.0 + 200.0 + 7.5)).abs() < 1e-3);
    assert!((number("min_opening_mm") - 0.5).abs() < 5e-3 && (number("min_wall_mm") - 0.3).abs() < 5e-3);
    assert_eq!(found["islands"].as_array().unwrap().len(), 1);
    let kinds: Vec<&str> = found["faults"].as_array().unwrap().iter().map(|f| f["kind"].as_str().unwrap()).collect();
    for kind in ["thin_wall", "thin_opening", "small_island"] {
        assert!(kinds.contains(&kind), "{kind} in {kinds:?}");
    }
    // Twice as wide, all is twice as wide.
    let large = json(&["artwork", &drawn(folder.path()), "--size", "120mm"]);
    assert!((large["min_opening_mm"].as_f64().unwrap() - 1.0).abs() < 0.01);
}

#[test]
fn a_drawing_is_told_in_inches_when_asked() {
    let folder = tempfile::tempdir().unwrap();
    let drawing = drawn(folder.path());
    let judged = ["artwork", &drawing, "--opening", "0.8mm", "--wall", "0.6mm", "--units"];
    let [us, metric] = ["us", "metric"].map(|units| said(&sabulo(judged.iter().chain(&[units]))));
    // 60 x 40 mm, 603.5 mm² open, a slot of 0.5 and a wall of 0.3 mm, over 25.4.
    for inches in ["2.362 in x 1.575 in", "open 0.935 in²", "opening 19.7 mil, narrowest wall 11.8 mil", "of 31.5 mil"]
    {
        assert!(us.contains(inches) && !us.contains(" mm"), "{inches} in {us}");
    }
    assert!(
        metric.contains("open 6.04 cm²") && metric.contains("opening 0.500 mm, narrowest wall 0.300 mm"),
        "{metric}"
    );
    assert_eq!(us.lines().count(), metric.lines().count());
}

#[test]
fn what_is_mended_breaks_fewer_limits_and_reads_back() {
    let folder = tempfile::tempdir().unwrap();
    let (drawing, mended) = (drawn(folder.path()), folder.path().join("mended.svg"));
    let limits = ["--opening", "0.8mm", "--wall", "0.6mm"];
    let before = json(&[&["artwork", &drawing, "--repair", mended.to_str().unwrap()], &limits[..]].concat());
    let after = json(&[&["artwork", mended.to_str().unwrap()], &limits[..]].concat());
    let count = |document: &Value| document["faults"].as_array().unwrap().len();
    assert!(count(&after) < count(&before), "{after}");
    assert!(after["min_wall_mm"].as_f64().unwrap() >= 0.59 && after["min_opening_mm"].as_f64().unwrap() >= 0.78);
}

#[test]
fn a_drawing_as_read_has_the_area_that_another_library_reads_from_it() {
    let folder = tempfile::tempdir().unwrap();
    let out = folder.path().join("out.svg");
    let crest = examples().join("crest/crest.svg");
    let found = json(&["artwork", crest.to_str().unwrap(), "--trace", out.to_str().unwrap()]);
    let listed: f64 = found["regions"].as_array().unwrap().iter().map(|r| r["area_mm2"].as_f64().unwrap()).sum();
    let dots: f64 = filled(&std::fs::read(&out).unwrap()).iter().map(|outline| outline.area().abs()).sum();
    // usvg counts in dots, 96 an inch.
    let read = dots * (25.4_f64 / 96.0).powi(2);
    assert!((read / listed - 1.0).abs() < 1e-3, "{read} against {listed}");
}

#[test]
fn the_marked_picture_is_one() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["marked.png", "marked.svg"] {
        let path = folder.path().join(name);
        json(&["artwork", &drawn(folder.path()), "--marked", path.to_str().unwrap()]);
        assert!(std::fs::metadata(&path).unwrap().len() > 2000, "{name}");
    }
    let read = image::open(folder.path().join("marked.png")).unwrap();
    assert!(read.width() > 1000);
}

#[test]
fn a_batch_makes_the_good_rows_and_tells_the_bad_ones() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let template = r#"<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="20mm" viewBox="0 0 80 20">
        <text x="40" y="14" text-anchor="middle" font-family="EB Garamond" font-size="9">{name}</text></svg>"#;
    std::fs::write(path("template.svg"), template).unwrap();
    let names: String = (0..30).map(|n| format!("Guest {n}\n")).collect();
    std::fs::write(
        path("names.csv"),
        format!("name\n{names}Snow \u{2603}\u{1f980}\nA name that is much too long for any glass\n"),
    )
    .unwrap();
    let (template, names, out) = (path("template.svg"), path("names.csv"), path("out"));
    let output = sabulo(["artwork", "batch", &template, &names, "--out", &out, "--fit", "name=60mm", "--json"]);
    let made: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(
        (made["made"].as_array().unwrap().len(), made["bad"].as_array().unwrap().len()),
        (30, 2),
        "{}",
        made["bad"]
    );
    assert_eq!((std::fs::read_dir(&out).unwrap().count(), code(&output)), (30, 1));
}

#[test]
fn what_is_not_a_drawing_is_refused_with_what_to_give() {
    let folder = tempfile::tempdir().unwrap();
    let refused = |name: &str, bytes: &[u8]| {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).unwrap();
        let output = sabulo(["artwork", path.to_str().unwrap()]);
        assert_eq!(code(&output), 1);
        complaint(&output)
    };
    assert!(refused("notes.txt", b"hello").contains("save the drawing as SVG or DXF"));
    assert!(refused("broken.png", b"\x89PNG\r\n\x1a\nrubbish").contains("broken.png"));
    assert!(refused("broken.dxf", b"0\nSECTION\nrubbish").contains("broken.dxf"));
    assert!(refused("broken.svg", b"<svg").contains("broken.svg"));
}
