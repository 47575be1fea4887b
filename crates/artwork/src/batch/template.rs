//! A drawing with places for names.

use language::say;
use std::collections::BTreeSet;
use std::ops::Range;
use usvg::roxmltree::{Document, Node, ParsingOptions};

/// A drawing cut up at its placeholders.
#[derive(Debug, Clone)]
pub struct Template {
    parts: Vec<Part>,
    /// The same with the long outlines of what no row changes left out; `None` where that would change the texts.
    light: Option<Vec<Part>>,
    places: Vec<Place>,
}

/// A stretch of the drawing's text.
#[derive(Debug, Clone, PartialEq)]
enum Part {
    /// As it stands.
    Fixed(String),
    /// A column's value.
    Value(String),
    /// Where a text element's transform ends: what makes it smaller goes here.
    Scale(usize),
}

/// A text element with placeholders.
#[derive(Debug, Clone, PartialEq)]
struct Place {
    /// The element's own, or one made up.
    id: String,
    columns: Vec<String>,
    /// Where it is anchored, in its own units.
    anchor: (f64, f64),
    /// Whether it has a transform already.
    transformed: bool,
}

/// Why a template cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum TemplateError {
    /// Not UTF-8.
    #[error("{}", say!("byte {byte} of the template is not UTF-8; save it as plain SVG"))]
    NotText {
        /// Offset of the first bad byte.
        byte: usize,
    },
    /// Not XML.
    #[error("{}", say!("the template cannot be read: {fault}", fault = crate::parsers::xml_at(fault)))]
    Xml {
        /// What is wrong, and where.
        fault: usvg::roxmltree::Error,
    },
    /// No column has a place.
    #[error(
        "{}",
        say!(
            "no text in the template has a column's name as its id, or holds one in braces; the table has {columns}"
        )
    )]
    NoPlace {
        /// The table's columns.
        columns: String,
    },
    /// A placeholder for which there is no column.
    #[error("{}", say!("the template has a place for {{{name}}}, the table has {columns}"))]
    NoColumn {
        /// The name in braces.
        name: String,
        /// The table's columns.
        columns: String,
    },
}

/// A change to the drawing's text.
#[derive(Clone)]
struct Cut {
    at: Range<usize>,
    parts: Vec<Part>,
}

impl Template {
    /// Finds the placeholders of a drawing.
    ///
    /// A text element whose id is a column's name has all its content replaced (its first line's look is
    /// kept); one that holds `{column}` has that replaced wherever it stands in it.
    ///
    /// # Errors
    /// [`TemplateError`] when the drawing is no XML, has no place for any column, or has one for a column that
    /// is not there.
    pub fn new(svg: &[u8], columns: &[String]) -> Result<Self, TemplateError> {
        let text = std::str::from_utf8(svg).map_err(|fault| TemplateError::NotText { byte: fault.valid_up_to() })?;
        let options = ParsingOptions { allow_dtd: true, nodes_limit: 1_000_000, ..ParsingOptions::default() };
        let xml = Document::parse_with_options(text, options).map_err(|fault| TemplateError::Xml { fault })?;
        let listed = || columns.join(", ");
        let mut places = Vec::new();
        let (mut cuts, mut filled) = (Vec::new(), Vec::new());
        for element in xml.descendants().filter(|node| node.tag_name().name() == "text") {
            let found = replacements(element, text, columns)
                .map_err(|name| TemplateError::NoColumn { name, columns: listed() })?;
            if found.is_empty() {
                continue;
            }
            let place = places.len();
            places.push(described(element, &found, place));
            cuts.extend(head(element, text, place));
            cuts.extend(found);
            filled.push(element);
        }
        if places.is_empty() {
            return Err(TemplateError::NoPlace { columns: listed() });
        }
        let outlines = apart(&xml, text, &filled).then(|| outlines(&xml, text));
        let light = outlines.map(|outlines| cut(text, cuts.iter().cloned().chain(outlines).collect()));
        Ok(Self { parts: cut(text, cuts), light, places })
    }

    /// The columns that have a place.
    #[must_use]
    pub fn columns(&self) -> Vec<&str> {
        let all: BTreeSet<&str> =
            self.places.iter().flat_map(|place| place.columns.iter().map(String::as_str)).collect();
        all.into_iter().collect()
    }

    pub(super) fn places(&self) -> usize {
        self.places.len()
    }

    pub(super) fn places_of<'a>(&'a self, column: &'a str) -> impl Iterator<Item = usize> + 'a {
        let has = move |place: &Place| place.columns.iter().any(|name| name == column);
        self.places.iter().enumerate().filter(move |(_, place)| has(place)).map(|(index, _)| index)
    }

    pub(super) fn is_place(&self, id: &str) -> bool {
        self.places.iter().any(|place| place.id == id)
    }

    pub(super) fn id(&self, place: usize) -> &str {
        &self.places[place].id
    }

    /// The drawing with values in their places, each text element made smaller by its scale.
    pub(super) fn filled<'v>(&self, value: impl Fn(&str) -> &'v str, scales: &[f64]) -> String {
        self.written(&self.parts, value, scales)
    }

    /// The same, of which only the text elements count; `None` where they cannot be read apart.
    pub(super) fn texts<'v>(&self, value: impl Fn(&str) -> &'v str, scales: &[f64]) -> Option<String> {
        Some(self.written(self.light.as_ref()?, value, scales))
    }

    fn written<'v>(&self, parts: &[Part], value: impl Fn(&str) -> &'v str, scales: &[f64]) -> String {
        let mut out = String::new();
        for part in parts {
            match part {
                Part::Fixed(text) => out.push_str(text),
                Part::Value(column) => escape(value(column), &mut out),
                Part::Scale(place) => out.push_str(&self.scaled(*place, scales[*place])),
            }
        }
        out
    }

    fn scaled(&self, place: usize, scale: f64) -> String {
        let Place { anchor: (x, y), transformed, .. } = &self.places[place];
        let map = format!("translate({x} {y}) scale({scale}) translate({} {})", -x, -y);
        match (scale == 1.0, transformed) {
            (true, _) => String::new(),
            (false, true) => format!(" {map}"),
            (false, false) => format!(" transform=\"{map}\""),
        }
    }
}

/// The columns that a table for this drawing can have: names in braces, and the ids of texts that hold none.
///
/// # Errors
/// [`TemplateError::NotText`], [`TemplateError::Xml`].
pub fn columns_of(svg: &[u8]) -> Result<Vec<String>, TemplateError> {
    let text = std::str::from_utf8(svg).map_err(|fault| TemplateError::NotText { byte: fault.valid_up_to() })?;
    let options = ParsingOptions { allow_dtd: true, nodes_limit: 1_000_000, ..ParsingOptions::default() };
    let xml = Document::parse_with_options(text, options).map_err(|fault| TemplateError::Xml { fault })?;
    let mut columns: Vec<String> = Vec::new();
    for element in xml.descendants().filter(|node| node.tag_name().name() == "text") {
        let inside = element.descendants().filter(Node::is_text).filter_map(|node| node.text());
        let named = inside.flat_map(|text| text.split('{').skip(1).filter_map(|rest| rest.split_once('}')));
        let mut found: Vec<String> = named.map(|(name, _)| name.trim().to_owned()).collect();
        if found.is_empty() {
            found.extend(element.attribute("id").map(str::to_owned));
        }
        found.retain(|name| !columns.contains(name));
        columns.extend(found);
    }
    Ok(columns)
}

/// What is replaced in a text element; else the name in braces that is no column.
fn replacements(element: Node<'_, '_>, text: &str, columns: &[String]) -> Result<Vec<Cut>, String> {
    if let Some(id) = element.attribute("id").filter(|id| columns.iter().any(|column| column == id)) {
        let inner = element.first_child().zip(element.last_child());
        let inner = inner.map(|(first, last)| first.range().start..last.range().end);
        return Ok(inner.map(|at| Cut { at, parts: vec![Part::Value(id.to_owned())] }).into_iter().collect());
    }
    let mut cuts = Vec::new();
    for node in element.descendants().filter(Node::is_text) {
        cuts.extend(braces(node.range(), text, columns)?);
    }
    Ok(cuts)
}

fn braces(range: Range<usize>, text: &str, columns: &[String]) -> Result<Vec<Cut>, String> {
    let mut cuts = Vec::new();
    let mut at = range.start;
    while let Some(open) = text[at..range.end].find('{') {
        let Some(length) = text[at + open..range.end].find('}') else { break };
        let name = text[at + open + 1..at + open + length].trim();
        let here = at + open..at + open + length + 1;
        if !columns.iter().any(|column| column == name) {
            return Err(name.chars().take(40).collect());
        }
        cuts.push(Cut { at: here.clone(), parts: vec![Part::Value(name.to_owned())] });
        at = here.end;
    }
    Ok(cuts)
}

/// Outlines shorter than this cost nothing to read again.
const SHORT: usize = 200;

/// Leaves out the outlines of shapes, but for those that something refers to.
fn outlines(xml: &Document<'_>, text: &str) -> Vec<Cut> {
    let shapes = xml.descendants().filter(|node| node.is_element() && !named_elsewhere(*node, text));
    let long = shapes.flat_map(|node| node.attributes()).filter(|attribute| matches!(attribute.name(), "d" | "points"));
    let long = long.map(|attribute| attribute.range_value()).filter(|at| at.len() > SHORT);
    long.map(|at| Cut { at, parts: Vec::new() }).collect()
}

fn named_elsewhere(node: Node<'_, '_>, text: &str) -> bool {
    node.attribute("id").is_some_and(|id| text.contains(&format!("#{id}")))
}

/// Whether the texts come out the same without the other shapes: the page has its own size, and nothing around a
/// text is cut by what is in it.
fn apart(xml: &Document<'_>, text: &str, filled: &[Node<'_, '_>]) -> bool {
    let root = xml.root_element();
    let sized = |key| root.attribute(key).is_some_and(|size| !size.contains('%'));
    let paged = root.attribute("viewBox").is_some() || sized("width") && sized("height");
    const CUTTING: [&str; 3] = ["clip-path", "mask", "filter"];
    let styles = xml.descendants().filter(|node| node.tag_name().name() == "style").filter_map(|node| node.text());
    let plain = |node: &Node<'_, '_>| {
        let group = matches!(node.tag_name().name(), "svg" | "g" | "a" | "text");
        let style = node.attribute("style").unwrap_or_default();
        let cut = CUTTING.iter().any(|key| node.attribute(*key).is_some() || style.contains(key));
        group && !cut && !named_elsewhere(*node, text)
    };
    let alone = |text: &Node<'_, '_>| text.ancestors().filter(Node::is_element).all(|node| plain(&node));
    paged && filled.iter().all(alone) && !styles.into_iter().any(|style| CUTTING.iter().any(|key| style.contains(key)))
}

fn described(element: Node<'_, '_>, found: &[Cut], place: usize) -> Place {
    let mut columns: Vec<String> = Vec::new();
    for part in found.iter().flat_map(|cut| &cut.parts) {
        if let Part::Value(column) = part
            && !columns.contains(column)
        {
            columns.push(column.clone());
        }
    }
    let number = |key: &str| {
        let own = element.attribute(key);
        let first = element.descendants().find(|node| node.tag_name().name() == "tspan");
        units(own.or_else(|| first.and_then(|span| span.attribute(key))).unwrap_or("0"))
    };
    Place {
        id: element.attribute("id").map_or_else(|| made_up(place), str::to_owned),
        columns,
        anchor: (number("x"), number("y")),
        transformed: element.attribute("transform").is_some(),
    }
}

fn made_up(place: usize) -> String {
    format!("placeholder-{place}")
}

/// The first of a list of coordinates, in pixels (CSS Values and Units Level 3, 5.2).
fn units(text: &str) -> f64 {
    let first = text.trim().split([' ', ',']).next().unwrap_or_default();
    let end = first.find(|c: char| c.is_ascii_alphabetic() && c != 'e' || c == '%').unwrap_or(first.len());
    let (number, unit) = first.split_at(end);
    let pixels = match unit {
        "mm" => 96.0 / 25.4,
        "cm" => 96.0 / 2.54,
        "in" => 96.0,
        "pt" => 96.0 / 72.0,
        "pc" => 16.0,
        _ => 1.0,
    };
    number.parse().unwrap_or(0.0) * pixels
}

/// Room for a scale at the end of the element's transform, or for one where it has none; an id where it has none.
fn head(element: Node<'_, '_>, text: &str, place: usize) -> Vec<Cut> {
    let start = element.range().start;
    // After the name of the tag, prefix and all.
    let name = text[start + 1..].find(|c: char| c.is_whitespace() || c == '>' || c == '/').unwrap_or(0);
    let after_name = start + 1 + name;
    let mut parts = Vec::new();
    if element.attribute("id").is_none() {
        parts.push(Part::Fixed(format!(" id=\"{}\"", made_up(place))));
    }
    let transform = element.attributes().find(|attribute| attribute.name() == "transform");
    let scale = Part::Scale(place);
    match transform {
        None => {
            parts.push(scale);
            vec![Cut { at: after_name..after_name, parts }]
        }
        Some(transform) => {
            let end = transform.range_value().end;
            vec![Cut { at: after_name..after_name, parts }, Cut { at: end..end, parts: vec![scale] }]
        }
    }
}

fn cut(text: &str, mut cuts: Vec<Cut>) -> Vec<Part> {
    cuts.sort_by_key(|cut| cut.at.start);
    let mut parts = Vec::new();
    let mut at = 0;
    for cut in cuts {
        // A text element within another's content is gone with it.
        if cut.at.start >= at {
            parts.push(Part::Fixed(text[at..cut.at.start].to_owned()));
            parts.extend(cut.parts);
            at = cut.at.end;
        }
    }
    parts.push(Part::Fixed(text[at..].to_owned()));
    parts
}

fn escape(value: &str, out: &mut String) {
    for character in value.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            other => out.push(other),
        }
    }
}
