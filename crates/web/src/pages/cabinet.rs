//! The page at the cabinet: cautions, then one stage to a screen, then the depths that came out.

use super::script_words;
use super::words::{amount, marked, shape};
use crate::view::{CabinetPage, CabinetStage};
use language::{Language, say};
use maud::{DOCTYPE, Markup, html};
use plan::State;

/// The whole page. It stands alone: no list of pieces, nothing small to press.
pub(crate) fn cabinet(page: &CabinetPage) -> String {
    html! {
        (DOCTYPE)
        html lang=(Language::current().tag()) data-theme="dark" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="dark";
                title { (say!("At the cabinet: {name}", name = page.name)) " – Sabulo" }
                link rel="icon" href="/static/icon.svg" type="image/svg+xml";
                link rel="stylesheet" href="/static/theme.css";
                link rel="stylesheet" href="/static/page.css";
                link rel="stylesheet" href="/static/cabinet.css";
                (script_words::block())
                script type="module" src="/static/cabinet.js" {}
            }
            body class="cabinet" {
                header {
                    h1 { (page.name) }
                    p id="where" role="status" { (say!("Before you start")) }
                    @if let Some(back) = &page.back { a href=(back) { (say!(in "a link back", "plan")) } }
                }
                main id="cabinet" data-run=(page.run) data-unit-mm=(page.unit.1) {
                    noscript { p { (say!("The timer needs script, which this browser does not run. The job sheet has the same stages on paper.")) } }
                    (cautions(page))
                    @for stage in &page.stages { (self::stage(stage)) }
                    (gauging(page))
                    (timer())
                    (wrong())
                }
                p id="kept" role="status" {}
            }
        }
    }
    .into_string()
}

/// Each is acknowledged by hand; the start waits for all of them. A plan that stops is not begun at all.
fn cautions(page: &CabinetPage) -> Markup {
    html! {
        section data-step="cautions" aria-labelledby="cautions-title" {
            @if !page.stops.is_empty() {
                div id="stops" role="alert" {
                    h2 { (shape(State::Stop)) " " (say!("Stop: this plan does not hold")) }
                    ul { @for stop in &page.stops { li { (amount(stop)) } } }
                    @match &page.back {
                        Some(back) => p { (marked(say!("[Mend it on its plan's page] before anything is blasted."), |words| html! { a href=(back) { (words) } })) },
                        None => p { (say!("Have it mended in the office, on its plan's page, before anything is blasted.")) },
                    }
                }
            }
            h2 id="cautions-title" { (say!("Read each, do it, tick it")) }
            ul class="cautions" {
                @for (i, caution) in page.cautions.iter().enumerate() {
                    li {
                        input type="checkbox" id={ "caution-" (i) } autocomplete="off";
                        label for={ "caution-" (i) } {
                            strong { (caution.hazard) } " " (caution.harm)
                            span class="act" { (amount(&caution.act)) }
                        }
                    }
                }
            }
            button type="button" id="begin" class="big" disabled data-stopped[!page.stops.is_empty()] {
                @if page.stops.is_empty() { (say!(in "a run at the cabinet", "Begin")) } @else { (say!(in "a button that a stop holds back", "Stopped")) }
            }
        }
    }
}

fn stage(stage: &CabinetStage) -> Markup {
    let title = format!("stage-{}-title", stage.order);
    html! {
        section data-step=(stage.order) aria-labelledby=(title) hidden {
            div class="weed" {
                h2 id=(title) { (say!("Weed {opens}", opens = stage.opens)) }
                @if let Some(abrasive) = &stage.refill {
                    p class="note watch" { (shape(State::Watch)) " " (say!("First change the abrasive: {abrasive}.")) }
                }
                img src=(stage.picture) alt=(say!("Lit: what is open in stage {stage}", stage = stage.order));
            }
            dl class="set" {
                @for setting in &stage.settings { div { dt { (setting.name) } dd { (amount(&setting.value)) } } }
                div { dt { (say!("nozzle open")) } dd { (amount(&stage.blast)) } }
                @for (layer, depth) in &stage.gauge { div { dt { (say!("then gauge {layer}")) } dd { (amount(depth)) } } }
            }
        }
    }
}

/// What came out, layer by layer.
fn gauging(page: &CabinetPage) -> Markup {
    html! {
        section data-step="gauge" aria-labelledby="gauge-title" hidden {
            h2 id="gauge-title" { (say!("Gauge the depths")) }
            form id="gauge-form" autocomplete="off" {
                @for (i, layer) in page.layers.iter().enumerate() {
                    label for={ "depth-" (i) } { (layer.name) span class="tail" { " " (amount(&say!("wanted {depth}", depth = layer.target))) } }
                    span class="gauged" {
                        input type="number" id={ "depth-" (i) } data-layer=(layer.name) min="0" step="any" inputmode="decimal";
                        span class="unit" { (page.unit.0) }
                    }
                }
                label for="resist-state" { (say!("the resist")) }
                select id="resist-state" {
                    option value="" { (say!("not looked at")) }
                    option value="sound" { (say!("held to the end")) }
                    option value="failed" { (say!("blew through or let go")) }
                }
                button type="submit" class="big" { (say!("Keep this log")) }
            }
        }
        section data-step="end" hidden {
            h2 { (say!(in "a run", "Done")) }
            p { (say!("Shut the pot's air, let the hose down, wait for the dust, then take the piece out. Cut edges and carved glass are sharp.")) }
            p class="source" { (say!("Common practice, no source. Your shop's own rules and local code come first.")) }
            button type="button" id="again" class="big" { (say!("Another one")) }
        }
    }
}

fn timer() -> Markup {
    html! {
        div id="timer" hidden {
            svg viewBox="0 0 120 120" role="img" aria-labelledby="left" {
                circle class="track" cx="60" cy="60" r="54" {}
                circle class="ring" cx="60" cy="60" r="54" pathLength="1" {}
            }
            p class="read" { strong id="left" role="timer" { "0:00" } span id="doing" {} }
            p id="next" role="status" {}
        }
        div id="controls" hidden {
            button type="button" id="go" class="big" { (say!(in "a button", "Start")) }
            button type="button" id="done" class="big" { (say!("Stage done")) }
            button type="button" id="wrong" class="big" { (say!("Something is wrong")) }
        }
    }
}

/// What may go wrong, and what to do at once. Common practice, no source; the page says so.
fn wrongs() -> [(&'static str, &'static str); 5] {
    [
        (
            "air",
            say!(
                "The pressure falls: shut the nozzle, let the receiver fill, look for a leak or a clog. Go on when the gauge is back."
            ),
        ),
        (
            "resist",
            say!(
                "The resist lifts or wears through: stop. Dry it, press it down or tape over it; where glass shows, the stage is over there."
            ),
        ),
        (
            "crack",
            say!(
                "The glass cracks or chips: stop, shut the air, keep the door shut until the dust has gone, then lift it with cut-proof gloves."
            ),
        ),
        (
            "dust",
            say!("Dust comes out: stop. Leave the place, let the collector run, find the leak before anybody goes on."),
        ),
        ("other", say!("Something else: the run is held until you go on.")),
    ]
}

fn wrong() -> Markup {
    html! {
        dialog id="trouble" aria-labelledby="trouble-title" {
            h2 id="trouble-title" { (say!("What is it?")) }
            @for (word, act) in wrongs() { button type="button" class="big" value=(word) { (act) } }
            p class="source" { (say!("Common practice, no source. Your shop's own rules and local code come first.")) }
        }
    }
}
