//! The page from which everything can be carried away, and to which it comes back.

use super::frame::document;
use crate::view::Frame;
use language::say;
use maud::{Markup, html};

/// What the page shows.
#[derive(Debug)]
pub(crate) struct KeepPage {
    pub frame: Frame,
    /// What came of what was just sent.
    pub told: Option<Told>,
    /// Number and name.
    pub pieces: Vec<(i64, String)>,
    /// Number and name.
    pub shops: Vec<(i64, String)>,
}

/// Something to say under one of the page's forms.
#[derive(Debug)]
pub(crate) struct Told {
    /// "restore" or "import".
    pub at: &'static str,
    pub fault: bool,
    pub lines: Vec<String>,
}

/// The whole page.
pub(crate) fn keep(page: &KeepPage) -> String {
    let body = html! {
        main id="main" class="keep-page" {
            div class="name" {
                h1 id="name" { (say!("Keep and hand on")) }
                p class="facts" { (say!("Everything is in one file on this computer. What is not copied elsewhere goes with its disk.")) }
            }
            section aria-labelledby="backup-title" {
                h2 id="backup-title" { (say!("Backup")) }
                p { (say!("A copy of the whole file as it stands now: pieces with every earlier revision, shops, drawings, logs. It is checked before it is handed out.")) }
                p { a class="deed" id="backup" href="/keep/backup" download { (say!("Download the backup")) } }
                @if page.frame.network { p { (say!("A backup is put back at the computer that holds it, not from here.")) } } @else { (restore(page)) }
            }
            section aria-labelledby="export-title" {
                h2 id="export-title" { (say!("Hand on")) }
                p { (say!("A ZIP of plain files: piece.toml, the drawing, shop.toml, logs as a table. It holds each piece as it stands; earlier revisions stay here. Unpacked, a piece's folder can be planned on the command line.")) }
                p { a class="deed" id="export-all" href="/keep/everything" download { (say!("Download everything")) } }
                (exports(say!("Pieces"), "piece", &page.pieces))
                (exports(say!("Shops"), "shop", &page.shops))
            }
            (import(page))
        }
    };
    document(&page.frame, body)
}

fn exports(title: &str, kind: &str, rows: &[(i64, String)]) -> Markup {
    html! {
        @if !rows.is_empty() {
            h3 { (title) }
            ul class="exports" {
                @for (id, name) in rows {
                    li { a href={ "/keep/" (kind) "/" (id) } download { (name) } span class="tail" { " " (numbered(kind, *id)) } }
                }
            }
        }
    }
}

fn numbered(kind: &str, id: i64) -> String {
    if kind == "piece" { say!("piece {id}") } else { say!("shop {id}") }
}

fn restore(page: &KeepPage) -> Markup {
    html! {
        details id="restore" open[told(page, "restore").is_some()] {
            summary { (say!("Put a backup back")) }
            ul class="knows" {
                li { (say!("It replaces everything that is here: every piece, shop and log.")) }
                li { (say!("What is here now is first copied beside it, and the page names that file.")) }
                li { (say!("The backup is checked before it replaces anything; a damaged one changes nothing.")) }
                li { (say!("Tablets and other computers must be paired again.")) }
            }
            form method="post" action="/keep/restore" enctype="multipart/form-data" {
                label class="sure" {
                    input type="checkbox" name="sure" value="1" required;
                    " " (say!("Everything here may be replaced"))
                }
                label for="backup-file" { (say!("Backup, a .db file")) }
                input type="file" id="backup-file" name="backup" accept=".db" required;
                button type="submit" { (say!("Put it back")) }
            }
            (said(page, "restore"))
        }
    }
}

fn import(page: &KeepPage) -> Markup {
    html! {
        section id="import" aria-labelledby="import-title" {
            h2 id="import-title" { (say!("Bring in")) }
            p { (say!("A ZIP that was handed on from here or from another computer. Its pieces come in as new ones with new numbers; nothing is overwritten. A shop that is here already, word for word, is not added again.")) }
            form method="post" action="/keep/import" enctype="multipart/form-data" {
                label for="exported-file" { (say!("Exported file, a .zip")) }
                input type="file" id="exported-file" name="exported" accept=".zip" required;
                button type="submit" { (say!("Bring it in")) }
            }
            (said(page, "import"))
        }
    }
}

fn told<'a>(page: &'a KeepPage, at: &str) -> Option<&'a Told> {
    page.told.as_ref().filter(|told| told.at == at)
}

fn said(page: &KeepPage, at: &str) -> Markup {
    html! {
        @if let Some(told) = told(page, at) {
            ul id={ (at) "-said" } class=(if told.fault { "fault" } else { "said" }) role=(if told.fault { "alert" } else { "status" }) {
                @for line in &told.lines { li { (line) } }
            }
        }
    }
}
