//! Frames under and beside each other, and words into frames.

use crate::frame::{Frame, Role};
use crate::sheet::MM_PER_POINT;
use crate::words::Words;
use crate::wrap::wrap;

/// Distance of baselines, in ems.
const LEADING: f64 = 1.3;
/// From the middle of a line down to its baseline, in ems: half the height of Fira Sans's capitals.
const HALF_CAP: f64 = 0.345;

/// Where lines of text stand in their measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(crate) enum Align {
    #[default]
    Left,
    Right,
}

/// Height of one line of text.
pub(crate) fn line_height(size_pt: f64) -> f64 {
    LEADING * size_pt * MM_PER_POINT
}

/// Baseline of the first line of text in its frame.
pub(crate) fn first_baseline(size_pt: f64) -> f64 {
    (LEADING / 2.0 + HALF_CAP) * size_pt * MM_PER_POINT
}

/// Words set to a measure. No words make a frame of no height.
pub(crate) fn text(words: &Words, measure: f64, align: Align) -> Frame {
    let (height, baseline) = (line_height(words.size_pt()), first_baseline(words.size_pt()));
    let lines = wrap(words, measure);
    let mut frame = Frame::new(measure, height * lines.len() as f64);
    for (i, line) in lines.into_iter().enumerate() {
        let x = if align == Align::Right { measure - line.width_mm } else { 0.0 };
        frame.items.push(crate::frame::Item::Line(x, baseline + height * i as f64, line));
    }
    frame
}

/// Words as a paragraph.
pub(crate) fn paragraph(words: &Words, measure: f64) -> Frame {
    text(words, measure, Align::Left).role(Role::Paragraph)
}

/// Frames under each other; those of no height take no gap.
pub(crate) fn stack(frames: impl IntoIterator<Item = Frame>, gap: f64) -> Frame {
    let mut stacked = Frame::default();
    for frame in frames {
        if frame.height <= 0.0 {
            continue;
        }
        let y = if stacked.items.is_empty() { 0.0 } else { stacked.height + gap };
        stacked.width = stacked.width.max(frame.width);
        stacked.height = y + frame.height;
        let x = frame.x;
        stacked.items.push(frame.at(x, y).into());
    }
    stacked
}

/// Two frames side by side, the second `gap` to the right of the first.
pub(crate) fn beside(left: Frame, right: Frame, gap: f64) -> Frame {
    let (x, height) = (left.width + gap, left.height.max(right.height));
    Frame::new(x + right.width, height).with(left.at(0.0, 0.0)).with(right.at(x, 0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::tests::lines;
    use crate::lettering::Style;

    fn words(text: &str) -> Words {
        Words::new(text, Style::regular(10.0))
    }

    #[test]
    fn a_stack_leaves_no_gap_for_what_is_not_there() {
        let box_of = |height| Frame::new(10.0, height);
        assert_eq!(stack([box_of(3.0), box_of(0.0), box_of(4.0)], 2.0).height, 9.0);
        assert_eq!(stack([], 2.0).height, 0.0);
    }

    #[test]
    fn right_aligned_lines_end_at_the_measure() {
        let frame = text(&words("one two three four five"), 15.0, Align::Right);
        let ends: Vec<f64> = lines(&frame).iter().map(|(_, [_, _, right, _])| *right).collect();
        assert!(ends.len() > 1 && ends.iter().all(|end| (end - 15.0).abs() < 1e-9), "{ends:?}");
    }

    #[test]
    fn capitals_stand_in_the_middle_of_their_line() {
        let (height, baseline) = (line_height(10.0), first_baseline(10.0));
        let cap = 0.689 * 10.0 * MM_PER_POINT; // OS/2 sCapHeight of Fira Sans
        let (above, below) = (baseline - cap, height - baseline);
        assert!((above - below).abs() < 0.05, "{above} above, {below} below");
    }
}
