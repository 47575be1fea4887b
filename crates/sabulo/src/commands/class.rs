//! `sabulo class`: a class file in; waiting, hours, air, shopping and rotation out.

use super::plan::{Paper, shop_of};
use super::{print, print_json};
use crate::error::Failure;
use crate::folder::{read_text, write_all};
use ::class::change::Search;
use ::class::document::ClassDocument;
use ::class::{Class, Outcome, Rotation, Running, Shopping, read_class, words};
use clap::Args;
use language::{Language, say};
use paper::{ClassPack, class_pack};
use picture::Theme;
use picture::rotation::{RotationOptions, rotation as draw};
use picture::svg::{self, Colours};
use piece::Shop;
use plan::{ClassRun, class_run};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(crate) struct ClassArguments {
    /// The class file.
    class: PathBuf,
    /// The shop file. Left out: shop.toml beside the class, or in the folder above it.
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
    /// How often the class is simulated; four times as many halve the intervals.
    #[arg(long, default_value_t = 400)]
    replications: u32,
    /// Another seed, other students.
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Folder for the pack, the rotation and the tables. Left out: nothing is written.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Paper of the pack.
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    paper: Paper,
    /// Print JSON, units in the key names.
    #[arg(long)]
    json: bool,
}

/// Width of the chart.
const CHART_MM: f64 = 260.0;

/// A class with all that was found of it.
struct Made {
    class: Class,
    shop: Shop,
    outcome: Outcome,
    search: Option<Search>,
    shopping: Shopping,
    rotation: Rotation,
}

pub(crate) fn class(arguments: &ClassArguments, reader: Language) -> Result<ExitCode, Failure> {
    let shop = shop_of(&arguments.class, arguments.shop.as_deref())?;
    let class = read_class(&read_text(&arguments.class)?, &arguments.class.display().to_string(), &shop)?;
    let running = Running { replications: arguments.replications, seed: arguments.seed };
    let ClassRun { outcome, search, shopping, rotation } = reader
        .scope(|| class_run(&class, &shop, running))
        .map_err(|fault| Failure::Class { path: arguments.class.clone(), fault: Box::new(fault) })?;
    let made = Made { class, shop, outcome, search, shopping, rotation };
    let currency = &made.shop.rates.currency;
    let document = Language::English.scope(|| {
        ClassDocument::new(&made.class, &made.outcome, made.search.as_ref(), &made.shopping, &made.rotation, currency)
    });
    let written = match &arguments.out {
        Some(folder) => reader.scope(|| write(folder, &made, &document, arguments.paper))?,
        None => String::new(),
    };
    match arguments.json {
        true => print_json(&document)?,
        false => {
            let found = made.search.as_ref();
            let told = words::all(&made.class, &made.outcome, found, &made.shopping, (currency, made.shop.units));
            print(&(told + &written))?;
        }
    }
    Ok(ExitCode::SUCCESS)
}

fn write(folder: &Path, made: &Made, document: &ClassDocument, paper: Paper) -> Result<String, Failure> {
    let json = serde_json::to_string_pretty(document)? + "\n";
    let tables = || Ok::<_, Failure>((document.rotation_csv()?, document.shopping_csv()?));
    let (rotation, shopping) = Language::English.scope(tables)?;
    let scene =
        draw(&made.class, &made.rotation, &RotationOptions { width_mm: CHART_MM, ..RotationOptions::default() });
    let chart = svg::write(&scene, Colours::Resolved(Theme::Light));
    let cautions = plan::class_cautions(&made.class, &made.shop);
    let pack = ClassPack {
        class: &made.class,
        outcome: &made.outcome,
        search: made.search.as_ref(),
        rotation: &made.rotation,
        shopping: &made.shopping,
        cautions: &cautions,
        shop: &made.shop.name,
        currency: &made.shop.rates.currency,
        units: made.shop.units,
    };
    let pdf =
        class_pack(&pack, paper.sheet(), None).map_err(|fault| Failure::Sheet { name: "class-pack.pdf", fault })?;
    let files: Vec<(String, &[u8])> = vec![
        ("class-pack.pdf".to_owned(), &pdf),
        ("rotation.svg".to_owned(), chart.as_bytes()),
        ("class.json".to_owned(), json.as_bytes()),
        ("rotation.csv".to_owned(), rotation.as_bytes()),
        ("shopping.csv".to_owned(), shopping.as_bytes()),
    ];
    write_all(folder, &files)?;
    let names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
    Ok(say!("Written to {}: {}", folder.display(), names.join(", ")) + "\n")
}
