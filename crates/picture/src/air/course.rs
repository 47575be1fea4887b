//! Pressure in time: receivers, nozzles, compressors and valves of a network on one time axis.

use super::{AirOptions, in_unit, told};
use crate::axis::{TimeAxis, ValueAxis, round_values, tick_number};
use crate::metrics::fitted;
use crate::pen::{self, Label, stroke, words};
use crate::scene::{Anchor, Face, Item, Line, Path, Rect, Scene, Stroke};
use crate::theme::Role;
use air::course::{Course, Happening, Moment};
use air::network::Network;
use artwork::grid::Point;
use language::say;
use plan::air_words;
use quantity::show::clock;
use quantity::{GaugePressure, Quantity as _, Time};

/// Draws what a network does in time: pressures above, below them when each compressor runs and each
/// station blasts, and marks where a hold is lost.
#[must_use]
pub fn course(network: &Network, course: &Course, options: &AirOptions) -> Scene {
    let page = Page::new(network, course, options.in_range());
    let mut items = page.grid();
    items.extend(page.pressures());
    items.extend(page.rows());
    items.extend(page.losses());
    Scene {
        width_mm: page.options.width_mm,
        height_mm: page.bottom() + 2.0 * page.em,
        title: say!("Pressure in the air line over {}", clock(course.length)),
        description: page.description(),
        items,
    }
}

struct Page<'a> {
    network: &'a Network,
    course: &'a Course,
    options: AirOptions,
    em: f64,
    time: TimeAxis,
    scale: ValueAxis,
    unit: quantity::show::Rung,
    most: f64,
}

/// Room left of the axis, for names, in text sizes.
const LEFT: f64 = 10.0;
/// Room right of it, in text sizes.
const RIGHT: f64 = 11.0;
/// Height of the pressures, in text sizes.
const PLOT: f64 = 22.0;
/// The same two in a narrow drawing, in which a row's words stand above it.
const LEFT_NARROW: f64 = 3.4;
const RIGHT_NARROW: f64 = 10.6;
/// Height of a row of blocks, in text sizes.
const ROW: f64 = 1.9;

/// Dashes of the second, third and fourth line of a kind, in text sizes.
const DASHES: [Option<(f64, f64)>; 4] = [None, Some((1.2, 0.35)), Some((0.55, 0.35)), Some((0.2, 0.3))];

impl<'a> Page<'a> {
    fn new(network: &'a Network, course: &'a Course, options: AirOptions) -> Self {
        let em = options.text_mm;
        let highest = course.samples.iter().flat_map(|sample| &sample.receivers).map(|p| p.to_base());
        let highest = GaugePressure::clamped(highest.fold(network.full().to_base(), f64::max));
        let unit = options.pressure(highest);
        let most = in_unit(highest, &unit).max(1e-3);
        let narrow = options.is_narrow();
        let (left, right) = if narrow { (LEFT_NARROW, RIGHT_NARROW) } else { (LEFT, RIGHT) };
        let time = TimeAxis { left_mm: left * em, right_mm: options.width_mm - right * em, length: course.length };
        // In a narrow one the head stands above the numbers, not beside them.
        let scale = ValueAxis {
            top_mm: if narrow { 2.0 * em } else { 0.6 * em },
            bottom_mm: PLOT * em,
            at_top: 1.05 * most,
            at_bottom: 0.0,
        };
        Self { network, course, options, em, time, scale, unit, most }
    }

    fn row_top(&self, row: usize) -> f64 {
        self.scale.bottom_mm + (0.8 + self.row() * row as f64) * self.em
    }

    fn row(&self) -> f64 {
        if self.options.is_narrow() { ROW + 1.3 } else { ROW }
    }

    fn row_count(&self) -> usize {
        self.course.machines.len() + self.course.stations.len()
    }

    fn bottom(&self) -> f64 {
        self.row_top(self.row_count())
    }

    fn grid(&self) -> Vec<Item> {
        let mut items = Vec::new();
        let thin = stroke(self.em, 0.5, Role::Grid);
        let minutes: Vec<f64> = self.time.ticks(4.0 * self.em).iter().map(|tick| tick.to_minutes()).collect();
        for &tick in &minutes {
            let x = self.time.x_mm(Time::clamped(60.0 * tick));
            items.push(line(Point { x, y: self.scale.top_mm }, Point { x, y: self.bottom() }, thin));
            let at = Point { x, y: self.bottom() + 0.9 * self.em };
            let number = tick_number(tick, &minutes);
            items.push(words(self.em, at, Anchor::Middle, Face::Condensed, Role::DimInk, &number).into());
        }
        let at = Point { x: self.time.left_mm - 1.2 * self.em, y: self.bottom() + 0.9 * self.em };
        items.push(words(self.em, at, Anchor::End, Face::Condensed, Role::DimInk, "min").into());
        let ticks = round_values(self.most, 6);
        for &value in &ticks {
            let y = self.scale.y_mm(value);
            items.push(line(Point { x: self.time.left_mm, y }, Point { x: self.time.right_mm, y }, thin));
            let at = Point { x: self.time.left_mm - 0.6 * self.em, y };
            let number = tick_number(value, &ticks);
            items.push(words(self.em, at, Anchor::End, Face::Condensed, Role::DimInk, &number).into());
        }
        let y = if self.options.is_narrow() { 0.7 * self.em } else { self.scale.top_mm + 0.3 * self.em };
        let head = words(
            self.em,
            Point { x: 0.0, y },
            Anchor::Start,
            Face::SemiBold,
            Role::Ink,
            say!(in "an axis", "pressure"),
        );
        let unit = Point { x: 5.2 * self.em, y };
        items.push(head.into());
        items.push(words(self.em, unit, Anchor::Start, Face::Condensed, Role::DimInk, self.unit.unit).into());
        items
    }

    /// Thin lines for receivers, thick ones for nozzles, each named at its end.
    fn pressures(&self) -> Vec<Item> {
        let mut items = Vec::new();
        let mut labels = Vec::new();
        for (number, name) in self.network.receivers().enumerate() {
            let pen = self.pen(1.0, Role::DimInk, number);
            let points: Vec<(Time, Option<GaugePressure>)> =
                self.course.samples.iter().map(|sample| (sample.at, sample.receivers.get(number).copied())).collect();
            items.extend(self.curves(&points, pen));
            labels.extend(self.label(&points, name, Role::DimInk));
        }
        for (number, name) in self.network.stations().enumerate() {
            let pen = self.pen(2.2, Role::Ink, number);
            let nozzle = |sample: &Moment| sample.stations.get(number).copied().flatten().map(|state| state.nozzle);
            let points: Vec<(Time, Option<GaugePressure>)> =
                self.course.samples.iter().map(|sample| (sample.at, nozzle(sample))).collect();
            items.extend(self.curves(&points, pen));
            labels.extend(self.label(&points, name, Role::Ink));
        }
        let lane = (self.scale.top_mm, self.scale.bottom_mm);
        items.extend(pen::labels(self.em, (self.time.right_mm, self.options.width_mm), lane, &labels));
        items
    }

    fn pen(&self, widths: f64, role: Role, number: usize) -> Stroke {
        let mut pen = stroke(self.em, widths, role);
        pen.dash_mm = DASHES[number % DASHES.len()].map(|(dash, gap)| (dash * self.em, gap * self.em));
        pen
    }

    fn curves(&self, points: &[(Time, Option<GaugePressure>)], pen: Stroke) -> Vec<Item> {
        let place = |&(time, pressure): &(Time, Option<GaugePressure>)| {
            Some(Point { x: self.time.x_mm(time), y: self.scale.y_mm(in_unit(pressure?, &self.unit)) })
        };
        let runs = points.split(|(_, pressure)| pressure.is_none()).filter(|run| run.len() > 1);
        runs.filter_map(|run| Path::polyline(run.iter().filter_map(place), pen)).map(Item::from).collect()
    }

    /// The last value of a line, named.
    fn label(&self, points: &[(Time, Option<GaugePressure>)], name: &str, role: Role) -> Option<Label> {
        let last = points.iter().rev().find_map(|(_, pressure)| *pressure)?;
        let value = in_unit(last, &self.unit);
        let number = told(value, &self.unit);
        Some(Label { y_mm: self.scale.y_mm(value), number, name: air_words::part(name), paint: role.into() })
    }

    /// A row of blocks for each compressor and each station.
    fn rows(&self) -> Vec<Item> {
        let machines = self.network.compressors().enumerate().map(|(number, name)| {
            let share = say!("runs {:.0} %", 100.0 * self.course.machines[number].share.to_ratio());
            (name, share, Role::DimInk, self.spans(move |sample| sample.running.get(number).copied().unwrap_or(false)))
        });
        let stations = self.network.stations().enumerate().map(|(number, name)| {
            let spans = self.spans(move |sample| sample.stations.get(number).is_some_and(Option::is_some));
            let told = match self.lost(number) {
                None => say!("holds throughout").to_owned(),
                Some(lost) => say!("lost {lost}"),
            };
            (name, told, Role::Glass, spans)
        });
        let rows: Vec<_> = machines.chain(stations).collect();
        let mut items = Vec::new();
        for (row, (name, told, role, spans)) in rows.into_iter().enumerate() {
            let (top, height) = (self.row_top(row) + (self.row() - 1.6) * self.em, 1.3 * self.em);
            for (from, to) in spans {
                let (from, to) = (self.time.x_mm(from), self.time.x_mm(to));
                items.push(Rect::new(from, top, to - from, height).filled(role).into());
            }
            items.extend(self.row_words(row, top + 0.5 * height, &air_words::part(name), &told));
        }
        items
    }

    /// A row's name and what is told of it: at both ends of its blocks, or in a line above.
    fn row_words(&self, row: usize, middle: f64, name: &str, told: &str) -> [Item; 2] {
        let written = |x: f64, y: f64, anchor: Anchor, role: Role, text: &str, room: f64| -> Item {
            let text = fitted(text, self.em, Face::Condensed, room * self.em);
            words(self.em, Point { x, y }, anchor, Face::Condensed, role, &text).into()
        };
        if self.options.is_narrow() {
            let (y, whole) = (self.row_top(row) + 0.8 * self.em, self.options.width_mm / self.em);
            return [
                written(0.0, y, Anchor::Start, Role::Ink, name, 0.55 * whole),
                written(self.options.width_mm, y, Anchor::End, Role::DimInk, told, 0.43 * whole),
            ];
        }
        let x = self.time.right_mm + 1.0 * self.em;
        [
            written(0.0, middle, Anchor::Start, Role::Ink, name, LEFT - 0.6),
            written(x, middle, Anchor::Start, Role::DimInk, told, RIGHT - 1.2),
        ]
    }

    /// For how long a station's regulator did not hold.
    fn lost(&self, number: usize) -> Option<String> {
        let lost = self.course.stations[number].lost;
        (lost.to_seconds() >= 0.5).then(|| clock(lost))
    }

    /// The stretches in which something is so.
    fn spans(&self, so: impl Fn(&Moment) -> bool) -> Vec<(Time, Time)> {
        let mut spans: Vec<(Time, Time)> = Vec::new();
        for pair in self.course.samples.windows(2) {
            if !so(&pair[0]) || pair[1].at <= pair[0].at {
                continue;
            }
            match spans.last_mut() {
                Some(last) if last.1 == pair[0].at => last.1 = pair[1].at,
                _ => spans.push((pair[0].at, pair[1].at)),
            }
        }
        spans
    }

    /// Where a regulator first no longer holds: a line, a half circle (the shape of 'watch') and words.
    fn losses(&self) -> Vec<Item> {
        let lost = self.course.events.iter().find(|(_, event)| matches!(event, Happening::HoldLost(_)));
        let Some(&(at, _)) = lost else { return Vec::new() };
        let x = self.time.x_mm(at);
        let (top, bottom) = (self.scale.top_mm, self.scale.bottom_mm);
        let dashed = stroke(self.em, 0.9, Role::Watch).dashed(0.5 * self.em, 0.35 * self.em);
        let y = bottom - 1.2 * self.em;
        let late = x > 0.6 * (self.time.left_mm + self.time.right_mm);
        let (side, anchor) = if late { (-0.8, Anchor::End) } else { (0.8, Anchor::Start) };
        let text = say!("pressure lost at {}", clock(at));
        vec![
            line(Point { x, y: top }, Point { x, y: bottom }, dashed),
            Path::half_circle(Point { x, y }, 0.45 * self.em).filled(Role::Watch).into(),
            words(self.em, Point { x: x + side * self.em, y }, anchor, Face::Condensed, Role::Ink, &text).into(),
        ]
    }

    fn description(&self) -> String {
        let names: Vec<&str> = self.network.compressors().collect();
        let machines = names.iter().zip(&self.course.machines);
        let machines = machines
            .map(|(name, m)| say!("{name} runs {:.0} % and starts {} times", 100.0 * m.share.to_ratio(), m.starts));
        let stations = self.network.stations().enumerate().map(|(number, name)| match self.lost(number) {
            None => say!("{name} holds throughout", name = air_words::part(name)),
            Some(lost) => say!("{name} lost {lost}", name = air_words::part(name)),
        });
        machines.chain(stations).collect::<Vec<_>>().join("; ") + "."
    }
}

fn line(from: Point, to: Point, stroke: Stroke) -> Item {
    Line { from, to, stroke }.into()
}
