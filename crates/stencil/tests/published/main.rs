//! Published and independently worked figures of vessels, exposure and halftones, row by row.
//!
//! `process-checks.csv`: one row a figure, with its source and whether that was seen. A row without a family
//! that checks it fails the test.

mod exposure;
mod halftone;
mod vessels;

use std::collections::BTreeMap;

/// One figure.
pub(crate) struct Row {
    pub(crate) id: String,
    pub(crate) quantity: String,
    pub(crate) inputs: String,
    /// The expected cell as it is written.
    pub(crate) written: String,
    /// Allowed error as a share.
    tolerance: f64,
    source: String,
}

impl Row {
    /// The number right after a mark in the inputs.
    pub(crate) fn input(&self, mark: &str) -> f64 {
        let after = self.inputs.split_once(mark).unwrap_or_else(|| panic!("{}: no {mark} in {}", self.id, self.inputs));
        first_number(after.1).unwrap_or_else(|| panic!("{}: no number after {mark}", self.id))
    }

    /// All numbers of the inputs, in order.
    pub(crate) fn inputs(&self) -> Vec<f64> {
        let words = self.inputs.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'));
        words.filter_map(|word| word.parse().ok()).collect()
    }

    /// What comes after the last dash of the id.
    pub(crate) fn last(&self) -> &str {
        self.id.rsplit('-').next().unwrap_or_default()
    }
}

fn first_number(text: &str) -> Option<f64> {
    let text = text.trim_start();
    let end = text.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-')).unwrap_or(text.len());
    text[..end].parse().ok()
}

/// What a row's own inputs give here: a number, or a text to be matched exactly.
pub(crate) enum Found {
    Number(f64),
    Text(String),
}

/// Computes what a row asks for.
pub(crate) type Check = fn(&Row) -> Found;

/// Rows whose ids begin alike, and how they are computed.
fn families() -> Vec<(&'static str, Check)> {
    [vessels::FAMILIES, exposure::FAMILIES, halftone::FAMILIES].concat()
}

fn rows() -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(include_str!("process-checks.csv").as_bytes());
    let row = |record: csv::StringRecord| {
        let cell = |i: usize| record[i].to_owned();
        let tolerance = match record[5].split(' ').next() {
            Some("exact") => 1e-9,
            Some(share) => 0.01 * share.trim_end_matches('%').parse::<f64>().unwrap(),
            None => panic!("{}: no tolerance", &record[0]),
        };
        Row { id: cell(0), quantity: cell(1), inputs: cell(2), written: cell(3), tolerance, source: cell(6) }
    };
    reader.records().map(|record| row(record.unwrap())).collect()
}

#[test]
fn every_row_of_the_list_agrees_with_its_source() {
    let (rows, families) = (rows(), families());
    let mut worst: BTreeMap<&str, (usize, f64, &str)> = BTreeMap::new();
    let mut missed = Vec::new();
    for row in &rows {
        assert!(!row.source.is_empty(), "{}: no source", row.id);
        let fitting = families.iter().filter(|(prefix, _)| row.id.starts_with(prefix));
        let Some((prefix, check)) = fitting.max_by_key(|(prefix, _)| prefix.len()) else {
            panic!("{}: no family checks this row", row.id);
        };
        let off = match check(row) {
            Found::Text(text) => f64::from(u8::from(text != row.written)),
            Found::Number(found) => (found / row.written.parse::<f64>().unwrap() - 1.0).abs(),
        };
        if off.is_nan() || off > row.tolerance {
            missed.push(format!("{} ({}): off by {off:.2e}", row.id, row.quantity));
        }
        let group = worst.entry(prefix).or_insert((0, -1.0, &row.id));
        group.0 += 1;
        if off > group.1 {
            (group.1, group.2) = (off, &row.id);
        }
    }
    for (prefix, (count, off, id)) in &worst {
        println!("{prefix:8} {count:3} rows, worst {off:.1e} ({id})");
    }
    assert!(missed.is_empty(), "{missed:#?}");
    assert_eq!(worst.values().map(|group| group.0).sum::<usize>(), rows.len());
    assert_eq!(worst.len(), families.len(), "a family has no row");
}
