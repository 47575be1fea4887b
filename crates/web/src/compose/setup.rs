//! A shop's answers into what the page that sets it up shows.

use super::shop::{findings, map_drawing, summary};
use crate::form::Sent;
use crate::routes::value;
use crate::setup::basics::{Basics, NOZZLE, count, is_name, row_id, stock_control, written};
use crate::setup::questions::{Answer, GRITS, Question, steps};
use crate::view::{AbrasiveRow, Choice, SetupField, SetupParts, SetupStep, SetupStock, StockBox, Summary};
use air::map::RunMap;
use language::say;
use piece::Shop;
use plan::State;
use plan::line_answer::LineAnswer;
use std::collections::BTreeSet;
use toml::Value;

/// What changes on the page when an answer does.
pub(crate) fn setup_parts(
    action: &str,
    basics: &Basics,
    sent: &Sent,
    answer: Result<(&Shop, &LineAnswer, &RunMap), String>,
) -> SetupParts {
    let step = |step: &crate::setup::questions::Step| SetupStep {
        title: step.title,
        why: step.why,
        fields: step.questions.iter().map(|question| field(basics, sent, question)).collect(),
    };
    let (summary, findings, map) = match answer {
        Ok((shop, answer, map)) => (summary(shop, answer), findings(shop, answer), Some(map_drawing(shop, map))),
        Err(why) => (Summary { state: State::Stop, sentence: why, against: None }, Vec::new(), None),
    };
    SetupParts {
        steps: steps().iter().map(step).collect(),
        stock: stock(basics, sent),
        summary,
        findings,
        map,
        action: action.to_owned(),
        // A first shop may be kept as the usual answers have it.
        keepable: basics.shop.is_ok() && (basics.changed || action == "/start"),
        reads: basics.shop.is_ok(),
    }
}

fn fault(basics: &Basics, key: &str) -> Option<String> {
    basics.shop.as_ref().err().and_then(|faults| faults.get(key)).cloned()
}

/// What a control shows: what was typed where it does not read, else what stands in the file.
fn shown(basics: &Basics, sent: &Sent, control: &str, file_key: &str) -> (String, Option<String>) {
    let fault = fault(basics, control);
    let typed = value(sent, control).filter(|_| fault.is_some());
    let name = file_key.rsplit('.').next().unwrap_or(file_key);
    let kept = || match written(&basics.table, file_key) {
        text if is_name(name) => text,
        number => language::number(number),
    };
    (typed.map_or_else(kept, str::to_owned), fault)
}

fn field(basics: &Basics, sent: &Sent, question: &Question) -> SetupField {
    let (value, fault) = shown(basics, sent, question.key, question.key);
    let options: &[(&str, &str)] = match &question.kind {
        Answer::Choice(options) => options,
        _ => &[],
    };
    let choice =
        |&(id, words): &(&str, &str)| Choice { value: id.to_owned(), words: words.to_owned(), selected: id == value };
    SetupField {
        key: question.key.to_owned(),
        label: question.label.to_owned(),
        hint: question.hint,
        choices: options.iter().map(choice).collect(),
        value,
        fault,
    }
}

fn stock(basics: &Basics, sent: &Sent) -> SetupStock {
    let held = |list: &str| -> Vec<String> {
        let rows = basics.table.get(list).and_then(Value::as_array);
        rows.map(|rows| rows.iter().map(|row| row_id(list, row)).collect()).unwrap_or_default()
    };
    let (abrasives, resists) = (held("abrasive"), held("resist"));
    let grits = grits(&abrasives);
    let tables = reference::tables();
    let of_kind = |row: &reference::Abrasive| AbrasiveRow {
        name: row.name.to_string(),
        boxes: grits
            .iter()
            .map(|grit| ticked(format!("{} {grit}", row.id), format!("{} {grit}", row.name), &abrasives))
            .collect(),
    };
    SetupStock {
        nozzles: nozzles(basics, sent),
        nozzles_fault: fault(basics, "nozzle"),
        abrasives: tables.abrasives.iter().filter(|row| row.refused.is_none()).map(of_kind).collect(),
        abrasives_fault: fault(basics, "abrasive"),
        resists: tables.resists.iter().map(|row| ticked(row.id.clone(), row.name.to_string(), &resists)).collect(),
        resists_fault: fault(basics, "resist"),
        priced: priced(basics, sent, &abrasives, &resists),
        grits,
    }
}

fn ticked(value: String, name: String, held: &[String]) -> StockBox {
    StockBox { ticked: held.contains(&value), value, name }
}

/// The grits that are offered and those that the shop has, coarse first.
fn grits(abrasives: &[String]) -> Vec<String> {
    let held = abrasives.iter().filter_map(|id| id.split_once(' ')).map(|(_, grit)| grit.to_owned());
    let number = |grit: &String| grit.trim_start_matches(['F', '#']).parse::<u32>().unwrap_or(0);
    let all: BTreeSet<String> = GRITS.into_iter().map(str::to_owned).chain(held).collect();
    let mut all: Vec<String> = all.into_iter().collect();
    all.sort_by_key(number);
    all
}

fn nozzle_labels() -> [&'static str; NOZZLE.len()] {
    [say!("name"), say!("bore"), say!("length"), say!("price"), say!(in "how long a nozzle lasts", "lasts")]
}

fn nozzles(basics: &Basics, sent: &Sent) -> Vec<Vec<SetupField>> {
    // A row stays where it is while its bore is being typed anew, though the shop then has one nozzle less.
    let typed = |row: usize| value(sent, &format!("nozzle[{row}].bore"));
    let asked = (1..).take_while(|&row| typed(row).is_some()).count();
    let filled = (1..=asked).rfind(|&row| typed(row).is_some_and(|bore| !bore.trim().is_empty()));
    let rows = match asked {
        0 => count(&basics.table, "nozzle") + 1,
        asked => asked.max(filled.unwrap_or(0) + 1),
    };
    let field = |row: usize, (name, label): (&str, &str)| {
        let key = format!("nozzle[{row}].{name}");
        let (written, fault) = shown(basics, sent, &key, &key);
        let value = match asked {
            0 => written,
            _ => value(sent, &key).unwrap_or_default().to_owned(),
        };
        SetupField { label: say!("nozzle {row}, {label}"), key, hint: "", value, choices: Vec::new(), fault }
    };
    let row = |row| NOZZLE.into_iter().zip(nozzle_labels()).map(|named| field(row, named)).collect();
    (1..=rows).map(row).collect()
}

/// Prices, and widths of resists, of what is in stock.
fn priced(basics: &Basics, sent: &Sent, abrasives: &[String], resists: &[String]) -> Vec<(String, Vec<SetupField>)> {
    let field = |list: &str, id: &str, row: usize, name: &str, label: &str| {
        let key = stock_control(list, id, name);
        let (value, fault) = shown(basics, sent, &key, &format!("{list}[{row}].{name}"));
        SetupField { key, label: label.to_owned(), hint: "", value, choices: Vec::new(), fault }
    };
    let tables = reference::tables();
    let abrasive = |(at, id): (usize, &String)| {
        let (kind, grit) = id.split_once(' ').unwrap_or((id, ""));
        let name = tables.abrasives.iter().find(|row| row.id == kind).map_or(kind, |row| row.name.shown());
        (format!("{name} {grit}"), vec![field("abrasive", id, at + 1, "price_per_kg", say!("price of a kg"))])
    };
    let resist = |(at, id): (usize, &String)| {
        let name = tables.resists.iter().find(|row| row.id == *id).map_or(id.as_str(), |row| row.name.shown());
        let fields = [("width", say!("width")), ("price_per_m2", say!("price of a m²"))];
        (name.to_owned(), fields.map(|(key, label)| field("resist", id, at + 1, key, label)).to_vec())
    };
    abrasives.iter().enumerate().map(abrasive).chain(resists.iter().enumerate().map(resist)).collect()
}
