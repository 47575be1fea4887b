//! `sabulo safety PIECE.toml`: every check of a piece in a shop.

use super::code;
use crate::commands::plan::{make, shop_of};
use crate::commands::{print, print_json};
use crate::error::Failure;
use clap::Args;
use language::say;
use plan::safety_document::{SafetyDocument, note, worst_first};
use plan::{Detail, Plan};
use safety::caution::by_step;
use safety::check::{Standing, words};
use std::path::PathBuf;
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(super) struct PieceArguments {
    /// The piece file.
    #[arg(required = true)]
    piece: Option<PathBuf>,
    /// The shop file. Left out: shop.toml beside the piece, or in the folder above it.
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
    /// Print JSON, units beside the numbers.
    #[arg(long)]
    json: bool,
}

pub(super) fn check(arguments: &PieceArguments) -> Result<ExitCode, Failure> {
    let piece = arguments.piece.clone().unwrap_or_default();
    let shop = shop_of(&piece, arguments.shop.as_deref())?;
    let plan = make(&piece, &shop, Detail::Instant)?;
    match arguments.json {
        true => print_json(&SafetyDocument::new(&plan))?,
        false => print(&told(&plan))?,
    }
    Ok(code(plan.safety.iter().any(|checked| checked.standing == Standing::Stop)))
}

fn told(plan: &Plan) -> String {
    let mut lines = vec![
        say!(in "a piece and its shop", "{}, in {}", plan.piece.name, plan.shop),
        note().to_owned(),
        String::new(),
    ];
    let (open, told): (Vec<_>, Vec<_>) =
        worst_first(&plan.safety).into_iter().partition(|checked| checked.standing > Standing::NotTold);
    for checked in open {
        let said = words::words(checked, plan.units);
        lines.push(format!("{} {}. {} [{}]", standing(checked.standing), said.title, said.why, said.source));
        lines.extend(said.mends.iter().map(|mend| format!("{} · {mend}", indent(&standing(checked.standing)))));
    }
    let (unknown, found): (Vec<_>, Vec<_>) = told.into_iter().partition(|one| one.standing == Standing::NotTold);
    for checked in found {
        let said = words::words(checked, plan.units);
        lines.push(format!("{} {} [{}]", standing(checked.standing), said.title, said.source));
    }
    let keys: Vec<&str> = unknown.iter().filter_map(|checked| words::key(checked.hazard)).collect();
    if !keys.is_empty() {
        lines.push(format!("{} {}", standing(Standing::NotTold), keys.join(", ")));
    }
    for (step, cautions) in by_step(&plan.cautions) {
        lines.push(format!("\n{}", step.name()));
        for caution in cautions {
            lines.push(format!("  {} {} {} [{}]", caution.hazard, caution.harm, caution.act, caution.source));
        }
    }
    lines.join("\n") + "\n"
}

/// A standing's word in a column of one width.
fn standing(standing: Standing) -> String {
    format!("{:<8}", standing.word())
}

/// As wide as a word, and empty.
fn indent(word: &str) -> String {
    " ".repeat(word.chars().count())
}
