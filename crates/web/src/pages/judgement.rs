//! The pages of judgement: recipes, price, class.

use super::{findings, frame::document, words::amount};
use crate::view::{ClassPage, ClassTold, PricePage, PriceTold, RecipesPage, Summary};
use language::say;
use maud::{Markup, PreEscaped, html};
use plan::State;

/// The recipes worth choosing between.
pub(crate) fn recipes(page: &RecipesPage) -> String {
    let found = &page.found;
    let body = html! {
        main id="main" class="judgement" {
            div class="name" {
                h1 id="name" { (say!("{name}: which recipe", name = page.name)) }
                p class="facts" { a href=(page.piece) { (say!("The plan")) } }
            }
            p class="sentence" { (amount(&found.summary)) }
            ol class="rows" {
                @for recipe in &found.few {
                    li { p { (amount(&recipe.words)) } a href=(recipe.address) { (say!("Try it on the plan")) } }
                }
            }
            @if let Some(own) = &found.own { p { strong { (say!("As the piece is written:")) } " " (amount(own)) } }
            @if let Some(stopped) = &found.stopped_by { p { (amount(stopped)) } }
            @if !found.unlocks.is_empty() {
                section aria-labelledby="unlocks" {
                    h2 id="unlocks" { (say!("What would make it hold")) }
                    p class="about" { (found.ranked) }
                    ol class="rows" { @for unlock in &found.unlocks { li { p { (amount(unlock)) } } } }
                }
            }
            p class="about" {
                (say!("Time and cost are of one piece at the middle of the model; the risk is the share of the model’s \
                       samples under which a check would stop it. A coupon narrows it."))
            }
        }
    };
    document(&page.frame, body)
}

/// The price over quantities.
pub(crate) fn price(page: &PricePage) -> String {
    let body = html! {
        main id="main" class="judgement" {
            div class="name" {
                h1 id="name" { (say!("{name}: the price", name = page.name)) }
                p class="facts" { a href=(page.piece) { (say!("The plan")) } }
            }
            form id="price-form" class="asked" method="get" action={ (page.piece) "/price" } {
                label for="price-quantity" { (say!(in "a number of pieces", "For")) }
                input type="text" id="price-quantity" name="quantity" value=(page.quantities) size="14";
                label for="price-rush" { (say!("pieces, rush")) }
                input type="text" id="price-rush" name="rush" value=(page.rush) size="6" placeholder=(say!(in "a surcharge", "none"));
                button type="submit" { (say!(in "a button", "Price")) }
            }
            @match &page.offer {
                Ok(told) => (offers(page, told)),
                Err(fault) => p class="fault" role="alert" { (fault) },
            }
        }
    };
    document(&page.frame, body)
}

fn offers(page: &PricePage, told: &PriceTold) -> Markup {
    html! {
        div class="scroll" tabindex="0" role="region" aria-label=(say!("Offers")) {
            table {
                thead {
                    tr {
                        th scope="col" class="number" { (say!(in "a table head", "pieces")) }
                        th scope="col" class="number" { (say!("each, {currency}", currency = told.currency)) }
                        th scope="col" class="number" { (say!("together")) }
                        th scope="col" class="number" { (told.tax_name) }
                        th scope="col" class="number" { (say!("to pay")) }
                        th scope="col" class="number" { (say!("costs each")) }
                        th scope="col" class="number" { (say!("left of the price")) }
                    }
                }
                tbody {
                    @for offer in &told.offers {
                        tr {
                            th scope="row" class="number" { (offer.quantity) }
                            td class="number strong" { (offer.each) }
                            td class="number" { (offer.net) }
                            td class="number" { (offer.tax) }
                            td class="number strong" { (offer.gross) }
                            td class="number" { (offer.cost) }
                            td class="number" { (offer.left) }
                        }
                    }
                }
            }
        }
        p class="links" { a href=(page.sheet) download { "quote.pdf" } a href=(page.table) download { "quote.csv" } }
        section aria-labelledby="cost-lines" {
            h2 id="cost-lines" { (say!("What one piece costs, of {quantity}", quantity = told.of)) }
            dl class="amounts" {
                @for (name, amount) in &told.lines { dt { (name) } dd { (amount) } }
                dt class="total" { (say!("in all")) } dd class="total" { (told.each) }
            }
            @if !told.causes.is_empty() { p class="about" { (say!("Spoiled: {causes}.", causes = told.causes.join("; "))) } }
            p class="about" { (say!("The range is that of the blasting time; a coupon blasted here narrows it, and the chances with it.")) }
        }
    }
}

/// A class in the shop at work.
pub(crate) fn class(page: &ClassPage) -> String {
    let body = html! {
        main id="main" class="judgement" {
            div class="name" {
                h1 id="name" { (say!("Class")) }
                p class="facts" { (say!("Who waits for what, the air it takes, what to buy, who is where when; in {shop}.", shop = page.shop)) }
            }
            @match &page.told {
                Ok(told) => (run(told)),
                Err(faults) => ul class="faults" role="alert" { @for fault in faults { li class="fault" { (fault) } } },
            }
            form id="file-form" method="post" action="/class" {
                label for="class-text" { "class.toml" }
                textarea id="class-text" name="text" rows="30" spellcheck="false" autocomplete="off" { (page.text) }
                div class="actions" { button type="submit" class="main" { (say!("Run this class")) } }
            }
        }
    };
    document(&page.frame, body)
}

fn run(told: &ClassTold) -> Markup {
    let state = if told.holds { State::Holds } else { State::Watch };
    let first = told.lines.first().cloned().unwrap_or_default();
    html! {
        (findings::summary(&Summary { state, sentence: first, against: None }))
        div class="told" {
            @for line in told.lines.iter().skip(1) { @if line.is_empty() { hr; } @else { p { (amount(line)) } } }
        }
        section aria-labelledby="rotation" {
            h2 id="rotation" { (say!("Who is where when")) }
            div class="scroll" tabindex="0" role="region" aria-label=(say!("Rotation, chart")) { div class="drawn" { (PreEscaped(&told.chart)) } }
            p class="links" { a href="/class/pack.pdf" download { "class-pack.pdf" } }
        }
    }
}
