//! Page 2: the work.

use super::findings::Said;
use super::scale::Scale;
use super::{Area, air, cautions, checklist, findings, masking, section, used};
use crate::frame::Frame;
use crate::lettering::Style;
use crate::stack::{Align, beside, stack, text};
use crate::words::Words;
use language::say;
use plan::Plan;

/// Between the two columns.
const GUTTER: f64 = 9.0;
/// How the two columns may be arranged, the preferred first.
const ARRANGED: [Arranged; 7] = [
    Arranged { findings: 0.58, used_left: false },
    Arranged { findings: 0.54, used_left: false },
    Arranged { findings: 0.50, used_left: false },
    Arranged { findings: 0.58, used_left: true },
    Arranged { findings: 0.54, used_left: true },
    Arranged { findings: 0.62, used_left: true },
    Arranged { findings: 0.66, used_left: false },
];

/// How the two columns are arranged.
#[derive(Debug, Clone, Copy)]
struct Arranged {
    /// Share of the width that the column of findings takes.
    findings: f64,
    /// Whether materials and time stand under the findings.
    used_left: bool,
}

/// A block that stays whole, under a gap unless it is the first of its column.
pub(super) struct Block {
    pub(super) gap: f64,
    pub(super) frame: Frame,
}

/// What is under the cautions.
struct Columns {
    left_width: f64,
    right_width: f64,
    left: Vec<Block>,
    right: Vec<Block>,
}

/// The pages about the work: one, unless there is more to say than fits at the smallest type. With or
/// without what one piece uses up.
pub(super) fn pages(plan: &Plan, area: Area, with_used: bool) -> Vec<Frame> {
    let mut best: Option<Vec<Frame>> = None;
    for (scale, said) in ways() {
        let top = [head(plan, area), cautions::section(plan, area.width, scale, said)];
        let top = stack(top, scale.section_gap());
        for arranged in ARRANGED {
            let mut columns = columns(plan, area.width, scale, arranged, said);
            if with_used {
                columns.add_used(plan, arranged, scale);
            }
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

/// What is tried, the preferred first: all said down to the last but one type, then the short form.
fn ways() -> impl Iterator<Item = (Scale, Said)> {
    let all = Scale::STEPS.into_iter().take(Scale::STEPS.len() - 1).map(|scale| (scale, Said::Fully));
    let shorter = |said| Scale::STEPS.map(|scale| (scale, said));
    all.chain(shorter(Said::Briefly)).chain(shorter(Said::Barely)).chain(shorter(Said::Least))
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
    let what = text(&Words::plainly(say!("At the cabinet"), style.dim()), area.width * 0.3, Align::Right);
    let head = Frame::new(area.width, name.height).role(crate::frame::Role::Paragraph);
    head.with(name).with(what.at(area.width * 0.7, 0.0))
}

fn columns(plan: &Plan, width: f64, scale: Scale, arranged: Arranged, said: Said) -> Columns {
    let (left, right) = (width * arranged.findings - GUTTER / 2.0, width * (1.0 - arranged.findings) - GUTTER / 2.0);
    let block = |title, content| Block { gap: scale.section_gap(), frame: section(title, content, scale) };
    let mut under_findings = findings::blocks(plan, left, scale, said);
    if !plan.resists.is_empty() && !matches!(said, Said::Barely | Said::Least) {
        under_findings.push(block(say!("Why this resist"), masking::resists(plan, left, scale, said)));
    }
    let mut under_air = vec![block(say!(in "heading", "Air"), air::list(plan, right, scale))];
    if said == Said::Fully {
        under_air.push(block(say!("Cover before blasting"), masking::list(plan, right, scale)));
    }
    under_air.push(block(say!("Checklist"), checklist::list(plan, right, scale, said)));
    Columns { left_width: left, right_width: right, left: under_findings, right: under_air }
}

impl Columns {
    fn add_used(&mut self, plan: &Plan, arranged: Arranged, scale: Scale) {
        let (width, column) = match arranged.used_left {
            true => (self.left_width, &mut self.left),
            false => (self.right_width, &mut self.right),
        };
        column.push(Block { gap: scale.section_gap(), frame: used::section(plan, width, scale) });
    }
}

/// Takes the blocks that fit into a height off the front, and at least so many: on an empty page one
/// that is higher than the page runs over its edge rather than being dropped.
fn fill(blocks: &mut Vec<Block>, room: f64, least: usize) -> Frame {
    let mut filled = Frame::default();
    let mut count = 0;
    for block in blocks.iter() {
        let gap = if count == 0 { 0.0 } else { block.gap };
        if count >= least && filled.height + gap + block.frame.height > room + 1e-6 {
            break;
        }
        let frame = block.frame.clone().at(0.0, filled.height + gap);
        (filled.width, filled.height) = (filled.width.max(frame.width), frame.bottom());
        filled.items.push(frame.into());
        count += 1;
    }
    blocks.drain(..count);
    filled
}
