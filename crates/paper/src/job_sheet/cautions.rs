//! What can hurt: hazard, harm, act, and where it is said.

use super::scale::Scale;
use crate::frame::{Frame, Item, Role};
use crate::stack::{paragraph, stack};
use crate::words::Words;
use plan::Plan;

/// Between the two columns.
const GUTTER: f64 = 9.0;

/// Every caution of the plan under one heading, in two columns of nearly the same height.
pub(super) fn section(plan: &Plan, width: f64, scale: Scale) -> Frame {
    let column = (width - GUTTER) / 2.0;
    let cautions: Vec<Frame> = plan.cautions.iter().map(|caution| one(caution, column, scale)).collect();
    if cautions.is_empty() {
        return Frame::default();
    }
    super::section("Cautions, in the order of the work", in_two(cautions, width, column, scale.item_gap()), scale)
}

fn one(caution: &safety::Caution, width: f64, scale: Scale) -> Frame {
    let body = scale.body();
    let words = Words::plainly(&caution.hazard, body.semi_bold())
        .and(" ", body)
        .and(&caution.harm, body)
        .and(" ", body)
        .and(&caution.act, body)
        .and(" ", scale.small())
        .and(&unbroken(&caution.source.to_string()), scale.small());
    paragraph(&words, width)
}

/// A reference to the code of regulations keeps its numbers with it.
fn unbroken(source: &str) -> String {
    source.replace(" CFR ", "\u{a0}CFR\u{a0}")
}

fn in_two(mut frames: Vec<Frame>, width: f64, column: f64, gap: f64) -> Frame {
    let height = |frames: &[Frame]| frames.iter().map(|frame| frame.height + gap).sum::<f64>();
    let higher = |&at: &usize| height(&frames[..at]).max(height(&frames[at..]));
    let half = (1..=frames.len()).min_by(|a, b| higher(a).total_cmp(&higher(b))).unwrap_or(frames.len());
    let right = frames.split_off(half);
    let (left, right) = (stack(frames, gap), stack(right, gap).at(column + GUTTER, 0.0));
    Frame {
        width,
        height: left.height.max(right.height),
        role: Role::Layout,
        items: vec![Item::Frame(left), Item::Frame(right)],
        ..Frame::default()
    }
}
