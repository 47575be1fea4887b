//! The page that lets devices in, the one they come in by, and the list at the cabinet.

use super::session;
use super::{Role, code};
use crate::app::App;
use crate::error::WebError;
use crate::form::Sent;
use crate::pages::{self, DeviceRow, OpenCode, PairPage, Scan};
use crate::routes::{Answer, Shared, frame_of, units_setting, value};
use crate::view::Frame;
use axum::extract::{Form, State};
use axum::http::header::SET_COOKIE;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{Html, IntoResponse as _, Redirect, Response};
use fast_qr::{ECL, QRBuilder};
use language::say;
use quantity::UnitSystem;
use std::fmt::Write as _;
use std::net::SocketAddr;
use std::time::Instant;
use store::DeviceId;

/// The page on which devices are let in and shut out.
pub(crate) async fn pair(State(app): Shared) -> Answer {
    app.work(|app| {
        let units = units_setting(app)?.unwrap_or(UnitSystem::Metric);
        let devices = app.store.devices()?.into_iter();
        let page = PairPage {
            frame: Frame { units, here: "/pair".to_owned(), ..frame_of(app, say!("Other devices"), None)? },
            addresses: app.pairing.addresses().iter().map(address).collect(),
            open: open_code(app)?,
            devices: devices.map(row).collect(),
        };
        Ok(Html(pages::pair(&page)).into_response())
    })
    .await
}

fn row(device: store::Device) -> DeviceRow {
    // The date of an ISO 8601 instant.
    let since = device.paired_utc.chars().take(10).collect();
    let role = Role::of(&device.role).map_or(device.role, |role| role.name().to_owned());
    DeviceRow { id: device.id.0, name: device.name, role, since }
}

fn address(at: &SocketAddr) -> String {
    format!("http://{at}/enter")
}

fn open_code(app: &App) -> Result<Option<OpenCode>, WebError> {
    let now = Instant::now();
    let Some(open) = app.pairing.codes.current(now) else { return Ok(None) };
    let scan = |at: &SocketAddr| {
        // Behind the mark: a browser does not send it, so no log and no cache holds the code.
        let text = format!("{}#{}", address(at), open.digits);
        let (path, size) = qr(&text)?;
        Ok(Scan { address: address(at), path, size })
    };
    Ok(Some(OpenCode {
        digits: format!("{} {}", &open.digits[..3], &open.digits[3..]),
        role: open.role,
        minutes: open.left(now).as_secs().div_ceil(60),
        scans: app.pairing.addresses().iter().map(scan).collect::<Result<_, WebError>>()?,
    }))
}

/// The dark squares of a QR code as a path, and how many squares it is wide, its quiet zone of four counted in.
fn qr(text: &str) -> Result<(String, usize), WebError> {
    const QUIET: usize = 4;
    let code = QRBuilder::new(text).ecl(ECL::M).build().map_err(|fault| WebError::Qr(fault.to_string()))?;
    let mut path = String::new();
    for y in 0..code.size {
        for x in (0..code.size).filter(|x| code[y][*x].value()) {
            // Writing to a string cannot fail.
            let _ = write!(path, "M{} {}h1v1h-1z", x + QUIET, y + QUIET);
        }
    }
    Ok((path, code.size + 2 * QUIET))
}

/// Opens a code.
pub(crate) async fn open(State(app): Shared, Form(sent): Form<Sent>) -> Answer {
    if app.pairing.addresses().is_empty() {
        let words = say!("other devices cannot reach this computer; start it with `sabulo serve --lan`");
        return Err(WebError::Faulty(words.to_owned()));
    }
    let role = value(&sent, "role").and_then(Role::of);
    let role = role.ok_or_else(|| WebError::Faulty(say!("a device is a \"helper\" or an \"owner\"").to_owned()))?;
    app.pairing.codes.open(role, Instant::now()).map_err(WebError::Random)?;
    Ok(Redirect::to("/pair").into_response())
}

/// Shuts a device out.
pub(crate) async fn withdraw(State(app): Shared, Form(sent): Form<Sent>) -> Answer {
    let device = value(&sent, "device").and_then(|id| id.parse().ok()).map(DeviceId).ok_or(WebError::NotFound)?;
    app.work(move |app| Ok(app.store.withdraw(device)?)).await?;
    Ok(Redirect::to("/pair").into_response())
}

/// The page by which a device comes in.
pub(crate) async fn enter() -> Response {
    Html(pages::enter(None)).into_response()
}

/// Lets the device in that types the code.
pub(crate) async fn come_in(State(app): Shared, Form(sent): Form<Sent>) -> Answer {
    let Some(role) = app.pairing.codes.redeem(value(&sent, "code").unwrap_or_default(), Instant::now()) else {
        let minutes = code::LASTS.as_secs() / 60;
        let fault = say!(
            "This code is not good. Each is good once, for {minutes} minutes, and no more after five wrong ones. Ask for a new one at the computer."
        );
        return Ok((StatusCode::FORBIDDEN, Html(pages::enter(Some(&fault)))).into_response());
    };
    let (token, cookie) = session::issue().map_err(WebError::Random)?;
    let name = device_name(value(&sent, "name").unwrap_or_default());
    app.work(move |app| Ok(app.store.admit(&name, role.word(), &token)?)).await?;
    let there = if role == Role::Helper { "/cabinet" } else { "/" };
    Ok(([(SET_COOKIE, cookie)], Redirect::to(there)).into_response())
}

/// What a person called a device, short enough for a list.
fn device_name(given: &str) -> String {
    const LONGEST: usize = 40;
    let plain: String = given.chars().filter(|c| !c.is_control()).take(LONGEST).collect();
    let plain = plain.trim();
    if plain.is_empty() { say!("a device without a name").to_owned() } else { plain.to_owned() }
}

/// Ends the pairing of the device that asks.
pub(crate) async fn leave(State(app): Shared, headers: HeaderMap) -> Answer {
    if let Some(device) = session::device(&app, &headers).await? {
        app.work(move |app| Ok(app.store.withdraw(device.id)?)).await?;
    }
    Ok(([(SET_COOKIE, session::gone())], Redirect::to("/enter")).into_response())
}

/// The pieces at hand, to be chosen with a glove.
pub(crate) async fn at_the_cabinet(State(app): Shared, headers: HeaderMap) -> Answer {
    let paired = session::device(&app, &headers).await?.is_some();
    app.work(move |app| {
        let at_hand = app.store.pieces()?.into_iter().filter(|piece| !piece.away);
        let rows: Vec<(i64, String)> = at_hand.map(|piece| (piece.id.0, piece.name)).collect();
        Ok(Html(pages::cabinet_list(&rows, paired)).into_response())
    })
    .await
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_qr_code_has_its_three_finders_and_its_quiet_zone() {
        let (path, size) = qr("http://192.168.1.20:7320/enter#123456").unwrap();
        // A version is 4 squares wider than the one before, from 21; ISO/IEC 18004, from memory.
        assert_eq!((size - 8 - 21) % 4, 0);
        let dark = |x: usize, y: usize| path.contains(&format!("M{x} {y}h"));
        for (left, top) in [(4, 4), (size - 11, 4), (4, size - 11)] {
            let ring = (0..7).all(|i| dark(left + i, top) && dark(left, top + i) && dark(left + 6, top + i));
            assert!(ring && !dark(left + 1, top + 1) && dark(left + 3, top + 3), "at {left}, {top}");
        }
        assert!(!(0..size).any(|i| dark(3, i) || dark(i, 3) || dark(size - 4, i)));
    }

    #[test]
    fn a_name_is_short_and_plain() {
        assert_eq!(device_name("  Tablet\n at the cabinet "), "Tablet at the cabinet");
        assert_eq!(device_name("\u{7}"), "a device without a name");
        assert_eq!(device_name(&"x".repeat(100)).len(), 40);
    }
}
