//! `sabulo stencil nest`: drawings, one piece each, onto what is in stock.

use crate::commands::{artwork_file, print, print_json, quantity};
use crate::error::Failure;
use crate::folder::write_all;
use artwork::region::Region;
use clap::{Args, ValueEnum};
use language::{Language, say, say_count};
use quantity::Length;
use serde::Serialize;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;
use stencil::nest::outline::{Around, outline};
use stencil::nest::{NestOptions, Nested, NestedSheet, Piece, Sheet, Stock, Taken, Turns, drawing, nest};

#[derive(Debug, Args)]
pub(crate) struct NestArgs {
    /// Drawings (svg, dxf, png, jpg, tif, webp), one piece each; name.svg=12 lays twelve of it.
    #[arg(required = true, value_name = "FILE[=COPIES]")]
    files: Vec<String>,
    /// Width of a roll in stock, such as 15in. May be given several times: the one that takes the least area is used.
    #[arg(long, value_name = "WIDTH")]
    width: Vec<String>,
    /// A sheet in stock, along and across: 600mm,300mm; =4 behind it for four of them. May be given several times.
    #[arg(long, value_name = "LENGTH,WIDTH[=COUNT]")]
    sheet: Vec<String>,
    /// A remnant in stock, written like a sheet. Remnants are used first, the smallest before the larger.
    #[arg(long, value_name = "LENGTH,WIDTH[=COUNT]")]
    remnant: Vec<String>,
    /// Least distance between two pieces.
    #[arg(long, default_value = "2mm")]
    gap: String,
    /// Least distance of a piece from the edges of the sheet or roll.
    #[arg(long, default_value = "3mm")]
    edge: String,
    /// Resist left around each drawing: part of the piece.
    #[arg(long, default_value = "5mm")]
    border: String,
    /// The line that is cut around each drawing and its border.
    #[arg(long, value_enum, default_value_t = AroundArg::Rectangle)]
    around: AroundArg,
    /// How pieces may be turned; fixed and half keep the grain of the resist.
    #[arg(long, value_enum, default_value_t = TurnArg::Quarter)]
    turn: TurnArg,
    /// How long to look for a better layout; Ctrl-C ends it earlier and keeps the best so far.
    #[arg(long, default_value_t = 10.0)]
    seconds: f64,
    /// Another seed, another layout.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Searches side by side; as many as the computer has cores when not given.
    #[arg(long)]
    workers: Option<usize>,
    /// Folder for an SVG of each sheet, at true scale.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum AroundArg {
    /// A line that follows the drawing.
    Close,
    /// Its convex hull.
    Hull,
    /// An upright rectangle.
    Rectangle,
}

#[derive(Debug, Clone, Copy, ValueEnum)]
enum TurnArg {
    /// As drawn.
    Fixed,
    /// As drawn or upside down.
    Half,
    /// In quarter turns.
    Quarter,
    /// To any angle.
    Any,
}

#[derive(Debug, Serialize)]
struct NestDocument {
    /// Cut off the roll; of all sheets together when no roll is used.
    length_mm: f64,
    density: f64,
    seed: u64,
    seconds: f64,
    sheets: Vec<SheetEntry>,
    left_over: Vec<LeftOverEntry>,
}

#[derive(Debug, Serialize)]
struct SheetEntry {
    from: String,
    width_mm: f64,
    length_mm: f64,
    used_mm: f64,
    density: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    left_whole_mm: Option<[f64; 2]>,
    #[serde(skip_serializing_if = "Option::is_none")]
    path: Option<String>,
    placements: Vec<PlacementEntry>,
}

#[derive(Debug, Serialize)]
struct PlacementEntry {
    file: String,
    turn_degrees: f64,
    x_mm: f64,
    y_mm: f64,
}

#[derive(Debug, Serialize)]
struct LeftOverEntry {
    file: String,
    copies: u32,
}

pub(super) fn run(arguments: &NestArgs, reader: Language) -> Result<ExitCode, Failure> {
    let border = quantity("--border", &arguments.border)?;
    let pieces = arguments.files.iter().map(|file| piece(file, border, arguments)).collect::<Result<Vec<_>, _>>()?;
    let stock = stock(arguments)?;
    let options = NestOptions {
        gap: quantity("--gap", &arguments.gap)?,
        edge: quantity("--edge", &arguments.edge)?,
        seed: arguments.seed,
        workers: arguments.workers.unwrap_or_else(|| std::thread::available_parallelism().map_or(1, Into::into)),
    };
    let (stopped, start) = (stopped(), Instant::now());
    let spent = |_| match stopped.load(Ordering::Relaxed) {
        true => 1.0,
        false => start.elapsed().as_secs_f64() / arguments.seconds.max(1e-3),
    };
    let nested = nest(&pieces, &stock, &options, &spent)?;
    let seconds = start.elapsed().as_secs_f64();
    let names: Vec<String> = (1..=nested.sheets.len()).map(|number| format!("sheet-{number}.svg")).collect();
    if let Some(folder) = &arguments.out {
        reader.scope(|| write(folder, &nested, &pieces, &stock, &names))?;
    }
    match arguments.json {
        true => print_json(&document(&nested, &pieces, &stock, arguments, seconds))?,
        false => print(&told(&nested, &pieces, &stock, arguments))?,
    }
    // What found no room is told; the rest is there.
    Ok(if nested.left_over.is_empty() { ExitCode::SUCCESS } else { ExitCode::from(1) })
}

/// Set when the user ends the search.
fn stopped() -> Arc<AtomicBool> {
    let stopped = Arc::new(AtomicBool::new(false));
    let seen = Arc::clone(&stopped);
    // Without this thread the search still ends by itself.
    std::thread::spawn(move || {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
        if let Ok(runtime) = runtime
            && runtime.block_on(tokio::signal::ctrl_c()).is_ok()
        {
            seen.store(true, Ordering::Relaxed);
        }
    });
    stopped
}

/// `name.svg=12`: the file and how many copies; one without a number.
fn copies(text: &str) -> (&str, u32) {
    let counted = text.rsplit_once('=').and_then(|(before, count)| Some((before, count.parse().ok()?)));
    counted.unwrap_or((text, 1))
}

fn piece(text: &str, border: Length, arguments: &NestArgs) -> Result<Piece, Failure> {
    let (file, quantity) = copies(text);
    let path = Path::new(file);
    let drawing = artwork_file(path, None)?;
    let region = Region::union_of(drawing.shapes.iter().map(|shape| &shape.region));
    let around = match arguments.around {
        AroundArg::Close => Around::Close,
        AroundArg::Hull => Around::Hull,
        AroundArg::Rectangle => Around::Rectangle,
    };
    let outline =
        outline(&region, border, around).map_err(|fault| Failure::NestOutline { path: path.to_owned(), fault })?;
    let turns = match arguments.turn {
        TurnArg::Fixed => Turns::Fixed,
        TurnArg::Half => Turns::Half,
        TurnArg::Quarter => Turns::Quarter,
        TurnArg::Any => Turns::Any,
    };
    Ok(Piece { name: file.to_owned(), outline, quantity, turns })
}

fn stock(arguments: &NestArgs) -> Result<Stock, Failure> {
    let sheets = |name: &'static str, texts: &[String]| -> Result<Vec<Sheet>, Failure> {
        texts.iter().map(|text| sheet(name, text)).collect()
    };
    Ok(Stock {
        remnants: sheets("--remnant", &arguments.remnant)?,
        sheets: sheets("--sheet", &arguments.sheet)?,
        rolls: arguments.width.iter().map(|width| quantity("--width", width)).collect::<Result<_, _>>()?,
    })
}

fn sheet(name: &'static str, text: &str) -> Result<Sheet, Failure> {
    let (sides, count) = copies(text);
    let (length, width) = sides.split_once(',').ok_or_else(|| Failure::SheetSides { name, given: text.to_owned() })?;
    let (length, width) = (quantity(name, length.trim())?, quantity(name, width.trim())?);
    Ok(Sheet { name: format!("{} {sides}", name.trim_start_matches('-')), length, width, quantity: count })
}

fn write(folder: &Path, nested: &Nested, pieces: &[Piece], stock: &Stock, names: &[String]) -> Result<(), Failure> {
    let draw = |sheet: &NestedSheet| drawing::svg(sheet, pieces, &from(sheet, stock));
    let texts: Vec<String> = nested.sheets.iter().map(draw).collect();
    let files: Vec<(String, &[u8])> = names.iter().cloned().zip(texts.iter().map(String::as_bytes)).collect();
    write_all(folder, &files)
}

fn from(sheet: &NestedSheet, stock: &Stock) -> String {
    match sheet.from {
        Taken::Remnant(index) => stock.remnants[index].name.clone(),
        Taken::Sheet(index) => stock.sheets[index].name.clone(),
        Taken::Roll(index) => say!("roll {:.1} mm wide", stock.rolls[index].to_mm()),
    }
}

/// Cut off the roll; of all sheets together when no roll is used.
fn length_mm(nested: &Nested) -> f64 {
    match nested.roll_mm() {
        roll if roll > 0.0 => roll,
        // A sum of nothing begins at -0.
        _ => nested.sheets.iter().fold(0.0, |sum, sheet| sum + sheet.used_mm),
    }
}

fn document(nested: &Nested, pieces: &[Piece], stock: &Stock, arguments: &NestArgs, seconds: f64) -> NestDocument {
    let sheets = nested.sheets.iter().enumerate();
    NestDocument {
        length_mm: length_mm(nested),
        density: nested.density(),
        seed: arguments.seed,
        seconds,
        sheets: sheets.map(|(index, sheet)| sheet_entry(index, sheet, pieces, stock, arguments)).collect(),
        left_over: left_over(nested, pieces),
    }
}

fn sheet_entry(index: usize, sheet: &NestedSheet, pieces: &[Piece], stock: &Stock, arguments: &NestArgs) -> SheetEntry {
    let placed = |at: &stencil::nest::Placement| PlacementEntry {
        file: pieces[at.piece].name.clone(),
        turn_degrees: at.turn_degrees,
        x_mm: at.x_mm,
        y_mm: at.y_mm,
    };
    SheetEntry {
        from: from(sheet, stock),
        width_mm: sheet.width_mm,
        length_mm: sheet.length_mm,
        used_mm: sheet.used_mm,
        density: sheet.density,
        left_whole_mm: sheet.remnant_mm().map(|(length, width)| [length, width]),
        path: arguments.out.is_some().then(|| format!("sheet-{}.svg", index + 1)),
        placements: sheet.placements.iter().map(placed).collect(),
    }
}

fn left_over(nested: &Nested, pieces: &[Piece]) -> Vec<LeftOverEntry> {
    let entry = |&(piece, copies): &(usize, u32)| LeftOverEntry { file: pieces[piece].name.clone(), copies };
    nested.left_over.iter().map(entry).collect()
}

fn told(nested: &Nested, pieces: &[Piece], stock: &Stock, arguments: &NestArgs) -> String {
    let mut lines: Vec<String> = nested.sheets.iter().map(|sheet| sheet_told(sheet, stock)).collect();
    let laid: usize = nested.sheets.iter().map(|sheet| sheet.placements.len()).sum();
    lines.push(say!("{laid} pieces laid, {:.1} % of what is used is covered.", 100.0 * nested.density()));
    lines.extend(left_over(nested, pieces).iter().map(|entry| {
        say!("no room for {} of {}: give a wider roll, another sheet or a smaller border", entry.copies, entry.file)
    }));
    if let Some(folder) = &arguments.out {
        lines.push(say!("{} drawings written to {}.", nested.sheets.len(), folder.display()));
    }
    lines.join("\n") + "\n"
}

fn sheet_told(sheet: &NestedSheet, stock: &Stock) -> String {
    let inches = sheet.used_mm / 25.4;
    let used = say_count!(
        sheet.placements.len(),
        "{from}: {n} piece, used to {used:.1} mm ({inches:.2} in), {covered:.1} % covered",
        "{from}: {n} pieces, used to {used:.1} mm ({inches:.2} in), {covered:.1} % covered",
        from = from(sheet, stock),
        n = sheet.placements.len(),
        used = sheet.used_mm,
        covered = 100.0 * sheet.density
    );
    match sheet.remnant_mm() {
        Some((length, width)) => format!("{used}; {}", say!("{length:.1} × {width:.1} mm stays whole")),
        None => used,
    }
}
