//! The shop's air line as a form: each value by its place in the file, laid over the kept shop.
//!
//! Values are put into the file's own text form and judged by the file's own reader, as a recipe's
//! are: the form and the file cannot disagree about what is allowed.

use crate::form::{Sent, plain_number, with_points};
use language::say;
use piece::line_file::{LinePart, LinePartKind, StationPart};
use piece::reader::read;
use piece::shop_file::ShopFile;
use piece::{Complaints, Shop};
use std::collections::BTreeMap;
use toml::{Table, Value};

/// A value of the file: where it stands and what it is called.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Field {
    /// The key as complaints name it, such as `part[1].bore`; also the control's name.
    pub key: String,
    pub label: &'static str,
    pub kind: FieldKind,
}

/// How a value is written in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum FieldKind {
    /// A quantity with its unit, as text.
    Quantity,
    /// A plain number.
    Number,
    /// The name of one of the shop's nozzles.
    Nozzle,
}

/// A card on the line: a part of the shop with its values.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Part {
    /// As the network and the file call it.
    pub name: String,
    /// What it is.
    pub word: &'static str,
    pub fields: Vec<Field>,
    /// Place in the file's list of further parts, when it is one of them: it can be taken away.
    pub further: Option<usize>,
}

fn field(key: impl Into<String>, label: &'static str, kind: FieldKind) -> Field {
    Field { key: key.into(), label, kind }
}

fn quantity(key: impl Into<String>, label: &'static str) -> Field {
    field(key, label, FieldKind::Quantity)
}

/// The line in the air's order, from the compressors to the last station.
pub(crate) fn parts(file: &ShopFile) -> Vec<Part> {
    let mut parts: Vec<Part> =
        file.compressor.iter().enumerate().map(|(i, part)| compressor(i + 1, &part.name)).collect();
    follow(file, "compressors", &mut parts);
    let receiver = vec![quantity("receiver.volume", say!("volume")), quantity("receiver.leaks", say!("leaks"))];
    parts.push(usual("receiver", say!("receiver"), receiver));
    follow(file, "receiver", &mut parts);
    let number = |key: &str, label| field(key, label, FieldKind::Number);
    let regulator = vec![
        number("regulator.conductance_dm3_s_bar", "C, dm³/(s bar)"),
        number("regulator.droop_bar_per_100_l_min", say!("droop, bar per 100 l/min")),
    ];
    parts.push(usual("regulator", say!("regulator"), regulator));
    follow(file, "regulator", &mut parts);
    let hose = vec![
        quantity("hose.bore", say!("bore")),
        quantity("hose.length", say!("length")),
        number("hose.fittings_k", say!("fittings, K")),
    ];
    parts.push(usual("hose", say!("hose"), hose));
    follow(file, "hose", &mut parts);
    parts.push(usual("pot", say!("pot"), vec![number("pot.loading", say!("abrasive, kg per kg of air"))]));
    parts.extend(file.station.iter().enumerate().map(|(i, station)| self::station(i + 1, station)));
    parts
}

/// Whether a part is one that every line has, and that a shop gives no name.
pub(crate) fn is_usual(name: &str) -> bool {
    matches!(name, "receiver" | "regulator" | "hose" | "pot")
}

fn usual(name: &str, word: &'static str, fields: Vec<Field>) -> Part {
    Part { name: name.to_owned(), word, fields, further: None }
}

fn compressor(number: usize, name: &str) -> Part {
    let key = |key: &str| format!("compressor[{number}].{key}");
    let fields = [
        ("free_air", say!("free air delivered")),
        ("cut_in", say!(in "a compressor at a pressure", "starts at")),
        ("cut_out", say!(in "a compressor at a pressure", "stops at")),
        ("duty", say!(in "a compressor for a share of the time", "may run")),
        ("power", say!("power")),
    ];
    let fields = fields.map(|(name, label)| quantity(key(name), label)).to_vec();
    Part { name: name.to_owned(), word: say!("compressor"), fields, further: None }
}

fn station(number: usize, station: &StationPart) -> Part {
    let key = |key: &str| format!("station[{number}].{key}");
    let mut fields = vec![field(key("nozzle"), say!("nozzle"), FieldKind::Nozzle)];
    let quantities = [
        ("pressure", say!("regulator at")),
        ("on", say!(in "a station for a time", "blasts")),
        ("off", say!(in "a station for a time", "rests")),
    ];
    fields.extend(quantities.map(|(name, label)| quantity(key(name), label)));
    let word = if station.gun { say!("suction gun") } else { say!("station") };
    Part { name: station.name.clone(), word, fields, further: None }
}

/// Adds the parts that come after one, and those after them.
fn follow(file: &ShopFile, after: &str, parts: &mut Vec<Part>) {
    for (index, part) in file.part.iter().enumerate().filter(|(_, part)| part.after == after) {
        parts.push(further(index, part));
        follow(file, &part.name, parts);
    }
}

fn further(index: usize, part: &LinePart) -> Part {
    let bore_and_length = || vec![("bore", say!("bore")), ("length", say!("length"))];
    let catches = || ("catches", say!(in "a share of the water", "catches"));
    let quantities: Vec<(&str, &'static str)> = match part.kind {
        LinePartKind::Pipe | LinePartKind::Hose => bore_and_length(),
        LinePartKind::Receiver => vec![("volume", say!("volume"))],
        LinePartKind::Separator | LinePartKind::Filter => vec![catches(), ("bowl", say!("bowl"))],
        LinePartKind::Dryer => vec![("dew_point", say!("dew point")), ("purge", say!("purge"))],
        LinePartKind::Aftercooler => vec![catches()],
        LinePartKind::Fitting | LinePartKind::Valve => Vec::new(),
    };
    let number: Option<(&str, &'static str)> = match part.kind {
        LinePartKind::Pipe | LinePartKind::Hose => Some(("fittings_k", say!("fittings, K"))),
        LinePartKind::Receiver => None,
        LinePartKind::Aftercooler => Some(("approach_k", say!("leaves, K above the room"))),
        _ => Some(("conductance_dm3_s_bar", "C, dm³/(s bar)")),
    };
    let key = |name: &str| format!("part[{}].{name}", index + 1);
    let mut fields: Vec<Field> = quantities.into_iter().map(|(name, label)| quantity(key(name), label)).collect();
    fields.extend(number.map(|(name, label)| field(key(name), label, FieldKind::Number)));
    Part { name: part.name.clone(), word: word(part.kind), fields, further: Some(index) }
}

/// What a kind of part is called.
pub(crate) fn word(kind: LinePartKind) -> &'static str {
    match kind {
        LinePartKind::Aftercooler => say!("aftercooler"),
        LinePartKind::Receiver => say!("second receiver"),
        LinePartKind::Pipe => say!("pipe"),
        LinePartKind::Hose => say!("hose"),
        LinePartKind::Fitting => say!("fitting"),
        LinePartKind::Dryer => say!("dryer"),
        LinePartKind::Separator => say!("separator"),
        LinePartKind::Filter => say!("filter"),
        LinePartKind::Valve => say!("valve"),
    }
}

/// A kept shop with what was sent over it.
#[derive(Debug, Clone)]
pub(crate) struct TriedShop {
    /// The shop file with the tried values.
    pub text: String,
    /// The file as read, kept values where the tried ones do not read.
    pub file: ShopFile,
    /// What differs from the kept file.
    pub changes: Sent,
    /// What was sent, by key: what a faulty control shows again.
    pub sent: BTreeMap<String, String>,
    /// The shop, or what is wrong, by key.
    pub shop: Result<Shop, BTreeMap<String, String>>,
}

/// Writes what was sent over the kept file and reads the result.
///
/// # Errors
/// Complaints about the kept file itself.
pub(crate) fn try_shop(kept: &str, sent: &Sent) -> Result<TriedShop, Complaints> {
    let file = read::<ShopFile>(kept, "shop.toml")?.value;
    let sent: BTreeMap<String, String> = sent.iter().cloned().collect();
    let mut table: Table = toml::from_str(kept).unwrap_or_default();
    let mut changes = Vec::new();
    for field in parts(&file).into_iter().flat_map(|part| part.fields) {
        let Some(typed) = sent.get(&field.key).map(|typed| typed.trim()) else { continue };
        let before = written(&table, &field.key);
        if typed == before || field.kind != FieldKind::Nozzle && typed == language::number(before) {
            continue;
        }
        write(&mut table, &field, typed);
        changes.push((field.key, typed.to_owned()));
    }
    let text = if changes.is_empty() { kept.to_owned() } else { toml::to_string(&table).unwrap_or_default() };
    let shop = piece::read_shop(&text, "shop.toml").map_err(|complaints| by_key(&complaints));
    Ok(TriedShop { text, file, changes, sent, shop })
}

/// What a file holds at a key, as written there; empty where it holds nothing.
pub(crate) fn value_in(text: &str, key: &str) -> String {
    written(&toml::from_str(text).unwrap_or_default(), key)
}

fn written(table: &Table, key: &str) -> String {
    let (list, index, name) = split(key);
    let part = table.get(list).and_then(|part| index.map_or(Some(part), |index| part.get(index)));
    match part.and_then(|part| part.get(name)) {
        Some(Value::String(text)) => text.clone(),
        Some(Value::Float(number)) => language::number(number.to_string()),
        Some(Value::Integer(number)) => number.to_string(),
        _ => String::new(),
    }
}

fn write(table: &mut Table, field: &Field, typed: &str) {
    let (list, index, name) = split(&field.key);
    let part = table.entry(list).or_insert_with(|| Value::Table(Table::new()));
    let part = match index {
        Some(index) => part.get_mut(index).and_then(Value::as_table_mut),
        None => part.as_table_mut(),
    };
    let Some(part) = part else { return };
    if typed.is_empty() {
        part.remove(name);
        return;
    }
    let number = (field.kind == FieldKind::Number).then(|| plain_number(typed)).flatten();
    let typed = if field.kind == FieldKind::Nozzle { typed.to_owned() } else { with_points(typed) };
    part.insert(name.to_owned(), number.map_or_else(|| Value::from(typed), Value::from));
}

/// `part[2].bore` into list, place from 0, and name.
fn split(key: &str) -> (&str, Option<usize>, &str) {
    let (part, name) = key.split_once('.').unwrap_or((key, ""));
    match part.split_once('[') {
        Some((list, rest)) => {
            let number: usize = rest.trim_end_matches(']').parse().unwrap_or(0);
            (list, number.checked_sub(1), name)
        }
        None => (part, None, name),
    }
}

fn by_key(complaints: &Complaints) -> BTreeMap<String, String> {
    complaints.0.iter().map(|complaint| (complaint.key.clone(), complaint.fault.to_string())).collect()
}

/// A shop with one more part after another, with usual numbers.
pub(crate) fn with_part(kept: &str, kind: &str, after: &str) -> String {
    let mut table: Table = toml::from_str(kept).unwrap_or_default();
    let list = table.entry("part").or_insert_with(|| Value::Array(Vec::new()));
    let Some(list) = list.as_array_mut() else { return kept.to_owned() };
    let taken = |name: &str| list.iter().any(|part| part.get("name").and_then(Value::as_str) == Some(name));
    let word = kind_word(kind);
    let names = (1..).map(|number| if number == 1 { word.to_owned() } else { format!("{word} {number}") });
    // "receiver" and "hose" are names of the usual parts.
    let mut names = names.filter(|name| !taken(name) && !matches!(name.as_str(), "receiver" | "hose"));
    let mut part = Table::new();
    part.insert("name".to_owned(), Value::from(names.next().unwrap_or_default()));
    part.insert("kind".to_owned(), Value::from(kind));
    part.insert("after".to_owned(), Value::from(after));
    let usual: &[(&str, &str)] = match kind {
        "pipe" => &[("bore", "16mm"), ("length", "10m")],
        "hose" => &[("bore", "10mm"), ("length", "5m")],
        "receiver" => &[("volume", "90 l")],
        _ => &[],
    };
    part.extend(usual.iter().map(|&(key, value)| (key.to_owned(), Value::from(value))));
    if matches!(kind, "fitting" | "valve") {
        part.insert("conductance_dm3_s_bar".to_owned(), Value::from(12.0));
    }
    list.push(Value::Table(part));
    toml::to_string(&table).unwrap_or_default()
}

/// A shop without one of its further parts; what came after it now comes after what it came after.
pub(crate) fn without_part(kept: &str, index: usize) -> String {
    let mut table: Table = toml::from_str(kept).unwrap_or_default();
    let Some(list) = table.get_mut("part").and_then(Value::as_array_mut).filter(|list| index < list.len()) else {
        return kept.to_owned();
    };
    let gone = list.remove(index);
    let text = |part: &Value, key: &str| part.get(key).and_then(Value::as_str).unwrap_or_default().to_owned();
    let (name, before) = (text(&gone, "name"), text(&gone, "after"));
    for part in list.iter_mut().filter(|part| text(part, "after") == name) {
        if let Some(part) = part.as_table_mut() {
            part.insert("after".to_owned(), Value::from(before.clone()));
        }
    }
    toml::to_string(&table).unwrap_or_default()
}

/// What a kind is called, by its word in the file.
pub(crate) fn kind_word(kind: &str) -> &'static str {
    match kind {
        "aftercooler" => say!("aftercooler"),
        "receiver" => say!("receiver"),
        "dryer" => say!("dryer"),
        "separator" => say!("separator"),
        "filter" => say!("filter"),
        "pipe" => say!("pipe"),
        "hose" => say!("hose"),
        "fitting" => say!("fitting"),
        _ => say!("valve"),
    }
}

/// Kinds that a page offers to add, as the file writes them.
pub(crate) const KINDS: [&str; 9] =
    ["aftercooler", "receiver", "dryer", "separator", "filter", "pipe", "hose", "fitting", "valve"];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture::SHOP;

    fn tried(sent: &[(&str, &str)]) -> TriedShop {
        let sent = sent.iter().map(|(key, value)| ((*key).to_owned(), (*value).to_owned())).collect();
        try_shop(SHOP, &sent).unwrap()
    }

    #[test]
    fn a_form_sent_as_it_was_shown_changes_nothing() {
        let file = read::<ShopFile>(SHOP, "shop.toml").unwrap().value;
        let fields = parts(&file).into_iter().flat_map(|part| part.fields);
        let sent: Sent = fields.map(|field| (field.key.clone(), value_in(SHOP, &field.key))).collect();
        let tried = try_shop(SHOP, &sent).unwrap();
        assert_eq!((tried.changes, tried.text.as_str()), (vec![], SHOP));
    }

    #[test]
    fn values_may_be_shown_and_typed_with_a_decimal_comma() {
        language::Language::German.scope(|| {
            let kept = SHOP.replace("\"450 l/min\"", "\"450.5 l/min\"");
            let file = read::<ShopFile>(&kept, "shop.toml").unwrap().value;
            let fields = parts(&file).into_iter().flat_map(|part| part.fields);
            let sent: Sent =
                fields.map(|field| (field.key.clone(), language::number(value_in(&kept, &field.key)))).collect();
            let tried = try_shop(&kept, &sent).unwrap();
            assert_eq!((tried.changes, tried.text), (vec![], kept));
        });
        let tried = tried(&[("receiver.volume", "270,5 l"), ("hose.fittings_k", "5,5")]);
        assert!(tried.text.contains("\"270.5 l\""), "{}", tried.text);
        assert_eq!(tried.shop.unwrap().hose.fittings_k, 5.5);
    }

    #[test]
    fn a_value_is_tried_and_a_fault_stands_at_its_key() {
        let shop = tried(&[("receiver.volume", "500 l"), ("hose.fittings_k", "5.5")]).shop.unwrap();
        assert_eq!((shop.receiver.to_litres().round(), shop.hose.fittings_k), (500.0, 5.5));
        let faults = tried(&[("hose.bore", "wide"), ("compressor[1].cut_in", "11bar")]).shop.unwrap_err();
        assert!(faults.contains_key("hose.bore"), "{faults:?}");
    }

    #[test]
    fn a_part_is_added_behind_another_and_taken_away_again() {
        let one = with_part(SHOP, "separator", "receiver");
        let two = with_part(&one, "separator", "separator");
        let shop = piece::read_shop(&two, "shop.toml").unwrap();
        assert_eq!(shop.parts.iter().map(|part| part.after.as_str()).collect::<Vec<_>>(), ["receiver", "separator"]);
        let shop = piece::read_shop(&without_part(&two, 0), "shop.toml").unwrap();
        assert_eq!((shop.parts[0].name.as_str(), shop.parts[0].after.as_str()), ("separator 2", "receiver"));
    }

    #[test]
    fn every_kind_of_part_can_be_added() {
        for kind in KINDS {
            piece::read_shop(&with_part(SHOP, kind, "receiver"), "shop.toml").unwrap();
        }
    }
}
