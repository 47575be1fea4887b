//! The language of the pages: what this browser chose, or else what it says it reads.

use crate::error::WebError;
use crate::form::Sent;
use crate::routes::{Answer, is_ours, value};
use axum::extract::{Form, Request};
use axum::http::header::{ACCEPT_LANGUAGE, COOKIE, HeaderName, SET_COOKIE};
use axum::http::{HeaderMap, HeaderValue, Method};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use language::{Language, say};

const NAME: &str = "sabulo-language";

/// A year.
const SECONDS: u32 = 365 * 24 * 60 * 60;

/// Answers a request in the language of who reads it. What programs read stays in English; what a change is refused
/// with, and what it makes, is in the language that the change itself asks for: a page's script asks for its page's.
pub(crate) async fn speak(request: Request, next: Next) -> Response {
    let for_programs = request.uri().path().starts_with("/api/");
    let changes = !matches!(*request.method(), Method::GET | Method::HEAD);
    let language = match (for_programs, changes) {
        (false, _) => of(request.headers()),
        (true, true) => read(request.headers()).unwrap_or_default(),
        (true, false) => Language::English,
    };
    language.during(next.run(request)).await
}

/// Sets the language of this browser and comes back.
pub(crate) async fn set(Form(sent): Form<Sent>) -> Answer {
    let language = value(&sent, "language").and_then(Language::of_tag);
    let language = language.ok_or_else(|| WebError::Faulty(say!("there is no such language here").to_owned()))?;
    let here = value(&sent, "here").filter(|here| is_ours(here)).unwrap_or("/");
    let cookie = format!("{NAME}={}; Path=/; Max-Age={SECONDS}; HttpOnly; SameSite=Strict", language.tag());
    Ok(([(SET_COOKIE, cookie)], Redirect::to(here)).into_response())
}

/// The language that a request asks for.
fn of(headers: &HeaderMap) -> Language {
    chosen(headers).or_else(|| read(headers)).unwrap_or_default()
}

fn texts(headers: &HeaderMap, name: HeaderName) -> impl Iterator<Item = &str> {
    headers.get_all(name).into_iter().map(HeaderValue::to_str).filter_map(Result::ok)
}

fn chosen(headers: &HeaderMap) -> Option<Language> {
    let pairs = texts(headers, COOKIE).flat_map(|line| line.split(';')).filter_map(|pair| pair.trim().split_once('='));
    let (_, tag) = pairs.into_iter().find(|(name, _)| *name == NAME)?;
    Language::of_tag(tag)
}

/// The first of the languages that the browser reads, by its own weights, that there is.
fn read(headers: &HeaderMap) -> Option<Language> {
    let ranges = texts(headers, ACCEPT_LANGUAGE).flat_map(|line| line.split(','));
    let mut weighed: Vec<(f64, Language)> = ranges
        .filter_map(|range| {
            let (tag, weight) = range.split_once(";q=").unwrap_or((range, "1"));
            Some((weight.trim().parse().ok()?, Language::of_tag(tag)?))
        })
        .collect();
    // The sort keeps the order of equal weights.
    weighed.sort_by(|(a, _), (b, _)| b.total_cmp(a));
    weighed.first().filter(|(weight, _)| *weight > 0.0).map(|(_, language)| *language)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(headers: &[(HeaderName, &'static str)], expected: Language) {
        let headers: HeaderMap =
            headers.iter().map(|(name, value)| (name.clone(), HeaderValue::from_static(value))).collect();
        assert_eq!(of(&headers), expected, "{headers:?}");
    }

    #[test]
    fn what_was_chosen_goes_before_what_the_browser_reads() {
        check(&[], Language::English);
        check(&[(ACCEPT_LANGUAGE, "de-AT,de;q=0.9,en;q=0.5")], Language::German);
        check(&[(ACCEPT_LANGUAGE, "fr, en;q=0.5, de;q=0.8")], Language::German);
        check(&[(ACCEPT_LANGUAGE, "fr, de;q=0")], Language::English);
        check(&[(ACCEPT_LANGUAGE, "de"), (COOKIE, "a=b; sabulo-language=en")], Language::English);
        check(&[(COOKIE, "sabulo-language=xx"), (ACCEPT_LANGUAGE, "de")], Language::German);
    }
}
