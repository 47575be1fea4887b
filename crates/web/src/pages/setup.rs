//! The page that sets a shop up, the list of shops, and a shop's file as text.

use super::{findings, frame::document, words::drawn};
use crate::setup::basics::STOCK;
use crate::view::{FilePage, SetupField, SetupPage, SetupParts, SetupStep, SetupStock, ShopRow, ShopsPage, StockBox};
use language::{say, say_count};
use maud::{Markup, html};

/// The whole page.
pub(crate) fn setup(page: &SetupPage) -> String {
    let body = html! {
        main id="main" {
            div class="name" {
                h1 id="name" { (page.title) }
                p class="facts" { (page.lead) }
                @if let Some(back) = &page.back {
                    p class="facts" { a href=(back) { (say!("The shop")) } " · " a href={ (back) "/file" } { (say!("Its file as text")) } }
                }
            }
            div class="setup" {
                form id="setup-form" method="post" action=(page.action) data-try={ (page.action) "/try" } autocomplete="off" novalidate {
                    @if let Some(revision) = page.revision { input type="hidden" name="revision" value=(revision); }
                    input type="hidden" name=(STOCK) value="1";
                    (changing(&page.parts))
                }
                (outcome(&page.parts))
            }
        }
    };
    document(&page.frame, body)
}

/// The parts that change with an answer, for a page that is there already.
pub(crate) fn setup_parts(parts: &SetupParts) -> String {
    html! { (changing(parts)) (outcome(parts)) }.into_string()
}

fn changing(parts: &SetupParts) -> Markup {
    html! {
        ol id="setup-steps" {
            @for (at, step) in parts.steps.iter().enumerate() {
                // What is on the shelf is asked before cabinet and money.
                @if at + 1 == parts.steps.len() { (shelf(&parts.stock)) }
                (self::step(step))
            }
        }
        div id="setup-actions" class="actions" {
            button type="submit" id="setup-keep" class="main" formaction=(parts.action) disabled[!parts.keepable] { (say!("Keep this shop")) }
        }
    }
}

fn step(step: &SetupStep) -> Markup {
    html! {
        li {
            fieldset {
                legend { (step.title) }
                p class="why" { (step.why) }
                @for field in &step.fields { (value(field)) }
            }
        }
    }
}

fn id_of(key: &str) -> String {
    format!("setup-{}", key.replace(|c: char| !c.is_ascii_alphanumeric(), "-"))
}

pub(super) fn value(field: &SetupField) -> Markup {
    let id = id_of(&field.key);
    html! {
        div class="value" {
            label for=(id) { (field.label) }
            (control(field, &id))
            span class="hint" { (field.hint) }
        }
        (fault(field, &id))
    }
}

fn control(field: &SetupField, id: &str) -> Markup {
    let bad = field.fault.as_ref().map(|_| "true");
    let told = field.fault.as_ref().map(|_| format!("{id}-fault"));
    html! {
        @if field.choices.is_empty() {
            input type="text" id=(id) name=(field.key) value=(field.value) aria-invalid=[bad] aria-describedby=[told];
        } @else {
            select id=(id) name=(field.key) {
                @for choice in &field.choices { option value=(choice.value) selected[choice.selected] { (choice.words) } }
            }
        }
    }
}

fn fault(field: &SetupField, id: &str) -> Markup {
    html! { @if let Some(fault) = &field.fault { p id={ (id) "-fault" } class="fault" { (fault) } } }
}

fn shelf(stock: &SetupStock) -> Markup {
    html! {
        li {
            fieldset id="setup-nozzles" {
                legend { (say!("Nozzles")) }
                p class="why" {
                    (say!("A bore that has worn by a tenth takes a fifth more air. Measure it with a drill shank; an \
                           empty line adds one, a line without bore takes it away."))
                }
                table {
                    thead { tr { th scope="col" { (say!("name")) } th scope="col" { (say!("bore")) } th scope="col" { (say!("length")) } th scope="col" { (say!("price")) } th scope="col" { (say!(in "how long a nozzle lasts", "lasts")) } } }
                    tbody {
                        @for row in &stock.nozzles {
                            tr { @for field in row { td { (bare(field)) } } }
                        }
                    }
                }
                (said(stock.nozzles_fault.as_ref()))
            }
        }
        li {
            fieldset id="setup-stock" {
                legend { (say!("On the shelf")) }
                p class="why" { (say!("Plans choose from what is ticked. Silica sand is not offered: its dust kills.")) }
                div class="scroll" {
                    table class="grits" {
                        thead { tr { th scope="col" { (say!("abrasive")) } @for grit in &stock.grits { th scope="col" { (grit) } } } }
                        tbody {
                            @for row in &stock.abrasives {
                                tr { th scope="row" { (row.name) } @for stock in &row.boxes { td { (tick("abrasive", stock, false)) } } }
                            }
                        }
                    }
                }
                (said(stock.abrasives_fault.as_ref()))
                div class="boxes" { @for stock in &stock.resists { (tick("resist", stock, true)) } }
                (said(stock.resists_fault.as_ref()))
                details id="setup-prices" {
                    summary { (say!("Prices and widths")) }
                    @for (name, fields) in &stock.priced {
                        div class="priced" {
                            span { (name) }
                            @for field in fields { label { (field.label) " " (bare_named(field, &format!("{}, {}", name, field.label))) } }
                        }
                    }
                }
            }
        }
    }
}

/// A field in a table, whose column says what it is.
fn bare(field: &SetupField) -> Markup {
    bare_named(field, &field.label)
}

fn bare_named(field: &SetupField, label: &str) -> Markup {
    let id = id_of(&field.key);
    let bad = field.fault.as_ref().map(|_| "true");
    html! {
        input type="text" id=(id) name=(field.key) value=(field.value) aria-label=(label) aria-invalid=[bad];
        (fault(field, &id))
    }
}

fn tick(list: &str, stock: &StockBox, worded: bool) -> Markup {
    html! {
        label class="tick" {
            input type="checkbox" name=(list) value=(stock.value) checked[stock.ticked] aria-label=(stock.name);
            @if worded { span { (stock.name) } }
        }
    }
}

fn said(fault: Option<&String>) -> Markup {
    html! { @if let Some(fault) = fault { p class="fault" role="alert" { (fault) } } }
}

fn outcome(parts: &SetupParts) -> Markup {
    html! {
        section id="setup-outcome" aria-label=(say!("What this shop does")) {
            (findings::summary(&parts.summary))
            @if let Some(map) = &parts.map {
                h2 { (say!("What this air runs")) }
                p class="about" { (say!("How long a blast holds its pressure from a full receiver, for each bore and pressure.")) }
                (drawn(say!("What this air runs"), map))
            }
            (findings::findings(&parts.findings))
        }
    }
}

/// A file as text.
pub(crate) fn file(page: &FilePage) -> String {
    let body = html! {
        main id="main" {
            div class="name" {
                h1 id="name" { (say!("{name}: the file", name = page.name)) }
                p class="facts" { (say!("All that is known of it, as it is exported. What does not read is not kept.")) }
                p class="facts" { a href=(page.address) { (page.back) } }
            }
            form id="file-form" method="post" action={ (page.address) "/file" } {
                input type="hidden" name="revision" value=(page.revision);
                @if !page.faults.is_empty() {
                    ul class="faults" role="alert" { @for fault in &page.faults { li class="fault" { (fault) } } }
                }
                label for="file-text" { (page.file) }
                textarea id="file-text" name="text" rows="36" spellcheck="false" autocomplete="off" { (page.text) }
                div class="actions" { button type="submit" class="main" { (say!("Keep this file")) } }
            }
        }
    };
    document(&page.frame, body)
}

/// The list of shops.
pub(crate) fn shops(page: &ShopsPage) -> String {
    let body = html! {
        main id="main" {
            div class="name" {
                h1 id="name" { (say!("Shops")) }
                p class="facts" { (say!("New pieces are begun in the shop that is marked.")) }
            }
            ul class="rows" { @for row in &page.rows { (shop_row(row)) } }
            p { a href="/start" { (say!("Set up another shop")) } }
        }
    };
    document(&page.frame, body)
}

fn shop_row(row: &ShopRow) -> Markup {
    let address = format!("/shop/{}", row.id);
    html! {
        li {
            a class="title" href=(address) { (row.name) }
            span class="tail" { (say_count!(row.pieces, "{n} piece", "{n} pieces", n = row.pieces)) }
            @if row.at_work { strong { (say!("new pieces begin here")) } }
            @else {
                form method="post" action={ (address) "/choose" } {
                    button type="submit" class="quiet" aria-label=(say!("Begin new pieces in {shop}", shop = row.name)) { (say!("Begin new pieces here")) }
                }
            }
            a href={ (address) "/basics" } { (say!("equipment and stock")) }
        }
    }
}
