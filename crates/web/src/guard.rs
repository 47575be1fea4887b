//! Who may ask: this computer alone, and pages of this program alone.
//!
//! The server listens on the loopback address, but a browser will carry any web page's requests
//! there. So every request must name this server as its host (a foreign name that was pointed at
//! 127.0.0.1 is refused), nothing may be changed by a form or script of another origin, and no other
//! site may make the program work by embedding its pictures.

use axum::extract::{Request, State};
use axum::http::header::{HOST, HeaderName, HeaderValue, ORIGIN};
use axum::http::{HeaderMap, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

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

/// Lets a request through or refuses it, and adds the headers to the answer.
pub(crate) async fn guard(State(port): State<u16>, request: Request, next: Next) -> Response {
    let mut answer = match refused(request.method(), request.headers(), port) {
        Some((status, words)) => (status, words).into_response(),
        None => next.run(request).await,
    };
    for (name, value) in HEADERS {
        answer.headers_mut().insert(name, HeaderValue::from_static(value));
    }
    answer
}

/// Why a request is refused, if it is.
fn refused(method: &Method, headers: &HeaderMap, port: u16) -> Option<(StatusCode, &'static str)> {
    let said = |name: HeaderName| headers.get(name).and_then(|value| value.to_str().ok());
    let hosts = ["127.0.0.1", "localhost", "[::1]"].map(|name| format!("{name}:{port}"));
    if !said(HOST).is_some_and(|host| hosts.iter().any(|ours| ours == host)) {
        return Some((StatusCode::MISDIRECTED_REQUEST, "Open this program by its own address on this computer.\n"));
    }
    let site = said(HeaderName::from_static("sec-fetch-site"));
    let goes_there = said(HeaderName::from_static("sec-fetch-mode")) == Some("navigate");
    let changes = !matches!(*method, Method::GET | Method::HEAD);
    let foreign = match said(ORIGIN) {
        Some(origin) => !hosts.iter().any(|ours| origin.strip_prefix("http://") == Some(ours)),
        None => headers.contains_key(ORIGIN) || !matches!(site, None | Some("same-origin" | "none")),
    };
    let refuse = foreign && (changes || !goes_there);
    refuse.then_some((StatusCode::FORBIDDEN, "A page of another origin may not use this program.\n"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(method: Method, headers: &[(&str, &str)], expected: Option<u16>) {
        let headers: HeaderMap = headers
            .iter()
            .map(|(name, value)| (name.parse::<HeaderName>().unwrap(), HeaderValue::from_str(value).unwrap()))
            .collect();
        let status = refused(&method, &headers, 8017).map(|(status, _)| status.as_u16());
        assert_eq!(status, expected, "{method} {headers:?}");
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
