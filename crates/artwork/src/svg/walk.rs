//! The resolved tree into a flat list of what is painted, in paint order.

use super::error::ReadError;
use super::fonts::{self, Fonts, Replaced};
use super::{PIXEL_MM, Rgb};
use crate::note::{Note, Remark};
use crate::region::FillRule;
use kurbo::Affine;
use language::say;
use std::borrow::Cow;
use std::collections::BTreeSet;
use usvg::roxmltree::Document;
use usvg::tiny_skia_path::{self, PathBuilder, Rect, Transform};
use usvg::{BlendMode, ImageHrefResolver, Node, Opacity, Options, PaintOrder, Tree};

use super::gradient::bands;
use super::mask::mask;
use super::pattern::tiles;

/// One fill or stroke, still a path in the element's own units.
pub(super) struct Piece<'a> {
    pub(super) id: String,
    pub(super) groups: Vec<String>,
    pub(super) paint: Rgb,
    pub(super) ink: Ink,
    pub(super) path: Cow<'a, tiny_skia_path::Path>,
    /// From the element's units to millimetres.
    pub(super) map: Affine,
    /// Which of [`Pieces::clips`] it lies within; all of them.
    pub(super) clips: Vec<usize>,
}

/// How a path becomes an area.
#[derive(Clone)]
pub(super) enum Ink {
    Fill(FillRule),
    Stroke {
        stroke: tiny_skia_path::Stroke,
        /// Mean length of a dash and its gap, in the element's units.
        dash_px: f64,
    },
}

/// Some paths one over the other, each within clips met before it.
#[derive(Default)]
pub(super) struct Clip<'a> {
    /// Each with whether it lets through (as all of a clip path's do) or covers (as what is dark in a mask).
    pub(super) parts: Vec<(Piece<'a>, bool)>,
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
        if let Some(masked) = group.mask() {
            let (index, toned) = mask(masked, map, &mut self.pieces.clips);
            self.clips.push(index);
            if toned {
                self.note(name_of(group), Remark::MaskHalved);
            }
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
        !self.visible(id, group.opacity())
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
        let fill = path.fill().map(|fill| (fill.paint(), fill.opacity(), Ink::Fill(rule(fill.rule()))));
        let stroke = path.stroke().map(|stroke| {
            let ink = Ink::Stroke { stroke: stroke.to_tiny_skia(), dash_px: dash_px(stroke) };
            (stroke.paint(), stroke.opacity(), ink)
        });
        let ordered = match path.paint_order() {
            PaintOrder::FillAndStroke => [fill, stroke],
            PaintOrder::StrokeAndFill => [stroke, fill],
        };
        for (paint, opacity, ink) in ordered.into_iter().flatten() {
            match paint {
                usvg::Paint::Color(colour) => {
                    if self.visible(id, opacity) {
                        let piece = self.piece(Cow::Borrowed(path.data()), id, map, (rgb(*colour), ink));
                        self.pieces.painted.push(piece);
                    }
                }
                usvg::Paint::Pattern(pattern) => self.pattern(pattern, path, (id, map), (opacity, ink)),
                _ => self.gradient(paint, path, (id, map), (opacity, ink)),
            }
        }
    }

    fn piece(&self, path: Cow<'a, tiny_skia_path::Path>, id: &str, map: Affine, (paint, ink): (Rgb, Ink)) -> Piece<'a> {
        Piece { id: id.to_owned(), groups: self.groups.clone(), paint, ink, path, map, clips: self.clips.clone() }
    }

    /// A pattern's tiles, each drawn again, within what they fill.
    fn pattern(
        &mut self,
        pattern: &'a usvg::Pattern,
        path: &'a usvg::Path,
        (id, map): (&str, Affine),
        (opacity, ink): (Opacity, Ink),
    ) {
        if !self.visible(id, opacity) {
            return;
        }
        let to_tile = map * affine(pattern.transform());
        let tiles =
            around(path).and_then(|around| tiles(pattern, (to_tile.inverse() * map).transform_rect_bbox(around)));
        let Some(tiles) = tiles else {
            self.note_at(id, path, map, Remark::PatternLeftOut);
            return;
        };
        let before = self.clips.len();
        self.within(path, id, map, ink);
        for (x, y) in tiles {
            let at = to_tile * Affine::translate((f64::from(x), f64::from(y)));
            let whole = Rect::from_xywh(0.0, 0.0, pattern.rect().width(), pattern.rect().height());
            if let Some(whole) = whole {
                self.pieces.clips.push(rectangle(whole, at));
                self.clips.push(self.pieces.clips.len() - 1);
            }
            self.text(pattern.root(), id, at);
            self.clips.truncate(before + 1);
        }
        self.clips.truncate(before);
    }

    /// A gradient's bands, each a piece of its tone, within what they fill.
    fn gradient(
        &mut self,
        paint: &usvg::Paint,
        path: &'a usvg::Path,
        (id, map): (&str, Affine),
        (opacity, ink): (Opacity, Ink),
    ) {
        if !self.visible(id, opacity) {
            return;
        }
        let Some(bands) = around(path).and_then(|around| bands(paint, around)) else {
            self.note_at(id, path, map, Remark::GradientLeftOut);
            return;
        };
        let tones: BTreeSet<Rgb> = bands.iter().map(|band| band.paint).collect();
        self.note_at(id, path, map, Remark::GradientInSteps { tones: tones.len() });
        let before = self.clips.len();
        self.within(path, id, map, ink);
        for band in bands {
            let ink = Ink::Fill(FillRule::EvenOdd);
            let piece = self.piece(Cow::Owned(band.path), id, map * band.map, (band.paint, ink));
            self.pieces.painted.push(piece);
        }
        self.clips.truncate(before);
    }

    /// What is drawn from here on lies within a path's fill or stroke.
    fn within(&mut self, path: &'a usvg::Path, id: &str, map: Affine, ink: Ink) {
        let filled = self.piece(Cow::Borrowed(path.data()), id, map, (Rgb { r: 0, g: 0, b: 0 }, ink));
        self.pieces.clips.push(Clip { parts: vec![(filled, true)], within: Vec::new() });
        self.clips.push(self.pieces.clips.len() - 1);
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

    /// A nameless element in no group is told by its place.
    fn note_at(&mut self, id: &str, path: &usvg::Path, map: Affine, remark: Remark) {
        let named = !id.is_empty() || !self.groups.is_empty();
        let centre = around(path).map(|around| map * around.center()).filter(|_| !named);
        let id = centre.map_or_else(|| id.to_owned(), |at| say!("shape at {:.1}, {:.1} mm", at.x, at.y));
        self.note(&id, remark);
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

/// The rectangle around what a path paints, in its own units.
fn around(path: &usvg::Path) -> Option<kurbo::Rect> {
    let by = path.stroke().map_or(0.0, |stroke| stroke.width().get());
    let bounds = path.data().bounds().outset(by, by)?;
    Some(kurbo::Rect::new(
        f64::from(bounds.left()),
        f64::from(bounds.top()),
        f64::from(bounds.right()),
        f64::from(bounds.bottom()),
    ))
}

/// A rectangle as a clip.
pub(super) fn rectangle<'a>(at: Rect, map: Affine) -> Clip<'a> {
    let black = Rgb { r: 0, g: 0, b: 0 };
    let path = Cow::Owned(PathBuilder::from_rect(at));
    let (id, groups, clips) = (String::new(), Vec::new(), Vec::new());
    let piece = Piece { id, groups, paint: black, ink: Ink::Fill(FillRule::NonZero), path, map, clips };
    Clip { parts: vec![(piece, true)], within: Vec::new() }
}

/// Adds a clip path and those that it is within; gives its index.
pub(super) fn clip_path<'a>(clip: &'a usvg::ClipPath, outer: Affine, clips: &mut Vec<Clip<'a>>) -> usize {
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
                    let piece = Piece {
                        id: path.id().to_owned(),
                        groups: Vec::new(),
                        paint: Rgb { r: 0, g: 0, b: 0 },
                        ink: Ink::Fill(rule(fill.rule())),
                        path: Cow::Borrowed(path.data()),
                        map,
                        clips: within.clone(),
                    };
                    made.parts.push((piece, true));
                }
            }
            Node::Image(_) => {}
        }
    }
}

pub(super) fn dash_px(stroke: &usvg::Stroke) -> f64 {
    stroke.dasharray().map_or(f64::INFINITY, |list| 2.0 * f64::from(list.iter().sum::<f32>()) / list.len() as f64)
}

pub(super) fn affine(t: Transform) -> Affine {
    Affine::new([t.sx, t.ky, t.kx, t.sy, t.tx, t.ty].map(f64::from))
}

pub(super) fn rgb(colour: usvg::Color) -> Rgb {
    Rgb { r: colour.red, g: colour.green, b: colour.blue }
}

pub(super) fn rule(rule: usvg::FillRule) -> FillRule {
    match rule {
        usvg::FillRule::NonZero => FillRule::NonZero,
        usvg::FillRule::EvenOdd => FillRule::EvenOdd,
    }
}
