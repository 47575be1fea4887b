//! Every table with its sources.

use super::frame::document;
use crate::view::Frame;
use language::say;
use maud::{Markup, html};
use reference::{Listed, Listing};

/// The whole page.
pub(crate) fn reference(frame: &Frame, listings: &[Listing]) -> String {
    let body = html! {
        main id="main" class="reference" {
            div class="name" {
                h1 id="name" { (say!("Reference")) }
                p class="facts" { (say!("Every number that plans rest on, as its table writes it, and where it came from. A range is low – middle – high.")) }
            }
            ul class="links" { @for listing in listings { li { a href={ "#" (id(listing)) } { (listing.title) } } } }
            @for listing in listings { (section(listing)) }
        }
    };
    document(frame, body)
}

fn id(listing: &Listing) -> String {
    listing.title.to_lowercase().replace(' ', "-")
}

fn section(listing: &Listing) -> Markup {
    let named = listing.rows.iter().any(|row| !row.of.is_empty());
    html! {
        section id=(id(listing)) aria-labelledby={ (id(listing)) "-title" } {
            h2 id={ (id(listing)) "-title" } { (listing.title) }
            p class="about" { (listing.about) }
            div class="scroll" tabindex="0" role="region" aria-label=(say!("{title}, table", title = listing.title)) {
                table class="stacked" {
                    thead {
                        tr {
                            @if named { th scope="col" class="whole" { (say!(in "a table head: what a value belongs to", "of")) } }
                            th scope="col" { (say!(in "a table head: what a value is", "what")) }
                            th scope="col" class="number" { (say!("value")) }
                            th scope="col" class="whole" { (say!("source")) }
                        }
                    }
                    tbody {
                        @for (at, row) in listing.rows.iter().enumerate() {
                            (self::row(row, named, at == 0 || listing.rows[at - 1].of != row.of))
                        }
                    }
                }
            }
        }
    }
}

fn row(row: &Listed, named: bool, first: bool) -> Markup {
    html! {
        tr class=[first.then_some("first")] {
            @if named && row.of.is_empty() { td class="whole" {} }
            @if named && !row.of.is_empty() {
                th scope="row" class="whole" { @if first { (row.of) } @else { span class="unseen" { (row.of) } } }
            }
            td { (row.what) @if let Some(note) = &row.note { span class="note" { (note) } } }
            td class="number" { (row.value) }
            td class="source whole" {
                (row.source)
                @for (value, source) in &row.disagrees { span class="note" { (say!("another: {value}, {source}")) } }
            }
        }
    }
}
