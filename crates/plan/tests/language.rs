//! What a plan says is said through the catalogue: under `Language::Marked` nothing but numbers, units and names stands
//! outside of the marks.

mod common;

use artwork::svg::{Drawing, ReadOptions, read_svg};
use common::{PIECE, SHOP, drawing};
use language::Language;
use piece::{Shop, read_piece, read_shop};
use plan::search::{Options, Watch, Within, search};
use plan::{Check, Detail, Finding, Plan, Refusal, air_words, line_answer, plan, search_words, size_document, words};
use quantity::{Fraction, GaugePressure, Time};
use reference::Source;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// A text, and what it is.
type Said = (String, String);

/// Signs of units.
const UNITS: &str = "µm mm cm dm m mil in ft s min h kPa MPa bar psi l gal cfm scfm g kg µg oz lb C dB dBA W kW";

/// What stands outside of the outermost marks, units left out.
fn outside(text: &str) -> Vec<String> {
    let (mut depth, mut bare) = (0_usize, String::new());
    for c in text.chars() {
        match c {
            '‹' => depth += 1,
            '›' => depth = depth.saturating_sub(1),
            c if depth == 0 => bare.push(c),
            _ => {}
        }
    }
    let unit = |word: &str| UNITS.split(' ').any(|unit| unit == word);
    let words = bare.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty() && !unit(word));
    words.map(str::to_owned).collect()
}

const SHALLOW: &str = "[[depth]]\nlayer = \"shallow\"\ndepth = \"0.5mm\"\n";

/// Whether a crate's sentences are in the catalogue. One that speaks English alone is held to its marks from the day on
/// which it does not.
fn speaks(name: &str) -> bool {
    let locale = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../locale/sabulo.pot");
    fs::read_to_string(locale).unwrap().contains(&format!("#: crates/{name}/src/"))
}

/// The example of this name, or the piece of the other tests.
fn demo(name: &str, shop: &Shop) -> Result<Plan, Refusal> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    let (text, drawing): (String, Drawing) = match name {
        // A group that no depth is given for stays covered, and a note says so.
        "squares" => (PIECE.replace(SHALLOW, ""), drawing()),
        _ => {
            let text = fs::read_to_string(folder.join("piece.toml")).unwrap();
            let file = read_piece(&text, "piece.toml", shop).unwrap().artwork;
            let bytes = fs::read(folder.join(file)).unwrap();
            (text, read_svg(&bytes, &ReadOptions::default()).unwrap())
        }
    };
    plan(&read_piece(&text, "piece.toml", shop).unwrap(), &drawing, shop, Detail::Instant)
}

/// The demonstration's shop, and one that is short of everything: findings of all states, with and without remedies.
fn shops() -> [Shop; 3] {
    let silent = SHOP.split_once("# What protects people here.").expect("the shop has a part about people").0;
    let short = silent.replace("free_air = \"460 l/min\"", "free_air = \"120 l/min\"");
    assert_ne!(silent, short, "the shop's compressor is another one");
    let us = SHOP.replace("units = \"metric\"", "units = \"us\"");
    [SHOP, &short, &us].map(|text| read_shop(text, "shop.toml").unwrap_or_else(|faults| panic!("{faults}")))
}

fn plans() -> Vec<(String, Plan)> {
    let named =
        |name: &'static str, place: usize, shop: &Shop| (format!("{name} in shop {place}"), demo(name, shop).unwrap());
    let all = shops();
    let pairs = all
        .iter()
        .enumerate()
        .flat_map(|(place, shop)| ["heron", "crest", "marker", "squares"].map(|name| named(name, place, shop)));
    pairs.collect()
}

/// Every sentence and word of a plan. Names alone are not among them: what a stage opens, sources cited.
fn said(plan: &Plan) -> Vec<Said> {
    let mut all = Vec::new();
    let mut add = |what: &str, text: String| all.push((what.to_owned(), text));
    add("sentence", words::sentence(plan));
    add("recipe", words::recipe(plan));
    add("masking", words::masking(plan));
    add("resists", words::resists_short(plan));
    let (safety, artwork) = (speaks("safety"), speaks("artwork"));
    let findings = plan.findings.iter().filter(|finding| safety || !matches!(finding.check, Check::Safety(_)));
    for finding in findings {
        let said = words::finding(finding, plan.units);
        add("title", said.title);
        add("why", said.why);
        add("check", words::check_name(&finding.check).to_owned());
        add("state", words::state(finding.state).to_owned());
        add("value", words::amount(&finding.value, plan.units));
        said.remedies.into_iter().for_each(|remedy| add("remedy", remedy));
        said.no_remedy.into_iter().for_each(|none| add("no remedy", none));
        if is_own_source(finding) {
            add("source", said.source);
        }
    }
    let notes = words::artwork_notes(plan);
    notes.into_iter().filter(|_| artwork).for_each(|note| add("note", note.words));
    for block in &plan.strip.hands {
        add("act", words::act(block.act).to_owned());
        add("act", words::act_sentence(block.act).to_owned());
    }
    for item in &plan.consumables {
        let (what, amount) = words::consumable(item, plan.units);
        add("consumable", what);
        add("amount", amount);
    }
    for option in &plan.resists {
        add("resist", words::resist_option(option, plan.units));
    }
    for cover in &plan.masking.covers {
        add("cover", words::cover_part(cover).to_owned());
        add("cover", words::cover_with(cover).to_owned());
    }
    plan.cost.lines.iter().for_each(|line| add("cost", words::cost_kind(line.what).to_owned()));
    plan.work.tasks.iter().for_each(|task| add("task", task.kind.name().to_owned()));
    plan.work.risk.causes.iter().for_each(|(cause, _)| add("cause", cause.name().to_owned()));
    for material in &plan.work.materials {
        // The grade is called so in every language.
        let grade = |grade: &str| material.name.shown().replace(grade, "");
        let named = match &material.name {
            cost::MaterialName::Table { grade: Some(of), .. } => grade(of),
            name => name.shown(),
        };
        add("material", named);
    }
    plan.narrowing.iter().for_each(|one| add("narrowing", words::narrowing(one, plan.units)));
    all
}

/// What the plan works out or judges itself; other sources are works, cited as they stand.
const fn is_own_source(finding: &Finding) -> bool {
    matches!(finding.check, Check::Duty) || matches!(finding.source, Source::Computed { .. } | Source::Judgement { .. })
}

/// What a search found, and what the line and its sizes are said to be.
fn said_of_the_shop(shop: &Shop) -> Vec<Said> {
    let mut all = Vec::new();
    let mut add = |what: &str, text: String| all.push((what.to_owned(), text));
    let options = Options { within: Within::Shop, detail: Detail::Instant, prices: &|_| None };
    let piece = read_piece(PIECE, "piece.toml", shop).unwrap();
    let found = search(&piece, &drawing(), shop, &options, &Watch::default()).unwrap();
    add("search", search_words::all(&found));
    let nozzle = &shop.nozzles[0];
    let stations = plan::network::stations(shop, nozzle, piece.recipe.pressure.unwrap());
    let answer = line_answer::ask(shop, &stations, &line_answer::Look::default()).unwrap();
    add("line", air_words::sentence(&answer, shop));
    for (_, finding) in answer.findings(shop) {
        let (title, why) = air_words::finding(&answer, shop, &finding);
        add("line", title);
        add("line", why);
        add("line", air_words::source(&finding).to_owned());
    }
    add("part", air_words::part("regulator of left"));
    let wanted = plan::sizing::Wanted {
        bore: nozzle.bore,
        pressure: stations[0].pressure,
        on: Time::minutes(5.0).unwrap(),
        growth: Fraction::percent(20.0).unwrap(),
        stations: 2,
        hose: shop.hose.length,
        loss_max: GaugePressure::bar(0.3).unwrap(),
        kind: shop.compressors[0].kind,
        loading: 0.0,
        altitude_m: 0.0,
    };
    let (work, sizing) = wanted.sized().unwrap();
    add("sizes", size_document::told(&work, &sizing, shop.units).to_string());
    all
}

fn check(of: &str, (what, text): &Said) -> Option<String> {
    let bare = outside(text);
    (!bare.is_empty()).then(|| format!("{of}, {what}: {bare:?} of {text:?}"))
}

#[test]
fn every_word_of_the_demo_plans_is_said_through_the_catalogue() {
    let mut counted = BTreeMap::<String, usize>::new();
    let mut unsaid = Vec::new();
    for (name, plan) in plans() {
        let all = Language::Marked.scope(|| said(&plan));
        for one in &all {
            *counted.entry(one.0.clone()).or_default() += 1;
            unsaid.extend(check(&name, one));
        }
    }
    println!("{counted:?}");
    assert!(unsaid.is_empty(), "{} texts are not said through the catalogue:\n{}", unsaid.len(), unsaid.join("\n"));
    let kinds = [
        "title",
        "why",
        "check",
        "state",
        "remedy",
        "no remedy",
        "source",
        "act",
        "consumable",
        "amount",
        "resist",
        "cover",
        "cost",
        "task",
        "cause",
        "material",
        "narrowing",
    ];
    for kind in kinds.into_iter().chain(speaks("artwork").then_some("note")) {
        assert!(counted.contains_key(kind), "the demo plans have no {kind}: {counted:?}");
    }
}

#[test]
fn a_search_the_line_and_its_sizes_are_said_through_the_catalogue() {
    for shop in shops() {
        let all = Language::Marked.scope(|| said_of_the_shop(&shop));
        let unsaid: Vec<String> = all.iter().filter_map(|one| check(&shop.name, one)).collect();
        assert!(unsaid.is_empty(), "{} texts are not said through the catalogue:\n{}", unsaid.len(), unsaid.join("\n"));
    }
}

#[test]
fn a_text_that_is_not_said_through_the_catalogue_is_noticed() {
    assert_eq!(outside("‹The roll is ‹no› mm wide›: 3\u{202f}mm, 3 min"), [""; 0]);
    assert_eq!(outside("‹The roll› is wide: ‹3›\u{202f}mm"), ["is", "wide"]);
    assert_eq!(outside("glass"), ["glass"]);
}

#[test]
fn numbers_have_the_decimal_mark_of_who_reads_them() {
    let point = |text: &str| {
        let chars: Vec<char> = text.chars().collect();
        chars.windows(3).any(|three| three[0].is_ascii_digit() && three[1] == '.' && three[2].is_ascii_digit())
    };
    for (name, plan) in plans() {
        let german = Language::German.scope(|| said(&plan));
        let with_point: Vec<&Said> = german.iter().filter(|(_, text)| point(text)).collect();
        assert!(with_point.is_empty(), "{name}: {with_point:#?}");
        assert!(Language::English.scope(|| said(&plan)).iter().any(|(_, text)| point(text)), "{name} has such numbers");
    }
}

#[test]
fn the_sources_that_a_plan_says_are_those_that_its_findings_carry() {
    for (name, plan) in plans() {
        for finding in plan.findings.iter().filter(|finding| is_own_source(finding)) {
            assert_eq!(words::finding(finding, plan.units).source, finding.source.to_string(), "{name}");
        }
    }
}
