//! The recipe as a list of sentences with their controls in place.

use crate::form::{CENTRE, PLACE};
use crate::view::{Choice, Control, Layer, Line, Recipe, Slider};
use language::say;
use maud::{Markup, html};

/// The recipe and what can be done with it.
pub(super) fn recipe(recipe: &Recipe) -> Markup {
    html! {
        section id="recipe" aria-labelledby="recipe-title" {
            h2 id="recipe-title" { (say!("Recipe")) @if recipe.changed { span class="changed" { (say!("tried, not kept")) } } }
            form id="recipe-form" method="get" action=(recipe.piece) data-try={ (recipe.piece) "/try" } data-coarse autocomplete="off" novalidate {
                // The first button is the one that the Enter key presses.
                button type="submit" hidden { (say!("Plan again")) }
                input type="hidden" name="revision" value=(recipe.revision);
                input type="hidden" name=(PLACE) value=(if recipe.centred { CENTRE } else { "" });
                ul class="lines" { @for line in &recipe.lines { (sentence(line)) } }
                @if let Some(message) = &recipe.message { p id="recipe-message" class="fault" role="alert" { (message) } }
                (actions(recipe))
            }
            (steps(recipe))
        }
    }
}

fn actions(recipe: &Recipe) -> Markup {
    html! {
        div class="actions" {
            button type="submit" class="again" { (say!("Plan again")) }
            button type="submit" id="recipe-keep" class="main" formmethod="post"
                formaction={ (recipe.piece) "/keep" } disabled[!recipe.changed || !recipe.reads] { (say!("Keep this recipe")) }
            a id="recipe-reset" href=(recipe.piece) hidden[!recipe.changed] { (say!("Back to the kept one")) }
        }
    }
}

fn steps(recipe: &Recipe) -> Markup {
    html! {
        div class="steps" {
            form method="post" action={ (recipe.piece) "/undo" } {
                button type="submit" id="recipe-undo" class="quiet" disabled[!recipe.can_undo] { (say!("Undo")) }
            }
            form method="post" action={ (recipe.piece) "/redo" } {
                button type="submit" id="recipe-redo" class="quiet" disabled[!recipe.can_redo] { (say!("Redo")) }
            }
            a class="revision" href={ (recipe.piece) "/history" } { (say!("revision {number}", number = recipe.revision)) }
            a class="revision" href={ (recipe.piece) "/file" } { (say!("file as text")) }
        }
    }
}

fn sentence(line: &Line) -> Markup {
    let id = format!("recipe-{}", line.field);
    html! {
        li class="line" {
            label for=(id) { span aria-hidden="true" { (line.lead) } span class="unseen" { (line.label) } }
            span class="value" {
                (control(line, &id))
                @if !line.tail.is_empty() { span class="tail" { (line.tail) } }
            }
            @if let Some(fault) = &line.fault { p id={ (id) "-fault" } class="fault" { (fault) } }
        }
    }
}

fn control(line: &Line, id: &str) -> Markup {
    let bad = line.fault.as_ref().map(|_| "true");
    let told = line.fault.as_ref().map(|_| format!("{id}-fault"));
    match &line.control {
        Control::Choice { open, options } => html! {
            select id=(id) name=(line.field) aria-invalid=[bad] aria-describedby=[told] {
                @if let Some(open) = open { option value="" selected[!chosen(options)] { (open) } }
                @for option in options {
                    option value=(option.value) selected[option.selected] { (option.words) }
                }
            }
        },
        Control::Number { value, chosen, unit, step, slider, layer } => html! {
            @if let Some(layer) = layer { (named(layer)) }
            input type="text" inputmode="decimal" id=(id) name=(line.field) value=(value) placeholder=(chosen)
                size="6" data-step=(step) aria-invalid=[bad] aria-describedby=[told];
            span class="unit" { (unit) }
            @if let Some(slider) = slider { (sliding(line, id, *slider, *step)) }
        },
    }
}

fn named(layer: &Layer) -> Markup {
    html! {
        svg class="swatch" viewBox="0 0 12 12" aria-hidden="true" {
            rect width="12" height="12" rx="2" fill={ "var(--depth-" (layer.ramp) ")" } {}
        }
        span { (layer.name) } span class="tail" { (say!(in "a layer to its depth", "to")) }
    }
}

fn chosen(options: &[Choice]) -> bool {
    options.iter().any(|option| option.selected)
}

fn sliding(line: &Line, id: &str, slider: Slider, step: f64) -> Markup {
    html! {
        input type="range" id={ (id) "-slider" } data-for=(id) min=(slider.least) max=(slider.greatest) step=(step)
            value=(slider.at) aria-label=(say!("{value} slider", value = line.label)) hidden;
    }
}
