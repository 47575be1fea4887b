//! The bundled family: text into glyphs with measured widths.

use crate::sheet::MM_PER_POINT;
use harfrust::{Direction, FontRef, ShapeOptions, ShapePlan, Shaper, ShaperData, UnicodeBuffer, script};
use krilla::text::{Font, GlyphId, KrillaGlyph};
use picture::Role;
use picture::scene::Face;
use std::collections::HashMap;
use std::sync::{LazyLock, Mutex, PoisonError};

/// How a run of text looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Style {
    /// Which cut of the family.
    pub(crate) face: Face,
    /// Size of the em in points.
    pub(crate) size_pt: f64,
    /// Colour.
    pub(crate) role: Role,
}

impl Style {
    /// Body text.
    pub(crate) const fn regular(size_pt: f64) -> Self {
        Self { face: Face::Regular, size_pt, role: Role::Ink }
    }

    pub(crate) const fn semi_bold(self) -> Self {
        Self { face: Face::SemiBold, ..self }
    }

    pub(crate) const fn condensed(self) -> Self {
        Self { face: Face::Condensed, ..self }
    }

    pub(crate) const fn dim(self) -> Self {
        Self { role: Role::DimInk, ..self }
    }

    pub(crate) const fn inked(self, role: Role) -> Self {
        Self { role, ..self }
    }

    pub(crate) const fn size_mm(self) -> f64 {
        self.size_pt * MM_PER_POINT
    }

    /// Text in this style as glyphs.
    pub(crate) fn shape(self, text: &str) -> Shaped {
        let text: String = text.chars().filter(|&c| prints(c)).collect();
        let glyphs = cut(self.face).shape(&text);
        Shaped { width_mm: f64::from(ems(&glyphs)) * self.size_mm(), text, glyphs, style: self }
    }

    /// Width of a word, remembered: a layout is tried many times with the same words.
    pub(crate) fn width_mm(self, word: &str) -> f64 {
        f64::from(cut(self.face).ems(word)) * self.size_mm()
    }
}

fn ems(glyphs: &[KrillaGlyph]) -> f32 {
    glyphs.iter().map(|glyph| glyph.x_advance).sum()
}

/// Text of one style on one line.
#[derive(Debug, Clone)]
pub(crate) struct Shaped {
    /// The characters, for those who copy or listen.
    pub(crate) text: String,
    /// Advances in ems, kerning included.
    pub(crate) glyphs: Vec<KrillaGlyph>,
    pub(crate) style: Style,
    pub(crate) width_mm: f64,
}

/// Whether a character may stand in a PDF's text: controls and the two marks that PDF/UA-1 forbids
/// (7.21.7) may not.
fn prints(c: char) -> bool {
    !c.is_control() && !matches!(c, '\u{feff}' | '\u{fffe}')
}

/// Words whose widths are remembered for each cut; some hundred kilobytes.
const WORDS_MAX: usize = 4096;

/// A cut of the family, read once.
pub(crate) struct Cut {
    /// For the writer.
    pub(crate) font: Font,
    shaper: Shaper<'static>,
    plan: ShapePlan,
    units_per_em: f32,
    /// Widths of words in ems, as many as [`WORDS_MAX`].
    words: Mutex<HashMap<String, f32>>,
    /// Drawn for a character that the font lacks: a lozenge, with the character still in the text.
    missing: u32,
}

/// The cut of a face.
pub(crate) fn cut(face: Face) -> &'static Cut {
    static CUTS: LazyLock<[Cut; 3]> = LazyLock::new(|| {
        [
            Cut::read(include_bytes!("../../../assets/fonts/FiraSans-Regular.ttf")),
            Cut::read(include_bytes!("../../../assets/fonts/FiraSans-SemiBold.ttf")),
            Cut::read(include_bytes!("../../../assets/fonts/FiraSansCondensed-Regular.ttf")),
        ]
    });
    match face {
        Face::Regular => &CUTS[0],
        Face::SemiBold => &CUTS[1],
        Face::Condensed => &CUTS[2],
    }
}

impl Cut {
    fn read(bytes: &'static [u8]) -> Self {
        let font = Font::new(bytes.into(), 0).expect("the bundled fonts are whole");
        let reference = FontRef::from_index(bytes, 0).expect("the bundled fonts are whole");
        // Kept as long as the program runs, as the cuts are.
        let data: &'static ShaperData = Box::leak(Box::new(ShaperData::new(&reference)));
        let shaper = data.shaper(&reference).build();
        let plan = ShapePlan::new(&shaper, Direction::LeftToRight, Some(script::LATIN), None, &[]);
        let words = Mutex::default();
        let mut cut = Self { units_per_em: font.units_per_em(), font, shaper, plan, words, missing: 0 };
        cut.missing = cut.shape("\u{25ca}").first().map_or(0, |glyph| glyph.glyph_id.to_u32());
        cut
    }

    /// Width of a word in ems.
    fn ems(&self, word: &str) -> f32 {
        // A panic elsewhere cannot leave a wrong width behind, so a poisoned lock is as good.
        let mut words = self.words.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(&known) = words.get(word) {
            return known;
        }
        if words.len() >= WORDS_MAX {
            words.clear();
        }
        let text: String = word.chars().filter(|&c| prints(c)).collect();
        let width = ems(&self.shape(&text));
        words.insert(word.to_owned(), width);
        width
    }

    /// Left to right, as Latin: the bundled family has no other script but Greek, which needs no more.
    fn shape(&self, text: &str) -> Vec<KrillaGlyph> {
        let mut buffer = UnicodeBuffer::new();
        buffer.push_str(text);
        buffer.set_direction(Direction::LeftToRight);
        buffer.set_script(script::LATIN);
        let shaped = self.shaper.shape(buffer, ShapeOptions::new().plan(Some(&self.plan)));
        let (infos, places) = (shaped.glyph_infos(), shaped.glyph_positions());
        let ends = cluster_ends(infos.iter().map(|info| info.cluster as usize).collect(), text.len());
        let glyph = |((info, place), end): ((&harfrust::GlyphInfo, &harfrust::GlyphPosition), usize)| {
            let id = if info.glyph_id == 0 { self.missing } else { info.glyph_id };
            let [advance, dx, dy, down] = [place.x_advance, place.x_offset, place.y_offset, place.y_advance]
                .map(|units| units as f32 / self.units_per_em);
            KrillaGlyph::new(GlyphId::new(id), advance, dx, dy, down, info.cluster as usize..end, None)
        };
        infos.iter().zip(places).zip(ends).map(glyph).collect()
    }
}

/// Where the text of each glyph ends: where that of the next cluster starts.
fn cluster_ends(starts: Vec<usize>, length: usize) -> Vec<usize> {
    let mut ends = vec![length; starts.len()];
    for i in (0..starts.len().saturating_sub(1)).rev() {
        ends[i] = if starts[i + 1] == starts[i] { ends[i + 1] } else { starts[i + 1] };
    }
    ends
}

#[cfg(test)]
mod tests {
    use super::*;

    fn width(text: &str) -> f64 {
        Style::regular(10.0).shape(text).width_mm
    }

    #[test]
    fn figures_are_as_wide_as_each_other_in_every_cut() {
        for face in [Face::Regular, Face::SemiBold, Face::Condensed] {
            let style = Style { face, ..Style::regular(10.0) };
            let widths: Vec<f64> = (0..10).map(|digit| style.shape(&digit.to_string()).width_mm).collect();
            assert!(widths.iter().all(|width| (width - widths[0]).abs() < 1e-9), "{face:?}: {widths:?}");
        }
    }

    #[test]
    fn widths_are_those_of_the_fonts_own_table() {
        // hmtx of the bundled files: 560 units of 1000 for a figure (assets/fonts/README.md).
        let want = 4.0 * 0.560 * 10.0 * 25.4 / 72.0;
        assert!((width("1234") - want).abs() < 1e-5, "{} against {want}", width("1234"));
    }

    #[test]
    fn kerning_is_measured() {
        assert!(width("AVAVAV") < width("AAAVVV") - 0.1);
    }

    #[test]
    fn a_missing_character_is_a_lozenge_that_still_reads_as_itself() {
        let shaped = Style::regular(10.0).shape("a永b");
        assert_eq!(shaped.text, "a永b");
        assert_eq!(shaped.glyphs[1].glyph_id.to_u32(), cut(Face::Regular).missing);
        assert_ne!(cut(Face::Regular).missing, 0);
        assert_eq!(shaped.glyphs[1].text_range, 1..4);
    }

    #[test]
    fn controls_are_dropped() {
        assert_eq!(Style::regular(10.0).shape("a\u{0}b\u{feff}c\u{7}").text, "abc");
        assert_eq!(Style::regular(10.0).shape("").width_mm, 0.0);
    }
}
