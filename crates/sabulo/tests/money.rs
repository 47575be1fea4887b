//! Quotes, classes, batches and their papers on the command line.

mod common;

use common::{code, complaint, examples, sabulo};
use serde_json::Value;
use std::path::Path;

fn json(output: &std::process::Output) -> Value {
    assert_eq!(code(output), 0, "{}", complaint(output));
    serde_json::from_slice(&output.stdout).expect("--json prints JSON")
}

fn text(path: &Path) -> String {
    path.display().to_string()
}

/// A PDF, by its first bytes, and tagged.
fn is_tagged_pdf(path: &Path) {
    let bytes = std::fs::read(path).unwrap_or_else(|fault| panic!("{}: {fault}", path.display()));
    assert!(bytes.starts_with(b"%PDF-"), "{}", path.display());
    let tagged = bytes.windows(16).any(|window| window == b"/StructTreeRoot ");
    assert!(tagged, "{} has no structure", path.display());
}

#[test]
fn a_quote_falls_with_the_quantity_and_adds_up() {
    let (out, piece) = (tempfile::tempdir().unwrap(), text(&examples().join("marker/piece.toml")));
    let folder = text(out.path());
    let quoted = json(&sabulo(["quote", &piece, "--quantity", "50,1,10", "--out", &folder, "--json"]));
    let number = |value: &Value| value.as_str().unwrap().parse::<f64>().unwrap();
    let offers = quoted["offers"].as_array().unwrap();
    assert_eq!(offers.iter().map(|offer| offer["quantity"].as_u64().unwrap()).collect::<Vec<_>>(), [1, 10, 50]);
    for offer in offers {
        let (each, net, tax, gross) =
            (number(&offer["each"]), number(&offer["net"]), number(&offer["tax"]), number(&offer["gross"]));
        assert!((each * offer["quantity"].as_f64().unwrap() - net).abs() < 0.005);
        // The example shop's 20 %.
        assert!((net * 0.2 - tax).abs() < 0.006 && (net + tax - gross).abs() < 0.005);
        let lines: f64 = offer["lines"].as_array().unwrap().iter().map(|line| number(&line["amount"])).sum();
        assert!((lines - number(&offer["cost_each"])).abs() < 0.1, "{lines}");
        assert!(number(&offer["cost_each_low"]) <= number(&offer["cost_each"]));
        assert!(each > number(&offer["cost_each"]), "a price is above its cost");
    }
    assert!(number(&offers[0]["each"]) > number(&offers[2]["each"]));
    is_tagged_pdf(&out.path().join("quote.pdf"));
    let csv = std::fs::read_to_string(out.path().join("quote.csv")).unwrap();
    assert_eq!(csv.lines().count(), 4, "{csv}");
    let rushed = json(&sabulo(["quote", &piece, "--quantity", "1", "--rush", "50%", "--json"]));
    let ratio = number(&rushed["offers"][0]["each"]) / number(&offers[0]["each"]);
    assert!((ratio - 1.5).abs() < 0.02, "{ratio}");
    let wrong = sabulo(["quote", &piece, "--quantity", "0"]);
    assert!(code(&wrong) == 1 && complaint(&wrong).contains("1 to 100000"), "{}", complaint(&wrong));
}

#[test]
fn a_class_is_told_with_intervals_and_written_for_the_wall() {
    let out = tempfile::tempdir().unwrap();
    let class = text(&examples().join("class.toml"));
    let arguments = ["class", &class, "--replications", "60", "--out", &text(out.path()), "--json"];
    let told = json(&sabulo(arguments));
    let end = &told["end_min"];
    let at = |key: &str| end[key].as_f64().unwrap();
    assert!(at("low") < at("mean") && at("mean") < at("high"), "{end}");
    assert_eq!(told["rotation"].as_array().unwrap().len(), 8 * 6);
    assert!(told["air"]["blasted_min"]["mean"].as_f64().unwrap() > 30.0);
    for name in ["class-pack.pdf", "rotation.svg", "rotation.csv", "shopping.csv", "class.json"] {
        assert!(out.path().join(name).is_file(), "{name}");
    }
    is_tagged_pdf(&out.path().join("class-pack.pdf"));
    // The same seed tells the same.
    assert_eq!(json(&sabulo(arguments)), told);
    let words = sabulo(["class", &class, "--replications", "60"]);
    let words = String::from_utf8_lossy(&words.stdout).into_owned();
    assert!(
        words.contains("nine such classes in ten end between") && words.contains("sets of changes tried"),
        "{words}"
    );
    assert!(json(&sabulo(["schema", "class"]))["properties"]["students"].is_object());
}

#[test]
fn a_batch_lays_every_name_once_on_evenings_and_sheets() {
    let out = tempfile::tempdir().unwrap();
    let folder = examples().join("names");
    let (piece, names) = (text(&folder.join("piece.toml")), text(&folder.join("names.csv")));
    let arguments = [
        "batch",
        &piece,
        &names,
        "--out",
        &text(out.path()),
        "--evenings",
        "90min",
        "--setup",
        "3min",
        "--seconds",
        "2",
    ];
    let told = json(&sabulo(arguments.into_iter().chain(["--fit", "name=60mm", "--json"])));
    let slots = told["slots"].as_array().unwrap();
    let mut lines: Vec<u64> = slots.iter().map(|slot| slot["line"].as_u64().unwrap()).collect();
    lines.sort_unstable();
    assert_eq!(lines, (2..=25).collect::<Vec<u64>>(), "every row once");
    let evenings = told["evenings"].as_array().unwrap();
    assert!(evenings.len() >= 2);
    for (index, evening) in evenings.iter().enumerate() {
        assert!(evening["ends_min"].as_f64().unwrap() <= 90.0, "{evening}");
        assert!(evening["duty"].as_f64().unwrap() <= evening["duty_limit"].as_f64().unwrap() + 1e-6, "{evening}");
        let sheet = std::fs::read_to_string(out.path().join(format!("sheet-{}.svg", index + 1))).unwrap();
        let items = evening["items"].as_u64().unwrap() as usize;
        assert_eq!(sheet.matches("<title>").count(), items + 1, "a cut for each item");
    }
    is_tagged_pdf(&out.path().join("labels.pdf"));
    is_tagged_pdf(&out.path().join("cabinet-card.pdf"));
    let short = sabulo(["batch", &piece, &names, "--out", &text(out.path()), "--evenings", "1min"]);
    assert!(complaint(&short).contains("give longer evenings"), "{}", complaint(&short));
}

#[test]
fn a_shop_is_specified_with_what_the_work_takes() {
    let out = tempfile::tempdir().unwrap();
    let (shop, pdf) = (text(&examples().join("shop.toml")), out.path().join("shop.pdf"));
    let done = sabulo(["paper", "shop", &shop, "--bore", "1/8in", "--pressure", "40psi", "--out", &text(&pdf)]);
    assert_eq!(code(&done), 0, "{}", complaint(&done));
    is_tagged_pdf(&pdf);
}
