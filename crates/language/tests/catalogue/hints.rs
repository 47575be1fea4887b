//! What the types of our files say belongs at a key: complaints give it as a hint, from the schema made of these types.

use super::{Said, tables};
use std::collections::BTreeSet;

/// The first sentence of the words above each key, and above each kind of row that a file of `all` lists.
pub(crate) fn texts(source: &str, all: &str) -> Vec<Said> {
    let (mut found, mut words) = (BTreeSet::new(), Vec::new());
    for line in source.lines().map(str::trim) {
        match line.strip_prefix("///") {
            Some(more) => words.push(more.trim()),
            // What serde and schemars are told stands between the words and the key.
            None if line.starts_with("#[") => {}
            None => {
                if is_key(line) || is_row(line, all) {
                    found.insert(first_sentence(&words.join(" ")));
                }
                words.clear();
            }
        }
    }
    found.into_iter().filter(|text| tables::is_words(text)).map(tables::said).collect()
}

fn first_sentence(words: &str) -> String {
    words.split(". ").next().unwrap_or_default().trim_end_matches('.').to_owned()
}

fn is_key(line: &str) -> bool {
    let name = line.strip_prefix("pub ").and_then(|rest| rest.split_once(':')).map(|(name, _)| name);
    name.is_some_and(|name| name.chars().all(|letter| letter.is_alphanumeric() || "_#".contains(letter)))
}

fn is_row(line: &str, all: &str) -> bool {
    let name = line.strip_prefix("pub struct ").and_then(|rest| rest.split([' ', '(', '<']).next());
    name.is_some_and(|name| all.contains(&format!("Vec<{name}>")))
}
