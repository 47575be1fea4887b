//! Scenes and lines of text onto a page, in millimetres.

use crate::lettering::{Shaped, Style, cut};
use crate::wrap::Line;
use krilla::geom::{Path, PathBuilder, Point, Rect, Transform};
use krilla::num::NormalizedF32;
use krilla::paint::{Fill, FillRule, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use picture::scene::{self, Anchor, Item, Paint, Segment};
use picture::{Role, Theme};

/// Draws a line of text from its left end, on its baseline.
pub(crate) fn line(surface: &mut Surface<'_>, x: f64, baseline: f64, line: &Line) {
    for (dx, span) in &line.spans {
        shaped(surface, x + dx, baseline, &span.style.shape(&span.text), Paint::solid(span.style.role));
    }
}

/// Draws a scene, its top left corner at `x`, `y`.
pub(crate) fn scene(surface: &mut Surface<'_>, x: f64, y: f64, drawn: &picture::Scene) {
    surface.push_transform(&Transform::from_translate(x as f32, y as f32));
    drawn.items.iter().for_each(|drawn| item(surface, drawn));
    surface.pop();
}

/// Draws a shape, its origin at `x`, `y`.
pub(crate) fn mark(surface: &mut Surface<'_>, x: f64, y: f64, drawn: &Item) {
    surface.push_transform(&Transform::from_translate(x as f32, y as f32));
    item(surface, drawn);
    surface.pop();
}

fn item(surface: &mut Surface<'_>, drawn: &Item) {
    match drawn {
        Item::Path(path) => shape(surface, outline(&path.segments), path.rule, path.fill, path.stroke),
        Item::Rect(rect) => {
            let rule = artwork::region::FillRule::NonZero;
            shape(surface, rectangle(rect), rule, rect.fill, rect.stroke);
        }
        Item::Line(line) => {
            let path = outline(&[Segment::Move(line.from), Segment::Line(line.to)]);
            shape(surface, path, artwork::region::FillRule::NonZero, None, Some(line.stroke));
        }
        Item::Text(text) => words(surface, text),
        Item::Group(group) => clipped(surface, group),
    }
}

fn clipped(surface: &mut Surface<'_>, group: &scene::Group) {
    let clip = match group.clip.as_ref().map(rectangle) {
        Some(None) => return, // Nothing lies within a clip without an area.
        Some(Some(clip)) => Some(clip),
        None => None,
    };
    if let Some(clip) = &clip {
        surface.push_clip_path(clip, &FillRule::NonZero);
    }
    group.items.iter().for_each(|drawn| item(surface, drawn));
    if clip.is_some() {
        surface.pop();
    }
}

fn words(surface: &mut Surface<'_>, text: &scene::Text) {
    let style = Style { face: text.face, size_pt: text.size_mm / crate::sheet::MM_PER_POINT, role: text.paint.role };
    let span = style.shape(&text.text);
    let back = match text.anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => span.width_mm / 2.0,
        Anchor::End => span.width_mm,
    };
    shaped(surface, text.at.x - back, text.at.y, &span, text.paint);
}

fn shaped(surface: &mut Surface<'_>, x: f64, baseline: f64, span: &Shaped, paint: Paint) {
    surface.set_stroke(None);
    surface.set_fill(Some(fill(paint, FillRule::NonZero)));
    let (at, font) = (Point::from_xy(x as f32, baseline as f32), cut(span.style.face).font.clone());
    surface.draw_glyphs(at, &span.glyphs, font, &span.text, span.style.size_mm() as f32, false);
}

fn shape(
    surface: &mut Surface<'_>,
    path: Option<Path>,
    rule: artwork::region::FillRule,
    inside: Option<Paint>,
    line: Option<scene::Stroke>,
) {
    let (Some(path), true) = (path, inside.is_some() || line.is_some()) else { return };
    let rule = match rule {
        artwork::region::FillRule::NonZero => FillRule::NonZero,
        artwork::region::FillRule::EvenOdd => FillRule::EvenOdd,
    };
    surface.set_fill(inside.map(|paint| fill(paint, rule)));
    surface.set_stroke(line.map(stroke));
    surface.draw_path(&path);
}

fn fill(paint: Paint, rule: FillRule) -> Fill {
    Fill { paint: colour(paint.role), opacity: opacity(paint), rule }
}

fn stroke(line: scene::Stroke) -> Stroke {
    let dash = |(dash, gap): (f64, f64)| StrokeDash { array: vec![dash as f32, gap as f32], offset: 0.0 };
    Stroke {
        paint: colour(line.paint.role),
        width: line.width_mm as f32,
        line_join: LineJoin::Round,
        opacity: opacity(line.paint),
        dash: line.dash_mm.map(dash),
        ..Stroke::default()
    }
}

fn colour(role: Role) -> krilla::paint::Paint {
    let rgb = Theme::Paper.rgb(role);
    krilla::color::rgb::Color::new(rgb.red, rgb.green, rgb.blue).into()
}

/// A scene's opacity, 1 when it is not a number.
fn opacity(paint: Paint) -> NormalizedF32 {
    NormalizedF32::new(paint.opacity.clamp(0.0, 1.0) as f32).unwrap_or(NormalizedF32::ONE)
}

/// `None` for what has no extent to draw, or a coordinate that is no number.
fn outline(segments: &[Segment]) -> Option<Path> {
    let mut path = PathBuilder::new();
    for segment in segments {
        match *segment {
            Segment::Move(p) => path.move_to(p.x as f32, p.y as f32),
            Segment::Line(p) => path.line_to(p.x as f32, p.y as f32),
            Segment::Cubic(a, b, p) => {
                path.cubic_to(a.x as f32, a.y as f32, b.x as f32, b.y as f32, p.x as f32, p.y as f32);
            }
            Segment::Close => path.close(),
        }
    }
    path.finish()
}

/// Control arm of a quarter circle, `4/3 tan(π/8)`.
const ARM: f64 = 0.552_284_749_830_793_4;

fn rectangle(rect: &scene::Rect) -> Option<Path> {
    let (left, top, right, bottom) = (rect.x_mm, rect.y_mm, rect.x_mm + rect.width_mm, rect.y_mm + rect.height_mm);
    let radius = rect.radius_mm.min(rect.width_mm / 2.0).min(rect.height_mm / 2.0);
    if radius <= 0.0 {
        let mut path = PathBuilder::new();
        path.push_rect(Rect::from_ltrb(left as f32, top as f32, right as f32, bottom as f32)?);
        return path.finish();
    }
    let arm = radius * (1.0 - ARM);
    let at = |x, y| artwork::grid::Point { x, y };
    outline(&[
        Segment::Move(at(left + radius, top)),
        Segment::Line(at(right - radius, top)),
        Segment::Cubic(at(right - arm, top), at(right, top + arm), at(right, top + radius)),
        Segment::Line(at(right, bottom - radius)),
        Segment::Cubic(at(right, bottom - arm), at(right - arm, bottom), at(right - radius, bottom)),
        Segment::Line(at(left + radius, bottom)),
        Segment::Cubic(at(left + arm, bottom), at(left, bottom - arm), at(left, bottom - radius)),
        Segment::Line(at(left, top + radius)),
        Segment::Cubic(at(left, top + arm), at(left + arm, top), at(left + radius, top)),
        Segment::Close,
    ])
}
