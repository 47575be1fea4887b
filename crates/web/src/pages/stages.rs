//! Below the strip: stages, cautions, consumables, time, cost and files.

use super::stock;
use super::words::{amount, shape};
use crate::view::{Done, List, Planned, Row, Stage, StepCautions};
use language::say;
use maud::{Markup, html};
use plan::words;

/// The stages in the order in which they are done.
pub(super) fn stages(plan: Option<&Planned>) -> Markup {
    html! {
        section id="stages" aria-labelledby="stages-title" hidden[plan.is_none()] {
            h2 id="stages-title" { (say!("Stages")) }
            @if let Some(plan) = plan {
                p class="links" {
                    span { a href=(plan.cabinet) { (say!("Take it to the cabinet")) } span class="tail" { " " (say!("one stage to a screen, with the timer")) } }
                    span { a href=(plan.recipes) { (say!("Which recipe")) } span class="tail" { " " (say!("of all that the shop owns")) } }
                    span { a href=(plan.price) { (say!("The price")) } span class="tail" { " " (say!("over quantities, with the quote")) } }
                    span { a href=(plan.order) { (say!("Many names")) } span class="tail" { " " (say!("from a table, as one order")) } }
                }
                div class="scroll" {
                    table class="rowwise" {
                        thead {
                            tr {
                                th scope="col" { (say!(in "a table head", "stage")) }
                                th scope="col" { (say!(in "what is open in a stage", "open")) }
                                th scope="col" { (say!(in "a table head: what is weeded", "weed")) }
                                th scope="col" class="number" { (say!(in "a table head: how long it takes", "weeding")) }
                                th scope="col" class="number" { (say!("nozzle open")) }
                                th scope="col" class="number" { (say!(in "a table head: how long one waits", "waiting")) }
                                @for layer in &plan.layers { th scope="col" class="number" { (layer) span class="unit" { " " (say!(in "a depth after a stage", "after it")) } } }
                            }
                        }
                        tbody { @for stage in &plan.stages { (row(stage, &plan.layers)) } }
                    }
                }
            }
        }
    }
}

/// A row; on a phone each number stands under its head's word.
fn row(stage: &Stage, layers: &[String]) -> Markup {
    html! {
        tr {
            th scope="row" { (stage.order) }
            td class="thumbnail" { img src=(stage.thumbnail) alt=(say!("What is open in stage {stage}", stage = stage.order)) loading="lazy"; }
            td { (stage.opens) }
            td class="number" data-head=(say!(in "a table head: how long it takes", "weeding")) { (amount(&stage.weed)) }
            td class="number strong" data-head=(say!("nozzle open")) { (amount(&stage.blast)) }
            td class="number" data-head=(say!(in "a table head: how long one waits", "waiting")) { (amount(&stage.wait)) }
            @for (depth, layer) in stage.depths.iter().zip(layers) {
                td class="number" data-head=(layer) { @if depth.is_empty() { span class="unit" { (say!(in "a layer in a stage", "covered")) } } @else { (amount(depth)) } }
            }
        }
    }
}

/// What can hurt, and what to do about it, step by step; and where all checks stand.
pub(super) fn cautions(steps: &[StepCautions], checks: Option<&str>) -> Markup {
    html! {
        section id="cautions" aria-labelledby="cautions-title" hidden[steps.is_empty()] {
            div class="head" {
                h2 id="cautions-title" { (say!("Cautions, step by step")) }
                @if let Some(checks) = checks { a href=(checks) { (say!("All safety checks of this piece and shop")) } }
            }
            div class="by-step" { @for step in steps { (of_step(step)) } }
        }
    }
}

fn of_step(step: &StepCautions) -> Markup {
    html! {
        section class="of-step" {
            h3 { (step.step) }
            ul {
                @for caution in &step.cautions {
                    li {
                        p { strong { (amount(&caution.hazard)) } " " (amount(&caution.harm)) }
                        p class="act" { (amount(&caution.act)) }
                        p class="source" { (say!("Source: {source}", source = caution.source)) }
                    }
                }
            }
        }
    }
}

/// What it takes and what comes out.
pub(super) fn lists(plan: Option<&Planned>) -> Markup {
    html! {
        div id="lists" hidden[plan.is_none()] {
            @if let Some(plan) = plan {
                @for list in &plan.lists { (table(list)) }
                (stock::left(&plan.stock, &plan.stock_page))
                (narrowing(&plan.narrowing))
                (done(&plan.done, &plan.runs))
                (files(plan))
            }
        }
    }
}

/// What would narrow the plan's uncertain numbers.
fn narrowing(sentences: &[String]) -> Markup {
    html! {
        section id="narrowing" aria-labelledby="narrowing-title" hidden[sentences.is_empty()] {
            h2 id="narrowing-title" { (say!("What would narrow it")) }
            @for sentence in sentences { p { (amount(sentence)) } }
        }
    }
}

/// What was done at the cabinet; nothing where nothing was.
fn done(done: &[Done], runs: &str) -> Markup {
    html! {
        section id="runs" aria-labelledby="runs-title" hidden[done.is_empty()] {
            h2 id="runs-title" { (say!("Done at the cabinet")) }
            @for run in done {
                p {
                    b { (run.day) } " " (amount(&run.said))
                    @if let Some(learn) = &run.learn { " " a href=(learn) { (say!("what it teaches")) } }
                }
            }
            p { a href=(runs) { (say!("Planned and logged")) } }
        }
    }
}

/// Why this resist, and what is covered around the stencil.
pub(super) fn stencil(plan: Option<&Planned>) -> Markup {
    html! {
        div id="stencil" hidden[plan.is_none()] {
            @if let Some(plan) = plan {
                section id="resists" aria-labelledby="resists-title" {
                    h2 id="resists-title" { (say!("Why this resist")) }
                    ul {
                        @for row in &plan.resists {
                            li class={ "resist " (row.state.id()) } {
                                (shape(row.state))
                                span class="word" { (words::state(row.state)) }
                                span { b { (row.name) } ": " (amount(&row.why)) }
                            }
                        }
                    }
                }
                (table(&plan.masking))
            }
        }
    }
}

fn table(list: &List) -> Markup {
    html! {
        section id=(list.id) aria-labelledby={ (list.id) "-title" } {
            h2 id={ (list.id) "-title" } { (list.title) }
            table {
                tbody { @for row in &list.rows { (entry(row)) } }
                @if let Some(total) = &list.total { tfoot { (entry(total)) } }
            }
            @if let Some(note) = &list.note { p class="note" { (amount(note)) } }
        }
    }
}

fn entry(row: &Row) -> Markup {
    html! {
        tr {
            th scope="row" { (row.name) }
            td class="number" { (amount(&row.amount)) }
            @if let Some(price) = &row.price { td class="number" { (amount(price)) } }
        }
    }
}

fn files(plan: &Planned) -> Markup {
    html! {
        section id="files" aria-labelledby="files-title" {
            h2 id="files-title" { (say!("Files")) }
            p { a href=(plan.packed) download { (say!("All of them, as one ZIP")) } }
            ul { @for file in &plan.files { li { a href=(file.href) download { (file.name) } span class="what" { (file.what) } } } }
        }
    }
}
