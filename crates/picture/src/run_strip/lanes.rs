//! The lanes that show a value: depth, air, resist, dust and door.

use super::page::Page;
use crate::axis::ValueAxis;
use crate::pen::Label;
use crate::scene::{Anchor, Face, Item, Paint, Path, Rect, Segment};
use crate::theme::Role;
use artwork::grid::Point;
use language::say;
use plan::DepthLine;
use quantity::show::{Rung, Show as _};
use quantity::{GaugePressure, Length, Quantity, Time};

/// A plain number of a quantity, in the unit of a rung.
fn in_unit<Q: Quantity>(quantity: Q, rung: &Rung) -> f64 {
    (quantity.to_base() - rung.offset) / rung.factor
}

/// Dashes tell depth lines apart where tone does not; in text sizes.
const DASHES: [Option<(f64, f64)>; 4] = [None, Some((1.2, 0.35)), Some((0.55, 0.35)), Some((0.2, 0.3))];

impl Page<'_> {
    /// Down is into the blank: the surface is at the top.
    pub(super) fn depth(&mut self) {
        let lane = self.lanes.depth;
        let deepest = deepest(&self.strip.depth);
        let rung = Length::rung(deepest, self.options.units);
        let most = (deepest / rung.factor).max(1e-3);
        let scale = ValueAxis { top_mm: lane.0, bottom_mm: lane.1, at_top: 0.0, at_bottom: 1.04 * most };
        self.heading(lane, say!(in "a lane of the run strip", "depth"), rung.unit);
        self.value_ticks(&scale, most);
        let lines = self.strip.depth.iter().enumerate();
        let labels: Vec<Label> = lines.map(|(i, line)| self.depth_line(i, line, &scale, &rung, deepest)).collect();
        self.labels(lane, &labels);
    }

    fn depth_line(&mut self, i: usize, line: &DepthLine, scale: &ValueAxis, rung: &Rung, deepest: f64) -> Label {
        let paint = Paint::solid(Role::DepthLine((line.target.to_base() / deepest.max(1e-9)) as f32));
        let mut stroke = self.stroke(1.7, paint);
        stroke.dash_mm = DASHES[i % DASHES.len()].map(|(dash, gap)| (dash * self.em, gap * self.em));
        // Lines at the surface would lie over each other: each starts where its layer is opened.
        let uncut = line.points.iter().take_while(|(_, depth)| depth.to_base() <= 0.0).count();
        let cut = &line.points[uncut.saturating_sub(1)..];
        let points: Vec<(Time, f64)> = cut.iter().map(|&(t, d)| (t, in_unit(d, rung))).collect();
        let curve = self.curve(&points, scale);
        self.items.extend(Path::polyline(curve, stroke).map(Item::from));
        let target = in_unit(line.target, rung);
        let y_mm = scale.y_mm(target);
        let tick = [(-1.4, y_mm), (0.0, y_mm)].map(|(em, y)| Point { x: self.axis.right_mm + em * self.em, y });
        self.items.extend(Path::polyline(tick, self.stroke(1.0, paint)).map(Item::from));
        let number = line.target.show_digits(self.options.units, 2).number;
        Label { y_mm, number, name: line.name.clone(), paint }
    }

    pub(super) fn air(&mut self) {
        let (lane, air) = (self.lanes.air, &self.strip.air);
        let highest = air.receiver.iter().map(|&(_, p)| p).fold(air.cut_out, |a, b| if a < b { b } else { a });
        let rung = GaugePressure::rung(highest.to_base(), self.options.units);
        let most = in_unit(highest, &rung).max(1e-3);
        let scale = ValueAxis { top_mm: lane.0, bottom_mm: lane.1, at_top: 1.06 * most, at_bottom: 0.0 };
        self.heading(lane, say!(in "a lane of the run strip", "air"), rung.unit);
        let (receiver, nozzle) = (self.stroke(1.0, Role::DimInk), self.stroke(2.2, Role::Ink));
        self.legend(lane, 0, receiver, say!(in "a line of pressure", "receiver"));
        self.legend(lane, 1, nozzle, say!(in "a line of pressure", "nozzle"));
        self.value_ticks(&scale, most);
        let marks = [
            (say!(in "a pressure", "cut-out"), air.cut_out, 0.6),
            (say!(in "a pressure", "cut-in"), air.cut_in, 0.6),
            (say!(in "a pressure", "set"), air.set, 0.15),
        ];
        let labels = marks.map(|(name, pressure, dash)| {
            let y_mm = scale.y_mm(in_unit(pressure, &rung));
            self.pressure_mark(name, in_unit(pressure, &rung), y_mm, dash, &rung)
        });
        self.labels(lane, &labels);
        let points: Vec<(Time, f64)> = air.receiver.iter().map(|&(t, p)| (t, in_unit(p, &rung))).collect();
        let curve = self.curve(&points, &scale);
        self.items.extend(Path::polyline(curve, receiver).map(Item::from));
        for run in runs(&air.nozzle) {
            let points: Vec<(Time, f64)> = run.into_iter().map(|(t, p)| (t, in_unit(p, &rung))).collect();
            let curve = self.curve(&points, &scale);
            self.items.extend(Path::polyline(curve, nozzle).map(Item::from));
        }
    }

    /// A line of dashes of a length in text sizes, and what it is called.
    fn pressure_mark(&mut self, name: &str, pressure: f64, y_mm: f64, dash: f64, rung: &Rung) -> Label {
        let paint = Paint::faint(Role::DimInk, 0.8);
        self.rule(y_mm, self.stroke(0.6, paint).dashed(dash * self.em, 0.4 * self.em));
        let decimals = usize::from(rung.unit == "bar");
        let number = language::number(format!("{pressure:.decimals$}"));
        Label { y_mm, number, name: name.to_owned(), paint }
    }

    pub(super) fn resist(&mut self) {
        let lane = self.lanes.resist;
        let scale = ValueAxis { top_mm: lane.0, bottom_mm: lane.1, at_top: 100.0, at_bottom: 0.0 };
        self.heading(lane, say!("resist left"), "%");
        self.value_ticks(&scale, 100.0);
        let points: Vec<(Time, f64)> = self.strip.resist_left.iter().map(|&(t, left)| (t, 100.0 * left)).collect();
        let curve = self.curve(&points, &scale);
        let worn = points.iter().find(|&&(_, left)| left <= 0.0).map(|&(t, _)| t);
        let end = points.last().map_or(100.0, |&(_, left)| left);
        self.items.extend(Path::polyline(curve, self.stroke(1.4, Role::Ink)).map(Item::from));
        if let Some(time) = worn {
            self.worn_mark(time, lane.1);
        }
        let (role, name) =
            if worn.is_some() { (Role::Stop, say!("past its limit")) } else { (Role::DimInk, say!("at the end")) };
        let number = format!("{:.0}", end.max(0.0));
        self.labels(lane, &[Label { y_mm: scale.y_mm(end), number, name: name.to_owned(), paint: role.into() }]);
    }

    /// A square, the shape of 'stop', where the permitted wear is used up.
    fn worn_mark(&mut self, time: Time, y: f64) {
        let side = 0.9 * self.em;
        let x = self.axis.x_mm(time);
        self.push(Rect::new(x - 0.5 * side, y - side, side, side).filled(Role::Stop));
    }

    pub(super) fn dust(&mut self) {
        let lane = self.lanes.dust;
        let points: Vec<(Time, f64)> = self.strip.dust.iter().map(|&(t, d)| (t, 100.0 * d)).collect();
        let most = points.iter().map(|&(_, d)| d).fold(100.0, f64::max);
        let scale = ValueAxis { top_mm: lane.0, bottom_mm: lane.1, at_top: most, at_bottom: 0.0 };
        self.heading(lane, say!(in "a lane of the run strip", "dust"), "%");
        self.value_ticks(&scale, most);
        let curve = self.curve(&points, &scale);
        self.items.extend(area(&curve, lane.1).map(Item::from));
        self.items.extend(Path::polyline(curve, self.stroke(0.9, Role::DimInk)).map(Item::from));
        let y_mm = scale.y_mm(100.0);
        let label = Label { y_mm, number: "100".into(), name: say!("steady blast").into(), paint: Role::Grid.into() };
        self.labels(lane, &[label]);
    }

    /// A thin line while it stays shut, a box while it may be opened.
    pub(super) fn door(&mut self) {
        let (top, bottom) = self.lanes.door;
        self.heading(
            (top + 0.5 * (bottom - top) - 0.35 * self.em, bottom),
            say!(in "a lane of the run strip", "door"),
            say!("may be opened"),
        );
        let middle = 0.5 * (top + bottom);
        self.rule(middle, self.stroke(0.6, Role::DimInk));
        for &(from, to) in &self.strip.door {
            let (from, to) = (self.axis.x_mm(from), self.axis.x_mm(to));
            let line = self.stroke(0.7, Role::Ink);
            let inset = 0.5 * line.width_mm.min(to - from);
            let open = Rect::new(from + inset, top + inset, to - from - 2.0 * inset, bottom - top - 2.0 * inset);
            self.push(open.filled(Role::Ground).stroked(line));
            if to - from > 3.2 * self.em {
                let x = 0.5 * (from + to);
                self.push(self.words(
                    x,
                    middle,
                    Anchor::Middle,
                    Face::Condensed,
                    Role::Ink,
                    say!(in "the door", "open"),
                ));
            }
        }
    }
}

/// The greatest depth that a line reaches or aims at, in metres.
fn deepest(lines: &[DepthLine]) -> f64 {
    let reached = |line: &DepthLine| line.points.iter().map(|&(_, depth)| depth.to_base()).fold(0.0, f64::max);
    lines.iter().map(|line| line.target.to_base().max(reached(line))).fold(0.0, f64::max)
}

/// The stretches in which the nozzle is open.
fn runs(points: &[(Time, Option<GaugePressure>)]) -> Vec<Vec<(Time, GaugePressure)>> {
    let split = points.split(|(_, pressure)| pressure.is_none());
    let run = |run: &[(Time, Option<GaugePressure>)]| run.iter().filter_map(|&(t, p)| Some((t, p?))).collect();
    split.filter(|run| run.len() > 1).map(run).collect()
}

/// The area between a curve and the bottom of its lane.
fn area(curve: &[Point], bottom: f64) -> Option<Path> {
    let (first, last) = (curve.first()?, curve.last()?);
    let mut segments = vec![Segment::Move(Point { x: first.x, y: bottom })];
    segments.extend(curve.iter().copied().map(Segment::Line));
    segments.extend([Segment::Line(Point { x: last.x, y: bottom }), Segment::Close]);
    let closed = Path { segments, ..Path::polygon([]) };
    Some(closed.filled(Paint::faint(Role::DimInk, 0.3)))
}
