//! The piece, seen: as carved and as drawn, with the depth key and a read-out.

use super::words::amount;
use crate::view::{CutForm, KeyStep, Lies, Picture, PlacingFrame, Probe, Sheet};
use ::picture::preview::{Ground, Light, Seen};
use language::say;
use maud::{Markup, html};

/// The figure with its ways of seeing.
pub(super) fn picture(picture: Option<&Picture>) -> Markup {
    html! {
        fieldset class="ways" hidden[picture.is_none()] {
            legend class="unseen" { (say!("See the piece")) }
            label { input type="radio" name="way" value="carved" id="way-carved" checked; span { (say!("as carved")) } }
            label { input type="radio" name="way" value="drawn" id="way-drawn"; span { (say!("as drawn")) } }
            label { input type="radio" name="way" value="solid" id="way-solid"; span { (say!("in 3-D")) } }
            label { input type="radio" name="way" value="cut" id="way-cut"; span { (say!("in section")) } }
            label { input type="radio" name="way" value="place" id="way-place"; span { (say!("place it")) } }
        }
        (lights(picture))
        (figure(picture))
    }
}

/// The figure alone.
pub(super) fn figure(picture: Option<&Picture>) -> Markup {
    html! {
        figure id="piece-picture" {
            @match picture {
                Some(picture) => (seen(picture)),
                None => p class="none" { (say!("There is no picture without a plan.")) },
            }
        }
    }
}

fn seen(picture: &Picture) -> Markup {
    html! {
        div class="ground" {
            div class="views" {
                @match &picture.probe {
                    Some(probe) => (plate(picture, probe)),
                    None => div id="piece-plate" class="plate" { (image(picture)) },
                }
                @if let Some(sheet) = &picture.sheet { (flat(picture, sheet)) }
                div id="piece-drawn" { img src=(picture.drawn) alt=(say!("The artwork as drawn, findings numbered at their places")) loading="lazy"; }
                div id="piece-solid" data-solid=(picture.solid.address) data-depths=(picture.solid.depths) data-look=(picture.solid.look)
                    data-side=(picture.solid.side) data-alt=(picture.alt) { p role="status" {} }
            }
        }
        (cut(&picture.cut))
        figcaption {
            ul id="depth-key" aria-label=(say!("Depth key")) { @for step in &picture.key { (key(step)) } }
            output id="read-out" aria-live="off" {}
        }
    }
}

/// The picture of a flat piece, where a pointer reads out what lies under it and the drawing is placed.
fn plate(picture: &Picture, probe: &Probe) -> Markup {
    let Lies { origin_mm, span_mm, blank_mm } = probe.lies;
    html! {
        div id="piece-plate" class="plate" tabindex="0" role="group" data-probe=(probe.address)
            data-left-mm=(origin_mm.0) data-top-mm=(origin_mm.1) data-width-mm=(span_mm.0) data-height-mm=(span_mm.1)
            data-blank-width-mm=(blank_mm.0) data-blank-height-mm=(blank_mm.1)
            aria-label=(say!("The piece as carved. Arrow keys move the read-out by a millimetre.")) {
                (image(picture))
                (placing(&picture.placing))
            }
    }
}

/// A vessel's side laid flat, where the drawing is placed.
fn flat(picture: &Picture, sheet: &Sheet) -> Markup {
    let (Lies { origin_mm, span_mm, blank_mm }, (wide, high)) = (sheet.lies, sheet.pixels);
    html! {
        div id="piece-sheet" class="plate" data-left-mm=(origin_mm.0) data-top-mm=(origin_mm.1)
            data-width-mm=(span_mm.0) data-height-mm=(span_mm.1)
            data-blank-width-mm=(blank_mm.0) data-blank-height-mm=(blank_mm.1) {
                canvas width=(wide) height=(high) aria-hidden="true" {}
                img src=(picture.drawn) alt=(say!("The vessel's side laid flat, with the artwork where it will be")) loading="lazy";
                (placing(&picture.placing))
            }
    }
}

/// The frame by which the drawing is placed.
fn placing(frame: &PlacingFrame) -> Markup {
    html! {
        div id="placing-frame" tabindex="0" role="group" data-left=(frame.left) data-top=(frame.top)
            data-width=(frame.width) data-height=(frame.height) data-unit-mm=(frame.unit_mm) {
            @for part in ["top-left", "top-right", "bottom-left", "bottom-right"] { span class="corner" data-part=(part) {} }
            output {}
        }
    }
}

/// How the piece is lit; only glass has a choice.
fn lights(picture: Option<&Picture>) -> Markup {
    let glass = picture.is_some_and(|picture| picture.solid.look == "glass");
    let choice = |name: &str, label: &str, options: [(&str, &str); 2]| {
        html! {
            label { (label) " "
                select name=(name) autocomplete="off" { @for (value, words) in options { option value=(value) { (words) } } }
            }
        }
    };
    html! {
        fieldset id="lights" hidden[!glass] {
            legend class="unseen" { (say!(in "that falls on glass", "Light")) }
            (choice("light", say!(in "that falls on glass", "light"), [(Light::Edge.word(), say!("along the glass")), (Light::Behind.word(), say!("from behind"))]))
            (choice("ground", say!(in "before which ground", "on"), [(Ground::Dark.word(), say!("dark ground")), (Ground::Clear.word(), say!("pale ground"))]))
            (choice("seen", say!(in "seen from a side", "from"), [(Seen::Front.word(), say!(in "seen from", "the front")), (Seen::Back.word(), say!(in "seen from", "the back"))]))
        }
    }
}

/// The line of the cut, and where its drawing goes.
fn cut(cut: &CutForm) -> Markup {
    let down = say!(in "a distance from the top edge", "down");
    let (from, to) = (say!(in "the start of a line", "from"), say!(in "the end of a line", "to"));
    let names = [("x1", from), ("y1", down), ("x2", to), ("y2", down)];
    html! {
        form id="cut-form" method="get" action=(cut.drawing) data-drawing=(cut.drawing) data-values=(cut.values)
            data-unit-mm=(cut.unit_mm) target="_blank" {
            @for (name, value) in &cut.kept { input type="hidden" name=(name) value=(value); }
            input type="hidden" name="unit" value=(cut.unit);
            @for ((name, words), value) in names.iter().zip(&cut.ends) {
                @let most = if name.starts_with('x') { &cut.blank.0 } else { &cut.blank.1 };
                label { (words) " "
                    input type="number" name=(name) value=(value) min="0" max=(most) step="any" required autocomplete="off";
                }
            }
            span class="unit" { (cut.unit) }
            button type="submit" class="quiet" { (say!(in "a button that draws a section", "cut")) }
            a id="cut-values" href=(cut.values) download="section.csv" { (say!("values as CSV")) }
        }
        div id="cut-drawing" aria-live="polite" {}
    }
}

fn image(picture: &Picture) -> Markup {
    let (wide, high) = picture.pixels;
    // The canvas is never drawn on. It has the picture's size before the picture is there, so that nothing jumps.
    html! { canvas width=(wide) height=(high) aria-hidden="true" {} img id="piece-image" src=(picture.carved) alt=(picture.alt) width=(wide) height=(high); }
}

fn key(step: &KeyStep) -> Markup {
    html! {
        li {
            svg viewBox="0 0 28 12" aria-hidden="true" {
                rect width="28" height="12" rx="2" fill={ "var(--depth-" (step.ramp) ")" } {}
            }
            (step.name) " " (amount(&step.depth)) span class="unit" { (say!(", reaches {depth}", depth = step.reached)) }
        }
    }
}
