//! Who may ask: this computer, devices that were paired with it, and pages of this program alone.
//!
//! Whatever address the server listens on, a browser will carry any web page's requests
//! there. So every request must name the door it came in by as its host (a foreign name that was pointed at
//! 127.0.0.1 is refused), nothing may be changed by a form or script of another origin, and no other
//! site may make the program work by embedding its pictures. At the network's door `pairing::entry` follows.

use crate::app::App;
use crate::pairing::door::Door;
use crate::pairing::entry;
use axum::extract::{Request, State};
use axum::http::header::{HOST, HeaderName, HeaderValue, ORIGIN};
use axum::http::{HeaderMap, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use language::say;
use std::sync::Arc;

/// What every answer says to the browser. Scripts, styles and pictures come from here alone.
const HEADERS: [(HeaderName, &str); 6] = [
    (
        HeaderName::from_static("content-security-policy"),
        "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; object-src 'none'",
    ),
    (HeaderName::from_static("x-content-type-options"), "nosniff"),
    (HeaderName::from_static("referrer-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("permissions-policy"), "camera=(), geolocation=(), microphone=()"),
];

/// What the guard stands at.
pub(crate) type Post = (Arc<App>, Arc<Door>);

/// Lets a request through or refuses it, and adds the headers to the answer.
pub(crate) async fn guard(State((app, door)): State<Post>, request: Request, next: Next) -> Response {
    let mut answer = match refused(request.method(), request.headers(), &door.hosts) {
        Some((status, words)) => (status, words).into_response(),
        None if door.network => entry::enter(&app, request, next).await,
        None => next.run(request).await,
    };
    for (name, value) in HEADERS {
        answer.headers_mut().insert(name, HeaderValue::from_static(value));
    }
    answer
}

/// Why a request is refused, if it is.
fn refused(method: &Method, headers: &HeaderMap, hosts: &[String]) -> Option<(StatusCode, &'static str)> {
    let said = |name: HeaderName| headers.get(name).and_then(|value| value.to_str().ok());
    if !said(HOST).is_some_and(|host| hosts.iter().any(|ours| ours == host)) {
        return Some((
            StatusCode::MISDIRECTED_REQUEST,
            say!("Open this program by its own address on this computer.\n"),
        ));
    }
    let site = said(HeaderName::from_static("sec-fetch-site"));
    let goes_there = said(HeaderName::from_static("sec-fetch-mode")) == Some("navigate");
    let changes = !matches!(*method, Method::GET | Method::HEAD);
    let foreign = match said(ORIGIN) {
        Some(origin) => !hosts.iter().any(|ours| origin.strip_prefix("http://") == Some(ours)),
        None => headers.contains_key(ORIGIN) || !matches!(site, None | Some("same-origin" | "none")),
    };
    let refuse = foreign && (changes || !goes_there);
    refuse.then_some((StatusCode::FORBIDDEN, say!("A page of another origin may not use this program.\n")))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(method: Method, headers: &[(&str, &str)], expected: Option<u16>) {
        let headers: HeaderMap = headers
            .iter()
            .map(|(name, value)| (name.parse::<HeaderName>().unwrap(), HeaderValue::from_str(value).unwrap()))
            .collect();
        let status = refused(&method, &headers, &Door::here(8017).hosts).map(|(status, _)| status.as_u16());
        assert_eq!(status, expected, "{method} {headers:?}");
    }

    #[test]
    fn at_the_networks_door_only_its_own_address_is_a_host() {
        for (address, host, refuse) in [
            ("192.168.1.5:7320", "192.168.1.5:7320", None),
            ("192.168.1.5:7320", "192.168.1.6:7320", Some(421)),
            ("192.168.1.5:7320", "192.168.1.5", Some(421)),
            ("192.168.1.5:7320", "127.0.0.1:7320", Some(421)),
            ("192.168.1.5:7320", "localhost:7320", Some(421)),
            ("192.168.1.5:7320", "office.example.org:7320", Some(421)),
            ("[fd00::5]:7320", "[fd00::5]:7320", None),
        ] {
            let headers = HeaderMap::from_iter([(HOST, HeaderValue::from_str(host).unwrap())]);
            let hosts = Door::network(address.parse().unwrap()).hosts;
            let status = refused(&Method::GET, &headers, &hosts).map(|(status, _)| status.as_u16());
            assert_eq!(status, refuse, "{host} at {address}");
        }
    }

    #[test]
    fn only_the_servers_own_names_with_its_port_are_hosts() {
        for host in ["127.0.0.1:8017", "localhost:8017", "[::1]:8017"] {
            check(Method::GET, &[("host", host)], None);
        }
        for host in ["127.0.0.1", "127.0.0.1:80", "example.org:8017", "127.0.0.1.example.org:8017", ""] {
            check(Method::GET, &[("host", host)], Some(421));
        }
        check(Method::GET, &[], Some(421));
    }

    #[test]
    fn nothing_is_changed_from_another_origin() {
        let host = ("host", "localhost:8017");
        check(Method::POST, &[host, ("origin", "http://localhost:8017")], None);
        check(Method::POST, &[host], None); // a script at the command line sends no origin
        for origin in ["http://example.org", "null", "https://localhost:8017", "http://localhost:8018", ""] {
            check(Method::POST, &[host, ("origin", origin)], Some(403));
        }
        check(Method::POST, &[host, ("sec-fetch-site", "cross-site"), ("sec-fetch-mode", "navigate")], Some(403));
    }

    #[test]
    fn another_site_may_link_here_but_not_embed() {
        let host = ("host", "127.0.0.1:8017");
        let cross = ("sec-fetch-site", "cross-site");
        check(Method::GET, &[host, cross, ("sec-fetch-mode", "navigate")], None);
        check(Method::GET, &[host, cross, ("sec-fetch-mode", "no-cors")], Some(403));
        check(Method::GET, &[host, ("sec-fetch-site", "same-origin"), ("sec-fetch-mode", "cors")], None);
        check(Method::GET, &[host, ("sec-fetch-site", "none"), ("sec-fetch-mode", "navigate")], None);
    }
}
