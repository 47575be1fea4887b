//! What the plan checked, worst first.

use super::back::Block;
use super::scale::Scale;
use crate::frame::{Frame, Role};
use crate::marks::state;
use crate::stack::{Align, beside, stack, text};
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
pub(super) fn blocks(plan: &Plan, width: f64, scale: Scale, holding: Holding) -> Vec<Block> {
    let mut sorted: Vec<&Finding> = plan.findings.iter().collect();
    sorted.sort_by_key(|finding| std::cmp::Reverse(finding.state));
    let holds = match holding {
        Holding::Apart => vec![],
        Holding::Together => sorted.split_off(sorted.partition_point(|finding| finding.state != State::Holds)),
    };
    let together = (!holds.is_empty()).then(|| together(&holds, plan.units, width, scale));
    let mut explained: Vec<&str> = Vec::new();
    let apart = sorted.into_iter().map(|finding| {
        let again = explained.contains(&finding.check.id());
        explained.push(finding.check.id());
        one(finding, again, plan.units, width, scale)
    });
    let mut blocks = apart.chain(together);
    let Some(first) = blocks.next() else { return vec![] };
    let first = super::section("Findings, worst first", first.role(Role::Layout), scale);
    let block = |frame| Block { gap: scale.item_gap(), frame };
    std::iter::once(first).chain(blocks).map(block).collect()
}

/// A finding: its state at the left, what and why at the right. One that holds says its limit only, and
/// so does one `again`, whose check is explained above for another layer.
fn one(finding: &Finding, again: bool, units: UnitSystem, width: f64, scale: Scale) -> Frame {
    let said = plan::words::finding(finding, units);
    let (body, small) = (scale.body(), scale.small());
    let limit = format!(" · limit {}; {}", plan::words::amount(&finding.limit, units), said.source);
    let measure = measure(width, scale);
    let set = |words: Words| text(&words, measure, Align::Left).role(Role::Paragraph);
    let parts = match finding.state {
        State::Holds => {
            vec![set(Words::plainly(&said.title, body).and(&limit, small))]
        }
        State::Watch | State::Stop => {
            let title = Words::plainly(&said.title, body.semi_bold());
            let remedies = said.remedies.iter().map(|said| remedy(said, measure, scale));
            let what = match again {
                true => vec![title.and(&limit, small)],
                false => vec![title, Words::new(&said.why, body).and(" ", small).and(&said.source, small)],
            };
            what.into_iter().map(set).chain(remedies).collect()
        }
    };
    stated(finding.state, parts, width, scale)
}

/// A remedy behind an arrow.
fn remedy(said: &str, measure: f64, scale: Scale) -> Frame {
    let arrow = Words::plainly("→ ", scale.body().dim());
    let indent = scale.body().shape("→ ").width_mm;
    let arrow = text(&arrow, indent, Align::Left);
    beside(arrow, text(&Words::new(said, scale.body()), measure - indent, Align::Left), 0.0).role(Role::Paragraph)
}

/// Findings that hold, in one paragraph.
fn together(findings: &[&Finding], units: UnitSystem, width: f64, scale: Scale) -> Frame {
    let titles = findings.iter().map(|finding| plan::words::finding(finding, units).title);
    let all = titles.collect::<Vec<_>>().join(". ") + ".";
    let note = " The plan's own page gives their limits and sources.";
    let words = Words::plainly(&all, scale.body()).and(note, scale.small());
    let said = text(&words, measure(width, scale), Align::Left).role(Role::Paragraph);
    stated(State::Holds, vec![said], width, scale)
}

/// A state at the left, paragraphs at the right.
fn stated(of: State, parts: Vec<Frame>, width: f64, scale: Scale) -> Frame {
    let (sign, said) = (state(of, scale.body()), stack(parts, 0.3));
    let (left, height) = (width - measure(width, scale), said.height.max(sign.height));
    Frame::new(width, height).with(sign.role(Role::Paragraph)).with(said.at(left, 0.0))
}

/// Width of the paragraphs. The widest of the three words decides, so that all titles start at the same
/// place.
fn measure(width: f64, scale: Scale) -> f64 {
    let widths = [State::Holds, State::Watch, State::Stop].map(|of| state(of, scale.body()).width);
    width - widths.into_iter().fold(0.0, f64::max) - 3.0
}
