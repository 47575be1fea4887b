//! Letting devices in: the page at this computer, the page on the device, and the list at the cabinet.

use super::frame::document;
use super::script_words;
use super::words::marked;
use crate::pairing::Role;
use crate::view::Frame;
use language::{Language, say, say_count};
use maud::{DOCTYPE, Markup, html};

/// What the page at this computer shows.
#[derive(Debug)]
pub(crate) struct PairPage {
    pub frame: Frame,
    /// Where other devices reach this computer; empty when they do not.
    pub addresses: Vec<String>,
    pub open: Option<OpenCode>,
    pub devices: Vec<DeviceRow>,
}

/// A code that is good now.
#[derive(Debug)]
pub(crate) struct OpenCode {
    pub digits: String,
    pub role: Role,
    /// Minutes that it is still good.
    pub minutes: u64,
    pub scans: Vec<Scan>,
}

/// An address as a QR code.
#[derive(Debug)]
pub(crate) struct Scan {
    pub address: String,
    /// The dark squares.
    pub path: String,
    /// Squares along a side.
    pub size: usize,
}

/// A device that is paired.
#[derive(Debug)]
pub(crate) struct DeviceRow {
    pub id: i64,
    pub name: String,
    pub role: String,
    pub since: String,
}

/// What is true of a connection without encryption, on both pages.
fn open_air() -> &'static str {
    say!(
        "The connection is not encrypted. Anyone on this network can read what the tablet and this computer say to each other, and can copy what the tablet shows to be let in."
    )
}

/// The page at this computer.
pub(crate) fn pair(page: &PairPage) -> String {
    let body = html! {
        main id="main" class="keep-page" {
            div class="name" {
                h1 id="name" { (say!("Other devices")) }
                p class="facts" { (say!("A tablet at the cabinet, or another computer of the shop.")) }
            }
            @if page.addresses.is_empty() { (shut()) } @else { (let_in(page)) }
            (devices(page))
        }
    };
    document(&page.frame, body)
}

fn shut() -> Markup {
    html! {
        section {
            p { (marked(say!("Sabulo answers this computer alone. To let others in, end it and start it with [sabulo serve --lan], then come back to this page."), |words| html! { code { (words) } })) }
            p class="note" { (open_air()) }
        }
    }
}

fn let_in(page: &PairPage) -> Markup {
    html! {
        section aria-labelledby="let-in" {
            h2 id="let-in" { (say!("Let a device in")) }
            p id="open-air" { (open_air()) " " (say!("Use a network whose users you trust; never a guest network.")) }
            @if let Some(open) = &page.open { (code(open)) }
            form method="post" action="/pair/code" {
                label for="role" { (say!("The next device is")) }
                select id="role" name="role" {
                    option value="helper" { (say!("a helper: cabinet pages, pictures, logs")) }
                    option value="owner" { (say!("an owner: everything but this page and putting back a backup")) }
                }
                button type="submit" { @if page.open.is_some() { (say!("Another code")) } @else { (say!("Show a code")) } }
            }
        }
    }
}

fn code(open: &OpenCode) -> Markup {
    html! {
        div id="code" role="status" {
            p class="digits" { (open.digits) }
            p { (say_count!(open.minutes, "For one device, as {role}, for {n} more minute.", "For one device, as {role}, for {n} more minutes.", role = open.role.name(), n = open.minutes)) }
            p { (say!("Scan this with the device, or open the address on it and type the code.")) }
            ul class="scans" {
                @for scan in &open.scans {
                    li {
                        svg viewBox={ "0 0 " (scan.size) " " (scan.size) } role="img" aria-label=(say!("QR code of {address} with the code", address = scan.address)) {
                            rect width=(scan.size) height=(scan.size) fill="#fff" {}
                            path d=(scan.path) fill="#000" shape-rendering="crispEdges" {}
                        }
                        p { (scan.address) }
                    }
                }
            }
        }
    }
}

fn devices(page: &PairPage) -> Markup {
    html! {
        section aria-labelledby="devices-title" {
            h2 id="devices-title" { (say!("Let in")) }
            @if page.devices.is_empty() { p class="facts" { (say!("No device is paired.")) } }
            ul id="devices" {
                @for device in &page.devices {
                    li {
                        span { (device.name) span class="tail" { " " (say!("{role}, since {day}", role = device.role, day = device.since)) } }
                        form method="post" action="/pair/withdraw" {
                            input type="hidden" name="device" value=(device.id);
                            button type="submit" class="quiet" aria-label=(say!("Shut out {name}", name = device.name)) { (say!("Shut out")) }
                        }
                    }
                }
            }
            p class="note" { (say!("A pairing ends by itself after 90 days. A device that is lost is shut out here, at once.")) }
        }
    }
}

/// A page for a device: it names no piece, for whoever opens it may be nobody.
fn bare(title: &str, script: Option<&str>, body: Markup) -> String {
    html! {
        (DOCTYPE)
        html lang=(Language::current().tag()) data-theme="dark" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="dark";
                title { (title) " – Sabulo" }
                link rel="icon" href="/static/icon.svg" type="image/svg+xml";
                link rel="stylesheet" href="/static/theme.css";
                link rel="stylesheet" href="/static/page.css";
                link rel="stylesheet" href="/static/cabinet.css";
                link rel="stylesheet" href="/static/keep.css";
                @if let Some(script) = script { (script_words::block()) script type="module" src={ "/static/" (script) } {} }
            }
            body class="cabinet" { (body) }
        }
    }
    .into_string()
}

/// The page on the device.
pub(crate) fn enter(fault: Option<&str>) -> String {
    let body = html! {
        header { h1 { (say!("Come in to Sabulo")) } }
        main id="main" class="enter" {
            p { (say!("The computer in the office shows a code under “Other devices”.")) }
            form id="enter-form" method="post" action="/enter" autocomplete="off" {
                label for="code" { (say!("The code")) }
                input type="text" id="code" name="code" inputmode="numeric" autocomplete="one-time-code" maxlength="9" required autofocus
                    aria-describedby=[fault.map(|_| "enter-fault")];
                label for="device-name" { (say!("What is this device?")) }
                input type="text" id="device-name" name="name" maxlength="40" value=(say!("Tablet at the cabinet"));
                @if let Some(fault) = fault { p id="enter-fault" role="alert" { (fault) } }
                button type="submit" class="big" { (say!("Come in")) }
            }
            p class="source" { (open_air()) }
        }
    };
    bare(say!("Come in"), Some("enter.js"), body)
}

/// The pieces at hand, on the device; `paired` when it is one that can leave again.
pub(crate) fn cabinet_list(pieces: &[(i64, String)], paired: bool) -> String {
    let body = html! {
        header { h1 { (say!("At the cabinet")) } }
        main id="main" class="enter" {
            @if pieces.is_empty() { p { (say!("There is no piece at hand. The office begins one.")) } }
            ul id="at-hand" {
                @for (id, name) in pieces { li { a class="big" href={ "/cabinet/" (id) } { (name) } } }
            }
            @if paired {
                form id="leave" method="post" action="/leave" { button type="submit" { (say!("This device leaves Sabulo")) } }
            }
        }
    };
    bare(say!("At the cabinet"), None, body)
}
