//! Which elements a style sheet ties to which others by `url(#id)`.
//!
//! A rough reading on purpose: of each selector only the last part counts, and of that one name. So
//! it may tie an element that the true selector would not, never the other way about. That is the
//! right side to err on for a count of what a file would expand to.

use std::collections::HashMap;
use usvg::roxmltree::{Document, Node};

/// The `url(#id)` of every property that matters, by the selector's name (`.class`, `#id`, `tag`, `*`).
#[derive(Default)]
pub(super) struct Sheet<'a> {
    by_key: HashMap<String, Vec<Reference<'a>>>,
    /// Rules of any kind.
    pub(super) rules: u64,
}

/// One property that points at another element.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Reference<'a> {
    /// Whether the target is drawn at each point of the outline.
    pub(super) marker: bool,
    /// The id pointed at.
    pub(super) target: &'a str,
}

/// All style sheets of a file.
pub(super) fn sheet<'a>(xml: &'a Document<'_>) -> Sheet<'a> {
    let mut sheet = Sheet::default();
    for style in xml.descendants().filter(|node| node.tag_name().name() == "style") {
        for text in style.children().filter_map(|child| child.text()) {
            sheet.add(text);
        }
    }
    sheet
}

impl<'a> Sheet<'a> {
    fn add(&mut self, text: &'a str) {
        for block in text.split('}') {
            let Some((selectors, body)) = block.rsplit_once('{') else { continue };
            self.rules += 1;
            let found: Vec<Reference<'a>> = declarations(body).collect();
            if found.is_empty() {
                continue;
            }
            for selector in selectors.split(',') {
                self.by_key.entry(key(selector)).or_default().extend(&found);
            }
        }
    }

    /// What an element points at, by attribute, by its own style and by style sheet.
    pub(super) fn references(&self, node: Node<'a, '_>) -> Vec<Reference<'a>> {
        let mut found: Vec<Reference<'a>> = Vec::new();
        for attribute in node.attributes() {
            match attribute.name() {
                "style" => found.extend(declarations(attribute.value())),
                name => found.extend(reference(name, attribute.value())),
            }
        }
        if !self.by_key.is_empty() {
            found.extend(keys(node).filter_map(|key| self.by_key.get(&key)).flatten());
        }
        found
    }
}

fn declarations(body: &str) -> impl Iterator<Item = Reference<'_>> {
    body.split(';').filter_map(|declaration| {
        let (name, value) = declaration.split_once(':')?;
        reference(name.trim(), value)
    })
}

fn reference<'a>(name: &str, value: &'a str) -> Option<Reference<'a>> {
    let (_, after) = value.split_once("url(")?;
    let (inside, _) = after.split_once(')')?;
    let target = inside.trim_matches(|c: char| c.is_whitespace() || c == '"' || c == '\'').strip_prefix('#')?;
    Some(Reference { marker: name.starts_with("marker"), target })
}

/// The name that a selector's last part is filed under.
fn key(selector: &str) -> String {
    let last = selector.trim().rsplit([' ', '>', '+', '~', '\n', '\t']).next().unwrap_or("*");
    let last = last.split([':', '[']).next().unwrap_or("*");
    match (last.find('.'), last.find('#')) {
        (Some(at), _) | (None, Some(at)) => {
            let name = &last[at + 1..];
            let end = name.find(['.', '#']).unwrap_or(name.len());
            last[at..=at + end].to_owned()
        }
        _ if last.is_empty() => "*".to_owned(),
        _ => last.to_owned(),
    }
}

/// The names that an element may be filed under.
fn keys<'a>(node: Node<'a, '_>) -> impl Iterator<Item = String> {
    let classes = node.attribute("class").unwrap_or_default().split_whitespace().map(|class| format!(".{class}"));
    let id = node.attribute("id").map(|id| format!("#{id}"));
    classes.chain(id).chain([node.tag_name().name().to_owned(), "*".to_owned()])
}
