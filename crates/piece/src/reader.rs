//! TOML into a file type, judged by that type's own JSON Schema before it becomes a value.
//!
//! The schema that documents a file also checks it: one walk over the spanned TOML beside the
//! schema finds unknown and missing keys, wrong types, texts that are no quantity and words that
//! are no choice, each with its line and its mend. Only a text without complaints is deserialised.

use crate::money::is_money;
use language::{number, say};
use quantity::ParseError;
use schemars::JsonSchema;
use serde::de::DeserializeOwned;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fmt;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// One thing wrong in a file: where, what, and how to mend it.
#[derive(Debug, Clone, PartialEq)]
pub struct Complaint {
    /// The file's name, as the caller knows it.
    pub file: String,
    /// Line, from 1.
    pub line: usize,
    /// Character in the line, from 1.
    pub column: usize,
    /// The key, such as `blank.thickness` or `depth[2].layer`; empty for the whole file.
    pub key: String,
    /// What is wrong.
    pub fault: Fault,
}

/// What can be wrong with a file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Fault {
    /// Not TOML at all.
    #[error("{}", say!("not well-formed TOML: {message}", message = crate::syntax::said(message)))]
    Syntax {
        /// The parser's own words.
        message: String,
    },
    /// A key that the file type does not have.
    #[error("{}", say!("unknown key \"{given}\"; {mend}", mend = did_you_mean(nearest)))]
    UnknownKey {
        /// The key as written.
        given: String,
        /// The nearest key that exists there.
        nearest: String,
    },
    /// A key that must be there is not.
    #[error("{}{}", say!("\"{key}\" is missing; add {key} = …"), because(hint))]
    Missing {
        /// The key.
        key: String,
        /// What belongs there.
        hint: String,
    },
    /// A value of another type than the key wants.
    #[error("{}{}", say!("{found} stands where {expected} belongs"), because(hint))]
    WrongType {
        /// What the schema wants.
        expected: &'static str,
        /// What is there.
        found: &'static str,
        /// What belongs there, in words.
        hint: String,
    },
    /// Not a quantity.
    #[error(transparent)]
    Quantity(ParseError),
    /// Not an amount of money.
    #[error("{}", say!("\"{given}\" is not an amount; write digits and at most one point, such as \"12.50\""))]
    NotMoney {
        /// The text as written.
        given: String,
    },
    /// A number outside the range that the key allows, or not a number.
    #[error(
        "{}",
        say!(
            "{given} is outside {min} to {max}; give a number between them",
            given = number(given.to_string()),
            min = number(min.to_string()),
            max = number(max.to_string())
        )
    )]
    OutOfRange {
        /// The number as written.
        given: f64,
        /// Least allowed.
        min: f64,
        /// Greatest allowed.
        max: f64,
    },
    /// A word that is not one of the choices.
    #[error(
        "{}",
        say!(
            "\"{given}\" is not a choice here; {mend} (choices: {choices})",
            mend = did_you_mean(nearest),
            choices = choices.join(", ")
        )
    )]
    NoChoice {
        /// The word as written.
        given: String,
        /// The nearest choice.
        nearest: String,
        /// All choices.
        choices: Vec<String>,
    },
    /// A text that does not have the form the key wants.
    #[error("{}{}", say!("\"{given}\" does not have the form that is wanted here"), because(hint))]
    WrongForm {
        /// The text as written.
        given: String,
        /// What belongs there.
        hint: String,
    },
    /// An id that the reference tables or the shop do not have.
    #[error(
        "{}",
        say!(
            "unknown {kind} \"{given}\"; {mend} (known: {known})",
            mend = did_you_mean(nearest),
            known = known.join(", ")
        )
    )]
    UnknownId {
        /// What kind of thing.
        kind: &'static str,
        /// The id as written.
        given: String,
        /// The nearest id.
        nearest: String,
        /// All ids.
        known: Vec<String>,
    },
    /// An abrasive that no table has: nothing is known of its dust.
    #[error(
        "{}",
        say!(
            "the abrasive \"{given}\" is not listed, so its free silica is not known and it is not accepted; {mend} \
             (known: {known})",
            mend = did_you_mean(nearest),
            known = known.join(", ")
        )
    )]
    Unlisted {
        /// The id as written.
        given: String,
        /// The nearest id.
        nearest: String,
        /// All ids.
        known: Vec<String>,
    },
    /// Two keys of which exactly one belongs there.
    #[error("{}", say!("give exactly one of {keys}", keys = and(keys)))]
    ExactlyOne {
        /// The keys.
        keys: Vec<&'static str>,
    },
    /// A value that cannot be what it says, with the reason.
    #[error("{}", say!("{given} cannot be: {why}; {mend}"))]
    Impossible {
        /// The value as written.
        given: String,
        /// Why not.
        why: &'static str,
        /// What to do.
        mend: &'static str,
    },
}

fn did_you_mean(nearest: &str) -> String {
    if nearest.is_empty() { say!("remove it").to_owned() } else { say!("nearest is \"{nearest}\"") }
}

/// `width and height`.
fn and(keys: &[&str]) -> String {
    let keys = keys.iter().map(|key| (*key).to_owned());
    keys.reduce(|before, key| say!("{before} and {key}")).unwrap_or_default()
}

/// What belongs there, from the schema's own documentation, told in the language of who reads it.
fn because(hint: &str) -> String {
    if hint.is_empty() { String::new() } else { format!(" ({})", language::told(hint)) }
}

impl fmt::Display for Complaint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}:{}: ", self.file, self.line, self.column)?;
        if !self.key.is_empty() {
            write!(f, "{}: ", self.key)?;
        }
        self.fault.fmt(f)
    }
}

/// Every complaint about a file, in the file's order.
#[derive(Debug, Clone, PartialEq)]
pub struct Complaints(pub Vec<Complaint>);

impl std::error::Error for Complaints {}

impl fmt::Display for Complaints {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let lines: Vec<String> = self.0.iter().map(ToString::to_string).collect();
        f.write_str(&lines.join("\n"))
    }
}

/// A file as read, with the place of every key for what is checked later.
#[derive(Debug)]
pub struct Read<T> {
    /// The file's content.
    pub value: T,
    places: Places,
}

impl<T> Read<T> {
    /// A complaint about `key`, at its place in the file.
    #[must_use]
    pub fn complain(&self, key: &str, fault: Fault) -> Complaint {
        self.places.complain(key, 0, fault)
    }
}

/// Reads `text` as a `T`.
///
/// # Errors
/// Every complaint found, each with its place and mend.
pub fn read<T: DeserializeOwned + JsonSchema>(text: &str, file: &str) -> Result<Read<T>, Complaints> {
    let mut places = Places { file: file.to_owned(), text: text.to_owned(), spans: BTreeMap::new() };
    let table = match DeTable::parse(text) {
        Ok(table) => table,
        Err(error) => return Err(Complaints(vec![places.syntax(&error)])),
    };
    let schema = crate::schema::of::<T>();
    let mut walk = Walk { places: &mut places, complaints: Vec::new() };
    walk.table(table.get_ref(), table.span(), &schema, "");
    let mut complaints = walk.complaints;
    complaints.sort_by_key(|complaint| (complaint.line, complaint.column));
    if !complaints.is_empty() {
        return Err(Complaints(complaints));
    }
    match toml::from_str(text) {
        Ok(value) => Ok(Read { value, places }),
        Err(error) => Err(Complaints(vec![places.syntax(&error)])),
    }
}

#[derive(Debug)]
struct Places {
    file: String,
    text: String,
    spans: BTreeMap<String, Range<usize>>,
}

impl Places {
    /// A complaint at `key`, `skip` characters into its value.
    fn complain(&self, key: &str, skip: usize, fault: Fault) -> Complaint {
        // A key that is not in the file is complained about at its nearest ancestor that is.
        let mut place = key;
        while !self.spans.contains_key(place) && !place.is_empty() {
            place = place.rfind(['.', '[']).map_or("", |cut| &place[..cut]);
        }
        let start = self.spans.get(place).map_or(0, |span| span.start);
        let (line, column) = self.line_and_column(start);
        Complaint { file: self.file.clone(), line, column: column + skip, key: key.to_owned(), fault }
    }

    fn syntax(&self, error: &toml::de::Error) -> Complaint {
        let (line, column) = self.line_and_column(error.span().map_or(0, |span| span.start));
        let fault = Fault::Syntax { message: error.message().to_owned() };
        Complaint { file: self.file.clone(), line, column, key: String::new(), fault }
    }

    fn line_and_column(&self, at: usize) -> (usize, usize) {
        let before = self.text.get(..at).unwrap_or(&self.text);
        let line_start = before.rfind('\n').map_or(0, |newline| newline + 1);
        (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
    }
}

struct Walk<'a> {
    places: &'a mut Places,
    complaints: Vec<Complaint>,
}

impl Walk<'_> {
    fn complain(&mut self, key: &str, skip: usize, fault: Fault) {
        self.complaints.push(self.places.complain(key, skip, fault));
    }

    fn table(&mut self, table: &DeTable<'_>, span: Range<usize>, schema: &Value, key: &str) {
        self.places.spans.insert(key.to_owned(), span);
        let known = schema["properties"].as_object();
        for (name, value) in table {
            let child = if key.is_empty() { name.get_ref().to_string() } else { format!("{key}.{}", name.get_ref()) };
            match known.and_then(|known| known.get(name.get_ref().as_ref())) {
                Some(schema) => self.value(value, schema, &child),
                None => {
                    self.places.spans.insert(child.clone(), name.span());
                    let names = known.into_iter().flatten().map(|(name, _)| name.as_str());
                    let nearest = nearest(name.get_ref(), names);
                    self.complain(&child, 0, Fault::UnknownKey { given: name.get_ref().to_string(), nearest });
                }
            }
        }
        for required in schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
            if !table.contains_key(required) {
                let hint = described(&schema["properties"][required]);
                self.complain(key, 0, Fault::Missing { key: required.to_owned(), hint });
            }
        }
    }

    fn value(&mut self, value: &Spanned<DeValue<'_>>, schema: &Value, key: &str) {
        self.places.spans.insert(key.to_owned(), value.span());
        let wrong = |expected| Fault::WrongType { expected, found: kind_of(value.get_ref()), hint: described(schema) };
        match (wanted(schema), value.get_ref()) {
            (Wanted::Table, DeValue::Table(table)) => self.table(table, value.span(), schema, key),
            (Wanted::Table, _) => self.complain(key, 0, wrong(say!("a table"))),
            (Wanted::List, DeValue::Array(items)) => {
                for (index, item) in items.iter().enumerate() {
                    self.value(item, &schema["items"], &format!("{key}[{}]", index + 1));
                }
                if items.is_empty() {
                    self.complain(
                        key,
                        0,
                        Fault::Missing { key: key.to_owned(), hint: say!("at least one").to_owned() },
                    );
                }
            }
            (Wanted::List, _) => self.complain(key, 0, wrong(say!("a list"))),
            (Wanted::Text, DeValue::String(text)) => self.text(text, schema, key),
            (Wanted::Text, DeValue::Integer(_) | DeValue::Float(_)) if schema.get("x-quantity").is_some() => {
                self.bare_number(value, schema, key);
            }
            (Wanted::Text, _) => self.complain(key, 0, wrong(say!("a text in quotes"))),
            (Wanted::Number { whole }, DeValue::Integer(_) | DeValue::Float(_)) => {
                self.number(value, schema, key, whole)
            }
            (Wanted::Number { .. }, _) => self.complain(key, 0, wrong(say!("a number"))),
            (Wanted::Flag, DeValue::Boolean(_)) => {}
            (Wanted::Flag, _) => self.complain(key, 0, wrong(say!("true or false"))),
        }
    }

    fn text(&mut self, text: &str, schema: &Value, key: &str) {
        if let Some(kind) = schema["x-quantity"].as_str() {
            return self.quantity(text, kind, key);
        }
        let mut choices = Vec::new();
        gather_choices(schema, &mut choices);
        if !choices.is_empty() && !choices.iter().any(|choice| choice == text) {
            let nearest = nearest(text, choices.iter().map(String::as_str));
            self.complain(key, 0, Fault::NoChoice { given: text.to_owned(), nearest, choices });
        } else if text.trim().is_empty() || schema["pattern"].as_str().is_some_and(|pattern| !fits(pattern, text)) {
            self.complain(key, 0, Fault::WrongForm { given: text.to_owned(), hint: described(schema) });
        }
    }

    fn quantity(&mut self, text: &str, kind: &str, key: &str) {
        if kind == "Money" {
            if !is_money(text) {
                self.complain(key, 0, Fault::NotMoney { given: text.to_owned() });
            }
            return;
        }
        if let Some(Err(fault)) = check_written(kind, text) {
            // The opening quote stands before the text.
            self.complain(key, fault.at + 1, Fault::Quantity(fault));
        }
    }

    /// A number where a quantity belongs: it has no unit, or as money no quotes.
    fn bare_number(&mut self, value: &Spanned<DeValue<'_>>, schema: &Value, key: &str) {
        let written = self.places.text.get(value.span()).unwrap_or_default().to_owned();
        let kind = schema["x-quantity"].as_str().unwrap_or_default();
        match check_written(kind, &written) {
            Some(Err(fault)) => self.complain(key, fault.at, Fault::Quantity(fault)),
            _ => self.complain(key, 0, Fault::NotMoney { given: written }),
        }
    }

    fn number(&mut self, value: &Spanned<DeValue<'_>>, schema: &Value, key: &str, whole: bool) {
        let written = self.places.text.get(value.span()).unwrap_or_default().replace('_', "");
        let number = written.parse::<f64>().unwrap_or(f64::NAN);
        let bound = |name: &str, none: f64| schema[name].as_f64().unwrap_or(none);
        let (min, max) = (bound("minimum", f64::MIN), bound("maximum", f64::MAX));
        if !(min <= number && number <= max) {
            self.complain(key, 0, Fault::OutOfRange { given: number, min, max });
        } else if whole && number.fract() != 0.0 {
            let hint = described(schema);
            self.complain(
                key,
                0,
                Fault::WrongType { expected: say!("a whole number"), found: say!("a decimal"), hint },
            );
        }
    }
}

enum Wanted {
    Table,
    List,
    Text,
    Number { whole: bool },
    Flag,
}

/// What a schema wants; an optional value (`["string", "null"]`) wants what it is when present.
fn wanted(schema: &Value) -> Wanted {
    let types: Vec<&str> = match &schema["type"] {
        Value::String(one) => vec![one],
        Value::Array(several) => several.iter().filter_map(Value::as_str).collect(),
        _ => vec![],
    };
    match types.iter().find(|name| **name != "null") {
        Some(&"object") => Wanted::Table,
        Some(&"array") => Wanted::List,
        Some(&"integer") => Wanted::Number { whole: true },
        Some(&"number") => Wanted::Number { whole: false },
        Some(&"boolean") => Wanted::Flag,
        // An enumeration of documented choices has no type of its own.
        _ => Wanted::Text,
    }
}

fn gather_choices(schema: &Value, choices: &mut Vec<String>) {
    choices.extend(schema["enum"].as_array().into_iter().flatten().filter_map(|v| v.as_str().map(str::to_owned)));
    choices.extend(schema["const"].as_str().map(str::to_owned));
    for several in ["oneOf", "anyOf"] {
        for one in schema[several].as_array().into_iter().flatten() {
            gather_choices(one, choices);
        }
    }
}

/// The first sentence of a schema's description.
fn described(schema: &Value) -> String {
    let text = schema["description"].as_str().unwrap_or_default();
    text.split(". ").next().unwrap_or_default().trim_end_matches('.').replace('\n', " ")
}

/// The patterns that our files use; the schema states them as regular expressions for others.
fn fits(pattern: &str, text: &str) -> bool {
    match pattern {
        "^#[0-9a-fA-F]{6}$" => {
            text.len() == 7 && text.starts_with('#') && text[1..].bytes().all(|b| b.is_ascii_hexdigit())
        }
        "^[A-Z]{3}$" => text.len() == 3 && text.bytes().all(|b| b.is_ascii_uppercase()),
        "^[0-2][0-9]:[0-5][0-9]$" => {
            let is = |at: usize, digits: &[u8]| text.as_bytes().get(at).is_some_and(|byte| digits.contains(byte));
            let any = b"0123456789";
            text.len() == 5 && is(0, b"012") && is(1, any) && is(2, b":") && is(3, b"012345") && is(4, any)
        }
        other => unreachable!("no reader for the pattern {other}: add it here"),
    }
}

fn kind_of(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => say!("a text"),
        DeValue::Integer(_) | DeValue::Float(_) => say!("a number"),
        DeValue::Boolean(_) => say!("true or false"),
        DeValue::Datetime(_) => say!("a date"),
        DeValue::Array(_) => say!("a list"),
        DeValue::Table(_) => say!("a table"),
    }
}

/// Whether a text reads as a quantity of a kind; `None` for a kind that no crate of ours has.
fn check_written(kind: &str, text: &str) -> Option<Result<(), quantity::ParseError>> {
    quantity::schema::check_written(kind, text).or_else(|| reference::check_written(kind, text))
}

/// The name most like `given`; empty when there is none at all.
#[must_use]
pub fn nearest<'a>(given: &str, names: impl Iterator<Item = &'a str>) -> String {
    let likeness = |name: &&str| (strsim::jaro_winkler(&given.to_lowercase(), &name.to_lowercase()) * 1e6) as u32;
    names.max_by_key(likeness).unwrap_or_default().to_owned()
}
