//! A drawing as data: a few shapes and words in millimetres, coloured by role.
//!
//! The same scene becomes SVG on a page ([`crate::svg`]) and paths in a PDF. x runs to the right
//! and y down from the top left corner. Colours are roles; a [`crate::Theme`] gives them their values.

use artwork::grid::Point;
use artwork::region::{FillRule, Region};

use crate::theme::Role;

/// A drawing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Scene {
    /// Width in millimetres.
    pub width_mm: f64,
    /// Height in millimetres.
    pub height_mm: f64,
    /// What it is, in a few words, for those who cannot see it.
    pub title: String,
    /// What it shows, in a sentence or two, for those who cannot see it.
    pub description: String,
    /// What is drawn, the later over the earlier.
    pub items: Vec<Item>,
}

/// Something drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// Lines and curves.
    Path(Path),
    /// An upright rectangle.
    Rect(Rect),
    /// A straight line.
    Line(Line),
    /// Words on one line.
    Text(Text),
    /// Several items as one.
    Group(Group),
}

/// Lines and curves, filled, stroked or both.
#[derive(Debug, Clone, PartialEq)]
pub struct Path {
    /// Starts with a move.
    pub segments: Vec<Segment>,
    /// What counts as inside.
    pub rule: FillRule,
    /// The inside.
    pub fill: Option<Paint>,
    /// The line.
    pub stroke: Option<Stroke>,
}

/// A step of a path, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Segment {
    /// Lift the pen and go here.
    Move(Point),
    /// A straight line to here.
    Line(Point),
    /// A cubic Bézier curve: two control points and the end.
    Cubic(Point, Point, Point),
    /// Back to the last move.
    Close,
}

/// An upright rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rect {
    /// Left edge.
    pub x_mm: f64,
    /// Top edge.
    pub y_mm: f64,
    /// Zero or more.
    pub width_mm: f64,
    /// Zero or more.
    pub height_mm: f64,
    /// Radius of the corners, 0 for sharp ones.
    pub radius_mm: f64,
    /// The inside.
    pub fill: Option<Paint>,
    /// The line, half of it outside.
    pub stroke: Option<Stroke>,
}

/// A straight line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Start.
    pub from: Point,
    /// End.
    pub to: Point,
    /// How it is drawn.
    pub stroke: Stroke,
}

/// Words on one line.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// The anchor's place on the baseline.
    pub at: Point,
    /// The words.
    pub text: String,
    /// Size of the em.
    pub size_mm: f64,
    /// Which part of the line stands at `at`.
    pub anchor: Anchor,
    /// Which cut of the family.
    pub face: Face,
    /// Colour.
    pub paint: Paint,
}

/// Several items as one.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Group {
    /// A name that a page finds it by; unique in the scene.
    pub id: Option<String>,
    /// What it is, for those who cannot see it, and shown when pointed at.
    pub label: Option<String>,
    /// Only what lies within is drawn. Corners sharp, fill and stroke ignored.
    pub clip: Option<Rect>,
    /// What is drawn.
    pub items: Vec<Item>,
}

/// A colour by role, with its opacity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Paint {
    /// Which colour.
    pub role: Role,
    /// 0 (nothing) to 1 (solid).
    pub opacity: f64,
}

/// How a line is drawn. Ends are butt, joins are round.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Width of the line.
    pub width_mm: f64,
    /// Lengths of dash and gap; `None` is solid.
    pub dash_mm: Option<(f64, f64)>,
    /// Colour.
    pub paint: Paint,
}

/// Which part of a line of words stands at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Anchor {
    /// Its start.
    #[default]
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// Which cut of the family. All have tabular figures by default.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Face {
    /// For reading.
    #[default]
    Regular,
    /// For what is to be found first.
    SemiBold,
    /// For tight places and tables.
    Condensed,
}

impl Paint {
    /// A solid colour.
    #[must_use]
    pub const fn solid(role: Role) -> Self {
        Self { role, opacity: 1.0 }
    }

    /// A colour that lets through what is under it.
    #[must_use]
    pub const fn faint(role: Role, opacity: f64) -> Self {
        Self { role, opacity }
    }
}

impl From<Role> for Paint {
    fn from(role: Role) -> Self {
        Self::solid(role)
    }
}

impl Stroke {
    /// A solid line.
    #[must_use]
    pub fn new(width_mm: f64, paint: impl Into<Paint>) -> Self {
        Self { width_mm, dash_mm: None, paint: paint.into() }
    }

    /// The same line, broken.
    #[must_use]
    pub const fn dashed(self, dash_mm: f64, gap_mm: f64) -> Self {
        Self { dash_mm: Some((dash_mm, gap_mm)), ..self }
    }
}

impl Rect {
    /// A rectangle that is not drawn yet: give it a fill or a stroke.
    #[must_use]
    pub const fn new(x_mm: f64, y_mm: f64, width_mm: f64, height_mm: f64) -> Self {
        Self { x_mm, y_mm, width_mm, height_mm, radius_mm: 0.0, fill: None, stroke: None }
    }

    /// The same, filled.
    #[must_use]
    pub fn filled(self, paint: impl Into<Paint>) -> Self {
        Self { fill: Some(paint.into()), ..self }
    }

    /// The same, outlined.
    #[must_use]
    pub const fn stroked(self, stroke: Stroke) -> Self {
        Self { stroke: Some(stroke), ..self }
    }

    /// The same, with round corners.
    #[must_use]
    pub const fn rounded(self, radius_mm: f64) -> Self {
        Self { radius_mm, ..self }
    }
}

impl Path {
    /// A line through points; `None` with fewer than two.
    #[must_use]
    pub fn polyline(points: impl IntoIterator<Item = Point>, stroke: Stroke) -> Option<Self> {
        let mut points = points.into_iter();
        let mut segments = vec![Segment::Move(points.next()?)];
        segments.extend(points.map(Segment::Line));
        let stroke = Some(stroke);
        (segments.len() > 1).then_some(Self { segments, rule: FillRule::NonZero, fill: None, stroke })
    }

    /// A closed shape through points.
    #[must_use]
    pub fn polygon(points: impl IntoIterator<Item = Point>) -> Self {
        let mut segments = Vec::new();
        push_ring(&mut segments, points);
        Self { segments, rule: FillRule::NonZero, fill: None, stroke: None }
    }

    /// Every ring of a region, moved and scaled: `p` becomes `offset + scale p`.
    #[must_use]
    pub fn region(region: &Region, offset: Point, scale: f64) -> Self {
        let place = |p: &Point| Point { x: offset.x + scale * p.x, y: offset.y + scale * p.y };
        let mut segments = Vec::with_capacity(region.vertex_count() + 2 * region.polygons().len());
        for ring in region.rings() {
            push_ring(&mut segments, ring.0.iter().map(place));
        }
        Self { segments, rule: FillRule::NonZero, fill: None, stroke: None }
    }

    /// A circle of four cubic curves, true to 0.03 % of the radius.
    #[must_use]
    pub fn circle(centre: Point, radius_mm: f64) -> Self {
        let quarters = [0.0, 0.5, 1.0, 1.5].map(|turn| arc(centre, radius_mm, turn));
        let start = Segment::Move(Point { x: centre.x + radius_mm, y: centre.y });
        let segments = std::iter::once(start).chain(quarters).chain([Segment::Close]).collect();
        Self { segments, rule: FillRule::NonZero, fill: None, stroke: None }
    }

    /// The left half of a circle.
    #[must_use]
    pub fn half_circle(centre: Point, radius_mm: f64) -> Self {
        let start = Segment::Move(Point { x: centre.x, y: centre.y + radius_mm });
        let segments = vec![start, arc(centre, radius_mm, 0.5), arc(centre, radius_mm, 1.0), Segment::Close];
        Self { segments, rule: FillRule::NonZero, fill: None, stroke: None }
    }

    /// The same, filled.
    #[must_use]
    pub fn filled(self, paint: impl Into<Paint>) -> Self {
        Self { fill: Some(paint.into()), ..self }
    }

    /// The same, outlined.
    #[must_use]
    pub fn stroked(self, stroke: Stroke) -> Self {
        Self { stroke: Some(stroke), ..self }
    }
}

/// A quarter of a circle that starts at `turn` half turns (clockwise on the page, from the right).
fn arc(centre: Point, radius: f64, turn: f64) -> Segment {
    // Control arm of a quarter, 4/3 tan(π/8): the usual cubic approximation of a circle.
    const ARM: f64 = 0.552_284_749_830_793_4;
    let on = |turn: f64| (turn * std::f64::consts::PI).sin_cos();
    let ((s0, c0), (s1, c1)) = (on(turn), on(turn + 0.5));
    let at = |x: f64, y: f64| Point { x: centre.x + radius * x, y: centre.y + radius * y };
    Segment::Cubic(at(c0 - ARM * s0, s0 + ARM * c0), at(c1 + ARM * s1, s1 - ARM * c1), at(c1, s1))
}

fn push_ring(segments: &mut Vec<Segment>, points: impl IntoIterator<Item = Point>) {
    let mut points = points.into_iter();
    let Some(first) = points.next() else { return };
    segments.push(Segment::Move(first));
    segments.extend(points.map(Segment::Line));
    segments.push(Segment::Close);
}

macro_rules! items {
    ($($kind:ident),+) => {$(
        impl From<$kind> for Item {
            fn from(item: $kind) -> Self {
                Self::$kind(item)
            }
        }
    )+};
}
items!(Path, Rect, Line, Text, Group);

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_circle_of_curves_keeps_its_radius() {
        let centre = Point { x: 3.0, y: -2.0 };
        let circle = Path::circle(centre, 5.0);
        let mut pen = centre;
        for segment in circle.segments {
            if let Segment::Cubic(a, b, c) = segment {
                for t in [0.25, 0.5, 0.75] {
                    let bezier = |p: f64, a: f64, b: f64, c: f64| {
                        let u: f64 = 1.0 - t;
                        p * u.powi(3) + 3.0 * a * t * u * u + 3.0 * b * t * t * u + c * t.powi(3)
                    };
                    let (x, y) = (bezier(pen.x, a.x, b.x, c.x), bezier(pen.y, a.y, b.y, c.y));
                    let radius = (x - centre.x).hypot(y - centre.y);
                    assert!((radius / 5.0 - 1.0).abs() < 3e-4, "{radius}");
                }
            }
            match segment {
                Segment::Move(p) | Segment::Line(p) | Segment::Cubic(_, _, p) => pen = p,
                Segment::Close => {}
            }
        }
    }

    #[test]
    fn a_half_circle_lies_left_of_its_middle() {
        let half = Path::half_circle(Point { x: 10.0, y: 10.0 }, 2.0);
        let ends = half.segments.iter().filter_map(|segment| match segment {
            Segment::Move(p) | Segment::Line(p) | Segment::Cubic(_, _, p) => Some(p.x),
            Segment::Close => None,
        });
        let ends: Vec<f64> = ends.collect();
        assert!(ends.iter().all(|&x| x <= 10.0 + 1e-9) && ends.contains(&8.0), "{ends:?}");
    }

    #[test]
    fn a_line_needs_two_points() {
        let stroke = Stroke::new(0.2, Role::Ink);
        assert!(Path::polyline([Point::default()], stroke).is_none());
        assert!(Path::polyline([Point::default(), Point { x: 1.0, y: 0.0 }], stroke).is_some());
    }
}
