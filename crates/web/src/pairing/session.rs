//! What a paired device shows with each request: a cookie with 256 random bits, of which the store keeps the hash.

use super::Role;
use super::rules::Who;
use crate::app::App;
use crate::error::WebError;
use axum::http::HeaderMap;
use axum::http::header::COOKIE;
use std::fmt::Write as _;
use std::sync::Arc;
use store::Device;

const NAME: &str = "sabulo-device";
const BYTES: usize = 32;

/// As long as the store knows the device.
const SECONDS: u32 = 90 * 24 * 60 * 60;

/// A new token, and the cookie that carries it. A browser shows it to this server alone, to no script, and never when
/// another site sent it here. Not marked `Secure`: there is no TLS on this server.
///
/// # Errors
/// When the system has no random numbers.
pub(crate) fn issue() -> Result<([u8; BYTES], String), getrandom::Error> {
    let mut token = [0; BYTES];
    getrandom::fill(&mut token)?;
    let mut hex = String::new();
    // Writing to a string cannot fail.
    for byte in token {
        let _ = write!(hex, "{byte:02x}");
    }
    Ok((token, format!("{NAME}={hex}; Path=/; Max-Age={SECONDS}; HttpOnly; SameSite=Strict")))
}

/// The cookie that takes the cookie away.
pub(crate) fn gone() -> String {
    format!("{NAME}=; Path=/; Max-Age=0; HttpOnly; SameSite=Strict")
}

/// The token that a request shows, if it shows one.
fn shown(headers: &HeaderMap) -> Option<[u8; BYTES]> {
    let cookies = headers.get_all(COOKIE).iter().filter_map(|value| value.to_str().ok());
    let mut pairs = cookies.flat_map(|line| line.split(';')).filter_map(|pair| pair.trim().split_once('='));
    let (_, hex) = pairs.find(|(name, _)| *name == NAME)?;
    if hex.len() != 2 * BYTES || !hex.bytes().all(|byte| byte.is_ascii_hexdigit()) {
        return None;
    }
    let mut token = [0; BYTES];
    for (byte, digits) in token.iter_mut().zip(hex.as_bytes().chunks(2)) {
        *byte = u8::from_str_radix(std::str::from_utf8(digits).ok()?, 16).ok()?;
    }
    Some(token)
}

/// The paired device that a request comes from.
///
/// # Errors
/// What the store says.
pub(crate) async fn device(app: &Arc<App>, headers: &HeaderMap) -> Result<Option<Device>, WebError> {
    let Some(token) = shown(headers) else { return Ok(None) };
    let app = Arc::clone(app);
    // Not `work`: nobody waits for plans to be let in.
    let found = tokio::task::spawn_blocking(move || app.store.device(&token)).await;
    Ok(found.map_err(|_| WebError::Panicked)??)
}

/// Who asks from the network.
///
/// # Errors
/// What the store says.
pub(crate) async fn who(app: &Arc<App>, headers: &HeaderMap) -> Result<Who, WebError> {
    let role = device(app, headers).await?.and_then(|device| Role::of(&device.role));
    Ok(role.map_or(Who::Nobody, Who::Paired))
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    fn headers(lines: &[&str]) -> HeaderMap {
        lines.iter().map(|line| (COOKIE, HeaderValue::from_str(line).unwrap())).collect()
    }

    #[test]
    fn a_token_is_long_and_new_each_time_and_found_in_its_cookie() {
        let (token, cookie) = issue().unwrap();
        assert_ne!(token, issue().unwrap().0);
        assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict") && cookie.contains("Path=/;"));
        let pair = cookie.split(';').next().unwrap();
        assert_eq!(shown(&headers(&[pair])), Some(token));
        assert_eq!(shown(&headers(&["theme=dark", &format!("a=b; {pair}; c=d")])), Some(token));
    }

    #[test]
    fn anything_else_is_no_token() {
        for line in ["", "sabulo-device=", "sabulo-device=zz", "sabulo-device", "other=00"] {
            assert_eq!(shown(&headers(&[line])), None, "{line}");
        }
        assert_eq!(shown(&headers(&[&format!("{NAME}={}", "+1".repeat(32))])), None);
        assert_eq!(shown(&headers(&[&format!("{NAME}={}", "0".repeat(65))])), None);
        assert_eq!(shown(&HeaderMap::new()), None);
    }
}
