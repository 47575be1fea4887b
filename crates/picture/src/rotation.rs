//! Who is where when, as a chart: a row for each student, time to the right.
//!
//! A block's words say what is done and where; a wait before it is a thin dashed line. Kinds of station differ in
//! tint and in their words, never in tint alone.

use crate::metrics::{fitted, width_mm};
use crate::scene::{Anchor, Face, Group, Item, Line, Paint, Rect, Scene, Stroke};
use crate::theme::Role;
use artwork::grid::Point;
use class::{Block, Class, Rotation, StationKind};
use language::say;
use quantity::{Quantity as _, Time};

/// How the chart is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RotationOptions {
    /// Of the whole chart, 80 mm or more.
    pub width_mm: f64,
    /// Size of the words.
    pub text_mm: f64,
    /// Height of a student's row.
    pub row_mm: f64,
}

impl Default for RotationOptions {
    fn default() -> Self {
        Self { width_mm: 176.0, text_mm: 2.5, row_mm: 7.2 }
    }
}

/// Minutes between lines of the clock that are tried, the finest first.
const STEPS_MIN: [f64; 6] = [5.0, 10.0, 15.0, 30.0, 60.0, 120.0];

/// Draws the rotation.
#[must_use]
pub fn rotation(class: &Class, rotation: &Rotation, options: &RotationOptions) -> Scene {
    let chart = Chart::new(class, rotation, options);
    let mut items = chart.clock();
    for (index, row) in rotation.rows.iter().enumerate() {
        items.push(chart.row(index, row));
    }
    Scene {
        width_mm: options.width_mm,
        height_mm: chart.bottom(rotation.rows.len()),
        title: say!("Rotation of {}", class.name),
        description: say!(
            "{} students in rows, from {} to {}; each block a step at a station, dashed lines between them are waits.",
            rotation.rows.len(),
            class.clock(Time::clamped(chart.from_s)),
            class.clock(rotation.ends)
        ),
        items,
    }
}

struct Chart<'a> {
    class: &'a Class,
    em: f64,
    row_mm: f64,
    left: f64,
    top: f64,
    from_s: f64,
    to_s: f64,
    mm_per_s: f64,
}

impl<'a> Chart<'a> {
    fn new(class: &'a Class, rotation: &Rotation, options: &RotationOptions) -> Self {
        let em = options.text_mm;
        let widest = say!("student {}", rotation.rows.len());
        let left = width_mm(&widest, em, Face::Condensed) + 0.8 * em;
        let from_s = class.talk.to_seconds();
        let to_s = rotation.ends.to_seconds().max(from_s + 60.0);
        let mm_per_s = (options.width_mm - left - 0.2) / (to_s - from_s);
        Self { class, em, row_mm: options.row_mm, left, top: 2.0 * em, from_s, to_s, mm_per_s }
    }

    fn x(&self, seconds: f64) -> f64 {
        self.left + (seconds - self.from_s) * self.mm_per_s
    }

    fn bottom(&self, rows: usize) -> f64 {
        self.top + self.row_mm * rows as f64 + 0.4
    }

    /// Lines of the clock with their times above.
    fn clock(&self) -> Vec<Item> {
        let label = 1.6 * width_mm("00:00", self.em, Face::Condensed);
        let fits = |step: &&f64| *step * 60.0 * self.mm_per_s >= label;
        let step_s = 60.0 * STEPS_MIN.iter().find(fits).copied().unwrap_or(240.0);
        // Lines stand on the clock's own round minutes.
        let start_s = f64::from(self.class.starts_min) * 60.0;
        let mut at = ((start_s + self.from_s) / step_s).ceil() * step_s - start_s;
        let rows = self.class.students as usize;
        let mut items = Vec::new();
        while at <= self.to_s + 1.0 {
            let x = self.x(at);
            let (from, to) = (Point { x, y: self.top - 0.4 }, Point { x, y: self.bottom(rows) });
            items.push(Line { from, to, stroke: Stroke::new(0.2, Role::Grid) }.into());
            let end = x + 0.5 * label > self.left + (self.to_s - self.from_s) * self.mm_per_s;
            let anchor = if end { Anchor::End } else { Anchor::Middle };
            let told = self.class.clock(Time::clamped(at));
            let place = Point { x, y: self.top - 1.0 * self.em };
            items.push(crate::pen::words(self.em, place, anchor, Face::Condensed, Role::DimInk, &told).into());
            at += step_s;
        }
        items
    }

    fn row(&self, index: usize, row: &class::Row) -> Item {
        let top = self.top + self.row_mm * index as f64;
        let middle = top + 0.5 * self.row_mm;
        let name = say!("student {}", row.student);
        let at = Point { x: 0.0, y: middle };
        let mut items: Vec<Item> =
            vec![crate::pen::words(self.em, at, Anchor::Start, Face::Condensed, Role::Ink, &name).into()];
        for block in &row.blocks {
            items.extend(self.wait(block, middle));
            items.extend(self.block(block, top));
        }
        let told = row.blocks.iter().map(|block| self.told(block)).collect::<Vec<_>>().join("; ");
        Item::Group(Group { id: None, label: Some(format!("{name}: {told}")), clip: None, items })
    }

    fn told(&self, block: &Block) -> String {
        let step = self.class.steps.get(block.step).map_or("", |step| step.name.as_str());
        format!("{} {step}, {}", self.class.clock(block.from), self.class.place_name(block.station, block.place))
    }

    fn wait(&self, block: &Block, y: f64) -> Option<Item> {
        let (from, to) = (block.queued.to_seconds(), block.from.to_seconds());
        let at = |seconds: f64| Point { x: self.x(seconds), y };
        let stroke = Stroke::new(0.25, Role::DimInk).dashed(0.7, 0.7);
        (to - from > 30.0).then(|| Line { from: at(from), to: at(to), stroke }.into())
    }

    /// The block with its words, as many of them as it has room for.
    fn block(&self, block: &Block, top: f64) -> Vec<Item> {
        let (left, right) = (self.x(block.from.to_seconds()), self.x(block.to.to_seconds()));
        let (width, height) = (right - left, self.row_mm - 1.0);
        let kind = self.class.stations.get(block.station).map_or(StationKind::Bench, |station| station.kind);
        let shape = Rect::new(left + 0.1, top + 0.5, (width - 0.2).max(0.2), height)
            .rounded(0.5)
            .filled(tint(kind))
            .stroked(Stroke::new(0.15, Role::DimInk));
        let mut items: Vec<Item> = vec![shape.into()];
        let step = self.class.steps.get(block.step).map_or("", |step| step.name.as_str());
        let place = self.class.place_name(block.station, block.place);
        let lines = [(step, Role::Ink, Face::SemiBold, 0.30), (place.as_str(), Role::DimInk, Face::Condensed, 0.72)];
        for (text, role, face, at) in lines {
            let em = 0.82 * self.em;
            let shown = fitted(text, em, face, width - 1.0);
            let y = top + 0.5 + at * height;
            let place = Point { x: left + 0.6, y };
            // A word cut to a few letters says nothing.
            if shown == text || shown.chars().count() >= 6 {
                items.push(crate::pen::words(em, place, Anchor::Start, face, role, &shown).into());
            }
        }
        items
    }
}

fn tint(kind: StationKind) -> Paint {
    match kind {
        StationKind::Bench => Paint::faint(Role::DimInk, 0.08),
        StationKind::Cutter => Paint::faint(Role::DimInk, 0.2),
        StationKind::Exposure => Paint::faint(Role::Watch, 0.28),
        StationKind::Washout => Paint::faint(Role::Hold, 0.2),
        StationKind::Cabinet => Paint::faint(Role::Stop, 0.22),
    }
}
