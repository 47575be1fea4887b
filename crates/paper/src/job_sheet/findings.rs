//! What the plan checked, worst first.

use super::back::lowered;
use super::scale::Scale;
use crate::frame::{Frame, Role};
use crate::marks::state;
use crate::stack::{Align, stack, text};
use crate::words::Words;
use plan::{Finding, Plan, State};
use quantity::UnitSystem;

/// How much is said of what holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Holding {
    /// Each by itself, with its limit and where that comes from.
    Apart,
    /// All in one paragraph, each in a sentence.
    Together,
}

/// A block for each finding, the first under the heading.
pub(super) fn blocks(plan: &Plan, width: f64, scale: Scale, holding: Holding) -> Vec<Frame> {
    let mut sorted: Vec<&Finding> = plan.findings.iter().collect();
    sorted.sort_by_key(|finding| std::cmp::Reverse(finding.state));
    let holds = match holding {
        Holding::Apart => vec![],
        Holding::Together => sorted.split_off(sorted.partition_point(|finding| finding.state != State::Holds)),
    };
    let together = (!holds.is_empty()).then(|| together(&holds, plan.units, width, scale));
    let apart = sorted.into_iter().map(|finding| one(finding, plan.units, width, scale));
    let mut blocks = apart.chain(together);
    let Some(first) = blocks.next() else { return vec![] };
    let first = super::section("Findings, worst first", first.role(Role::Layout), scale);
    let rest = blocks.map(|block| lowered(block, scale.item_gap()));
    std::iter::once(first).chain(rest).collect()
}

/// A finding: its state at the left, what and why at the right. One that holds says its limit only.
fn one(finding: &Finding, units: UnitSystem, width: f64, scale: Scale) -> Frame {
    let said = plan::words::finding(finding, units);
    let (body, small) = (scale.body(), scale.small());
    let parts = match finding.state {
        State::Holds => {
            let limit = format!("· limit {}; ", plan::words::amount(&finding.limit, units));
            vec![Words::plainly(&said.title, body).and(" ", small).and(&limit, small).and(&said.source, small)]
        }
        State::Watch | State::Stop => {
            let why = Words::new(&said.why, body).and(" ", small).and(&said.source, small);
            let remedies = said.remedies.iter().map(|remedy| Words::plainly("→ ", body.dim()).and(remedy, body));
            [Words::plainly(&said.title, body.semi_bold()), why].into_iter().chain(remedies).collect()
        }
    };
    stated(finding.state, &parts, width, scale)
}

/// Findings that hold, in one paragraph.
fn together(findings: &[&Finding], units: UnitSystem, width: f64, scale: Scale) -> Frame {
    let titles = findings.iter().map(|finding| plan::words::finding(finding, units).title);
    let all = titles.collect::<Vec<_>>().join(". ") + ".";
    let note = " The plan's own page gives their limits and sources.";
    stated(State::Holds, &[Words::plainly(&all, scale.body()).and(note, scale.small())], width, scale)
}

/// A state at the left, paragraphs at the right.
fn stated(of: State, parts: &[Words], width: f64, scale: Scale) -> Frame {
    let sign = state(of, scale.body());
    // The widest of the three words decides, so that all titles start at the same place.
    let widths = [State::Holds, State::Watch, State::Stop].map(|of| state(of, scale.body()).width);
    let left = widths.into_iter().fold(0.0, f64::max) + 3.0;
    let said = parts.iter().map(|words| text(words, width - left, Align::Left).role(Role::Paragraph));
    let said = stack(said, 0.3);
    let height = said.height.max(sign.height);
    Frame::new(width, height).with(sign.role(Role::Paragraph)).with(said.at(left, 0.0))
}
