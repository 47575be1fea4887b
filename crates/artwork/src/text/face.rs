//! Text into glyphs with places.

use super::{TextError, TextNote, TextStyle};
use crate::svg::Fonts;
use harfrust::{Direction, FontRef, ShapeOptions, ShaperData, UnicodeBuffer};
use kurbo::{Affine, BezPath};
use skrifa::MetadataProvider as _;
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use unicode_bidi::{BidiInfo, Level};
use usvg::fontdb::{Family, ID, Query, Stretch, Style, Weight};

/// A glyph where it stands on its line, in millimetres.
#[derive(Debug, Clone)]
pub(super) struct Glyph {
    /// Its outline about its own origin, y down.
    pub(super) outline: BezPath,
    /// Where its origin stands.
    pub(super) x: f64,
    pub(super) y: f64,
    /// Start and end on the line of all glyphs of its cluster: an arc turns them as one.
    pub(super) span: (f64, f64),
}

/// A line of glyphs.
#[derive(Debug, Clone, Default)]
pub(super) struct Run {
    pub(super) glyphs: Vec<Glyph>,
    pub(super) advance: f64,
}

/// The fonts that a style may be set in, the one asked for first.
pub(super) struct Faces<'f> {
    fonts: &'f Fonts,
    order: Vec<(ID, String)>,
    style: &'f TextStyle,
    pub(super) notes: Vec<TextNote>,
}

impl<'f> Faces<'f> {
    pub(super) fn new(fonts: &'f Fonts, style: &'f TextStyle) -> Result<Self, TextError> {
        let database = fonts.database();
        let name =
            |id: ID| database.face(id).and_then(|face| Some(face.families.first()?.0.clone())).unwrap_or_default();
        let families = [Family::Name(&style.family)];
        let query =
            Query { families: &families, weight: Weight(style.weight), stretch: Stretch::Normal, style: Style::Normal };
        let asked = database.query(&query);
        let mut order: Vec<(ID, String)> = asked.map(|id| (id, name(id))).into_iter().collect();
        let others = database.faces().filter(|face| Some(face.id) != asked);
        order.extend(others.map(|face| (face.id, name(face.id))));
        let first = order.first().ok_or(TextError::NoFont)?.1.clone();
        let replaced = asked.is_none().then(|| TextNote::FamilyReplaced { asked: style.family.clone(), used: first });
        Ok(Self { fonts, order, style, notes: replaced.into_iter().collect() })
    }

    /// One line of text, shaped, in the order in which it is read from the left.
    pub(super) fn line(&mut self, text: &str) -> Run {
        let text: String = text.chars().map(|c| if c.is_whitespace() { ' ' } else { c }).collect();
        let info = BidiInfo::new(&text, None);
        let mut run = Run::default();
        for paragraph in &info.paragraphs {
            let (levels, ranges) = info.visual_runs(paragraph, paragraph.range.clone());
            for range in ranges {
                self.directed(&text[range.clone()], levels[range.start], &mut run);
            }
        }
        run
    }

    /// A run of one direction, in parts of one font each; the last first where it reads from the right.
    fn directed(&mut self, text: &str, level: Level, run: &mut Run) {
        let mut parts = self.parts(text);
        if level.is_rtl() {
            parts.reverse();
        }
        for (face, part) in parts {
            self.shape(face, &part, level, run);
        }
    }

    fn parts(&mut self, text: &str) -> Vec<(usize, String)> {
        let mut parts: Vec<(usize, String)> = Vec::new();
        for character in text.chars() {
            // Controls, such as those that set a direction, are not drawn.
            if character.is_control()
                || matches!(character, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
            {
                continue;
            }
            let current = parts.last().map(|(face, _)| *face);
            let Some(face) = self.face_for(character, current) else { continue };
            match parts.last_mut() {
                Some((last, part)) if *last == face => part.push(character),
                _ => parts.push((face, character.to_string())),
            }
        }
        parts
    }

    fn face_for(&mut self, character: char, current: Option<usize>) -> Option<usize> {
        let has = |face: usize| {
            let found = self.with(face, |font| font.charmap().map(character).is_some());
            found.unwrap_or(false)
        };
        // Spaces and marks stay with what they follow.
        if let Some(current) = current.filter(|_| character == ' ').filter(|&face| has(face)) {
            return Some(current);
        }
        let found = (0..self.order.len()).find(|&face| has(face));
        let note = match found {
            None => TextNote::CharacterLeftOut { character },
            Some(0) => return found,
            Some(face) => TextNote::CharacterReplaced { character, used: self.order[face].1.clone() },
        };
        if !self.notes.contains(&note) {
            self.notes.push(note);
        }
        found
    }

    fn with<T>(&self, face: usize, look: impl FnOnce(&skrifa::FontRef<'_>) -> T) -> Option<T> {
        let database = self.fonts.database();
        let found = database.with_face_data(self.order[face].0, |data, index| {
            skrifa::FontRef::from_index(data, index).ok().map(|font| look(&font))
        });
        found.flatten()
    }

    fn shape(&self, face: usize, text: &str, level: Level, run: &mut Run) {
        let database = self.fonts.database();
        database.with_face_data(self.order[face].0, |data, index| {
            let (Ok(font), Ok(outlines)) = (FontRef::from_index(data, index), skrifa::FontRef::from_index(data, index))
            else {
                return;
            };
            self.shape_in(&font, &outlines, text, level, run);
        });
    }

    fn shape_in(&self, font: &FontRef<'_>, outlines: &skrifa::FontRef<'_>, text: &str, level: Level, run: &mut Run) {
        let data = ShaperData::new(font);
        let shaper = data.shaper(font).build();
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.guess_segment_properties();
        buffer.set_direction(if level.is_rtl() { Direction::RightToLeft } else { Direction::LeftToRight });
        let off = |tag: &[u8; 4]| harfrust::Feature::new(harfrust::Tag::new(tag), 0, ..);
        let spaced = [off(b"liga"), off(b"clig")];
        let features = if self.style.tracking == 0.0 { &spaced[..0] } else { &spaced[..] };
        let shaped = shaper.shape(buffer, ShapeOptions::new().features(features));
        let unit = self.style.size.to_mm() / f64::from(shaper.units_per_em().max(1));
        let tracking = self.style.tracking * self.style.size.to_mm();
        let (infos, places) = (shaped.glyph_infos(), shaped.glyph_positions());
        let first = run.glyphs.len();
        for (i, (info, place)) in infos.iter().zip(places).enumerate() {
            let clustered = i > 0 && infos[i - 1].cluster == info.cluster;
            let start =
                if clustered { run.glyphs.last().map_or(run.advance, |glyph| glyph.span.0) } else { run.advance };
            let ends = infos.get(i + 1).is_none_or(|next| next.cluster != info.cluster);
            run.glyphs.push(Glyph {
                outline: outline(outlines, info.glyph_id, unit),
                x: run.advance + f64::from(place.x_offset) * unit,
                y: -f64::from(place.y_offset) * unit,
                span: (start, run.advance),
            });
            run.advance += f64::from(place.x_advance) * unit + if ends { tracking } else { 0.0 };
            // The end of the cluster is that of its last glyph.
            let end = run.advance;
            run.glyphs[first..].iter_mut().rev().take_while(|g| g.span.0 == start).for_each(|g| g.span.1 = end);
        }
    }
}

fn outline(font: &skrifa::FontRef<'_>, glyph: u32, unit: f64) -> BezPath {
    let mut pen = Pen(BezPath::new());
    let settings = DrawSettings::unhinted(Size::unscaled(), LocationRef::default());
    let drawn = font.outline_glyphs().get(skrifa::GlyphId::new(glyph)).map(|outline| outline.draw(settings, &mut pen));
    match drawn {
        Some(Ok(_)) => Affine::scale_non_uniform(unit, -unit) * pen.0,
        _ => BezPath::new(),
    }
}

/// Collects an outline in the font's units, y up.
struct Pen(BezPath);

impl OutlinePen for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.0.move_to((f64::from(x), f64::from(y)));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.0.line_to((f64::from(x), f64::from(y)));
    }

    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        self.0.quad_to((f64::from(cx), f64::from(cy)), (f64::from(x), f64::from(y)));
    }

    fn curve_to(&mut self, ax: f32, ay: f32, bx: f32, by: f32, x: f32, y: f32) {
        let point = |x: f32, y: f32| (f64::from(x), f64::from(y));
        self.0.curve_to(point(ax, ay), point(bx, by), point(x, y));
    }

    fn close(&mut self) {
        self.0.close_path();
    }
}
