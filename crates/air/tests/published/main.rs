//! Published and independently computed figures, row by row.
//!
//! `air-checks.csv`: one row a figure, with its source and whether that was seen. Computed rows are
//! from CoolProp 8.0.0, fluids 1.3.1, psychrolib 2.5.0 and scipy 1.17.1. `systems.csv`: three whole
//! lines in time, integrated by scipy's RK45 at a relative tolerance of 1e-10.

mod energy;
mod hose;
mod moisture;
mod network;
mod nozzle;
mod parts;
mod receiver;
mod systems;

use std::collections::BTreeMap;

/// One figure.
pub(crate) struct Row {
    pub(crate) id: String,
    pub(crate) quantity: String,
    pub(crate) inputs: String,
    /// The expected cell as it is written.
    pub(crate) written: String,
    /// The expected numbers, in the row's unit.
    pub(crate) expected: Vec<f64>,
    pub(crate) source: String,
}

/// Rows whose ids begin alike, and how they are checked.
pub(crate) struct Family {
    prefix: &'static str,
    /// Error of a row over what is allowed it.
    judge: Box<dyn Fn(&Row) -> f64>,
}

/// A family whose rows may all be off by the same.
pub(crate) fn family(prefix: &'static str, limit: f64, off: impl Fn(&Row) -> f64 + 'static) -> Family {
    each(prefix, move |row| off(row) / limit)
}

/// A family of rows that bring the error as a share of what is allowed.
pub(crate) fn each(prefix: &'static str, judge: impl Fn(&Row) -> f64 + 'static) -> Family {
    Family { prefix, judge: Box::new(judge) }
}

fn families() -> Vec<Family> {
    let all = [
        nozzle::families(),
        parts::families(),
        receiver::families(),
        hose::families(),
        moisture::families(),
        energy::families(),
        network::families(),
    ];
    all.into_iter().flatten().collect()
}

#[test]
fn every_row_of_the_list_agrees_with_its_source() {
    let families = families();
    let rows = rows("");
    let lines = include_str!("air-checks.csv").lines().filter(|line| !line.trim().is_empty()).count();
    assert_eq!(rows.len(), lines - 1, "a row was not read");
    let mut groups: BTreeMap<&str, (usize, f64, String, String)> = BTreeMap::new();
    let mut missed = Vec::new();
    for row in &rows {
        assert!(!row.source.is_empty(), "{}: no source", row.id);
        let fitting = families.iter().filter(|family| row.id.starts_with(family.prefix));
        let family = fitting.max_by_key(|family| family.prefix.len());
        let family = family.unwrap_or_else(|| panic!("{}: no family checks this row", row.id));
        let ratio = (family.judge)(row).abs();
        if ratio.is_nan() || ratio > 1.0 {
            missed.push(format!("{} ({:.3} of what is allowed; {})", row.id, ratio, row.source));
        }
        let group = groups.entry(family.prefix).or_insert((0, -1.0, String::new(), row.source.clone()));
        group.0 += 1;
        if ratio > group.1 {
            (group.1, group.2) = (ratio, row.id.clone());
        }
    }
    for (prefix, (count, worst, id, source)) in &groups {
        println!("{prefix:<14} {count:>3} rows, worst {worst:.4} of what is allowed, at {id}; {source}");
    }
    let idle: Vec<_> =
        families.iter().map(|family| family.prefix).filter(|prefix| !groups.contains_key(prefix)).collect();
    assert!(idle.is_empty(), "families without a row: {idle:?}");
    assert!(missed.is_empty(), "{} of {} rows: {missed:#?}", missed.len(), rows.len());
}

/// The rows of a family: those whose id begins so.
pub(crate) fn rows(family: &str) -> Vec<Row> {
    let all = csv_lines(include_str!("air-checks.csv"));
    let found: Vec<Row> = all.skip(1).filter(|cells| cells[0].starts_with(family)).map(row).collect();
    assert!(!found.is_empty(), "no row begins with {family}");
    found
}

/// The one row of an id.
pub(crate) fn the(id: &str) -> Row {
    rows(id).into_iter().find(|row| row.id == id).unwrap()
}

fn row(cells: Vec<String>) -> Row {
    let written = between_digits(&cells[3]);
    let numbers = written.split(['/', ';']).map(|text| text.trim_start_matches(|c| !is_numeric(c)));
    let expected = numbers.filter(|text| text.contains(|c: char| c.is_ascii_digit())).map(leading_number).collect();
    Row {
        id: cells[0].clone(),
        quantity: cells[1].clone(),
        inputs: cells[2].clone(),
        written: cells[3].clone(),
        expected,
        source: cells[6].clone(),
    }
}

/// A range `0.5-5` as two numbers.
fn between_digits(cell: &str) -> String {
    let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
    let letters: Vec<char> = cell.chars().collect();
    let place = |at: usize| at.checked_sub(1).and_then(|at| letters.get(at).copied());
    let split = |(at, &c): (usize, &char)| {
        if c == '-' && digit(place(at)) && digit(letters.get(at + 1).copied()) { '/' } else { c }
    };
    letters.iter().enumerate().map(split).collect()
}

/// Cells of each line; quotes hold commas together.
pub(crate) fn csv_lines(text: &'static str) -> impl Iterator<Item = Vec<String>> {
    text.lines().map(|line| {
        let (mut cells, mut quoted) = (vec![String::new()], false);
        for letter in line.chars() {
            match letter {
                '"' => quoted = !quoted,
                ',' if !quoted => cells.push(String::new()),
                _ => cells.last_mut().unwrap().push(letter),
            }
        }
        cells
    })
}

impl Row {
    pub(crate) fn value(&self) -> f64 {
        self.expected[0]
    }

    /// The number behind a key in the inputs; a fraction is divided.
    pub(crate) fn after(&self, key: &str) -> f64 {
        let at = self.inputs.find(key).unwrap_or_else(|| panic!("{}: no \"{key}\" in {}", self.id, self.inputs));
        leading_number(self.inputs[at + key.len()..].trim_start())
    }

    /// The number before a unit in the inputs.
    pub(crate) fn before(&self, unit: &str) -> f64 {
        let at = self.inputs.find(unit).unwrap_or_else(|| panic!("{}: no \"{unit}\" in {}", self.id, self.inputs));
        let text = self.inputs[..at].trim_end();
        let start = text.rfind(|c: char| !is_numeric(c)).map_or(0, |at| at + 1);
        leading_number(&text[start..])
    }
}

fn is_numeric(letter: char) -> bool {
    letter.is_ascii_digit() || matches!(letter, '.' | '/' | '-' | '+')
}

fn leading_number(text: &str) -> f64 {
    let end = text.find(|c: char| !is_numeric(c)).unwrap_or(text.len());
    let text = text[..end].trim_end_matches(['-', '/']);
    match text.split_once('/') {
        Some((above, below)) => above.parse::<f64>().unwrap() / below.parse::<f64>().unwrap(),
        None => text.parse().unwrap_or_else(|_| panic!("\"{text}\" is not a number")),
    }
}

/// Compares every row and prints the worst.
pub(crate) fn agree(family: &str, limit: f64, unit: &str, rows: &[Row], deviation: impl Fn(&Row) -> f64) {
    let mut worst = (0.0, "");
    for row in rows {
        let off = deviation(row);
        assert!(!off.is_nan(), "{}", row.id);
        if off.abs() >= f64::abs(worst.0) {
            worst = (off, &row.id);
        }
    }
    println!("{family}: {} rows, worst {:+.5}{unit} at {} (limit {limit}{unit})", rows.len(), worst.0, worst.1);
    assert!(worst.0.abs() <= limit, "{family}: {} is {:+}{unit} off, {limit}{unit} allowed", worst.1, worst.0);
}

/// How far a number is from another, in percent.
pub(crate) fn percent(ours: f64, theirs: f64) -> f64 {
    (ours / theirs - 1.0) * 100.0
}
