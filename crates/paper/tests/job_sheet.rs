//! The job sheet as its readers get it: the file is read back with a PDF library.

mod common;

use common::{Like, USUAL, plan, preview};
use lopdf::{Dictionary, Document, Object};
use paper::{Date, JobSheetOptions, PaperError, Sheet, job_sheet};
use plan::Plan;
use quantity::UnitSystem;

fn made(plan: &Plan, sheet: Sheet) -> Document {
    let preview = preview(120, 160);
    let options = JobSheetOptions { sheet, preview: &preview, date: Date::new(2026, 11, 25) };
    Document::load_mem(&job_sheet(plan, &options).unwrap()).unwrap()
}

/// All text, spaces and line ends as one space, so that it does not matter where lines break.
fn text(document: &Document) -> String {
    let pages: Vec<u32> = document.get_pages().keys().copied().collect();
    squeezed(&document.extract_text(&pages).unwrap())
}

fn squeezed(text: &str) -> String {
    text.split_whitespace().collect::<String>()
}

fn dictionaries(document: &Document) -> impl Iterator<Item = &Dictionary> {
    document.objects.values().filter_map(|object| match object {
        Object::Dictionary(dictionary) => Some(dictionary),
        Object::Stream(stream) => Some(&stream.dict),
        _ => None,
    })
}

fn is(dictionary: &Dictionary, key: &[u8], name: &[u8]) -> bool {
    dictionary.get(key).and_then(Object::as_name).is_ok_and(|value| value == name)
}

#[test]
fn pages_have_the_size_of_their_sheet() {
    // 8.5 x 11 in and 210 x 297 mm (ISO 216), in points of 1/72 in.
    let a4 = [210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0];
    for (sheet, want) in [(Sheet::Letter, [612.0, 792.0]), (Sheet::A4, a4)] {
        let document = made(&plan(USUAL), sheet);
        for page in document.get_pages().values() {
            let media = document.get_dictionary(*page).unwrap().get(b"MediaBox").unwrap().as_array().unwrap();
            let corners: Vec<f64> = media.iter().map(|number| f64::from(number.as_float().unwrap())).collect();
            assert_eq!(corners[..2], [0.0, 0.0]);
            assert!(
                (corners[2] - want[0]).abs() < 1e-3 && (corners[3] - want[1]).abs() < 1e-3,
                "{sheet:?} {corners:?}"
            );
        }
    }
}

#[test]
fn a_usual_plan_takes_two_pages_of_either_sheet() {
    for sheet in [Sheet::Letter, Sheet::A4] {
        for units in [UnitSystem::Us, UnitSystem::Metric] {
            assert_eq!(made(&plan(Like { units, ..USUAL }), sheet).get_pages().len(), 2, "{sheet:?} {units:?}");
        }
    }
}

/// Everything that a sheet must say of a plan.
fn must_say(plan: &Plan) -> Vec<String> {
    let mut said = vec![plan.piece.name.clone(), plan.shop.clone(), plan::words::sentence(plan)];
    said.extend(plan.piece.customer.clone());
    said.extend([
        plan.recipe.resist.name.to_string(),
        plan.recipe.abrasive.name.to_string(),
        plan.recipe.grit.name.clone(),
    ]);
    for stage in &plan.stages {
        said.push(quantity::show::clock(stage.blast));
        said.push(quantity::show::clock(stage.weed));
        said.extend(stage.opens.iter().map(|&layer| plan.layers[layer].name.clone()));
    }
    for caution in &plan.cautions {
        said.extend([caution.hazard.to_string(), caution.harm.to_string(), caution.act.to_string()]);
        said.push(caution.source.to_string());
    }
    for finding in &plan.findings {
        let words = plan::words::finding(finding, plan.units);
        said.push(words.title);
        said.extend(words.remedies.into_iter().next());
    }
    said
}

#[test]
fn every_stage_caution_and_finding_is_in_the_file() {
    let many = Like { layers: 8, findings: 15, long_names: true, ..USUAL };
    for (like, sheet) in
        [(USUAL, Sheet::A4), (many, Sheet::A4), (Like { units: UnitSystem::Us, ..many }, Sheet::Letter)]
    {
        let plan = plan(like);
        let text = text(&made(&plan, sheet));
        let missing: Vec<String> = must_say(&plan).into_iter().filter(|said| !text.contains(&squeezed(said))).collect();
        assert!(missing.is_empty(), "{like:?} lacks {missing:#?}");
    }
}

#[test]
fn depths_are_on_the_sheet_with_their_range() {
    // The last stage of the usual plan: 3 mm deep, 78 to 127 % of it.
    assert!(text(&made(&plan(USUAL), Sheet::A4)).contains("2.3–3.8mm"));
    // All depths of one sheet have the same unit.
    let us = text(&made(&plan(Like { units: UnitSystem::Us, ..USUAL }), Sheet::Letter));
    assert!(us.contains("92–150mil") && us.contains("26–43mil"), "{us}");
}

#[test]
fn the_first_page_reads_in_order() {
    let document = made(&plan(USUAL), Sheet::A4);
    let page = document.extract_text(&[1]).unwrap();
    // The reader starts a new line at each change of type. What the strip says is the strip's.
    let words: Vec<&str> = page.split_whitespace().take_while(|word| *word != "run").collect();
    let lines: Vec<String> = words.chunks(12).map(|words| words.join(" ")).collect();
    insta::assert_snapshot!(lines.join("\n"));
}

#[test]
fn fonts_are_embedded_as_subsets() {
    let document = made(&plan(USUAL), Sheet::A4);
    let descriptors: Vec<&Dictionary> =
        dictionaries(&document).filter(|dictionary| is(dictionary, b"Type", b"FontDescriptor")).collect();
    assert!((2..=3).contains(&descriptors.len()), "{} fonts", descriptors.len());
    for descriptor in descriptors {
        let name = String::from_utf8_lossy(descriptor.get(b"FontName").unwrap().as_name().unwrap()).into_owned();
        let (tag, family) = name.split_once('+').unwrap();
        assert!(tag.len() == 6 && family.starts_with("FiraSans"), "{name}");
        assert!(descriptor.has(b"FontFile2") || descriptor.has(b"FontFile3"), "{name} is not embedded");
    }
}

#[test]
fn the_file_says_what_it_is_and_in_which_language() {
    let document = made(&plan(USUAL), Sheet::A4);
    let catalog = document.catalog().unwrap();
    assert_eq!(catalog.get(b"Lang").unwrap().as_str().unwrap(), b"en");
    let marked = catalog.get(b"MarkInfo").unwrap().as_dict().unwrap().get(b"Marked").unwrap();
    assert!(marked.as_bool().unwrap());
    let info = document.trailer.get(b"Info").unwrap().as_reference().unwrap();
    let title = document.get_dictionary(info).unwrap().get(b"Title").unwrap();
    assert_eq!(lopdf::decode_text_string(title).unwrap(), "Job sheet: Heron at the weir, for the reading room");
}

#[test]
fn the_structure_has_headings_tables_lists_and_described_figures() {
    let document = made(&plan(USUAL), Sheet::A4);
    let kind = |name: &[u8]| dictionaries(&document).filter(|d| is(d, b"S", name)).collect::<Vec<_>>();
    assert_eq!(kind(b"H1").len(), 1);
    // What is covered has a heading of its own where there is room for its table.
    let headings = kind(b"H2").len();
    assert!((8..=9).contains(&headings), "stages, run, cautions, findings, resist, air, (cover,) checklist, materials");
    assert_eq!(kind(b"Table").len(), headings - 5, "stages, air, materials, and the cover");
    assert_eq!(kind(b"L").len(), 2);
    let figures = kind(b"Figure");
    assert_eq!(figures.len(), 2);
    for figure in figures {
        let alt = lopdf::decode_text_string(figure.get(b"Alt").unwrap()).unwrap();
        assert!(alt.len() > 30, "{alt}");
    }
}

#[test]
fn the_preview_keeps_its_pixels() {
    let document = made(&plan(USUAL), Sheet::A4);
    let image = dictionaries(&document).find(|dictionary| is(dictionary, b"Subtype", b"Image")).unwrap();
    let side = |key| image.get(key).unwrap().as_i64().unwrap();
    assert_eq!((side(b"Width"), side(b"Height")), (120, 160));
}

#[test]
fn a_jpeg_goes_into_the_file_as_it_is() {
    let jpeg = include_bytes!("data/small.jpg");
    let options = JobSheetOptions { sheet: Sheet::A4, preview: jpeg, date: None };
    let bytes = job_sheet(&plan(USUAL), &options).unwrap();
    assert!(bytes.windows(jpeg.len()).any(|window| window == jpeg));
}

#[test]
fn names_in_any_script_are_set_and_can_be_copied() {
    let mut odd = plan(USUAL);
    // More than one character that the fonts lack is beyond the reader used here, not beyond others.
    assert_eq!(made(&Plan { shop: "سلام 鷺鳥".to_owned(), ..plan(USUAL) }, Sheet::A4).get_pages().len(), 2);
    for name in ["鷺 on glass", "\u{0}\u{feff}a\tb\n", "🦩", "", &"x".repeat(400), "e\u{301}a\u{300}ñ ﬁ"] {
        odd.piece.name = name.to_owned();
        odd.piece.customer = Some(name.to_owned());
        odd.layers[0].name = name.to_owned();
        odd.shop = name.to_owned();
        let text = text(&made(&odd, Sheet::A4));
        let shown: String = name.chars().filter(|c| !c.is_control() && *c != '\u{feff}').collect();
        assert!(text.contains(&squeezed(&shown)), "{name:?}");
    }
}

#[test]
fn an_empty_plan_still_makes_a_sheet() {
    let mut bare = plan(USUAL);
    bare.layers.clear();
    bare.stages.clear();
    bare.findings.clear();
    bare.cautions.clear();
    bare.consumables.clear();
    bare.strip.hands.clear();
    bare.strip.depth.clear();
    bare.piece.customer = None;
    assert!(made(&bare, Sheet::Letter).get_pages().len() <= 2);
}

#[test]
fn previews_of_every_shape_fit() {
    let plan = plan(USUAL);
    for (width, height) in [(1, 400), (400, 1), (300, 100), (200, 100), (100, 100), (100, 300)] {
        let preview = preview(width, height);
        let options = JobSheetOptions { sheet: Sheet::Letter, preview: &preview, date: None };
        let document = Document::load_mem(&job_sheet(&plan, &options).unwrap()).unwrap();
        assert_eq!(document.get_pages().len(), 2, "{width} x {height}");
    }
}

#[test]
fn what_is_no_picture_is_refused() {
    let fault = |preview: &[u8]| job_sheet(&plan(USUAL), &JobSheetOptions { sheet: Sheet::A4, preview, date: None });
    assert!(matches!(fault(b"<svg/>"), Err(PaperError::PreviewKind)));
    let whole = preview(40, 40);
    assert!(matches!(fault(&whole[..whole.len() / 2]), Err(PaperError::PreviewBroken { .. })));
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    let preview = preview(40, 40);
    let options = JobSheetOptions { sheet: Sheet::A4, preview: &preview, date: None };
    assert_eq!(job_sheet(&plan(USUAL), &options).unwrap(), job_sheet(&plan(USUAL), &options).unwrap());
}
