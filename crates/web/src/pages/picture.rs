//! The piece, seen: as carved and as drawn, with the depth key and a read-out.

use super::words::amount;
use crate::view::{KeyStep, Picture};
use maud::{Markup, html};

/// The figure with its ways of seeing.
pub(super) fn picture(picture: Option<&Picture>) -> Markup {
    html! {
        fieldset class="ways" hidden[picture.is_none()] {
            legend class="unseen" { "See the piece" }
            label { input type="radio" name="way" value="carved" id="way-carved" checked; span { "as carved" } }
            label { input type="radio" name="way" value="drawn" id="way-drawn"; span { "as drawn" } }
        }
        (figure(picture))
    }
}

/// The figure alone.
pub(super) fn figure(picture: Option<&Picture>) -> Markup {
    html! {
        figure id="piece-picture" {
            @match picture {
                Some(picture) => (seen(picture)),
                None => p class="none" { "There is no picture without a plan." },
            }
        }
    }
}

fn seen(picture: &Picture) -> Markup {
    html! {
        div class="ground" {
            div class="views" {
                @match &picture.probe {
                    Some(probe) => div id="piece-plate" class="plate" tabindex="0" role="group" data-probe=(probe.address)
                        data-left-mm=(probe.origin_mm.0) data-top-mm=(probe.origin_mm.1)
                        data-width-mm=(probe.span_mm.0) data-height-mm=(probe.span_mm.1)
                        data-blank-width-mm=(probe.blank_mm.0) data-blank-height-mm=(probe.blank_mm.1)
                        aria-label="The piece as carved. Arrow keys move the read-out by a millimetre." { (image(picture)) },
                    None => div id="piece-plate" class="plate" { (image(picture)) },
                }
                div id="piece-drawn" { img src=(picture.drawn) alt="The artwork as drawn, findings numbered at their places" loading="lazy"; }
            }
        }
        figcaption {
            ul id="depth-key" aria-label="Depth key" { @for step in &picture.key { (key(step)) } }
            output id="read-out" aria-live="off" {}
        }
    }
}

fn image(picture: &Picture) -> Markup {
    let (wide, high) = picture.pixels;
    html! { img id="piece-image" src=(picture.carved) alt=(picture.alt) width=(wide) height=(high); }
}

fn key(step: &KeyStep) -> Markup {
    html! {
        li {
            svg viewBox="0 0 28 12" aria-hidden="true" {
                rect width="28" height="12" rx="2" fill={ "var(--depth-" (step.ramp) ")" } {}
            }
            (step.name) " " (amount(&step.depth)) span class="unit" { ", reaches " (step.reached) }
        }
    }
}
