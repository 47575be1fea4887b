//! `sabulo plan`: a piece file in, a plan and its files out.

use super::{artwork_file, column, print, quantity};
use crate::error::Failure;
use crate::folder::{read_text, write_all};
use clap::{Args, ValueEnum};
use language::{Language, carried, say};
use paper::{JobSheetOptions, Sheet};
use picture::preview::{Look, PreviewOptions, png, preview, shrunk};
use picture::svg::{self, Colours};
use picture::{StripOptions, Theme, run_strip};
use piece::Money;
use piece::{Shop, read_piece, read_shop};
use plan::document::{FileEntry, PlanDocument};
use plan::search::{self, Within};
use plan::search_document::SearchDocument;
use plan::{Detail, Plan, State, search_words, words};
use quantity::Length;
use quantity::show::Show as _;
use rayon::prelude::*;
use sha2::{Digest as _, Sha256};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use stencil::verify::verified;

#[derive(Debug, Args)]
pub(crate) struct PlanArguments {
    /// The piece file.
    piece: PathBuf,
    /// Folder for the files. Left out: nothing is written, the plan is only printed.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// The shop file. Left out: shop.toml beside the piece, or in the folder above it.
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
    /// Cell of the carved surface, 0.02mm to 1mm.
    #[arg(long, default_value = "0.1mm")]
    cell: String,
    /// Solve the carving equation on the cells instead of using its closed form; takes seconds.
    #[arg(long)]
    solve: bool,
    /// Paper of the job sheet.
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    paper: Paper,
    /// Print plan.json, or with --search what was found, instead of words.
    #[arg(long)]
    json: bool,
    /// Search the recipes for the best trade-offs of time, cost and risk, and plan nothing: all that the shop owns, or
    /// with "open" only what the piece leaves open.
    #[arg(long, value_enum, num_args = 0..=1, require_equals = true, default_missing_value = "all", value_name = "WHAT",
          conflicts_with_all = ["out", "solve"])]
    search: Option<Searched>,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum Searched {
    All,
    Open,
}

/// A size of paper, as it is asked for.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub(super) enum Paper {
    A4,
    Letter,
}

impl Paper {
    pub(super) const fn sheet(self) -> Sheet {
        match self {
            Self::A4 => Sheet::A4,
            Self::Letter => Sheet::Letter,
        }
    }
}

/// A planned piece stops here, for scripts.
pub(super) const STOPPED: u8 = 3;

pub(crate) fn plan(arguments: &PlanArguments, reader: Language) -> Result<ExitCode, Failure> {
    let cell: Length = quantity("--cell", &arguments.cell)?;
    let shop = shop_of(&arguments.piece, arguments.shop.as_deref())?;
    if let Some(searched) = arguments.search {
        return search(arguments, searched, cell, &shop);
    }
    let detail = if arguments.solve { Detail::Solved { cell } } else { Detail::Fine { cell } };
    let made = || make(&arguments.piece, &shop, detail);
    let plan = reader.scope(made)?;
    let files = reader.scope(|| files(&plan, arguments.paper))?;
    let entries = files.iter().map(|file| FileEntry {
        path: file.name.clone(),
        kind: file.kind.to_owned(),
        sha256: hex(&Sha256::digest(&file.bytes)),
    });
    let document = for_programs(&plan, reader, made, |plan| PlanDocument::new(plan, entries.collect()))?;
    let document = serde_json::to_string_pretty(&document)? + "\n";
    if let Some(folder) = &arguments.out {
        let mut all: Vec<(String, &[u8])> =
            files.iter().map(|file| (file.name.clone(), file.bytes.as_slice())).collect();
        all.push(("plan.json".to_owned(), document.as_bytes()));
        write_all(folder, &all)?;
    }
    match arguments.json {
        true => print(&document)?,
        false => print(&told(&plan, arguments.out.as_deref(), &files))?,
    }
    let stops = plan.findings.iter().any(|finding| finding.state == State::Stop);
    Ok(if stops { ExitCode::from(STOPPED) } else { ExitCode::SUCCESS })
}

/// Searches the recipes of a piece file.
fn search(arguments: &PlanArguments, searched: Searched, cell: Length, shop: &Shop) -> Result<ExitCode, Failure> {
    let path = &arguments.piece;
    let piece = read_piece(&read_text(path)?, &path.display().to_string(), shop)?;
    let drawing = artwork_file(&path.with_file_name(&piece.artwork), None)?;
    let within = match searched {
        Searched::All => Within::Shop,
        Searched::Open => Within::Open,
    };
    let options = search::Options { within, detail: Detail::Fine { cell }, ..search::Options::default() };
    let found = search::search(&piece, &drawing, shop, &options, &search::Watch::default())
        .map_err(|fault| Failure::Refused { path: path.clone(), fault: Box::new(fault) })?;
    match arguments.json {
        true => super::print_json(&SearchDocument::new(&piece.name, &found))?,
        false => print(&format!("{}: {}", piece.name, search_words::all(&found)))?,
    }
    Ok(if found.front.is_empty() { ExitCode::from(STOPPED) } else { ExitCode::SUCCESS })
}

/// The shop of a piece: the one named, or that beside the piece's file or above it.
pub(super) fn shop_of(piece: &Path, named: Option<&Path>) -> Result<Shop, Failure> {
    let path = match named {
        Some(path) => path.to_owned(),
        None => near(piece).ok_or_else(|| Failure::NoShop { piece: piece.to_owned() })?,
    };
    Ok(read_shop(&read_text(&path)?, &path.display().to_string())?)
}

fn near(piece: &Path) -> Option<PathBuf> {
    let beside = piece.parent()?;
    let above = beside.join("..");
    [beside, &above].iter().map(|folder| folder.join("shop.toml")).find(|path| path.is_file())
}

/// What programs read of something that was made for a reader: in English, and so are the words that came into it while
/// it was made. For a reader of another language it is `made` again.
pub(super) fn for_programs<M, D>(
    read: &M,
    reader: Language,
    made: impl FnOnce() -> Result<M, Failure>,
    document: impl FnOnce(&M) -> D,
) -> Result<D, Failure> {
    Language::English.scope(|| match reader {
        Language::English => Ok(document(read)),
        _ => Ok(document(&made()?)),
    })
}

/// Plans a piece file.
pub(super) fn make(path: &Path, shop: &Shop, detail: Detail) -> Result<Plan, Failure> {
    let piece = read_piece(&read_text(path)?, &path.display().to_string(), shop)?;
    let drawing = artwork_file(&path.with_file_name(&piece.artwork), None)?;
    plan::plan(&piece, &drawing, shop, detail)
        .map_err(|fault| Failure::Refused { path: path.to_owned(), fault: Box::new(fault) })
}

struct File {
    name: String,
    kind: &'static str,
    bytes: Vec<u8>,
}

impl File {
    fn new(name: impl Into<String>, kind: &'static str, bytes: Vec<u8>) -> Self {
        Self { name: name.into(), kind, bytes }
    }
}

fn files(plan: &Plan, paper: Paper) -> Result<Vec<File>, Failure> {
    let sheet = paper.sheet();
    let pictures = || {
        let large = preview(&plan.relief, Look::of(plan.piece.blank.material), &preview_options(plan));
        let on_paper = || {
            let small = png(&shrunk(&large, PAPER_PX))?;
            let options = JobSheetOptions { sheet, preview: &small, date: None };
            Ok::<_, Failure>(paper::job_sheet(plan, &options)?)
        };
        rayon::join(|| png(&large), carried(on_paper))
    };
    let ((preview, job_sheet), stencils) = rayon::join(carried(pictures), || stencil_files(plan));
    let (preview, job_sheet) = (preview?, job_sheet?);
    let strip =
        run_strip(&plan.strip, &StripOptions { units: plan.units, width_mm: STRIP_MM, ..StripOptions::default() });
    let strip = svg::write(&strip, Colours::Resolved(Theme::Dark));
    let mut files = stencils?;
    files.push(File::new("preview.png", "preview", preview));
    files.push(File::new("run-strip.svg", "run_strip", strip.into_bytes()));
    files.push(File::new("job-sheet.pdf", "job_sheet", job_sheet));
    Ok(files)
}

/// Longer side of the preview.
const PREVIEW_PX: f64 = 1280.0;
/// The same on paper: 200 dots an inch at 100 mm.
pub(super) const PAPER_PX: u32 = 800;
/// Width of the run strip: that of a landscape sheet between its margins.
const STRIP_MM: f64 = 260.0;

pub(super) fn preview_options(plan: &Plan) -> PreviewOptions {
    let usual = PreviewOptions::default();
    let frame = usual.frame(plan.piece.blank.body);
    let share = f64::from(frame.width_px) / f64::from(frame.width_px.max(frame.height_px));
    PreviewOptions { width_px: (PREVIEW_PX * share) as u32, ..usual }
}

/// One stencil for each stage, read back and compared before it is offered.
fn stencil_files(plan: &Plan) -> Result<Vec<File>, Failure> {
    let layers = plan::stencils(plan)?;
    let made = layers.par_iter().map(|layer| {
        let svg = verified(layer)?.svg().as_bytes().to_vec();
        Ok(File::new(format!("stencil-{}.svg", layer.stage), "stencil", svg))
    });
    made.collect()
}

pub(super) fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |mut text, byte| {
        // Writing to a string cannot fail.
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// The plan in words, for people.
fn told(plan: &Plan, folder: Option<&Path>, files: &[File]) -> String {
    let mut lines = vec![format!("{}: {}", plan.piece.name, words::sentence(plan)), words::recipe(plan), String::new()];
    for stage in &plan.stages {
        lines.push(say!(
            "Stage {}: weed {} ({}), blast {} ({} deeper), rest {}",
            stage.order,
            words::stage_work(plan, stage),
            quantity::show::clock(stage.weed),
            quantity::show::clock(stage.blast),
            stage.dose.show(plan.units),
            quantity::show::clock(stage.wait),
        ));
    }
    lines.push(String::new());
    for finding in &plan.findings {
        let told = words::finding(finding, plan.units);
        lines.push(format!("{} {}. {} [{}]", column(words::state(finding.state)), told.title, told.why, told.source));
        lines.extend(told.remedies.iter().chain(&told.no_remedy).map(|remedy| format!("{} · {remedy}", column(""))));
    }
    let notes = words::artwork_notes(plan);
    lines.extend(
        notes.iter().map(|note| format!("{} {}", column(words::state(note.state)), say!("artwork: {}", note.words))),
    );
    lines.push(String::new());
    let cost = &plan.cost;
    let money = |amount: Money| language::number(amount.to_string());
    lines.push(say!(
        "Cost of one {} {} ({}–{}); price of {} {} {}",
        money(cost.each.mid()),
        cost.currency,
        money(cost.each.low()),
        money(cost.each.high()),
        plan.piece.quantity,
        money(cost.price),
        cost.currency
    ));
    lines.extend(plan.narrowing.iter().map(|one| words::narrowing(one, plan.units)));
    if let Some(folder) = folder {
        let names: Vec<&str> = files.iter().map(|file| file.name.as_str()).collect();
        let names = format!("{}, plan.json", names.join(", "));
        lines.push(say!("Written to {}: {}", folder.display(), names));
    }
    lines.join("\n") + "\n"
}
