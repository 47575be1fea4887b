//! The whole job sheet, picture included. Budget: 120 ms.

#[path = "../tests/common/mod.rs"]
mod common;

use common::{USUAL, plan, preview};
use criterion::{Criterion, criterion_group, criterion_main};
use paper::{JobSheetOptions, Sheet, job_sheet};

fn whole(criterion: &mut Criterion) {
    let plan = plan(USUAL);
    for (name, (width, height)) in
        [("1050 x 1400 PNG", (1050, 1400)), ("40 x 30 PNG: layout and fonts alone", (40, 30))]
    {
        let preview = preview(width, height);
        let options = JobSheetOptions { sheet: Sheet::A4, preview: &preview, date: None };
        criterion.bench_function(name, |bencher| bencher.iter(|| job_sheet(&plan, &options)));
    }
}

criterion_group!(benches, whole);
criterion_main!(benches);
