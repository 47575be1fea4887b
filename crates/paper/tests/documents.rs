//! Quote, class pack, shop specification, cabinet card and labels as their readers get them.

mod common;

use class::{Running, read_class, rotation, shopping, simulate};
use common::{USUAL, plan, preview};
use cost::{Ask, Terms, quote};
use lopdf::Document;
use paper::{
    ClassPack, Date, Label, QuoteOptions, Sheet, ShopSpec, cabinet_card, calibration_sheet, class_pack, label_sheet,
    quote_sheet, shop_spec,
};
use piece::{Shop, read_shop};
use quantity::UnitSystem;

const SHOP: &str = include_str!("../../../examples/shop.toml");
const CLASS: &str = include_str!("../../../examples/class.toml");

fn shop() -> Shop {
    read_shop(SHOP, "shop.toml").unwrap()
}

fn date() -> Option<Date> {
    Date::new(2026, 11, 25)
}

/// Written as PDF/UA-1 through the library's own check; here its size, tags and text are read back.
fn read(bytes: &[u8], sheet: Sheet, pages: std::ops::RangeInclusive<usize>) -> String {
    let document = Document::load_mem(bytes).unwrap();
    let (width, height) = sheet.size_mm();
    let found = document.get_pages();
    assert!(pages.contains(&found.len()), "{} pages", found.len());
    for page in found.values() {
        let media = document.get_dictionary(*page).unwrap().get(b"MediaBox").unwrap().as_array().unwrap();
        let corners: Vec<f64> = media.iter().map(|number| f64::from(number.as_float().unwrap())).collect();
        let want = [width / 25.4 * 72.0, height / 25.4 * 72.0];
        assert!((corners[2] - want[0]).abs() < 1e-2 && (corners[3] - want[1]).abs() < 1e-2, "{corners:?}");
    }
    let catalog = document.catalog().unwrap();
    assert!(catalog.get(b"MarkInfo").unwrap().as_dict().unwrap().get(b"Marked").unwrap().as_bool().unwrap());
    assert!(catalog.get(b"StructTreeRoot").is_ok());
    let numbers: Vec<u32> = found.keys().copied().collect();
    document.extract_text(&numbers).unwrap().split_whitespace().collect()
}

/// All of these, in this order.
fn in_order(text: &str, said: &[&str]) {
    let mut rest = text;
    for words in said {
        let words: String = words.split_whitespace().collect();
        let at =
            rest.find(&words).unwrap_or_else(|| panic!("{words:?} is not in, or not after the one before it:\n{text}"));
        rest = &rest[at + words.len()..];
    }
}

const SHEETS: [Sheet; 2] = [Sheet::A4, Sheet::Letter];

fn quoted(sheet: Sheet, units: UnitSystem) -> String {
    let plan = plan(common::Like { units, ..USUAL });
    let terms = Terms::of(&shop().rates);
    let quote = quote(&plan.work, &terms, &Ask { quantities: vec![1, 10, 50], rush: Some(terms.rush) }).unwrap();
    let preview = preview(120, 160);
    let options = QuoteOptions { sheet, preview: &preview, date: date(), valid_days: Some(30) };
    read(&quote_sheet(&plan, &quote, &options).unwrap(), sheet, 1..=1)
}

#[test]
fn a_quote_is_one_page_and_reads_in_order() {
    for sheet in SHEETS {
        in_order(
            &quoted(sheet, UnitSystem::Metric),
            &[
                "Heron at the weir",
                "Quote for the reading room",
                "Weir Lane workshop",
                "25 November 2026",
                "300 mm × 400 mm, 10 mm thick",
                "from the back",
                "Pieces",
                "VAT 20 %",
                "1",
                "10",
                "50",
                "25 % are in these prices",
                "The blank is in the price",
                "30 days",
                "Name",
            ],
        );
    }
    assert!(quoted(Sheet::Letter, UnitSystem::Us).contains("11.8in"));
}

#[test]
fn a_quote_says_nothing_of_cost_margin_or_risk() {
    let text = quoted(Sheet::A4, UnitSystem::Metric).to_lowercase();
    for word in ["margin", "overhead", "spoil", "labour"] {
        assert!(!text.contains(word), "{word}");
    }
}

fn pack(sheet: Sheet, students: u32) -> String {
    let shop = shop();
    let mut class = read_class(CLASS, "class.toml", &shop).unwrap();
    class.students = students;
    let nozzle = shop.nozzle(&class.blast.nozzle).unwrap();
    let supply = plan::class_supply(&shop, nozzle, class.blast.pressure, class.cabinets()).unwrap();
    let outcome = simulate(&class, Some(&supply), Running { replications: 20, seed: 1 }).unwrap();
    let shopping = shopping(&class, &shop, Some(&supply), &outcome);
    let rotation = rotation(&class, Some(&supply)).unwrap();
    let cautions = plan::class_cautions(&class, &shop);
    let pack = ClassPack {
        class: &class,
        outcome: &outcome,
        search: None,
        rotation: &rotation,
        shopping: &shopping,
        cautions: &cautions,
        shop: &shop.name,
        currency: "EUR",
        units: UnitSystem::Metric,
    };
    read(&class_pack(&pack, sheet, date()).unwrap(), sheet, 3..=12)
}

#[test]
fn a_class_pack_has_the_rotation_the_shopping_and_the_cautions() {
    for sheet in SHEETS {
        let text = pack(sheet, 8);
        in_order(
            &text,
            &[
                "First panes, a Saturday",
                "nine such classes in ten end between",
                "Who is where",
                "student 8",
                "At the stations",
                "washout",
                "Air",
                "every nozzle shuts until it shows 10.0 bar",
                "To buy",
                "photo resist",
                "Cautions, to be read aloud",
                "Each student's way",
                "Student 1",
                "10:25",
                "Student 8",
            ],
        );
    }
}

#[test]
fn a_large_class_loses_no_student() {
    let text = pack(Sheet::Letter, 60);
    for student in 1..=60 {
        assert!(text.contains(&format!("Student{student}")), "student {student}");
    }
}

#[test]
fn a_cabinet_card_is_one_page() {
    for sheet in SHEETS {
        let text = read(&cabinet_card(&plan(USUAL), sheet, date()).unwrap(), sheet, 1..=1);
        in_order(
            &text,
            &[
                "Heron at the weir",
                "Cabinet card",
                "Regulator",
                "3.5 bar",
                "Stages",
                "Blast no longer than",
                "Before you begin",
            ],
        );
    }
}

#[test]
fn a_calibration_sheet_says_what_to_blast_and_has_room_for_what_was_found() {
    for sheet in SHEETS {
        let text = read(&calibration_sheet(&plan(USUAL), sheet, date()).unwrap(), sheet, 1..=2);
        in_order(
            &text,
            &[
                "Heron at the weir",
                "Calibration sheet",
                "Coupon A",
                "White alumina F150",
                "3.5 bar",
                "Blasted for",
                "Their mean",
                "The blasting time",
                "3.4",
                "1.7",
                "The depth after the planned times",
                "Coupon B",
                "Thickness that the resist lost",
                "Compressor: two-stage, 4 kW",
                "Before you begin",
                "How to blast a coupon",
                "never tempered glass",
            ],
        );
    }
}

#[test]
fn a_specification_names_every_part_of_the_shop() {
    let wanted = ["One nozzle of 3.2 mm.".to_owned(), "  compressor   600 l/min".to_owned(), "A note.".to_owned()];
    for sheet in SHEETS {
        let shop = shop();
        let bytes = shop_spec(&ShopSpec { shop: &shop, wanted: &wanted }, sheet, date()).unwrap();
        let text = read(&bytes, sheet, 1..=3);
        in_order(
            &text,
            &[
                "Lantern Yard",
                "What the work takes",
                "compressor: 600 l/min",
                "two-stage, 4 kW",
                "Nozzles",
                "carver",
                "Resists",
            ],
        );
        for nozzle in &shop.nozzles {
            assert!(text.contains(&nozzle.name));
        }
    }
}

#[test]
fn labels_come_thirty_to_a_page_and_none_is_lost() {
    let label = |n: usize| Label {
        number: n.to_string(),
        name: format!("Name number {n}"),
        note: format!("evening {}", n / 9 + 1),
    };
    let labels: Vec<Label> = (1..=65).map(label).collect();
    for sheet in SHEETS {
        let text = read(&label_sheet("Place cards", "A shop", &labels, sheet, None).unwrap(), sheet, 3..=3);
        for label in &labels {
            assert!(text.contains(&label.name.replace(' ', "")), "{}", label.name);
        }
    }
    let long =
        Label { number: "1234".to_owned(), name: "Donaudampfschiffahrtsgesellschaft ".repeat(4), note: String::new() };
    read(&label_sheet("", "", &[long], Sheet::A4, None).unwrap(), Sheet::A4, 1..=1);
    read(&label_sheet("none", "", &[], Sheet::A4, None).unwrap(), Sheet::A4, 1..=1);
}
