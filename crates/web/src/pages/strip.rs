//! The run strip on the page, with its read-out.

use crate::view::Strip;
use language::say;
use maud::{Markup, PreEscaped, html};

/// The strip, full width.
pub(super) fn strip(strip: Option<&Strip>) -> Markup {
    html! {
        section id="strip" aria-labelledby="strip-title" hidden[strip.is_none()] {
            div class="head" {
                h2 id="strip-title" { (say!("Run strip")) }
                output id="strip-read-out" for="strip-lanes" { (say!("Point at the strip, or move along it with the arrow keys.")) }
            }
            @if let Some(strip) = strip {
                div class="scroll" {
                    div id="strip-lanes" tabindex="0" role="slider" aria-label=(say!("Instant of the run")) data-read=(strip.read)
                        data-left=(strip.axis.0) data-right=(strip.axis.1) aria-valuemin="0" aria-valuemax="100" aria-valuenow="0" aria-valuetext=(say!(in "an instant of the run", "start")) {
                        (PreEscaped(&strip.drawing))
                        div class="instant" hidden {}
                    }
                }
            }
        }
    }
}
