//! A class file read, simulated and changed.

use class::change::{Change, Prices, applied, search};
use class::{Class, Outcome, Running, read_class, rotation, shopping, simulate};
use piece::{Money, Shop, read_shop};
use quantity::{Quantity as _, Time};

const SHOP: &str = include_str!("../../../examples/shop.toml");
const CLASS: &str = include_str!("../../../examples/class.toml");

fn shop() -> Shop {
    read_shop(SHOP, "shop.toml").unwrap()
}

fn class(text: &str) -> Class {
    read_class(text, "class.toml", &shop()).unwrap_or_else(|complaints| panic!("{complaints}"))
}

const RUNNING: Running = Running { replications: 60, seed: 4 };

fn run(class: &Class) -> Outcome {
    simulate(class, None, RUNNING).unwrap()
}

fn complaints(changes: &[(&str, &str)]) -> String {
    let text = changes.iter().fold(CLASS.to_owned(), |text, (from, to)| {
        assert!(text.contains(from), "{from} is not in the example");
        text.replacen(from, to, 1)
    });
    read_class(&text, "class.toml", &shop()).unwrap_err().to_string()
}

#[test]
fn complaints_name_the_place_and_the_mend() {
    let check = |changes: &[(&str, &str)], wanted: &[&str]| {
        let said = complaints(changes);
        for words in wanted {
            assert!(said.contains(words), "{words:?} is not in:\n{said}");
        }
    };
    check(&[("students = 8", "students = 0")], &["class.toml:4:12: students: 0 is outside 1 to 200"]);
    check(&[("starts = \"10:00\"", "starts = \"10 am\"")], &["starts: \"10 am\" does not have the form"]);
    check(&[("starts = \"10:00\"", "starts = \"25:00\"")], &["starts: 25:00 cannot be", "24-hour clock"]);
    check(&[("length = \"3.25h\"", "length = \"20min\"")], &["length: 20min cannot be: the talk leaves no time"]);
    check(&[("nozzle = \"detail\"", "nozzle = \"detial\"")], &["blast.nozzle", "nearest is \"detail\""]);
    check(&[("grit = \"F220\"", "grit = \"F60\"")], &["blast.grit: unknown grit of this shop \"F60\""]);
    check(&[("at = \"washout\"", "at = \"wash\"")], &["step[3].at", "nearest is \"washout\""]);
    check(&[("time = \"35min\"", "time = \"0min\"")], &["step[1].time", "a step takes time"]);
    check(
        &[("time = \"6min\"", "time = \"6min\"\nblast = \"1min\"")],
        &["step[2].blast: 60s cannot be: only a cabinet has a nozzle"],
    );
    check(&[("count = 1\n", "holds = 2\n")], &["station[4].holds: 2 cannot be"]);
    check(&[("name = \"washout\"", "name = \"bench\"")], &["station[3].name: bench cannot be: two stations"]);
    check(&[("pieces_each = 1", "pices_each = 1")], &["unknown key \"pices_each\"; nearest is \"pieces_each\""]);
}

#[test]
fn every_complaint_is_told_at_once() {
    let said = complaints(&[("at = \"washout\"", "at = \"wash\""), ("nozzle = \"detail\"", "nozzle = \"x\"")]);
    assert_eq!(said.lines().count(), 2, "{said}");
}

#[test]
fn the_schema_says_what_each_key_is() {
    let schema = class::schema();
    let said = |key: &str| schema["properties"][key]["description"].as_str().unwrap_or_default().to_owned();
    assert!(said("students").contains("How many") && said("sure").contains("on time"));
    assert_eq!(schema["properties"]["step"]["items"]["properties"]["time"]["x-quantity"], "Time");
}

#[test]
fn one_student_alone_takes_the_sum_of_the_steps_and_never_waits() {
    let mut alone = class(CLASS);
    alone.students = 1;
    alone.steps.iter_mut().for_each(|step| step.spread = quantity::Fraction::clamped(0.0));
    let outcome = run(&alone);
    // 35 + 6 + 9 + 20 + (5 + 7) + 12 min, the shop's door wait of 90 s, after 25 min of talk.
    assert!((outcome.end.mid.to_minutes() - (94.0 + 1.5 + 25.0)).abs() < 1e-6, "{:?}", outcome.end);
    assert_eq!(outcome.waiting.mid.to_seconds(), 0.0);
    assert_eq!(outcome.end.low, outcome.end.high);
}

#[test]
fn the_bottleneck_sets_the_pace_of_a_large_class() {
    // With the cabinet as the one narrow place, the class takes at least its work there, and in use nearly all of it.
    let mut large = class(CLASS);
    large.students = 60;
    large.stations[0].count = 60;
    large.stations[1].holds = 60;
    large.stations[2].count = 60;
    let outcome = run(&large);
    // 5 + 7 + 1.5 min each: 13.5 min is 4.44 an hour.
    let pace = outcome.pieces_per_hour;
    println!("{:.2} ({:.2} to {:.2}) pieces an hour, 4.44 at the cabinet alone", pace.mid, pace.low, pace.high);
    assert!(pace.high < 60.0 / 13.5 + 0.1 && pace.mid > 0.88 * 60.0 / 13.5, "{pace:?}");
    assert!(outcome.stations[3].busy.mid.to_ratio() > 0.88);
}

#[test]
fn the_same_seed_gives_the_same_class_and_another_seed_lies_in_its_interval() {
    let it = class(CLASS);
    assert_eq!(run(&it), run(&it));
    let other = simulate(&it, None, Running { seed: 99, ..RUNNING }).unwrap();
    let (a, b) = (run(&it).end, other.end);
    assert!(a.low.to_base() < b.high.to_base() && b.low.to_base() < a.high.to_base(), "{a:?} {b:?}");
    assert!(simulate(&it, None, Running { replications: 1, seed: 1 }).is_err());
}

#[test]
fn the_rotation_has_every_student_at_every_step_and_nobody_twice() {
    let it = class(CLASS);
    let rotation = rotation(&it, None).unwrap();
    assert_eq!(rotation.rows.len(), 8);
    for row in &rotation.rows {
        let steps: Vec<usize> = row.blocks.iter().map(|block| block.step).collect();
        assert_eq!(steps, [0, 1, 2, 3, 4, 5], "student {}", row.student);
        assert!(row.blocks.windows(2).all(|pair| pair[0].to <= pair[1].from));
    }
    assert_eq!(it.clock(Time::clamped(3900.0)), "11:05");
    assert_eq!((it.place_name(0, 3), it.place_name(3, 1)), ("bench 3".to_owned(), "cabinet".to_owned()));
}

#[test]
fn packs_are_whole_and_money_is_exact() {
    let it = class(CLASS);
    let list = shopping(&it, &shop(), None, &run(&it));
    let packs: Vec<(u64, String)> = list.items.iter().map(|item| (item.packs, item.price.to_string())).collect();
    // 8 × 1.1 = 8.8 -> 9 × 4.80; 8 × 0.045 × 1.15 = 0.414 m² of 0.93; 9.6 of 20 sheets; 8 pairs × 11.50; 1 roll.
    let want = [(9, "43.20"), (1, "57.60"), (1, "16.00"), (8, "92.00"), (1, "6.20")];
    assert_eq!(packs, want.map(|(packs, price)| (packs, price.to_owned())));
    assert_eq!(list.total.to_string(), "215.00");
}

fn prices() -> Prices {
    Prices { labour_per_hour: shop().rates.labour_per_hour }
}

#[test]
fn the_cheapest_change_that_ends_on_time_is_found_by_trying() {
    // One washout takes 8 × 9 = 72 min for eight: with 3 h 10 min in all one of the changes must help.
    let mut tight = class(CLASS);
    tight.length = Time::minutes(205.0).unwrap();
    let before = run(&tight);
    assert!(!before.holds, "{:?}", before.on_time);
    let found = search(&tight, None, prices(), RUNNING).unwrap();
    assert!(!found.on_time.is_empty(), "{:#?}", found.nearest.first());
    for tried in &found.on_time {
        println!("{} costs {}, on time {:?}", class::words::changes(&tight, &tried.changes), tried.cost, tried.on_time);
        // Made anew, the change does what is said of it.
        let again = run(&applied(&tight, &tried.changes).unwrap());
        assert!(again.holds && again.end == tried.end);
    }
    let key = |tried: &class::change::Tried| (tried.gives_up, tried.cost);
    assert!(found.on_time.windows(2).all(|pair| key(&pair[0]) <= key(&pair[1])));
    // Nothing cheaper was overlooked: every single change that costs less does not end on time.
    let best = &found.on_time[0];
    if best.changes.len() == 1 && !best.gives_up {
        for (index, station) in tight.stations.iter().enumerate() {
            if station.another.is_some_and(|price| price < best.cost) {
                assert!(!run(&applied(&tight, &[Change::Another(index)]).unwrap()).holds);
            }
        }
    }
}

#[test]
fn a_class_that_nothing_saves_says_how_near_it_comes() {
    let mut hopeless = class(CLASS);
    hopeless.length = Time::minutes(60.0).unwrap();
    let found = search(&hopeless, None, prices(), Running { replications: 12, seed: 1 }).unwrap();
    assert!(found.on_time.is_empty() && !found.nearest.is_empty());
    assert!(found.nearest.iter().all(|tried| !tried.holds));
}

#[test]
fn what_a_change_costs_is_worked_by_hand() {
    let it = class(CLASS);
    let mut loose = it.clone();
    loose.length = Time::hours(12.0).unwrap();
    let found = search(&loose, None, prices(), RUNNING).unwrap();
    let cost = |change: Change| found.on_time.iter().find(|tried| tried.changes == [change]).map(|tried| tried.cost);
    // Two loads of 6 min at 38.00 an hour.
    if let Some(cost) = cost(Change::Ahead(1)) {
        assert_eq!(cost.to_string(), "7.60");
    }
    assert_eq!(cost(Change::Stagger(Time::clamped(180.0))), Some(Money::ZERO));
}
