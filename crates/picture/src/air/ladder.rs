//! The pressure ladder: every part of the line from top to bottom, and what pressure it costs.

use super::{AirOptions, in_unit, told};
use crate::axis::{ValueAxis, round_values, tick_number};
use crate::metrics::{fitted, width_mm};
use crate::pen::{stroke, words};
use crate::scene::{Anchor, Face, Item, Line, Path, Rect, Scene};
use crate::theme::Role;
use air::ladder::{Ladder, Rung};
use artwork::grid::Point;
use language::say;
use plan::air_words;
use quantity::show::air_flow;
use quantity::{GaugePressure, Quantity as _};

/// Draws where each bar or psi goes: a step for each part, the loss as a bar, its number beside it.
#[must_use]
pub fn ladder(ladder: &Ladder, options: &AirOptions) -> Scene {
    let page = Page::new(ladder, options.in_range());
    let mut items = page.scale();
    if page.options.is_narrow() {
        // Names stand over the stairs there.
        items.extend(page.stairs());
    }
    for (row, rung) in ladder.rungs.iter().enumerate() {
        items.extend(page.rung(row, rung));
    }
    if !page.options.is_narrow() {
        items.extend(page.stairs());
    }
    items.extend(page.heads());
    Scene {
        width_mm: page.options.width_mm,
        height_mm: page.bottom() + 2.4 * page.em,
        title: say!("Pressure ladder of the air line").to_owned(),
        description: page.description(),
        items,
    }
}

struct Page<'a> {
    ladder: &'a Ladder,
    options: AirOptions,
    em: f64,
    unit: quantity::show::Rung,
    /// Pressure runs to the right.
    axis: ValueAxis,
    most: f64,
    /// Room for a part's name, in text sizes.
    names: f64,
    /// Height of a row, in text sizes; where names stand above, of both lines.
    row: f64,
}

/// Room for the parts' names, in text sizes.
const NAMES: f64 = 15.0;
/// Room for the numbers at the right, in text sizes.
const NUMBERS: f64 = 15.0;
/// Height of a line, in text sizes.
const ROW: f64 = 1.9;
/// Height of the headings, in text sizes.
const HEAD: f64 = 2.0;

impl<'a> Page<'a> {
    fn new(ladder: &'a Ladder, options: AirOptions) -> Self {
        let em = options.text_mm;
        let highest = ladder.rungs.iter().map(|rung| rung.inlet.to_base()).fold(0.0, f64::max);
        let highest = GaugePressure::clamped(highest);
        let unit = options.pressure(highest);
        let most = in_unit(highest, &unit).max(1e-3);
        let narrow = options.is_narrow();
        let (names, row) = if narrow { (options.width_mm / em, ROW + 1.3) } else { (NAMES - 1.5, ROW) };
        let axis = ValueAxis {
            top_mm: if narrow { 0.6 * em } else { NAMES * em },
            bottom_mm: options.width_mm - NUMBERS * em,
            at_top: 0.0,
            at_bottom: 1.02 * most,
        };
        Self { ladder, options, em, unit, axis, most, names, row }
    }

    fn top(&self, row: usize) -> f64 {
        (HEAD + self.row * row as f64) * self.em
    }

    /// Middle of a row's bar: of its last line.
    fn middle(&self, row: usize) -> f64 {
        self.top(row) + (self.row - 0.5 * ROW) * self.em
    }

    /// Where a row's name stands: beside its bar, or in a line above.
    fn named(&self, row: usize) -> Point {
        Point { x: 0.0, y: self.top(row) + 0.5 * ROW * self.em }
    }

    fn bottom(&self) -> f64 {
        self.top(self.ladder.rungs.len())
    }

    fn x(&self, pressure: GaugePressure) -> f64 {
        self.axis.y_mm(in_unit(pressure, &self.unit))
    }

    fn scale(&self) -> Vec<Item> {
        let count = (self.axis.height_mm() / (4.5 * self.em)).clamp(2.0, 8.0);
        let ticks = round_values(self.most, count as usize);
        let (top, bottom) = (HEAD * self.em, self.bottom());
        let mut items = Vec::new();
        for &value in &ticks {
            let x = self.axis.y_mm(value);
            let line = stroke(self.em, 0.5, Role::Grid);
            items.push(Line { from: Point { x, y: top }, to: Point { x, y: bottom }, stroke: line }.into());
            let number = tick_number(value, &ticks);
            let at = Point { x, y: bottom + 1.1 * self.em };
            items.push(words(self.em, at, Anchor::Middle, Face::Condensed, Role::DimInk, &number).into());
        }
        let at = Point { x: self.axis.bottom_mm + 1.2 * self.em, y: bottom + 1.1 * self.em };
        items.push(words(self.em, at, Anchor::Start, Face::Condensed, Role::DimInk, self.unit.unit).into());
        items
    }

    fn heads(&self) -> Vec<Item> {
        let y = 0.8 * self.em;
        let right = self.options.width_mm;
        let head = |x: f64, anchor: Anchor, text: &str| -> Item {
            words(self.em, Point { x, y }, anchor, Face::SemiBold, Role::Ink, text).into()
        };
        let [lost, behind, _] = self.columns();
        vec![
            head(0.0, Anchor::Start, say!(in "head of a column", "part")),
            head(lost, Anchor::End, say!(in "head of a column", "lost")),
            head(behind, Anchor::End, say!(in "head of a column", "behind")),
            head(right, Anchor::End, say!(in "head of a column", "air in")),
        ]
    }

    /// Right edges of the columns of numbers.
    fn columns(&self) -> [f64; 3] {
        let right = self.options.width_mm;
        [right - 9.6 * self.em, right - 5.6 * self.em, right]
    }

    /// A part's row: its name, what it takes as a bar, and the numbers.
    fn rung(&self, row: usize, rung: &Rung) -> Vec<Item> {
        let middle = self.middle(row);
        let (low, high) = (self.x(rung.outlet), self.x(rung.inlet));
        let height = 0.9 * self.em;
        let bar = Rect::new(low, middle - 0.5 * height, (high - low).max(0.15), height).filled(Role::Glass);
        let part = air_words::part(&rung.part);
        let name = match &rung.station {
            Some(station) if self.ladder.stations.len() > 1 && !rung.part.contains(station.as_str()) => {
                format!("{part} ({station})")
            }
            _ => part,
        };
        let name = fitted(&name, self.em, Face::Regular, self.names * self.em);
        let at = |x: f64| Point { x, y: middle };
        let number = |x: f64, role: Role, text: &str| -> Item {
            words(self.em, at(x), Anchor::End, Face::Condensed, role, text).into()
        };
        let lost = GaugePressure::clamped(rung.loss_pa());
        let [lost_at, behind_at, flow_at] = self.columns();
        let mut items: Vec<Item> = self.behind(row, &name).into_iter().collect();
        items.extend([
            bar.into(),
            words(self.em, self.named(row), Anchor::Start, Face::Regular, Role::Ink, &name).into(),
            number(lost_at, Role::Ink, &told(in_unit(lost, &self.unit), &self.unit)),
            number(behind_at, Role::DimInk, &told(in_unit(rung.outlet, &self.unit), &self.unit)),
            number(flow_at, Role::DimInk, &air_flow(rung.flow, self.options.units).to_string()),
        ]);
        // A nozzle is meant to choke; a part before it is not.
        if rung.choked && !rung.is_tip {
            let x = low - 0.5 * self.em;
            items.push(words(self.em, at(x), Anchor::End, Face::Condensed, Role::Watch, say!("chokes")).into());
        }
        items
    }

    /// Ground behind a name that would be crossed by the stairs.
    fn behind(&self, row: usize, name: &str) -> Option<Item> {
        let at = self.named(row);
        let wide = width_mm(name, self.em, Face::Regular) + 0.3 * self.em;
        let ground = Rect::new(0.0, at.y - 0.6 * self.em, wide, 1.2 * self.em).filled(Role::Ground);
        self.options.is_narrow().then(|| ground.into())
    }

    /// The line that leads from one part's outlet to the next one's inlet, where they meet.
    fn stairs(&self) -> Vec<Item> {
        let pairs = self.ladder.rungs.windows(2).enumerate();
        let joined = pairs.filter(|(_, pair)| (pair[0].outlet.to_base() - pair[1].inlet.to_base()).abs() < 1.0);
        let step = |(row, pair): (usize, &[Rung])| {
            let x = self.x(pair[0].outlet);
            let from = self.middle(row);
            let points = [from, from + self.row * self.em].map(|y| Point { x, y });
            Path::polyline(points, stroke(self.em, 0.9, Role::DimInk)).map(Item::from)
        };
        joined.filter_map(step).collect()
    }

    fn description(&self) -> String {
        let told = |rung: &Rung| {
            let lost = in_unit(GaugePressure::clamped(rung.loss_pa()), &self.unit);
            say!("{} takes {} {}", air_words::part(&rung.part), told(lost, &self.unit), self.unit.unit)
        };
        self.ladder.rungs.iter().map(told).collect::<Vec<_>>().join("; ") + "."
    }
}
