//! `sabulo quote`: a piece file in; prices over quantities, and the sheet that is handed over.

use super::plan::{PAPER_PX, Paper, make, preview_options, shop_of};
use super::{column, print, print_json, quantity};
use crate::error::Failure;
use crate::folder::write_all;
use clap::Args;
use cost::currency::{number, shown};
use cost::document::QuoteDocument;
use cost::{Ask, Logged, Offer, Quote, TaskKind, Terms, compare, quote as offers};
use language::{Language, say, say_count};
use paper::{Date, QuoteOptions, quote_sheet};
use picture::preview::{Look, png, preview, shrunk};
use plan::{Detail, Plan};
use quantity::Fraction;
use quantity::show::clock;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

#[derive(Debug, Args)]
pub(crate) struct QuoteArguments {
    /// The piece file.
    piece: PathBuf,
    /// Quantities, such as 1,10,50. Left out: the piece's own.
    #[arg(long, value_delimiter = ',')]
    quantity: Vec<u32>,
    /// Surcharge for an order that goes before others; without a number the shop's own.
    #[arg(long, value_name = "SHARE", num_args = 0..=1, default_missing_value = "")]
    rush: Option<String>,
    /// What one piece took, against the plan: weed=12min. Tasks are order, prepare, weed, blast, rest, clear, finish;
    /// may be given several times.
    #[arg(long, value_name = "TASK=TIME")]
    logged: Vec<String>,
    /// The day on the sheet, such as 2026-11-25.
    #[arg(long, value_name = "YYYY-MM-DD")]
    date: Option<String>,
    /// How many days the offer stands.
    #[arg(long)]
    valid_days: Option<u32>,
    /// The shop file. Left out: shop.toml beside the piece, or in the folder above it.
    #[arg(long, value_name = "FILE")]
    shop: Option<PathBuf>,
    /// Folder for the sheet and the tables. Left out: nothing is written.
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Paper of the sheet.
    #[arg(long, value_enum, default_value_t = Paper::A4)]
    paper: Paper,
    /// Print JSON: exact amounts in quotes.
    #[arg(long)]
    json: bool,
}

pub(crate) fn quote(arguments: &QuoteArguments, reader: Language) -> Result<ExitCode, Failure> {
    let shop = shop_of(&arguments.piece, arguments.shop.as_deref())?;
    let plan = reader.scope(|| make(&arguments.piece, &shop, Detail::USUAL))?;
    let terms = Terms::of(&shop.rates);
    let quantities = match arguments.quantity.is_empty() {
        true => vec![plan.piece.quantity],
        false => arguments.quantity.clone(),
    };
    let rush = match arguments.rush.as_deref() {
        None => None,
        Some("") => Some(terms.rush),
        Some(given) => Some(Terms::share(quantity::<Fraction>("--rush", given)?)),
    };
    let quoted = offers(&plan.work, &terms, &Ask { quantities, rush })?;
    let logged = arguments.logged.iter().map(|text| logged(text)).collect::<Result<Vec<_>, _>>()?;
    let document = Language::English
        .scope(|| QuoteDocument::new(&quoted, &plan.piece.name, plan.piece.customer.as_deref(), &plan.shop));
    let written = match &arguments.out {
        Some(folder) => reader.scope(|| write(folder, &plan, &quoted, &document, arguments))?,
        None => String::new(),
    };
    match arguments.json {
        true => print_json(&document)?,
        false => print(&(told(&plan, &quoted) + &against(&plan, &terms, &logged) + &written))?,
    }
    Ok(ExitCode::SUCCESS)
}

/// `weed=12min`
fn logged(text: &str) -> Result<Logged, Failure> {
    let wanted = say!("a task and a time, such as weed=12min");
    let fault = || Failure::Form { name: "--logged", given: text.to_owned(), wanted };
    let (task, time) = text.split_once('=').ok_or_else(fault)?;
    let kind = match task {
        "order" => TaskKind::Order,
        "prepare" => TaskKind::Prepare,
        "weed" => TaskKind::Weed,
        "blast" => TaskKind::Blast,
        "rest" => TaskKind::Rest,
        "clear" => TaskKind::Clear,
        "finish" => TaskKind::Finish,
        _ => return Err(fault()),
    };
    Ok(Logged { kind, time: quantity("--logged", time)? })
}

/// `2026-11-25`
fn day(text: &str) -> Result<Date, Failure> {
    let parts: Vec<u16> = text.split('-').filter_map(|part| part.parse().ok()).collect();
    let small = |part: u16| u8::try_from(part).ok();
    let date = match *parts {
        [year, month, day] => small(month).zip(small(day)).and_then(|(month, day)| Date::new(year, month, day)),
        _ => None,
    };
    date.ok_or_else(|| Failure::Form {
        name: "--date",
        given: text.to_owned(),
        wanted: say!("a day, such as 2026-11-25"),
    })
}

/// What was planned against what was logged.
fn against(plan: &Plan, terms: &Terms, logged: &[Logged]) -> String {
    if logged.is_empty() {
        return String::new();
    }
    let compared = compare(&plan.work, terms, logged);
    let mut lines = vec![String::new(), say!("Planned against logged, one piece:").to_owned()];
    for row in compared.rows.iter().filter(|row| row.logged.is_some()) {
        let done = row.logged.unwrap_or(row.planned);
        let money = number(row.more, &terms.currency);
        lines.push(format!("  {:<28} {:>14} {:>14} {money:>10}", row.kind.name(), clock(row.planned), clock(done)));
    }
    lines.push(say!("  more than planned: {}", shown(compared.more, &terms.currency)));
    lines.join("\n") + "\n"
}

fn write(
    folder: &Path,
    plan: &Plan,
    quoted: &Quote,
    document: &QuoteDocument,
    arguments: &QuoteArguments,
) -> Result<String, Failure> {
    let large = preview(&plan.relief, Look::of(plan.piece.blank.material), &preview_options(plan));
    let small = png(&shrunk(&large, PAPER_PX))?;
    let options = QuoteOptions {
        sheet: arguments.paper.sheet(),
        preview: &small,
        date: arguments.date.as_deref().map(day).transpose()?,
        valid_days: arguments.valid_days,
    };
    let sheet = quote_sheet(plan, quoted, &options).map_err(|fault| Failure::Sheet { name: "quote.pdf", fault })?;
    let (json, csv) = (serde_json::to_string_pretty(document)? + "\n", Language::English.scope(|| document.csv())?);
    let files: Vec<(String, &[u8])> = vec![
        ("quote.pdf".to_owned(), &sheet),
        ("quote.json".to_owned(), json.as_bytes()),
        ("quote.csv".to_owned(), csv.as_bytes()),
    ];
    write_all(folder, &files)?;
    Ok(say!("Written to {}: {}", folder.display(), "quote.pdf, quote.json, quote.csv") + "\n")
}

/// For the shop's own eyes: costs, risks and what is left.
fn told(plan: &Plan, quoted: &Quote) -> String {
    let code = &quoted.currency;
    let mut lines = vec![format!("{}: {}", plan.piece.name, plan::words::sentence(plan)), String::new()];
    if let Some(first) = quoted.offers.first() {
        lines.push(say!("One piece of {}:", first.quantity));
        lines.extend(
            first
                .costed
                .lines
                .iter()
                .map(|line| format!("  {:<52} {:>10}", line.kind.name(), number(line.amount, code))),
        );
        lines.push(format!("  {:<52} {:>10}", say!("Cost"), number(first.costed.each, code)));
    }
    let percent = |share: f64| format!("{:.0}\u{202f}%", (100.0 * share).round() + 0.0).replace('-', "\u{2212}");
    for (cause, chance) in &quoted.causes {
        lines.push(say!("Spoils by {} in {:.1}\u{202f}% of pieces", cause.name(), chance.to_percent()));
    }
    lines.push(String::new());
    let offer = |offer: &Offer| {
        say_count!(
            offer.quantity,
            "{n} piece: {each} each, {net} together, {tax} {tax_name}, {gross} to pay; costs {low}–{high} each, \
             {least}–{most} of the price is left",
            "{n} pieces: {each} each, {net} together, {tax} {tax_name}, {gross} to pay; costs {low}–{high} each, \
             {least}–{most} of the price is left",
            n = offer.quantity,
            each = number(offer.each, code),
            net = number(offer.net, code),
            tax = number(offer.tax, code),
            tax_name = quoted.tax_name,
            gross = shown(offer.gross, code),
            low = number(offer.each_cost.low(), code),
            high = number(offer.each_cost.high(), code),
            least = percent(offer.margin.low()),
            most = percent(offer.margin.high())
        )
    };
    lines.extend(quoted.offers.iter().map(offer));
    lines.push(
        say!(
            "The range is that of the blasting time; a coupon blasted here and written into the shop file narrows it, \
             and the chances with it."
        )
        .to_owned(),
    );
    let stops = plan.findings.iter().filter(|finding| finding.state == plan::State::Stop);
    lines.extend(stops.map(|finding| {
        let words = plan::words::finding(finding, plan.units);
        format!(
            "{} {}",
            column(plan::words::state(finding.state)),
            say!("{}: mend it before you send this (sabulo plan shows how)", words.title)
        )
    }));
    lines.join("\n") + "\n"
}
