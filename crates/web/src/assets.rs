//! Style, script and fonts, embedded in the program.

use axum::extract::Path;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, ETAG, IF_NONE_MATCH};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use picture::{Theme, svg};
use rust_embed::RustEmbed;

#[derive(RustEmbed)]
#[folder = "static"]
struct Static;

const FONTS: [(&str, &[u8]); 3] = [
    ("FiraSans-Regular.woff2", include_bytes!("../../../assets/fonts/FiraSans-Regular.woff2")),
    ("FiraSans-SemiBold.woff2", include_bytes!("../../../assets/fonts/FiraSans-SemiBold.woff2")),
    ("FiraSansCondensed-Regular.woff2", include_bytes!("../../../assets/fonts/FiraSansCondensed-Regular.woff2")),
];

/// A font; they never change within a version.
pub(crate) async fn font(Path(name): Path<String>) -> Response {
    match FONTS.iter().find(|(known, _)| *known == name) {
        Some((_, bytes)) => ([(CONTENT_TYPE, "font/woff2"), (CACHE_CONTROL, "max-age=86400")], *bytes).into_response(),
        None => StatusCode::NOT_FOUND.into_response(),
    }
}

/// A style sheet, a script or an icon; the browser asks each time whether it is still the same.
pub(crate) async fn asset(Path(name): Path<String>, headers: HeaderMap) -> Response {
    let Some(file) = Static::get(&name) else { return StatusCode::NOT_FOUND.into_response() };
    let hash: String = file.metadata.sha256_hash()[..8].iter().map(|byte| format!("{byte:02x}")).collect();
    let tag = format!("\"{hash}\"");
    let same = headers.get(IF_NONE_MATCH).is_some_and(|known| known.as_bytes() == tag.as_bytes());
    let described = [(ETAG, tag.as_str()), (CACHE_CONTROL, "no-cache"), (CONTENT_TYPE, kind(&name))];
    match same {
        true => (StatusCode::NOT_MODIFIED, described).into_response(),
        false => (described, file.data.into_owned()).into_response(),
    }
}

/// A script that is handed out at an address of its own.
pub(crate) fn script(name: &str) -> Option<Vec<u8>> {
    Static::get(name).map(|file| file.data.into_owned())
}

/// Every script with its name.
#[cfg(test)]
pub(crate) fn scripts() -> impl Iterator<Item = (String, String)> {
    let names = Static::iter().filter(|name| name.ends_with(".js"));
    names.filter_map(|name| Some((name.to_string(), String::from_utf8(script(&name)?).ok()?)))
}

/// What the high-contrast theme sets otherwise than the dark one: black, white, and no greys between that carry words.
const CONTRAST: &str = "--ground:#000;--raised:#000;--ink:#fff;--dim-ink:#e6e6e6;--grid:#9a9a9a;--glass-line:#fff;\
                        --hold:#5ee0d0;--watch:#ffd24a;--stop:#ff8f70;";

/// The colours of all themes, from the table that the drawings use.
pub(crate) async fn theme() -> Response {
    let (dark, light) = (theme_css(Theme::Dark), theme_css(Theme::Light));
    let css = format!(
        ":root{{{dark}}}\n:root[data-theme=light]{{{light}}}\n\
         :root[data-theme=contrast]{{{dark}{CONTRAST}}}\n\
         @media (prefers-contrast:more){{:root[data-theme=system]{{{dark}{CONTRAST}}}}}\n\
         @media (prefers-color-scheme:light){{:root[data-theme=system]{{{light}}}}}\n"
    );
    ([(CONTENT_TYPE, "text/css; charset=utf-8"), (CACHE_CONTROL, "no-cache")], css).into_response()
}

fn theme_css(theme: Theme) -> String {
    let (scheme, line, arrow) = match theme {
        Theme::Dark => ("dark", "var(--glass)", "arrow-dark.svg"),
        _ => ("light", "var(--ink)", "arrow-light.svg"),
    };
    let properties = svg::properties(theme);
    format!("color-scheme:{scheme};--glass-line:{line};--arrow:url(/static/{arrow});{properties}")
}

fn kind(name: &str) -> &'static str {
    match name.rsplit_once('.').map(|(_, ending)| ending) {
        Some("css") => "text/css; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("svg") => "image/svg+xml",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_colour_that_a_style_sheet_asks_for_has_a_value_in_both_themes() {
        let sheets = Static::iter().filter(|name| name.ends_with(".css"));
        let text: String =
            sheets.map(|name| String::from_utf8(Static::get(&name).unwrap().data.into_owned()).unwrap()).collect();
        let own: Vec<&str> =
            text.split("--").skip(1).filter_map(|rest| rest.split_once(':')).map(|(name, _)| name).collect();
        for used in text.split("var(--").skip(1).filter_map(|rest| rest.split(')').next()) {
            for theme in [Theme::Dark, Theme::Light] {
                assert!(theme_css(theme).contains(&format!("--{used}:")) || own.contains(&used), "--{used}");
            }
        }
    }

    #[test]
    fn style_sheets_have_no_words_of_their_own() {
        for name in Static::iter().filter(|name| name.ends_with(".css")) {
            let text = String::from_utf8(Static::get(&name).unwrap().data.into_owned()).unwrap();
            let contents = text.lines().filter_map(|line| line.trim().strip_prefix("content:"));
            for literal in contents.flat_map(|value| value.split('"').skip(1).step_by(2)) {
                let is_escape = literal.starts_with('\\');
                assert!(is_escape || !literal.contains(char::is_alphabetic), "{name}: {literal:?}");
            }
        }
    }

    #[test]
    fn every_asset_has_a_kind() {
        assert!(Static::iter().all(|name| kind(&name) != "application/octet-stream"));
    }
}
