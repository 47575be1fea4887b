//! What a plan says of safety: findings from the checks, remedies that remedy, nothing taken for granted.

mod common;

use common::{PIECE, SHOP, drawing};
use piece::piece_file::PieceFile;
use piece::shop_file::ShopFile;
use piece::{reader, resolve_piece, resolve_shop};
use plan::safety_document::SafetyDocument;
use plan::{Check, Detail, Finding, Plan, State, edit, plan};
use safety::check::{Hazard, Standing};

/// Plans the piece with keys added to it and to the shop.
fn planned(piece: &str, shop: &str) -> Plan {
    let shop = piece::read_shop(shop, "shop.toml").unwrap_or_else(|faults| panic!("{faults}"));
    let piece = piece::read_piece(piece, "piece.toml", &shop).unwrap_or_else(|faults| panic!("{faults}"));
    plan(&piece, &drawing(), &shop, Detail::Instant).unwrap_or_else(|refusal| panic!("{refusal}"))
}

/// The demonstration's shop, telling nothing of what protects people but these keys.
fn with_shop(keys: &str) -> String {
    let silent = SHOP.split_once("# What protects people here.").expect("the shop has a part about people").0;
    format!("{silent}\n{keys}")
}

fn with_place(place: &str) -> String {
    PIECE.replace("[[depth]]\nlayer = \"deep\"", &format!("[place]\n{place}\n[[depth]]\nlayer = \"deep\""))
}

fn found(plan: &Plan, hazard: Hazard) -> Option<&Finding> {
    plan.findings.iter().find(|finding| finding.check == Check::Safety(hazard))
}

/// A shop's or piece's keys, the hazard that they bring, and how it stands.
const TOLD: [(&str, &str, Hazard, State); 12] = [
    ("", "[enclosure]\ninterlock = false", Hazard::Interlock, State::Watch),
    ("", "[enclosure]\ndoor_wait = \"20s\"", Hazard::DoorWait, State::Stop),
    ("", "[enclosure]\ngrounded = false", Hazard::Static, State::Watch),
    ("", "[enclosure]\nrecirculates = true\nfilters = [\"merv_15\"]", Hazard::FilterClass, State::Stop),
    ("", "[enclosure]\nduct = \"200mm\"", Hazard::DuctSpeed, State::Watch),
    ("", "[pressure]\nvalve = \"hand_valve\"", Hazard::BlastValve, State::Stop),
    ("", "[pressure]\ntied_open = true", Hazard::TiedValve, State::Stop),
    ("", "[pressure]\nhose_rated = \"7bar\"", Hazard::HoseRating, State::Stop),
    ("", "[pressure]\ncleaning = \"6bar\"", Hazard::CleaningAir, State::Stop),
    ("", "[shift]\nblasting = \"4h\"\nnoise_blasting = \"100dBA\"", Hazard::NoiseDose, State::Stop),
    ("kind = \"door\"", "", Hazard::Place, State::Stop),
    (
        "kind = \"shelf\"\nsupports = \"left_and_right\"\nflat = true\nload = \"40kPa\"",
        "",
        Hazard::Strength,
        State::Stop,
    ),
];

#[test]
fn what_the_files_tell_becomes_a_finding_and_without_it_there_is_none() {
    let plain = planned(PIECE, SHOP);
    for (place, shop, hazard, state) in TOLD {
        let piece = if place.is_empty() { PIECE.to_owned() } else { with_place(place) };
        let plan = planned(&piece, &with_shop(shop));
        let finding = found(&plan, hazard).unwrap_or_else(|| panic!("{hazard:?} is not found"));
        assert_eq!(finding.state, state, "{hazard:?}");
        let said = plan::words::finding(finding, plan.units);
        assert!(!said.title.is_empty() && !said.why.is_empty() && !said.source.is_empty(), "{said:?}");
        assert!(found(&plain, hazard).is_none(), "{hazard:?} without a word about it");
    }
}

#[test]
fn every_remedy_for_it_remedies_when_it_is_written_into_the_files() {
    let mut tried = 0;
    for (place, keys, hazard, _) in TOLD {
        let piece_text = if place.is_empty() { PIECE.to_owned() } else { with_place(place) };
        let shop_text = with_shop(keys);
        let before = planned(&piece_text, &shop_text);
        let finding = found(&before, hazard).unwrap();
        for remedy in &finding.remedies {
            let mut piece = reader::read::<PieceFile>(&piece_text, "piece.toml").unwrap();
            let mut shop = reader::read::<ShopFile>(&shop_text, "shop.toml").unwrap();
            assert!(edit::apply_all(remedy, &before.recipe, &mut piece.value, &mut shop.value), "{remedy:?}");
            let shop = resolve_shop(&shop).unwrap_or_else(|faults| panic!("{faults}"));
            let piece = resolve_piece(&piece, &shop).unwrap_or_else(|faults| panic!("{faults}"));
            let after = plan(&piece, &drawing(), &shop, Detail::Instant).unwrap();
            let state = found(&after, hazard).map_or(State::Holds, |finding| finding.state);
            assert_eq!(state, remedy.gives, "{hazard:?}: {:?}", remedy.changes);
            tried += 1;
        }
    }
    // A place has no remedy: licensed practice has the word.
    assert!(tried >= 11, "{tried}");
}

#[test]
fn strength_is_never_said_to_hold() {
    let shallow = planned(&with_place("kind = \"wall\"\nsupports = \"four_sides\"\npush = \"100N\""), SHOP);
    assert_eq!(found(&shallow, Hazard::Strength).unwrap().state, State::Watch);
    let screened = shallow.safety.iter().find(|checked| checked.hazard == Hazard::Strength).unwrap();
    assert_eq!(screened.standing, Standing::Screened);
}

#[test]
fn a_panel_carved_to_three_fifths_of_its_thickness_in_a_door_stops_thrice() {
    let piece = with_place("kind = \"door\"\nsupports = \"four_sides\"\npush = \"1kN\"")
        .replace("depth = \"2mm\"", "depth = \"6mm\"");
    let plan = planned(&piece, SHOP);
    let stops: Vec<&str> =
        plan.findings.iter().filter(|one| one.state == State::Stop).map(|one| one.check.id()).collect();
    for id in ["thickness", "place", "strength"] {
        assert!(stops.contains(&id), "{stops:?}");
    }
    assert!(plan.cautions.iter().any(|caution| caution.hazard.contains("in a door")));
}

#[test]
fn a_shop_without_a_collector_says_so_once() {
    let plan = planned(PIECE, &SHOP.replace("collector = \"15 m3/min\"", ""));
    let stop = plan.findings.iter().find(|finding| finding.check == Check::Collector).unwrap();
    assert_eq!(stop.state, State::Stop);
    assert!(found(&plan, Hazard::NoCollector).is_none());
    assert!(plan.safety.iter().any(|one| one.hazard == Hazard::NoCollector && one.standing == Standing::Stop));
    assert!(stop.remedies.iter().any(|remedy| remedy.gives == State::Holds));
}

#[test]
fn a_collector_of_less_than_the_nozzles_air_blows_out() {
    let plan = planned(PIECE, &SHOP.replace("15 m3/min", "0.1 m3/min"));
    let out = found(&plan, Hazard::BlastOut).unwrap();
    assert_eq!((out.state, out.remedies[0].gives), (State::Stop, State::Holds));
    assert!(found(&planned(PIECE, SHOP), Hazard::BlastOut).is_none());
}

#[test]
fn a_bag_whose_sheet_says_a_percent_of_silica_is_refused() {
    let bag = |share: &str| {
        let told = format!("kind = \"white_alumina\"\nfree_silica = \"{share}\"");
        let text = SHOP.replace("kind = \"white_alumina\"", &told);
        let shop = piece::read_shop(&text, "shop.toml").unwrap();
        let piece = piece::read_piece(PIECE, "piece.toml", &shop).unwrap();
        plan(&piece, &drawing(), &shop, Detail::Instant).map(|_| ()).map_err(|refusal| refusal.to_string())
    };
    assert!(bag("1%").unwrap_err().contains("free silica"));
    assert_eq!(bag("0.9%"), Ok(()));
}

#[test]
fn the_document_has_every_check_with_its_unit_and_source() {
    let keys = "[enclosure]\nduct = \"130mm\"\nfilter_area = \"14 m2\"\ndoor_wait = \"90s\"\n[shift]\nblasting = \"1h\"\n\
                noise_blasting = \"92dBA\"\ndust_blasting = \"200ug/m3\"\n[pressure]\npot_rated = \"11bar\"";
    let plan = planned(&with_place("kind = \"shelf\"\nsupports = \"four_clamped\"\nwind = \"1kPa\""), &with_shop(keys));
    let document = serde_json::to_value(SafetyDocument::new(&plan)).unwrap();
    let checks = document["checks"].as_array().unwrap();
    assert_eq!(checks.len(), plan.safety.len());
    for check in checks {
        assert!(!check["source"].as_str().unwrap().is_empty(), "{check}");
        for number in [&check["value"], &check["limit"]].into_iter().filter(|number| !number.is_null()) {
            assert!(!number["unit"].as_str().unwrap().is_empty() && number["value"].is_f64(), "{check}");
        }
        let not_told = check["standing"] == "not_told";
        assert_eq!(!check["key"].is_null(), not_told, "{check}");
    }
    assert!(document["cautions"].as_array().unwrap().iter().all(|caution| caution["step"].is_string()));
}
