//! The artwork as drawn, with its depths, and the places of findings; thumbnails of stages.

use crate::metrics::{fitted, width_mm};
use crate::scene::{Anchor, Face, Group, Item, Line, Paint, Path, Rect, Scene, Stroke, Text};
use crate::theme::Role;
use artwork::grid::Point;
use language::say;
use piece::Body;
use plan::{Finding, LayerPlan, Plan, State};
use quantity::show::Show as _;
use quantity::{Length, Quantity as _, UnitSystem, known};

/// How the marked artwork is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MarkedOptions {
    /// Width of the whole drawing, 30 mm or more.
    pub width_mm: f64,
    /// Greatest height of the blank in the drawing; the width is filled only as far as this allows.
    pub height_mm: f64,
    /// Size of the words, 2 mm to 6 mm.
    pub text_mm: f64,
    /// Ground around the blank, as a share of its longer side, 0 to 0.5: that of the preview, when
    /// the two lie over each other.
    pub margin: f64,
    /// Whether the depth key and the scale bar stand below.
    pub key: bool,
    /// Most places ringed for each finding, worst first.
    pub places: usize,
}

impl Default for MarkedOptions {
    fn default() -> Self {
        Self { width_mm: 120.0, height_mm: 160.0, text_mm: 2.7, margin: 0.0, key: true, places: 5 }
    }
}

/// What is drawn of a plan.
#[derive(Debug, Clone, Copy)]
pub struct Drawn<'a> {
    /// What the piece is called.
    pub name: &'a str,
    /// The blank's form and size. A tumbler's sheet is drawn flat.
    pub body: Body,
    /// Layers that do not overlap.
    pub layers: &'a [LayerPlan],
    /// Findings, whose numbers in the drawing are their places here, from 1.
    pub findings: &'a [Finding],
    /// Units that the reader reads.
    pub units: UnitSystem,
}

impl<'a> From<&'a Plan> for Drawn<'a> {
    fn from(plan: &'a Plan) -> Self {
        Self {
            name: &plan.piece.name,
            body: plan.relief.body,
            layers: &plan.layers,
            findings: &plan.findings,
            units: plan.units,
        }
    }
}

/// The blank with its layers by depth, and the findings' places ringed and numbered.
#[must_use]
pub fn marked<'a>(drawn: impl Into<Drawn<'a>>, options: &MarkedOptions) -> Scene {
    let drawn = drawn.into();
    let sheet = Sheet::of(drawn.body, options);
    let mut items = vec![sheet.blank()];
    items.extend(drawn.layers.iter().map(|layer| {
        let role = Role::Depth(share(layer, drawn.layers));
        sheet.layer(layer, role, drawn.units)
    }));
    let mut tags = Vec::new();
    for (i, finding) in drawn.findings.iter().enumerate() {
        items.extend(sheet.finding(i + 1, finding, options.places, &mut tags));
    }
    let mut height_mm = sheet.bottom_mm();
    if options.key {
        let (key, bottom) = sheet.key(&drawn, height_mm);
        items.extend(key);
        height_mm = bottom;
    }
    let title = say!("{}, as drawn", drawn.name);
    Scene { width_mm: sheet.width_mm, height_mm, title, description: description(&drawn), items }
}

/// What part of the blank's plane, ground and all, the drawing without a key shows: its top left corner from the
/// blank's, and its size, in millimetres of the blank.
#[must_use]
pub fn shown(body: Body, options: &MarkedOptions) -> (Point, Point) {
    let sheet = Sheet::of(body, options);
    let corner = Point { x: -sheet.offset.x / sheet.scale, y: -sheet.offset.y / sheet.scale };
    (corner, Point { x: sheet.width_mm / sheet.scale, y: sheet.bottom_mm() / sheet.scale })
}

/// A stage's picture: what it opens is lit, what was open `before` is dim, the rest is an outline.
/// Both are indices into the layers. `width_mm` by `height_mm` at most; no words in it.
#[must_use]
pub fn thumbnail(drawn: &Drawn<'_>, before: &[usize], now: &[usize], width_mm: f64, height_mm: f64) -> Scene {
    let options = MarkedOptions { width_mm, height_mm, key: false, ..MarkedOptions::default() };
    let sheet = Sheet::of(drawn.body, &options);
    let shape = |(i, layer): (usize, &LayerPlan)| {
        let path = Path::region(&layer.region, sheet.offset, sheet.scale);
        Item::from(if now.contains(&i) {
            path.filled(Role::Depth(1.0))
        } else if before.contains(&i) {
            path.filled(Role::Depth(0.2))
        } else {
            path.stroked(Stroke::new(0.15, Paint::solid(Role::Depth(0.2))))
        })
    };
    let items = std::iter::once(sheet.blank()).chain(drawn.layers.iter().enumerate().map(shape)).collect();
    let names: Vec<&str> = now.iter().filter_map(|&i| Some(drawn.layers.get(i)?.name.as_str())).collect();
    let title = say!("Open now: {}", names.join(", "));
    Scene { width_mm: sheet.width_mm, height_mm: sheet.bottom_mm(), title, description: String::new(), items }
}

/// The [`thumbnail`] of a plan's stage, by its index in `plan.stages`.
#[must_use]
pub fn stage_thumbnail(plan: &Plan, stage: usize, width_mm: f64, height_mm: f64) -> Scene {
    let before: Vec<usize> = plan.stages.iter().take(stage).flat_map(|stage| stage.opens.iter().copied()).collect();
    let now = plan.stages.get(stage).map_or(&[][..], |stage| &stage.opens);
    thumbnail(&plan.into(), &before, now, width_mm, height_mm)
}

/// The mark of a state: holds a filled circle, watch a half circle, stop a square; `size_mm` high.
#[must_use]
pub fn state_mark(state: State, centre: Point, size_mm: f64) -> Vec<Item> {
    let half = 0.5 * size_mm;
    match state {
        State::Holds => vec![Path::circle(centre, half).filled(Role::Hold).into()],
        State::Watch => {
            let line = Stroke::new(0.14 * size_mm, Role::Watch);
            let ring = Path::circle(centre, half - 0.5 * line.width_mm).stroked(line);
            vec![Path::half_circle(centre, half).filled(Role::Watch).into(), ring.into()]
        }
        State::Stop => {
            vec![Rect::new(centre.x - half, centre.y - half, size_mm, size_mm).filled(Role::Stop).into()]
        }
    }
}

/// Depth of a layer over that of the deepest.
fn share(layer: &LayerPlan, layers: &[LayerPlan]) -> f32 {
    let deepest = layers.iter().map(|layer| layer.target.to_base()).fold(1e-9, f64::max);
    (layer.target.to_base() / deepest) as f32
}

fn description(drawn: &Drawn<'_>) -> String {
    let layer = |layer: &LayerPlan| format!("{} {}", layer.name, layer.target.show(drawn.units));
    let layers = drawn.layers.iter().map(layer).collect::<Vec<_>>().join(", ");
    let placed = drawn.findings.iter().filter(|finding| !finding.places.is_empty()).count();
    say!("Layers: {layers}. Findings with a place: {placed}.")
}

/// Where the blank lies in the drawing.
struct Sheet {
    width_mm: f64,
    /// The blank's own size.
    blank_mm: (f64, f64),
    /// Of the blank's top left corner.
    offset: Point,
    /// Drawn millimetres for one of the blank.
    scale: f64,
    margin_mm: f64,
    em: f64,
}

impl Sheet {
    fn of(body: Body, options: &MarkedOptions) -> Self {
        let blank_mm = (body.sheet_width_mm(), body.sheet_height_mm());
        let around = options.margin.clamp(0.0, 0.5) * f64::max(blank_mm.0, blank_mm.1);
        let whole = (blank_mm.0 + 2.0 * around, blank_mm.1 + 2.0 * around);
        let width_mm = options.width_mm.clamp(5.0, 5000.0);
        let scale = f64::min(width_mm / whole.0, options.height_mm.clamp(5.0, 5000.0) / whole.1);
        let offset = Point { x: 0.5 * (width_mm - scale * blank_mm.0), y: scale * around };
        Self { width_mm, blank_mm, offset, scale, margin_mm: scale * around, em: options.text_mm.clamp(2.0, 6.0) }
    }

    fn bottom_mm(&self) -> f64 {
        self.offset.y + self.scale * self.blank_mm.1 + self.margin_mm
    }

    fn blank(&self) -> Item {
        let (width, height) = (self.scale * self.blank_mm.0, self.scale * self.blank_mm.1);
        let line = Stroke::new(0.2, Paint::faint(Role::Glass, 0.7));
        Rect::new(self.offset.x, self.offset.y, width, height).filled(Role::Behind).stroked(line).into()
    }

    fn layer(&self, layer: &LayerPlan, role: Role, units: UnitSystem) -> Item {
        let label = Some(say!("{}, {} deep", layer.name, layer.target.show(units)));
        let path = Path::region(&layer.region, self.offset, self.scale).filled(role);
        Group { label, items: vec![path.into()], ..Group::default() }.into()
    }

    /// Rings around a finding's places, each with the state's mark and the finding's number.
    fn finding(&self, number: usize, finding: &Finding, most: usize, tags: &mut Vec<Rect>) -> Option<Item> {
        let places = finding.places.iter().take(most).map(|&place| self.place(place));
        let items: Vec<Item> = places.flat_map(|at| self.ring(at, number, finding.state, tags)).collect();
        let (id, label) = (Some(format!("finding-{number}")), Some(say!("finding {number}")));
        (!items.is_empty()).then(|| Group { id, label, clip: None, items }.into())
    }

    fn place(&self, place: Point) -> Point {
        Point { x: self.offset.x + self.scale * place.x, y: self.offset.y + self.scale * place.y }
    }

    fn ring(&self, at: Point, number: usize, state: State, tags: &mut Vec<Rect>) -> Vec<Item> {
        let radius = 1.1 * self.em;
        let role = match state {
            State::Holds => Role::Hold,
            State::Watch => Role::Watch,
            State::Stop => Role::Stop,
        };
        // Glass white in a dark casing shows on every depth and in every theme; the tag tells the state.
        let dark = Path::circle(at, radius).stroked(Stroke::new(0.42 * self.em, Role::Behind));
        let ring = Path::circle(at, radius).stroked(Stroke::new(0.16 * self.em, Role::Depth(1.0)));
        let text = number.to_string();
        let tag = self.tag(at, radius, 1.5 * self.em + width_mm(&text, self.em, Face::SemiBold), tags);
        tags.push(tag);
        let middle = tag.y_mm + 0.5 * tag.height_mm;
        let plate = tag.rounded(0.3 * self.em).filled(Role::Ground).stroked(Stroke::new(0.1 * self.em, role));
        let mut items = vec![dark.into(), ring.into(), plate.into()];
        items.extend(state_mark(state, Point { x: tag.x_mm + 0.7 * self.em, y: middle }, 0.7 * self.em));
        items.push(self.words(tag.x_mm + 1.2 * self.em, middle, Face::SemiBold, Role::Ink, &text).into());
        items
    }

    /// A place for a ring's tag at one of its four shoulders: the first that stays in the drawing and
    /// clear of the tags before, or the upper right one drawn in.
    fn tag(&self, at: Point, radius: f64, width: f64, tags: &[Rect]) -> Rect {
        let height = 1.3 * self.em;
        let right = at.x + 0.75 * radius;
        let left = at.x - 0.75 * radius - width;
        let (upper, lower) = (at.y - 0.7 * radius - height, at.y + 0.7 * radius);
        let corners = [(right, upper), (left, upper), (right, lower), (left, lower)];
        let rects = corners.map(|(x, y)| Rect::new(x, y, width, height));
        let inside = |rect: &Rect| {
            rect.x_mm >= 0.0
                && rect.y_mm >= 0.0
                && rect.x_mm + width <= self.width_mm
                && rect.y_mm + height <= self.bottom_mm()
        };
        let clear = |rect: &Rect| {
            let meets = |other: &Rect| {
                rect.x_mm < other.x_mm + other.width_mm
                    && other.x_mm < rect.x_mm + width
                    && (rect.y_mm - other.y_mm).abs() < height
            };
            !tags.iter().any(meets)
        };
        let chosen = rects.iter().find(|rect| inside(rect) && clear(rect)).unwrap_or(&rects[0]);
        let x_mm = chosen.x_mm.clamp(0.0, (self.width_mm - width).max(0.0));
        Rect { x_mm, y_mm: chosen.y_mm.clamp(0.0, (self.bottom_mm() - height).max(0.0)), ..*chosen }
    }

    fn words(&self, x: f64, middle: f64, face: Face, role: Role, text: &str) -> Text {
        let at = Point { x, y: middle + 0.5 * crate::metrics::CAP_HEIGHT * self.em };
        Text { at, text: text.to_owned(), size_mm: self.em, anchor: Anchor::Start, face, paint: role.into() }
    }

    /// Swatches with depth and name, wrapped, then a scale bar. Returns also where it ends.
    fn key(&self, drawn: &Drawn<'_>, top: f64) -> (Vec<Item>, f64) {
        let em = self.em;
        let mut items = Vec::new();
        let (mut x, mut y) = (0.0, top + 1.4 * em);
        for layer in drawn.layers {
            let depth = layer.target.show_digits(drawn.units, 2).to_string();
            let depth_width = width_mm(&depth, em, Face::Regular);
            let room = self.width_mm - 3.4 * em - depth_width;
            let name = fitted(&layer.name, em, Face::Condensed, room);
            let width = 3.0 * em + depth_width + width_mm(&name, em, Face::Condensed);
            if x > 0.0 && x + width > self.width_mm {
                (x, y) = (0.0, y + 1.7 * em);
            }
            let chip = Rect::new(x, y - 0.6 * em, 2.0 * em, 1.2 * em).filled(Role::Depth(share(layer, drawn.layers)));
            items.push(chip.stroked(Stroke::new(0.15, Role::Behind)).into());
            items.push(self.words(x + 2.4 * em, y, Face::Regular, Role::Ink, &depth).into());
            items.push(self.words(x + 2.8 * em + depth_width, y, Face::Condensed, Role::DimInk, &name).into());
            x += width + 1.4 * em;
        }
        let bar = self.scale_bar(drawn.units, y + 1.9 * em);
        items.extend(bar);
        (items, y + 2.9 * em)
    }

    /// A bar of a round length, about a quarter of the width.
    fn scale_bar(&self, units: UnitSystem, y: f64) -> Vec<Item> {
        let (length, length_mm) = round_length(0.3 * self.width_mm / self.scale, units);
        let width = self.scale * length_mm;
        let stroke = Stroke::new(0.25, Role::DimInk);
        let at = |x: f64, dy: f64| Point { x, y: y + dy };
        let (end, tick) = (width, 0.35 * self.em);
        let mut items: Vec<Item> = vec![Line { from: at(0.0, 0.0), to: at(end, 0.0), stroke }.into()];
        items.extend([0.0, end].map(|x| Item::from(Line { from: at(x, -tick), to: at(x, tick), stroke })));
        items.push(self.words(end + 0.6 * self.em, y, Face::Condensed, Role::DimInk, &length).into());
        items
    }
}

/// The largest round length within `most_mm`: as text, and in millimetres.
fn round_length(most_mm: f64, units: UnitSystem) -> (String, f64) {
    const INCH: Length = known(Length::inches(1.0));
    const MILLIMETRES: [f64; 11] = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0];
    const INCHES: [f64; 9] = [0.125, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0];
    let largest = |lengths: &[f64], unit_mm: f64| {
        let fitting = lengths.iter().rev().find(|length| **length * unit_mm <= most_mm);
        fitting.or(lengths.first()).copied().unwrap_or(1.0)
    };
    match units {
        UnitSystem::Metric => {
            let mm = largest(&MILLIMETRES, 1.0);
            (format!("{mm:.0}\u{202f}mm"), mm)
        }
        UnitSystem::Us => {
            let inches = largest(&INCHES, INCH.to_mm());
            (language::number(format!("{inches}\u{202f}in")), inches * INCH.to_mm())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_bar_is_round_and_fits() {
        let bar = |most, units| round_length(most, units).0.replace('\u{202f}', " ");
        assert_eq!(bar(75.0, UnitSystem::Metric), "50 mm");
        assert_eq!(bar(75.0, UnitSystem::Us), "2 in");
        assert_eq!(bar(0.2, UnitSystem::Metric), "1 mm");
        assert!((round_length(30.0, UnitSystem::Us).1 - 25.4).abs() < 1e-9);
    }

    #[test]
    fn every_state_has_a_shape_of_its_own() {
        let marks = [State::Holds, State::Watch, State::Stop].map(|state| state_mark(state, Point::default(), 2.0));
        assert!(matches!(marks[0][..], [Item::Path(_)]));
        assert!(matches!(marks[1][..], [Item::Path(_), Item::Path(_)]));
        assert!(matches!(marks[2][..], [Item::Rect(_)]));
    }
}
