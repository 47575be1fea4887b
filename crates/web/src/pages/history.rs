//! Every revision of a piece.

use super::frame::document;
use crate::view::{HistoryPage, HistoryRow};
use language::say;
use maud::{Markup, html};

/// The whole page.
pub(crate) fn history(page: &HistoryPage) -> String {
    let body = html! {
        main id="main" {
            div class="name" {
                h1 id="name" { (say!("{name}: every revision", name = page.name)) }
                p class="facts" { (say!("Every revision that was kept. An earlier one is brought back as the newest.")) }
                p class="facts links" { a href=(page.address) { (say!("The plan")) } a href={ (page.address) "/runs" } { (say!("Planned and logged")) } a href={ (page.address) "/file" } { (say!("The file as text")) } }
            }
            ol class="rows" reversed { @for row in &page.rows { (self::row(page, row)) } }
        }
    };
    document(&page.frame, body)
}

fn row(page: &HistoryPage, row: &HistoryRow) -> Markup {
    html! {
        li {
            span class="title" { (row.number) }
            span class="tail" { (row.saved) " UTC" }
            ul { @for change in &row.changed { li { (change) } } }
            @if row.stands { strong { (say!(in "a revision", "stands")) } }
            @else {
                form method="post" action={ (page.address) "/revision/" (row.number) } {
                    input type="hidden" name="revision" value=(page.revision);
                    button type="submit" class="quiet" aria-label=(say!("Bring back revision {number}", number = row.number)) { (say!(in "a button", "Bring back")) }
                }
            }
        }
    }
}
