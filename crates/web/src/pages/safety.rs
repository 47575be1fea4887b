//! The Safety page: every check under its heading, worst first, and the cautions by step.

use super::{frame::document, stages, words::amount};
use crate::view::{CheckView, SafetyGroup, SafetyPage};
use language::{say, say_count};
use maud::{Markup, html};
use safety::check::Standing;

/// The whole page.
pub(crate) fn safety(page: &SafetyPage) -> String {
    let parts = &page.parts;
    let body = html! {
        main id="main" {
            div class="name" {
                h1 id="name" { (say!("Safety: {name}", name = page.name)) }
                p class="facts" { a href=(page.back.0) { (page.back.1) } }
            }
            div class="safety" {
                p class="sentence" { (parts.sentence) }
                p class="note" { (parts.note) }
                @for group in &parts.groups { (self::group(group)) }
            }
            (stages::cautions(&parts.cautions, None))
        }
    };
    document(&page.frame, body)
}

fn group(group: &SafetyGroup) -> Markup {
    let of = |standing: Standing| group.checks.iter().filter(move |check| check.standing == standing);
    let open = [Standing::Stop, Standing::Ask, Standing::Screened].into_iter().flat_map(of);
    html! {
        section class="group" {
            h2 { (group.title) }
            ul class="checks" { @for check in open { (self::check(check)) } }
            (folded(Standing::NotTold, &of(Standing::NotTold).collect::<Vec<_>>()))
            (folded(Standing::Within, &of(Standing::Within).collect::<Vec<_>>()))
        }
    }
}

/// Checks that ask for nothing now, behind their number.
fn folded(of: Standing, checks: &[&CheckView]) -> Markup {
    let count = checks.len();
    let counted = match of {
        Standing::NotTold => say_count!(count, "{count} thing is not told", "{count} things are not told"),
        _ => say_count!(count, "{count} check is within its limit", "{count} checks are within their limits"),
    };
    html! {
        @if !checks.is_empty() {
            details class={ "folded " (class(of)) } {
                summary { (standing(of)) (counted) }
                ul class="checks" { @for check in checks { (self::check(check)) } }
            }
        }
    }
}

fn check(check: &CheckView) -> Markup {
    html! {
        li id={ "check-" (check.id) } class={ "check " (class(check.standing)) } {
            p class="title" {
                (standing(check.standing))
                span class="word" { (check.standing.word()) }
                span { (amount(&check.title)) }
            }
            p class="why" { (amount(&check.why)) }
            @if !check.mends.is_empty() {
                ul class="mends" { @for mend in &check.mends { li { (amount(mend)) } } }
            }
            p class="source" { (say!("Source: {source}", source = check.source)) }
        }
    }
}

/// The class that colours it: grey where nothing was judged.
const fn class(standing: Standing) -> &'static str {
    match standing {
        Standing::Within => "holds",
        Standing::Screened | Standing::NotTold => "unjudged",
        Standing::Ask => "watch",
        Standing::Stop => "stop",
    }
}

/// The shape of a standing, always beside its word: those of the plan's states, and rings where nothing was judged.
fn standing(standing: Standing) -> Markup {
    html! {
        svg class={ "shape " (class(standing)) } viewBox="0 0 16 16" aria-hidden="true" {
            @match standing {
                Standing::Within => circle cx="8" cy="8" r="6" fill="currentColor" {},
                Standing::Screened => circle cx="8" cy="8" r="5.25" fill="none" stroke="currentColor" stroke-width="1.5" {},
                Standing::NotTold => circle cx="8" cy="8" r="5.25" fill="none" stroke="currentColor" stroke-width="1.5"
                    stroke-dasharray="2.4 2.4" {},
                Standing::Ask => {
                    circle cx="8" cy="8" r="5.25" fill="none" stroke="currentColor" stroke-width="1.5" {}
                    path d="M8 2.5a5.5 5.5 0 0 0 0 11z" fill="currentColor" {}
                }
                Standing::Stop => rect x="2.5" y="2.5" width="11" height="11" fill="currentColor" {},
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_standing_has_a_shape_of_its_own() {
        let all = [Standing::Within, Standing::Screened, Standing::NotTold, Standing::Ask, Standing::Stop];
        let shapes: BTreeSet<String> = all.map(|one| standing(one).into_string()).into_iter().collect();
        assert_eq!(shapes.len(), all.len());
    }
}
