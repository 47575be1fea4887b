//! A cut through the carved piece: depth along a straight line, with the model's range and each layer's target.
//!
//! Depth is drawn larger than length, and the drawing says how many times.

use crate::axis::{ValueAxis, round_values, tick_number};
use crate::pen::{self, Label, stroke, words};
use crate::scene::{Anchor, Face, Item, Line, Paint, Path, Rect, Scene};
use crate::theme::Role;
use artwork::grid::Point;
use language::say;
use plan::LayerPlan;
use plan::carving::Reading;
use quantity::{Length, UnitSystem, show::significant};

/// What is drawn.
#[derive(Debug, Clone, Copy)]
pub struct Cut<'a> {
    /// Along the line, in its order.
    pub readings: &'a [Reading],
    /// Deepest first.
    pub layers: &'a [LayerPlan],
    /// Of the blank.
    pub thickness: Length,
}

/// How it is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SectionOptions {
    /// Width of the whole drawing, 100 mm or more.
    pub width_mm: f64,
    /// Size of the words, 2 mm to 6 mm. Everything else grows with it.
    pub text_mm: f64,
    /// Units that the reader reads.
    pub units: UnitSystem,
}

impl Default for SectionOptions {
    fn default() -> Self {
        Self { width_mm: 180.0, text_mm: 2.7, units: UnitSystem::Metric }
    }
}

/// Draws a cut.
#[must_use]
pub fn section(cut: &Cut<'_>, options: &SectionOptions) -> Scene {
    let page = Page::new(cut, options);
    let mut items = page.grid();
    items.extend(page.ground());
    items.extend(page.targets());
    items.extend(page.foot());
    Scene {
        width_mm: page.width_mm,
        height_mm: page.depth.bottom_mm + 5.0 * page.em,
        title: say!("Section through the carved piece").to_owned(),
        description: page.description(),
        items,
    }
}

struct Page<'a> {
    cut: &'a Cut<'a>,
    em: f64,
    width_mm: f64,
    left_mm: f64,
    right_mm: f64,
    /// In the reader's unit.
    depth: ValueAxis,
    length_mm: f64,
    unit: Unit,
}

/// The reader's unit of length.
#[derive(Clone, Copy)]
struct Unit {
    name: &'static str,
    mm: f64,
}

/// Room left of the plot, right of it, and its height, in text sizes.
const LEFT: f64 = 6.5;
const RIGHT: f64 = 13.0;
const PLOT: f64 = 20.0;

impl<'a> Page<'a> {
    fn new(cut: &'a Cut<'a>, options: &SectionOptions) -> Self {
        let em = options.text_mm.clamp(2.0, 6.0);
        let width_mm = options.width_mm.clamp(100.0, 2000.0).max((LEFT + RIGHT + 10.0) * em);
        let unit = match options.units {
            UnitSystem::Metric => Unit { name: "mm", mm: 1.0 },
            UnitSystem::Us => Unit { name: "in", mm: 25.4 },
        };
        let highs = cut.readings.iter().map(|reading| reading.depth.high().to_mm());
        let crossed = cut.layers.iter().enumerate().filter(|(i, _)| cut.crosses(*i));
        let deepest = highs.chain(crossed.map(|(_, layer)| layer.target.to_mm())).fold(0.1, f64::max);
        let bottom = (1.08 * deepest).min(cut.thickness.to_mm().max(0.1));
        let depth =
            ValueAxis { top_mm: 2.4 * em, bottom_mm: (2.4 + PLOT) * em, at_top: 0.0, at_bottom: bottom / unit.mm };
        let length_mm = cut.readings.last().map_or(0.0, |reading| reading.along_mm).max(1e-6);
        Self { cut, em, width_mm, left_mm: LEFT * em, right_mm: width_mm - RIGHT * em, depth, length_mm, unit }
    }

    fn x_mm(&self, along_mm: f64) -> f64 {
        self.left_mm + (self.right_mm - self.left_mm) * (along_mm / self.length_mm).clamp(0.0, 1.0)
    }

    fn y_mm(&self, depth: Length) -> f64 {
        self.depth.y_mm(depth.to_mm() / self.unit.mm)
    }

    fn grid(&self) -> Vec<Item> {
        let thin = stroke(self.em, 0.5, Role::Grid);
        let number = |at, anchor, text: &str| words(self.em, at, anchor, Face::Condensed, Role::DimInk, text).into();
        let mut items = Vec::new();
        let depths = round_values(self.depth.at_bottom, 5);
        for &value in &depths {
            let y = self.depth.y_mm(value);
            items.push(line(Point { x: self.left_mm, y }, Point { x: self.right_mm, y }, thin));
            let at = Point { x: self.left_mm - 0.6 * self.em, y };
            items.push(number(at, Anchor::End, &tick_number(value, &depths)));
        }
        let alongs = round_values(self.length_mm / self.unit.mm, 8);
        for &value in &alongs {
            let x = self.x_mm(value * self.unit.mm);
            let from = Point { x, y: self.depth.top_mm };
            items.push(line(from, Point { x, y: self.depth.bottom_mm }, thin));
            let at = Point { x, y: self.depth.bottom_mm + 0.9 * self.em };
            items.push(number(at, Anchor::Middle, &tick_number(value, &alongs)));
        }
        let head = Point { x: 0.0, y: 0.7 * self.em };
        items.push(words(self.em, head, Anchor::Start, Face::SemiBold, Role::Ink, say!(in "an axis", "depth")).into());
        items.push(number(Point { x: 3.4 * self.em, ..head }, Anchor::Start, self.unit.name));
        items
    }

    /// The glass that stays, the range of its surface, the surface itself, and the resist where it stays.
    fn ground(&self) -> Vec<Item> {
        let readings = self.cut.readings;
        let curve = |depth: fn(&Reading) -> Length| -> Vec<Point> {
            let at = |reading: &Reading| Point { x: self.x_mm(reading.along_mm), y: self.y_mm(depth(reading)) };
            thinned(&readings.iter().map(at).collect::<Vec<_>>(), 0.01 * self.em)
        };
        let (low, mid, high) = (
            curve(|reading| reading.depth.low()),
            curve(|reading| reading.depth.mid()),
            curve(|reading| reading.depth.high()),
        );
        let bottom = [self.right_mm, self.left_mm].map(|x| Point { x, y: self.depth.bottom_mm });
        let glass = Path::polygon(mid.iter().copied().chain(bottom)).filled(Paint::faint(Role::Glass, 0.22));
        let range = Path::polygon(low.into_iter().chain(high.into_iter().rev())).filled(Paint::faint(Role::Ink, 0.16));
        let mut items = vec![glass.into(), range.into()];
        items.extend(Path::polyline(mid, stroke(self.em, 1.6, Role::Ink)).map(Item::from));
        items.extend(self.spans(|reading| reading.layer.is_none()).into_iter().map(|(from, to)| {
            let (x, height) = (self.x_mm(from), 0.6 * self.em);
            Rect::new(x, self.depth.top_mm - height, self.x_mm(to) - x, height).filled(Role::DimInk).into()
        }));
        items
    }

    /// Each layer's target, where the line crosses it, named in the margin.
    fn targets(&self) -> Vec<Item> {
        let dashed = stroke(self.em, 1.0, Role::Ink).dashed(0.9 * self.em, 0.45 * self.em);
        let (mut items, mut labels) = (Vec::new(), Vec::new());
        for (i, layer) in self.cut.layers.iter().enumerate().filter(|(i, _)| self.cut.crosses(*i)) {
            let y = self.y_mm(layer.target);
            for (from, to) in self.spans(|reading| reading.layer == Some(i)) {
                items.push(line(Point { x: self.x_mm(from), y }, Point { x: self.x_mm(to), y }, dashed));
            }
            let number = significant(layer.target.to_mm() / self.unit.mm, 3);
            labels.push(Label { y_mm: y, number, name: layer.name.clone(), paint: Role::Ink.into() });
        }
        let lane = (self.depth.top_mm, self.depth.bottom_mm);
        items.extend(pen::labels(self.em, (self.right_mm, self.width_mm), lane, &labels));
        items
    }

    fn foot(&self) -> Vec<Item> {
        let y = self.depth.bottom_mm + 2.6 * self.em;
        let times = self.depth.height_mm()
            / (self.depth.at_bottom * self.unit.mm)
            / ((self.right_mm - self.left_mm) / self.length_mm);
        let (unit, times) = (self.unit.name, significant(times, 2));
        let text = match self.ends() {
            Some((from, to)) => say!("{unit} along, from {from} to {to}; depth drawn {times} times as large"),
            None => say!("{unit} along; depth drawn {times} times as large"),
        };
        let second = say!("line: middle of the model; band: its 90 % range; dashes: wanted; blocks above: resist");
        let told = |y: f64, text: &str| {
            let at = Point { x: self.left_mm, y };
            words(self.em, at, Anchor::Start, Face::Condensed, Role::DimInk, text).into()
        };
        vec![told(y, &text), told(y + 1.35 * self.em, second)]
    }

    /// Where the line starts and ends on the blank.
    fn ends(&self) -> Option<(String, String)> {
        let told = |reading: &Reading| {
            let [x, y] = [reading.at.x, reading.at.y].map(|mm| significant(mm / self.unit.mm, 4));
            say!(in "a point", "{x}, {y}")
        };
        Some((told(self.cut.readings.first()?), told(self.cut.readings.last()?)))
    }

    /// The stretches in which something is so, in millimetres along the line.
    fn spans(&self, so: impl Fn(&Reading) -> bool) -> Vec<(f64, f64)> {
        let runs = self.cut.readings.chunk_by(|a, b| so(a) == so(b)).filter(|run| so(&run[0]));
        runs.map(|run| (run[0].along_mm, run[run.len() - 1].along_mm)).filter(|(from, to)| to > from).collect()
    }

    fn description(&self) -> String {
        let deepest = self.cut.readings.iter().max_by(|a, b| a.depth.mid().to_mm().total_cmp(&b.depth.mid().to_mm()));
        let Some(deepest) = deepest else { return say!("No place was read.").to_owned() };
        let told = |length: Length| significant(length.to_mm() / self.unit.mm, 3);
        say!(
            "Over {} {} the deepest place is {} ({}–{}) {} deep, {} {} along.",
            significant(self.length_mm / self.unit.mm, 3),
            self.unit.name,
            told(deepest.depth.mid()),
            told(deepest.depth.low()),
            told(deepest.depth.high()),
            self.unit.name,
            significant(deepest.along_mm / self.unit.mm, 3),
            self.unit.name,
        )
    }
}

impl Cut<'_> {
    fn crosses(&self, layer: usize) -> bool {
        self.readings.iter().any(|reading| reading.layer == Some(layer))
    }
}

/// The points of a line without which it would stray by more than a tolerance (Douglas and Peucker 1973).
fn thinned(points: &[Point], tolerance: f64) -> Vec<Point> {
    let mut keep = vec![false; points.len()];
    let mut open = vec![(0, points.len().saturating_sub(1))];
    for end in [0, points.len().saturating_sub(1)] {
        keep.iter_mut().skip(end).take(1).for_each(|keep| *keep = true);
    }
    while let Some((from, to)) = open.pop() {
        let (a, b) = match (points.get(from), points.get(to)) {
            (Some(a), Some(b)) if to > from + 1 => (a, b),
            _ => continue,
        };
        // x rises, so the height over the chord bounds the distance to it.
        let off = |p: &Point| (p.y - a.y - (b.y - a.y) * (p.x - a.x) / (b.x - a.x).max(1e-12)).abs();
        let worst = (from + 1..to).max_by(|&i, &j| off(&points[i]).total_cmp(&off(&points[j])));
        if let Some(at) = worst.filter(|&at| off(&points[at]) > tolerance) {
            keep[at] = true;
            open.extend([(from, at), (at, to)]);
        }
    }
    points.iter().zip(keep).filter(|(_, keep)| *keep).map(|(point, _)| *point).collect()
}

fn line(from: Point, to: Point, stroke: crate::scene::Stroke) -> Item {
    Line { from, to, stroke }.into()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::looks::{assert_readable, show};
    use crate::theme::Theme;
    use artwork::region::Region;
    use plan::Reach;
    use quantity::{Area, Estimate, Fraction};

    fn mm(value: f64) -> Length {
        Length::mm(value).unwrap()
    }

    fn layers() -> Vec<LayerPlan> {
        let layer = |(name, target): (&str, f64)| LayerPlan {
            name: name.to_owned(),
            target: mm(target),
            area: Area::square_mm(100.0).unwrap(),
            region: Region::default(),
            reach: Reach {
                wide: Estimate::exact(mm(target)),
                has_flat: true,
                short: Fraction::ratio(0.0).unwrap(),
                worst: None,
            },
        };
        [("heron's wing", 2.0), ("reeds", 1.2)].map(layer).to_vec()
    }

    /// A wide trough, resist, and a narrow groove that stays short.
    fn readings() -> Vec<Reading> {
        let at = |i: u32| {
            let along = 0.05 * f64::from(i);
            let (layer, depth) = match along {
                x if x < 6.0 => (None, 0.0),
                x if x < 30.0 => (Some(0), (1.5 * (x - 6.0)).min(1.5 * (30.0 - x)).min(2.0)),
                x if x < 40.0 => (None, 0.0),
                x if x < 41.2 => (Some(1), (1.5 * (x - 40.0)).min(1.5 * (41.2 - x))),
                _ => (None, 0.0),
            };
            let depth = Estimate::new(mm(0.6 * depth), mm(depth), mm(1.5 * depth)).unwrap();
            Reading { at: Point { x: 20.0 + along, y: 55.0 }, along_mm: along, layer, depth }
        };
        (0..=1000).map(at).collect()
    }

    #[test]
    fn a_section_shows_surface_range_targets_and_resist() {
        let (readings, layers) = (readings(), layers());
        let cut = Cut { readings: &readings, layers: &layers, thickness: mm(10.0) };
        for (name, units) in [("section", UnitSystem::Metric), ("section-us", UnitSystem::Us)] {
            let scene = section(&cut, &SectionOptions { units, ..SectionOptions::default() });
            for language in language::Language::ALL {
                assert_readable(
                    &language.scope(|| section(&cut, &SectionOptions { units, ..SectionOptions::default() })),
                );
            }
            show(&scene, Theme::Dark, name);
            show(&scene, Theme::Light, &format!("{name}-light"));
        }
        let scene = section(&cut, &SectionOptions::default());
        assert!(scene.description.starts_with("Over 50.0 mm the deepest place is 2.00 (1.20–3.00) mm deep"));
        let blocks = scene.items.iter().filter(|item| matches!(item, Item::Rect(_))).count();
        assert_eq!(blocks, 3, "resist before, between and after");
    }

    #[test]
    fn a_line_beside_all_artwork_and_no_line_at_all_are_drawn_too() {
        let beside: Vec<Reading> = readings().into_iter().take(100).collect();
        let layers = layers();
        for readings in [&beside[..], &beside[..1], &[]] {
            let scene = section(&Cut { readings, layers: &layers, thickness: mm(10.0) }, &SectionOptions::default());
            assert_readable(&scene);
        }
    }

    #[test]
    fn thinning_keeps_corners_and_drops_what_lies_between() {
        let tent: Vec<Point> =
            (0..=100).map(|i| Point { x: f64::from(i), y: f64::from(50 - (i - 50i32).abs()) }).collect();
        let kept: Vec<f64> = thinned(&tent, 0.01).iter().map(|p| p.x).collect();
        assert_eq!(kept, [0.0, 50.0, 100.0]);
        assert!(thinned(&[], 0.01).is_empty() && thinned(&tent[..1], 0.01).len() == 1);
    }
}
