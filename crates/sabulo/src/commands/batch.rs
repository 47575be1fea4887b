//! `sabulo batch`: a piece and a table of names in; evenings, nested sheets, labels and a schedule out.

use super::plan::{Paper, shop_of};
use super::{print, print_json, quantity};
use crate::error::Failure;
use crate::folder::{read, read_text, write_all};
use ::batch::document::{OrderDocument, told};
use ::batch::{EveningOptions, NestWish, Order, OrderOptions, order};
use artwork::batch::Fit;
use clap::Args;
use language::{Language, say, say_count};
use paper::{Label, cabinet_card, label_sheet};
use piece::read_piece;
use quantity::Length;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Mutex;
use std::time::Instant;
use stencil::nest::{NestOptions, cut_svg};

#[derive(Debug, Args)]
pub(crate) struct BatchArguments {
    /// The piece file; its drawing has places for the table's columns: {name} in a text, or a text whose id is it.
    piece: PathBuf,
    /// A CSV file; its first row names the columns.
    names: PathBuf,
    /// Folder for the sheets, labels and tables.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// How long an evening is.
    #[arg(long, value_name = "TIME", default_value = "3h")]
    evenings: String,
    /// What one of many takes to mask and wash. Left out: the shop's own time for one piece.
    #[arg(long, value_name = "TIME")]
    setup: Option<String>,
    /// Shrink a column's text to fit a width: name=60mm. May be given several times.
    #[arg(long, value_name = "COLUMN=WIDTH")]
    fit: Vec<String>,
    /// Resist left around each drawing.
    #[arg(long, default_value = "5mm")]
    border: String,
    /// Least distance between two pieces.
    #[arg(long, default_value = "2mm")]
    gap: String,
    /// How long to look for better layouts, all evenings together.
    #[arg(long, default_value_t = 10.0)]
    seconds: f64,
    /// Another seed, another layout.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// The shop file. Left out: shop.toml beside the piece, or in the folder above it.
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
    /// Paper of labels and card.
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    paper: Paper,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

/// Least share of its size that a text may be shrunk to.
const LEAST_SCALE: f64 = 0.6;
/// Distance of pieces from the roll's edges.
const EDGE: Length = quantity::known(Length::mm(3.0));

pub(crate) fn batch(arguments: &BatchArguments, reader: Language) -> Result<ExitCode, Failure> {
    let shop = shop_of(&arguments.piece, arguments.shop.as_deref())?;
    let piece = read_piece(&read_text(&arguments.piece)?, &arguments.piece.display().to_string(), &shop)?;
    let template = read(&arguments.piece.with_file_name(&piece.artwork))?;
    let options = options(arguments)?;
    let seconds = arguments.seconds.max(1e-3);
    // Each evening's share of the time begins when its nesting does.
    let begun: Mutex<Option<(usize, Instant)>> = Mutex::new(None);
    let spent = |evening: usize, evenings: usize| {
        let mut begun = begun.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        let start = match *begun {
            Some((known, start)) if known == evening => start,
            _ => Instant::now(),
        };
        *begun = Some((evening, start));
        start.elapsed().as_secs_f64() * evenings as f64 / seconds
    };
    let names = read(&arguments.names)?;
    let made = reader.scope(|| order(&piece, &template, &names, &shop, &options, &spent));
    let made = made.map_err(|fault| Failure::Order(Box::new(fault)))?;
    let document = Language::English.scope(|| OrderDocument::new(&made));
    let written = reader.scope(|| write(&arguments.out, &made, &document, arguments.paper))?;
    match arguments.json {
        true => print_json(&document)?,
        false => print(&(told(&made) + &written))?,
    }
    // Rows that could not be made are told; those that could are there.
    Ok(if made.bad.is_empty() { ExitCode::SUCCESS } else { ExitCode::from(1) })
}

fn options(arguments: &BatchArguments) -> Result<OrderOptions, Failure> {
    let fit = |text: &String| {
        let (column, width) = text.split_once('=').ok_or_else(|| Failure::Fit { given: text.clone() })?;
        Ok(Fit { column: column.to_owned(), width: quantity("--fit", width)?, least_scale: LEAST_SCALE })
    };
    Ok(OrderOptions {
        evenings: EveningOptions {
            length: quantity("--evenings", &arguments.evenings)?,
            setup: arguments.setup.as_deref().map(|text| quantity("--setup", text)).transpose()?,
        },
        nest: NestWish {
            border: quantity("--border", &arguments.border)?,
            options: NestOptions {
                gap: quantity("--gap", &arguments.gap)?,
                edge: EDGE,
                seed: arguments.seed,
                workers: std::thread::available_parallelism().map_or(1, Into::into),
            },
        },
        fits: arguments.fit.iter().map(fit).collect::<Result<_, Failure>>()?,
    })
}

fn write(folder: &Path, made: &Order, document: &OrderDocument, paper: Paper) -> Result<String, Failure> {
    let sheet = paper.sheet();
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    for (index, nested) in made.sheets.iter().enumerate() {
        for (part, stretch) in nested.nested.sheets.iter().enumerate() {
            let name = format!("{}, evening {}", made.plan.piece.name, index + 1);
            let suffix = if nested.nested.sheets.len() > 1 { format!("-{}", part + 1) } else { String::new() };
            let svg = cut_svg(stretch, &nested.pieces, &nested.cuts, &name);
            files.push((format!("sheet-{}{suffix}.svg", index + 1), svg.into_bytes()));
        }
    }
    let named = |name: &'static str| move |fault| Failure::Sheet { name, fault };
    let labels = label_sheet(&made.plan.piece.name, &made.plan.shop, &labels(document), sheet, None);
    files.push(("labels.pdf".to_owned(), labels.map_err(named("labels.pdf"))?));
    let card = cabinet_card(&made.plan, sheet, None).map_err(named("cabinet-card.pdf"))?;
    files.push(("cabinet-card.pdf".to_owned(), card));
    files.push(("schedule.csv".to_owned(), Language::English.scope(|| document.csv())?.into_bytes()));
    files.push(("batch.json".to_owned(), (serde_json::to_string_pretty(document)? + "\n").into_bytes()));
    let all: Vec<(String, &[u8])> = files.iter().map(|(name, bytes)| (name.clone(), bytes.as_slice())).collect();
    write_all(folder, &all)?;
    let sheets = files.len() - 4;
    let names = "labels.pdf, cabinet-card.pdf, schedule.csv, batch.json";
    Ok(say_count!(
        sheets,
        "Written to {folder}: {sheets} sheet, {names}",
        "Written to {folder}: {sheets} sheets, {names}",
        folder = folder.display()
    ) + "\n")
}

fn labels(document: &OrderDocument) -> Vec<Label> {
    let label = |slot: &::batch::document::SlotEntry| Label {
        number: slot.number.to_string(),
        name: slot.name.clone(),
        note: match slot.more.is_empty() {
            true => say!("evening {}, line {}", slot.evening, slot.line),
            false => say!("{} · evening {}, line {}", slot.more, slot.evening, slot.line),
        },
    };
    document.slots.iter().map(label).collect()
}
