//! An order of the example's names, in the example's shop and in one with half the air.

use artwork::batch::Fit;
use batch::{
    EveningOptions, NestWish, Order, OrderError, OrderOptions, Pace, Step, Watch, letter, order, order_watched,
};
use piece::{Piece, Shop, read_piece, read_shop};
use quantity::{Length, Time};
use std::sync::Mutex;
use stencil::nest::NestOptions;

const SHOP: &str = include_str!("../../../examples/shop.toml");
const PIECE: &str = include_str!("../../../examples/names/piece.toml");
const DRAWING: &[u8] = include_bytes!("../../../examples/names/tag.svg");
const NAMES: &[u8] = include_bytes!("../../../examples/names/names.csv");

fn shop(free_air: &str) -> Shop {
    read_shop(&SHOP.replace("460 l/min", free_air), "shop.toml").unwrap()
}

/// With the wide nozzle: left open, the plan would take a narrower one where air is short.
fn piece(shop: &Shop) -> Piece {
    read_piece(&format!("{PIECE}\n[recipe]\nnozzle = \"broad\"\npressure = \"2.8bar\"\n"), "piece.toml", shop).unwrap()
}

fn options(evening_min: f64) -> OrderOptions {
    OrderOptions {
        evenings: EveningOptions {
            length: Time::minutes(evening_min).unwrap(),
            setup: Some(Time::minutes(2.0).unwrap()),
        },
        nest: NestWish {
            border: Length::mm(5.0).unwrap(),
            options: NestOptions { gap: Length::mm(2.0).unwrap(), edge: Length::mm(3.0).unwrap(), seed: 1, workers: 1 },
        },
        fits: vec![Fit { column: "name".to_owned(), width: Length::mm(76.0).unwrap(), least_scale: 0.4 }],
    }
}

fn ordered(shop: &Shop, table: &[u8], evening_min: f64) -> Result<Order, OrderError> {
    // The first layout is enough here.
    order(&piece(shop), DRAWING, table, shop, &options(evening_min), &|_, _| 1.0)
}

/// What must hold of any order.
fn sound(order: &Order, evening_min: f64) {
    let laid: Vec<usize> =
        order.evenings.iter().flat_map(|evening| evening.slots.iter().map(|slot| slot.item)).collect();
    assert_eq!(laid, (0..order.items.len()).collect::<Vec<_>>(), "every item once, in the table's order");
    for (evening, sheet) in order.evenings.iter().zip(&order.sheets) {
        assert!(evening.ends.to_minutes() <= evening_min + 1e-6, "{evening:?}");
        assert!(evening.duty.to_ratio() <= evening.duty_limit.to_ratio() + 1e-3, "{evening:?}");
        assert!(evening.slots.windows(2).all(|pair| pair[0].to <= pair[1].from));
        let placed: usize = sheet.nested.sheets.iter().map(|stretch| stretch.placements.len()).sum();
        assert_eq!(placed, evening.slots.len(), "every item of the evening is on its sheet");
        assert_eq!(sheet.cuts.len(), sheet.pieces.len());
    }
}

#[test]
fn every_name_is_made_once_and_rests_come_with_less_air() {
    let rests = |free_air: &str| {
        let order = ordered(&shop(free_air), NAMES, 120.0).unwrap();
        sound(&order, 120.0);
        let rest: f64 = order.evenings.iter().map(|evening| evening.rest.to_minutes()).sum();
        println!(
            "{free_air}: {} evenings, {rest:.0} min of rest, {}",
            order.evenings.len(),
            order.plan.recipe.nozzle.name
        );
        (order.evenings.len(), rest)
    };
    let (evenings, rest) = rests("460 l/min");
    let (more_evenings, more_rest) = rests("120 l/min");
    assert!(more_rest > rest && more_evenings >= evenings, "{more_evenings} {more_rest}, {evenings} {rest}");
}

#[test]
fn between_the_planned_items_times_are_near_those_planned() {
    let shop = shop("460 l/min");
    let lettered = letter(&piece(&shop), DRAWING, NAMES, &shop, &options(120.0).fits).unwrap();
    let pace = Pace::of(&piece(&shop), &lettered.made, &shop).unwrap();
    println!("the middle item is guessed {:+.1} % off its plan", 100.0 * pace.off_by());
    assert!(pace.off_by().abs() < 0.1, "{}", pace.off_by());
    let items = pace.items(&lettered.made);
    assert!(items.iter().all(|item| item.blast().to_seconds() > 0.0 && item.weed().to_seconds() > 0.0));
}

#[test]
fn bad_rows_are_told_and_short_evenings_refused() {
    let shop = shop("460 l/min");
    let order = ordered(&shop, b"name,table\nAnsel,1\n,1\nBrida,2\n", 120.0).unwrap();
    assert_eq!((order.items.len(), order.bad.len(), order.bad[0].line), (2, 1, 3));
    assert_eq!(order.quote.offers[0].quantity, 2);
    let fault = ordered(&shop, NAMES, 2.0).unwrap_err().to_string();
    assert!(fault.contains("Ansel") && fault.contains("longer evenings"), "{fault}");
    let fault = ordered(&shop, b"name,table\n,1\n", 120.0).unwrap_err().to_string();
    assert!(fault.contains("no row of the table"), "{fault}");
}

#[test]
fn an_order_tells_its_steps_and_ends_where_somebody_says_no() {
    let shop = shop("460 l/min");
    let run = |last: Step| {
        let steps = Mutex::new(Vec::new());
        let goes_on = |step: Step| {
            steps.lock().unwrap().push(step);
            step != last
        };
        let watch = Watch { spent: &|_, _| 1.0, goes_on: &goes_on };
        let made =
            order_watched(&piece(&shop), DRAWING, b"name,table\nAnsel,1\nBrida,2\n", &shop, &options(180.0), &watch);
        (made, steps.into_inner().unwrap())
    };
    let nesting = Step::Nesting { evening: 0, of: 1 };
    let (made, steps) = run(Step::Nesting { evening: 9, of: 9 });
    assert_eq!(steps, [Step::Lettering, Step::Planning, Step::Evenings, nesting]);
    assert_eq!(made.unwrap().items.len(), 2);
    for (last, count) in [(Step::Lettering, 1), (Step::Evenings, 3), (nesting, 4)] {
        let (made, steps) = run(last);
        assert!(matches!(made, Err(OrderError::Cancelled)) && steps.len() == count, "{steps:?}");
    }
}
