//! Every page says all that it says through the catalogue, and in German it is German.

use super::{answer, bytes, get, page, post, server};
use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use language::Language;
use std::collections::BTreeSet;

/// Every page; those of a run, of a faulty value and of nothing there, too.
const PAGES: [&str; 37] = [
    "/piece/1",
    "/piece/1?pressure=2.2bar",
    "/piece/1?pressure=lots",
    "/piece/1?depth-1=9mm",
    "/piece/1/recipes",
    "/piece/1/price",
    "/piece/1/price?quantity=some",
    "/piece/1/safety",
    "/piece/1/file",
    "/piece/1/history",
    "/piece/1/learn/1",
    "/pieces",
    "/pieces?away=1",
    "/pieces?q=nothing",
    "/pieces?begun=1",
    "/cabinet",
    "/cabinet/1",
    "/class",
    "/sizing",
    "/sizing?bore=wide",
    "/reference",
    "/start",
    "/shops",
    "/shop/1",
    "/shop/1?receiver.volume=big",
    "/shop/1/basics",
    "/shop/1/file",
    "/shop/1/safety",
    "/keep",
    "/pair",
    "/enter",
    "/shop/1/stock",
    "/shop/1/calibration",
    "/shop/1/runs",
    "/piece/1/runs",
    "/piece/1/order",
    "/piece/1/order/1",
];

/// Addresses that are asked for and answer with no page.
const NO_PAGES: [&str; 28] = [
    "/",
    "/piece/{id}/preview.png",
    "/piece/{id}/solid.glb",
    "/piece/{id}/depth.png",
    "/piece/{id}/section.svg",
    "/piece/{id}/section.csv",
    "/piece/{id}/drawn.svg",
    "/piece/{id}/stages/{stage}",
    "/piece/{id}/at",
    "/piece/{id}/instant",
    "/piece/{id}/files.zip",
    "/piece/{id}/files/{name}",
    "/piece/{id}/quote.pdf",
    "/piece/{id}/quote.csv",
    "/shop/{id}/stock.csv",
    "/shop/{id}/runs.csv",
    "/piece/{id}/runs.csv",
    "/piece/{id}/order/{number}/events",
    "/piece/{id}/order/{number}/files/{name}",
    "/class/pack.pdf",
    "/cabinet/worker.js",
    "/keep/backup",
    "/keep/everything",
    "/keep/piece/{id}",
    "/keep/shop/{id}",
    "/static/theme.css",
    "/static/{name}",
    "/static/fonts/{name}",
];

/// What stands in pages as it is: names of this test's piece and shop, of files, of languages; words of the files'
/// own language; units.
const NAMES: [&str; 61] = [
    "Sabulo",
    "Deutsch",
    "English",
    "Fixture, copy",
    "Fixture",
    "Test shop",
    "two-stage",
    "long 1/8",
    "short 3/32",
    "ring",
    "leaf",
    "piece.toml",
    "shop.toml",
    "class.toml",
    "quote.pdf",
    "quote.csv",
    "class-pack.pdf",
    "job-sheet.pdf",
    "cabinet-card.pdf",
    "calibration-sheet.pdf",
    "coupons.csv",
    "stencil-sheet.pdf",
    "run-strip.svg",
    "preview.png",
    "relief.stl",
    "relief.glb",
    "plan.json",
    "stencil-1",
    "stencil-2",
    ".svg",
    ".dxf",
    ".plt",
    "UTC",
    "USD",
    "EUR",
    "mm",
    "cm²",
    "m²",
    "bar",
    "in",
    "psi",
    "cfm",
    "l",
    "l/min",
    "m³/min",
    "m/s",
    "kg",
    "g",
    "kW",
    "kWh",
    "dBA",
    "°C",
    "h",
    "min",
    "s",
    "dm³/(s bar)",
    "x",
    "y",
    "C",
    "tax",
    "changes/min",
];

/// Regions, by the page's address and an id, class or tag, that show the words of files: works that `reference` cites
/// and values as its tables write them, a class's own file, the names in a first shop.
const OF_FILES: &[(&str, &str)] = &[
    // Titles of works are cited as they are called.
    ("/reference", "source"),
    ("/reference", "number"),
    ("/class", "drawn"),
    ("/class", "sentence"),
    ("/start", "drawn"),
    // Why an order failed is said to who asked for it, in that language, when it fails.
    ("/piece/1/order/1", "order-fault"),
];

/// Pages with values that do not read: what is said of them is a page's text too.
const FAULTY: [&str; 4] =
    ["/shop/1?hose.bore=wide", "/shop/1?receiver.volume=3", "/piece/1?nozzle=none", "/sizing?bore=3"];

/// Titles of works and rules, cited as they are called.
const TITLES: [&str; 4] = [
    "Reciprocating Compressors: Operation and Maintenance",
    "Roark's Formulas for Stress and Strain",
    "Grade D of CGA G-7.1",
    "US Bureau of Mines",
];

/// What a class is made of stands in its file; a first nozzle's name stands in the file that a shop is begun with.
const IN_FILES: [(&str, &str); 4] =
    [("/class", "judgement"), ("/start", "nozzle 1"), ("/piece/1/order/1", "order-fault"), ("/class", "class-form")];

/// English words that stand in no German sentence, nor in a name that both languages have.
const ENGLISH: [&str; 33] = [
    "the",
    "of",
    "and",
    "is",
    "are",
    "with",
    "for",
    "from",
    "by",
    "on",
    "not",
    "which",
    "what",
    "when",
    "its",
    "has",
    "have",
    "that",
    "this",
    "each",
    "every",
    "only",
    "than",
    "there",
    "nozzle",
    "receiver",
    "regulator",
    "hose",
    "belongs",
    "such",
    "page",
    "handbooks",
    "printed",
];

fn asked(path: &str, language: Language) -> Request<Body> {
    let mut request = get(path);
    let cookie = format!("sabulo-language={}", language.tag());
    request.headers_mut().insert(header::COOKIE, cookie.parse().unwrap());
    request
}

/// A server with a run of the fixture's piece, a kept change, a piece that is put away, something bought and gauged, and
/// an order that could not be made.
async fn busy_server() -> Router {
    let server = server();
    let log = r#"{"key":"k","revision":1,"started_utc":"2026-03-01T10:00:00Z","ended_utc":"2026-03-01T10:30:00Z",
        "stages":[{"stage":1,"blast_s":120,"rest_s":30},{"stage":2,"blast_s":60,"rest_s":0}],
        "events":[{"at_utc":"2026-03-01T10:10:00Z","stage":1,"what":"air"}],
        "depths":[{"layer":"ring","depth_mm":0.75}],"resist":"sound"}"#;
    let mut logged = post("/api/pieces/1/logs", &[]);
    logged.headers_mut().insert(header::CONTENT_TYPE, "application/json".parse().unwrap());
    *logged.body_mut() = Body::from(log);
    assert!(answer(&server, logged).await.status().is_success());
    for (item, verb, amount) in
        [("tape", "bought", "1m2"), ("tape", "reorder", "2m2"), ("nozzle long 1/8", "gauged", "3.4mm")]
    {
        answer(&server, post("/shop/1/stock", &[("item", item), ("verb", verb), ("amount", amount)])).await;
    }
    let fields = [("evening", "3h"), ("gap", "2mm"), ("seconds", "0")];
    assert!(answer(&server, super::order::asked("name\nAnsel\n", &fields)).await.status().is_redirection());
    // The events end when the order does.
    bytes(answer(&server, get("/piece/1/order/1/events")).await).await;
    let class = include_str!("../../../../examples/class.toml").replace("\"detail\"", "\"long 1/8\"");
    assert!(answer(&server, post("/class", &[("text", &class)])).await.status().is_success());
    answer(&server, post("/piece/1/copy", &[])).await;
    answer(&server, post("/piece/2/shelve", &[("away", "1")])).await;
    server
}

/// A text that somebody reads or hears, with the tags, ids and classes that it stands in.
#[derive(Debug)]
struct Text {
    within: Vec<String>,
    text: String,
}

const READ_OUT: [&str; 8] =
    ["aria-label", "alt", "title", "placeholder", "aria-valuetext", "data-alt", "data-show", "data-fold"];

/// All texts of a page of ours, in order: maud closes what it opens.
fn texts(html: &str) -> Vec<Text> {
    const VOID: [&str; 6] = ["meta", "link", "input", "img", "br", "hr"];
    let mut open: Vec<Vec<String>> = Vec::new();
    let mut found = Vec::new();
    for part in html.split('<').skip(1) {
        let (tag, text) = part.split_once('>').expect("every tag ends");
        let name = tag.trim_start_matches('/').split([' ', '/', '\n']).next().unwrap_or_default();
        let attributes = attributes(tag);
        let own: Vec<String> = attributes
            .iter()
            .filter(|(key, _)| matches!(*key, "id" | "class"))
            .flat_map(|(_, value)| value.split(' ').map(str::to_owned))
            .chain([name.to_owned()])
            .collect();
        let within = |open: &[Vec<String>]| open.iter().flatten().chain(&own).cloned().collect::<Vec<_>>();
        let read_out = attributes.iter().filter(|(key, _)| READ_OUT.contains(key));
        found.extend(read_out.map(|(_, value)| Text { within: within(&open), text: (*value).to_owned() }));
        match tag.starts_with('/') {
            true => drop(open.pop()),
            false if tag.starts_with(['!', '?']) || tag.ends_with('/') || VOID.contains(&name) => {}
            false => open.push(own),
        }
        let data = open
            .last()
            .is_some_and(|own| own.iter().any(|name| matches!(name.as_str(), "script" | "textarea" | "style")));
        if !data && !text.trim().is_empty() {
            found.push(Text { within: open.iter().flatten().cloned().collect(), text: text.to_owned() });
        }
    }
    found
}

fn attributes(tag: &str) -> Vec<(&str, &str)> {
    let mut parts = tag.split('"');
    let mut found = Vec::new();
    while let (Some(before), Some(value)) = (parts.next(), parts.next()) {
        let name = before.trim_end_matches('=').rsplit([' ', '\n']).next().unwrap_or_default();
        found.push((name, value));
    }
    found
}

/// What stands outside of the marks, of texts of which one may open what a later one closes: a link within a sentence.
fn outside(texts: Vec<Text>) -> Vec<Text> {
    let mut depth = 0_usize;
    let bare = |text: &str, depth: &mut usize| -> String {
        let mut kept = String::new();
        for letter in text.chars() {
            match letter {
                '‹' => *depth += 1,
                '›' => *depth = depth.saturating_sub(1),
                letter if *depth == 0 => kept.push(letter),
                _ => {}
            }
        }
        kept
    };
    texts.into_iter().map(|one| Text { text: bare(&one.text, &mut depth), ..one }).collect()
}

/// A text without the names that are allowed, each as whole words.
fn unnamed(text: &str) -> String {
    let mut text = text.replace("&amp;", "&").replace("&quot;", "\"");
    // A grade of grit is called so in every language.
    let grades = reference::tables().grits.iter().map(|row| row.name.as_str());
    let mut names: Vec<&str> = NAMES.into_iter().chain(grades).collect();
    names.sort_by_key(|name| std::cmp::Reverse(name.len()));
    for name in names {
        let whole = |at: usize, text: &str| {
            let before = text[..at].chars().next_back().is_some_and(char::is_alphabetic);
            let after = text[at + name.len()..].chars().next().is_some_and(char::is_alphabetic);
            !before && !after
        };
        let places: Vec<usize> = text.match_indices(name).map(|(at, _)| at).filter(|&at| whole(at, &text)).collect();
        for at in places.into_iter().rev() {
            text.replace_range(at..at + name.len(), " ");
        }
    }
    text
}

#[tokio::test]
async fn every_address_is_a_page_of_these_tests_or_none() {
    let routes = include_str!("../app.rs").split(".route(\"").skip(1);
    let asked = routes.filter(|rest| rest.split(".route(").next().is_some_and(|route| route.contains("get(")));
    for path in asked.filter_map(|rest| rest.split('"').next()) {
        let pattern: Vec<&str> = path.split('/').collect();
        let is = |page: &str| {
            let parts: Vec<&str> = page.split('?').next().unwrap_or_default().split('/').collect();
            parts.len() == pattern.len() && pattern.iter().zip(&parts).all(|(a, b)| a == b || a.starts_with('{'))
        };
        assert!(NO_PAGES.contains(&path) || PAGES.iter().any(|page| is(page)), "{path} is not looked at");
    }
}

#[tokio::test]
async fn every_page_says_what_it_says_through_the_catalogue() {
    let server = busy_server().await;
    let mut strays = BTreeSet::new();
    for path in PAGES.into_iter().chain(["/nowhere"]) {
        let (_, html) = page(&server, asked(path, Language::Marked)).await;
        assert!(html.contains("lang=\"en-XA\""), "{path}");
        for Text { within, text } in outside(texts(&html)) {
            if !unnamed(&text).contains(char::is_alphabetic) {
                continue;
            }
            let is_in = |(of, region): &(&str, &str)| path.starts_with(of) && within.iter().any(|name| name == region);
            if !OF_FILES.iter().any(is_in) {
                strays.insert(format!("{path} [{}] {text}", within.join(" ")));
            }
        }
    }
    assert!(strays.is_empty(), "{} texts:\n{}", strays.len(), strays.into_iter().collect::<Vec<_>>().join("\n"));
}

/// What the marks cannot find: a text that went through the catalogue with English words in its holes, or stands under
/// `OF_FILES`. It is the same in both languages, or not, and has a word that no German text has.
#[tokio::test]
async fn no_page_in_german_has_english_words_left() {
    let server = busy_server().await;
    let mut left = BTreeSet::new();
    for path in PAGES.into_iter().chain(FAULTY) {
        let (_, html) = page(&server, asked(path, Language::German)).await;
        for Text { within, text } in texts(&html) {
            let of_file = |(of, what): &(&str, &str)| {
                path.starts_with(of) && (text.contains(what) || within.iter().any(|name| name == what))
            };
            if IN_FILES.iter().any(of_file) {
                continue;
            }
            let text = TITLES.iter().fold(text.replace("&#39;", "'"), |text, title| text.replace(title, " "));
            let text = unnamed(&text).to_lowercase();
            // A key such as `pressure.hose_rated` is one word, and of no language.
            let mut words = text.split_whitespace().map(|word| word.trim_matches(|c: char| !c.is_alphabetic()));
            if words.any(|word| ENGLISH.contains(&word)) {
                left.insert(format!("{path} [{}] {text}", within.join(" ")));
            }
        }
    }
    assert!(left.is_empty(), "{} texts:\n{}", left.len(), left.into_iter().collect::<Vec<_>>().join("\n"));
}

#[tokio::test]
async fn every_page_is_german_for_who_reads_german() {
    let server = busy_server().await;
    for path in PAGES {
        let (_, html) = page(&server, asked(path, Language::German)).await;
        assert!(html.contains("<html lang=\"de\""), "{path}");
        assert!(!html.contains("‹"), "{path}");
    }
    let german = async |path: &str| page(&server, asked(path, Language::German)).await.1;
    let plan = german("/piece/1").await;
    for words in ["Rezept", "abdecken mit", "Düse offen", "Rückgängig", "2,76", "name=\"pressure\" value=\"2,76\""] {
        assert!(plan.contains(words), "{words}");
    }
    for words in ["Floatglas (Kalknatron)", "Edelkorund weiß", "Gummi dünn, 15 mil"] {
        assert!(german("/start").await.contains(words) || plan.contains(words), "{words}");
    }
    let tables = german("/reference").await;
    for words in
        ["Schüttdichte", "zulässige Exposition, Mittel über 8 h", "Vereinigte Staaten", "keine Messung gefunden"]
    {
        assert!(tables.contains(words), "{words}");
    }
    assert!(german("/cabinet/1").await.contains("Etwas stimmt nicht"));
    assert!(german("/sizing").await.contains("2,4mm"));
    assert!(german("/shop/1/basics").await.contains("Liefermenge"));
    assert!(german("/nowhere").await.contains("Unter dieser Adresse ist nichts"));
}

#[tokio::test]
async fn a_language_is_chosen_by_a_cookie_or_by_what_the_browser_reads_and_programs_read_english() {
    let server = busy_server().await;
    let mut reads = get("/pieces");
    reads.headers_mut().insert(header::ACCEPT_LANGUAGE, "de-AT,en;q=0.5".parse().unwrap());
    assert!(page(&server, reads).await.1.contains("Stücke"));
    // In one cache, each reads the plan in its own language, whoever asked first.
    for (language, word) in [(Language::German, "Rezept"), (Language::English, "Recipe"), (Language::German, "Rezept")]
    {
        assert!(page(&server, asked("/piece/1", language)).await.1.contains(word));
    }
    let english = bytes(answer(&server, asked("/piece/1/files/plan.json", Language::English)).await).await;
    let german = bytes(answer(&server, asked("/piece/1/files/plan.json", Language::German)).await).await;
    assert!(english == german, "the plan for programs hangs on no language");
    let csv = |language| answer(&server, asked("/piece/1/quote.csv", language));
    let (english, german) = (bytes(csv(Language::English).await).await, bytes(csv(Language::German).await).await);
    assert!(english == german, "the table for programs hangs on no language");
    assert_eq!(answer(&server, asked("/api/pieces/99", Language::German)).await.status(), StatusCode::NOT_FOUND);
    let (_, problem) = page(&server, asked("/api/pieces/99", Language::German)).await;
    assert!(!problem.contains("Adresse"), "{problem}");
}

#[tokio::test]
async fn a_complaint_about_a_file_is_german_with_its_hint_and_what_the_parser_says() {
    let server = server();
    for (text, expected) in [
        ("sabulo = \"piece 1\"\nname = 7\n", "(Wie das Stück heißt, auf dem Arbeitsblatt und in Listen)"),
        ("name = \"x", "kein wohlgeformtes TOML: ein Text ist nicht geschlossen"),
        ("name = 1\nname = 2", "dieser Schlüssel steht hier zweimal"),
    ] {
        let mut keep = post("/piece/1/file", &[("revision", "1"), ("text", text)]);
        keep.headers_mut().insert(header::COOKIE, "sabulo-language=de".parse().unwrap());
        let (status, html) = page(&server, keep).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
        let said: String = texts(&html).into_iter().map(|one| one.text.replace("&quot;", "\"")).collect();
        assert!(said.contains(expected), "{text}: {said}");
    }
}

#[tokio::test]
async fn what_is_typed_with_a_decimal_comma_is_kept_with_a_point() {
    let server = server();
    let mut keep = post("/piece/1/keep", &[("revision", "1"), ("pressure", "2,2")]);
    keep.headers_mut().insert(header::COOKIE, "sabulo-language=de".parse().unwrap());
    assert_eq!(answer(&server, keep).await.status(), StatusCode::SEE_OTHER);
    let (_, file) = page(&server, get("/piece/1/file")).await;
    assert!(file.contains("pressure = &quot;2.2bar&quot;"), "{file}");
}
