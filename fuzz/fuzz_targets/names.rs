//! Tables of names, read and, of a few rows, made into pieces.
#![no_main]

use artwork::analysis::AnalysisLimits;
use artwork::batch::{BatchOptions, Fit, batch, read_table};
use artwork::svg::ReadOptions;
use libfuzzer_sys::fuzz_target;
use quantity::{Area, Length, known};

const TEMPLATE: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='80mm' height='40mm' viewBox='0 0 80 40'>\
    <text id='name' x='40' y='20' text-anchor='middle' font-family='Cinzel' font-size='9'>name</text>\
    <text x='40' y='32' text-anchor='middle' font-size='5'>since {year}</text></svg>";

const LIMITS: AnalysisLimits = AnalysisLimits {
    opening: known(Length::mm(0.4)),
    wall: known(Length::mm(0.5)),
    holding: known(Area::square_mm(2.0)),
    neck: known(Length::mm(1.0)),
    corner_degrees: 20.0,
    margin: known(Length::mm(2.0)),
};

fuzz_target!(|bytes: &[u8]| {
    let Some(table) = sabulo_fuzz::within_time(|| read_table(bytes)) else { return };
    if table.rows.len() > 4 || bytes.len() > 1_000 {
        return;
    }
    let fits = vec![Fit { column: "name".to_owned(), width: known(Length::mm(60.0)), least_scale: 0.2 }];
    let options = BatchOptions { read: ReadOptions::default(), fits, limits: LIMITS, rows_max: 100 };
    if let Some(made) = sabulo_fuzz::within_time(|| batch(TEMPLATE.as_bytes(), bytes, &options)) {
        assert_eq!(made.made.len() + made.bad.len(), table.rows.len());
    }
});
