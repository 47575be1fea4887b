//! What a person's file becomes, and what is said of one that is wrong.

mod common;

use common::{PIECE, SHOP};
use piece::{Body, Select, Shop, ShopPartKind, read_piece, read_shop};

fn shop() -> Shop {
    read_shop(SHOP, "shop.toml").unwrap()
}

/// Every complaint about the piece with `from` replaced by `to`.
fn complaints(from: &str, to: &str) -> String {
    assert!(PIECE.contains(from), "nothing to replace");
    read_piece(&PIECE.replace(from, to), "piece.toml", &shop()).unwrap_err().to_string()
}

fn shop_complaints(from: &str, to: &str) -> String {
    assert!(SHOP.contains(from), "nothing to replace");
    read_shop(&SHOP.replace(from, to), "shop.toml").unwrap_err().to_string()
}

#[test]
fn a_piece_and_a_shop_become_values() {
    let piece = read_piece(PIECE, "piece.toml", &shop()).unwrap();
    assert!(matches!(piece.blank.body, Body::Panel { width, .. } if width.to_mm() == 400.0));
    assert_eq!(piece.depths[0].select, Select::Layer("fronds".into()));
    assert_eq!((piece.quantity, piece.blank.material.id.as_str()), (1, "float_glass"));
    assert!((shop().nozzles[0].bore.to_mm() - 2.381_25).abs() < 1e-9);
    assert_eq!(shop().resists[0].resist.thickness.value.to_mils(), 15.0);
}

#[test]
fn an_unknown_key_is_answered_with_the_nearest() {
    insta::assert_snapshot!(complaints("thickness =", "thicknes ="), @r#"
    piece.toml:8:1: blank: "thickness" is missing; add thickness = … (Thickness of the panel, of the vessel's wall, or of the carved ply when laminated)
    piece.toml:12:1: blank.thicknes: unknown key "thicknes"; nearest is "thickness"
    "#);
}

#[test]
fn a_quantity_without_a_unit_names_the_place_and_the_mend() {
    insta::assert_snapshot!(complaints("\"10mm\"", "\"10\""), @r#"piece.toml:12:16: blank.thickness: length "10": no unit at character 3; write "10mm" or "10in""#);
    insta::assert_snapshot!(complaints("\"10mm\"", "10"), @r#"piece.toml:12:15: blank.thickness: length "10": no unit at character 3; write "10mm" or "10in""#);
}

#[test]
fn not_a_number_and_a_negative_thickness_are_refused() {
    insta::assert_snapshot!(complaints("\"10mm\"", "\"NaN mm\""), @r#"piece.toml:12:14: blank.thickness: length "NaN mm": the number at character 1 is not finite; write an ordinary number"#);
    insta::assert_snapshot!(complaints("\"10mm\"", "nan"), @r#"piece.toml:12:13: blank.thickness: length "nan": the number at character 1 is not finite; write an ordinary number"#);
    insta::assert_snapshot!(complaints("\"10mm\"", "\"-3mm\""), @r#"piece.toml:12:14: blank.thickness: length "-3mm": -0.003 m is not allowed; give 0 to 100 m"#);
    insta::assert_snapshot!(complaints("\"10mm\"", "\"0mm\""), @"piece.toml:12:13: blank.thickness: 0 cannot be: a size must be above zero; give its real size");
}

#[test]
fn every_complaint_is_told_not_the_first_alone() {
    let text = PIECE.replace("float_glass", "flote glass").replace("\"1.2mm\"", "\"0mm\"").replace("layer", "colour");
    insta::assert_snapshot!(read_piece(&text, "piece.toml", &shop()).unwrap_err(), @r##"piece.toml:15:10: depth[1].colour: "fronds" does not have the form that is wanted here (Fill colour as "#rrggbb")"##);
    let text = PIECE.replace("float_glass", "flote glass").replace("\"1.2mm\"", "\"0mm\"");
    insta::assert_snapshot!(read_piece(&text, "piece.toml", &shop()).unwrap_err(), @r#"
    piece.toml:9:12: blank.material: unknown material "flote glass"; nearest is "float_glass" (known: float_glass, borosilicate, lead_crystal, mirror, granite, marble, slate)
    piece.toml:16:9: depth[1].depth: 0 cannot be: a depth must be above zero; leave the part out: what no rule names stays covered
    "#);
}

#[test]
fn a_choice_that_does_not_exist_lists_those_that_do() {
    let with_temper = "thickness = \"10mm\"\ntemper = \"toughened\"";
    insta::assert_snapshot!(complaints("thickness = \"10mm\"", with_temper), @r#"piece.toml:13:10: blank.temper: "toughened" is not a choice here; nearest is "tempered" (choices: annealed, heat_strengthened, tempered)"#);
}

#[test]
fn a_recipe_names_what_the_shop_has() {
    let recipe = "depth = \"1.2mm\"\n[recipe]\nnozzle = \"pensil\"\ngrit = \"F60\"\npressure = \"1kPa\"";
    insta::assert_snapshot!(complaints("depth = \"1.2mm\"", recipe), @r#"
    piece.toml:19:8: recipe.grit: unknown grit of this shop "F60"; nearest is "F150" (known: F150)
    piece.toml:18:10: recipe.nozzle: unknown nozzle of this shop "pensil"; nearest is "pencil" (known: pencil)
    piece.toml:20:12: recipe.pressure: 0.01bar cannot be: below 20 kPa (3 psi) a blast carries no abrasive to speak of; set 1 bar or more
    "#);
}

#[test]
fn what_is_not_toml_is_said_with_its_place() {
    let fault = read_piece("sabulo = \"piece 1\"\nname = fern", "piece.toml", &shop()).unwrap_err();
    assert_eq!((fault.0[0].line, fault.0[0].column), (2, 8));
}

/// The usual shop with more parts in its line.
fn with_line(parts: &str) -> String {
    SHOP.replace("[hose]", &format!("{parts}\n[hose]"))
}

#[test]
fn what_the_line_is_lengthened_by_becomes_values_with_usual_numbers_where_none_are_given() {
    let text = with_line(
        r#"
[[part]]
name = "bowl"
kind = "separator"
after = "receiver"
catches = "95%"

[[station]]
name = "left"
nozzle = "pencil"
pressure = "2bar"
on = "40s"
off = "20s"
hose = { bore = "8mm", length = "4m" }
"#,
    );
    let shop = read_shop(&text, "shop.toml").unwrap();
    let ShopPartKind::Separator(passage, bowl) = shop.parts[0].kind else { panic!("{:?}", shop.parts) };
    assert_eq!((passage.critical_ratio, bowl.catches.to_percent()), (0.3, 95.0));
    assert_eq!((shop.stations[0].hose.bore.to_mm(), shop.hose.bore.to_mm()), (8.0, 10.0));
    assert_eq!(shop.stations[0].regulator, shop.regulator, "the shop's own kind when none is given");
}

#[test]
fn a_part_with_keys_of_another_kind_is_refused() {
    let text = with_line(
        r#"
[[part]]
name = "bowl"
kind = "separator"
after = "reciever"
bore = "10mm"

[[part]]
name = "bowl"
kind = "pipe"
after = "bowl"
length = "20m"

[[station]]
name = "left"
nozzle = "pensil"
pressure = "2bar"
on = "0s"
off = "20s"
"#,
    );
    insta::assert_snapshot!(read_shop(&text, "shop.toml").unwrap_err(), @r#"
    shop.toml:19:9: part[1].after: unknown part of the line "reciever"; nearest is "receiver" (known: compressors, receiver, regulator, hose, bowl)
    shop.toml:20:8: part[1].bore: a bore here cannot be: a part of this kind has none; take the line away, or change the kind
    shop.toml:23:8: part[2].name: bowl cannot be: another part of the line has this name, and parts are placed by it; give each part its own name
    shop.toml:22:1: part[2]: no bore cannot be: a pipe or hose has a bore and a length; write it from its plate or data sheet
    shop.toml:30:10: station[1].nozzle: unknown nozzle of this shop "pensil"; nearest is "pencil" (known: pencil)
    shop.toml:32:6: station[1].on: 0s cannot be: a station blasts for some time; give how long it blasts at a time
    "#);
}

#[test]
fn a_shop_that_cannot_be_is_refused() {
    insta::assert_snapshot!(shop_complaints("cut_in = \"8bar\"", "cut_in = \"11bar\""), @"shop.toml:7:10: compressor[1].cut_in: 11bar cannot be: a compressor starts below the pressure at which it stops; give a cut_in below the cut_out");
    insta::assert_snapshot!(shop_complaints("\"0.30\"", "\"0,30\""), @r#"shop.toml:40:18: rates.energy_per_kwh: "0,30" is not an amount; write digits and at most one point, such as "12.50""#);
    insta::assert_snapshot!(shop_complaints("3/32in", "3/32inch dia"), @r#"shop.toml:21:13: nozzle[1].bore: diameter "3/32inch dia": unknown unit "inch dia" at character 5; nearest is "inch" (known: mm, in, µm, cm, m)"#);
}

#[test]
fn a_future_version_is_refused_by_name() {
    insta::assert_snapshot!(complaints("piece 1", "piece 2"), @r#"piece.toml:1:10: sabulo: "piece 2" is not a choice here; nearest is "piece 1" (choices: piece 1)"#);
}

#[test]
fn a_file_written_from_its_values_reads_the_same() {
    let read = piece::reader::read::<piece::piece_file::PieceFile>(PIECE, "piece.toml").unwrap().value;
    let text = toml::to_string(&read).unwrap();
    let again = piece::reader::read::<piece::piece_file::PieceFile>(&text, "piece.toml").unwrap().value;
    assert_eq!(read, again);
}

proptest::proptest! {
    #[test]
    fn no_text_makes_the_reader_panic(text in "\\PC{0,60}", at in 0usize..300) {
        let at = (0..=at.min(PIECE.len())).rev().find(|at| PIECE.is_char_boundary(*at)).unwrap_or(0);
        let mut broken = PIECE.to_owned();
        broken.insert_str(at, &text);
        let _ = read_piece(&broken, "piece.toml", &shop());
    }
}

#[test]
fn an_abrasive_that_is_not_listed_is_not_accepted_and_those_that_are_refused_are_not_proposed() {
    let words = shop_complaints("kind = \"white_alumina\"", "kind = \"silica_sent\"");
    assert!(words.contains("its free silica is not known and it is not accepted"), "{words}");
    assert!(!words.contains("silica_sand"), "{words}");
}

#[test]
fn what_bears_on_people_is_read_checked_and_absent_where_it_is_not_told() {
    let keys = "[enclosure]\nkind = \"booth\"\nfilters = [\"merv_15\", \"h13\"]\nduct = \"120mm\"\n[protection]\n\
                respirator = \"hood\"\nair = { from = \"own_line\", co_ppm = 4.0, oil = \"1 mg/m3\" }\n[shift]\n\
                noise_blasting = \"96dBA\"\n[pressure]\nvalve = \"foot_pedal\"\nhose_lashed = true\n";
    let shop = read_shop(&format!("{SHOP}\n{keys}"), "shop.toml").unwrap_or_else(|faults| panic!("{faults}"));
    assert_eq!(shop.enclosure.filters.iter().map(|filter| filter.id.as_str()).collect::<Vec<_>>(), ["merv_15", "h13"]);
    assert_eq!(shop.protection.air.as_ref().unwrap().co_ppm, Some(4.0));
    assert_eq!((shop.pressures.hose_lashed, shop.pressures.tied_open), (Some(true), None));
    let wrong = |from: &str, to: &str| {
        let text = format!("{SHOP}\n{keys}").replace(from, to);
        read_shop(&text, "shop.toml").unwrap_err().to_string()
    };
    assert!(wrong("\"h13\"", "\"h15\"").contains("unknown filter class \"h15\""));
    assert!(wrong("96dBA", "96").contains("shift.noise_blasting"));
    assert!(wrong("hose_lashed", "hose_lashd").contains("nearest is \"hose_lashed\""));
    assert!(wrong("noise_blasting = \"96dBA\"", "blasting = \"9h\"").contains("longer than the shift"));
}

#[test]
fn a_bowl_has_two_diameters_and_may_say_its_gores() {
    let panel = "width = \"400mm\"\n";
    assert!(PIECE.contains(panel), "nothing to replace");
    let bowl = |keys: &str| {
        let text = PIECE.replace(panel, &format!("shape = \"bowl\"\n{keys}\n"));
        read_piece(&text, "piece.toml", &shop()).map(|piece| piece.blank)
    };
    let made = bowl("diameter = \"500mm\"\nfoot_diameter = \"120mm\"\ngores = 14").unwrap();
    assert!(matches!(made.body, Body::Bowl { foot, .. } if foot.to_mm() == 120.0));
    assert_eq!(made.gores, Some(14));
    let wrong = |keys: &str| bowl(keys).unwrap_err().to_string();
    assert!(wrong("diameter = \"500mm\"").contains("give foot_diameter"));
    let handled =
        "diameter = \"500mm\"\nfoot_diameter = \"120mm\"\nhandle = { width = \"16mm\", from = \"1mm\", to = \"9mm\" }";
    assert!(wrong(handled).contains("no gap for a handle"));
    assert!(wrong("diameter = \"500mm\"\nfoot_diameter = \"120mm\"\ngores = 2").contains("gores"));
    assert!(complaints(panel, "width = \"400mm\"\ngores = 12\n").contains("only a bowl's film"));
}
