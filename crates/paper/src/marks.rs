//! Small drawn things: the signs of states, boxes to tick, lines to write on, rules.

use crate::frame::{Frame, Item};
use crate::lettering::Style;
use crate::stack::{first_baseline, line_height};
use crate::words::Words;
use crate::wrap::wrap;
use picture::Role;
use picture::scene::{Line, Rect, Stroke};
use plan::State;

/// Width of a thin rule: one pixel at 96 dpi.
pub(crate) const HAIRLINE: f64 = 25.4 / 96.0;

/// Colour of a state.
pub(crate) const fn ink(state: State) -> Role {
    match state {
        State::Holds => Role::Hold,
        State::Watch => Role::Watch,
        State::Stop => Role::Stop,
    }
}

/// The sign of a state, `size` millimetres across.
pub(crate) fn sign(state: State, size: f64) -> Frame {
    let marks = picture::state_mark(state, point(size / 2.0, size / 2.0), size);
    Frame { items: marks.into_iter().map(Item::Mark).collect(), ..Frame::new(size, size) }
}

/// The sign and the word of a state on one line, as wide as they are.
pub(crate) fn state(state: State, style: Style) -> Frame {
    let size = style.size_mm() * 0.72;
    let words = Words::new(plan::words::state(state), style.semi_bold().inked(ink(state)));
    let line = wrap(&words, f64::INFINITY).into_iter().next().unwrap_or_default();
    let (height, left) = (line_height(style.size_pt), size + style.size_mm() * 0.35);
    let mut frame = Frame::new(left + line.width_mm, height).with(sign(state, size).at(0.0, (height - size) / 2.0));
    frame.items.push(Item::Line(left, first_baseline(style.size_pt), line));
    frame
}

/// A box to tick with a pencil, centred on a line of text of this size.
pub(crate) fn tick_box(size_pt: f64) -> Frame {
    const SIDE: f64 = 3.4;
    let height = line_height(size_pt).max(SIDE);
    let square = Rect::new(0.0, (height - SIDE) / 2.0, SIDE, SIDE).rounded(0.3);
    Frame::new(SIDE, height).with(square.stroked(Stroke::new(0.2, Role::Ink)))
}

/// A line to write on, under the baseline of text of this size.
pub(crate) fn writing_line(width: f64, size_pt: f64) -> Frame {
    let y = first_baseline(size_pt) + 0.5;
    let line = Line { from: point(0.0, y), to: point(width, y), stroke: Stroke::new(HAIRLINE, Role::DimInk) };
    Frame::new(width, line_height(size_pt)).with(line)
}

/// A thin rule across, at a height.
pub(crate) fn rule(width: f64, y: f64) -> Line {
    Line { from: point(0.0, y), to: point(width, y), stroke: Stroke::new(HAIRLINE, Role::Grid) }
}

fn point(x: f64, y: f64) -> artwork::grid::Point {
    artwork::grid::Point { x, y }
}
