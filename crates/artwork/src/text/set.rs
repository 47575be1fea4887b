//! Glyphs set on lines, arcs and in blocks.

use super::face::{Faces, Run};
use super::{Lettering, TextError, TextNote, TextStyle};
use crate::grid::Point;
use crate::svg::Fonts;
use kurbo::{Affine, BezPath};
use quantity::Length;
use std::f64::consts::{FRAC_PI_2, TAU};

/// Most characters of one text.
const CHARACTERS_MAX: usize = 20_000;

/// Where lines of a block begin or end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// All begin at the left.
    Left,
    /// Each in the middle.
    Middle,
    /// All end at the right.
    Right,
    /// Spaces widened so that every line but a paragraph's last fills the block.
    Justified,
}

/// A block of lines.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Block {
    /// Lines are broken between words to be no wider.
    pub width: Length,
    /// From one baseline to the next, in ems; 1.2 is usual.
    pub leading: f64,
    /// How lines lie within the width.
    pub align: Align,
}

/// Which side of a circle letters stand on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ArcSide {
    /// Feet towards the middle: reads along the top.
    Outside,
    /// Heads towards the middle: reads along the bottom.
    Inside,
}

/// Part of a circle that a baseline follows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arc {
    /// The circle's middle.
    pub centre: Point,
    /// The circle's radius, above zero: that of the baseline.
    pub radius: Length,
    /// Where the middle of the text stands, in degrees clockwise from the top.
    pub middle_degrees: f64,
    /// Which side.
    pub side: ArcSide,
}

/// Sets one line, its baseline from the origin to the right.
///
/// # Errors
/// [`TextError::NoFont`] and [`TextError::TooLong`].
pub fn line(fonts: &Fonts, text: &str, style: &TextStyle) -> Result<Lettering, TextError> {
    let mut faces = faces(fonts, text, style)?;
    let run = faces.line(text);
    let mut path = BezPath::new();
    put(&run, 0.0, 0.0, &mut path);
    Ok(Lettering { path, advance_mm: run.advance, glyphs: run.glyphs.len(), lines: 1, notes: faces.notes })
}

/// Sets text along an arc, each cluster of glyphs turned by where its middle stands.
///
/// # Errors
/// [`TextError::RoundAndRound`] when the text is longer than the circle; [`TextError::NoFont`] and
/// [`TextError::TooLong`].
pub fn on_arc(fonts: &Fonts, text: &str, style: &TextStyle, arc: &Arc) -> Result<Lettering, TextError> {
    let mut faces = faces(fonts, text, style)?;
    let run = faces.line(text);
    let radius = arc.radius.to_mm();
    if run.advance > TAU * radius {
        return Err(TextError::RoundAndRound { text_mm: run.advance, arc_mm: TAU * radius });
    }
    // Outside, text runs clockwise; inside, counter-clockwise.
    let (way, up) = match arc.side {
        ArcSide::Outside => (1.0, -radius),
        ArcSide::Inside => (-1.0, radius),
    };
    let half_turn = if arc.side == ArcSide::Inside { 2.0 * FRAC_PI_2 } else { 0.0 };
    let mut path = BezPath::new();
    for glyph in &run.glyphs {
        let middle = 0.5 * (glyph.span.0 + glyph.span.1);
        let turn = arc.middle_degrees.to_radians() + half_turn + way * (middle - 0.5 * run.advance) / radius;
        let map = Affine::translate((arc.centre.x, arc.centre.y))
            * Affine::rotate(turn)
            * Affine::translate((glyph.x - middle, up + glyph.y));
        path.extend(map * &glyph.outline);
    }
    Ok(Lettering { path, advance_mm: run.advance, glyphs: run.glyphs.len(), lines: 1, notes: faces.notes })
}

/// Sets text in lines, the first baseline one em down from the origin; a line break begins a paragraph.
///
/// # Errors
/// [`TextError::NoFont`] and [`TextError::TooLong`].
pub fn block(fonts: &Fonts, text: &str, style: &TextStyle, block: &Block) -> Result<Lettering, TextError> {
    let mut faces = faces(fonts, text, style)?;
    let mut made = Lettering { path: BezPath::new(), advance_mm: 0.0, glyphs: 0, lines: 0, notes: Vec::new() };
    let em = style.size.to_mm();
    let mut baseline = em;
    for paragraph in text.lines() {
        let lines = broken(&mut faces, paragraph, block.width.to_mm());
        let count = lines.len();
        for (index, words) in lines.into_iter().enumerate() {
            let last = index + 1 == count;
            set_line(&mut faces, &words, block, last, baseline, &mut made);
            baseline += block.leading * em;
        }
    }
    made.notes = faces.notes;
    Ok(made)
}

fn faces<'f>(fonts: &'f Fonts, text: &str, style: &'f TextStyle) -> Result<Faces<'f>, TextError> {
    let characters = text.chars().count();
    if characters > CHARACTERS_MAX {
        return Err(TextError::TooLong { characters, limit: CHARACTERS_MAX });
    }
    Faces::new(fonts, style)
}

fn put(run: &Run, x: f64, y: f64, path: &mut BezPath) {
    for glyph in &run.glyphs {
        path.extend(Affine::translate((x + glyph.x, y + glyph.y)) * &glyph.outline);
    }
}

/// Words by lines, each line as full as it can be.
fn broken(faces: &mut Faces<'_>, paragraph: &str, width: f64) -> Vec<Vec<String>> {
    let space = faces.line(" ").advance;
    let mut lines: Vec<Vec<String>> = vec![Vec::new()];
    let mut used = 0.0;
    for word in paragraph.split_whitespace() {
        let wide = faces.line(word).advance;
        if wide > width {
            let note = TextNote::WordTooWide { word: word.to_owned() };
            faces.notes.push(note);
        }
        let line = lines.last_mut().filter(|line| line.is_empty() || used + space + wide <= width);
        match line {
            Some(line) => {
                used += if line.is_empty() { wide } else { space + wide };
                line.push(word.to_owned());
            }
            None => {
                lines.push(vec![word.to_owned()]);
                used = wide;
            }
        }
    }
    lines
}

fn set_line(faces: &mut Faces<'_>, words: &[String], block: &Block, last: bool, y: f64, made: &mut Lettering) {
    let width = block.width.to_mm();
    made.lines += 1;
    if block.align == Align::Justified && !last && words.len() > 1 {
        let runs: Vec<Run> = words.iter().map(|word| faces.line(word)).collect();
        let gap = (width - runs.iter().map(|run| run.advance).sum::<f64>()) / (runs.len() - 1) as f64;
        let mut x = 0.0;
        for run in &runs {
            put(run, x, y, &mut made.path);
            made.glyphs += run.glyphs.len();
            x += run.advance + gap;
        }
        made.advance_mm = made.advance_mm.max(width);
        return;
    }
    let run = faces.line(&words.join(" "));
    let room = width - run.advance;
    let x = match block.align {
        Align::Left | Align::Justified => 0.0,
        Align::Middle => 0.5 * room,
        Align::Right => room,
    };
    put(&run, x, y, &mut made.path);
    made.glyphs += run.glyphs.len();
    made.advance_mm = made.advance_mm.max(run.advance);
}
