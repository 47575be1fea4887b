//! The page around a page.

use super::script_words;
use crate::view::Frame;
use language::{Language, say};
use maud::{DOCTYPE, Markup, html};
use quantity::UnitSystem;

/// Pages that need neither piece nor shop.
fn places() -> [(&'static str, &'static str); 3] {
    [("/sizing", say!("Sizing")), ("/class", say!("Class")), ("/reference", say!("Reference"))]
}

/// A whole document around `body`.
pub(super) fn document(frame: &Frame, body: Markup) -> String {
    html! {
        (DOCTYPE)
        html lang=(Language::current().tag()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="dark light";
                title { (frame.title) }
                link rel="icon" href="/static/icon.svg" type="image/svg+xml";
                link rel="preload" href="/static/fonts/FiraSans-Regular.woff2" as="font" type="font/woff2" crossorigin;
                link rel="stylesheet" href="/static/theme.css";
                link rel="stylesheet" href="/static/page.css";
                link rel="stylesheet" href="/static/piece.css";
                link rel="stylesheet" href="/static/shop.css";
                link rel="stylesheet" href="/static/pieces.css";
                link rel="stylesheet" href="/static/safety.css";
                link rel="stylesheet" href="/static/setup.css";
                link rel="stylesheet" href="/static/keep.css";
                link rel="stylesheet" href="/static/stock.css";
                link rel="stylesheet" href="/static/touch.css";
                (script_words::block())
                script src="/static/theme.js" {}
                script type="module" src="/static/main.js" {}
            }
            body {
                a class="skip" href="#main" { (say!("To the plan")) }
                (header(frame))
                (body)
                footer class="foot" {
                    a href="/keep" { (say!("Backup, hand on")) }
                    @if !frame.network { a href="/pair" { (say!("Other devices")) } }
                    a href="/api/openapi.json" { (say!("For programs")) }
                }
            }
        }
    }
    .into_string()
}

fn header(frame: &Frame) -> Markup {
    html! {
        header class="top" {
            a class="mark" href="/" {
                svg viewBox="0 0 24 24" aria-hidden="true" {
                    path d="M4 20 12 4l8 16" fill="none" stroke="currentColor" stroke-width="1.5" {}
                    circle cx="12" cy="18.5" r="1.25" fill="currentColor" {}
                    circle cx="9.2" cy="19.6" r=".8" fill="currentColor" {}
                    circle cx="14.8" cy="19.6" r=".8" fill="currentColor" {}
                    circle cx="12" cy="14.6" r=".8" fill="currentColor" {}
                }
                "Sabulo"
            }
            nav id="places" aria-label=(say!("Pages")) {
                a href="/pieces" aria-current=[frame.here.starts_with("/pieces").then_some("page")] { (say!("Pieces")) }
                @for piece in frame.pieces.iter().filter(|piece| piece.current) {
                    a class="here" href=(piece.href) aria-current="page" { (piece.name) }
                }
                @let in_shop = frame.here.starts_with("/shop").then_some("page");
                @match &frame.shop_href {
                    // Where there is little room its name stands in the page alone.
                    Some(shop) => a href=(shop) aria-current=[in_shop] { span class="named" { (frame.shop) } span class="unnamed" { (say!("Shop")) } },
                    None => a href="/shops" aria-current=[in_shop] { (say!("Shop")) },
                }
                @for (href, words) in places() {
                    a href=(href) aria-current=[frame.here.starts_with(href).then_some("page")] { (words) }
                }
            }
            // On a wide screen they stand in the line, and nothing opens them.
            button type="button" id="settings-open" class="quiet" popovertarget="settings" { (say!("Settings")) }
            div id="settings" class="settings" popover="auto" {
                (languages(frame))
                (units(frame))
                div id="theme" role="group" aria-label=(say!("Theme")) {
                    @for (value, word) in [
                        ("dark", say!("dark")), ("light", say!("light")), ("contrast", say!("contrast")), ("system", say!("system")),
                    ] {
                        button type="button" class="quiet" value=(value) { (word) }
                    }
                }
            }
        }
    }
}

fn languages(frame: &Frame) -> Markup {
    html! {
        form method="post" action="/language" {
            input type="hidden" name="here" value=(frame.here);
            div id="language" role="group" aria-label=(say!("Language")) {
                @for language in Language::ALL {
                    button type="submit" name="language" value=(language.tag()) lang=(language.tag()) class="quiet"
                        aria-pressed=(language == Language::current()) { (language.name()) }
                }
            }
        }
    }
}

fn units(frame: &Frame) -> Markup {
    let choice = |value: &str, word: &str, on: bool| {
        html! { button type="submit" name="units" value=(value) class="quiet" aria-pressed=(on) { (word) } }
    };
    html! {
        form method="post" action="/units" {
            input type="hidden" name="here" value=(frame.here);
            div id="units" role="group" aria-label=(say!("Units")) {
                (choice("metric", "mm · bar", frame.units == UnitSystem::Metric))
                (choice("us", "in · psi", frame.units == UnitSystem::Us))
            }
        }
    }
}
