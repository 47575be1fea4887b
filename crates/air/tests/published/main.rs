//! Published and independently computed figures, row by row.
//!
//! `air-checks.csv`: one row a figure, with its source and whether that was seen. Computed rows are
//! from CoolProp 8.0.0, fluids 1.3.1, psychrolib 2.5.0 and scipy 1.17.1. `systems.csv`: three whole
//! lines in time, integrated by scipy's RK45 at a relative tolerance of 1e-10.

mod hose;
mod moisture;
mod nozzle;
mod parts;
mod receiver;
mod systems;

/// One figure.
pub(crate) struct Row {
    pub(crate) id: String,
    pub(crate) inputs: String,
    /// The expected numbers, in the row's unit.
    pub(crate) expected: Vec<f64>,
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
    let numbers = cells[3].split(['/', ';']).map(|text| text.trim_start_matches(|c| !is_numeric(c)));
    let expected = numbers.filter(|text| !text.is_empty()).map(leading_number).collect();
    Row { id: cells[0].clone(), inputs: cells[2].clone(), expected }
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
