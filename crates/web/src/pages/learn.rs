//! What a run at the cabinet teaches, before it is kept.

use super::{frame::document, words::amount, words::marked};
use crate::view::{LearnPage, LearnRow};
use language::say;
use maud::{Markup, html};

/// The whole page.
pub(crate) fn learn(page: &LearnPage) -> String {
    let body = html! {
        main id="main" class="learn" {
            div class="name" {
                h1 id="name" { (say!("What the run of {day} teaches", day = page.day)) }
                p class="facts" { (marked(&say!("[{name}], in {shop}", name = page.name, shop = page.shop), |words| html! { a href=(page.piece) { (words) } })) }
            }
            p class="about" {
                (say!("A depth that was gauged tells how fast your own blast carves. Kept as a coupon of the shop, it \
                       moves the times of every later plan, and narrows their ranges."))
            }
            div class="scroll" {
                table class="stacked" {
                    thead {
                        tr {
                            th scope="col" { (say!("layer")) }
                            th scope="col" class="number" { (say!(in "a depth", "planned")) }
                            th scope="col" class="number" { (say!(in "a depth", "gauged")) }
                            th scope="col" class="whole" { (say!("as a coupon")) }
                        }
                    }
                    tbody { @for row in &page.layers { (self::row(row)) } }
                }
            }
            form id="learn-form" method="post" action=(page.address) {
                input type="hidden" name="revision" value=(page.revision);
                label for="learn-gauge" { (say!("The gauge is good for")) }
                input type="text" id="learn-gauge" name="gauge" value=(page.gauge) size="8"
                    aria-describedby=[page.fault.as_ref().map(|_| "learn-fault")];
                span class="hint" { (say!("a caliper 0.05mm, a depth dial 0.01mm")) }
                @if let Some(fault) = &page.fault { p id="learn-fault" class="fault" role="alert" { (fault) } }
                dl class="before-after" {
                    dt { (say!("This piece now")) } dd { (amount(&page.now)) }
                    @if let Some(then) = &page.then { dt { (say!(in "a plan with a coupon", "With it")) } dd { (amount(then)) } }
                }
                button type="submit" class="main" disabled[page.then.is_none()] { (say!("Keep it in {shop}", shop = page.shop)) }
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
            td class="whole" {
                @match &row.coupon {
                    Ok(words) => (amount(words)),
                    Err(why) => span class="fault" { (why) },
                }
            }
        }
    }
}
