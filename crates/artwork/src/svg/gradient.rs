//! Gradients as steps of tone, one painted over the other.

use super::Rgb;
use super::walk::{affine, rgb};
use kurbo::{Affine, Rect};
use usvg::tiny_skia_path::{Path, PathBuilder, Rect as PixelRect};
use usvg::{SpreadMethod, Stop};

/// One tone of a gradient and all that later bands paint over: neighbours share ground, so that no seam is between
/// them.
pub(super) struct Band {
    pub(super) paint: Rgb,
    /// Filled even-odd, in the band's own units.
    pub(super) path: Path,
    /// From those to the painted element's units.
    pub(super) map: Affine,
}

/// Most bands of one gradient.
const BANDS_MAX: usize = 200;
/// Steps between black and white.
const STEPS: f64 = 12.0;
/// What lets more than this of the ground through is not painted.
const CLEAR: f64 = 1.0 / 32.0;

/// A gradient over what it paints, `around`, both in the painted element's units; `None` when it is none that can be
/// cut into bands: a pattern, a focus outside its circle, or too many repeats.
pub(super) fn bands(paint: &usvg::Paint, around: Rect) -> Option<Vec<Band>> {
    let (base, shape) = match paint {
        usvg::Paint::LinearGradient(g) => (&***g, Shape::linear([g.x1(), g.y1(), g.x2(), g.y2()].map(f64::from))),
        usvg::Paint::RadialGradient(g) => {
            let numbers = [g.cx(), g.cy(), g.r().get(), g.fx(), g.fy(), g.fr().get()].map(f64::from);
            (&***g, Shape::radial(numbers)?)
        }
        _ => return None,
    };
    let map = affine(base.transform()) * shape.frame();
    let around = map.inverse().transform_rect_bbox(around);
    if !around.is_finite() {
        return None;
    }
    let (first, last) = shape.range(around);
    let cuts = cuts(base.stops(), base.spread_method(), first, last)?;
    let tone = |pair: &[f64]| {
        let (tone, opacity) = colour(base.stops(), base.spread_method(), 0.5 * (pair[0] + pair[1]));
        (opacity >= CLEAR).then(|| over_white(tone, opacity))
    };
    let steps: Vec<Step> = cuts.windows(2).map(|pair| Step { from: pair[0], to: pair[1], tone: tone(pair) }).collect();
    let mut made = Vec::new();
    for run in steps.chunk_by(|a, b| a.tone.is_some() == b.tone.is_some()) {
        made.extend(shape.bands(run, around).map(|(paint, path)| Band { paint, path, map }));
    }
    Some(made)
}

/// A stretch along a gradient of one tone; `None` where it is clear.
struct Step {
    from: f64,
    to: f64,
    tone: Option<Rgb>,
}

/// How a gradient runs, in a frame of its own.
enum Shape {
    /// Along x from 0 to 1; the frame leads from there to its ends.
    Linear(Affine),
    /// From a focus of some radius to a circle; its frame is the gradient's own.
    Radial { focus: (f64, f64, f64), circle: (f64, f64, f64) },
}

impl Shape {
    fn linear([x1, y1, x2, y2]: [f64; 4]) -> Self {
        let (dx, dy) = (x2 - x1, y2 - y1);
        Self::Linear(Affine::new([dx, dy, -dy, dx, x1, y1]))
    }

    fn radial([cx, cy, r, fx, fy, fr]: [f64; 6]) -> Option<Self> {
        // Circles that lie within each other, the first within the last.
        let within = (fx - cx).hypot(fy - cy) + fr < r * 0.999;
        within.then_some(Self::Radial { focus: (fx, fy, fr), circle: (cx, cy, r) })
    }

    fn frame(&self) -> Affine {
        match self {
            Self::Linear(frame) => *frame,
            Self::Radial { .. } => Affine::IDENTITY,
        }
    }

    /// From where to where along the gradient what is painted reaches.
    fn range(&self, around: Rect) -> (f64, f64) {
        match self {
            Self::Linear(_) => (around.x0, around.x1),
            Self::Radial { focus: (fx, fy, fr), circle: (cx, cy, r) } => {
                let far = [around.x0 - fx, around.x1 - fx].map(f64::abs).into_iter().fold(0.0, f64::max);
                let high = [around.y0 - fy, around.y1 - fy].map(f64::abs).into_iter().fold(0.0, f64::max);
                (0.0, (far.hypot(high) / (r - fr - (fx - cx).hypot(fy - cy)).max(1e-9)).max(1.0))
            }
        }
    }

    /// Steps that follow one another, the widest ground first, which holds that of all others.
    fn bands<'s>(&'s self, run: &'s [Step], around: Rect) -> impl Iterator<Item = (Rgb, Path)> + 's {
        let (start, end) = (run[0].from, run[run.len() - 1].to);
        let ordered: Vec<&Step> = match self {
            Self::Linear(_) => run.iter().collect(),
            Self::Radial { .. } => run.iter().rev().collect(),
        };
        ordered.into_iter().filter_map(move |step| {
            let (from, to) = match self {
                Self::Linear(_) => (step.from, end),
                Self::Radial { .. } => (start, step.to),
            };
            Some((step.tone?, self.ground(from, to, around)?))
        })
    }

    /// The ground between two places along the gradient.
    fn ground(&self, from: f64, to: f64, around: Rect) -> Option<Path> {
        let mut path = PathBuilder::new();
        match self {
            Self::Linear(_) => path.push_rect(pixels(Rect::new(from, around.y0, to, around.y1))?),
            Self::Radial { focus: (fx, fy, fr), circle: (cx, cy, r) } => {
                let mut circle = |t: f64| {
                    let [x, y, r] = [fx + t * (cx - fx), fy + t * (cy - fy), fr + t * (r - fr)];
                    path.push_circle(x as f32, y as f32, r as f32);
                };
                circle(to);
                if from > 0.0 {
                    circle(from);
                }
            }
        }
        path.finish()
    }
}

fn pixels(rect: Rect) -> Option<PixelRect> {
    PixelRect::from_ltrb(rect.x0 as f32, rect.y0 as f32, rect.x1 as f32, rect.y1 as f32)
}

/// Where along the gradient its tone steps, from first to last.
fn cuts(stops: &[Stop], spread: SpreadMethod, first: f64, last: f64) -> Option<Vec<f64>> {
    let turns = match spread {
        SpreadMethod::Pad => 0..=0,
        _ => first.floor() as i64..=last.floor() as i64,
    };
    if turns.clone().count() > BANDS_MAX {
        return None;
    }
    let mut cuts = vec![first];
    for turn in turns {
        let mut once = within_one(stops);
        if spread == SpreadMethod::Reflect && turn.rem_euclid(2) == 1 {
            once = once.into_iter().rev().map(|t| 1.0 - t).collect();
        }
        cuts.extend(once.into_iter().map(|t| turn as f64 + t).filter(|t| (first..last).contains(t)));
    }
    cuts.push(last);
    cuts.dedup_by(|b, a| *b - *a < 1e-6);
    (cuts.len() <= BANDS_MAX).then_some(cuts)
}

/// The stops, and the steps between them.
fn within_one(stops: &[Stop]) -> Vec<f64> {
    let mut cuts = vec![0.0];
    for pair in stops.windows(2) {
        let (from, to) = (f64::from(pair[0].offset().get()), f64::from(pair[1].offset().get()));
        let [a, b] = [&pair[0], &pair[1]].map(|stop| over_white(rgb(stop.color()), f64::from(stop.opacity().get())));
        let apart = [a.r.abs_diff(b.r), a.g.abs_diff(b.g), a.b.abs_diff(b.b)].into_iter().fold(0, u8::max);
        let steps = (f64::from(apart) / 255.0 * STEPS).ceil().max(1.0);
        cuts.extend((0..=steps as u32).map(|i| from + (to - from) * f64::from(i) / steps));
    }
    cuts.push(1.0);
    cuts
}

/// Colour and opacity at a place along the gradient.
fn colour(stops: &[Stop], spread: SpreadMethod, t: f64) -> (Rgb, f64) {
    let t = match spread {
        SpreadMethod::Pad => t.clamp(0.0, 1.0),
        SpreadMethod::Repeat => t.rem_euclid(1.0),
        SpreadMethod::Reflect => 1.0 - (t.rem_euclid(2.0) - 1.0).abs(),
    };
    let after = stops.iter().position(|stop| f64::from(stop.offset().get()) >= t).unwrap_or(stops.len() - 1);
    let (a, b) = (&stops[after.saturating_sub(1)], &stops[after]);
    let (from, to) = (f64::from(a.offset().get()), f64::from(b.offset().get()));
    let share = if to > from { ((t - from) / (to - from)).clamp(0.0, 1.0) } else { 1.0 };
    let mixed = |a: f64, b: f64| a + share * (b - a);
    let channel = |a: u8, b: u8| mixed(f64::from(a), f64::from(b)).round() as u8;
    let (one, two) = (rgb(a.color()), rgb(b.color()));
    let paint = Rgb { r: channel(one.r, two.r), g: channel(one.g, two.g), b: channel(one.b, two.b) };
    (paint, mixed(f64::from(a.opacity().get()), f64::from(b.opacity().get())))
}

/// What is seen of a colour on white paper, as in a photograph.
fn over_white(paint: Rgb, opacity: f64) -> Rgb {
    let seen = |channel: u8| (255.0 + opacity * (f64::from(channel) - 255.0)).round() as u8;
    Rgb { r: seen(paint.r), g: seen(paint.g), b: seen(paint.b) }
}
