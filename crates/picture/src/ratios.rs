//! What was logged over what was planned, a row each: the planned interval as a bar, the log as a mark on it.
//!
//! Time is a ratio, so the axis is logarithmic: half as long lies as far to the left of the plan as twice as long to its
//! right. A mark inside its bar is a filled circle, one outside a half circle, and the row says which in words.

use crate::marked::state_mark;
use crate::metrics::{fitted, width_mm};
use crate::pen::words;
use crate::scene::{Anchor, Face, Group, Item, Line, Paint, Rect, Scene, Stroke};
use crate::theme::Role;
use artwork::grid::Point;
use language::say;
use plan::State;

/// A number that was planned and logged, all over the plan's middle.
#[derive(Debug, Clone, PartialEq)]
pub struct Ratio {
    /// What it is.
    pub name: String,
    /// Low end of the planned interval, above zero.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// As logged.
    pub logged: f64,
    /// Whether that is inside.
    pub inside: bool,
    /// All of it in words.
    pub told: String,
}

/// How the rows are drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RatioOptions {
    /// Of the whole drawing, 80 mm or more.
    pub width_mm: f64,
    /// Size of the words.
    pub text_mm: f64,
    /// Height of a row.
    pub row_mm: f64,
}

impl RatioOptions {
    /// For a phone held upright: words of 12 px in 312 px, a row's name above it.
    #[must_use]
    pub const fn phone() -> Self {
        Self { width_mm: 104.0, text_mm: 4.0, row_mm: 12.4 }
    }
}

impl Default for RatioOptions {
    fn default() -> Self {
        Self { width_mm: 150.0, text_mm: 2.9, row_mm: 6.0 }
    }
}

/// Lines of the axis, as far as the rows reach.
const LINES: [(f64, &str); 9] = [
    (0.25, "¼"),
    (0.5, "½"),
    (0.667, "⅔"),
    (0.8, "0.8"),
    (1.0, "1"),
    (1.25, "1.25"),
    (1.5, "1.5"),
    (2.0, "2"),
    (4.0, "4"),
];

/// Draws the rows.
#[must_use]
pub fn ratios(rows: &[Ratio], options: &RatioOptions) -> Scene {
    let chart = Chart::new(rows, options);
    let mut items = chart.axis(rows.len());
    items.extend(rows.iter().enumerate().map(|(at, row)| chart.row(at, row)));
    let inside = rows.iter().filter(|row| row.inside).count();
    Scene {
        width_mm: options.width_mm,
        height_mm: chart.bottom(rows.len()),
        title: say!("Logged over planned").to_owned(),
        description: say!(
            "{n} numbers, each with its planned interval as a bar; {inside} of the logs are inside theirs.",
            n = rows.len()
        ),
        items,
    }
}

struct Chart {
    em: f64,
    row_mm: f64,
    top: f64,
    /// Ends of the axis, mm.
    left: f64,
    right: f64,
    /// Ends of the axis, as ratios.
    from: f64,
    to: f64,
    width: f64,
    /// Height of a line for a row's name above it; nothing where it stands beside.
    above: f64,
}

/// Below so many text sizes there is no room for names beside the rows. Our judgement.
const NARROW: f64 = 44.0;

impl Chart {
    fn new(rows: &[Ratio], options: &RatioOptions) -> Self {
        let em = options.text_mm;
        let widest = rows.iter().map(|row| width_mm(&row.name, em, Face::Condensed)).fold(0.0, f64::max);
        let narrow = options.width_mm < NARROW * em;
        let (left, above) = match narrow {
            true => (0.6 * em, 1.5 * em),
            false => (widest.min(0.4 * options.width_mm) + em, 0.0),
        };
        let verdict = width_mm(say!("outside"), em, Face::Regular) + em;
        let least = rows.iter().flat_map(|row| [row.low, row.logged]).fold(0.8, f64::min).max(0.2);
        let greatest = rows.iter().flat_map(|row| [row.high, row.logged]).fold(1.25, f64::max).min(5.0);
        let (from, to, row_mm) = (least / 1.06, greatest * 1.06, options.row_mm);
        let width = options.width_mm;
        Self { em, row_mm, top: 2.2 * em, left, right: width - verdict, from, to, width, above }
    }

    /// What lies past the ends of the axis is drawn at its end.
    fn x(&self, ratio: f64) -> f64 {
        let share = (ratio.clamp(self.from, self.to) / self.from).ln() / (self.to / self.from).ln();
        self.left + share * (self.right - self.left)
    }

    fn bottom(&self, rows: usize) -> f64 {
        self.top + self.row_mm * rows as f64 + 0.5
    }

    fn axis(&self, rows: usize) -> Vec<Item> {
        let inside = LINES.iter().filter(|(at, _)| (self.from..=self.to).contains(at));
        let mut last = f64::NEG_INFINITY;
        let mut items = Vec::new();
        for (at, label) in inside {
            let x = self.x(*at);
            let role = if *at == 1.0 { Role::DimInk } else { Role::Grid };
            let (from, to) = (Point { x, y: self.top - 0.4 }, Point { x, y: self.bottom(rows) });
            items.push(Line { from, to, stroke: Stroke::new(0.2, role) }.into());
            let label = if *at == 1.0 { say!("as planned").to_owned() } else { language::number((*label).to_owned()) };
            let half = 0.5 * width_mm(&label, self.em, Face::Condensed);
            // Where two would meet the plan's own line has its words; the others go without.
            if *at == 1.0 || (x - half > last + 0.5 * self.em && (x - self.x(1.0)).abs() > half + 3.0 * self.em) {
                let place = Point { x, y: self.top - 1.1 * self.em };
                items.push(words(self.em, place, Anchor::Middle, Face::Condensed, Role::DimInk, &label).into());
                last = x + half;
            }
        }
        items
    }

    fn row(&self, at: usize, row: &Ratio) -> Item {
        let (from, thick) = (self.top + self.row_mm * at as f64, self.row_mm - self.above);
        let middle = from + self.above + 0.5 * thick;
        let room = if self.above > 0.0 { self.width } else { self.left - self.em };
        let name = fitted(&row.name, self.em, Face::Condensed, room);
        let start = Point { x: 0.0, y: if self.above > 0.0 { from + 0.6 * self.above } else { middle } };
        let (low, high) = (self.x(row.low), self.x(row.high));
        let bar = Rect::new(low, middle - 0.22 * thick, (high - low).max(0.3), 0.44 * thick)
            .rounded(0.4)
            .filled(Paint::faint(Role::DimInk, 0.22))
            .stroked(Stroke::new(0.15, Role::DimInk));
        let (state, verdict) =
            if row.inside { (State::Holds, say!("inside")) } else { (State::Watch, say!("outside")) };
        let told = Point { x: self.width, y: middle };
        let mut items: Vec<Item> = vec![
            words(self.em, start, Anchor::Start, Face::Condensed, Role::Ink, &name).into(),
            bar.into(),
            words(self.em, told, Anchor::End, Face::Regular, Role::DimInk, verdict).into(),
        ];
        items.extend(state_mark(state, Point { x: self.x(row.logged), y: middle }, 0.5 * thick));
        Item::Group(Group { id: None, label: Some(row.told.clone()), clip: None, items })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(low: f64, high: f64, logged: f64) -> Ratio {
        let inside = (low..=high).contains(&logged);
        Ratio { name: "ring".to_owned(), low, high, logged, inside, told: String::new() }
    }

    #[test]
    fn half_and_twice_lie_as_far_from_the_plan() {
        let chart = Chart::new(&[row(0.5, 2.0, 1.0)], &RatioOptions::default());
        let (half, one, twice) = (chart.x(0.5), chart.x(1.0), chart.x(2.0));
        assert!((one - half - (twice - one)).abs() < 1e-9 && half > chart.left && twice < chart.right);
    }

    #[test]
    fn on_a_phone_a_name_stands_above_its_bar_and_both_are_read() {
        let rows = [row(0.5, 2.0, 1.0), row(0.8, 1.2, 1.4)];
        crate::looks::assert_readable(&ratios(&rows, &RatioOptions::phone()));
        let chart = Chart::new(&rows, &RatioOptions::phone());
        assert!(chart.left < chart.em && chart.right - chart.left > 0.6 * chart.width);
    }

    #[test]
    fn nothing_is_drawn_past_the_drawing_however_far_off_a_log_is() {
        let rows = [row(0.8, 1.2, 1.0), row(0.8, 1.2, 40.0), row(0.8, 1.2, 0.0)];
        let chart = Chart::new(&rows, &RatioOptions::default());
        for row in &rows {
            assert!((chart.left..=chart.right).contains(&chart.x(row.logged)));
        }
        let drawn = crate::svg::write(&ratios(&rows, &RatioOptions::default()), crate::svg::Colours::Properties);
        assert_eq!((drawn.matches(">inside<").count(), drawn.matches(">outside<").count()), (1, 2));
        assert!(!drawn.contains("NaN"));
    }
}
