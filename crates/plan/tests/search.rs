//! The search on the examples, as a person sees it.

mod common;

use artwork::svg::{Drawing, ReadOptions, read_svg};
use common::{PIECE, SHOP, drawing, shop};
use piece::{Money, Piece, Shop, read_piece, read_shop};
use plan::search::{Options, Search, Watch, Within, search};
use plan::{Change, Check, Detail, Outlay, search_words};
use std::fs;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};

fn example(name: &str) -> (Piece, Drawing) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    let text = fs::read_to_string(folder.join("piece.toml")).unwrap();
    let piece = read_piece(&text, "piece.toml", &shop()).unwrap();
    let bytes = fs::read(folder.join(&piece.artwork)).unwrap();
    (piece, read_svg(&bytes, &ReadOptions::default()).unwrap())
}

const INSTANT: Options<'static> = Options { within: Within::Shop, detail: Detail::Instant, prices: &|_| None };

fn found(piece: &Piece, drawing: &Drawing, shop: &Shop) -> Search {
    search(piece, drawing, shop, &INSTANT, &Watch::default()).unwrap()
}

#[test]
fn each_example_has_a_few_recipes_worth_choosing_between() {
    for name in ["heron", "crest", "marker"] {
        let (piece, drawing) = example(name);
        let search = found(&piece, &drawing, &shop());
        println!("{name}: {}", search_words::all(&search));
        // 3 nozzles, 8 pressures, 3 standoffs, 7 resists; 6 abrasives, and 12
        // pairs of a coarser and a finer one for each stage before which they change.
        let stages = plan::plan(&piece, &drawing, &shop(), Detail::Instant).unwrap().stages.len();
        assert_eq!((search.tried, search.of), (504 * (6 + 12 * (stages - 1)), search.tried));
        assert!(search.few.len() <= 4, "{name}: {} are not few", search.few.len());
        for pair in search.front.windows(2) {
            assert!(pair[0].time <= pair[1].time, "the quickest first");
            assert!(pair[1].cost < pair[0].cost || pair[1].risk < pair[0].risk, "a slower one is better in something");
        }
        // What a plan of the same recipe says agrees: the instant cost and time with the time axis.
        for choice in search.few.iter().map(|&(_, at)| &search.front[at]) {
            let recipe = piece::OpenRecipe {
                finish: choice.recipe.finish,
                resist: Some(choice.recipe.resist),
                abrasive: Some(choice.recipe.abrasive),
                grit: Some(choice.recipe.grit),
                nozzle: Some(choice.recipe.nozzle.name.clone()),
                pressure: Some(choice.recipe.pressure),
                standoff: Some(choice.recipe.standoff),
            };
            let planned = plan::plan(&Piece { recipe, ..piece.clone() }, &drawing, &shop(), Detail::Instant).unwrap();
            let number = |money: Money| money.to_string().parse::<f64>().unwrap();
            // The search weighs the risk beside the cost, so it is taken out of the plan's.
            let unspoiled = cost::Work { risk: cost::Risk { causes: Vec::new() }, ..planned.work.clone() };
            let asked = cost::Ask { quantities: vec![piece.quantity], rush: None };
            let offers = cost::quote(&unspoiled, &cost::Terms::of(&shop().rates), &asked).unwrap().offers;
            let plan_cost = offers[0].each_cost.mid();
            let (time, cost) = choice.planned.unwrap();
            let of_plan =
                |time: f64, cost: Money| (time / planned.time.total.to_seconds(), number(cost) / number(plan_cost));
            let (instant, exact) = (of_plan(choice.time.to_seconds(), choice.cost), of_plan(time.to_seconds(), cost));
            println!("{name}: time and cost over the plan's: searched by {instant:.3?}, told {exact:.3?}");
            assert!((exact.0 - 1.0).abs() < 1e-6 && (exact.1 - 1.0).abs() < 1e-3, "{name}: {exact:?}");
            assert!((instant.0 - 1.0).abs() < 0.15 && (instant.1 - 1.0).abs() < 0.15, "{name}: {instant:?}");
            assert!(planned.findings.iter().all(|finding| finding.state != plan::State::Stop), "{name}: it stops");
        }
    }
}

#[test]
fn without_a_collector_nothing_holds_and_the_first_thing_to_fit_is_one() {
    let shop = read_shop(&SHOP.replace("collector = \"15 m3/min\"\n", ""), "shop.toml").unwrap();
    let piece = common::piece(PIECE);
    let unpriced = found(&piece, &drawing(), &shop);
    println!("{}", search_words::all(&unpriced));
    assert!(unpriced.front.is_empty() && unpriced.stopped_by[0].0 == Check::Collector);
    assert!(matches!(unpriced.unlocks[0].changes.as_slice(), [Change::Collector(_)]), "{:?}", unpriced.unlocks);
    assert_eq!((unpriced.unlocks[0].outlay, unpriced.unlocks[0].price), (Outlay::Machine, None));
    // Where somebody knows a price it is told.
    let price = |change: &Change| matches!(change, Change::Collector(_)).then(|| Money(900.into()));
    let priced = search(&piece, &drawing(), &shop, &Options { prices: &price, ..INSTANT }, &Watch::default()).unwrap();
    assert_eq!(priced.unlocks[0].price, Some(Money(900.into())));
    assert!(priced.unlocks[0].recipes > 0 && priced.unlocks[0].best.stops.is_empty());
}

#[test]
fn a_search_can_be_ended_and_tells_how_far_it_is() {
    let (asked, told) = (AtomicUsize::new(0), AtomicUsize::new(0));
    let watch = Watch {
        cancelled: &|| asked.fetch_add(1, Ordering::Relaxed) >= 40,
        progress: &|progress| {
            told.fetch_max(progress.tried, Ordering::Relaxed);
            assert!(progress.tried <= progress.of);
        },
    };
    let ended = search(&common::piece(PIECE), &drawing(), &shop(), &INSTANT, &watch).unwrap();
    println!("{} of {} recipes, {} on the front", ended.tried, ended.of, ended.front.len());
    assert!(!ended.complete && ended.tried > 0 && ended.tried < ended.of && told.load(Ordering::Relaxed) > 0);
    assert!(!ended.front.is_empty() && ended.unlocks.is_empty(), "what was tried is an answer");
    assert!(search_words::summary(&ended).starts_with("The search was ended: "));
}

#[test]
fn the_same_search_gives_the_same_answer() {
    let once = || {
        let search = found(&common::piece(PIECE), &drawing(), &shop());
        serde_json::to_string(&plan::search_document::SearchDocument::new("piece", &search)).unwrap()
    };
    assert_eq!(once(), once());
}
