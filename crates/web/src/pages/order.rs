//! Many names as one order: the question, the wait, and what was made.

use super::frame::document;
use super::words::{amount, shape};
use crate::view::{EveningRow, OrderMade, OrderPage, OrderStands, OrderedPage, SheetSeen};
use language::say;
use maud::{Markup, html};
use plan::State;

/// The page that asks.
pub(crate) fn order(page: &OrderPage) -> String {
    let body = html! {
        main id="main" class="stock-page" {
            div class="name" {
                h1 id="name" { (say!("{name}: many names", name = page.name)) }
                p class="facts" { (say!("One drawing with places for names, and a table: each row becomes a piece, on evenings that the compressor keeps up with, nested on a sheet of resist for each.")) }
                p class="facts links" { a href=(page.piece) { (say!("The plan")) } }
                @if let Some(fault) = &page.fault { p id="order-fault" class="fault" role="alert" { (fault) } }
            }
            (places(page))
            (asking(page))
            @if !page.made.is_empty() {
                section aria-labelledby="made-title" {
                    h2 id="made-title" { (say!("Orders since the program began")) }
                    ul class="orders" { @for (address, words) in &page.made { li { a href=(address) { (words) } } } }
                }
            }
        }
    };
    document(&page.frame, body)
}

fn places(page: &OrderPage) -> Markup {
    html! {
        section aria-labelledby="places-title" {
            h2 id="places-title" { (say!("Places in this drawing")) }
            @match &page.columns {
                Ok(columns) if !columns.is_empty() => p { (say!("Columns that the table can have:")) " " @for column in columns { code class="column" { (column) } " " } },
                Ok(_) => p class="note watch" { (shape(State::Watch)) " " (say!("None: no text holds a column's name in braces, such as {{name}}, and no text has one as its id. Put one into the SVG, as text and not as outlines.")) },
                Err(fault) => p class="note watch" { (shape(State::Watch)) " " (say!("A drawing for names is an SVG:")) " " (fault) },
            }
        }
    }
}

fn asking(page: &OrderPage) -> Markup {
    let field = |id: &str, label: &str, value: &str, hint: &str| {
        html! {
            p {
                label for={ "order-" (id) } { (label) }
                input type="text" id={ "order-" (id) } name=(id) value=(value) size="12" aria-describedby={ "order-" (id) "-hint" };
                span id={ "order-" (id) "-hint" } class="hint" { (hint) }
            }
        }
    };
    let asked = &page.asked;
    html! {
        section aria-labelledby="asking-title" {
            h2 id="asking-title" { (say!("The order")) }
            form id="order-form" class="order-form" method="post" action={ (page.piece) "/order" } enctype="multipart/form-data"
                data-orders={ "/api/pieces" (page.piece.trim_start_matches("/piece")) "/orders" } {
                (field("evening", say!("an evening"), &asked.evening, say!("how long one is, such as 3h")))
                (field("setup", say!("mask and wash one"), &asked.setup, say!("of many; empty: the shop's time for one")))
                (field("fit", say!("fit"), &asked.fit, say!("texts that shrink to a width, such as name=60mm")))
                (field("gap", say!("gap"), &asked.gap, say!("least distance of two on the sheet")))
                (field("seconds", say!("look for layouts"), &asked.seconds, say!("seconds, all evenings together")))
                p class="drop" {
                    label for="order-names" { (say!("Table of names, a .csv file; its first row names the columns")) }
                    input type="file" id="order-names" name="names" accept=".csv,text/csv" required;
                }
                button type="submit" class="main" { (say!("Make the order")) }
            }
        }
    }
}

/// An order under way or done.
pub(crate) fn ordered(page: &OrderedPage) -> String {
    let body = html! {
        main id="main" class="stock-page" {
            div class="name" {
                h1 id="name" { (say!("{name}: many names", name = page.name)) }
                p class="facts links" {
                    a href=(page.piece) { (say!("The plan")) }
                    a href={ (page.piece) "/order" } { (say!("Another order")) }
                }
            }
            @match &page.stands {
                OrderStands::Underway(words, share) => (underway(page, words, *share)),
                OrderStands::Failed(why) => p id="order-fault" class="fault" role="alert" { (why) },
                OrderStands::Made(made) => (self::made(made)),
            }
        }
    };
    document(&page.frame, body)
}

fn underway(page: &OrderedPage, words: &str, share: f64) -> Markup {
    html! {
        section id="order-wait" data-events={ (page.here) "/events" } data-back={ (page.piece) "/order" }
            data-order={ "/api/pieces" (page.piece.trim_start_matches("/piece")) "/orders/" (page.here.rsplit('/').next().unwrap_or_default()) } aria-label=(say!("Progress")) {
            p id="order-words" role="status" { (words) }
            progress id="order-share" max="1" value=(share) aria-labelledby="order-words" {}
            form method="post" action={ (page.here) "/cancel" } { button type="submit" { (say!("Cancel")) } }
            noscript { p { a href=(page.here) { (say!("Look again")) } } }
        }
    }
}

fn made(made: &OrderMade) -> Markup {
    html! {
        section id="order-made" aria-labelledby="made-title" {
            h2 id="made-title" { (made.sentence) }
            p { (amount(&made.recipe)) }
            p class="price" { (amount(&made.price)) }
            @for watch in &made.watch { p class="note watch" { (shape(State::Watch)) " " (watch) } }
            @if let Some(unused) = &made.unused { p class="note watch" { (shape(State::Watch)) " " (unused) } }
            ul class="order-files" {
                @for (address, name, what) in &made.files { li { a href=(address) download { (name) } span class="tail" { " " (what) } } }
            }
        }
        @if !made.refused.is_empty() {
            section aria-labelledby="refused-title" {
                h2 id="refused-title" { (say!("Rows that make no piece")) }
                ul id="refused" { @for (line, why) in &made.refused { li class="note stop" { (shape(State::Stop)) " " (say!("line {line}: {why}")) } } }
            }
        }
        section aria-labelledby="evenings-title" {
            h2 id="evenings-title" { (say!("Evenings")) }
            ol class="evenings" { @for evening in &made.evenings { (self::evening(evening)) } }
        }
        (rows(made))
    }
}

fn evening(evening: &EveningRow) -> Markup {
    html! {
        li {
            h3 { (evening.title) }
            ul { @for line in &evening.said { li { (amount(line)) } } }
            @for seen in &evening.sheets { (sheet(seen)) }
        }
    }
}

/// A sheet as far as there is something on it, its longer side from left to right: a short stretch of a wide roll is
/// turned, and the names that stand upright on it, to save resist, read.
fn sheet(seen: &SheetSeen) -> Markup {
    let SheetSeen { length_mm: length, width_mm: width, reach_mm: reach, .. } = *seen;
    let (across, down, turn) = match reach > length {
        true => (reach, length, Some(format!("translate({reach:.3} 0) rotate(90)"))),
        false => (length, reach, None),
    };
    html! {
        a class="sheet" href=(seen.address) {
            svg viewBox={ "0 0 " (format!("{across:.3} {down:.3}")) } role="img" aria-label=(seen.words) {
                image href=(seen.address) width=(format!("{length:.3}")) height=(format!("{width:.3}")) transform=[turn] {}
            }
        }
    }
}

fn rows(made: &OrderMade) -> Markup {
    html! {
        section aria-labelledby="rows-title" {
            h2 id="rows-title" { (say!("Row by row")) }
            div class="scroll" tabindex="0" role="group" aria-label=(say!("Row by row")) {
                table class="order-rows" {
                    thead {
                        tr {
                            th scope="col" { (say!("number")) }
                            th scope="col" { (say!("name")) }
                            th scope="col" class="number" { (say!("line")) }
                            th scope="col" class="number" { (say!("begins after")) }
                            th scope="col" class="number" { (say!("nozzle open")) }
                            th scope="col" { (say!("watch")) }
                        }
                    }
                    tbody {
                        @for row in &made.rows {
                            tr {
                                th scope="row" { (row.number) }
                                td { (row.name) @if !row.more.is_empty() { span class="tail" { " " (row.more) } } }
                                td class="number" { (row.line) }
                                td class="number" { (amount(&row.from)) }
                                td class="number" { (amount(&row.blast)) }
                                td { @if let Some(watch) = row.watch { span class="watch" { (shape(State::Watch)) } " " (watch) } }
                            }
                        }
                    }
                }
            }
        }
    }
}
