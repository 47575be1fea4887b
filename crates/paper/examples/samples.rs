//! Writes sample job sheets into the folder given, to look at.

#[path = "../tests/common/mod.rs"]
mod common;

use common::{Like, USUAL, plan, preview};
use paper::{Date, JobSheetOptions, Sheet, job_sheet};
use quantity::UnitSystem;
use std::path::PathBuf;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = PathBuf::from(std::env::args().nth(1).ok_or("give a folder to write to")?);
    let us = Like { units: UnitSystem::Us, ..USUAL };
    let many = Like { layers: 8, findings: 15, ..USUAL };
    let worst = Like { long_names: true, units: UnitSystem::Us, ..many };
    let samples = [
        ("usual-a4-portrait", USUAL, Sheet::A4, (1050, 1400)),
        ("usual-letter-landscape", us, Sheet::Letter, (1400, 933)),
        ("wide-a4", USUAL, Sheet::A4, (1400, 700)),
        ("many-a4", many, Sheet::A4, (1050, 1400)),
        ("worst-letter", worst, Sheet::Letter, (1400, 1400)),
    ];
    for (name, like, sheet, (width, height)) in samples {
        let preview = preview(width, height);
        let options = JobSheetOptions { sheet, preview: &preview, date: Date::new(2026, 11, 25) };
        std::fs::write(folder.join(format!("{name}.pdf")), job_sheet(&plan(like), &options)?)?;
    }
    Ok(())
}
