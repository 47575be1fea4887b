//! The sizing page.

use super::{
    frame::document,
    setup,
    words::{amount, drawn},
};
use crate::view::{Drawn, SizingPage, SizingParts};
use language::say;
use maud::{Markup, html};
use plan::size_document::Told;

/// The whole page.
pub(crate) fn sizing(page: &SizingPage) -> String {
    let body = html! {
        main id="main" {
            div class="name" {
                h1 id="name" { (say!("What it takes")) }
                p class="facts" { (say!("Before anything is bought: the smallest line that holds the work, and what the next size up would allow.")) }
            }
            div class="sizing" {
                form id="sizing-form" method="get" action="/sizing" data-try="/sizing/try" autocomplete="off" novalidate {
                    h2 { (say!("What do you want to do?")) }
                    (fields(&page.parts))
                    button type="submit" class="again" { (say!("Ask again")) }
                }
                (outcome(&page.parts))
            }
        }
    };
    document(&page.frame, body)
}

/// The parts that change with a value, for a page that is there already.
pub(crate) fn sizing_parts(parts: &SizingParts) -> String {
    html! { (fields(parts)) (outcome(parts)) }.into_string()
}

fn fields(parts: &SizingParts) -> Markup {
    html! { div id="sizing-fields" { @for field in &parts.fields { (setup::value(field)) } } }
}

fn outcome(parts: &SizingParts) -> Markup {
    html! {
        section id="sizing-outcome" aria-label=(say!("What it takes")) aria-live="polite" {
            @match &parts.told {
                Ok(told) => (answer(told)),
                Err(why) => p class="fault" { (why) },
            }
            div class="maps" {
                (map(say!("The line that holds it"), parts.proposed.as_ref()))
                (map(&say!("{shop} today", shop = parts.shop), parts.today.as_ref()))
            }
        }
    }
}

fn answer(told: &Told) -> Markup {
    html! {
        h2 { (say!("What it takes")) }
        p class="sentence" { (amount(&told.wanted)) }
        div class="scroll" {
            table class="stacked" {
                thead { tr { th scope="col" { (say!("part")) } th scope="col" { (say!("smallest that holds")) } th scope="col" class="number" { (say!("to spare")) } th scope="col" class="whole" { (say!("one size up")) } } }
                tbody {
                    @for row in &told.rows {
                        tr { th scope="row" { (row.part) } td class="strong" { (amount(&row.size)) } td class="number" { (row.spare) } td class="whole" { (amount(&row.next)) } }
                    }
                }
            }
        }
        p class="about" { (told.note) }
    }
}

fn map(title: &str, drawing: Option<&Drawn>) -> Markup {
    html! {
        @if let Some(drawing) = drawing {
            figure class="drawing" { figcaption { (title) } (drawn(title, drawing)) }
        }
    }
}
