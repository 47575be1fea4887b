//! Looks at a file before it is resolved, and refuses what would take memory or time without end.

use super::error::{Place, ReadError, SizeFault};
use super::references::{Sheet, sheet};
use super::{Limits, PIXEL_MM, entities};
use crate::note::{Note, Remark};
use std::collections::HashMap;
use usvg::roxmltree::{Document, Node, NodeId, ParsingOptions};

/// Elements that one file may hold, before anything is written out.
const NODES_MAX: u32 = 1_000_000;
/// Most style rules times elements: each is tried on each.
const STYLE_WORK_MAX: u64 = 10_000_000;
/// Furthest that a number of a viewBox may lie from zero.
const VIEW_MAX: f64 = 1e7;

/// The file as text, if short enough and text at all.
pub(super) fn text<'a>(bytes: &'a [u8], limits: &Limits) -> Result<&'a str, ReadError> {
    if bytes.len() > limits.bytes {
        return Err(ReadError::TooLong { bytes: bytes.len(), limit: limits.bytes });
    }
    if bytes.starts_with(&[0x1f, 0x8b]) {
        return Err(ReadError::Compressed);
    }
    std::str::from_utf8(bytes).map_err(|fault| ReadError::NotText { byte: fault.valid_up_to() })
}

/// The file as XML.
pub(super) fn parse(text: &str) -> Result<Document<'_>, ReadError> {
    entities::check(text)?;
    let options = ParsingOptions { allow_dtd: true, nodes_limit: NODES_MAX, ..ParsingOptions::default() };
    Document::parse_with_options(text, options).map_err(|fault| {
        let at = fault.pos();
        ReadError::Xml { place: Place { line: at.row, column: at.col }, fault }
    })
}

/// Refuses a file by its structure; gives notes on what the resolver drops without a word.
pub(super) fn inspect(xml: &Document<'_>, limits: &Limits) -> Result<Vec<Note>, ReadError> {
    let root = xml.root_element();
    if root.tag_name().name() != "svg" {
        return Err(ReadError::NotSvg { place: place(root), root: root.tag_name().name().to_owned() });
    }
    check_size(root)?;
    check_depth(root, limits)?;
    let mut counter = Counter::new(xml, limits);
    let count = counter.count(root, 0)?;
    counter.check_styles(xml, count.elements)?;
    Ok(xml.descendants().filter_map(dropped).collect())
}

/// The page's size, if it is one.
pub(super) fn page(tree: &usvg::Tree, limits: &Limits) -> Result<(f64, f64), ReadError> {
    let [width_mm, height_mm] = [tree.size().width(), tree.size().height()].map(|px| f64::from(px) * PIXEL_MM);
    let fits = |mm: f64| (0.1..=limits.size_mm).contains(&mm);
    if fits(width_mm) && fits(height_mm) {
        return Ok((width_mm, height_mm));
    }
    Err(ReadError::Page { width_mm, height_mm, limit_mm: limits.size_mm })
}

fn check_size(root: Node<'_, '_>) -> Result<(), ReadError> {
    for attribute in ["width", "height"] {
        if let Some(text) = root.attribute(attribute) {
            let number = text.trim().trim_end_matches(|c: char| c.is_ascii_alphabetic() || c == '%');
            size_fault(number.trim().parse(), true).map_or(Ok(()), |fault| Err(size(root, attribute, text, fault)))?;
        }
    }
    let Some(text) = root.attribute("viewBox") else { return Ok(()) };
    let refused = |fault| Err(size(root, "viewBox", text, fault));
    let numbers: Vec<&str> = text.split([' ', ',', '\n', '\t', '\r']).filter(|part| !part.is_empty()).collect();
    if numbers.len() != 4 {
        return refused(SizeFault::NotNumbers);
    }
    for (i, number) in numbers.into_iter().enumerate() {
        if let Some(fault) = size_fault(number.parse(), i >= 2) {
            return refused(fault);
        }
    }
    Ok(())
}

fn size_fault(number: Result<f64, std::num::ParseFloatError>, extent: bool) -> Option<SizeFault> {
    match number {
        Err(_) => Some(SizeFault::NotNumbers),
        Ok(n) if n.is_nan() || n.abs() > VIEW_MAX => Some(SizeFault::TooLarge),
        Ok(n) if extent && n < 1e-6 => Some(SizeFault::TooSmall),
        Ok(_) => None,
    }
}

fn size(root: Node<'_, '_>, attribute: &'static str, text: &str, fault: SizeFault) -> ReadError {
    let shown = text.chars().take(80).collect();
    ReadError::Size { place: place(root), attribute, text: shown, fault }
}

/// The depth of the XML itself, without recursion: it comes before everything that recurses.
fn check_depth(root: Node<'_, '_>, limits: &Limits) -> Result<(), ReadError> {
    let mut node = root;
    let mut depth = 0_u32;
    loop {
        if depth > limits.depth {
            return Err(too_deep(node, limits));
        }
        if let Some(child) = node.first_element_child() {
            node = child;
            depth += 1;
            continue;
        }
        while node.next_sibling_element().is_none() {
            let Some(parent) = node.parent_element().filter(|_| node != root) else { return Ok(()) };
            node = parent;
            depth -= 1;
        }
        let Some(next) = node.next_sibling_element().filter(|_| node != root) else { return Ok(()) };
        node = next;
    }
}

/// What an element comes to once everything is written out.
#[derive(Debug, Clone, Copy, Default)]
struct Count {
    elements: u64,
    /// Points of outlines, at most.
    points: u64,
    /// Levels below.
    height: u32,
}

enum Seen {
    /// Being counted: meeting it again is a circle.
    Open,
    Done(Count),
}

struct Counter<'a, 'input> {
    by_id: HashMap<&'a str, Node<'a, 'input>>,
    sheet: Sheet<'a>,
    seen: HashMap<NodeId, Seen>,
    limits: &'a Limits,
}

impl<'a, 'input> Counter<'a, 'input> {
    fn new(xml: &'a Document<'input>, limits: &'a Limits) -> Self {
        let mut by_id = HashMap::new();
        for node in xml.descendants() {
            if let Some(id) = node.attribute("id") {
                by_id.entry(id).or_insert(node);
            }
        }
        Self { by_id, sheet: sheet(xml), seen: HashMap::new(), limits }
    }

    /// Counts without writing out: each element once, the sums multiplied along the references.
    fn count(&mut self, node: Node<'a, 'input>, depth: u32) -> Result<Count, ReadError> {
        match self.seen.get(&node.id()) {
            Some(Seen::Open) => return Err(ReadError::Circle { place: place(node), element: name(node) }),
            Some(Seen::Done(count)) if depth + count.height > self.limits.depth => {
                return Err(too_deep(node, self.limits));
            }
            Some(Seen::Done(count)) => return Ok(*count),
            None if depth > self.limits.depth => return Err(too_deep(node, self.limits)),
            None => {}
        }
        self.seen.insert(node.id(), Seen::Open);
        let count = self.content(node, depth)?;
        let count = self.with_references(node, count, depth)?;
        if count.elements > self.limits.instances {
            let (count, limit) = (count.elements, self.limits.instances);
            return Err(ReadError::TooManyInstances { place: place(node), element: name(node), count, limit });
        }
        self.seen.insert(node.id(), Seen::Done(count));
        Ok(count)
    }

    /// The element, what it holds, and what it is a copy of.
    fn content(&mut self, node: Node<'a, 'input>, depth: u32) -> Result<Count, ReadError> {
        let mut sum = Count { elements: 1, points: points(node), height: 0 };
        let copied = matches!(node.tag_name().name(), "use" | "feImage").then(|| href(node)).flatten();
        let copied = copied.and_then(|id| self.by_id.get(id).copied());
        for part in node.children().filter(Node::is_element).chain(copied) {
            let count = self.count(part, depth + 1)?;
            sum.elements = sum.elements.saturating_add(count.elements);
            sum.points = sum.points.saturating_add(count.points);
            sum.height = sum.height.max(count.height + 1);
        }
        Ok(sum)
    }

    /// Adds markers (one at each point, inherited) and patterns (one for each element, inherited).
    fn with_references(&mut self, node: Node<'a, 'input>, own: Count, depth: u32) -> Result<Count, ReadError> {
        let mut sum = own;
        for reference in self.sheet.references(node) {
            let Some(&target) = self.by_id.get(reference.target) else { continue };
            let times = match target.tag_name().name() {
                "linearGradient" | "radialGradient" | "filter" => continue,
                "clipPath" | "mask" => 1,
                _ if reference.marker => own.points,
                _ => own.elements,
            };
            let count = self.count(target, depth + 1)?;
            sum.elements = sum.elements.saturating_add(count.elements.saturating_mul(times));
            sum.height = sum.height.max(own.height + count.height + 1);
        }
        Ok(sum)
    }

    fn check_styles(&self, xml: &Document<'_>, elements: u64) -> Result<(), ReadError> {
        let rules = self.sheet.rules;
        if rules.saturating_mul(elements) <= STYLE_WORK_MAX {
            return Ok(());
        }
        let style = xml.descendants().find(|node| node.tag_name().name() == "style").unwrap_or(xml.root_element());
        Err(ReadError::TooManyStyles { place: place(style), rules, elements })
    }
}

/// At most this many points are on an element's outline: two bytes are the least that a point takes.
fn points(node: Node<'_, '_>) -> u64 {
    let bytes = ["d", "points"].iter().filter_map(|key| node.attribute(*key)).map(str::len).sum::<usize>();
    match node.tag_name().name() {
        "line" => 2,
        "rect" | "circle" | "ellipse" => 9,
        _ => bytes as u64 / 2,
    }
}

fn href<'a>(node: Node<'a, '_>) -> Option<&'a str> {
    let mut found = node.attributes().filter(|a| a.name() == "href");
    found.find_map(|attribute| attribute.value().trim().strip_prefix('#'))
}

/// A note on an element that the resolver drops.
fn dropped(node: Node<'_, '_>) -> Option<Note> {
    let tag = || node.tag_name().name().to_owned();
    let remark = match node.tag_name().name() {
        "image" => Remark::ImageLeftOut,
        "foreignObject" | "script" | "video" | "audio" | "canvas" | "iframe" => Remark::ForeignLeftOut { tag: tag() },
        "animate" | "animateTransform" | "animateMotion" | "set" => Remark::DrawnAtRest { tag: tag() },
        _ => return None,
    };
    Some(Note { element: node.attribute("id").unwrap_or_default().to_owned(), place: Some(place(node)), remark })
}

fn too_deep(node: Node<'_, '_>, limits: &Limits) -> ReadError {
    ReadError::TooDeep { place: place(node), element: name(node), limit: limits.depth }
}

fn place(node: Node<'_, '_>) -> Place {
    let at = node.document().text_pos_at(node.range().start);
    Place { line: at.row, column: at.col }
}

fn name(node: Node<'_, '_>) -> String {
    let tag = node.tag_name().name();
    node.attribute("id").map_or_else(|| format!("<{tag}>"), |id| format!("<{tag} id=\"{id}\">"))
}
