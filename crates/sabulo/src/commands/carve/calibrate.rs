//! `sabulo carve calibrate`: what coupons say, and which one to blast next.

use super::asked::load_shop;
use language::say;

use crate::commands::{print, print_json};
use crate::error::Failure;
use crate::folder::{read, read_text, write_file};
use clap::Args;
use piece::{Coupon, read_shop};
use plan::calibration::{Calibrated, Told, calibrate as calibrated};
use plan::calibration_document::CalibrationDocument;
use plan::calibration_words::{next, outcome, setting};
use plan::coupon_table::{same, shop_rows};
use plan::words::ranged;
use quantity::UnitSystem;
use quantity::show::{Show as _, clock};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(super) struct CalibrateArguments {
    /// Coupons as comma-separated values, first line: material,abrasive,grit,nozzle,pressure,standoff,opening,time,
    /// depth, and, if known, gauge,resist,resist_state. Left out: the shop file's own.
    coupons: Option<PathBuf>,
    /// The shop file, whose nozzles and air they were blasted with.
    #[arg(long, value_name = "FILE")]
    shop: PathBuf,
    /// Append the coupons to the shop file, whose other lines stay as they are.
    #[arg(long, requires = "coupons")]
    write: bool,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

pub(super) fn calibrate(arguments: &CalibrateArguments) -> Result<ExitCode, Failure> {
    let shop = load_shop(&arguments.shop)?;
    let given = match &arguments.coupons {
        Some(path) => plan::coupon_table::read(&read(path)?, &shop)
            .map_err(|fault| Failure::Coupons { path: path.clone(), fault: Box::new(fault) })?,
        None => Vec::new(),
    };
    // What the shop file holds already is not told twice.
    let new: Vec<Coupon> =
        given.into_iter().filter(|coupon| shop.coupons.iter().all(|have| !same(have, coupon))).collect();
    let path = arguments.coupons.as_ref().unwrap_or(&arguments.shop);
    let answer =
        calibrated(&shop, &new).map_err(|fault| Failure::Calibrate { path: path.clone(), fault: Box::new(fault) })?;
    if arguments.write && !new.is_empty() {
        append(&arguments.shop, &new)?;
    }
    match arguments.json {
        true => print_json(&CalibrationDocument::from(&answer))?,
        false => {
            let written =
                arguments.write.then(|| say!("{} written to {}.", new.len(), arguments.shop.display()) + "\n");
            print(&(told(&answer, shop.units) + &written.unwrap_or_default()))?;
        }
    }
    Ok(ExitCode::SUCCESS)
}

/// Adds rows to the end of a shop file, once the whole has been read back.
fn append(path: &Path, coupons: &[Coupon]) -> Result<(), Failure> {
    let mut text = read_text(path)?;
    if !text.ends_with('\n') {
        text.push('\n');
    }
    text += &shop_rows(coupons);
    read_shop(&text, &path.display().to_string())?;
    write_file(path, text.as_bytes())
}

fn told(answer: &Calibrated, units: UnitSystem) -> String {
    let mut lines: Vec<String> = answer.coupons.iter().enumerate().map(|(i, coupon)| row(i, coupon, units)).collect();
    lines.extend(outcome(answer));
    if let Some([next, why]) = next(answer, units) {
        lines.extend([next, format!("  {why}")]);
    }
    lines.join("\n") + "\n"
}

fn row(i: usize, told: &Told, units: UnitSystem) -> String {
    say!(
        "Coupon {}: {}, {}: gauged {}; expected {} before, {} after",
        i + 1,
        setting(&told.coupon, units),
        clock(told.coupon.time),
        told.coupon.depth.show(units),
        ranged(told.before, units),
        ranged(told.after, units),
    )
}
