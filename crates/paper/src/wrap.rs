//! Runs of text into lines no wider than a measure.

use crate::lettering::Style;
use crate::words::Words;

/// A line of text: spans, each with its distance from the line's left end.
#[derive(Debug, Clone, Default)]
pub(crate) struct Line {
    pub(crate) spans: Vec<(f64, Span)>,
    /// Without the space that a broken line ends in.
    pub(crate) width_mm: f64,
}

/// Text of one style on a line.
#[derive(Debug, Clone)]
pub(crate) struct Span {
    pub(crate) text: String,
    pub(crate) style: Style,
}

/// What does not break: pieces of text with no space between them.
#[derive(Debug, Clone, Default)]
struct Atom {
    parts: Vec<(String, Style)>,
    width_mm: f64,
    /// Whether it is a later piece of a word that had to be cut.
    cut: bool,
}

/// Breaks at spaces; a word wider than the measure also after a character.
pub(crate) fn wrap(words: &Words, measure_mm: f64) -> Vec<Line> {
    let mut lines: Vec<Vec<Atom>> = Vec::new();
    let mut filled = f64::INFINITY;
    // A space is drawn in the style of the word before it.
    let mut space = 0.0;
    for atom in atoms(words).into_iter().flat_map(|atom| split(atom, measure_mm)) {
        let with_space = filled + space + atom.width_mm;
        space = atom.space_mm();
        match lines.last_mut() {
            Some(line) if with_space <= measure_mm + 1e-6 => {
                line.push(atom);
                filled = with_space;
            }
            _ => {
                filled = atom.width_mm;
                lines.push(vec![atom]);
            }
        }
    }
    let word_ends: Vec<bool> = (1..=lines.len()).map(|next| starts_word(lines.get(next))).collect();
    lines.into_iter().zip(word_ends).map(|(atoms, word_ends)| set(atoms, word_ends)).collect()
}

fn starts_word(line: Option<&Vec<Atom>>) -> bool {
    line.and_then(|atoms| atoms.first()).is_some_and(|atom| !atom.cut)
}

/// Width of words on one line.
pub(crate) fn natural_width(words: &Words) -> f64 {
    wrap(words, f64::INFINITY).iter().map(|line| line.width_mm).fold(0.0, f64::max)
}

impl Atom {
    fn push(&mut self, text: &str, style: Style) {
        self.width_mm += style.width_mm(text);
        self.parts.push((text.to_owned(), style));
    }

    /// Of the space behind this word.
    fn space_mm(&self) -> f64 {
        self.parts.last().map_or(0.0, |(_, style)| style.width_mm(" "))
    }
}

fn breaks(c: char) -> bool {
    matches!(c, ' ' | '\n' | '\t' | '\r')
}

fn atoms(words: &Words) -> Vec<Atom> {
    let mut atoms = vec![Atom::default()];
    for (text, style) in &words.0 {
        for (i, piece) in text.split(breaks).enumerate() {
            if i > 0 && atoms.last().is_some_and(|atom| !atom.parts.is_empty()) {
                atoms.push(Atom::default());
            }
            if let (false, Some(atom)) = (piece.is_empty(), atoms.last_mut()) {
                atom.push(piece, *style);
            }
        }
    }
    atoms.retain(|atom| !atom.parts.is_empty());
    atoms
}

/// A word as it is, or when it is wider than the measure as pieces that are not.
fn split(atom: Atom, measure_mm: f64) -> Vec<Atom> {
    if atom.width_mm <= measure_mm + 1e-6 {
        return vec![atom];
    }
    let mut pieces = vec![Atom::default()];
    for (text, style) in atom.parts {
        for c in text.chars() {
            let character = c.to_string();
            let width = style.width_mm(&character);
            if pieces.last().is_some_and(|piece| piece.width_mm + width > measure_mm && !piece.parts.is_empty()) {
                pieces.push(Atom { cut: true, ..Atom::default() });
            }
            if let Some(piece) = pieces.last_mut() {
                piece.append(c, style, width);
            }
        }
    }
    pieces
}

impl Atom {
    fn append(&mut self, c: char, style: Style, width_mm: f64) {
        self.width_mm += width_mm;
        match self.parts.last_mut() {
            Some((text, last)) if *last == style => text.push(c),
            _ => self.parts.push((c.to_string(), style)),
        }
    }
}

/// Joins what has the same style, so that a line is drawn in few strokes. A line whose word ends
/// before another line ends in a space: who copies the text then gets two words.
fn set(atoms: Vec<Atom>, word_ends: bool) -> Line {
    let mut line = Line::default();
    for (i, atom) in atoms.into_iter().enumerate() {
        if let (true, Some((_, last))) = (i > 0, line.spans.last_mut()) {
            line.width_mm += last.style.width_mm(" ");
            last.text.push(' ');
        }
        for (text, style) in atom.parts {
            line.append(&text, style);
        }
    }
    if let (true, Some((_, last))) = (word_ends, line.spans.last_mut()) {
        last.text.push(' ');
    }
    line
}

impl Line {
    fn append(&mut self, text: &str, style: Style) {
        match self.spans.last_mut() {
            Some((_, last)) if last.style == style => last.text.push_str(text),
            _ => self.spans.push((self.width_mm, Span { text: text.to_owned(), style })),
        }
        self.width_mm += style.width_mm(text);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(words: &Words, measure: f64) -> Vec<String> {
        let text = |line: &Line| line.spans.iter().map(|(_, span)| span.text.as_str()).collect::<String>();
        wrap(words, measure).iter().map(text).collect()
    }

    #[test]
    fn no_line_is_wider_than_the_measure_and_no_word_is_lost() {
        let text = "Weed the body and the neck, then blast 4\u{202f}min 10\u{202f}s with one rest.";
        let words = Words::new(text, Style::regular(9.5)).and(" Gauge first.", Style::regular(9.5).semi_bold());
        for measure in [8.0, 15.0, 30.0, 60.0, 500.0] {
            assert!(wrap(&words, measure).iter().all(|line| line.width_mm <= measure + 1e-6), "{measure}");
            let together = texts(&words, measure).concat();
            let squeezed = |s: &str| s.split_whitespace().collect::<String>();
            assert_eq!(squeezed(&together), squeezed(&format!("{text} Gauge first.")), "{measure}");
        }
    }

    #[test]
    fn a_space_is_as_wide_as_the_word_before_it() {
        // Found on a German cabinet card: the space before smaller words was measured in theirs.
        let (large, small) = (Style::regular(24.0), Style::regular(7.0));
        let words = ["one", "two", "three"].iter().fold(Words::new("", large), |words, word| {
            words.and(word, large).and(" ", large).and(word, small).and(" ", small)
        });
        let whole = natural_width(&words);
        assert_eq!(wrap(&words, whole).len(), 1);
        let broken = wrap(&words, whole - 0.1);
        assert!(broken.len() == 2 && broken.iter().all(|line| line.width_mm < whole - 0.1));
    }

    #[test]
    fn a_line_is_as_wide_as_it_is_drawn() {
        let text = "To weed: AVATAR, Yes, 7. Then “wait” for 11–12 min; Tools, Voila, P. A. Fly";
        for style in [Style::regular(9.5), Style::regular(9.5).semi_bold(), Style::regular(9.5).condensed()] {
            let line = wrap(&Words::plainly(text, style), f64::INFINITY).remove(0);
            let drawn: f64 = line.spans.iter().map(|(_, span)| span.style.shape(&span.text).width_mm).sum();
            // Kerning with a space is left out of the measure.
            assert!((drawn - line.width_mm).abs() < 0.15, "{drawn} mm drawn, {} mm measured", line.width_mm);
        }
    }

    #[test]
    fn a_number_stays_with_its_unit() {
        let words = Words::new("depth 0.80–1.30\u{202f}mm", Style::regular(9.5));
        let narrow = Style::regular(9.5).shape("0.80–1.30\u{202f}mm").width_mm + 0.1;
        assert_eq!(texts(&words, narrow), ["depth ", "0.80–1.30\u{202f}mm"]);
    }

    #[test]
    fn a_word_wider_than_the_measure_is_cut() {
        let words = Words::new("Donaudampfschiffahrtsgesellschaft", Style::regular(9.5));
        let lines = texts(&words, 20.0);
        assert!(lines.len() > 2, "{lines:?}");
        assert_eq!(lines.concat(), "Donaudampfschiffahrtsgesellschaft");
    }

    #[test]
    fn nothing_makes_no_line() {
        assert!(wrap(&Words::new("  \n ", Style::regular(9.5)), 50.0).is_empty());
    }

    #[test]
    fn a_measure_of_nothing_still_ends() {
        assert_eq!(texts(&Words::new("abc", Style::regular(9.5)), 0.0).len(), 3);
    }
}
