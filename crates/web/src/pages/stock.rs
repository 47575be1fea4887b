//! What a shop has left: stock, nozzles, and the ledger behind both.

use super::frame::document;
use super::words::{amount, shape};
use crate::view::{EntryRow, NozzleRow, StockItem, StockLeft, StockPage};
use language::{say, say_count};
use maud::{Markup, html};
use plan::State;
use stock::Verb;

/// The whole page.
pub(crate) fn stock(page: &StockPage) -> String {
    let body = html! {
        main id="main" class="stock-page" data-entries={ "/api/shops" (page.shop.trim_start_matches("/shop")) "/stock/entries" } {
            div class="name" {
                h1 id="name" { (say!("What {shop} has left", shop = page.name)) }
                p class="facts" { (say!("Each run at the cabinet draws from the stock and wears its nozzle, by its plan and its log. What you buy, count and gauge you enter here; nothing is overwritten.")) }
                p class="facts links" {
                    a href=(page.shop) { (say!("The air line")) }
                    a href={ (page.shop) "/runs" } { (say!("Planned and logged")) }
                    a href={ (page.shop) "/stock.csv" } download { (say!("The ledger as a table")) }
                }
                @if let Some(untold) = &page.untold { p class="note watch" { (shape(State::Watch)) " " (untold) } }
                @if let Some(fault) = &page.fault { p id="stock-fault" class="fault" role="alert" { (fault) } }
                output id="stock-told" class="facts" {}
            }
            (items(page))
            (nozzles(page))
            (entries(page))
        }
    };
    document(&page.frame, body)
}

fn items(page: &StockPage) -> Markup {
    html! {
        section id="stock" aria-labelledby="stock-title" {
            h2 id="stock-title" { (say!("Stock")) }
            ul class="left" { @for item in page.items.iter().filter(|item| item.known) { (self::item(item)) } }
            @let unknown: Vec<&StockItem> = page.items.iter().filter(|item| !item.known).collect();
            @if !unknown.is_empty() {
                details id="uncounted" open[unknown.len() == page.items.len()] {
                    summary { (say_count!(unknown.len(), "{n} more, not counted yet", "{n} more, not counted yet", n = unknown.len())) }
                    ul class="uncounted" { @for item in unknown { li data-item=(item.key) { (item.name) } } }
                }
            }
            form id="stock-form" class="entry-form" method="post" action={ (page.shop) "/stock" } autocomplete="off" {
                p { label for="stock-verb" { (say!("Enter")) }
                    select id="stock-verb" name="verb" {
                        (choice(Verb::Bought.word(), say!("bought"), &page.typed.verb))
                        (choice(Verb::Counted.word(), say!("counted: so much is there"), &page.typed.verb))
                        (choice(Verb::Reorder.word(), say!("buy again at"), &page.typed.verb))
                    } }
                p { label for="stock-item" { (say!("of")) }
                    select id="stock-item" name="item" {
                        @for item in &page.items { (choice(&item.key, &item.name, &page.typed.item)) }
                    } }
                p { label for="stock-amount" { (say!("how much")) }
                    input type="text" id="stock-amount" name="amount" required size="9" value=(mine(page, false)) aria-describedby="stock-hint"; }
                p { label for="stock-about" { (say!("note")) }
                    input type="text" id="stock-about" name="about" maxlength="200" size="18" class="words" value=(page.typed.about); }
                button type="submit" { (say!("Enter it")) }
                p id="stock-hint" class="note" { (say!("With its unit: 25kg, 50lb, 5m2, 40ft2; of a resist also the length of the roll, 10m.")) }
            }
        }
    }
}

/// What was typed into one of the two forms.
fn mine(page: &StockPage, of_nozzle: bool) -> &str {
    let nozzle = page.typed.item.starts_with("nozzle ");
    if nozzle == of_nozzle { &page.typed.amount } else { "" }
}

fn choice(value: &str, words: &str, typed: &str) -> Markup {
    html! { option value=(value) selected[value == typed] { (words) } }
}

fn item(item: &StockItem) -> Markup {
    html! {
        li class=(item.state.id()) data-item=(item.key) {
            (shape(item.state)) span class="word" { (item.word) }
            span class="title" { (item.name) }
            span class="much" { (amount(&item.left)) }
            ul class="lines" { @for line in &item.said { li { (amount(line)) } } }
        }
    }
}

fn nozzles(page: &StockPage) -> Markup {
    html! {
        section id="nozzles" aria-labelledby="nozzles-title" {
            h2 id="nozzles-title" { (say!("Nozzles")) }
            ul class="left" { @for nozzle in &page.nozzles { (self::nozzle(nozzle)) } }
            form id="nozzle-form" class="entry-form" method="post" action={ (page.shop) "/stock" } autocomplete="off" {
                input type="hidden" name="revision" value=(page.revision);
                p { label for="nozzle-verb" { (say!("Enter")) }
                    select id="nozzle-verb" name="verb" {
                        (choice(Verb::Gauged.word(), say!("gauged: the bore is"), &page.typed.verb))
                        (choice(Verb::Renewed.word(), say!("a new one is in, of bore"), &page.typed.verb))
                    } }
                p { label for="nozzle-item" { (say!("of")) }
                    select id="nozzle-item" name="item" {
                        @for nozzle in &page.nozzles { (choice(&nozzle.key, &nozzle.name, &page.typed.item)) }
                    } }
                p { label for="nozzle-amount" { (say!("bore")) }
                    input type="text" id="nozzle-amount" name="amount" required size="9" value=(mine(page, true)) aria-describedby="nozzle-hint"; }
                label class="tick" { input type="checkbox" name="write" value="1" checked; (say!("plan with it from now on")) }
                button type="submit" { (say!("Enter it")) }
                p id="nozzle-hint" class="note" { (say!("Let the hose down first. Try drill shanks in the bore: the largest that goes in is its width, such as 2.5mm or 3/32in.")) }
            }
        }
    }
}

fn nozzle(nozzle: &NozzleRow) -> Markup {
    html! {
        li class=(nozzle.state.id()) data-item=(nozzle.key) {
            (shape(nozzle.state)) span class="word" { (nozzle.word) }
            span class="title" { (nozzle.name) }
            span class="much" { (amount(&nozzle.bore)) }
            ul class="lines" {
                @for line in &nozzle.said { li { (amount(line)) } }
                li class="source" { (nozzle.source) }
            }
        }
    }
}

fn entries(page: &StockPage) -> Markup {
    html! {
        section id="ledger" aria-labelledby="ledger-title" {
            h2 id="ledger-title" { (say!("Ledger")) }
            @if page.entries.is_empty() {
                p class="facts" { (say!("Nothing is entered yet. Count what is on the shelf, and each run draws from it.")) }
            }
            ol class="entries" reversed { @for entry in &page.entries { (self::entry(page, entry)) } }
            @if page.older > 0 {
                p class="facts" { (say_count!(page.older, "{n} older entry is in the table.", "{n} older entries are in the table.", n = page.older)) }
            }
        }
    }
}

fn entry(page: &StockPage, entry: &EntryRow) -> Markup {
    html! {
        li class=[entry.gone.then_some("gone")] {
            span class="tail" { (entry.day) }
            span class="what" {
                @if entry.gone { s { (amount(&entry.said)) } " " span class="tail" { (say!("taken back")) } } @else { (amount(&entry.said)) }
                @if let Some((name, address)) = &entry.piece { " · " a href=(address) { (name) } }
                @if !entry.about.is_empty() { span class="tail" { " · " (entry.about) } }
            }
            @if entry.back {
                form method="post" action={ (page.shop) "/stock/back" } {
                    input type="hidden" name="key" value=(entry.key);
                    button type="submit" class="quiet" aria-label=(say!("Take back: {entry}", entry = entry.said)) { (say!("Take back")) }
                }
            }
        }
    }
}

/// What of the stock does not suffice for a piece; beside its findings.
pub(super) fn short(left: &[StockLeft]) -> Markup {
    let short: Vec<&StockLeft> = left.iter().filter(|one| one.state != State::Holds).collect();
    html! {
        section id="stock-short" aria-label=(say!("Stock")) hidden[short.is_empty()] {
            ul { @for one in short { li class={ "note " (one.state.id()) } { (shape(one.state)) span { (amount(&one.words)) } } } }
        }
    }
}

/// What is left of all that a piece uses; nothing where nothing is known.
pub(super) fn left(left: &[StockLeft], address: &str) -> Markup {
    html! {
        section id="in-stock" aria-labelledby="in-stock-title" hidden[left.is_empty()] {
            h2 id="in-stock-title" { (say!("In stock")) }
            ul { @for one in left { li class={ "note " (one.state.id()) } { (shape(one.state)) span { (amount(&one.words)) } } } }
            p { a href=(address) { (say!("What the shop has left")) } }
        }
    }
}
