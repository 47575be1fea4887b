//! `sabulo plan PIECE --search`: what it prints for people and for programs.

mod common;

use common::{code, complaint, examples, sabulo};
use serde_json::Value;
use std::fs;
use std::path::PathBuf;

fn piece(example: &str) -> PathBuf {
    examples().join(example).join("piece.toml")
}

fn searched(example: &str, more: &[&str]) -> (i32, String) {
    let path = piece(example).display().to_string();
    let output = sabulo(["plan", &path, "--cell", "0.5mm"].iter().chain(more));
    assert!(matches!(code(&output), 0 | 3), "{}", complaint(&output));
    (code(&output), String::from_utf8(output.stdout).unwrap())
}

#[test]
fn the_front_is_printed_with_a_sentence_for_each_that_is_worth_choosing() {
    let (code, text) = searched("heron", &["--search"]);
    assert_eq!(code, 0);
    assert!(text.contains("15,120 recipes were judged"), "{text}");
    assert!(text.contains("· Quickest:") || text.contains("· Surest:"), "{text}");
    assert!(text.contains("EUR a piece") && text.contains("As the piece is written:"), "{text}");
}

#[test]
fn programs_get_a_document_that_its_schema_describes() {
    let (_, text) = searched("crest", &["--search=open", "--json"]);
    let document: Value = serde_json::from_str(&text).unwrap();
    let schema: Value = serde_json::from_slice(&sabulo(["schema", "search"]).stdout).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let faults: Vec<String> = validator.iter_errors(&document).map(|fault| fault.to_string()).collect();
    assert!(faults.is_empty(), "{faults:?}");
    // What the piece prescribes stays: 8 pressures, 3 standoffs of one nozzle, grit and resist.
    assert_eq!(document["of"], 24);
    for one in document["front"].as_array().unwrap() {
        assert_eq!((one["resist"].as_str(), one["nozzle"].as_str()), (Some("photo_4mil"), Some("detail")));
    }
    let mut broken = document.clone();
    broken.as_object_mut().unwrap().remove("front");
    assert!(!validator.is_valid(&broken));
}

#[test]
fn when_nothing_holds_it_says_what_would_make_it_hold() {
    let folder = tempfile::tempdir().unwrap();
    let shop = fs::read_to_string(examples().join("shop.toml")).unwrap();
    fs::write(folder.path().join("shop.toml"), shop.replace("collector = \"15 m3/min\"\n", "")).unwrap();
    for file in ["piece.toml", "heron.svg"] {
        fs::copy(examples().join("heron").join(file), folder.path().join(file)).unwrap();
    }
    let path = folder.path().join("piece.toml").display().to_string();
    let output = sabulo(["plan", &path, "--cell", "0.5mm", "--search"]);
    let text = String::from_utf8(output.stdout.clone()).unwrap();
    assert_eq!(code(&output), 3, "{text}{}", complaint(&output));
    assert!(text.contains("none holds") && text.contains("Fit a collector that draws"), "{text}");
    assert!(text.contains("its price is in no table") && text.contains("ranked by kind of outlay"), "{text}");
}
