//! The search over the demonstration's shop widened to 20,064 recipes of one abrasive: 4 nozzles, 8 pressures, 3
//! standoffs, 19 grits, 11 resists; with a finer one for the last stages they are 182,688 on a piece of two stages and
//! 345,312 on one of three. The aim is two seconds on two cores for 20,000.

use artwork::svg::{Drawing, ReadOptions, read_svg};
use criterion::Criterion;
use piece::{Money, Piece, Shop, StockedAbrasive, StockedResist, read_piece, read_shop};
use plan::Detail;
use plan::search::{Options, Search, Watch, search};
use quantity::{Diameter, known};
use reference::tables;
use rust_decimal::Decimal;
use std::fs;
use std::path::Path;
use std::time::Instant;

const SHOP: &str = include_str!("../../../examples/shop.toml");

/// Stocks of the widened shop.
const GRITS: [&str; 7] = ["F80", "F100", "F120", "F150", "F180", "F220", "F240"];
const ABRASIVES: [&str; 3] = ["white_alumina", "brown_alumina", "silicon_carbide"];
const STOCKS: usize = 19;
const BORES: [Diameter; 4] =
    [known(Diameter::mm(1.2)), known(Diameter::mm(1.8)), known(Diameter::mm(2.4)), known(Diameter::mm(3.2))];

fn widened() -> Shop {
    let mut shop = read_shop(SHOP, "shop.toml").expect("the demonstration's shop reads");
    let like = shop.nozzles[0].clone();
    let nozzle = |bore: Diameter| piece::ShopNozzle { name: format!("{} mm", bore.to_mm()), bore, ..like.clone() };
    shop.nozzles = BORES.map(nozzle).to_vec();
    let pairs = ABRASIVES.iter().flat_map(|&abrasive| GRITS.iter().map(move |&grit| (abrasive, grit)));
    let price = |at: usize| Money(Decimal::from(2 + at as u64));
    let stock = |(at, (abrasive, grit)): (usize, (&str, &str))| StockedAbrasive {
        abrasive: tables().abrasive(abrasive).expect("it is in the tables"),
        grit: tables().grit(grit).expect("it is in the tables"),
        turns: None,
        free_silica: None,
        price_per_kg: price(at),
    };
    shop.abrasives = pairs.take(STOCKS).enumerate().map(stock).collect();
    let width = shop.resists[0].width;
    let resists = tables().resists.iter().enumerate();
    shop.resists =
        resists.map(|(at, resist)| StockedResist { resist, width, price_per_m2: price(10 + 7 * at) }).collect();
    shop
}

fn example(name: &str, shop: &Shop) -> (Piece, Drawing) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    let text = fs::read_to_string(folder.join("piece.toml")).expect("the example is there");
    // A recipe may only name what the shop has: this one has other nozzles.
    let open = text.split("[recipe]").next().unwrap_or(&text).to_owned();
    let piece = read_piece(&open, "piece.toml", shop).expect("the example reads");
    let drawing = fs::read(folder.join(&piece.artwork)).expect("its drawing is there");
    (piece, read_svg(&drawing, &ReadOptions::default()).expect("its drawing reads"))
}

/// Processor time of all threads so far, in seconds; what a busy machine's clock does not tell. Linux only, else 0.
fn processor_s() -> f64 {
    let stat = fs::read_to_string("/proc/self/stat").unwrap_or_default();
    // After the name in brackets the 12th and 13th fields, in hundredths.
    let fields = stat.rsplit(')').next().unwrap_or_default().split_whitespace().skip(11).take(2);
    fields.filter_map(|field| field.parse::<f64>().ok()).sum::<f64>() * 0.01
}

fn main() {
    let shop = widened();
    let mut criterion = Criterion::default().sample_size(10).configure_from_args();
    for name in ["heron", "crest", "marker"] {
        let (piece, drawing) = example(name, &shop);
        let options = Options { detail: Detail::Instant, ..Options::default() };
        let found =
            || -> Search { search(&piece, &drawing, &shop, &options, &Watch::default()).expect("it is planned") };
        let (begun, used) = (Instant::now(), processor_s());
        let first = found();
        println!(
            "{name}: {} recipes, {} hold, {} on the front, {:.2?}, {:.2} s of processor time",
            first.tried,
            first.hold,
            first.front.len(),
            begun.elapsed(),
            processor_s() - used
        );
        criterion.bench_function(&format!("search {name}"), |bencher| bencher.iter(found));
    }
    criterion.final_summary();
}
