//! A cost against a spreadsheet worked by hand, cell by cell.
//!
//! | cell | arithmetic | amount |
//! | --- | --- | --- |
//! | materials M | 9.36 + 1.20 + 0.50 | 11.06 |
//! | mask | 14/60 h × 40 | 9.3333 |
//! | weed | 30/60 × 40 | 20.00 |
//! | blast | 12/60 × 40 | 8.00 |
//! | rest | 6/60 × 40 × 50 % | 2.00 |
//! | dust | 3/60 × 40 × 50 % | 1.00 |
//! | finish | 6/60 × 40 | 4.00 |
//! | labour L | sum | 44.3333 |
//! | overhead | 18 % × (11.06 + 44.3333) | 9.9708 |
//! | energy | 0.30 × 0.80 + 0.30 × 0.35 | 0.345 |
//! | equipment | 21/60 × 6 + 12/60 × 3 | 2.70 |
//! | direct D | 46 + 11.06 + 44.3333 + 9.9708 + 0.345 + 2.70 | 114.4091 |
//! | chance p | 1 - (1 - 4 %)(1 - 5 %) | 0.088 |
//! | spoilage | 114.4091 × 0.088 / 0.912 | 11.0395 |
//! | order | 30/60 × 40 × 1.18 = 23.60, over 1, 10, 50 | 23.60, 2.36, 0.472 |
//! | each | D + spoilage + order | 149.0486, 127.8086, 125.9206 |
//! | price | each / 70 % × (100, 95, 88 %) | 212.9266, 173.4545, 158.3002 |
//! | up to 0.50 | | 213.00, 173.50, 158.50 |
//! | net | × 1, 10, 50 | 213.00, 1735.00, 7925.00 |
//! | tax 19 % | | 40.47, 329.65, 1505.75 |

use cost::{
    Ask, Cause, Drive, Energy, Equipment, Gear, Kind, Logged, Material, MaterialName, QuoteError, Risk, Task, TaskKind,
    Terms, Work, compare, costed, quote,
};
use piece::Money;
use quantity::{Estimate, Fraction, Time};
use rust_decimal::Decimal;

fn money(text: &str) -> Money {
    Money(text.parse().unwrap())
}

fn minutes(value: f64) -> Time {
    Time::minutes(value).unwrap()
}

fn percent(value: f64) -> Fraction {
    Fraction::percent(value).unwrap()
}

fn decimal(text: &str) -> Decimal {
    text.parse().unwrap()
}

fn work() -> Work {
    let material = |name: &str, price, grows| Material {
        name: MaterialName::Table { name: name.to_owned(), grade: None },
        price: money(price),
        grows,
    };
    let task = |kind, min| Task { kind, time: minutes(min) };
    Work {
        blank: money("46.00"),
        materials: vec![
            material("resist", "9.36", false),
            material("abrasive", "1.20", true),
            material("nozzle", "0.50", true),
        ],
        tasks: vec![
            task(TaskKind::Prepare, 14.0),
            task(TaskKind::Weed, 30.0),
            task(TaskKind::Blast, 12.0),
            task(TaskKind::Rest, 6.0),
            task(TaskKind::Clear, 3.0),
            task(TaskKind::Finish, 6.0),
        ],
        energy: vec![
            Energy { of: Drive::Compressor, kwh: 0.8, kwh_per_blast_hour: 4.0 },
            Energy { of: Drive::Collector, kwh: 0.35, kwh_per_blast_hour: 1.1 },
        ],
        equipment: vec![
            Equipment { gear: Gear::Cabinet, time: minutes(21.0), per_blast_hour: 1.0 },
            Equipment { gear: Gear::Compressor, time: minutes(12.0), per_blast_hour: 1.0 },
        ],
        blast: Estimate::new(minutes(8.0), minutes(12.0), minutes(18.0)).unwrap(),
        risk: Risk { causes: vec![(Cause::ResistWear, percent(5.0))] },
    }
}

fn terms() -> Terms {
    Terms {
        currency: "EUR".to_owned(),
        labour_per_hour: money("40"),
        waiting: percent(50.0),
        order_time: minutes(30.0),
        energy_per_kwh: money("0.30"),
        cabinet_per_hour: money("6.00"),
        compressor_per_hour: money("3.00"),
        overhead: decimal("0.18"),
        margin: decimal("0.30"),
        spoilage: percent(4.0),
        breaks: vec![(10, decimal("0.05")), (50, decimal("0.12"))],
        rush: decimal("0.25"),
        tax: decimal("0.19"),
        tax_name: "VAT".to_owned(),
        round_to: money("0.50"),
    }
}

/// To a hundredth of a cent: hours such as 14/60 are cut at nine decimals.
fn near(what: &str, ours: Money, want: &str) {
    let apart = (ours.0 - decimal(want)).abs();
    assert!(apart < decimal("0.0001"), "{what}: {} against {want}", ours.0);
}

#[test]
fn every_cell_agrees_with_the_sheet() {
    let one = costed(&work(), &terms(), 1, 1.0);
    let of = |wanted: Kind| one.of(|kind| *kind == wanted);
    near("materials", one.of(|kind| matches!(kind, Kind::Material(_))), "11.06");
    for (task, want) in [
        (TaskKind::Prepare, "9.3333"),
        (TaskKind::Weed, "20"),
        (TaskKind::Blast, "8"),
        (TaskKind::Rest, "2"),
        (TaskKind::Clear, "1"),
        (TaskKind::Finish, "4"),
    ] {
        near(task.name(), of(Kind::Labour(task)), want);
    }
    near("overhead", of(Kind::Overhead), "9.9708");
    near("compressor", of(Kind::Energy(Drive::Compressor)), "0.24");
    near("collector", of(Kind::Energy(Drive::Collector)), "0.105");
    near("cabinet", of(Kind::Equipment(Gear::Cabinet)), "2.10");
    near("compressor hours", of(Kind::Equipment(Gear::Compressor)), "0.60");
    near("spoilage", of(Kind::Spoilage), "11.03948");
    near("order", of(Kind::Order), "23.60");
    near("each", one.each, "149.04861");
    assert!((one.spoils.to_ratio() - 0.088).abs() < 1e-12);
    // Lines are all there is.
    assert_eq!(one.lines.iter().map(|line| line.amount).sum::<Money>(), one.each);
}

#[test]
fn prices_over_quantity_agree_with_the_sheet() {
    let offers = quote(&work(), &terms(), &Ask { quantities: vec![50, 1, 10, 10], rush: None }).unwrap().offers;
    let told: Vec<[String; 4]> = offers
        .iter()
        .map(|offer| [offer.each, offer.net, offer.tax, offer.gross].map(|amount| amount.to_string()))
        .collect();
    assert_eq!(
        told,
        [
            ["213.00", "213.00", "40.47", "253.47"],
            ["173.50", "1735.00", "329.65", "2064.65"],
            ["158.50", "7925.00", "1505.75", "9430.75"]
        ]
    );
    near("ten", offers[1].costed.each, "127.80861");
    near("fifty", offers[2].costed.each, "125.92061");
}

#[test]
fn a_rush_is_added_to_the_price() {
    // 212.92659 × 1.25 = 266.15824, up to 266.50.
    let ask = Ask { quantities: vec![1], rush: Some(decimal("0.25")) };
    assert_eq!(quote(&work(), &terms(), &ask).unwrap().offers[0].each.to_string(), "266.50");
}

#[test]
fn a_longer_blast_costs_what_grows_with_it() {
    // 6 min more: labour 4.00, materials 0.85, overhead 0.873, energy 0.3 × 0.51 = 0.153, machines 0.90: 6.776;
    // with spoilage 6.776 / 0.912 = 7.42982. And 4 min less: 6.776 × 4/6 / 0.912 = 4.95322.
    let offer = &quote(&work(), &terms(), &Ask { quantities: vec![1], rush: None }).unwrap().offers[0];
    near("high", offer.each_cost.high(), "156.47844");
    near("low", offer.each_cost.low(), "144.09540");
    // (213 - 156.47844) / 213 and (213 - 144.09540) / 213
    assert!((offer.margin.low() - 0.265_360).abs() < 1e-5 && (offer.margin.high() - 0.323_496).abs() < 1e-5);
}

#[test]
fn logged_minutes_become_money() {
    let logged = |kind, min| Logged { kind, time: minutes(min) };
    let entries = [logged(TaskKind::Weed, 25.0), logged(TaskKind::Weed, 15.0), logged(TaskKind::Blast, 18.0)];
    let comparison = compare(&work(), &terms(), &entries);
    let row = |kind| comparison.rows.iter().find(|row| row.kind == kind).unwrap();
    // 10 min × 40/h × 1.18 = 7.86667; the blast as above but for spoilage: 6.776.
    near("weed", row(TaskKind::Weed).more, "7.86667");
    near("blast", row(TaskKind::Blast).more, "6.776");
    near("all", comparison.more, "14.64267");
    assert_eq!((row(TaskKind::Weed).more_s, row(TaskKind::Prepare).logged), (600.0, None));
    // As planned costs nothing more, and less time is money back.
    assert_eq!(compare(&work(), &terms(), &[logged(TaskKind::Weed, 30.0)]).more, Money::ZERO);
    assert!(compare(&work(), &terms(), &[logged(TaskKind::Rest, 0.0)]).more < Money::ZERO);
    near("rest at half", compare(&work(), &terms(), &[logged(TaskKind::Rest, 0.0)]).more, "-2.36");
}

#[test]
fn what_cannot_be_quoted_says_why() {
    let fault = |quantities: &[u32], rush: Option<&str>| {
        quote(&work(), &terms(), &Ask { quantities: quantities.to_vec(), rush: rush.map(decimal) }).unwrap_err()
    };
    assert_eq!(fault(&[], None), QuoteError::NoQuantity);
    assert_eq!(fault(&[1, 0], None), QuoteError::Quantity { given: 0 });
    assert!(fault(&[1], Some("3")).to_string().contains("0 to 200 %"));
}

#[test]
fn a_yen_has_no_cents() {
    let yen = Terms { currency: "JPY".to_owned(), round_to: money("1"), ..terms() };
    let quoted = quote(&work(), &yen, &Ask { quantities: vec![1], rush: None }).unwrap();
    // 212.93 up to 213; 19 % of it is 40.47, to the coin 40.
    let offer = &quoted.offers[0];
    assert_eq!(
        [offer.each, offer.tax, offer.gross].map(|amount| amount.0.normalize().to_string()),
        ["213", "40", "253"]
    );
    let document = cost::document::QuoteDocument::new(&quoted, "Heron", None, "Weir Lane");
    assert!(document.csv().unwrap().contains("1,213,213,40,253,149,JPY"), "{}", document.csv().unwrap());
}
