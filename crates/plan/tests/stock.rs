//! What a plan draws from the shop's stock, and what it says of a run.

mod common;

use common::{PIECE, drawing, piece, shop};
use plan::drawn::draws;
use plan::told::{Done, told};
use plan::{Detail, Plan, plan};
use quantity::{Estimate, Length, Time};
use stock::Item;

fn planned() -> Plan {
    plan(&piece(PIECE), &drawing(), &shop(), Detail::Instant).unwrap()
}

#[test]
fn a_stencil_draws_its_own_area_up_to_the_strip_of_the_roll() {
    let (plan, shop) = (planned(), shop());
    let draws = draws(&plan, &shop, None);
    let (item, area) = &draws.areas[0];
    assert_eq!(*item, Item::Resist("rubber_medium".into()));
    // Three squares of 15 mm and lines under them: 75 by 30.8 mm, and 15 mm around for the tape.
    assert!((area.mid().to_square_mm() - 105.0 * 60.8).abs() < 1.0, "{area:?}");
    let roll = shop.resists.iter().find(|stock| stock.resist.id == "rubber_medium").unwrap().width.to_mm();
    let strip = area.high().to_square_mm() / roll;
    println!("the strip is {strip:.1} mm of a roll {roll} mm wide");
    assert!(area.low() == area.mid() && (50.0..80.0).contains(&strip), "{strip}");
    assert_eq!(draws.areas[1].0, Item::Tape);
    let ten = draws.times(10).areas[0].1;
    assert!((ten.mid().to_square_mm() / area.mid().to_square_mm() - 10.0).abs() < 1e-9);
}

#[test]
fn abrasive_goes_with_the_time_and_a_log_ends_the_doubt_about_that() {
    let (plan, shop) = (planned(), shop());
    let before = draws(&plan, &shop, None).masses[0].1;
    let after = draws(&plan, &shop, Some(&done(&plan, 1.0, 2.0))).masses[0].1;
    let width = |range: Estimate<quantity::Mass>| range.high().to_kilograms() / range.low().to_kilograms();
    assert!((before.mid().to_kilograms() - after.mid().to_kilograms()).abs() < 1e-12);
    assert!(width(after) < width(before), "{after:?} {before:?}");
    let twice = draws(&plan, &shop, Some(&done(&plan, 2.0, 2.0))).masses[0].1;
    for (one, two) in [(after.low(), twice.low()), (after.mid(), twice.mid()), (after.high(), twice.high())] {
        assert!((two.to_kilograms() / one.to_kilograms() - 2.0).abs() < 1e-9);
    }
}

/// Each stage for so many times its planned time, and the deep squares gauged so deep.
fn done(plan: &Plan, times: f64, deep_mm: f64) -> Done {
    let stage = |stage: &plan::Stage| {
        let blasted = Time::seconds(stage.blast.to_seconds() * times).unwrap();
        (stage.order, blasted, stage.wait)
    };
    let depths =
        vec![("deep".to_owned(), Length::mm(deep_mm).unwrap()), ("nobody".to_owned(), Length::mm(1.0).unwrap())];
    Done { stages: plan.stages.iter().map(stage).collect(), depths }
}

#[test]
fn a_run_as_planned_is_inside_and_costs_what_was_planned() {
    let (plan, shop) = (planned(), shop());
    let told = told(&plan, &shop, &done(&plan, 1.0, plan.layers[0].reach.wide.mid().to_mm()));
    assert!(told.blast.is_inside() && told.depths.len() == 1 && told.depths[0].depth_mm.is_inside());
    assert_eq!(told.stages.len(), plan.stages.len());
    let [low, mid, high] = told.cost.planned;
    assert!(low <= mid && mid <= high);
    assert!((told.cost.done.cents() - mid.cents()).abs() <= rust_decimal::Decimal::new(5, 2), "{:?}", told.cost);
}

#[test]
fn twice_the_time_is_expected_to_carve_twice_as_deep_and_costs_more() {
    let (plan, shop) = (planned(), shop());
    let deep = plan.layers[0].reach.wide.mid().to_mm();
    let told = told(&plan, &shop, &done(&plan, 2.0, deep));
    let depth = told.depths[0].depth_mm;
    assert!((depth.mid / deep - 2.0).abs() < 1e-6, "{depth:?}");
    println!("planned {:?}", told.blast);
    assert!(
        told.blast.ratio().is_some_and(|ratio| (ratio - 2.0).abs() < 1e-6)
            && depth.ratio().is_some_and(|ratio| (ratio - 0.5).abs() < 1e-6)
    );
    assert!(told.cost.done > told.cost.planned[1]);
    // What was kept is read back as it was.
    let text = serde_json::to_string(&told).unwrap();
    assert_eq!(serde_json::from_str::<plan::told::Told>(&text).unwrap(), told);
}

#[test]
fn a_worn_nozzle_takes_the_air_of_its_bore() {
    let shop = shop();
    let nozzle = shop.nozzles.iter().find(|nozzle| nozzle.name == "carver").unwrap();
    let gauged = stock::wear::Event::Gauged(quantity::Diameter::mm(2.7).unwrap());
    let ledger = [stock::Movement { id: 1, at_utc: "2026-03-01T08:00:00Z".to_owned(), act: gauged }];
    let set = quantity::GaugePressure::bar(2.5).unwrap();
    let worn = plan::worn::worn(&shop, nozzle, &ledger, shop.abrasives[0].abrasive, set).unwrap();
    let air = worn.air.unwrap();
    // Flow goes with the area, a little less as the line loses more.
    let grown = air.takes.mid().to_kg_per_second() / air.new.to_kg_per_second();
    println!("{grown:.4} of {:.4}", (2.7_f64 / 2.4).powi(2));
    assert!(grown > 1.2 && grown < (2.7_f64 / 2.4).powi(2) + 1e-9, "{grown}");
    assert!(air.takes.low() < air.takes.mid() && air.takes.mid() < air.takes.high());
}
