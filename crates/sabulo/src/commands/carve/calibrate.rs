//! `sabulo carve calibrate`: what coupons say, and which one to blast next.

use super::asked::{load_shop, ranged};
use language::say;

use crate::commands::{print, print_json};
use crate::error::Failure;
use crate::folder::{read, read_text, write_file};
use clap::Args;
use piece::{Coupon, read_shop};
use plan::calibration::{Calibrated, Told, calibrate as calibrated};
use plan::calibration_document::CalibrationDocument;
use plan::coupon_table::{same, shop_rows};
use quantity::UnitSystem;
use quantity::show::{Show as _, clock, significant};
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
    if let Some(widest) = answer.coupons.iter().map(Told::widths).max_by(|a, b| a[1].total_cmp(&b[1])) {
        lines.push(say!(
            "The 90 % range of a depth narrows from {} times to {} times, highest over lowest.",
            significant(widest[0], 3),
            significant(widest[1], 3)
        ));
    }
    if answer.misfit > MISFIT {
        lines.push(say!(
            "One coupon lies {} standard deviations from all the rest: gauge it again.",
            significant(answer.misfit, 2)
        ));
    }
    if answer.effective_share < FEW {
        lines.push(
            say!("The range rests on few sets of constants: more coupons of other kinds would make it surer.").into(),
        );
    }
    if let Some(next) = &answer.next {
        lines.push(say!("Next: {}, for {}.", setting(&next.coupon, units), clock(next.coupon.time)));
        lines.push(say!(
            "  Least sure now is {} ({} times between its ends); that coupon leaves {} times.",
            setting(&next.unsure, units),
            significant(next.width, 3),
            significant(next.width.powf(next.narrows_to), 3),
        ));
    }
    lines.join("\n") + "\n"
}

/// As `Posterior::misfit` and `effective_share` advise.
const MISFIT: f64 = 3.0;
const FEW: f64 = 0.02;

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

fn setting(coupon: &Coupon, units: UnitSystem) -> String {
    say!(
        "{} with {} {}, nozzle {}, {} at {}, opening {}",
        coupon.material.name,
        coupon.abrasive.name,
        coupon.grit.name,
        coupon.nozzle,
        coupon.pressure.show(units),
        coupon.standoff.show(units),
        coupon.opening.show(units),
    )
}
