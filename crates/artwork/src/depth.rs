//! The user's table of depths applied to a drawing.

use crate::bounds::Bounds;
use crate::region::Region;
use crate::svg::{Drawing, Rgb, Shape};
use language::say;
use quantity::Length;
use std::collections::BTreeSet;
use std::fmt;

/// Which shapes a rule is about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Selector {
    /// A shape with this id, and all shapes in a group with this id.
    Layer(String),
    /// All shapes painted in this colour.
    Colour(Rgb),
}

/// One row of the table: these shapes, this deep.
#[derive(Debug, Clone, PartialEq)]
pub struct DepthRule {
    /// Which shapes.
    pub select: Selector,
    /// How deep. Zero keeps them covered, and covers what lies below them.
    pub depth: Length,
}

/// What one row of the table comes to: what is seen of its shapes.
#[derive(Debug, Clone, PartialEq)]
pub struct DepthLayer {
    /// The row's selector, as written.
    pub name: String,
    /// How deep.
    pub depth: Length,
    /// Where; layers do not overlap.
    pub region: Region,
}

/// A drawing with depths.
#[derive(Debug, Clone, PartialEq)]
pub struct Resolved {
    /// In the order of the rules; rows of depth zero make none.
    pub layers: Vec<DepthLayer>,
    /// Width of the page that it was drawn on.
    pub width_mm: f64,
    /// Height of that page.
    pub height_mm: f64,
    /// What the user may not have meant.
    pub notes: Vec<DepthNote>,
}

/// Something that the table of depths does, perhaps unmeant.
#[derive(Debug, Clone, PartialEq, Eq)]
#[non_exhaustive]
pub enum DepthNote {
    /// No rule is about this shape: the resist stays on it.
    StaysCovered {
        /// Its id, or that of its innermost group.
        shape: String,
        /// Its colour.
        paint: Rgb,
        /// How many shapes of this name and colour.
        count: usize,
    },
    /// A rule's shapes are wholly covered by later ones.
    Hidden {
        /// The rule's selector.
        rule: String,
    },
}

/// Why a table of depths cannot be applied.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum DepthError {
    /// A rule is about nothing in the drawing.
    #[error(
        "{}",
        say!(
            "depth rule {rule}: nothing in the drawing is {given}; the nearest there is {nearest}",
            rule = index + 1
        )
    )]
    NoMatch {
        /// Which rule, from 0.
        index: usize,
        /// Its selector.
        given: String,
        /// The nearest id or colour in the drawing, or `none` when it has none of that kind.
        nearest: String,
    },
}

impl fmt::Display for Selector {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Layer(id) => f.write_str(id),
            Self::Colour(colour) => colour.fmt(f),
        }
    }
}

impl fmt::Display for DepthNote {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::StaysCovered { shape, paint, count: 1 } => {
                f.write_str(&say!("no depth for {} {paint}: it stays covered", quoted(shape)))
            }
            Self::StaysCovered { shape, paint, count } => {
                f.write_str(&say!("no depth for {} {paint}: {count} shapes stay covered", quoted(shape)))
            }
            Self::Hidden { rule } => f.write_str(&say!("{rule}: all of it is covered by later shapes")),
        }
    }
}

impl Selector {
    /// Whether it is about a shape.
    #[must_use]
    pub fn selects(&self, shape: &Shape) -> bool {
        match self {
            Self::Layer(id) => shape.id == *id || shape.groups.contains(id),
            Self::Colour(colour) => shape.paint == *colour,
        }
    }
}

impl Resolved {
    /// The rectangle around all layers; `None` when all are empty.
    #[must_use]
    pub fn bounds(&self) -> Option<Bounds> {
        self.layers.iter().filter_map(|layer| layer.region.bounds()).reduce(Bounds::with)
    }

    /// All that is opened, whatever its depth.
    #[must_use]
    pub fn opened(&self) -> Region {
        Region::union_of(self.layers.iter().map(|layer| &layer.region))
    }
}

/// Applies a table of depths to a drawing.
///
/// The drawing is read as a painter's: a shape covers what it overlaps among the shapes before it,
/// so each place has the depth of the topmost shape there, and none where that shape has no rule.
/// When several rules are about one shape, the last of them in the list counts: write the general
/// rule first (`#000000` 0.5 mm) and the exception after it (`leaf-veins` 1.2 mm).
///
/// # Errors
/// [`DepthError::NoMatch`] when a rule is about nothing in the drawing. (A rule whose every shape a
/// later rule takes is no error, it gives [`DepthNote::Hidden`].)
pub fn resolve(drawing: &Drawing, rules: &[DepthRule]) -> Result<Resolved, DepthError> {
    for (index, rule) in rules.iter().enumerate() {
        if !drawing.shapes.iter().any(|shape| rule.select.selects(shape)) {
            let nearest = nearest(drawing, &rule.select);
            return Err(DepthError::NoMatch { index, given: rule.select.to_string(), nearest });
        }
    }
    let runs = runs(drawing, rules);
    let mut notes = covered(drawing, rules);
    let mut layers = Vec::new();
    for (index, rule) in rules.iter().enumerate().filter(|(_, rule)| rule.depth.to_mm() > 0.0) {
        let region = seen(&runs, index);
        if region.is_empty() {
            notes.push(DepthNote::Hidden { rule: rule.select.to_string() });
        }
        layers.push(DepthLayer { name: rule.select.to_string(), depth: rule.depth, region });
    }
    Ok(Resolved { layers, width_mm: drawing.width_mm, height_mm: drawing.height_mm, notes })
}

/// Neighbours in paint order under the same rule, as one region.
struct Run {
    /// The rule, if any.
    rule: Option<usize>,
    region: Region,
    bounds: Option<Bounds>,
}

fn runs(drawing: &Drawing, rules: &[DepthRule]) -> Vec<Run> {
    let rule_of = |shape: &Shape| rules.iter().rposition(|rule| rule.select.selects(shape));
    let ruled: Vec<(Option<usize>, &Shape)> = drawing.shapes.iter().map(|shape| (rule_of(shape), shape)).collect();
    ruled
        .chunk_by(|(a, _), (b, _)| a == b)
        .map(|chunk| {
            let region = Region::union_of(chunk.iter().map(|(_, shape)| &shape.region));
            Run { rule: chunk[0].0, bounds: region.bounds(), region }
        })
        .collect()
}

/// What is seen of a rule's shapes.
fn seen(runs: &[Run], rule: usize) -> Region {
    let left = runs.iter().enumerate().filter(|(_, run)| run.rule == Some(rule)).map(|(i, run)| {
        let over = runs[i + 1..].iter().filter(|later| later.rule != Some(rule) && meet(later, run));
        let over: Vec<&Region> = over.map(|later| &later.region).collect();
        if over.is_empty() { run.region.clone() } else { run.region.subtract(&Region::union_of(over)) }
    });
    // A later run of the same rule is added whole or cut by its own later ones, so nothing is lost twice.
    let left: Vec<Region> = left.collect();
    if let [one] = &left[..] { one.clone() } else { Region::union_of(&left) }
}

fn meet(a: &Run, b: &Run) -> bool {
    a.bounds.zip(b.bounds).is_some_and(|(a, b)| a.touches(&b))
}

fn covered(drawing: &Drawing, rules: &[DepthRule]) -> Vec<DepthNote> {
    let mut notes: Vec<DepthNote> = Vec::new();
    for shape in drawing.shapes.iter().filter(|shape| !rules.iter().any(|rule| rule.select.selects(shape))) {
        let name = if shape.id.is_empty() { shape.groups.last() } else { Some(&shape.id) };
        let name = name.cloned().unwrap_or_default();
        let same = notes.iter_mut().find_map(|note| match note {
            DepthNote::StaysCovered { shape: known, paint, count } if *known == name && *paint == shape.paint => {
                Some(count)
            }
            _ => None,
        });
        match same {
            Some(count) => *count += 1,
            None => notes.push(DepthNote::StaysCovered { shape: name, paint: shape.paint, count: 1 }),
        }
    }
    notes
}

/// The id spelled most alike, or the colour that differs least.
fn nearest(drawing: &Drawing, select: &Selector) -> String {
    let none = || say!(in "nearest name", "none").to_owned();
    match select {
        Selector::Layer(given) => {
            let shapes = drawing.shapes.iter();
            let ids: BTreeSet<&String> = shapes.flat_map(|s| s.groups.iter().chain([&s.id])).collect();
            let named = ids.into_iter().filter(|id| !id.is_empty());
            named.min_by_key(|id| edits(given, id)).cloned().unwrap_or_else(none)
        }
        Selector::Colour(given) => {
            let colours: BTreeSet<Rgb> = drawing.shapes.iter().map(|shape| shape.paint).collect();
            let apart = |a: &Rgb| {
                [(a.r, given.r), (a.g, given.g), (a.b, given.b)]
                    .map(|(x, y)| u32::from(x.abs_diff(y)).pow(2))
                    .iter()
                    .sum::<u32>()
            };
            colours.into_iter().min_by_key(apart).map_or_else(none, |colour| colour.to_string())
        }
    }
}

/// Letters to change, add or drop to make one word of the other (Levenshtein), case aside.
fn edits(a: &str, b: &str) -> usize {
    let b: Vec<char> = b.to_lowercase().chars().collect();
    let mut row: Vec<usize> = (0..=b.len()).collect();
    for (i, x) in a.to_lowercase().chars().enumerate() {
        let mut corner = row[0];
        row[0] = i + 1;
        for (j, &y) in b.iter().enumerate() {
            let change = corner + usize::from(x != y);
            corner = row[j + 1];
            row[j + 1] = change.min(corner + 1).min(row[j] + 1);
        }
    }
    row[b.len()]
}

fn quoted(shape: &str) -> String {
    if shape.is_empty() { say!("an unnamed shape").to_owned() } else { format!("\"{shape}\"") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::svg::{ReadOptions, read_svg};

    /// A red 40 x 40 leaf in a group, a black 10 x 10 vein over it, a white 20 x 5 bar over both.
    const DRAWING: &str = "<svg xmlns='http://www.w3.org/2000/svg' width='60mm' height='60mm' viewBox='0 0 60 60'>
        <g id='plant'><rect id='leaf' width='40' height='40' fill='#c00'/></g>
        <rect id='vein' x='35' y='35' width='10' height='10' fill='#000'/>
        <rect id='bar' y='10' width='20' height='5' fill='#fff'/></svg>";

    fn resolved(rules: &[(Selector, f64)]) -> Result<Resolved, DepthError> {
        let drawing = read_svg(DRAWING.as_bytes(), &ReadOptions::default()).unwrap();
        let rule =
            |(select, mm): &(Selector, f64)| DepthRule { select: select.clone(), depth: Length::mm(*mm).unwrap() };
        resolve(&drawing, &rules.iter().map(rule).collect::<Vec<_>>())
    }

    fn layer(id: &str) -> Selector {
        Selector::Layer(id.to_owned())
    }

    fn colour(text: &str) -> Selector {
        Selector::Colour(text.parse().unwrap())
    }

    fn areas(resolved: &Resolved) -> Vec<(String, f64)> {
        resolved.layers.iter().map(|l| (l.name.clone(), l.region.area().to_square_mm().round())).collect()
    }

    #[test]
    fn a_later_shape_takes_what_it_overlaps_and_a_ruleless_one_covers_it() {
        let found = resolved(&[(layer("plant"), 1.0), (colour("#000"), 2.0)]).unwrap();
        // 1600 less the 5 x 5 corner under the vein and the 20 x 5 bar.
        assert_eq!(areas(&found), [("plant".into(), 1475.0), ("#000000".into(), 100.0)]);
        let words: Vec<String> = found.notes.iter().map(ToString::to_string).collect();
        assert_eq!(words, ["no depth for \"bar\" #ffffff: it stays covered"]);
    }

    #[test]
    fn depth_zero_covers_without_a_note_and_makes_no_layer() {
        let found = resolved(&[(layer("plant"), 1.0), (layer("vein"), 2.0), (layer("bar"), 0.0)]).unwrap();
        assert_eq!((found.layers.len(), found.notes.len()), (2, 0));
        assert_eq!(areas(&found)[0].1, 1475.0);
    }

    #[test]
    fn of_two_rules_for_a_shape_the_last_counts() {
        let found = resolved(&[(layer("plant"), 1.0), (layer("leaf"), 3.0)]).unwrap();
        assert_eq!(areas(&found), [("plant".into(), 0.0), ("leaf".into(), 1475.0)]);
        assert!(found.notes.contains(&DepthNote::Hidden { rule: "plant".into() }));
        let found = resolved(&[(layer("leaf"), 3.0), (layer("plant"), 1.0)]).unwrap();
        assert_eq!(areas(&found)[1], ("plant".into(), 1475.0));
    }

    #[test]
    fn a_rule_for_nothing_names_what_is_nearest() {
        let error = resolved(&[(layer("plant"), 1.0), (layer("Lief"), 1.0)]).unwrap_err().to_string();
        assert_eq!(error, "depth rule 2: nothing in the drawing is Lief; the nearest there is leaf");
        let error = resolved(&[(colour("#d01000"), 1.0)]).unwrap_err().to_string();
        assert!(error.ends_with("the nearest there is #cc0000"), "{error}");
    }

    #[test]
    fn layers_never_overlap_and_open_what_is_seen() {
        let found = resolved(&[(layer("leaf"), 1.0), (layer("vein"), 2.0), (layer("bar"), 0.5)]).unwrap();
        let sum: f64 = found.layers.iter().map(|l| l.region.area().to_square_mm()).sum();
        // The union of the three rectangles: 1600 + 100 - 25.
        assert!((sum - 1675.0).abs() < 0.01 && (found.opened().area().to_square_mm() - sum).abs() < 0.01, "{sum}");
    }
}
