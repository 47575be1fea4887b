//! Artwork on a turned body, seen from slightly above: how a stencil comes to lie on a vessel.
//!
//! Parallel light, lines only: what the eye checks is where the artwork sits, how it bends and what goes round the back.

use crate::pen::words;
use crate::scene::{Anchor, Face, Item, Paint, Path, Scene, Segment, Stroke};
use crate::theme::Role;
use artwork::bounds::Bounds;
use artwork::grid::Point;
use artwork::region::{FillRule, Region, Ring};
use language::say;
use std::f64::consts::{FRAC_PI_2, PI};

/// A ring of the body: what lies at a distance down its side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hoop {
    /// From the axis, mm.
    pub radius_mm: f64,
    /// Upright, down from the rim, mm.
    pub down_mm: f64,
}

/// A handle, at the right of the picture's back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurnedHandle {
    /// Half of the gap around it, along the side.
    pub half_mm: f64,
    /// Down the side, its upper and lower end.
    pub down_mm: (f64, f64),
}

/// What is drawn.
pub struct Turned<'a> {
    /// What it is called.
    pub name: &'a str,
    /// Length of the side from rim to foot.
    pub side_mm: f64,
    /// The body at a distance down its side.
    pub profile: &'a dyn Fn(f64) -> Hoop,
    /// The artwork, flat: x along the side from the line nearest to the eye, y down the side from the rim.
    pub artwork: &'a Region,
    /// Radius at which a millimetre of artwork is a millimetre around.
    pub true_radius_mm: f64,
    /// A handle, opposite the artwork's middle.
    pub handle: Option<TurnedHandle>,
}

/// How much of a radius a ring seems high: the sine of the angle from which it is seen.
const TILT: f64 = 0.16;
/// Longest piece of an edge that is drawn straight, mm.
const STEP_MM: f64 = 1.0;
/// Rings drawn on the side to show its form.
const HOOPS: usize = 6;
/// Size of the words.
const WORDS_MM: f64 = 2.7;
/// Room around the body, as a share of its longer side.
const MARGIN: f64 = 0.06;

/// Draws the body `width_mm` wide: the far side dim through the near one.
#[must_use]
pub fn turned(body: &Turned<'_>, width_mm: f64) -> Scene {
    let seen = seen(body);
    let margin = MARGIN * seen.width_mm().max(seen.height_mm());
    let around = seen.grown(margin);
    let view = View { body, origin: around.min, scale: width_mm / around.width_mm() };
    let mut items: Vec<Item> = vec![view.silhouette().filled(Role::Behind).into()];
    items.push(view.artwork(false).filled(Paint::faint(Role::Depth(1.0), 0.22)).into());
    items.extend(view.hoops());
    items.extend(body.handle.iter().flat_map(|handle| view.handle(handle)));
    items.push(view.artwork(true).filled(Role::Depth(1.0)).into());
    items.push(view.silhouette().stroked(Stroke::new(0.3, Paint::faint(Role::Glass, 0.8))).into());
    Scene {
        width_mm,
        height_mm: view.scale * around.height_mm(),
        title: say!("{} on the vessel", body.name),
        description: say!("Seen from slightly above; the far side shows dim through the near one.").to_owned(),
        items,
    }
}

/// The rectangle around all rings as they are seen.
fn seen(body: &Turned<'_>) -> Bounds {
    let rings = (0..=32).map(|i| (body.profile)(body.side_mm * f64::from(i) / 32.0));
    let boxes = rings.map(|hoop| Bounds {
        min: Point { x: -hoop.radius_mm, y: hoop.down_mm - TILT * hoop.radius_mm },
        max: Point { x: hoop.radius_mm, y: hoop.down_mm + TILT * hoop.radius_mm },
    });
    boxes.reduce(Bounds::with).unwrap_or(Bounds::from_size(1.0, 1.0))
}

struct View<'a> {
    body: &'a Turned<'a>,
    origin: Point,
    scale: f64,
}

impl View<'_> {
    /// Where a place of the side is seen: azimuth from the eye, distance down the side.
    fn place(&self, azimuth: f64, down_mm: f64) -> Point {
        let hoop = (self.body.profile)(down_mm);
        let (sin, cos) = azimuth.sin_cos();
        let (x, y) = (hoop.radius_mm * sin, hoop.down_mm + TILT * hoop.radius_mm * cos);
        Point { x: self.scale * (x - self.origin.x), y: self.scale * (y - self.origin.y) }
    }

    /// Both flanks, closed by the rim behind and the foot before.
    fn silhouette(&self) -> Path {
        let side = self.body.side_mm;
        let steps = |n: usize| (0..=n).map(move |i| i as f64 / n as f64);
        let rim = steps(48).map(|t| self.place(-FRAC_PI_2 - PI * t, 0.0));
        let right = steps(32).map(|t| self.place(FRAC_PI_2, side * t));
        let foot = steps(48).map(|t| self.place(FRAC_PI_2 - PI * t, side));
        let left = steps(32).map(|t| self.place(-FRAC_PI_2, side * (1.0 - t)));
        Path::polygon(rim.chain(right).chain(foot).chain(left))
    }

    /// Rings on the side; the rim whole, the others in front.
    fn hoops(&self) -> Vec<Item> {
        let arc = |down_mm: f64, from: f64, to: f64, opacity: f64| {
            let points = (0..=64).map(|i| self.place(from + (to - from) * f64::from(i) / 64.0, down_mm));
            Path::polyline(points, Stroke::new(0.2, Paint::faint(Role::Glass, opacity))).map(Item::from)
        };
        let rim = arc(0.0, -PI, PI, 0.8);
        let front = (1..HOOPS).map(|i| i as f64 / HOOPS as f64 * self.body.side_mm);
        rim.into_iter().chain(front.filter_map(|down| arc(down, -FRAC_PI_2, FRAC_PI_2, 0.16))).collect()
    }

    /// The artwork on the near or on the far half.
    fn artwork(&self, near: bool) -> Path {
        let radius = self.body.true_radius_mm;
        let half = FRAC_PI_2 * radius;
        let band =
            Region::rectangle(Bounds { min: Point { x: -half, y: 0.0 }, max: Point { x: half, y: self.body.side_mm } });
        let part = if near { self.body.artwork.intersect(&band) } else { self.body.artwork.subtract(&band) };
        let mut segments = Vec::new();
        for ring in part.rings() {
            let points = stepped(ring).map(|p| self.place(p.x / radius, p.y.clamp(0.0, self.body.side_mm)));
            for (i, p) in points.enumerate() {
                segments.push(if i == 0 { Segment::Move(p) } else { Segment::Line(p) });
            }
            segments.push(Segment::Close);
        }
        Path { segments, rule: FillRule::EvenOdd, fill: None, stroke: None }
    }

    /// The gap that a handle takes, on the far side.
    fn handle(&self, handle: &TurnedHandle) -> [Item; 2] {
        let (from, to) = handle.down_mm;
        let half = |down_mm: f64| handle.half_mm / (self.body.profile)(down_mm).radius_mm.max(1e-6);
        let corners = [(-1.0, from), (1.0, from), (1.0, to), (-1.0, to)];
        let points = corners.map(|(side, down_mm)| self.place(PI + side * half(down_mm), down_mm));
        let outline = Path::polygon(points).stroked(Stroke::new(0.3, Role::Watch).dashed(1.2, 0.8));
        let top = self.place(PI, from);
        let at = Point { x: top.x, y: top.y + 2.0 * WORDS_MM };
        let words = words(WORDS_MM, at, Anchor::Middle, Face::Condensed, Role::DimInk, say!("handle, behind"));
        [outline.into(), words.into()]
    }
}

/// A ring with no edge longer than a step.
fn stepped(ring: &Ring) -> impl Iterator<Item = Point> + '_ {
    ring.edges().flat_map(|(a, b)| {
        let n = ((b.x - a.x).hypot(b.y - a.y) / STEP_MM).ceil().max(1.0) as usize;
        (0..n).map(move |i| {
            let t = i as f64 / n as f64;
            Point { x: a.x + (b.x - a.x) * t, y: a.y + (b.y - a.y) * t }
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn body(artwork: &Region) -> Scene {
        let profile = |down_mm: f64| Hoop { radius_mm: 40.0 - 0.1 * down_mm, down_mm };
        let turned_body = Turned {
            name: "band",
            side_mm: 100.0,
            profile: &profile,
            artwork,
            true_radius_mm: 40.0,
            handle: Some(TurnedHandle { half_mm: 10.0, down_mm: (20.0, 70.0) }),
        };
        turned(&turned_body, 120.0)
    }

    fn extent(scene: &Scene, item: usize) -> (f64, f64) {
        let Item::Path(path) = &scene.items[item] else { panic!("a path") };
        let xs = path.segments.iter().filter_map(|segment| match segment {
            Segment::Move(p) | Segment::Line(p) => Some(p.x),
            _ => None,
        });
        xs.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)))
    }

    #[test]
    fn a_band_once_around_spans_the_body_in_front_and_behind() {
        let half = 40.0 * PI - 0.5;
        let band = Region::rectangle(Bounds { min: Point { x: -half, y: 0.0 }, max: Point { x: half, y: 20.0 } });
        let scene = body(&band);
        let outline = extent(&scene, 0);
        let near = scene
            .items
            .iter()
            .position(|item| matches!(item, Item::Path(p) if p.fill == Some(Role::Depth(1.0).into())));
        for item in [1, near.unwrap()] {
            let seen = extent(&scene, item);
            assert!((seen.0 - outline.0).abs() < 0.5 && (seen.1 - outline.1).abs() < 0.5, "{seen:?} {outline:?}");
        }
        assert!((scene.width_mm - 120.0).abs() < 1e-9);
    }
}
