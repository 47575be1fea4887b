//! The sentence that sums up, and the findings with their remedies.

use super::words::{amount, shape};
use crate::view::{Finding, Remedy, Summary};
use language::{say, say_count};
use maud::{Markup, html};
use plan::State;
use plan::words::{self, NoteWords};

/// The plan in one sentence.
pub(super) fn summary(summary: &Summary) -> Markup {
    html! {
        div id="summary" role="status" aria-live="polite" tabindex="-1" {
            p class={ "verdict " (summary.state.id()) } {
                (shape(summary.state)) (words::state(summary.state))
            }
            p class="sentence" { (amount(&summary.sentence)) }
            @if let Some(against) = &summary.against { p class="against" { (amount(against)) } }
        }
    }
}

/// What was checked, worst first; what holds is folded away.
pub(super) fn findings(findings: &[Finding]) -> Markup {
    let (good, bad): (Vec<_>, Vec<_>) = findings.iter().partition(|finding| finding.state == State::Holds);
    html! {
        section id="findings" aria-labelledby="findings-title" hidden[findings.is_empty()] {
            h2 id="findings-title" class="unseen" { (say!("Findings")) }
            ul { @for finding in bad { (open(finding)) } }
            @if !good.is_empty() {
                details id="findings-good" {
                    summary data-show=(say!(in "unfolds a list", "show")) data-fold=(say!(in "folds a list", "fold")) { (shape(State::Holds)) (counted(good.len())) }
                    ul { @for finding in good { (open(finding)) } }
                }
            }
        }
    }
}

/// What was done to the artwork while it was read; folded away unless something is in doubt.
pub(super) fn notes(notes: &[NoteWords]) -> Markup {
    let doubts = notes.iter().any(|note| note.state != State::Holds);
    html! {
        section id="artwork-notes" aria-labelledby="artwork-notes-title" hidden[notes.is_empty()] {
            details open[doubts] {
                summary { h2 id="artwork-notes-title" { (say!("About the artwork")) } }
                ul {
                    @for note in notes {
                        li class={ "note " (note.state.id()) } {
                            (shape(note.state)) span { (amount(&note.words)) }
                        }
                    }
                }
            }
        }
    }
}

fn counted(good: usize) -> String {
    say_count!(good, "{good} check holds", "{good} checks hold")
}

fn open(finding: &Finding) -> Markup {
    let word = words::state(finding.state);
    html! {
        li id={ "finding-" (finding.id) } class={ "finding " (finding.state.id()) } {
            details class="why" {
                summary class="title" {
                    (shape(finding.state))
                    span class="word" { (word) @if let Some(number) = finding.number { " " (number) } }
                    span class="what" { (amount(&finding.title)) }
                    span class="more" { (say!(in "unfolds the reasons", "why")) }
                }
                p { (amount(&finding.why)) }
                p class="source" { (say!("Source: {source}", source = finding.source)) }
            }
            @if !finding.remedies.is_empty() {
                ul class="remedies" { @for remedy in &finding.remedies { li { (offered(remedy)) } } }
            }
        }
    }
}

fn offered(remedy: &Remedy) -> Markup {
    html! {
        @match &remedy.apply {
            Some(apply) => button type="submit" form="recipe-form" name="remedy" value=(apply) class="remedy" {
                (shape(remedy.gives)) span { (amount(&remedy.words)) }
            },
            None => p class="remedy" { (shape(remedy.gives)) span { (amount(&remedy.words)) } },
        }
    }
}
