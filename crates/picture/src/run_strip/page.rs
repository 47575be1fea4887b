//! The strip's page: where each lane lies, and the pens that all lanes draw with.

use super::StripOptions;
use crate::axis::{TimeAxis, ValueAxis, round_values, tick_number};
use crate::metrics::{CAP_HEIGHT, width_mm};
use crate::pen::{self, Label};
use crate::scene::{Anchor, Face, Group, Item, Line, Paint, Rect, Scene, Stroke, Text};
use crate::theme::Role;
use artwork::grid::Point;
use language::say;
use plan::{Act, RunStrip};
use quantity::Time;

/// Room left of the axis, for titles and numbers, in text sizes.
const LEFT: f64 = 10.0;
/// Room right of the axis, for names, in text sizes.
const RIGHT: f64 = 11.0;
/// Room below everything, in text sizes.
const BELOW: f64 = 0.4;

/// A drawing in the making.
pub(super) struct Page<'a> {
    pub(super) strip: &'a RunStrip,
    pub(super) options: StripOptions,
    pub(super) axis: TimeAxis,
    /// Text size in millimetres: the unit of the layout.
    pub(super) em: f64,
    pub(super) lanes: Lanes,
    pub(super) items: Vec<Item>,
}

/// Top and bottom of each lane, in millimetres.
pub(super) struct Lanes {
    pub(super) stages: (f64, f64),
    pub(super) hands: (f64, f64),
    pub(super) depth: (f64, f64),
    pub(super) air: (f64, f64),
    pub(super) resist: (f64, f64),
    pub(super) dust: (f64, f64),
    pub(super) door: (f64, f64),
    pub(super) ticks: (f64, f64),
    pub(super) key: (f64, f64),
}

pub(super) fn axis(strip: &RunStrip, options: &StripOptions) -> TimeAxis {
    let em = options.text_mm;
    TimeAxis { left_mm: LEFT * em, right_mm: options.width_mm - RIGHT * em, length: strip.length }
}

impl Lanes {
    /// With lanes as tall as the wanted height allows, from 0.4 to 4 times what is enough.
    fn fitting(em: f64, wanted_mm: Option<f64>, layers: usize) -> Self {
        let Some(wanted) = wanted_mm else { return Self::new(em, 1.0, layers) };
        let (mut low, mut high) = (0.4, 4.0);
        for _ in 0..20 {
            let middle = 0.5 * (low + high);
            let bottom = Self::new(em, middle, layers).key.1 + BELOW * em;
            (low, high) = if bottom > wanted { (low, middle) } else { (middle, high) };
        }
        Self::new(em, low, layers)
    }

    fn new(em: f64, scale: f64, layers: usize) -> Self {
        let mut y = 0.0;
        let mut lane = |gap: f64, height: f64| {
            let top = y + gap * em;
            y = top + height * em;
            (top, y)
        };
        // A label needs a line of its own; the air lane has three at most.
        let depth = f64::max(8.5 * scale, 1.25 * layers as f64);
        Self {
            stages: lane(0.0, 1.6),
            hands: lane(0.2, 2.4),
            depth: lane(1.1, depth),
            air: lane(1.3, f64::max(8.0 * scale, 4.4)),
            resist: lane(1.3, f64::max(4.2 * scale, 2.3)),
            dust: lane(1.3, f64::max(4.2 * scale, 2.3)),
            door: lane(0.6, 1.4),
            ticks: lane(0.2, 1.6),
            key: lane(0.4, 1.6),
        }
    }
}

impl<'a> Page<'a> {
    pub(super) fn new(strip: &'a RunStrip, options: StripOptions) -> Self {
        let em = options.text_mm;
        let lanes = Lanes::fitting(em, options.height_mm, strip.depth.len());
        Self { strip, axis: axis(strip, &options), em, lanes, items: Vec::new(), options }
    }

    pub(super) fn into_scene(self, title: String, description: String) -> Scene {
        let height_mm = if self.needs_key() { self.lanes.key.1 } else { self.lanes.ticks.1 } + BELOW * self.em;
        Scene { width_mm: self.options.width_mm, height_mm, title, description, items: self.items }
    }

    /// A stroke of so many usual line widths.
    pub(super) fn stroke(&self, widths: f64, paint: impl Into<Paint>) -> Stroke {
        pen::stroke(self.em, widths, paint)
    }

    pub(super) fn push(&mut self, item: impl Into<Item>) {
        self.items.push(item.into());
    }

    /// Words whose capitals are centred on `y_mm`.
    pub(super) fn words(&self, x: f64, y_mm: f64, anchor: Anchor, face: Face, role: Role, text: &str) -> Text {
        pen::words(self.em, Point { x, y: y_mm }, anchor, face, role, text)
    }

    /// Bands behind every lane while the nozzle is open: they tie the lanes together.
    pub(super) fn background(&mut self) {
        let (top, bottom) = (self.lanes.hands.1, self.lanes.dust.1);
        let blasts = self.strip.hands.iter().filter(|block| block.act == Act::Blast);
        let band = |block: &plan::HandBlock| {
            let (from, to) = (self.axis.x_mm(block.from), self.axis.x_mm(block.to));
            Item::from(Rect::new(from, top, to - from, bottom - top).filled(Role::Raised))
        };
        let items = blasts.map(band).collect();
        self.push(Group { items, ..Group::default() });
    }

    pub(super) fn time_ticks(&mut self) {
        let ticks = self.axis.ticks(4.0 * self.em);
        let (top, bottom) = (self.lanes.depth.0, self.lanes.door.1);
        let middle = 0.5 * (self.lanes.ticks.0 + self.lanes.ticks.1);
        let step_s = ticks.get(1).map_or(60.0, |tick| tick.to_seconds());
        for tick in ticks {
            let x = self.axis.x_mm(tick);
            let stroke = self.stroke(0.5, Role::Grid);
            self.push(Line { from: Point { x, y: top }, to: Point { x, y: bottom }, stroke });
            let decimals = usize::from(step_s < 60.0);
            let number = language::number(format!("{:.decimals$}", tick.to_minutes()));
            self.push(self.words(x, middle, Anchor::Middle, Face::Condensed, Role::DimInk, &number));
        }
        let x = self.axis.left_mm - 1.6 * self.em;
        self.push(self.words(x, middle, Anchor::End, Face::Condensed, Role::DimInk, "min"));
        let x = self.axis.right_mm + 1.6 * self.em;
        let end = quantity::show::clock(self.strip.length);
        self.push(self.words(x, middle, Anchor::Start, Face::Condensed, Role::DimInk, &end));
    }

    /// A lane's name and unit, in the left margin.
    pub(super) fn heading(&mut self, lane: (f64, f64), title: &str, unit: &str) {
        let y = lane.0 + 0.5 * CAP_HEIGHT * self.em;
        let x = width_mm(title, self.em, Face::SemiBold) + 0.35 * self.em;
        self.push(self.words(0.0, y, Anchor::Start, Face::SemiBold, Role::Ink, title));
        self.push(self.words(x, y, Anchor::Start, Face::Condensed, Role::DimInk, unit));
    }

    /// A line's sample and name, in the left margin, on line `row` under the heading.
    pub(super) fn legend(&mut self, lane: (f64, f64), row: usize, stroke: Stroke, name: &str) {
        let y = lane.0 + (1.45 * (row as f64 + 1.0) + 0.5 * CAP_HEIGHT) * self.em;
        let (from, to) = (Point { x: 0.0, y }, Point { x: 1.5 * self.em, y });
        self.push(Line { from, to, stroke });
        self.push(self.words(1.9 * self.em, y, Anchor::Start, Face::Condensed, Role::DimInk, name));
    }

    /// Numbers at the left and thin lines across, at round values from 0 to `most`.
    pub(super) fn value_ticks(&mut self, scale: &ValueAxis, most: f64) {
        let count = (scale.height_mm() / (1.5 * self.em)).floor().clamp(1.0, 5.0);
        let ticks = round_values(most, count as usize);
        for &value in &ticks {
            let y = scale.y_mm(value);
            self.rule(y, self.stroke(0.5, Role::Grid));
            let x = self.axis.left_mm - 0.6 * self.em;
            let number = tick_number(value, &ticks);
            self.push(self.words(x, y, Anchor::End, Face::Condensed, Role::DimInk, &number));
        }
    }

    /// A line across the plot.
    pub(super) fn rule(&mut self, y: f64, stroke: Stroke) {
        let (from, to) = (Point { x: self.axis.left_mm, y }, Point { x: self.axis.right_mm, y });
        self.push(Line { from, to, stroke });
    }

    /// Names in the right margin, moved apart, each led to its place.
    pub(super) fn labels(&mut self, lane: (f64, f64), labels: &[Label]) {
        let margin = (self.axis.right_mm, self.options.width_mm);
        self.items.extend(pen::labels(self.em, margin, lane, labels));
    }

    /// A line through values in time, without the points that lie straight between others.
    pub(super) fn curve(&self, points: &[(Time, f64)], scale: &ValueAxis) -> Vec<Point> {
        let place = |&(time, value): &(Time, f64)| Point { x: self.axis.x_mm(time), y: scale.y_mm(value) };
        simplified(&points.iter().map(place).collect::<Vec<_>>(), 0.03)
    }

    pub(super) fn now(&mut self) {
        let Some(now) = self.options.now else { return };
        let x = self.axis.x_mm(now);
        let (from, to) = (Point { x, y: self.lanes.stages.0 }, Point { x, y: self.lanes.door.1 });
        let line = Line { from, to, stroke: self.stroke(1.6, Role::Stop) };
        let (id, label) = (Some("strip-now".to_owned()), Some(say!(in "an instant", "now").to_owned()));
        self.push(Group { id, label, clip: None, items: vec![line.into()] });
    }
}

/// The fewest of `points`, ends included, from whose line none of the others is further than
/// `tolerance` (Ramer 1972, Douglas & Peucker 1973). Points of equal x stay in order.
fn simplified(points: &[Point], tolerance: f64) -> Vec<Point> {
    let Some(last) = points.len().checked_sub(1) else { return Vec::new() };
    let mut keep = vec![false; points.len()];
    (keep[0], keep[last]) = (true, true);
    let mut spans = vec![(0, last)];
    while let Some((from, to)) = spans.pop() {
        let distance = |i: usize| distance(points[i], points[from], points[to]);
        let farthest = (from + 1..to).max_by(|&a, &b| distance(a).total_cmp(&distance(b)));
        if let Some(i) = farthest.filter(|&i| distance(i) > tolerance) {
            keep[i] = true;
            spans.extend([(from, i), (i, to)]);
        }
    }
    points.iter().zip(keep).filter_map(|(point, keep)| keep.then_some(*point)).collect()
}

/// From `p` to the straight line from `a` to `b`, ends included.
fn distance(p: Point, a: Point, b: Point) -> f64 {
    let (dx, dy) = (b.x - a.x, b.y - a.y);
    let along = ((p.x - a.x) * dx + (p.y - a.y) * dy) / (dx * dx + dy * dy).max(1e-12);
    let t = along.clamp(0.0, 1.0);
    (p.x - a.x - t * dx).hypot(p.y - a.y - t * dy)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_straight_run_of_points_becomes_its_two_ends_and_a_corner_stays() {
        let mut points: Vec<Point> = (0..1000).map(|i| Point { x: f64::from(i), y: f64::from(i) * 0.5 }).collect();
        assert_eq!(simplified(&points, 0.01).len(), 2);
        points.push(Point { x: 999.0, y: 0.0 });
        points.push(Point { x: 1500.0, y: 0.0 });
        assert_eq!(simplified(&points, 0.01).len(), 4);
        assert!(simplified(&[], 0.01).is_empty());
    }
}
