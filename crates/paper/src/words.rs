//! Text with its styles, before it has lines.

use crate::lettering::Style;
use picture::Role;

/// A paragraph's text as runs of one style each.
#[derive(Debug, Clone, Default)]
pub(crate) struct Words(pub(crate) Vec<(String, Style)>);

/// Between a number and its unit.
const UNIT_SPACE: char = '\u{202f}';

impl Words {
    /// Text of one style, its units dimmed.
    pub(crate) fn new(text: &str, style: Style) -> Self {
        Self::default().and(text, style)
    }

    /// More text after this, its units dimmed.
    #[must_use]
    pub(crate) fn and(mut self, text: &str, style: Style) -> Self {
        let text = percents(text);
        let mut rest = text.as_str();
        while let Some(start) = rest.find(UNIT_SPACE) {
            let end = unit_end(rest, start);
            self.push(&rest[..start], style);
            self.push(&rest[start..end], dimmed(style));
            rest = &rest[end..];
            if counts_on(rest) {
                self.push("\u{a0}", style);
                rest = &rest[1..];
            }
        }
        self.push(rest, style);
        self
    }

    /// The same text with the units as the rest.
    #[must_use]
    pub(crate) fn plainly(text: &str, style: Style) -> Self {
        Self(vec![(percents(text), style)])
    }

    /// Size of the largest run in points; 0 for no text.
    pub(crate) fn size_pt(&self) -> f64 {
        self.0.iter().map(|(_, style)| style.size_pt).fold(0.0, f64::max)
    }

    fn push(&mut self, text: &str, style: Style) {
        if !text.is_empty() {
            self.0.push((text.to_owned(), style));
        }
    }
}

/// A percent sign stays with its number.
fn percents(text: &str) -> String {
    text.replace(" %", "\u{202f}%")
}

/// Whether a space and another number with a unit follow, as in `3 min 10 s`: they stay on one line.
fn counts_on(rest: &str) -> bool {
    let number = rest.strip_prefix(' ').map(|rest| rest.trim_start_matches(|c: char| c.is_ascii_digit()));
    number.is_some_and(|after| after.len() + 1 < rest.len() && after.starts_with(UNIT_SPACE))
}

/// Ink becomes dim ink; the colour of a state stays.
fn dimmed(style: Style) -> Style {
    if style.role == Role::Ink { style.dim() } else { style }
}

/// Where the unit that follows the space at `start` ends.
fn unit_end(text: &str, start: usize) -> usize {
    let unit = &text[start + UNIT_SPACE.len_utf8()..];
    let belongs = |c: char| c.is_alphabetic() || matches!(c, '²' | '³' | '°' | '%' | '/' | '·');
    start + UNIT_SPACE.len_utf8() + unit.find(|c| !belongs(c)).unwrap_or(unit.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_are_dimmer_than_numbers() {
        let words = Words::new("0.8–1.3\u{202f}mm, then 3\u{202f}min 10\u{202f}s.", Style::regular(9.5));
        let runs: Vec<(&str, bool)> =
            words.0.iter().map(|(text, style)| (text.as_str(), style.role == Role::DimInk)).collect();
        assert_eq!(
            runs,
            [
                ("0.8–1.3", false),
                ("\u{202f}mm", true),
                (", then 3", false),
                ("\u{202f}min", true),
                ("\u{a0}", false),
                ("10", false),
                ("\u{202f}s", true),
                (".", false)
            ]
        );
    }

    #[test]
    fn the_colour_of_a_state_covers_its_units() {
        let words = Words::new("4.5\u{202f}bar", Style::regular(9.5).inked(Role::Stop));
        assert!(words.0.iter().all(|(_, style)| style.role == Role::Stop));
    }
}
