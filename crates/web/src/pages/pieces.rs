//! The list of pieces, and the place where a new one begins.

use super::frame::document;
use super::words::marked;
use crate::view::{PieceCard, PiecesPage};
use language::say;
use maud::{Markup, html};

/// The whole page.
pub(crate) fn pieces(page: &PiecesPage) -> String {
    let body = html! {
        main id="main" class="pieces-page" {
            div class="name" { h1 id="name" { @if page.away { (say!(in "a title", "Put away")) } @else { (say!("Pieces")) } } }
            (welcome(page))
            (begin(page))
            (search(page))
            @if page.pieces.is_empty() {
                p class="none" {
                    @if !page.searched.is_empty() { (say!("No piece has “{searched}” in its name.", searched = page.searched)) }
                    @else if page.away { (say!("Nothing is put away.")) }
                    @else { (say!("There is no piece yet. Begin one with a drawing.")) }
                }
            }
            ul class="shelf" { @for piece in &page.pieces { (card(piece)) } }
        }
    };
    document(&page.frame, body)
}

/// Where one stands: in the demonstration shop, or a moment after setting up one's own.
fn welcome(page: &PiecesPage) -> Markup {
    html! {
        @if page.begun {
            p class="welcome" role="status" {
                (marked(&say!("[{shop} is kept.] Now drop a drawing: its piece is planned with your own air and stock.", shop = page.shop), |words| html! { strong { (words) } }))
            }
        } @else if !page.own_shop {
            p class="welcome" {
                (marked(&say!("You are in a demonstration shop, {shop}, with its pieces. [Set up your own shop]: five minutes beside the compressor.", shop = page.shop), |words| html! { a href="/start" { (words) } }))
            }
        }
    }
}

fn begin(page: &PiecesPage) -> Markup {
    html! {
        form id="begin-piece" method="post" action="/pieces" enctype="multipart/form-data" {
            label for="drawing" { strong { (say!("New piece")) } span class="tail" { " " (say!("drop a drawing here, or choose its file")) } }
            input type="file" id="drawing" name="drawing" required aria-describedby=[page.fault.as_ref().map(|_| "begin-fault")];
            button type="submit" { (say!(in "a piece of a drawing", "Begin")) }
            @if let Some(fault) = &page.fault { p id="begin-fault" class="fault" role="alert" { (fault) } }
        }
    }
}

fn search(page: &PiecesPage) -> Markup {
    html! {
        form id="search-pieces" method="get" action="/pieces" role="search" {
            label for="q" { (say!(in "a label", "Search")) }
            input type="text" id="q" name="q" value=(page.searched) autocomplete="off";
            @if page.away { input type="hidden" name="away" value="1"; }
            button type="submit" class="quiet" { (say!(in "a button", "Find")) }
            @if page.away { a href="/pieces" { (say!("Back to the pieces at hand")) } }
            @else { a href="/pieces?away=1" { (say!("Those put away")) } }
        }
    }
}

fn card(piece: &PieceCard) -> Markup {
    html! {
        li {
            a class="pictured" href=(piece.href) {
                img src=(piece.picture) alt="" loading="lazy" width="320" height="240";
                span class="title" { (piece.name) }
            }
            p class="facts" { @match &piece.shop { Some(shop) => (say!("{facts}, in {shop}", facts = piece.facts)), None => (piece.facts) } }
            div class="deeds" {
                form method="post" action={ (piece.href) "/copy" } {
                    button type="submit" class="quiet" aria-label=(say!("Copy {name}", name = piece.name)) { (say!(in "a button", "Copy")) }
                }
                @if let Some(shop) = piece.into {
                    form method="post" action={ (piece.href) "/copy" } {
                        input type="hidden" name="shop" value=(shop);
                        button type="submit" class="quiet" aria-label=(say!("Copy {name} into the shop at work", name = piece.name)) { (say!("Copy into my shop")) }
                    }
                }
                form method="post" action={ (piece.href) "/shelve" } {
                    input type="hidden" name="away" value=(if piece.away { "0" } else { "1" });
                    @let (words, full) = match piece.away {
                        true => (say!(in "a button", "Bring back"), say!("Bring back {name}", name = piece.name)),
                        false => (say!(in "a button", "Put away"), say!("Put away {name}", name = piece.name)),
                    };
                    button type="submit" class="quiet" aria-label=(full) { (words) }
                }
            }
        }
    }
}
