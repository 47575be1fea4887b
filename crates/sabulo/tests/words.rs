//! No text that a user may see promises what cannot be promised: every string of every crate is searched.

use safety::words::promise_in;
use std::fs;
use std::path::{Path, PathBuf};

/// Files whose strings are the list of such words, or judge them.
const JUDGES: [&str; 2] = ["crates/safety/src/words.rs", "crates/reference/src/tables.rs"];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

/// Every file below a folder with one of these endings.
fn files(folder: &Path, endings: &[&str], found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()) {
        if entry.is_dir() {
            files(&entry, endings, found);
        } else if endings.iter().any(|ending| entry.extension().is_some_and(|found| found == *ending)) {
            found.push(entry);
        }
    }
}

/// What stands between quotes in a Rust source, comments and lifetimes aside.
fn strings(source: &str) -> Vec<String> {
    let mut strings = Vec::new();
    let mut rest = source;
    while let Some(at) = rest.find(['"', '/', '\'', 'r']) {
        let tail = &rest[at..];
        let next = match tail.as_bytes() {
            [b'/', b'/', ..] => tail.find('\n').unwrap_or(tail.len()),
            [b'\'', b'"', b'\'', ..] => 3,
            [b'r', b'"' | b'#', ..] => raw(tail, &mut strings).unwrap_or(1),
            [b'"', ..] => plain(tail, &mut strings),
            _ => 1,
        };
        rest = &tail[next..];
    }
    strings
}

/// A raw string at the start of `tail`: how long it is; `None` when it is not one.
fn raw(tail: &str, strings: &mut Vec<String>) -> Option<usize> {
    let marks = tail[1..].find(|c| c != '#')?;
    if tail.as_bytes().get(1 + marks) != Some(&b'"') {
        return None;
    }
    let end = format!("\"{}", "#".repeat(marks));
    let start = marks + 2;
    let length = tail[start..].find(&end)?;
    strings.push(tail[start..start + length].to_owned());
    Some(start + length + end.len())
}

/// A plain string at the start of `tail`: how long it is.
fn plain(tail: &str, strings: &mut Vec<String>) -> usize {
    let mut escaped = false;
    let end = tail[1..].char_indices().find(|(_, c)| {
        let closes = *c == '"' && !escaped;
        escaped = *c == '\\' && !escaped;
        closes
    });
    let end = end.map_or(tail.len(), |(at, _)| at + 1);
    strings.push(tail[1..end].to_owned());
    (end + 1).min(tail.len())
}

#[test]
fn strings_are_found_and_comments_are_not() {
    let source =
        "// \"safe\"\nlet a = \"one \\\" two\"; let b = r#\"three\"#; let c = '\"'; let d: &'static str = \"four\";";
    assert_eq!(strings(source), ["one \\\" two", "three", "four"]);
}

#[test]
fn no_string_of_any_crate_promises_anything() {
    let root = root();
    let mut sources = Vec::new();
    for entry in fs::read_dir(root.join("crates")).unwrap() {
        files(&entry.unwrap().path().join("src"), &["rs"], &mut sources);
    }
    let mut searched = 0;
    for path in &sources {
        let name = path.strip_prefix(&root).unwrap().display().to_string();
        if JUDGES.contains(&name.as_str()) {
            continue;
        }
        for text in strings(&fs::read_to_string(path).unwrap()) {
            assert_eq!(promise_in(&text), None, "{name}: {text}");
            searched += 1;
        }
    }
    println!("{searched} strings in {} files", sources.len());
    assert!(searched > 5000, "{searched}");
}

#[test]
fn no_table_script_or_example_promises_anything() {
    let root = root();
    let mut found = Vec::new();
    for folder in ["crates/reference/data", "crates/web/static", "examples"] {
        files(&root.join(folder), &["toml", "js", "svg", "md"], &mut found);
    }
    assert!(found.len() > 10);
    for path in found {
        // A caution says safety valve or safety glazing; a promise says something else.
        assert_eq!(promise_in(&fs::read_to_string(&path).unwrap()), None, "{}", path.display());
    }
}
