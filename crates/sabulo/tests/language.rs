//! `--language`: people read theirs, programs read English.

mod common;

use common::{code, complaint, examples, sabulo, said};
use serde_json::Value;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// Runs a command that must do what it was asked for, in a language; a finding may stop.
fn spoken(language: &str, arguments: &[&str]) -> String {
    let output = sabulo(["--language", language].iter().chain(arguments));
    assert!([0, 3].contains(&code(&output)), "{arguments:?}: {}", complaint(&output));
    said(&output)
}

fn example(name: &str) -> String {
    examples().join(name).display().to_string()
}

fn poppler(tool: &str, file: &Path, more: &[&str]) -> String {
    let output = Command::new(tool).arg(file).args(more).output().expect("./check installs poppler-utils");
    assert!(output.status.success(), "{tool}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8_lossy(&output.stdout).replace('\u{202f}', " ")
}

/// Everything that some commands write for the heron, into a folder of its own.
fn written(language: &str, root: &Path) -> PathBuf {
    let folder = root.join(language);
    let out = |name: &str| folder.join(name).display().to_string();
    let (piece, class) = (example("heron/piece.toml"), example("class.toml"));
    spoken(language, &["plan", &piece, "--cell", "0.3mm", "--out", &out("plan")]);
    spoken(language, &["stencil", &piece, "--as", "svg,dxf,plt,pdf", "--cutter", "150mm", "--out", &out("stencil")]);
    spoken(
        language,
        &["quote", &piece, "--quantity", "1,10", "--rush", "--date", "2026-11-25", "--out", &out("quote")],
    );
    spoken(language, &["class", &class, "--replications", "40", "--out", &out("class")]);
    folder
}

/// Files whose words are for people.
fn for_people(name: &str) -> bool {
    let picture = ["run-strip.svg", "rotation.svg"].contains(&name) || name.ends_with("-weed.svg");
    picture || name.ends_with(".pdf")
}

/// A document without the sums of files that people read, and how exactly they read back: letters stand among the cuts.
fn without_sums(mut value: Value) -> Value {
    match &mut value {
        Value::Object(members) => {
            if let Some(path) = members.get("path").and_then(Value::as_str).map(str::to_owned) {
                members.retain(|key, _| !["sha256", "off_mm"].contains(&key.as_str()) || !for_people(&path));
            }
            members.values_mut().for_each(|member| *member = without_sums(member.take()));
        }
        Value::Array(entries) => entries.iter_mut().for_each(|entry| *entry = without_sums(entry.take())),
        _ => {}
    }
    value
}

#[test]
fn files_for_programs_are_the_same_in_every_language() {
    let root = tempfile::tempdir().unwrap();
    let english = written("en", root.path());
    for language in ["de", "en-XA"] {
        let other = written(language, root.path());
        let (mut same, mut differ) = (0, 0);
        for folder in ["plan", "stencil", "quote", "class"] {
            for entry in fs::read_dir(english.join(folder)).unwrap() {
                let name = entry.unwrap().file_name().into_string().unwrap();
                let [a, b] = [&english, &other].map(|root| fs::read(root.join(folder).join(&name)).unwrap());
                if for_people(&name) {
                    differ += usize::from(a != b);
                } else if name.ends_with(".json") {
                    let [a, b] = [a, b].map(|bytes| without_sums(serde_json::from_slice(&bytes).unwrap()));
                    assert_eq!(a, b, "{language}: {folder}/{name}");
                    same += 1;
                } else {
                    assert!(a == b, "{language}: {folder}/{name} differs");
                    same += 1;
                }
            }
        }
        println!("{language}: {same} files the same, {differ} papers and pictures in their own words");
        assert!(same >= 15 && differ >= 5, "{same} and {differ}");
    }
}

#[test]
fn answers_for_programs_are_the_same_in_every_language() {
    let (piece, shop, art) = (example("heron/piece.toml"), example("shop.toml"), example("crest/crest.svg"));
    let asked: [&[&str]; 14] = [
        &["air", "line", "--shop", &shop, "--nozzle", "carver", "--pressure", "40psi", "--json"],
        &["air", "run", "--shop", &shop, "--nozzle", "broad", "--pressure", "4bar", "--json"],
        &["air", "moisture", "--shop", &shop, "--pressure", "40psi", "--json"],
        &["size", "--bore", "1/8in", "--pressure", "40psi", "--on", "6min", "--growth", "20%", "--json"],
        &["size", "--shop", &shop, "--json"],
        &["artwork", &art, "--json"],
        &["carve", &piece, "--section", "100mm,200mm,200mm,200mm", "--json"],
        &["carve", &piece, "--section", "100mm,200mm,200mm,200mm", "--csv"],
        &["stencil", "develop", "--cone", "80mm,60mm,110mm", &art, "--json"],
        &["stencil", "nest", &art, "--width", "15in", "--seconds", "0", "--workers", "1", "--json"],
        &["expose", "time", "--irradiance", "5mW/cm2", "--dose", "360mJ/cm2", "--json"],
        &["safety", &piece, "--json"],
        &[
            "safety",
            "plate",
            "--width",
            "400mm",
            "--height",
            "300mm",
            "--thickness",
            "6mm",
            "--depth",
            "1mm",
            "--flat",
            "--json",
        ],
        &["schema", "plan"],
    ];
    // How long the search took is told, and differs.
    let kept = |text: String| text.lines().filter(|line| !line.contains("\"seconds\"")).collect::<Vec<_>>().join("\n");
    for arguments in asked {
        let english = kept(spoken("en", arguments));
        assert!(english.len() > 40, "{arguments:?}");
        for language in ["de", "en-XA"] {
            assert_eq!(kept(spoken(language, arguments)), english, "{language} {arguments:?}");
        }
    }
}

#[test]
fn a_german_job_sheet_reads_german() {
    let root = tempfile::tempdir().unwrap();
    let out = root.path().join("plan").display().to_string();
    let told = spoken("de", &["plan", &example("heron/piece.toml"), "--cell", "0.3mm", "--out", &out]);
    assert!(told.contains("entgittern") && told.contains("Geschrieben nach"), "{told}");
    let sheet = root.path().join("plan/job-sheet.pdf");
    let text = poppler("pdftotext", &sheet, &["-layout", "-"]);
    for words in ["Auftragsblatt", "Stufen", "Düse", "Entgittern", "Druckregler", "Der Ablauf", "„", "größ", "Seite 1"]
    {
        assert!(text.contains(words), "{words:?} is not in\n{text}");
    }
    let english = ["Regulator", "nozzle", "Weeding", "Blast", "Findings", "limit"];
    let left: Vec<&str> = english.into_iter().filter(|word| text.contains(word)).collect();
    assert!(left.is_empty(), "{left:?} in\n{text}");
    // A length with decimals has a comma: millimetres and bars.
    let numbers = text.split_whitespace().filter(|word| word.chars().next().is_some_and(|c| c.is_ascii_digit()));
    let comma = numbers.filter(|word| word.contains(',')).count();
    assert!(comma > 10, "{comma} numbers with a comma in\n{text}");
    let file = fs::read(&sheet).unwrap();
    assert!(
        file.windows(9).any(|part| part == b"/Lang(de)") || poppler("pdfinfo", &sheet, &["-struct"]).contains("de")
    );
}

/// Works that a caution cites; titles stay as they are.
const WORKS: [&str; 2] =
    ["29 CFR 1910.95, App A", "MMWR 28 Oct 1994, Table S3-1, with a mixing factor of 3 by common practice"];
/// What stands beside numbers.
const UNITS: [&str; 6] = ["min", "bar", "l/min", "m³/min", "dm³/(s", "bar)"];

/// Every name and work of the examples and the tables, the longest first.
fn names() -> Vec<String> {
    fn strings(value: &toml::Value, found: &mut Vec<String>) {
        match value {
            toml::Value::String(text) => found.push(text.split_whitespace().collect::<Vec<_>>().join(" ")),
            toml::Value::Array(values) => values.iter().for_each(|value| strings(value, found)),
            toml::Value::Table(table) => table.values().for_each(|value| strings(value, found)),
            _ => {}
        }
    }
    let tables = fs::read_dir(examples().join("../crates/reference/data")).unwrap().map(|file| file.unwrap().path());
    let named = ["shop.toml", "class.toml", "heron/piece.toml", "names/piece.toml"].map(|name| examples().join(name));
    let mut found: Vec<String> = WORKS.map(str::to_owned).to_vec();
    for file in tables.chain(named) {
        strings(&toml::Value::Table(fs::read_to_string(&file).unwrap().parse().unwrap()), &mut found);
    }
    let rows = fs::read_to_string(examples().join("names/names.csv")).unwrap();
    found.extend(rows.lines().flat_map(|line| line.split(',')).map(str::to_owned));
    found.retain(|name| name.chars().any(char::is_alphabetic));
    found.sort_by_key(|name| std::cmp::Reverse(name.len()));
    found
}

/// `text` without `name` where it stands as words of its own.
fn without(text: &str, name: &str) -> String {
    let inside = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
    let (mut kept, mut rest) = (String::new(), text);
    while let Some(at) = rest.find(name) {
        let (before, after) = (&rest[..at], &rest[at + name.len()..]);
        let within = inside(before.chars().next_back()) || inside(after.chars().next());
        kept += before;
        kept += if within { name } else { " " };
        rest = after;
    }
    kept + rest
}

/// Words of a paper that stand outside of the marks and are no names.
fn unsaid(paper: &Path, names: &[String]) -> Vec<String> {
    let text = poppler("pdftotext", paper, &["-raw", "-"]).replace('\u{a0}', " ");
    // A name that found no room in a chart is cut.
    let whole = text.lines().filter(|line| !line.contains('…')).collect::<Vec<_>>().join(" ");
    let mut depth = 0;
    let outside: String = whole
        .chars()
        .filter_map(|c| {
            depth += i32::from(c == '‹') - i32::from(c == '›');
            match (depth, c) {
                (_, '‹' | '›') => Some(';'),
                (0, c) => Some(c),
                _ => None,
            }
        })
        .collect();
    let outside = outside.split_whitespace().collect::<Vec<_>>().join(" ");
    let left = names.iter().fold(outside, |text, name| if text.contains(name) { without(&text, name) } else { text });
    let words = left.split(|c: char| c.is_whitespace() || c == ';').map(|word| word.trim_matches([',', '.', ':']));
    let told = words.filter(|word| word.chars().filter(|c| c.is_alphabetic()).count() >= 3);
    told.filter(|word| !UNITS.contains(word)).map(str::to_owned).collect()
}

#[test]
fn every_paper_is_said_through_the_catalogue() {
    let root = tempfile::tempdir().unwrap();
    let folder = written("en-XA", root.path());
    let out = |name: &str| folder.join(name).display().to_string();
    let (shop, names_csv) = (example("shop.toml"), example("names/names.csv"));
    spoken("en-XA", &["paper", "card", &example("heron/piece.toml"), "--out", &out("card.pdf")]);
    spoken("en-XA", &["paper", "calibration", &example("heron/piece.toml"), "--out", &out("calibration.pdf")]);
    let wanted = ["--bore", "1/8in", "--pressure", "40psi", "--on", "6min"];
    spoken("en-XA", &[&["paper", "shop", &shop, "--out", &out("shop.pdf")], &wanted[..]].concat());
    let batch = ["--seconds", "0.1", "--setup", "3min", "--fit", "name=76mm", "--out", &out("batch")];
    spoken("en-XA", &[&["batch", &example("names/piece.toml"), &names_csv], &batch[..]].concat());
    let papers = [
        "plan/job-sheet.pdf",
        "stencil/stencil-sheet.pdf",
        "quote/quote.pdf",
        "class/class-pack.pdf",
        "card.pdf",
        "calibration.pdf",
        "shop.pdf",
        "batch/labels.pdf",
        "batch/cabinet-card.pdf",
    ];
    let names = names();
    for paper in papers {
        let said = poppler("pdftotext", &folder.join(paper), &["-raw", "-"]).matches('‹').count();
        assert!(said > 0, "{paper} says nothing through the catalogue");
        let left = unsaid(&folder.join(paper), &names);
        assert!(left.is_empty(), "{paper}: {left:?}");
    }
}

#[test]
fn a_fault_is_told_in_the_readers_language() {
    let output = sabulo(["--language", "de", "plan", "nowhere/piece.toml"]);
    assert_eq!(code(&output), 1);
    assert!(complaint(&output).contains("nowhere"), "{}", complaint(&output));
    let output = sabulo(["artwork", "--language", "de", "nowhere.svg"]);
    assert!(complaint(&output).contains("nicht lesbar"), "{}", complaint(&output));
}

#[test]
fn the_language_is_not_taken_from_the_environment() {
    let output = Command::new(env!("CARGO_BIN_EXE_sabulo"))
        .args(["air", "nozzle", "--bore", "1/8in", "--pressure", "100psi"])
        .envs([("LANG", "de_DE.UTF-8"), ("LC_ALL", "de_DE.UTF-8"), ("LANGUAGE", "de")])
        .output()
        .unwrap();
    assert!(String::from_utf8_lossy(&output.stdout).contains("discharge coefficient"));
}
