//! The plan page: the piece and what is to be known about it, the recipe, the run strip, the stages.

use super::{findings, frame::document, picture, recipe, stages, stock, strip};
use crate::view::{Parts, PiecePage};
use language::say;
use maud::{Markup, html};

/// The whole page.
pub(crate) fn piece(page: &PiecePage) -> String {
    let Parts { summary, recipe, plan } = &page.parts;
    let body = html! {
        main id="main" {
            div class="piece" {
                section class="seen" aria-labelledby="name" {
                    div class="name" {
                        h1 id="name" { (page.name) }
                        p class="facts" { (page.facts) }
                    }
                    (picture::picture(plan.as_ref().map(|plan| &plan.picture)))
                }
                section class="judged" aria-label=(say!("Plan")) {
                    (findings::summary(summary))
                    (findings::findings(plan.as_ref().map_or(&[], |plan| &plan.findings)))
                    (stock::short(plan.as_ref().map_or(&[], |plan| &plan.stock)))
                    (findings::notes(plan.as_ref().map_or(&[], |plan| &plan.notes)))
                    (recipe::recipe(recipe))
                }
            }
            (below(&page.parts))
        }
    };
    document(&page.frame, body)
}

/// The parts that change with the recipe, one after the other, for a page that is there already.
pub(crate) fn parts(parts: &Parts) -> String {
    let Parts { summary, recipe, plan } = parts;
    html! {
        (findings::summary(summary))
        (findings::findings(plan.as_ref().map_or(&[], |plan| &plan.findings)))
        (stock::short(plan.as_ref().map_or(&[], |plan| &plan.stock)))
        (findings::notes(plan.as_ref().map_or(&[], |plan| &plan.notes)))
        (recipe::recipe(recipe))
        @if let Some(plan) = plan { (picture::figure(Some(&plan.picture))) }
        (below(parts))
    }
    .into_string()
}

/// What changes on a page when a value does not read: the rest stays as the last plan left it.
pub(crate) fn faulty(parts: &Parts) -> String {
    html! { (findings::summary(&parts.summary)) (recipe::recipe(&parts.recipe)) }.into_string()
}

fn below(parts: &Parts) -> Markup {
    let plan = parts.plan.as_ref();
    html! {
        (strip::strip(plan.map(|plan| &plan.strip)))
        (stages::stages(plan))
        (stages::cautions(plan.map_or(&[], |plan| &plan.cautions), plan.map(|plan| plan.safety.as_str())))
        (stages::stencil(plan))
        (stages::lists(plan))
    }
}
