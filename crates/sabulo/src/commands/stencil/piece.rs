//! `sabulo stencil PIECE.toml`: every layer of a piece in every form.

use super::document::{LayerEntry, Made, make, told_and_files};
use super::forms::FormArguments;
use crate::commands::plan::{STOPPED, for_programs, make as plan_of, shop_of};
use crate::commands::print;
use crate::commands::stop_line;
use crate::error::Failure;
use crate::folder::write_all;
use ::piece::{Body, Side};
use clap::Args;
use language::{Language, say};
use paper::{Sheet, SheetLayer, stencil_sheet};
use plan::document::PlanDocument;
use plan::{Detail, Making, Plan, State, words};
use quantity::show::Show as _;
use quantity::{Length, known};
use serde::Serialize;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use stencil::layers::{Consumption, consumption};

#[derive(Debug, Args)]
pub(super) struct PieceArguments {
    /// The piece file.
    #[arg(required = true)]
    piece: Option<PathBuf>,
    /// Folder for the files. Left out: nothing is written, they are made and checked all the same.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// The shop file. Left out: shop.toml beside the piece, or in the folder above it.
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
    #[command(flatten)]
    forms: FormArguments,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

/// What was made of a piece.
#[derive(Debug, Serialize)]
struct StencilDocument {
    piece: String,
    shop: String,
    resist: String,
    /// "front", or "back" with every layer mirrored.
    carve_from: &'static str,
    /// "panel", "cylinder", "cone" or "bowl": what the film is unrolled from; a bowl's is cut into gores.
    unrolled_from: &'static str,
    layers: Vec<LayerEntry>,
    resist_mm2: f64,
    transfer_tape_mm2: f64,
    weeded_mm2: f64,
    /// Every resist of the shop under the plan's blast.
    resists: serde_json::Value,
    /// What is covered around the stencil.
    masking: serde_json::Value,
    /// What stops it: findings of the plan and of the files.
    stops: Vec<String>,
}

/// Tape around the openings of each layer.
const TAPE_MARGIN: Length = known(Length::mm(15.0));

pub(super) fn piece(arguments: &PieceArguments, reader: Language) -> Result<ExitCode, Failure> {
    // The parser asks for a piece wherever no other question is asked.
    let path = arguments.piece.as_deref().unwrap_or(Path::new("piece.toml"));
    let shop = shop_of(path, arguments.shop.as_deref())?;
    let planned = || plan_of(path, &shop, Detail::Instant);
    let plan = reader.scope(planned)?;
    let layers = plan::stencils(&plan)?;
    let resist = plan.recipe.resist;
    let roll = shop.resists.iter().find(|stock| stock.resist.id == resist.id).map(|stock| stock.width);
    let making = arguments.forms.making(&shop.stencil, resist.kind, roll)?;
    let how = (&making, &arguments.forms.forms()[..]);
    let made = reader.scope(|| make(&layers, "stencil", how, Making::pace(&shop.hands, resist.kind)))?;
    let sheet = reader.scope(|| sheet(&plan, &made))?;
    let (entries, files) = told_and_files(made);
    let used = consumption(&layers, TAPE_MARGIN);
    let document = for_programs(&plan, reader, planned, |plan| document(plan, entries, used))??;
    let text = serde_json::to_string_pretty(&document)? + "\n";
    if let Some(folder) = &arguments.out {
        let mut all: Vec<(String, &[u8])> = files.iter().map(|(name, bytes)| (name.clone(), &bytes[..])).collect();
        all.push((SHEET.to_owned(), &sheet[..]));
        all.push(("stencil.json".to_owned(), text.as_bytes()));
        write_all(folder, &all)?;
    }
    match arguments.json {
        true => print(&text)?,
        false => print(&told(&plan, &document, arguments.out.as_deref()))?,
    }
    Ok(if document.stops.is_empty() { ExitCode::SUCCESS } else { ExitCode::from(STOPPED) })
}

/// Name of the sheet that lies beside the stencil while it is weeded.
const SHEET: &str = "stencil-sheet.pdf";

/// The stencil sheet: how each layer is weeded, and what is covered. A film is washed out, so its sheet has the cover
/// only.
fn sheet(plan: &Plan, made: &[Made]) -> Result<Vec<u8>, Failure> {
    let layers: Vec<SheetLayer<'_>> = made
        .iter()
        .filter_map(|made| Some(SheetLayer { layer: &made.layer, weed: made.weed.as_ref()?, cut: made.cut.as_ref() }))
        .collect();
    Ok(stencil_sheet(plan, &layers, Sheet::usual(plan.units), None)?)
}

fn document(plan: &Plan, layers: Vec<LayerEntry>, used: Consumption) -> Result<StencilDocument, Failure> {
    let blank = &plan.piece.blank;
    let full = PlanDocument::new(plan, Vec::new());
    Ok(StencilDocument {
        piece: plan.piece.name.clone(),
        shop: plan.shop.clone(),
        resist: plan.recipe.resist.id.clone(),
        carve_from: match blank.carve_from {
            Side::Front => "front",
            Side::Back => "back",
        },
        unrolled_from: match blank.body {
            Body::Panel { .. } => "panel",
            Body::Tumbler { .. } if blank.body.is_straight() => "cylinder",
            Body::Tumbler { .. } => "cone",
            Body::Bowl { .. } => "bowl",
        },
        resist_mm2: used.resist.to_square_mm(),
        transfer_tape_mm2: used.transfer_tape.to_square_mm(),
        weeded_mm2: used.weeded.to_square_mm(),
        resists: serde_json::to_value(&full.resists)?,
        masking: serde_json::to_value(&full.masking)?,
        stops: stops(plan, &layers),
        layers,
    })
}

/// What stops it: findings of the plan and of the files.
fn stops(plan: &Plan, layers: &[LayerEntry]) -> Vec<String> {
    let stopped = plan.findings.iter().filter(|finding| finding.state == State::Stop);
    let stops = stopped.map(|finding| words::finding(finding, plan.units).title);
    stops.chain(layers.iter().filter_map(LayerEntry::stop)).collect()
}

/// In words, for people.
fn told(plan: &Plan, document: &StencilDocument, folder: Option<&Path>) -> String {
    let mut text = format!("{}: {}\n\n", plan.piece.name, plan.recipe.resist.name);
    text.extend(document.layers.iter().map(|layer| layer.told(plan.units)));
    text += &format!("\n{}\n", say!("Resists in stock under this blast:"));
    for option in &plan.resists {
        text += &format!("  {}: {}\n", option.resist.name, words::resist_option(option, plan.units));
    }
    text += &format!("\n{}\n", say!("Masking: {}", words::masking(plan)));
    for cover in plan.masking.covers.iter().filter(|cover| cover.area().to_square_mm() > 0.0) {
        text += &format!(
            "  {}, {}: {}\n",
            words::cover_part(cover),
            cover.area().show(plan.units),
            words::cover_with(cover)
        );
    }
    text.extend(stops(plan, &document.layers).iter().map(|stop| format!("\n{}", stop_line(stop))));
    if let Some(folder) = folder {
        let names: Vec<&str> =
            document.layers.iter().flat_map(|layer| &layer.files).map(|file| file.path.as_str()).collect();
        let names = format!("{}, {SHEET}, stencil.json", names.join(", "));
        text += &format!("\n{}\n", say!("Written to {}: {}", folder.display(), names));
    }
    text
}
