//! Page 2: the work.

use super::scale::Scale;
use super::{Area, air, cautions, checklist, findings, section, used};
use crate::frame::Frame;
use crate::lettering::Style;
use crate::stack::{Align, beside, stack, text};
use crate::words::Words;
use plan::Plan;

/// Between the two columns.
const GUTTER: f64 = 9.0;
/// Share of the width that the findings take.
const LEFT: f64 = 0.58;

/// What is under the cautions: blocks that stay whole, with the gap above each.
struct Columns {
    left: Vec<Frame>,
    right: Vec<Frame>,
}

/// The pages about the work: one, unless there is more to say than fits at the smallest type.
pub(super) fn pages(plan: &Plan, area: Area) -> Vec<Frame> {
    let mut pages = Vec::new();
    for scale in Scale::STEPS {
        pages = flowed(plan, area, scale);
        if pages.len() == 1 {
            break;
        }
    }
    pages
}

fn flowed(plan: &Plan, area: Area, scale: Scale) -> Vec<Frame> {
    let gap = scale.section_gap();
    let mut top = first(plan, area, scale);
    let mut columns = columns(plan, area.width, scale);
    let mut pages = Vec::new();
    loop {
        let room = area.height - top.height - if top.height > 0.0 { gap } else { 0.0 };
        let least = usize::from(top.height <= 0.0);
        let (left, right) = (fill(&mut columns.left, room, least), fill(&mut columns.right, room, least));
        let left = Frame { width: area.width * LEFT - GUTTER / 2.0, ..left };
        pages.push(stack([top, beside(left, right, GUTTER)], gap));
        if columns.left.is_empty() && columns.right.is_empty() {
            return pages;
        }
        top = Frame::default();
    }
}

fn first(plan: &Plan, area: Area, scale: Scale) -> Frame {
    let name = Words::plainly(&super::short(&plan.piece.name, 70), Style::regular(9.0).semi_bold());
    let name = text(&name, area.width * 0.7, Align::Left);
    let what = text(&Words::plainly("At the cabinet", Style::regular(9.0).dim()), area.width * 0.3, Align::Right);
    let head = Frame::new(area.width, name.height).role(crate::frame::Role::Paragraph);
    let head = head.with(name).with(what.at(area.width * 0.7, 0.0));
    stack([head, cautions::section(plan, area.width, scale)], scale.section_gap())
}

fn columns(plan: &Plan, width: f64, scale: Scale) -> Columns {
    let (left, right) = (width * LEFT - GUTTER / 2.0, width * (1.0 - LEFT) - GUTTER / 2.0);
    let gap = |frames: Vec<Frame>| spaced(frames, scale.section_gap());
    Columns {
        left: findings::blocks(plan, left, scale),
        right: gap(vec![
            section("Air", air::list(plan, right, scale), scale),
            section("Checklist", checklist::list(plan, right, scale), scale),
            section("Materials and time, one piece", used::table(plan, right, scale), scale),
        ]),
    }
}

/// Each frame but the first with a gap above it.
fn spaced(frames: Vec<Frame>, gap: f64) -> Vec<Frame> {
    frames.into_iter().enumerate().map(|(i, frame)| if i == 0 { frame } else { lowered(frame, gap) }).collect()
}

/// The frame with room above it.
pub(super) fn lowered(frame: Frame, gap: f64) -> Frame {
    Frame::new(frame.width, frame.height + gap).with(frame.at(0.0, gap))
}

/// Takes the blocks that fit into a height off the front, and at least so many: on an empty page one
/// that is higher than the page runs over its edge rather than being dropped.
fn fill(blocks: &mut Vec<Frame>, room: f64, least: usize) -> Frame {
    let mut height = 0.0;
    let fits = |block: &&Frame| {
        height += block.height;
        height <= room + 1e-6
    };
    let count = blocks.iter().take_while(fits).count().max(least.min(blocks.len()));
    stack(blocks.drain(..count), 0.0)
}
