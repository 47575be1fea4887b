//! What the plan checked, worst first.

use super::back::lowered;
use super::scale::Scale;
use crate::frame::{Frame, Role};
use crate::marks::state;
use crate::stack::{Align, stack, text};
use crate::words::Words;
use plan::{Finding, Plan, State};
use quantity::UnitSystem;

/// One block for each finding, the first under the heading.
pub(super) fn blocks(plan: &Plan, width: f64, scale: Scale) -> Vec<Frame> {
    let mut sorted: Vec<&Finding> = plan.findings.iter().collect();
    sorted.sort_by_key(|finding| std::cmp::Reverse(finding.state));
    let mut blocks = sorted.into_iter().map(|finding| one(finding, plan.units, width, scale));
    let Some(first) = blocks.next() else { return vec![] };
    let first = super::section("Findings, worst first", first.role(Role::Layout), scale);
    let rest = blocks.map(|block| lowered(block, scale.item_gap()));
    std::iter::once(first).chain(rest).collect()
}

/// A finding: its state at the left, what and why at the right. One that holds says why in small type.
fn one(finding: &Finding, units: UnitSystem, width: f64, scale: Scale) -> Frame {
    let said = plan::words::finding(finding, units);
    let (body, small) = (scale.body(), scale.small());
    let sign = state(finding.state, body);
    // The widest of the three words decides, so that all titles start at the same place.
    let left = [State::Holds, State::Watch, State::Stop].map(|s| state(s, body).width).into_iter().fold(0.0, f64::max);
    let left = left + 3.0;
    let measure = width - left;
    let mut parts = match finding.state {
        State::Holds => vec![Words::new(&said.title, body), Words::new(&said.why, small).and(" ", small).and(&said.source, small)],
        State::Watch | State::Stop => {
            vec![Words::new(&said.title, body.semi_bold()), Words::new(&said.why, body)]
        }
    };
    let remedies = said.remedies.iter().map(|remedy| Words::plainly("→ ", body.dim()).and(remedy, body));
    parts.extend(remedies);
    if finding.state != State::Holds {
        parts.push(Words::plainly(&said.source, small));
    }
    let said = stack(parts.iter().map(|words| text(words, measure, Align::Left).role(Role::Paragraph)), 0.3);
    let height = said.height.max(sign.height);
    Frame::new(width, height)
        .with(sign.role(Role::Paragraph))
        .with(said.at(left, 0.0))
}
