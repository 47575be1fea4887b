//! Answers about a shop, laid over a shop file and judged by the file's own reader.

use super::questions::{Answer, steps};
use crate::form::{Sent, plain_number, with_points};
use language::say;
use piece::{Complaints, Shop};
use std::collections::BTreeMap;
use toml::{Table, Value};

/// What is wrong, by the name of the control that holds it.
pub(crate) type Faults = BTreeMap<String, String>;

/// A shop file with the answers in it.
#[derive(Debug, Clone)]
pub(crate) struct Basics {
    pub text: String,
    /// The same, to show values from.
    pub table: Table,
    /// Whether the answers say anything else than the kept file.
    pub changed: bool,
    pub shop: Result<Shop, Faults>,
}

/// The control that says that the stock was asked about: a box that is not ticked sends nothing.
pub(crate) const STOCK: &str = "stock";

/// Values of a nozzle that are asked for.
pub(crate) const NOZZLE: [&str; 5] = ["name", "bore", "length", "price", "life"];

/// Lays answers over a file.
pub(crate) fn lay(kept: &str, sent: &Sent) -> Basics {
    let before: Table = toml::from_str(kept).unwrap_or_default();
    let mut table = before.clone();
    for question in steps().into_iter().flat_map(|step| step.questions) {
        if let Some(typed) = last(sent, question.key) {
            put(&mut table, question.key, typed.trim(), question.kind == Answer::Number);
        }
    }
    let mut rows = Rows::default();
    if last(sent, STOCK).is_some() {
        rows.nozzles = nozzles(&mut table, sent);
        rows.abrasives = stocked(&mut table, sent, "abrasive");
        rows.resists = stocked(&mut table, sent, "resist");
    }
    let changed = table != before;
    let text = if changed { toml::to_string(&table).unwrap_or_default() } else { kept.to_owned() };
    let shop = piece::read_shop(&text, "shop.toml").map_err(|complaints| rows.faults(&complaints));
    Basics { text, table, changed, shop }
}

/// Which control a row of a list came from.
#[derive(Debug, Default)]
struct Rows {
    nozzles: Vec<usize>,
    abrasives: Vec<String>,
    resists: Vec<String>,
}

impl Rows {
    fn faults(&self, complaints: &Complaints) -> Faults {
        let mut faults = Faults::new();
        for complaint in &complaints.0 {
            faults.entry(self.control(&complaint.key)).or_insert_with(|| complaint.fault.to_string());
        }
        faults
    }

    /// The control for a key of the file.
    fn control(&self, key: &str) -> String {
        let Some((list, number, name)) = indexed(key) else { return key.to_owned() };
        let row = number.wrapping_sub(1);
        let control = match list {
            "nozzle" => self.nozzles.get(row).map(|asked| format!("nozzle[{asked}].{name}")),
            "abrasive" => self.abrasives.get(row).map(|id| stock_control("abrasive", id, name)),
            "resist" => self.resists.get(row).map(|id| stock_control("resist", id, name)),
            _ => None,
        };
        control.unwrap_or_else(|| key.to_owned())
    }
}

/// Name of the control for a value of something in stock.
pub(crate) fn stock_control(list: &str, id: &str, name: &str) -> String {
    format!("{list} {id} {name}")
}

/// `nozzle[2].bore` into its parts.
fn indexed(key: &str) -> Option<(&str, usize, &str)> {
    let (list, rest) = key.split_once('[')?;
    let (number, name) = rest.split_once(']')?;
    Some((list, number.parse().ok()?, name.trim_start_matches('.')))
}

fn last<'a>(sent: &'a Sent, name: &str) -> Option<&'a str> {
    crate::routes::value(sent, name)
}

/// The table that a key stands in, made where it is missing, and the key's last name.
fn place<'a, 'k>(table: &'a mut Table, key: &'k str) -> Option<(&'a mut Table, &'k str)> {
    let Some((part, name)) = key.split_once('.') else { return Some((table, key)) };
    let part = match indexed(part) {
        Some((list, number, _)) => table.get_mut(list)?.get_mut(number.checked_sub(1)?)?,
        None => table.entry(part).or_insert_with(|| Value::Table(Table::new())),
    };
    Some((part.as_table_mut()?, name))
}

/// Writes what was typed; nothing typed leaves the key out.
fn put(table: &mut Table, key: &str, typed: &str, number: bool) {
    if typed == written(table, key) || typed == language::number(written(table, key)) {
        return;
    }
    let Some((part, name)) = place(table, key) else { return };
    if typed.is_empty() {
        part.remove(name);
        return;
    }
    let value = if number { plain_number(typed).map(Value::from) } else { None };
    part.insert(name.to_owned(), value.unwrap_or_else(|| Value::from(as_kept(name, typed))));
}

/// Numbers are kept with a decimal point, in whatever language they were typed; names as they were.
fn as_kept(name: &str, typed: &str) -> String {
    if is_name(name) { typed.to_owned() } else { with_points(typed) }
}

/// Whether a value is a word of its owner, in which a comma is no decimal mark.
pub(crate) fn is_name(name: &str) -> bool {
    matches!(name, "name" | "currency")
}

/// What a file holds at a key, as written there; empty where it holds nothing.
pub(crate) fn written(table: &Table, key: &str) -> String {
    let found = match key.split_once('.') {
        None => table.get(key),
        Some((part, name)) => match indexed(part) {
            Some((list, number, _)) => table.get(list).and_then(|list| list.get(number.wrapping_sub(1))),
            None => table.get(part),
        }
        .and_then(|part| part.get(name)),
    };
    match found {
        Some(Value::String(text)) => text.clone(),
        Some(Value::Float(number)) => language::number(number.to_string()),
        Some(Value::Integer(number)) => number.to_string(),
        _ => String::new(),
    }
}

/// How many rows a list of the file has.
pub(crate) fn count(table: &Table, list: &str) -> usize {
    table.get(list).and_then(Value::as_array).map_or(0, Vec::len)
}

/// The nozzles whose bore is written; gives the row that each came from.
fn nozzles(table: &mut Table, sent: &Sent) -> Vec<usize> {
    let kept = table.get("nozzle").and_then(Value::as_array).cloned().unwrap_or_default();
    let (mut list, mut from) = (Vec::new(), Vec::new());
    // One more than there are: the empty row for a new one.
    for row in 1..=kept.len() + 1 {
        let typed = |name: &str| last(sent, &format!("nozzle[{row}].{name}")).map(str::trim);
        let Some(bore) = typed("bore").filter(|bore| !bore.is_empty()) else { continue };
        let mut nozzle = kept.get(row - 1).and_then(Value::as_table).cloned().unwrap_or_default();
        for name in NOZZLE {
            match typed(name) {
                Some("") => drop(nozzle.remove(name)),
                Some(value) => drop(nozzle.insert(name.to_owned(), Value::from(as_kept(name, value)))),
                None => (),
            }
        }
        nozzle.entry("name").or_insert_with(|| Value::from(say!("{bore} nozzle")));
        // A straight bore of usual length. Common practice, no source.
        nozzle.entry("length").or_insert_with(|| Value::from("30mm"));
        list.push(Value::Table(nozzle));
        from.push(row);
    }
    table.insert("nozzle".to_owned(), Value::Array(list));
    from
}

/// What is ticked of a list in stock, with what the file already says of it; gives the ids.
fn stocked(table: &mut Table, sent: &Sent, list: &str) -> Vec<String> {
    let kept = table.get(list).and_then(Value::as_array).cloned().unwrap_or_default();
    let ids: Vec<String> = sent.iter().filter(|(name, _)| name == list).map(|(_, id)| id.clone()).collect();
    let row = |id: &String| {
        let known = kept.iter().find(|row| row_id(list, row) == *id).and_then(Value::as_table);
        let mut row = known.cloned().unwrap_or_else(|| fresh(list, id));
        for name in ["price_per_kg", "price_per_m2", "width"] {
            match last(sent, &stock_control(list, id, name)).map(str::trim) {
                Some("") => drop(row.remove(name)),
                Some(value) => drop(row.insert(name.to_owned(), Value::from(as_kept(name, value)))),
                None => (),
            }
        }
        Value::Table(row)
    };
    let rows = ids.iter().map(row).collect();
    table.insert(list.to_owned(), Value::Array(rows));
    ids
}

/// What a row of the stock is called: its kind, and of an abrasive its grit.
pub(crate) fn row_id(list: &str, row: &Value) -> String {
    let text = |key: &str| row.get(key).and_then(Value::as_str).unwrap_or_default();
    match list {
        "abrasive" => format!("{} {}", text("kind"), text("grit")),
        _ => text("kind").to_owned(),
    }
}

fn fresh(list: &str, id: &str) -> Table {
    let mut row = Table::new();
    let mut set = |key: &str, value: &str| drop(row.insert(key.to_owned(), Value::from(value)));
    match (list, id.split_once(' ')) {
        ("abrasive", Some((kind, grit))) => {
            set("kind", kind);
            set("grit", grit);
        }
        _ => {
            set("kind", id);
            // Widths in which rolls and sheets are sold. Common practice, no source.
            set("width", if id.starts_with("photo") { "305mm" } else { "610mm" });
        }
    }
    row
}

#[cfg(test)]
mod tests {
    use super::super::questions::USUAL;
    use super::*;
    use crate::fixture::SHOP;

    fn laid(kept: &str, sent: &[(&str, &str)]) -> Basics {
        lay(kept, &sent.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())).collect())
    }

    /// The controls of a page that shows a file, as it would send them.
    fn shown(kept: &str) -> Sent {
        let table: Table = toml::from_str(kept).unwrap();
        let plain = steps().into_iter().flat_map(|step| step.questions).map(|question| question.key.to_owned());
        let nozzles = (1..=count(&table, "nozzle")).flat_map(|row| NOZZLE.map(|name| format!("nozzle[{row}].{name}")));
        let mut sent: Sent = plain.chain(nozzles).map(|key| (key.clone(), written(&table, &key))).collect();
        for list in ["abrasive", "resist"] {
            let rows = table[list].as_array().unwrap();
            sent.extend(rows.iter().map(|row| (list.to_owned(), row_id(list, row))));
        }
        sent.push((STOCK.to_owned(), "1".to_owned()));
        sent
    }

    #[test]
    fn the_usual_answers_are_a_shop() {
        let basics = laid(USUAL, &[]);
        assert!(!basics.changed);
        basics.shop.unwrap();
    }

    #[test]
    fn a_form_sent_as_it_was_shown_changes_nothing() {
        for kept in [USUAL, SHOP] {
            let basics = lay(kept, &shown(kept));
            assert!(!basics.changed, "{}", basics.text);
        }
    }

    #[test]
    fn a_form_shown_with_decimal_commas_changes_nothing() {
        language::Language::German.scope(|| {
            for kept in [USUAL, SHOP] {
                let comma = |(key, value): (String, String)| (key, language::number(value));
                let basics = lay(kept, &shown(kept).into_iter().map(comma).collect());
                assert!(!basics.changed, "{}", basics.text);
            }
        });
    }

    #[test]
    fn answers_reach_the_shop() {
        let mut sent = shown(USUAL);
        let answers = [
            ("name", "Quarry Lane"),
            ("site.altitude_m", "1500"),
            ("compressor[1].free_air", "16 cfm"),
            ("cabinet.collector", "12 m3/min"),
            ("nozzle[2].bore", "3/32in"),
            ("abrasive", "silicon_carbide F220"),
        ];
        sent.extend(answers.map(|(key, value)| (key.to_owned(), value.to_owned())));
        let shop = lay(USUAL, &sent).shop.unwrap();
        assert_eq!((shop.name.as_str(), shop.nozzles.len(), shop.abrasives.len()), ("Quarry Lane", 2, 2));
        assert!((shop.compressors[0].free_air.to_litres_per_minute() - 453.0).abs() < 1.0);
        assert!(shop.cabinet.collector.is_some());
    }

    #[test]
    fn money_and_numbers_may_have_a_decimal_comma() {
        let mut sent = shown(USUAL);
        let answers = [("rates.energy_per_kwh", "0,31"), ("pot.loading", "0,8"), ("nozzle[1].price", "40,5")];
        sent.extend(answers.map(|(key, value)| (key.to_owned(), value.to_owned())));
        let basics = lay(USUAL, &sent);
        assert!(basics.shop.is_ok(), "{:?}", basics.shop);
        assert_eq!(written(&basics.table, "rates.energy_per_kwh"), "0.31");
        assert_eq!(written(&basics.table, "nozzle[1].price"), "40.5");
    }

    #[test]
    fn a_fault_stands_at_its_control_even_where_rows_were_left_out() {
        let mut sent = shown(USUAL);
        sent.extend(
            [("nozzle[1].bore", ""), ("nozzle[2].bore", "wide"), ("receiver.volume", "big")]
                .map(|(key, value)| (key.to_owned(), value.to_owned())),
        );
        let faults = lay(USUAL, &sent).shop.unwrap_err();
        assert!(faults.contains_key("nozzle[2].bore") && faults.contains_key("receiver.volume"), "{faults:?}");
    }

    #[test]
    fn a_shop_without_stock_or_nozzle_is_told_so() {
        let faults = laid(USUAL, &[(STOCK, "1")]).shop.unwrap_err();
        let keys: Vec<&str> = faults.keys().map(String::as_str).collect();
        for list in ["nozzle", "abrasive", "resist"] {
            assert!(keys.contains(&list), "{list} in {faults:?}");
        }
    }
}
