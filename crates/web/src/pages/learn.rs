//! What a run at the cabinet teaches, before it is kept.

use super::{frame::document, words::amount};
use crate::view::{LearnPage, LearnRow};
use maud::{Markup, html};

/// The whole page.
pub(crate) fn learn(page: &LearnPage) -> String {
    let body = html! {
        main id="main" class="learn" {
            div class="name" {
                h1 id="name" { "What the run of " (page.day) " teaches" }
                p class="facts" { a href=(page.piece) { (page.name) } ", in " (page.shop) }
            }
            p class="about" { "A depth that was gauged tells how fast your own blast carves. Kept as a coupon of the shop, it \
                               moves the times of every later plan, and narrows their ranges." }
            div class="scroll" {
                table {
                    thead {
                        tr {
                            th scope="col" { "layer" }
                            th scope="col" class="number" { "planned" }
                            th scope="col" class="number" { "gauged" }
                            th scope="col" { "as a coupon" }
                        }
                    }
                    tbody { @for row in &page.layers { (self::row(row)) } }
                }
            }
            form id="learn-form" method="post" action=(page.address) {
                input type="hidden" name="revision" value=(page.revision);
                label for="learn-gauge" { "The gauge is good for" }
                input type="text" id="learn-gauge" name="gauge" value=(page.gauge) size="8"
                    aria-describedby=[page.fault.as_ref().map(|_| "learn-fault")];
                span class="hint" { "a caliper 0.05mm, a depth dial 0.01mm" }
                @if let Some(fault) = &page.fault { p id="learn-fault" class="fault" role="alert" { (fault) } }
                dl class="before-after" {
                    dt { "This piece now" } dd { (amount(&page.now)) }
                    @if let Some(then) = &page.then { dt { "With it" } dd { (amount(then)) } }
                }
                button type="submit" class="main" disabled[page.then.is_none()] { "Keep it in " (page.shop) }
            }
        }
    };
    document(&page.frame, body)
}

fn row(row: &LearnRow) -> Markup {
    html! {
        tr {
            th scope="row" { (row.layer) }
            td class="number" { (amount(&row.expected)) }
            td class="number strong" { (amount(&row.gauged)) }
            td {
                @match &row.coupon {
                    Ok(words) => (amount(words)),
                    Err(why) => span class="fault" { (why) },
                }
            }
        }
    }
}
