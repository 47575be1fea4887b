//! An abrasive of their own for the last stages: times and wear stage by stage, what is drawn, the remedy, the log.

mod common;

use artwork::svg::{ReadOptions, read_svg};
use common::{PIECE, SHOP, drawing, piece, shop};
use piece::piece_file::PieceFile;
use piece::shop_file::ShopFile;
use piece::{reader, resolve_piece, resolve_shop};
use plan::logged::{Gauged, LoggedError, coupon};
use plan::told::Done;
use plan::{Act, Change, Check, Detail, Plan, State, plan};
use quantity::{Length, Quantity as _, Time};
use stock::Item;

const FINISH: &str = r#"
[recipe.finish]
abrasive = "white_alumina"
grit = "F220"
stages = 1
"#;

fn planned(text: &str) -> Plan {
    plan(&piece(text), &drawing(), &shop(), Detail::Instant).unwrap()
}

fn close(a: f64, b: f64, within: f64) {
    assert!((a / b - 1.0).abs() < within, "{a} is not {b}");
}

#[test]
fn each_stage_takes_its_own_abrasives_time_and_the_change_is_laid_before_it() {
    let both = planned(&format!("{PIECE}{FINISH}"));
    let (coarse, fine) = (planned(PIECE), planned(&PIECE.replace("F150", "F220")));
    let blasts = |plan: &Plan| plan.stages.iter().map(|stage| stage.blast.to_seconds()).collect::<Vec<_>>();
    let (mixed, coarse_s, fine_s) = (blasts(&both), blasts(&coarse), blasts(&fine));
    close(mixed[0], coarse_s[0], 1e-9);
    close(mixed[1], coarse_s[1], 1e-9);
    close(mixed[2], fine_s[2], 1e-9);
    close(both.time.blast.mid().to_seconds(), coarse_s[0] + coarse_s[1] + fine_s[2], 1e-9);
    let refills: Vec<_> = both.strip.hands.iter().filter(|block| block.act == Act::Refill).collect();
    assert_eq!((refills.len(), refills[0].stage), (1, 3));
    close(refills[0].to.to_seconds() - refills[0].from.to_seconds(), 600.0, 1e-9);
    assert!(coarse.strip.hands.iter().all(|block| block.act != Act::Refill));
    // Of the dose of 2 mm three quarters are blasted with the first.
    close(both.resist.used.mid(), 0.75 * coarse.resist.used.mid() + 0.25 * fine.resist.used.mid(), 0.01);
    let said = plan::words::stage_refill(&both, &both.stages[2]).unwrap();
    assert!(said.contains("F220") && plan::words::stage_refill(&both, &both.stages[1]).is_none(), "{said}");
    // The ground is frosted by what blasted it last.
    close(both.relief.roughness.to_um(), fine.relief.roughness.to_um(), 1e-9);
}

#[test]
fn both_abrasives_are_drawn_each_by_its_own_time() {
    let both = planned(&format!("{PIECE}{FINISH}"));
    let drawn = plan::drawn::draws(&both, &shop(), None);
    let names: Vec<String> = drawn.masses.iter().map(|(item, _)| item.key()).collect();
    let item = |grit: &str| Item::Abrasive { kind: "white_alumina".to_owned(), grit: grit.to_owned() }.key();
    assert_eq!(names, [item("F150"), item("F220")]);
    let [first, last] = [0, 1].map(|at: usize| drawn.masses[at].1.mid().to_kilograms());
    let blast = |at: usize| both.stages[at].blast.to_seconds();
    close(first / last, (blast(0) + blast(1)) / blast(2), 1e-6);
    // Logged: the last stage thrice as long, the others as planned. Only the second abrasive is drawn thrice.
    let stages = [(1, blast(0)), (2, blast(1)), (3, 3.0 * blast(2))];
    let time = |seconds: f64| Time::seconds(seconds).unwrap();
    let log =
        Done { stages: stages.map(|(order, blasted)| (order, time(blasted), time(0.0))).to_vec(), depths: vec![] };
    let logged = plan::drawn::draws(&both, &shop(), Some(&log));
    let [first_logged, last_logged] = [0, 1].map(|at: usize| logged.masses[at].1.mid().to_kilograms());
    close(first_logged / first, 1.0, 1e-9);
    close(last_logged / last, 3.0, 1e-9);
}

#[test]
fn the_first_stages_abrasive_is_no_change_for_the_last() {
    let same = format!("{PIECE}{}", FINISH.replace("F220", "F150"));
    let complaint = piece::read_piece(&same, "piece.toml", &shop()).unwrap_err().to_string();
    println!("{complaint}");
    assert!(complaint.contains("recipe.finish.grit") && complaint.contains("leave [recipe.finish] out"), "{complaint}");
    // Left open, the first is another than the last.
    let open = PIECE.replace("grit = \"F150\"\n", "");
    let planned = plan(&piece(&format!("{open}{FINISH}")), &drawing(), &shop(), Detail::Instant).unwrap();
    assert_ne!(planned.recipe.grit.name, "F220", "{:?}", planned.recipe.grit.name);
    // And where the shop has no other, that is said.
    let mut poor = shop();
    poor.abrasives.retain(|stock| stock.grit.name == "F220");
    let refusal = plan(&piece(&format!("{open}{FINISH}")), &drawing(), &poor, Detail::Instant).unwrap_err().to_string();
    assert!(refusal.contains("for the first stages too"), "{refusal}");
}

#[test]
fn all_stages_cannot_be_the_last() {
    let all = format!("{PIECE}{}", FINISH.replace("stages = 1", "stages = 3"));
    let refusal = plan(&piece(&all), &drawing(), &shop(), Detail::Instant).unwrap_err().to_string();
    assert!(refusal.contains("3 of the piece's 3 stages"), "{refusal}");
    let unknown = piece::read_piece(&format!("{PIECE}{}", FINISH.replace("F220", "F60")), "piece.toml", &shop());
    let complaint = unknown.unwrap_err().to_string();
    assert!(complaint.contains("recipe.finish.grit") && complaint.contains("F220"), "{complaint}");
}

/// A wide deep part, and below it lines of 0.22 mm, less than three grains of F120 or F150.
const FINE_LINES: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="240mm" viewBox="0 0 300 240">
<g id="deep" fill="#204060"><rect x="10" y="10" width="280" height="200"/></g>
<g id="shallow" fill="#a0c8d8"><rect x="10" y="220" width="280" height="0.22"/><rect x="10" y="230" width="280" height="0.22"/></g>
</svg>"##;

#[test]
fn a_finer_abrasive_for_the_stage_of_the_fine_lines_is_offered_and_mends_them() {
    let text = PIECE
        .replace("[[depth]]\nlayer = \"middle\"\ndepth = \"1.2mm\"\n", "")
        .replace("depth = \"0.5mm\"", "depth = \"0.05mm\"")
        .replace("160mm", "340mm")
        .replace("100mm", "280mm")
        .replace("rubber_medium", "photo_6mil")
        .replace("F150", "F120");
    let drawing = read_svg(FINE_LINES.as_bytes(), &ReadOptions::default()).unwrap();
    let before = plan(&piece(&text), &drawing, &shop(), Detail::Instant).unwrap();
    let check = Check::Opening { layer: "shallow".to_owned() };
    let finding = before.findings.iter().find(|finding| finding.check == check).unwrap();
    assert!(finding.state > State::Holds, "{finding:?}");
    let offered = |change: &Change| matches!(change, Change::Finish(_, _, 1));
    let remedy = finding.remedies.iter().find(|remedy| remedy.changes.iter().any(offered));
    let remedy = remedy.unwrap_or_else(|| panic!("{:?}", finding.remedies));
    println!("{}", plan::words::remedy(remedy, before.units));
    let mut piece_file = reader::read::<PieceFile>(&text, "piece.toml").unwrap().value;
    let mut shop_file = reader::read::<ShopFile>(SHOP, "shop.toml").unwrap().value;
    assert!(plan::edit::apply_all(remedy, &before.recipe, &mut piece_file, &mut shop_file));
    let written = toml::to_string(&piece_file).unwrap();
    assert!(written.contains("[recipe.finish]"), "{written}");
    let shop = resolve_shop(&reader::read::<ShopFile>(&toml::to_string(&shop_file).unwrap(), "shop.toml").unwrap());
    let shop = shop.unwrap();
    let mended = resolve_piece(&reader::read::<PieceFile>(&written, "piece.toml").unwrap(), &shop).unwrap();
    let after = plan(&mended, &drawing, &shop, Detail::Instant).unwrap();
    let state = after.findings.iter().find(|finding| finding.check == check).unwrap().state;
    assert!(state < finding.state, "{state:?}");
}

#[test]
fn a_log_tells_of_an_abrasive_only_where_it_blasted_alone() {
    let both = planned(&format!("{PIECE}{FINISH}"));
    let gauged = |layer: usize, blasted: Vec<Time>| Gauged {
        layer,
        blasted,
        depth: both.layers[layer].target,
        gauge: Length::mm(0.05).unwrap(),
        resist: None,
    };
    let blasted: Vec<Time> = both.stages.iter().map(|stage| stage.blast).collect();
    let deep = coupon(&both, &shop(), &gauged(0, blasted.clone())).unwrap_err();
    assert!(matches!(&deep, LoggedError::TwoAbrasives { layer } if layer == "deep"), "{deep}");
    let last = coupon(&both, &shop(), &gauged(2, blasted.clone())).unwrap();
    assert_eq!((last.grit.name.as_str(), last.abrasive.id.as_str()), ("F220", "white_alumina"));
    // Where the change was not blasted, the first abrasive was alone.
    let early = coupon(&both, &shop(), &gauged(0, vec![blasted[0], blasted[1], Time::clamped(0.0)])).unwrap();
    assert_eq!(early.grit.name, "F150");
}

#[test]
fn a_plan_for_programs_names_both() {
    let both = planned(&format!("{PIECE}{FINISH}"));
    let json = serde_json::to_value(plan::document::PlanDocument::new(&both, Vec::new())).unwrap();
    assert_eq!(json["recipe"]["finish"]["grit"], "F220");
    assert_eq!(json["recipe"]["finish"]["stages"], 1);
}
