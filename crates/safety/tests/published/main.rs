//! Regulations, standards and independently worked figures of safety, row by row.
//!
//! `process-checks.csv`: one row a figure, with its regulation or source and whether that was seen. A row without
//! a family that checks it fails the test. Left out of the copy: what other crates check (resist, exposure,
//! vessels), costs, legibility, and hardness and heat of materials, which nothing here uses.

mod dust;
mod glass;
mod noise;
mod pressure;
mod ventilation;

use std::collections::BTreeMap;

/// One figure.
pub(crate) struct Row {
    pub(crate) id: String,
    quantity: String,
    pub(crate) inputs: String,
    expected: String,
    tolerance: Tolerance,
    source: String,
}

/// How far a figure may be off.
enum Tolerance {
    Share(f64),
    Absolute(f64),
}

impl Row {
    /// The number right after a mark in the inputs.
    pub(crate) fn input(&self, mark: &str) -> f64 {
        let after = self.inputs.split_once(mark).unwrap_or_else(|| panic!("{}: no {mark} in {}", self.id, self.inputs));
        numbers(after.1).first().copied().unwrap_or_else(|| panic!("{}: no number after {mark}", self.id))
    }

    /// All numbers of the inputs, in order.
    pub(crate) fn inputs(&self) -> Vec<f64> {
        numbers(&self.inputs)
    }

    /// What comes after the first dash of the id.
    pub(crate) fn last(&self) -> &str {
        self.id.split_once('-').map_or("", |(_, last)| last)
    }
}

/// Numbers as they stand in a text, with an exponent or without; a dash between two is no minus.
fn numbers(text: &str) -> Vec<f64> {
    let mut found = Vec::new();
    let mut rest = text;
    while let Some(start) = rest.find(|c: char| c.is_ascii_digit()) {
        rest = &rest[start..];
        let mut end = rest.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(rest.len());
        if rest[end..].starts_with("e-") {
            let exponent = rest[end + 2..].find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len() - end - 2);
            end += 2 + exponent;
        }
        found.push(rest[..end].trim_end_matches('.').parse().unwrap());
        rest = &rest[end..];
    }
    found
}

/// Computes what a row asks for: the figures of its expected cell, one or two.
pub(crate) type Check = fn(&Row) -> Vec<f64>;

/// Rows whose ids begin alike, and how they are computed.
fn families() -> Vec<(&'static str, Check)> {
    [dust::FAMILIES, ventilation::FAMILIES, noise::FAMILIES, pressure::FAMILIES, glass::FAMILIES].concat()
}

fn rows() -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(include_str!("process-checks.csv").as_bytes());
    let row = |record: csv::StringRecord| {
        let cell = |i: usize| record[i].to_owned();
        let tolerance = match record[5].split(' ').collect::<Vec<_>>()[..] {
            // The reference data of the tables are copied, and a guideline has one figure.
            ["exact" | "reference" | "guideline", ..] => Tolerance::Share(1e-9),
            [off, "dB", ..] => Tolerance::Absolute(off.parse().unwrap()),
            [share, ..] => Tolerance::Share(0.01 * share.trim_end_matches('%').parse::<f64>().unwrap()),
            [] => panic!("{}: no tolerance", &record[0]),
        };
        Row { id: cell(0), quantity: cell(1), inputs: cell(2), expected: cell(3), tolerance, source: cell(6) }
    };
    reader.records().map(|record| row(record.unwrap())).collect()
}

fn off(row: &Row, found: &[f64]) -> f64 {
    let expected = numbers(&row.expected);
    assert_eq!(found.len(), expected.len(), "{}: {found:?} for {}", row.id, row.expected);
    let pairs = found.iter().zip(&expected);
    match row.tolerance {
        Tolerance::Share(share) => pairs.map(|(have, want)| (have / want - 1.0).abs() / share).fold(0.0, f64::max),
        Tolerance::Absolute(most) => pairs.map(|(have, want)| (have - want).abs() / most).fold(0.0, f64::max),
    }
}

#[test]
fn every_row_of_the_list_agrees_with_its_regulation_or_source() {
    let (rows, families) = (rows(), families());
    let mut worst: BTreeMap<&str, (usize, f64, String)> = BTreeMap::new();
    let mut missed = Vec::new();
    for row in &rows {
        assert!(!row.source.is_empty(), "{}: no source", row.id);
        let fitting = families.iter().filter(|(prefix, _)| row.id.starts_with(prefix));
        let Some((prefix, check)) = fitting.max_by_key(|(prefix, _)| prefix.len()) else {
            panic!("{}: no family checks this row", row.id);
        };
        let off = off(row, &check(row));
        if off.is_nan() || off > 1.0 {
            missed.push(format!("{} ({}; {}): {off:.2} of its tolerance", row.id, row.quantity, row.source));
        }
        let group = worst.entry(prefix).or_insert((0, -1.0, String::new()));
        group.0 += 1;
        if off > group.1 {
            (group.1, group.2) = (off, row.source.chars().take(60).collect());
        }
    }
    for (prefix, (count, off, source)) in &worst {
        println!("{prefix:8} {count:3} rows, worst {off:.1e} of its tolerance ({source})");
    }
    assert!(missed.is_empty(), "{missed:#?}");
    assert_eq!(worst.len(), families.len(), "a family has no row");
    println!("{} rows", rows.len());
}
