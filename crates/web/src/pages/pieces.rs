//! The list of pieces, and the place where a new one begins.

use super::frame::document;
use crate::view::{PieceCard, PiecesPage};
use maud::{Markup, html};

/// The whole page.
pub(crate) fn pieces(page: &PiecesPage) -> String {
    let body = html! {
        main id="main" class="pieces-page" {
            div class="name" { h1 id="name" { @if page.away { "Put away" } @else { "Pieces" } } }
            (welcome(page))
            (begin(page))
            (search(page))
            @if page.pieces.is_empty() {
                p class="none" {
                    @if !page.searched.is_empty() { "No piece has “" (page.searched) "” in its name." }
                    @else if page.away { "Nothing is put away." }
                    @else { "There is no piece yet. Begin one with a drawing." }
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
                strong { (page.shop) " is kept." } " Now drop a drawing: its piece is planned with your own air and stock."
            }
        } @else if !page.own_shop {
            p class="welcome" {
                "You are in a demonstration shop, " (page.shop) ", with its pieces. "
                a href="/start" { "Set up your own shop" } ": five minutes beside the compressor."
            }
        }
    }
}

fn begin(page: &PiecesPage) -> Markup {
    html! {
        form id="begin-piece" method="post" action="/pieces" enctype="multipart/form-data" {
            label for="drawing" { strong { "New piece" } span class="tail" { " drop a drawing here, or choose its file" } }
            input type="file" id="drawing" name="drawing" required aria-describedby=[page.fault.as_ref().map(|_| "begin-fault")];
            button type="submit" { "Begin" }
            @if let Some(fault) = &page.fault { p id="begin-fault" class="fault" role="alert" { (fault) } }
        }
    }
}

fn search(page: &PiecesPage) -> Markup {
    html! {
        form id="search-pieces" method="get" action="/pieces" role="search" {
            label for="q" { "Search" }
            input type="text" id="q" name="q" value=(page.searched) autocomplete="off";
            @if page.away { input type="hidden" name="away" value="1"; }
            button type="submit" class="quiet" { "Find" }
            @if page.away { a href="/pieces" { "Back to the pieces at hand" } }
            @else { a href="/pieces?away=1" { "Those put away" } }
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
            p class="facts" { (piece.facts) @if let Some(shop) = &piece.shop { ", in " (shop) } }
            div class="deeds" {
                form method="post" action={ (piece.href) "/copy" } {
                    button type="submit" class="quiet" aria-label={ "Copy " (piece.name) } { "Copy" }
                }
                @if let Some(shop) = piece.into {
                    form method="post" action={ (piece.href) "/copy" } {
                        input type="hidden" name="shop" value=(shop);
                        button type="submit" class="quiet" aria-label={ "Copy " (piece.name) " into the shop at work" } { "Copy into my shop" }
                    }
                }
                form method="post" action={ (piece.href) "/shelve" } {
                    input type="hidden" name="away" value=(if piece.away { "0" } else { "1" });
                    @let words = if piece.away { "Bring back" } else { "Put away" };
                    button type="submit" class="quiet" aria-label={ (words) " " (piece.name) } { (words) }
                }
            }
        }
    }
}
