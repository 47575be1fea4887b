//! Small things that every template writes: states and amounts.

use crate::view::Drawn;
use maud::{Markup, PreEscaped, html};
use plan::State;

/// The shape of a state, always beside its word.
pub(super) fn shape(state: State) -> Markup {
    html! {
        svg class={ "shape " (state.id()) } viewBox="0 0 16 16" aria-hidden="true" {
            @match state {
                State::Holds => circle cx="8" cy="8" r="6" fill="currentColor" {},
                State::Watch => {
                    circle cx="8" cy="8" r="5.25" fill="none" stroke="currentColor" stroke-width="1.5" {}
                    path d="M8 2.5a5.5 5.5 0 0 0 0 11z" fill="currentColor" {}
                }
                State::Stop => rect x="2.5" y="2.5" width="11" height="11" fill="currentColor" {},
            }
        }
    }
}

/// An amount with its unit in a dimmer weight: what follows a narrow no-break space, up to the next space
/// or mark of punctuation.
pub(super) fn amount(text: &str) -> Markup {
    let mut parts = text.split('\u{202f}');
    html! {
        (parts.next().unwrap_or_default())
        @for part in parts {
            @let (unit, rest) = part.split_at(part.find([' ', ',', ';', ':', '.', ')']).unwrap_or(part.len()));
            "\u{202f}" span class="unit" { (unit) } (rest)
        }
    }
}

/// A drawing: on a phone the one that was laid out for it.
pub(super) fn drawn(title: &str, drawn: &Drawn) -> Markup {
    html! {
        div class="scroll wide" tabindex="0" role="group" aria-label=(title) { div class="drawn" { (PreEscaped(&drawn.wide)) } }
        div class="drawn phone" { (PreEscaped(&drawn.phone)) }
    }
}

/// A sentence of which a part, between brackets, is marked up: a link must not tear apart what is translated.
pub(super) fn marked(sentence: &str, mark: impl FnOnce(&str) -> Markup) -> Markup {
    let parts = sentence.split_once('[').and_then(|(before, rest)| Some((before, rest.split_once(']')?)));
    html! {
        @match parts {
            Some((before, (within, after))) => { (before) (mark(within)) (after) }
            None => (sentence),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_unit_is_dimmed() {
        let dimmed = amount("3\u{202f}min 10\u{202f}s, in all").into_string();
        assert_eq!(dimmed, "3\u{202f}<span class=\"unit\">min</span> 10\u{202f}<span class=\"unit\">s</span>, in all");
    }

    #[test]
    fn a_part_of_a_sentence_is_marked_up() {
        let linked = |sentence| marked(sentence, |words| html! { b { (words) } }).into_string();
        assert_eq!(linked("[Mend it] < now."), "<b>Mend it</b> &lt; now.");
        assert_eq!(linked("no [part"), "no [part");
    }

    #[test]
    fn every_state_has_a_shape_of_its_own() {
        let shapes = [State::Holds, State::Watch, State::Stop].map(|state| shape(state).into_string());
        assert!(shapes[0] != shapes[1] && shapes[1] != shapes[2] && shapes[0] != shapes[2]);
    }
}
