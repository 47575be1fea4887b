//! The shop page: the air line from left to right, what it does, and its pictures.

use super::{
    findings,
    frame::document,
    words::{amount, drawn, shape},
};
use crate::shop_form::{KINDS, kind_word};
use crate::view::{Card, CardField, Choice, Drawn, LineView, ShopPage, ShopParts, ShopPictures, WhatIf};
use language::say;
use maud::{Markup, html};

/// The whole page.
pub(crate) fn shop(page: &ShopPage) -> String {
    let body = html! {
        main id="main" {
            div class="name" {
                h1 id="name" { (page.name) }
                p class="facts" { (page.facts) }
                p class="facts links" {
                    a href={ (page.parts.line.address) "/basics" } { (say!("Equipment and stock")) }
                    a href={ (page.parts.line.address) "/stock" } { (say!("What is left")) }
                    a href={ (page.parts.line.address) "/calibration" } { (say!("Coupons")) }
                    a href={ (page.parts.line.address) "/runs" } { (say!("Planned and logged")) }
                    a href={ (page.parts.line.address) "/safety" } { (say!("Safety checks")) }
                    a href={ (page.parts.line.address) "/file" } { (say!("The file as text")) }
                    a href="/shops" { (say!("All shops")) }
                }
            }
            section id="due" aria-labelledby="due-title" {
                h2 id="due-title" { (say!("Stock")) }
                @if page.due.is_empty() { p class="facts" { (say!("Nothing is to be bought or gauged, as far as is entered.")) } }
                ul { @for one in &page.due { li class={ "note " (one.state.id()) } { (shape(one.state)) span { (amount(&one.words)) } } } }
                p { a href={ (page.parts.line.address) "/stock" } { (say!("What the shop has left")) } }
            }
            div class="line-page" { (changing(&page.parts)) }
        }
    };
    document(&page.frame, body)
}

/// The parts that change with a value, for a page that is there already.
pub(crate) fn shop_parts(parts: &ShopParts) -> String {
    changing(parts).into_string()
}

fn changing(parts: &ShopParts) -> Markup {
    html! {
        (findings::summary(&parts.summary))
        (line(&parts.line))
        (adding(&parts.line))
        (findings::findings(&parts.findings))
        (pictures(parts.pictures.as_ref()))
    }
}

fn line(line: &LineView) -> Markup {
    html! {
        section id="line" aria-labelledby="line-title" {
            h2 id="line-title" { (say!("Air line")) @if line.changed { span class="changed" { (say!("tried, not kept")) } } }
            form id="shop-form" method="get" action=(line.address) data-try={ (line.address) "/try" } autocomplete="off" novalidate {
                button type="submit" hidden { (say!("Ask again")) }
                input type="hidden" name="revision" value=(line.revision);
                (what_if(&line.asked))
                ol class="cards" { @for card in &line.cards { (self::card(card, &line.address)) } }
                div class="actions" {
                    button type="submit" class="again" { (say!("Ask again")) }
                    button type="submit" id="shop-keep" class="main" formmethod="post" formaction={ (line.address) "/keep" }
                        disabled[!line.changed || !line.reads] { (say!("Keep this line")) }
                    a id="shop-reset" href=(line.address) hidden[!line.changed] { (say!("Back to the kept one")) }
                }
            }
        }
    }
}

fn what_if(asked: &WhatIf) -> Markup {
    html! {
        div id="asked" class="asked" hidden[!asked.shown] {
            label for="asked-nozzle" { (say!("With the nozzle")) }
            (select("asked-nozzle", "asked.nozzle", &asked.nozzles))
            label for="asked-pressure" { (say!(in "a nozzle at a pressure", "at")) }
            input type="text" id="asked-pressure" name="asked.pressure" value=(asked.pressure) size="7";
            label for="asked-on" { (say!(in "a nozzle for a time", "blasting")) }
            input type="text" id="asked-on" name="asked.on" value=(asked.on) size="6";
            label for="asked-off" { (say!("and resting")) }
            input type="text" id="asked-off" name="asked.off" value=(asked.off) size="6";
            @for fault in &asked.faults { p class="fault" role="alert" { (fault) } }
        }
    }
}

fn select(id: &str, name: &str, choices: &[Choice]) -> Markup {
    html! {
        select id=(id) name=(name) {
            @for choice in choices { option value=(choice.value) selected[choice.selected] { (choice.words) } }
        }
    }
}

fn card(card: &Card, address: &str) -> Markup {
    html! {
        li class="card" {
            h3 { (card.name) @if card.name != card.word { span class="tail" { (card.word) } } }
            @for field in &card.fields { (value(field)) }
            dl {
                @if let Some(takes) = &card.takes { dt { (say!(in "pressure that a part takes", "takes")) } dd { (amount(takes)) } }
                @if let Some(behind) = &card.behind { dt { (say!("behind it")) } dd { (amount(behind)) } }
            }
            @if let Some(further) = card.further {
                button type="submit" class="quiet" formmethod="post" formaction={ (address) "/remove/" (further) } formnovalidate { (say!(in "a part of the line", "Take away")) }
            }
        }
    }
}

fn value(field: &CardField) -> Markup {
    let id = format!("shop-{}", field.key.replace(['[', ']', '.'], "-"));
    let bad = field.fault.as_ref().map(|_| "true");
    let told = field.fault.as_ref().map(|_| format!("{id}-fault"));
    html! {
        p class="value" {
            label for=(id) { (field.label) }
            @if field.choices.is_empty() {
                input type="text" id=(id) name=(field.key) value=(field.value) size="11" aria-invalid=[bad] aria-describedby=[told];
            } @else { (select(&id, &field.key, &field.choices)) }
        }
        @if let Some(fault) = &field.fault { p id={ (id) "-fault" } class="fault" { (fault) } }
    }
}

fn adding(line: &LineView) -> Markup {
    html! {
        form id="add-part" class="asked" method="post" action={ (line.address) "/add" } {
            input type="hidden" name="revision" value=(line.revision);
            label for="add-kind" { (say!("Add a")) }
            select id="add-kind" name="kind" { @for kind in KINDS { option value=(kind) { (kind_word(kind)) } } }
            label for="add-after" { (say!("after the")) }
            select id="add-after" name="after" {
                @for (after, words) in [
                    ("compressors", say!("compressors")), ("receiver", say!("receiver")), ("regulator", say!("regulator")), ("hose", say!("hose")),
                ] { option value=(after) { (words) } }
                @for card in line.cards.iter().filter(|card| card.further.is_some()) { option value=(card.name) { (card.name) } }
            }
            button type="submit" { (say!(in "a button", "Add")) }
        }
    }
}

fn pictures(pictures: Option<&ShopPictures>) -> Markup {
    let drawing = |id: &str, title: &str, about: &str, svg: Option<&Drawn>| {
        html! {
            section id=(id) class="drawing" aria-labelledby={ (id) "-title" } hidden[svg.is_none()] {
                h2 id={ (id) "-title" } { (title) }
                p class="about" { (about) }
                @if let Some(svg) = svg { (drawn(title, svg)) }
            }
        }
    };
    html! {
        (drawing("ladder", say!("Where the pressure goes"), say!("Every part from top to bottom, with what it takes from the pressure at the cut-in."), pictures.map(|p| &p.ladder)))
        (drawing("course", say!(in "pressures in the course of time", "In time"), say!("Thirty minutes from full receivers, with the times on and off given here."), pictures.map(|p| &p.course)))
        (drawing("map", say!("What this line runs"), say!("For each bore and regulator setting: how long a blast from a full receiver holds the pressure. Dashed: the shop's nozzles."), pictures.map(|p| &p.map)))
    }
}
