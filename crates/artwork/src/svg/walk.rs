//! The resolved tree into a flat list of what is painted, in paint order.

use super::error::ReadError;
use super::fonts::{self, Fonts, Replaced};
use super::note::{Note, Remark};
use super::{PIXEL_MM, Rgb};
use crate::region::FillRule;
use kurbo::Affine;
use usvg::roxmltree::Document;
use usvg::tiny_skia_path::{self, Transform};
use usvg::{BlendMode, ImageHrefResolver, Node, Opacity, Options, PaintOrder, Tree};

/// One fill or stroke, still a path in the element's own units.
pub(super) struct Piece<'a> {
    pub(super) id: String,
    pub(super) groups: Vec<String>,
    pub(super) paint: Rgb,
    pub(super) ink: Ink,
    pub(super) path: &'a tiny_skia_path::Path,
    /// From the element's units to millimetres.
    pub(super) map: Affine,
    /// Which of [`Pieces::clips`] it lies within; all of them.
    pub(super) clips: Vec<usize>,
}

/// How a path becomes an area.
pub(super) enum Ink {
    Fill(FillRule),
    Stroke {
        stroke: tiny_skia_path::Stroke,
        /// Mean length of a dash and its gap, in the element's units.
        dash_px: f64,
    },
}

/// The union of some paths, each within clips met before it.
#[derive(Default)]
pub(super) struct Clip<'a> {
    pub(super) parts: Vec<Piece<'a>>,
    /// The whole lies within these too.
    pub(super) within: Vec<usize>,
}

/// All that is painted. A clip refers only to clips before it.
#[derive(Default)]
pub(super) struct Pieces<'a> {
    pub(super) painted: Vec<Piece<'a>>,
    pub(super) clips: Vec<Clip<'a>>,
}

/// Styles, units, references and text resolved.
pub(super) fn resolve(xml: &Document<'_>, fonts: &Fonts, notes: &mut Vec<Note>) -> Result<Tree, ReadError> {
    let replaced = Replaced::default();
    let options = Options {
        font_family: "EB Garamond".to_owned(),
        font_resolver: fonts::resolver(&replaced),
        fontdb: fonts.database(),
        // No picture is decoded and no file opened: images are noted and left out.
        image_href_resolver: ImageHrefResolver {
            resolve_data: Box::new(|_, _, _| None),
            resolve_string: Box::new(|_, _| None),
        },
        ..Options::default()
    };
    let tree = Tree::from_xmltree(xml, &options).map_err(|fault| ReadError::Unresolved { fault })?;
    drop(options);
    let remarks = replaced.into_remarks().into_iter();
    notes.extend(remarks.map(|remark| Note { element: String::new(), place: None, remark }));
    Ok(tree)
}

/// Everything painted, in paint order.
pub(super) fn collect<'a>(tree: &'a Tree, notes: &mut Vec<Note>) -> Pieces<'a> {
    let mut walk = Walk { pieces: Pieces::default(), notes, groups: Vec::new(), clips: Vec::new() };
    walk.group(tree.root(), Affine::scale(PIXEL_MM));
    walk.pieces
}

struct Walk<'a, 'n> {
    pieces: Pieces<'a>,
    notes: &'n mut Vec<Note>,
    groups: Vec<String>,
    clips: Vec<usize>,
}

impl<'a> Walk<'a, '_> {
    fn group(&mut self, group: &'a usvg::Group, outer: Affine) {
        let map = outer * affine(group.transform());
        if self.left_out(group) {
            return;
        }
        let named = !group.id().is_empty();
        if named {
            self.groups.push(group.id().to_owned());
        }
        let clips_before = self.clips.len();
        if let Some(clip) = group.clip_path() {
            let index = clip_path(clip, map, &mut self.pieces.clips);
            self.clips.push(index);
        }
        for child in group.children() {
            self.node(child, map);
        }
        self.clips.truncate(clips_before);
        if named {
            self.groups.pop();
        }
    }

    /// Notes what a group asks for beyond outlines; tells whether it is left out for that.
    fn left_out(&mut self, group: &usvg::Group) -> bool {
        let id = name_of(group);
        if group.blend_mode() != BlendMode::Normal {
            self.note(id, Remark::BlendIgnored);
        }
        if !group.filters().is_empty() {
            self.note(id, Remark::FilterIgnored);
        }
        if group.mask().is_some() {
            self.note(id, Remark::MaskedLeftOut);
        }
        !self.visible(id, group.opacity()) || group.mask().is_some()
    }

    fn node(&mut self, node: &'a Node, map: Affine) {
        match node {
            Node::Group(group) => self.group(group, map),
            Node::Path(path) => self.path(path, path.id(), map),
            // Text is laid out in its parent's units; its glyphs carry no id of their own.
            Node::Text(text) => self.text(text.flattened(), text.id(), map),
            Node::Image(image) => self.note(image.id(), Remark::ImageLeftOut),
        }
    }

    fn text(&mut self, group: &'a usvg::Group, id: &str, outer: Affine) {
        let map = outer * affine(group.transform());
        for child in group.children() {
            match child {
                Node::Group(inner) => self.text(inner, id, map),
                Node::Path(path) => self.path(path, id, map),
                Node::Text(_) => {}
                Node::Image(_) => self.note(id, Remark::ImageLeftOut),
            }
        }
    }

    fn path(&mut self, path: &'a usvg::Path, id: &str, map: Affine) {
        if !path.is_visible() {
            return;
        }
        let fill = path.fill().and_then(|fill| {
            let paint = self.paint(id, fill.paint(), fill.opacity())?;
            Some((paint, Ink::Fill(rule(fill.rule()))))
        });
        let stroke = path.stroke().and_then(|stroke| {
            let paint = self.paint(id, stroke.paint(), stroke.opacity())?;
            Some((paint, Ink::Stroke { stroke: stroke.to_tiny_skia(), dash_px: dash_px(stroke) }))
        });
        let ordered = match path.paint_order() {
            PaintOrder::FillAndStroke => [fill, stroke],
            PaintOrder::StrokeAndFill => [stroke, fill],
        };
        for (paint, ink) in ordered.into_iter().flatten() {
            self.pieces.painted.push(Piece {
                id: id.to_owned(),
                groups: self.groups.clone(),
                paint,
                ink,
                path: path.data(),
                map,
                clips: self.clips.clone(),
            });
        }
    }

    /// The solid colour that stands for a paint; `None` when there is none.
    fn paint(&mut self, id: &str, paint: &usvg::Paint, opacity: Opacity) -> Option<Rgb> {
        let stops = match paint {
            usvg::Paint::Color(colour) => return self.visible(id, opacity).then_some(rgb(*colour)),
            usvg::Paint::LinearGradient(gradient) => gradient.stops(),
            usvg::Paint::RadialGradient(gradient) => gradient.stops(),
            usvg::Paint::Pattern(_) => {
                self.note(id, Remark::PatternLeftOut);
                return None;
            }
        };
        let colour = rgb(stops.first()?.color());
        self.note(id, Remark::GradientAsFirstStop { colour });
        self.visible(id, opacity).then_some(colour)
    }

    fn visible(&mut self, id: &str, opacity: Opacity) -> bool {
        let opacity = opacity.get();
        if opacity <= 0.0 {
            self.note(id, Remark::TransparentLeftOut);
        } else if opacity < 1.0 {
            self.note(id, Remark::OpacityIgnored { opacity });
        }
        opacity > 0.0
    }

    /// A nameless element is told by the group that it is in.
    fn note(&mut self, id: &str, remark: Remark) {
        let inside = || self.groups.last().cloned().unwrap_or_default();
        let element = if id.is_empty() { inside() } else { id.to_owned() };
        let note = Note { element, place: None, remark };
        if !self.notes.contains(&note) {
            self.notes.push(note);
        }
    }
}

/// A group's id. The resolver wraps an element in a nameless group to carry its opacity and its like;
/// then it is the element's.
fn name_of(group: &usvg::Group) -> &str {
    match group.children() {
        [only] if group.id().is_empty() => only.id(),
        _ => group.id(),
    }
}

/// Adds a clip path and those that it is within; gives its index.
fn clip_path<'a>(clip: &'a usvg::ClipPath, outer: Affine, clips: &mut Vec<Clip<'a>>) -> usize {
    let mut made = Clip::default();
    if let Some(also) = clip.clip_path() {
        made.within.push(clip_path(also, outer, clips));
    }
    clip_group(clip.root(), outer * affine(clip.transform()), &[], &mut made, clips);
    clips.push(made);
    clips.len() - 1
}

fn clip_group<'a>(
    group: &'a usvg::Group,
    outer: Affine,
    within: &[usize],
    made: &mut Clip<'a>,
    clips: &mut Vec<Clip<'a>>,
) {
    let map = outer * affine(group.transform());
    let mut within = within.to_vec();
    within.extend(group.clip_path().map(|clip| clip_path(clip, map, clips)));
    for child in group.children() {
        match child {
            Node::Group(inner) => clip_group(inner, map, &within, made, clips),
            Node::Text(text) => clip_group(text.flattened(), map, &within, made, clips),
            Node::Path(path) => {
                if let Some(fill) = path.fill().filter(|_| path.is_visible()) {
                    made.parts.push(Piece {
                        id: path.id().to_owned(),
                        groups: Vec::new(),
                        paint: Rgb { r: 0, g: 0, b: 0 },
                        ink: Ink::Fill(rule(fill.rule())),
                        path: path.data(),
                        map,
                        clips: within.clone(),
                    });
                }
            }
            Node::Image(_) => {}
        }
    }
}

fn dash_px(stroke: &usvg::Stroke) -> f64 {
    stroke.dasharray().map_or(f64::INFINITY, |list| 2.0 * f64::from(list.iter().sum::<f32>()) / list.len() as f64)
}

fn affine(t: Transform) -> Affine {
    Affine::new([t.sx, t.ky, t.kx, t.sy, t.tx, t.ty].map(f64::from))
}

fn rgb(colour: usvg::Color) -> Rgb {
    Rgb { r: colour.red, g: colour.green, b: colour.blue }
}

fn rule(rule: usvg::FillRule) -> FillRule {
    match rule {
        usvg::FillRule::NonZero => FillRule::NonZero,
        usvg::FillRule::EvenOdd => FillRule::EvenOdd,
    }
}
