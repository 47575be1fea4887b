//! The piece, seen: as carved and as drawn, with the depth key and a read-out.

use super::words::amount;
use crate::view::{KeyStep, Picture};
use maud::{Markup, PreEscaped, html};

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
    let (wide, high) = picture.pixels;
    html! {
        div class="ground" {
            div class="plate" id="piece-plate" tabindex=[picture.probe.as_ref().map(|_| "0")] data-probe=[picture.probe.as_ref()]
                data-width-mm=(picture.span_mm.0) data-height-mm=(picture.span_mm.1)
                aria-label="The piece. Arrow keys move the read-out." role="group" {
                img id="piece-image" src=(picture.carved) alt=(picture.alt) width=(wide) height=(high);
                div id="piece-drawn" { (PreEscaped(&picture.drawn)) }
            }
        }
        figcaption {
            ul id="depth-key" aria-label="Depth key" { @for step in &picture.key { (key(step)) } }
            output id="read-out" aria-live="off" {}
        }
    }
}

fn key(step: &KeyStep) -> Markup {
    html! {
        li {
            svg viewBox="0 0 28 12" aria-hidden="true" {
                rect width="28" height="12" rx="2" fill={ "var(--depth-" (step.ramp) ")" } {}
            }
            span { (step.name) } " " span class="number" { (amount(&step.depth)) }
        }
    }
}
