//! A drawing with the places that break a limit: numbered on it, listed beside it, each with a small picture.

use crate::metrics::fitted;
use crate::pen::{stroke, words};
use crate::scene::{Anchor, Face, Group, Item, Line, Path, Rect, Scene};
use crate::theme::Role;
use artwork::analysis::{Analysis, Fault, FaultKind, Measure};
use artwork::grid::Point;
use artwork::region::Region;
use language::say;

/// What is marked.
#[derive(Debug, Clone, Copy)]
pub struct Marks<'a> {
    /// What is open.
    pub open: &'a Region,
    /// Of the drawing.
    pub width_mm: f64,
    /// Of the drawing.
    pub height_mm: f64,
    /// What was found.
    pub analysis: &'a Analysis,
}

/// Size of the words.
const EM: f64 = 2.7;
/// Longer side of the drawing on the picture.
const LONGER_MM: f64 = 150.0;
/// Side of a small picture.
const SMALL_MM: f64 = 22.0;
/// Width of the column of faults.
const LIST_MM: f64 = 84.0;
/// Most faults that are shown; more only make it unreadable.
const MOST: usize = 12;

/// Draws the opened parts dark, a ring with a number at each of the worst faults, and beside them a list
/// with a small picture for each.
#[must_use]
pub fn marked_faults(marks: &Marks) -> Scene {
    let scale = LONGER_MM / marks.width_mm.max(marks.height_mm).max(1e-6);
    let (width, height) = (scale * marks.width_mm, scale * marks.height_mm);
    let shown = &marks.analysis.faults[..marks.analysis.faults.len().min(MOST)];
    let margin = 2.0 * EM;
    let offset = Point { x: margin, y: margin };
    let frame = Rect::new(margin, margin, width, height).stroked(stroke(EM, 0.6, Role::DimInk));
    let mut items: Vec<Item> = vec![Path::region(marks.open, offset, scale).filled(Role::Ink).into(), frame.into()];
    for (at, fault) in shown.iter().enumerate() {
        let centre = Point { x: margin + scale * fault.at.x, y: margin + scale * fault.at.y };
        items.extend(ring(centre, at + 1));
    }
    let left = width + 2.0 * margin;
    for (at, fault) in shown.iter().enumerate() {
        items.extend(row(marks, fault, at + 1, Point { x: left, y: margin + (SMALL_MM + EM) * at as f64 }));
    }
    let rows = margin + (SMALL_MM + EM) * shown.len() as f64;
    let more = marks.analysis.faults.len() - shown.len();
    if more > 0 {
        let at = Point { x: left, y: rows + 0.5 * EM };
        items.push(words(EM, at, Anchor::Start, Face::Regular, Role::DimInk, &say!("and {more} more")).into());
    }
    if shown.is_empty() {
        let at = Point { x: left, y: margin + EM };
        items.push(
            words(EM, at, Anchor::Start, Face::Regular, Role::Ink, say!("Nothing breaks the limits asked for.")).into(),
        );
    }
    Scene {
        width_mm: left + LIST_MM,
        height_mm: (height + 2.0 * margin).max(rows + 2.0 * EM),
        title: say!("Artwork with what breaks its limits").to_owned(),
        description: shown.iter().map(told).collect::<Vec<_>>().join("; ") + ".",
        items,
    }
}

/// A ring and a number that can be read on dark and light.
fn ring(centre: Point, number: usize) -> Vec<Item> {
    let radius = 0.9 * EM;
    let at = Point { x: centre.x, y: centre.y - 1.9 * EM };
    vec![
        Path::circle(centre, radius).stroked(stroke(EM, 3.2, Role::Ground)).into(),
        Path::circle(centre, radius).stroked(stroke(EM, 1.6, Role::Stop)).into(),
        Path::circle(at, 0.75 * EM).filled(Role::Ground).stroked(stroke(EM, 0.8, Role::Stop)).into(),
        words(0.9 * EM, at, Anchor::Middle, Face::SemiBold, Role::Ink, &number.to_string()).into(),
    ]
}

/// A fault's small picture with its words.
fn row(marks: &Marks, fault: &Fault, number: usize, corner: Point) -> Vec<Item> {
    let view = fault.view;
    let scale = SMALL_MM / view.width_mm().max(view.height_mm()).max(1e-9);
    let offset = Point { x: corner.x - scale * view.min.x, y: corner.y - scale * view.min.y };
    let window = Rect::new(corner.x, corner.y, SMALL_MM, SMALL_MM);
    let near = marks.open.intersect(&Region::rectangle(view));
    let picture = Group {
        clip: Some(window),
        items: vec![Path::region(&near, offset, scale).filled(Role::Ink).into()],
        ..Group::default()
    };
    let at = Point { x: offset.x + scale * fault.at.x, y: offset.y + scale * fault.at.y };
    let x = corner.x + SMALL_MM + EM;
    let line = |row: f64, face: Face, role: Role, text: &str| -> Item {
        let text = fitted(text, EM, face, LIST_MM - SMALL_MM - 2.0 * EM);
        words(EM, Point { x, y: corner.y + (0.6 + 1.5 * row) * EM }, Anchor::Start, face, role, &text).into()
    };
    let ((value, unit), (limit, _)) = (number_of(fault.value), number_of(fault.limit));
    vec![
        picture.into(),
        window.stroked(stroke(EM, 0.6, Role::DimInk)).into(),
        cross(at),
        cross_over(at),
        line(0.0, Face::SemiBold, Role::Ink, &format!("{number}  {}", name(fault.kind))),
        line(1.0, Face::Regular, Role::Ink, &say!("{value:.2} {unit}; at least {limit:.2} {unit}")),
        line(2.0, Face::Condensed, Role::DimInk, &say!("at {:.1}, {:.1} mm", fault.at.x, fault.at.y)),
    ]
}

fn cross(at: Point) -> Item {
    let line = Point { x: at.x - 0.6 * EM, y: at.y };
    Line { from: line, to: Point { x: at.x + 0.6 * EM, y: at.y }, stroke: stroke(EM, 1.2, Role::Stop) }.into()
}

fn cross_over(at: Point) -> Item {
    let line = Point { x: at.x, y: at.y - 0.6 * EM };
    Line { from: line, to: Point { x: at.x, y: at.y + 0.6 * EM }, stroke: stroke(EM, 1.2, Role::Stop) }.into()
}

fn told(fault: &Fault) -> String {
    let ((value, unit), (limit, _)) = (number_of(fault.value), number_of(fault.limit));
    say!("{} {value:.2} of {limit:.2} {unit}", name(fault.kind))
}

/// What a fault is called.
#[must_use]
pub fn name(kind: FaultKind) -> &'static str {
    match kind {
        FaultKind::ThinWall => say!("resist wall too thin"),
        FaultKind::ThinOpening => say!("opening too narrow"),
        FaultKind::SmallIsland => say!("island too small to hold"),
        FaultKind::WeakPeninsula => say!("peninsula on a weak neck"),
        FaultKind::NearEdge => say!("too near to the blank's edge"),
        FaultKind::AcuteCorner => say!("corner too sharp"),
        _ => say!("beyond a limit"),
    }
}

fn number_of(measure: Measure) -> (f64, &'static str) {
    match measure {
        Measure::Length(length) => (length.to_mm(), "mm"),
        Measure::Area(area) => (area.to_square_mm(), "mm²"),
        Measure::Degrees(degrees) => (degrees, "°"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::looks::{assert_readable, show};
    use crate::theme::Theme;
    use artwork::analysis::{AnalysisLimits, analyse};
    use artwork::bounds::Bounds;
    use artwork::svg::{ReadOptions, read_svg};
    use quantity::{Area, Length};

    #[test]
    fn the_crests_worst_places_are_numbered_and_told() {
        let svg = include_bytes!("../../../examples/crest/crest.svg");
        let drawing = read_svg(svg, &ReadOptions::default()).unwrap();
        let open = Region::union_of(drawing.shapes.iter().map(|shape| &shape.region));
        let mm = |value| Length::mm(value).unwrap();
        let limits = AnalysisLimits {
            opening: mm(0.4),
            wall: mm(0.5),
            holding: Area::square_mm(4.0).unwrap(),
            neck: mm(0.5),
            corner_degrees: 20.0,
            margin: mm(1.0),
        };
        let far = Point { x: drawing.width_mm, y: drawing.height_mm };
        let analysis = analyse(&open, Bounds { min: Point::default(), max: far }, &limits);
        assert!(!analysis.faults.is_empty());
        let marks =
            Marks { open: &open, width_mm: drawing.width_mm, height_mm: drawing.height_mm, analysis: &analysis };
        let scene = marked_faults(&marks);
        for language in language::Language::ALL {
            assert_readable(&language.scope(|| marked_faults(&marks)));
        }
        show(&scene, Theme::Light, "faults");
        assert!(scene.description.contains(name(analysis.faults[0].kind)), "{}", scene.description);
    }
}
