//! What can hurt: hazard, harm, act, and where it is said.

use super::findings::Said;
use super::scale::Scale;
use crate::frame::{Frame, Item, Role};
use crate::stack::{Align, paragraph, stack, text};
use crate::words::Words;
use language::say;
use plan::Plan;
use safety::caution::{Step, by_step};

/// Between the two columns.
const GUTTER: f64 = 9.0;

/// Every caution of the plan under the step that it belongs to, in two columns of nearly the same height.
pub(super) fn section(plan: &Plan, width: f64, scale: Scale, said: Said) -> Frame {
    let column = (width - GUTTER) / 2.0;
    let steps = by_step(&plan.cautions).into_iter();
    let cautions: Vec<Frame> =
        steps.flat_map(|(step, cautions)| of_step(step, &cautions, column, scale, said)).collect();
    if cautions.is_empty() {
        return Frame::default();
    }
    super::section(say!("Cautions, step by step"), in_two(cautions, width, column, scale.item_gap()), scale)
}

/// A step's cautions; its name stays with the first of them.
fn of_step(step: Step, cautions: &[&safety::caution::Caution], width: f64, scale: Scale, said: Said) -> Vec<Frame> {
    if said == Said::Least {
        let before = format!("{}: ", step.name());
        return cautions.iter().map(|caution| one(caution, &before, width, scale)).collect();
    }
    let mut frames: Vec<Frame> = cautions.iter().map(|caution| one(caution, "", width, scale)).collect();
    if let Some(first) = frames.first_mut() {
        let name = text(&Words::plainly(step.name(), scale.small()), width, Align::Left).role(Role::Heading(3));
        *first = stack([name, std::mem::take(first)], 0.0).role(Role::Layout);
    }
    frames
}

/// `before`: the step, where it has no line of its own.
fn one(caution: &safety::Caution, before: &str, width: f64, scale: Scale) -> Frame {
    let body = scale.body();
    let words = Words::plainly(before, scale.small())
        .and(&caution.hazard, body.semi_bold())
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
