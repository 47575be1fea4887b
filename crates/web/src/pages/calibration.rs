//! What a shop's coupons say, and where they are entered.

use super::frame::document;
use super::words::amount;
use crate::view::{CalibrationPage, CouponField, CouponRow};
use language::say;
use maud::{Markup, html};

/// The whole page.
pub(crate) fn calibration(page: &CalibrationPage) -> String {
    let body = html! {
        main id="main" class="stock-page" {
            div class="name" {
                h1 id="name" { (say!("What coupons taught {shop}", shop = page.name)) }
                p class="facts" {
                    (say!("A coupon is a small piece that you blast and gauge. What it says takes the place of the handbook's \
                           rate for its material and abrasive, and narrows the ranges of every plan. The calibration sheet \
                           among a piece's files says which to blast."))
                }
                p class="facts links" {
                    a href=(page.shop) { (say!("The air line")) }
                    a href={ (page.shop) "/runs" } { (say!("Planned and logged")) }
                    a href={ (page.shop) "/stock" } { (say!("What is left")) }
                }
                @if let Some(fault) = &page.fault { p id="calibration-fault" class="fault" role="alert" { (fault) } }
            }
            (coupons(page))
            (enter(page))
        }
    };
    document(&page.frame, body)
}

fn coupons(page: &CalibrationPage) -> Markup {
    html! {
        section id="coupons" aria-labelledby="coupons-title" {
            h2 id="coupons-title" { (say!("Coupons")) }
            @if page.coupons.is_empty() {
                p class="facts" { (say!("None is entered yet: every plan of this shop rests on the handbook's rates.")) }
            } @else {
                div class="scroll" tabindex="0" role="group" aria-labelledby="coupons-title" {
                    table class="stacked" {
                        thead {
                            tr {
                                th scope="col" class="whole" { (say!("how it was blasted")) }
                                th scope="col" class="number" { (say!(in "a depth", "gauged")) }
                                th scope="col" class="number" { (say!("expected without coupons")) }
                                th scope="col" class="number" { (say!("expected with all of them")) }
                                th scope="col" class="whole" { (say!("take away")) }
                            }
                        }
                        tbody { @for row in &page.coupons { (coupon(page, row)) } }
                    }
                }
            }
            @for sentence in &page.outcome { p class="note" { (amount(sentence)) } }
            @if let Some([next, why]) = &page.next { p id="next-coupon" { (amount(next)) } p class="note" { (amount(why)) } }
        }
    }
}

fn coupon(page: &CalibrationPage, row: &CouponRow) -> Markup {
    html! {
        tr {
            th scope="row" class="whole" { (amount(&row.blasted)) }
            td class="number strong" { (amount(&row.gauged)) }
            @match &row.expected {
                Some([before, after]) => { td class="number" { (amount(before)) } td class="number" { (amount(after)) } },
                None => td class="note" colspan="2" { (say!("the shop has no nozzle of this name: it counts for nothing")) },
            }
            td class="whole" {
                form method="post" action={ (page.shop) "/calibration/remove" } {
                    input type="hidden" name="revision" value=(page.revision);
                    input type="hidden" name="at" value=(row.at);
                    button type="submit" class="quiet" aria-label=(say!("Take away: {coupon}", coupon = row.blasted)) { (say!(in "a coupon", "Take away")) }
                }
            }
        }
    }
}

fn enter(page: &CalibrationPage) -> Markup {
    html! {
        section id="enter-coupon" aria-labelledby="enter-title" {
            h2 id="enter-title" { (say!("Enter a coupon")) }
            form id="coupon-form" class="entry-form" method="post" action={ (page.shop) "/calibration" } autocomplete="off" {
                input type="hidden" name="revision" value=(page.revision);
                @for field in &page.fields { (self::field(field)) }
                button type="submit" class="main" { (say!("Enter it")) }
            }
            details id="coupon-table" open[!page.table.is_empty()] {
                summary { (say!("Or many at once, as a table")) }
                form method="post" action={ (page.shop) "/calibration" } {
                    input type="hidden" name="revision" value=(page.revision);
                    label for="coupon-rows" { (say!("Rows parted by commas, the columns named above them, as in coupons.csv among a piece's files")) }
                    textarea id="coupon-rows" name="table" rows="6" cols="80" spellcheck="false" { (page.table) }
                    button type="submit" { (say!("Enter them")) }
                }
            }
        }
    }
}

fn field(field: &CouponField) -> Markup {
    let id = format!("coupon-{}", field.name);
    let bad = field.fault.as_ref().map(|_| "true");
    let told = field.fault.as_ref().map(|_| format!("{id}-fault"));
    html! {
        p {
            label for=(id) { (field.label) }
            @if field.choices.is_empty() {
                input type="text" id=(id) name=(field.name) value=(field.value) size="11" aria-invalid=[bad] aria-describedby=[told];
            } @else {
                select id=(id) name=(field.name) aria-invalid=[bad] aria-describedby=[told] {
                    @for choice in &field.choices { option value=(choice.value) selected[choice.selected] { (choice.words) } }
                }
            }
            @if !field.hint.is_empty() { span class="hint" { (field.hint) } }
        }
        @if let Some(fault) = &field.fault { p id={ (id) "-fault" } class="fault" { (fault) } }
    }
}
