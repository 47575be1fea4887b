//! What a shop can run: for each bore and pressure, how long a full receiver holds it.

use super::{AirOptions, in_unit};
use crate::axis::{ValueAxis, round_values, tick_number};
use crate::metrics::{fitted, width_mm};
use crate::pen::{stroke, words};
use crate::scene::{Anchor, Face, Item, Line, Paint, Path, Rect, Scene};
use crate::theme::Role;
use air::map::{Holds, RunMap};
use artwork::grid::Point;
use language::say;
use quantity::{Diameter, GaugePressure, Quantity as _, UnitSystem};

/// A nozzle of the shop, for its line across the map.
#[derive(Debug, Clone, PartialEq)]
pub struct NozzleMark {
    /// What the shop calls it.
    pub name: String,
    /// Its bore.
    pub bore: Diameter,
}

/// Draws the map: bores to the right, pressures upward; the lighter the ground (on paper: the darker),
/// the longer it holds, each step named where it has room.
///
/// Pressures and bores must rise, two of each at least; else the map is empty.
#[must_use]
pub fn capacity(map: &RunMap, nozzles: &[NozzleMark], options: &AirOptions) -> Scene {
    let page = Page::new(map, options.in_range());
    let mut items = page.cells();
    items.extend(page.names(nozzles));
    items.extend(page.axes());
    items.extend(page.nozzles(nozzles));
    items.extend(page.key());
    Scene {
        width_mm: page.options.width_mm,
        height_mm: page.bottom_mm + (6.6 + 1.8 * page.key_lines()) * page.em,
        title: say!("What the air line runs: pressure by bore").to_owned(),
        description: page.description(nozzles),
        items,
    }
}

/// How long, in steps that a hand feels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Step {
    Never,
    Moment,
    Short,
    Fair,
    Long,
    Throughout,
}

impl Step {
    const ALL: [Self; 6] = [Self::Never, Self::Moment, Self::Short, Self::Fair, Self::Long, Self::Throughout];

    fn of(holds: Holds) -> Self {
        match holds {
            Holds::Never => Self::Never,
            Holds::Throughout => Self::Throughout,
            Holds::For(time) => match time.to_seconds() {
                s if s < 30.0 => Self::Moment,
                s if s < 120.0 => Self::Short,
                s if s < 600.0 => Self::Fair,
                _ => Self::Long,
            },
        }
    }

    fn words(self) -> &'static str {
        match self {
            Self::Never => say!("not at all"),
            Self::Moment => say!("under 30 s"),
            Self::Short => say!("30 s to 2 min"),
            Self::Fair => say!("2 to 10 min"),
            Self::Long => say!("over 10 min"),
            Self::Throughout => say!("without end"),
        }
    }

    /// Of the ink over the ground.
    const fn opacity(self) -> f64 {
        match self {
            Self::Never => 0.0,
            Self::Moment => 0.14,
            Self::Short => 0.27,
            Self::Fair => 0.5,
            Self::Long => 0.68,
            Self::Throughout => 0.88,
        }
    }

    /// Words that can be read on it.
    const fn ink(self) -> Role {
        match self {
            Self::Never | Self::Moment | Self::Short => Role::Ink,
            Self::Fair | Self::Long | Self::Throughout => Role::Ground,
        }
    }
}

struct Page<'a> {
    map: &'a RunMap,
    options: AirOptions,
    em: f64,
    unit: quantity::show::Rung,
    left_mm: f64,
    right_mm: f64,
    top_mm: f64,
    bottom_mm: f64,
}

impl<'a> Page<'a> {
    fn new(map: &'a RunMap, options: AirOptions) -> Self {
        let em = options.text_mm;
        let narrow = options.is_narrow();
        let left_mm = if narrow { 2.8 * em } else { 6.0 * em };
        let (right_mm, top_mm) = (options.width_mm - if narrow { 0.2 } else { 1.5 } * em, 2.4 * em);
        let bottom_mm = top_mm + if narrow { 0.9 } else { 0.55 } * (right_mm - left_mm);
        let most = map.pressures.last().copied().unwrap_or(GaugePressure::clamped(0.0));
        Self { map, options, em, unit: options.pressure(most), left_mm, right_mm, top_mm, bottom_mm }
    }

    fn step(&self, row: usize, column: usize) -> Step {
        self.map.cell(row, column).map_or(Step::Never, |cell| Step::of(cell.holds))
    }

    /// Left edge of a column; of the one behind the last too.
    fn x(&self, column: usize) -> f64 {
        self.left_mm + (self.right_mm - self.left_mm) * column as f64 / self.map.bores.len().max(1) as f64
    }

    /// Top edge of a row; rows run upward.
    fn y(&self, row: usize) -> f64 {
        let rows = self.map.pressures.len().max(1) as f64;
        self.bottom_mm - (self.bottom_mm - self.top_mm) * (row as f64 + 1.0) / rows
    }

    /// Stretches of one step along each row.
    fn runs(&self) -> Vec<Run> {
        let mut runs: Vec<Run> = Vec::new();
        for row in 0..self.map.pressures.len() {
            for column in 0..self.map.bores.len() {
                let step = self.step(row, column);
                match runs.last_mut() {
                    Some(run) if run.row == row && run.step == step => run.to = column + 1,
                    _ => runs.push(Run { row, from: column, to: column + 1, step }),
                }
            }
        }
        runs
    }

    /// One path for each step: separate cells would show seams.
    fn cells(&self) -> Vec<Item> {
        let runs = self.runs();
        let height = self.y(0) - self.y(1);
        let path = |step: Step| {
            let own = runs.iter().filter(|run| run.step == step);
            let segments = own.flat_map(|run| {
                let (left, right, top) = (self.x(run.from), self.x(run.to), self.y(run.row));
                let corners = [(left, top), (right, top), (right, top + height), (left, top + height)];
                Path::polygon(corners.map(|(x, y)| Point { x, y })).segments
            });
            let path = Path { segments: segments.collect(), ..Path::polygon([]) };
            path.filled(Paint::faint(Role::Ink, step.opacity())).into()
        };
        Step::ALL.into_iter().filter(|step| *step != Step::Never).map(path).collect()
    }

    /// Each step's name where its stretch is longest; left out where it has no room there.
    fn names(&self, nozzles: &[NozzleMark]) -> Vec<Item> {
        let lines: Vec<f64> = nozzles.iter().filter_map(|nozzle| self.bore_x(nozzle.bore)).collect();
        let runs = self.runs();
        let longest = |step: Step| {
            let own: Vec<&Run> = runs.iter().filter(|run| run.step == step).collect();
            let most = own.iter().map(|run| run.to - run.from).max()?;
            // Of several as long, the one in their middle.
            let equal: Vec<&&Run> = own.iter().filter(|run| run.to - run.from == most).collect();
            equal.get(equal.len() / 2).map(|run| **run)
        };
        let name = |step: Step| {
            let run = longest(step)?;
            let (left, right) = widest(self.x(run.from), self.x(run.to), &lines);
            let room = right - left - self.em;
            let mut at = Point { x: 0.5 * (left + right), y: self.y(run.row) + 0.5 * (self.y(0) - self.y(1)) };
            if self.options.is_narrow() {
                // Rows are lower than letters there; a name stays within the frame.
                at.y = at.y.clamp(self.top_mm + 0.75 * self.em, self.bottom_mm - 0.75 * self.em);
            }
            let fits = width_mm(step.words(), self.em, Face::SemiBold) <= room;
            fits.then(|| words(self.em, at, Anchor::Middle, Face::SemiBold, step.ink(), step.words()).into())
        };
        Step::ALL.into_iter().filter_map(name).collect()
    }

    fn axes(&self) -> Vec<Item> {
        let mut items = Vec::new();
        let frame = Rect::new(self.left_mm, self.top_mm, self.right_mm - self.left_mm, self.bottom_mm - self.top_mm);
        items.push(frame.stroked(stroke(self.em, 0.6, Role::DimInk)).into());
        let axis = self.pressure_axis();
        let ticks = round_values(axis.at_top, 8);
        for &value in ticks.iter().filter(|value| **value >= axis.at_bottom - 1e-9) {
            let at = Point { x: self.left_mm - 0.6 * self.em, y: axis.y_mm(value) };
            items.push(self.word(at, Anchor::End, &tick_number(value, &ticks)));
        }
        items.push(self.word(Point { x: 0.0, y: self.top_mm - 1.1 * self.em }, Anchor::Start, self.unit.unit));
        for (x, number) in self.bore_ticks() {
            items.push(self.word(Point { x, y: self.bottom_mm + 1.1 * self.em }, Anchor::Middle, &number));
            let (from, to) = (Point { x, y: self.bottom_mm }, Point { x, y: self.bottom_mm + 0.4 * self.em });
            items.push(Line { from, to, stroke: stroke(self.em, 0.6, Role::DimInk) }.into());
        }
        let unit = if self.options.units == UnitSystem::Us { say!("bore, in") } else { say!("bore, mm") };
        let at = Point { x: self.left_mm, y: self.bottom_mm + 2.6 * self.em };
        items.push(self.word(at, Anchor::Start, unit));
        items
    }

    fn word(&self, at: Point, anchor: Anchor, text: &str) -> Item {
        words(self.em, at, anchor, Face::Condensed, Role::DimInk, text).into()
    }

    /// Pressures of the rows' middles, told by their edges.
    fn pressure_axis(&self) -> ValueAxis {
        let value = |row: usize| in_unit(self.map.pressures[row], &self.unit);
        let rows = self.map.pressures.len();
        if rows < 2 {
            return ValueAxis { top_mm: self.top_mm, bottom_mm: self.bottom_mm, at_top: 1.0, at_bottom: 0.0 };
        }
        let half = 0.5 * (value(1) - value(0));
        ValueAxis {
            top_mm: self.top_mm,
            bottom_mm: self.bottom_mm,
            at_top: value(rows - 1) + half,
            at_bottom: value(0) - half,
        }
    }

    /// Where a bore lies, between the middles of the columns.
    fn bore_x(&self, bore: Diameter) -> Option<f64> {
        let bores = &self.map.bores;
        let after = bores.iter().position(|column| column.to_base() >= bore.to_base())?;
        let middle = |column: usize| 0.5 * (self.x(column) + self.x(column + 1));
        if after == 0 {
            return (bores[0] == bore).then(|| middle(0));
        }
        let (low, high) = (bores[after - 1].to_base(), bores[after].to_base());
        let share = (bore.to_base() - low) / (high - low);
        Some(middle(after - 1) + share * (middle(after) - middle(after - 1)))
    }

    /// Bores that a shelf has, where they have room.
    fn bore_ticks(&self) -> Vec<(f64, String)> {
        let us = self.options.units == UnitSystem::Us;
        let label = |sixteenths: u32| match sixteenths {
            n if n % 8 == 0 => format!("{}/2", n / 8),
            n if n % 4 == 0 => format!("{}/4", n / 4),
            n if n % 2 == 0 => format!("{}/8", n / 2),
            n => format!("{n}/16"),
        };
        let inches = (1..8).map(|n| (Diameter::inches(f64::from(n) / 16.0), label(n)));
        let millimetres =
            (1..24).map(|n| (Diameter::mm(0.5 * f64::from(n)), language::number(format!("{}", 0.5 * f64::from(n)))));
        let wanted: Vec<_> = if us { inches.collect() } else { millimetres.collect() };
        let mut ticks: Vec<(f64, String)> = Vec::new();
        for (bore, label) in wanted {
            let Some(x) = bore.ok().and_then(|bore| self.bore_x(bore)) else { continue };
            if ticks.last().is_none_or(|(last, _)| x - last >= 2.4 * self.em) {
                ticks.push((x, label));
            }
        }
        ticks
    }

    /// A line across the map for each nozzle of the shop, its name above.
    fn nozzles(&self, nozzles: &[NozzleMark]) -> Vec<Item> {
        let mut items = Vec::new();
        let mut free_from = 0.0;
        for nozzle in nozzles {
            let Some(x) = self.bore_x(nozzle.bore) else { continue };
            let dashed = stroke(self.em, 0.9, Role::Watch).dashed(0.6 * self.em, 0.4 * self.em);
            let (from, to) = (Point { x, y: self.top_mm }, Point { x, y: self.bottom_mm });
            items.push(Line { from, to, stroke: dashed }.into());
            let name = fitted(&nozzle.name, self.em, Face::Condensed, 10.0 * self.em);
            let half = 0.5 * width_mm(&name, self.em, Face::Condensed);
            if x - half >= free_from && x + half <= self.options.width_mm {
                let at = Point { x, y: self.top_mm - 0.9 * self.em };
                items.push(words(self.em, at, Anchor::Middle, Face::Condensed, Role::Ink, &name).into());
                free_from = x + half + 0.8 * self.em;
            }
        }
        items
    }

    /// Lines of the key below its first: in a narrow drawing two steps stand in each.
    fn key_lines(&self) -> f64 {
        if self.options.is_narrow() { 3.0 } else { 0.0 }
    }

    /// Every step with its name, below.
    fn key(&self) -> Vec<Item> {
        let y = self.bottom_mm + 5.0 * self.em;
        let name = say!("a blast holds");
        let head = words(self.em, Point { x: 0.0, y }, Anchor::Start, Face::SemiBold, Role::Ink, name);
        let mut items = vec![head.into()];
        let mut x = width_mm(name, self.em, Face::SemiBold) + 1.2 * self.em;
        for (number, step) in Step::ALL.into_iter().enumerate() {
            let at = match self.options.is_narrow() {
                true => Point {
                    x: if number % 2 == 0 { 0.0 } else { 0.5 * self.options.width_mm },
                    y: y + 1.8 * self.em * (number / 2 + 1) as f64,
                },
                false => Point { x, y },
            };
            items.extend(self.key_step(step, at));
            x += 3.2 * self.em + width_mm(step.words(), self.em, Face::Condensed);
        }
        items
    }

    fn key_step(&self, step: Step, at: Point) -> [Item; 2] {
        let swatch = Rect::new(at.x, at.y - 0.55 * self.em, 1.6 * self.em, 1.1 * self.em)
            .filled(Paint::faint(Role::Ink, step.opacity()))
            .stroked(stroke(self.em, 0.5, Role::DimInk));
        let word = self.word(Point { x: at.x + 2.0 * self.em, ..at }, Anchor::Start, step.words());
        [swatch.into(), word]
    }

    fn description(&self, nozzles: &[NozzleMark]) -> String {
        let most = |nozzle: &NozzleMark| {
            let near = |column: &usize| (self.map.bores[*column].to_base() - nozzle.bore.to_base()).abs();
            let column = (0..self.map.bores.len()).min_by(|a, b| near(a).total_cmp(&near(b)))?;
            let rows = (0..self.map.pressures.len()).rev();
            let row = rows.into_iter().find(|&row| self.step(row, column) == Step::Throughout);
            Some(match row {
                Some(row) => {
                    let pressure = super::told(in_unit(self.map.pressures[row], &self.unit), &self.unit);
                    say!("{} runs without end up to {pressure} {}", nozzle.name, self.unit.unit)
                }
                None => say!("{} runs without end at none of these pressures", nozzle.name),
            })
        };
        nozzles.iter().filter_map(most).collect::<Vec<_>>().join("; ") + "."
    }
}

/// The widest stretch from `left` to `right` that no line crosses.
fn widest(left: f64, right: f64, lines: &[f64]) -> (f64, f64) {
    let mut ends: Vec<f64> = lines.iter().copied().filter(|x| (left..right).contains(x)).chain([left, right]).collect();
    ends.sort_by(f64::total_cmp);
    let gaps = ends.windows(2).map(|pair| (pair[0], pair[1]));
    gaps.max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0))).unwrap_or((left, right))
}

#[derive(Debug, Clone, Copy)]
struct Run {
    row: usize,
    from: usize,
    to: usize,
    step: Step,
}
