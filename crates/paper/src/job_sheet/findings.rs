//! What the plan checked, worst first.

use super::back::Block;
use super::scale::Scale;
use crate::frame::{Frame, Role};
use crate::marks::state;
use crate::stack::{Align, beside, stack, text};
use crate::words::Words;
use language::say;
use plan::{Finding, Plan, State};
use quantity::UnitSystem;

/// How much is said of findings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Said {
    /// What holds each by itself, with its limit and where that comes from; every remedy of the rest.
    Fully,
    /// What holds in one paragraph, each in a sentence; the nearest remedy of the rest.
    Briefly,
    /// As briefly, and resists and cover are left to the stencil sheet.
    Barely,
    /// As barely, and why a finding is one is left to the plan's page; the step of a caution stands before it.
    Least,
}

/// A block for each finding, the first under the heading.
pub(super) fn blocks(plan: &Plan, width: f64, scale: Scale, said: Said) -> Vec<Block> {
    let mut sorted: Vec<&Finding> = plan.findings.iter().collect();
    sorted.sort_by_key(|finding| std::cmp::Reverse(finding.state));
    let holds = match said {
        Said::Fully => vec![],
        Said::Briefly | Said::Barely | Said::Least => {
            sorted.split_off(sorted.partition_point(|finding| finding.state != State::Holds))
        }
    };
    let column = Column { width, scale, said, units: plan.units };
    let mut explained: Vec<&str> = Vec::new();
    let mut apart: Vec<Frame> = sorted
        .iter()
        .map(|finding| {
            let again = explained.contains(&finding.check.id());
            explained.push(finding.check.id());
            if finding.state == State::Holds { column.held(finding) } else { column.open(finding, again) }
        })
        .collect();
    let doubts = plan::words::artwork_notes(plan).into_iter().filter(|note| note.state != State::Holds);
    let open = sorted.partition_point(|finding| finding.state != State::Holds);
    apart.splice(open..open, doubts.map(|note| column.doubt(&note.words)));
    let together = (!holds.is_empty()).then(|| together(&holds, &column));
    let mut blocks = apart.into_iter().chain(together);
    let Some(first) = blocks.next() else { return vec![] };
    let first = super::section(say!("Findings, worst first"), first.role(Role::Layout), scale);
    let block = |frame| Block { gap: scale.item_gap(), frame };
    std::iter::once(first).chain(blocks).map(block).collect()
}

/// How one finding is set: its state at the left, what and why at the right.
struct Column {
    width: f64,
    scale: Scale,
    said: Said,
    units: UnitSystem,
}

impl Column {
    /// One that holds says its limit only.
    fn held(&self, finding: &Finding) -> Frame {
        let said = plan::words::finding(finding, self.units);
        let words = Words::plainly(&said.title, self.scale.body()).and(&self.limit(finding), self.scale.small());
        stated(finding.state, vec![self.set(&words.and(&format!("; {}", said.source), self.scale.small()))], self)
    }

    /// So does one `again`, whose check is explained above for another layer.
    fn open(&self, finding: &Finding, again: bool) -> Frame {
        let said = plan::words::finding(finding, self.units);
        let (body, small) = (self.scale.body(), self.scale.small());
        let title = Words::plainly(&said.title, body.semi_bold());
        let what = match again || self.said == Said::Least {
            true => vec![title.and(&self.limit(finding), small)],
            false => vec![title, Words::new(&said.why, body).and(" ", small).and(&said.source, small)],
        };
        let most = if self.said == Said::Fully { usize::MAX } else { 1 };
        let remedies = said.remedies.iter().take(most).chain(&said.no_remedy);
        let remedies = remedies.map(|said| remedy(said, self.measure(), self.scale));
        stated(finding.state, what.iter().map(|words| self.set(words)).chain(remedies).collect(), self)
    }

    /// Of the artwork: what may not be what was meant.
    fn doubt(&self, said: &str) -> Frame {
        let artwork = format!("{} ", say!("Artwork:"));
        let words = Words::plainly(&artwork, self.scale.body().semi_bold()).and(said, self.scale.body());
        stated(State::Watch, vec![self.set(&words)], self)
    }

    fn limit(&self, finding: &Finding) -> String {
        format!(" · {}", say!("limit {}", plan::words::amount(&finding.limit, self.units)))
    }

    fn set(&self, words: &Words) -> Frame {
        text(words, self.measure(), Align::Left).role(Role::Paragraph)
    }

    /// Width of the paragraphs. The widest of the three words decides, so that all titles start at the
    /// same place.
    fn measure(&self) -> f64 {
        let widths = [State::Holds, State::Watch, State::Stop].map(|of| state(of, self.scale.body()).width);
        self.width - widths.into_iter().fold(0.0, f64::max) - 3.0
    }
}

/// A remedy behind an arrow.
fn remedy(said: &str, measure: f64, scale: Scale) -> Frame {
    let arrow = Words::plainly("→ ", scale.body().dim());
    let indent = scale.body().shape("→ ").width_mm;
    let arrow = text(&arrow, indent, Align::Left);
    beside(arrow, text(&Words::new(said, scale.body()), measure - indent, Align::Left), 0.0).role(Role::Paragraph)
}

/// Findings that hold, in one paragraph.
fn together(findings: &[&Finding], column: &Column) -> Frame {
    let titles = findings.iter().map(|finding| plan::words::finding(finding, column.units).title);
    let all = titles.collect::<Vec<_>>().join(". ") + ".";
    let note = say!("The plan's own page gives their limits and sources, and more remedies.");
    let words =
        Words::plainly(&all, column.scale.body()).and(" ", column.scale.small()).and(note, column.scale.small());
    stated(State::Holds, vec![column.set(&words)], column)
}

/// A state at the left, paragraphs at the right.
fn stated(of: State, parts: Vec<Frame>, column: &Column) -> Frame {
    let (sign, said) = (state(of, column.scale.body()), stack(parts, 0.3));
    let (left, height) = (column.width - column.measure(), said.height.max(sign.height));
    Frame::new(column.width, height).with(sign.role(Role::Paragraph)).with(said.at(left, 0.0))
}
