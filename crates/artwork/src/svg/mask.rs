//! Masks as clips: what is light lets through, what is dark covers what is under it.

use super::walk::{Clip, Ink, Piece, affine, clip_path, dash_px, rectangle, rgb, rule};
use kurbo::Affine;
use std::borrow::Cow;
use usvg::{MaskType, Node, Opacity, Paint};

/// Lighter than this shows.
const HALF: f32 = 0.5;

/// Adds a mask as a clip, and those that it is within; gives its index, and whether it had greys.
pub(super) fn mask<'a>(mask: &'a usvg::Mask, outer: Affine, clips: &mut Vec<Clip<'a>>) -> (usize, bool) {
    let mut walk = Walk { kind: mask.kind(), made: Clip::default(), clips, greys: false };
    walk.clips.push(rectangle(mask.rect().to_rect(), outer));
    walk.made.within.push(walk.clips.len() - 1);
    walk.group(mask.root(), outer, 1.0, &[]);
    let Walk { mut made, clips, mut greys, .. } = walk;
    if let Some(also) = mask.mask() {
        let (index, toned) = self::mask(also, outer, clips);
        made.within.push(index);
        greys |= toned;
    }
    clips.push(made);
    (clips.len() - 1, greys)
}

struct Walk<'a, 'c> {
    kind: MaskType,
    made: Clip<'a>,
    clips: &'c mut Vec<Clip<'a>>,
    greys: bool,
}

impl<'a> Walk<'a, '_> {
    fn group(&mut self, group: &'a usvg::Group, outer: Affine, opacity: f32, within: &[usize]) {
        let map = outer * affine(group.transform());
        let opacity = opacity * group.opacity().get();
        let mut within = within.to_vec();
        within.extend(group.clip_path().map(|clip| clip_path(clip, map, self.clips)));
        if let Some(masked) = group.mask() {
            let (index, toned) = mask(masked, map, self.clips);
            within.push(index);
            self.greys |= toned;
        }
        for child in group.children() {
            match child {
                Node::Group(inner) => self.group(inner, map, opacity, &within),
                Node::Text(text) => self.group(text.flattened(), map, opacity, &within),
                Node::Path(path) if path.is_visible() => self.path(path, map, opacity, &within),
                Node::Path(_) => {}
                Node::Image(_) => self.greys = true,
            }
        }
    }

    fn path(&mut self, path: &'a usvg::Path, map: Affine, opacity: f32, within: &[usize]) {
        let fill = path.fill().map(|fill| (fill.paint(), fill.opacity(), Ink::Fill(rule(fill.rule()))));
        let stroke = path.stroke().map(|stroke| {
            let ink = Ink::Stroke { stroke: stroke.to_tiny_skia(), dash_px: dash_px(stroke) };
            (stroke.paint(), stroke.opacity(), ink)
        });
        for (paint, own, ink) in fill.into_iter().chain(stroke) {
            let Some(lets_through) = self.shows(paint, own, opacity) else { continue };
            let piece = Piece {
                id: path.id().to_owned(),
                groups: Vec::new(),
                paint: super::Rgb { r: 0, g: 0, b: 0 },
                ink,
                path: Cow::Borrowed(path.data()),
                map,
                clips: within.to_vec(),
            };
            self.made.parts.push((piece, lets_through));
        }
    }

    /// Whether a paint lets through or covers; `None` when it is so faint that it does neither.
    fn shows(&mut self, paint: &Paint, own: Opacity, opacity: f32) -> Option<bool> {
        let alpha = own.get() * opacity;
        let lightness = match (self.kind, paint) {
            (MaskType::Alpha, _) => 1.0,
            (MaskType::Luminance, Paint::Color(colour)) => luminance(*colour),
            (MaskType::Luminance, Paint::LinearGradient(gradient)) => self.first(gradient.stops()),
            (MaskType::Luminance, Paint::RadialGradient(gradient)) => self.first(gradient.stops()),
            (MaskType::Luminance, Paint::Pattern(_)) => {
                self.greys = true;
                1.0
            }
        };
        self.greys |= (0.02..0.98).contains(&alpha) || (0.02..0.98).contains(&lightness);
        match self.kind {
            MaskType::Alpha => (alpha >= HALF).then_some(true),
            MaskType::Luminance => (alpha >= HALF).then_some(lightness * alpha >= HALF),
        }
    }

    fn first(&mut self, stops: &[usvg::Stop]) -> f32 {
        self.greys = true;
        stops.first().map_or(0.0, |stop| luminance(stop.color()))
    }
}

/// Luminance as masks weigh it (CSS Masking Level 1, 7.10.1: coefficients of the linear colour, applied to
/// sRGB as `color-interpolation` says by default).
fn luminance(colour: usvg::Color) -> f32 {
    let colour = rgb(colour);
    [(colour.r, 0.2125), (colour.g, 0.7154), (colour.b, 0.0721)]
        .map(|(v, share)| f32::from(v) / 255.0 * share)
        .iter()
        .sum()
}
