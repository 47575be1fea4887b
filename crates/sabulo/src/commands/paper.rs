//! `sabulo paper`: documents that no other command writes by the way.

use super::plan::{Paper, make, shop_of};
use super::print;
use super::size::WantedArguments;
use crate::error::Failure;
use crate::folder::{read_text, write_file};
use ::paper::{ShopSpec, cabinet_card, calibration_sheet, shop_spec};
use clap::{Args, Subcommand};
use language::say;
use piece::read_shop;
use plan::coupon_table::to_fill_in;
use plan::{Detail, Plan, coupons_worth_blasting};
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, Subcommand)]
pub(crate) enum PaperCommand {
    /// A card for the wall beside the cabinet: settings, stages, cautions.
    Card(CardArguments),
    /// What to blast, gauge and time so that the plan of a piece is surer, with room to write it down.
    Calibration(CalibrationArguments),
    /// What the shop has, and what some wanted work takes.
    Shop(ShopArguments),
}

#[derive(Debug, Args)]
pub(crate) struct CardArguments {
    /// The piece file.
    piece: PathBuf,
    /// The PDF.
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// The shop file. Left out: shop.toml beside the piece, or in the folder above it.
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
    /// Its size.
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    paper: Paper,
}

#[derive(Debug, Args)]
pub(crate) struct CalibrationArguments {
    #[command(flatten)]
    of: CardArguments,
    /// The coupons as comma-separated values too; `carve calibrate` reads them once their depths are filled in.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(crate) struct ShopArguments {
    /// The shop file.
    shop: PathBuf,
    /// The PDF.
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// Its size.
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    paper: Paper,
    #[command(flatten)]
    wanted: WantedArguments,
}

fn planned(arguments: &CardArguments) -> Result<Plan, Failure> {
    let shop = shop_of(&arguments.piece, arguments.shop.as_deref())?;
    make(&arguments.piece, &shop, Detail::USUAL)
}

pub(crate) fn paper(command: &PaperCommand) -> Result<ExitCode, Failure> {
    let out = match command {
        PaperCommand::Card(arguments) => {
            let card = cabinet_card(&planned(arguments)?, arguments.paper.sheet(), None);
            write_file(&arguments.out, &card.map_err(|fault| Failure::Sheet { name: say!("card"), fault })?)?;
            &arguments.out
        }
        PaperCommand::Calibration(CalibrationArguments { of, csv }) => {
            let plan = planned(of)?;
            let sheet = calibration_sheet(&plan, of.paper.sheet(), None);
            write_file(&of.out, &sheet.map_err(|fault| Failure::Sheet { name: say!("calibration sheet"), fault })?)?;
            if let Some(csv) = csv {
                write_file(csv, &to_fill_in(&coupons_worth_blasting(&plan.narrowing))?)?;
            }
            &of.out
        }
        PaperCommand::Shop(arguments) => {
            let shop = read_shop(&read_text(&arguments.shop)?, &arguments.shop.display().to_string())?;
            let wanted: Vec<String> = match &arguments.wanted.bore {
                Some(_) => super::size::sized(&arguments.wanted, shop.units)?.lines().map(str::to_owned).collect(),
                None => Vec::new(),
            };
            let spec = shop_spec(&ShopSpec { shop: &shop, wanted: &wanted }, arguments.paper.sheet(), None);
            write_file(&arguments.out, &spec.map_err(|fault| Failure::Sheet { name: say!("specification"), fault })?)?;
            &arguments.out
        }
    };
    print(&(say!("Written: {}", out.display()) + "\n"))?;
    Ok(ExitCode::SUCCESS)
}
