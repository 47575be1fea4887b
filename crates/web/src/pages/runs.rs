//! What was planned beside what was logged, run by run.

use super::frame::document;
use super::words::{amount, drawn, shape};
use crate::view::{ComparedRow, RunRow, RunsPage};
use language::say;
use maud::{Markup, html};
use plan::State;

/// The whole page.
pub(crate) fn runs(page: &RunsPage) -> String {
    let body = html! {
        main id="main" class="stock-page" {
            div class="name" {
                h1 id="name" { (page.title) }
                p class="facts" { (say!("Each log from the cabinet beside what the plan said of it when it came. A plan's range is meant to hold nine times in ten.")) }
                p class="facts links" {
                    @for (address, words) in &page.links { a href=(address) { (words) } }
                    @if !page.runs.is_empty() { a href=(page.table) download { (say!("As a table")) } }
                }
            }
            @if page.runs.is_empty() {
                p { (say!("Nothing was run yet. Take a piece to the cabinet: its log comes here.")) }
            } @else {
                (judged(page))
                section id="runs" aria-labelledby="runs-title" {
                    h2 id="runs-title" { (say!("Run by run")) }
                    ol class="run-list" { @for run in &page.runs { (self::run(run)) } }
                }
            }
        }
    };
    document(&page.frame, body)
}

fn judged(page: &RunsPage) -> Markup {
    html! {
        section id="coverage" aria-labelledby="coverage-title" {
            h2 id="coverage-title" { (say!("How well the plans did")) }
            @for (state, sentence) in &page.sentences {
                p class={ "note " (state.id()) } { (shape(*state)) " " (amount(sentence)) }
            }
            @if let Some(drawing) = &page.drawing {
                div class="ratios" { (drawn(say!("Logged over planned"), drawing)) }
            }
        }
    }
}

fn run(run: &RunRow) -> Markup {
    html! {
        li {
            h3 { span { (run.day) } " " a href=(run.piece.1) { (run.piece.0) } }
            @match &run.rows {
                Ok(rows) => div class="scroll" tabindex="0" role="group" aria-label={ (run.day) " " (run.piece.0) } {
                    table class="stacked" {
                        thead {
                            tr {
                                th scope="col" class="whole" { (say!("what")) }
                                th scope="col" class="number" { (say!("planned")) }
                                th scope="col" class="number" { (say!("logged")) }
                                th scope="col" { (say!("in its range")) }
                            }
                        }
                        tbody { @for row in rows { (compared(row)) } }
                    }
                },
                Err(why) => p class="fault" { (why) },
            }
            @if let Some(note) = &run.note { p class="note" { (note) } }
        }
    }
}

fn compared(row: &ComparedRow) -> Markup {
    html! {
        tr {
            th scope="row" class="whole" { (row.name) }
            td class="number" { (amount(&row.planned)) }
            td class="number" { (amount(&row.logged)) }
            td {
                @match row.inside {
                    Some(true) => { span class="holds" { (shape(State::Holds)) } " " (say!("inside")) },
                    Some(false) => { span class="watch" { (shape(State::Watch)) } " " (say!("outside")) },
                    None => {},
                }
            }
        }
    }
}
