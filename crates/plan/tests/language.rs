//! What a plan says is said through the catalogue: under `Language::Marked` nothing but numbers, units and names stands
//! outside of the marks.

mod common;

use artwork::svg::{Drawing, ReadOptions, read_svg};
use common::{PIECE, SHOP, drawing};
use language::Language;
use piece::{Shop, read_piece, read_shop};
use plan::search::{Options, Watch, Within, search};
use plan::{Check, Detail, Plan, Refusal, air_words, line_answer, plan, search_words, size_document, words};
use quantity::UnitSystem;
use std::fs;
use std::path::Path;

/// A text, and what it is.
type Said = (String, String);

/// Signs of units, and what else is no word of a language.
const NO_WORDS: [&str; 24] = [
    "mm", "cm", "m", "µm", "in", "ft", "mil", "s", "min", "h", "kPa", "bar", "psi", "l", "cfm", "scfm", "g", "kg",
    "lb", "oz", "C", "dm", "MPa", "dBA",
];

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
    let words = bare.split(|c: char| !c.is_alphabetic()).filter(|word| !word.is_empty() && !NO_WORDS.contains(word));
    words.map(str::to_owned).collect()
}

/// The example of this name, or the piece of the other tests.
fn demo(name: &str, shop: &Shop) -> Result<Plan, Refusal> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    let (text, drawing): (String, Drawing) = match name {
        "squares" => (PIECE.to_owned(), drawing()),
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
    for finding in &plan.findings {
        let said = words::finding(finding, plan.units);
        add("title", said.title);
        add("why", said.why);
        add("check", words::check_name(&finding.check).to_owned());
        add("state", words::state(finding.state).to_owned());
        add("value", words::amount(&finding.value, plan.units));
        said.remedies.into_iter().for_each(|remedy| add("remedy", remedy));
        said.no_remedy.into_iter().for_each(|none| add("no remedy", none));
        if is_own_source(&finding.check) {
            add("source", said.source);
        }
    }
    words::artwork_notes(plan).into_iter().for_each(|note| add("note", note.words));
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
        // A resist's name is the tables'.
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
        match &material.name {
            cost::MaterialName::Known(_) => {}
            name => add("material", name.shown()),
        }
    }
    plan.narrowing.iter().for_each(|one| add("narrowing", words::narrowing(one, plan.units)));
    all
}

/// What the plan works out itself; other sources are works and tables, cited as they stand.
const fn is_own_source(check: &Check) -> bool {
    matches!(check, Check::NarrowDepth { .. } | Check::AirHolds | Check::Duty | Check::NozzlePressure | Check::Handle)
}
