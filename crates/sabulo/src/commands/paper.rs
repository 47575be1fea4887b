//! `sabulo paper`: documents that no other command writes by the way.

use super::plan::{Paper, make, shop_of};
use super::print;
use super::size::WantedArguments;
use crate::error::Failure;
use crate::folder::{read_text, write_file};
use ::paper::{ShopSpec, cabinet_card, shop_spec};
use clap::{Args, Subcommand};
use language::say;
use piece::read_shop;
use plan::Detail;
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, Subcommand)]
pub(crate) enum PaperCommand {
    /// A card for the wall beside the cabinet: settings, stages, cautions.
    Card(CardArguments),
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

pub(crate) fn paper(command: &PaperCommand) -> Result<ExitCode, Failure> {
    let out = match command {
        PaperCommand::Card(arguments) => {
            let shop = shop_of(&arguments.piece, arguments.shop.as_deref())?;
            let plan = make(&arguments.piece, &shop, Detail::USUAL)?;
            let card = cabinet_card(&plan, arguments.paper.sheet(), None);
            write_file(&arguments.out, &card.map_err(|fault| Failure::Sheet { name: say!("card"), fault })?)?;
            &arguments.out
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
