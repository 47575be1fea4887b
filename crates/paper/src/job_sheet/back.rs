//! Page 2: the work.

use super::findings::Holding;
use super::scale::Scale;
use super::{Area, air, cautions, checklist, findings, section, used};
use crate::frame::Frame;
use crate::lettering::Style;
use crate::stack::{Align, beside, stack, text};
use crate::words::Words;
use plan::Plan;

/// Between the two columns.
const GUTTER: f64 = 9.0;
/// How the two columns may be arranged, the preferred first.
const ARRANGED: [Arranged; 6] = [
    Arranged { findings: 0.58, used_left: false },
    Arranged { findings: 0.54, used_left: false },
    Arranged { findings: 0.50, used_left: false },
    Arranged { findings: 0.58, used_left: true },
    Arranged { findings: 0.54, used_left: true },
    Arranged { findings: 0.62, used_left: true },
];

/// How the two columns are arranged.
#[derive(Debug, Clone, Copy)]
struct Arranged {
    /// Share of the width that the column of findings takes.
    findings: f64,
    /// Whether materials and time stand under the findings.
    used_left: bool,
}

/// What is under the cautions: blocks that stay whole, with the gap above each.
struct Columns {
    left_width: f64,
    left: Vec<Frame>,
    right: Vec<Frame>,
}

/// The pages about the work: one, unless there is more to say than fits at the smallest type.
pub(super) fn pages(plan: &Plan, area: Area) -> Vec<Frame> {
    let mut best: Option<Vec<Frame>> = None;
    for (scale, holding) in ways() {
        let top = [head(plan, area), cautions::section(plan, area.width, scale)];
        let top = stack(top, scale.section_gap());
        for arranged in ARRANGED {
            let columns = columns(plan, area.width, scale, arranged, holding);
            let pages = flowed(top.clone(), columns, &|| head(plan, area), area, scale.section_gap());
            if pages.len() == 1 {
                return pages;
            }
            if best.as_ref().is_none_or(|best| pages.len() < best.len()) {
                best = Some(pages);
            }
        }
    }
    best.unwrap_or_default()
}

/// What is tried, the preferred first: all said down to the last but one type, then what holds in one
/// paragraph.
fn ways() -> impl Iterator<Item = (Scale, Holding)> {
    let all = Scale::STEPS.into_iter().take(Scale::STEPS.len() - 1).map(|scale| (scale, Holding::Apart));
    all.chain(Scale::STEPS.map(|scale| (scale, Holding::Together)))
}

/// Pages of `top`, then of `head`, over what fits of the columns.
fn flowed(top: Frame, mut columns: Columns, head: &dyn Fn() -> Frame, area: Area, gap: f64) -> Vec<Frame> {
    let (mut top, mut least, mut pages) = (top, 0, Vec::new());
    loop {
        let room = area.height - top.height - gap;
        let (left, right) = (fill(&mut columns.left, room, least), fill(&mut columns.right, room, least));
        let left = Frame { width: columns.left_width, ..left };
        pages.push(stack([top, beside(left, right, GUTTER)], gap));
        if columns.left.is_empty() && columns.right.is_empty() {
            return pages;
        }
        (top, least) = (head(), 1);
    }
}

/// What stands at the head of each of these pages.
fn head(plan: &Plan, area: Area) -> Frame {
    let style = Style::regular(9.0);
    let name = Words::plainly(&super::short(&plan.piece.name, 70), style.semi_bold());
    let name = text(&name, area.width * 0.7, Align::Left);
    let what = text(&Words::plainly("At the cabinet", style.dim()), area.width * 0.3, Align::Right);
    let head = Frame::new(area.width, name.height).role(crate::frame::Role::Paragraph);
    head.with(name).with(what.at(area.width * 0.7, 0.0))
}

fn columns(plan: &Plan, width: f64, scale: Scale, arranged: Arranged, holding: Holding) -> Columns {
    let (left, right) = (width * arranged.findings - GUTTER / 2.0, width * (1.0 - arranged.findings) - GUTTER / 2.0);
    let used = |width| section("Materials and time, one piece", used::table(plan, width, scale), scale);
    let mut columns = Columns {
        left_width: left,
        left: findings::blocks(plan, left, scale, holding),
        right: vec![
            section("Air", air::list(plan, right, scale), scale),
            lowered(section("Checklist", checklist::list(plan, right, scale), scale), scale.section_gap()),
        ],
    };
    match arranged.used_left {
        true => columns.left.push(lowered(used(left), scale.section_gap())),
        false => columns.right.push(lowered(used(right), scale.section_gap())),
    }
    columns
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
