//! The server as a browser meets it: whole requests, whole answers.

mod api;
mod api_more;
mod calibration;
mod keep;
mod languages;
mod order;
mod pairing;
mod runs;
mod stock;

use crate::fixture::{ARTWORK, PIECE, SHOP, store};
use crate::{App, router};
use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use axum::response::Response;
use store::Demo;
use tower::ServiceExt as _;

mod setup;

const PORT: u16 = 8017;

fn server() -> Router {
    router(App::new(store()), PORT)
}

fn get(path: &str) -> Request<Body> {
    Request::get(path).header(header::HOST, "127.0.0.1:8017").body(Body::empty()).unwrap()
}

fn post(path: &str, form: &[(&str, &str)]) -> Request<Body> {
    Request::post(path)
        .header(header::HOST, "127.0.0.1:8017")
        .header(header::ORIGIN, "http://127.0.0.1:8017")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::from(serde_urlencoded::to_string(form).unwrap()))
        .unwrap()
}

async fn answer(server: &Router, request: Request<Body>) -> Response {
    server.clone().oneshot(request).await.unwrap()
}

async fn bytes(response: Response) -> Vec<u8> {
    axum::body::to_bytes(response.into_body(), 64 << 20).await.unwrap().to_vec()
}

async fn text(response: Response) -> String {
    String::from_utf8(bytes(response).await).unwrap()
}

async fn page(server: &Router, request: Request<Body>) -> (StatusCode, String) {
    let response = answer(server, request).await;
    (response.status(), text(response).await)
}

fn there(response: &Response) -> &str {
    response.headers()[header::LOCATION].to_str().unwrap()
}

/// Every element that is opened is closed, in order; void elements apart.
fn well_formed(html: &str) {
    const VOID: [&str; 5] = ["meta", "link", "input", "img", "br"];
    let mut open: Vec<&str> = Vec::new();
    for tag in html.split('<').skip(1) {
        let (tag, _) = tag.split_once('>').expect("every tag ends");
        let name = tag.trim_start_matches('/').split([' ', '/', '\n']).next().unwrap();
        if tag.starts_with('/') {
            assert_eq!(open.pop(), Some(name), "a closing tag must match, inside {open:?}");
        } else if !tag.starts_with('!') && !tag.ends_with('/') && !VOID.contains(&name) {
            open.push(name);
        }
    }
    assert!(open.is_empty(), "left open: {open:?}");
}

#[tokio::test]
async fn the_start_leads_to_the_first_piece_and_its_page_has_all_parts() {
    let server = server();
    let start = answer(&server, get("/")).await;
    assert_eq!((start.status(), there(&start)), (StatusCode::SEE_OTHER, "/piece/1"));
    let (status, html) = page(&server, get("/piece/1")).await;
    assert_eq!(status, StatusCode::OK);
    well_formed(&html);
    for id in [
        "summary",
        "findings",
        "artwork-notes",
        "recipe",
        "recipe-form",
        "recipe-pressure",
        "recipe-pressure-slider",
        "recipe-nozzle",
        "recipe-grit",
        "recipe-resist",
        "recipe-standoff",
        "recipe-depth-1",
        "recipe-depth-2",
        "recipe-keep",
        "piece-picture",
        "piece-image",
        "piece-drawn",
        "depth-key",
        "strip",
        "strip-lanes",
        "stages",
        "cautions",
        "consumables",
        "time",
        "cost",
        "files",
    ] {
        assert_eq!(html.matches(&format!("id=\"{id}\"")).count(), 1, "{id}");
    }
}

#[tokio::test]
async fn every_id_on_the_page_is_there_once_and_every_control_has_a_label() {
    let (_, html) = page(&server(), get("/piece/1")).await;
    let mut ids: Vec<&str> = html.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    let count = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), count, "an id stands twice");
    for id in ids.iter().filter(|id| id.starts_with("recipe-")) {
        let control = html.contains(&format!("<select id=\"{id}\""))
            || html.contains(&format!("inputmode=\"decimal\" id=\"{id}\""));
        assert!(!control || html.contains(&format!("<label for=\"{id}\"")), "{id} has no label");
    }
}

#[tokio::test]
async fn no_page_has_style_or_script_inside_it() {
    let (_, html) = page(&server(), get("/piece/1")).await;
    assert!(!html.contains(" style=") && !html.contains("<style") && !html.contains(" onclick="));
    assert_eq!(
        html.matches("<script").count(),
        html.matches("<script src=\"/static/").count()
            + html.matches("<script type=\"module\" src=\"/static/").count()
            + html.matches("<script type=\"application/json\" id=\"words\"").count()
    );
}

#[tokio::test]
async fn every_answer_carries_the_headers_that_keep_it_in_its_place() {
    for path in ["/piece/1", "/static/page.css", "/nowhere"] {
        let response = answer(&server(), get(path)).await;
        let said = |name: &str| response.headers()[name].to_str().unwrap().to_owned();
        assert!(said("content-security-policy").contains("default-src 'self'"), "{path}");
        assert!(said("content-security-policy").contains("frame-ancestors 'none'"), "{path}");
        assert_eq!(said("x-content-type-options"), "nosniff", "{path}");
    }
}

#[tokio::test]
async fn a_foreign_host_or_origin_is_refused_before_anything_is_done() {
    let server = server();
    let rebound = Request::get("/piece/1").header(header::HOST, "example.org").body(Body::empty()).unwrap();
    assert_eq!(answer(&server, rebound).await.status(), StatusCode::MISDIRECTED_REQUEST);
    let mut foreign = post("/piece/1/keep", &[("revision", "1"), ("pressure", "2")]);
    foreign.headers_mut().insert(header::ORIGIN, "http://example.org".parse().unwrap());
    assert_eq!(answer(&server, foreign).await.status(), StatusCode::FORBIDDEN);
    let undo = answer(&server, post("/piece/1/undo", &[])).await;
    assert_eq!(undo.status(), StatusCode::CONFLICT, "the foreign request kept nothing, so nothing can be undone");
}

#[tokio::test]
async fn what_is_not_there_is_a_page_that_says_so() {
    for path in ["/piece/99", "/piece/heron", "/nowhere", "/piece/1/files/secret.txt"] {
        let (status, html) = page(&server(), get(path)).await;
        assert_eq!(status, StatusCode::NOT_FOUND, "{path}");
        well_formed(&html);
    }
}

#[tokio::test]
async fn a_tried_recipe_answers_with_the_parts_of_the_page() {
    let form = [("revision", "1"), ("nozzle", "short 3/32"), ("pressure", "2.2")];
    let response = answer(&server(), post("/piece/1/try", &form)).await;
    assert_eq!(response.status(), StatusCode::OK);
    assert_eq!(response.headers()[header::CONTENT_LOCATION], "/piece/1?nozzle=short+3%2F32&pressure=2.2bar");
    let html = text(response).await;
    well_formed(&html);
    for part in
        ["id=\"summary\"", "id=\"findings\"", "id=\"recipe\"", "id=\"piece-picture\"", "id=\"strip\"", "id=\"stages\""]
    {
        assert!(html.contains(part), "{part}");
    }
    assert!(html.contains("tried, not kept") && html.contains("Against what is kept:"));
    assert!(!html.contains("<html"));
}

#[tokio::test]
async fn a_value_that_does_not_read_is_said_at_its_control() {
    let (status, html) = page(&server(), post("/piece/1/try", &[("pressure", "lots")])).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    let control = html.split("id=\"recipe-pressure\"").nth(1).unwrap();
    assert!(control.starts_with(" name=\"pressure\" value=\"lots\""), "it is shown again as typed");
    assert!(control.contains("aria-invalid=\"true\"") && html.contains("id=\"recipe-pressure-fault\""));
    assert!(!html.contains("id=\"strip\""), "the rest of the page is left alone");
    let (status, html) = page(&server(), get("/piece/1?depth-1=0")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(html.contains("a depth must be above zero"));
}

#[tokio::test]
async fn a_blank_that_must_not_be_carved_is_refused_in_words() {
    let store = store::Store::in_memory().unwrap();
    let piece_toml = PIECE.replace("[blank]", "[blank]\ntemper = \"tempered\"");
    let artwork = ARTWORK.as_bytes();
    let demo = Demo { name: "Door", piece_toml: &piece_toml, shop_toml: SHOP, artwork_name: "a.svg", artwork };
    store.seed(&[demo]).unwrap();
    let (status, html) = page(&router(App::new(store), PORT), get("/piece/1")).await;
    assert_eq!(status, StatusCode::OK);
    well_formed(&html);
    let summary = html.split("id=\"summary\"").nth(1).unwrap().split("</div>").next().unwrap();
    assert!(summary.contains("verdict stop") && summary.to_lowercase().contains("temper"), "{summary}");
}

#[tokio::test]
async fn a_kept_recipe_is_a_new_revision_and_undo_and_redo_walk_between_them() {
    let server = server();
    let kept = answer(&server, post("/piece/1/keep", &[("revision", "1"), ("pressure", "2.2")])).await;
    assert_eq!((kept.status(), there(&kept)), (StatusCode::SEE_OTHER, "/piece/1"));
    let pressure = async || {
        let (_, html) = page(&server, get("/piece/1")).await;
        let value = html.split("name=\"pressure\" value=\"").nth(1).unwrap().split('"').next().unwrap().to_owned();
        (value, html.contains("revision 2"))
    };
    assert_eq!(pressure().await, ("2.2".to_owned(), true));
    answer(&server, post("/piece/1/undo", &[])).await;
    assert_eq!(pressure().await, ("2.76".to_owned(), false), "40 psi, in bar");
    answer(&server, post("/piece/1/redo", &[])).await;
    assert_eq!(pressure().await, ("2.2".to_owned(), true));
}

#[tokio::test]
async fn keeping_over_somebody_elses_change_is_a_conflict_that_loses_nothing() {
    let server = server();
    answer(&server, post("/piece/1/keep", &[("revision", "1"), ("pressure", "2.2")])).await;
    let (status, html) = page(&server, post("/piece/1/keep", &[("revision", "1"), ("standoff", "90")])).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert!(html.contains("changed in another window") && html.contains("name=\"standoff\" value=\"90\""));
    assert!(html.contains("name=\"revision\" value=\"2\""), "the next attempt is on top of the newer revision");
    assert!(html.contains("name=\"pressure\" value=\"2.2\""), "what the other one kept is there");
}

#[tokio::test]
async fn units_are_remembered_and_lead_back_to_where_one_was() {
    let server = server();
    let form = [("units", "us"), ("here", "/piece/1?pressure=2.2bar")];
    let back = answer(&server, post("/units", &form)).await;
    assert_eq!(there(&back), "/piece/1?pressure=2.2bar");
    let (_, html) = page(&server, get(there(&back))).await;
    assert!(html.contains("name=\"pressure\" value=\"31.9\""), "2.2 bar in psi");
    let astray = answer(&server, post("/units", &[("units", "us"), ("here", "//example.org/")])).await;
    assert_eq!(there(&astray), "/");
    assert_eq!(
        answer(&server, post("/units", &[("units", "cubits")])).await.status(),
        StatusCode::UNPROCESSABLE_ENTITY
    );
}

#[tokio::test]
async fn every_file_that_the_page_offers_is_there_and_is_what_it_says() {
    let server = server();
    let (_, html) = page(&server, get("/piece/1")).await;
    let files = html.split("id=\"files\"").nth(1).unwrap().split("<footer").next().unwrap();
    let links: Vec<&str> = files.split("href=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    assert!(links.len() >= 5, "{links:?}");
    for link in links {
        let response = answer(&server, get(link)).await;
        assert_eq!(response.status(), StatusCode::OK, "{link}");
        assert!(response.headers()[header::CONTENT_DISPOSITION].to_str().unwrap().starts_with("attachment"));
        let kind = response.headers()[header::CONTENT_TYPE].to_str().unwrap().to_owned();
        let start = bytes(response).await[..4].to_vec();
        let expected: &[&[u8]] = match kind.as_str() {
            "application/pdf" => &[b"%PDF"],
            "image/png" => &[b"\x89PNG"],
            "application/json" => &[b"{\n  "],
            "image/vnd.dxf" => &[b"0\nSE"],
            "image/tiff" => &[b"II*\0"],
            "application/octet-stream" => &[b"IN;S"],
            "text/csv" => &[b"mate"],
            "application/zip" => &[b"PK\x03\x04"],
            "model/stl" => &[b"Carv"],
            "model/gltf-binary" => &[b"glTF"],
            _ => &[b"<?xm", b"<svg"],
        };
        assert!(expected.contains(&start.as_slice()), "{link}: {start:?}");
    }
}

#[tokio::test]
async fn the_picture_and_the_read_outs_answer() {
    let server = server();
    let picture = answer(&server, get("/piece/1/preview.png?")).await;
    assert_eq!(picture.headers()[header::CONTENT_TYPE], "image/png");
    // The ring is 40 mm around (60, 45) of a drawing centred on 200 by 150: at (100, 40) it is open.
    let (status, words) = page(&server, get("/piece/1/at?x_mm=100&y_mm=40")).await;
    assert_eq!(status, StatusCode::OK);
    assert!(words.contains("ring") && words.contains("deep"), "{words}");
    for drawing in ["/piece/1/drawn.svg", "/piece/1/stages/1", "/piece/1/stages/2?depth-1=0.5mm"] {
        let (status, svg) = page(&server, get(drawing)).await;
        assert!(status == StatusCode::OK && svg.starts_with("<svg"), "{drawing}");
    }
    assert_eq!(page(&server, get("/piece/1/stages/0")).await.0, StatusCode::NOT_FOUND);
    let (_, words) = page(&server, get("/piece/1/at?x_mm=3&y_mm=3")).await;
    assert!(words.ends_with("covered"), "{words}");
    let (_, words) = page(&server, get("/piece/1/instant?share=0.5")).await;
    assert!(words.starts_with("at\t") && words.contains("\nring\t") && words.contains("\ndoor\t"), "{words}");
    assert_eq!(page(&server, get("/piece/1/at?x_mm=NaN&y_mm=3")).await.0, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn a_body_that_is_far_too_large_is_refused() {
    let long = "9".repeat(100_000);
    let response = answer(&server(), post("/piece/1/try", &[("pressure", &long)])).await;
    assert_eq!(response.status(), StatusCode::PAYLOAD_TOO_LARGE);
}

#[tokio::test]
async fn style_script_and_fonts_are_served_and_the_browser_may_keep_them() {
    let server = server();
    for (name, kind) in
        [("page.css", "text/css"), ("main.js", "text/javascript"), ("fonts/FiraSans-Regular.woff2", "font/woff2")]
    {
        let response = answer(&server, get(&format!("/static/{name}"))).await;
        assert!(response.headers()[header::CONTENT_TYPE].to_str().unwrap().starts_with(kind), "{name}");
    }
    let tag = answer(&server, get("/static/main.js")).await.headers()[header::ETAG].clone();
    let mut again = get("/static/main.js");
    again.headers_mut().insert(header::IF_NONE_MATCH, tag);
    assert_eq!(answer(&server, again).await.status(), StatusCode::NOT_MODIFIED);
    assert_eq!(answer(&server, get("/static/..%2Fsrc%2Flib.rs")).await.status(), StatusCode::NOT_FOUND);
}

fn server_with(piece: &str, shop: &str) -> Router {
    let store = store::Store::in_memory().unwrap();
    let demo = Demo {
        name: "Fixture",
        piece_toml: piece,
        shop_toml: shop,
        artwork_name: "fixture.svg",
        artwork: ARTWORK.as_bytes(),
    };
    store.seed(&[demo]).unwrap();
    router(App::new(store), PORT)
}

#[tokio::test]
async fn all_checks_of_a_piece_and_of_a_shop_have_pages() {
    let place = "[place]\nkind = \"door\"\n[[depth]]\nlayer = \"ring\"";
    let piece = PIECE.replace("[[depth]]\nlayer = \"ring\"", place);
    let server = server_with(&piece, &SHOP.replace("collector = \"8 m3/min\"", ""));
    let (status, html) = page(&server, get("/piece/1/safety")).await;
    assert_eq!(status, StatusCode::OK);
    well_formed(&html);
    for part in
        ["id=\"check-place\"", "id=\"check-no_collector\"", "id=\"check-strength\"", "in a door", "Dust and breathing"]
    {
        assert!(html.contains(part) != part.contains("strength"), "{part}");
    }
    assert!(html.contains("things are not told") && html.contains("local code") | html.contains("Local code"));
    let (status, html) = page(&server, get("/shop/1/safety")).await;
    assert_eq!(status, StatusCode::OK);
    well_formed(&html);
    assert!(html.contains("id=\"check-no_collector\"") && !html.contains("id=\"check-place\""));
    assert_eq!(page(&server, get("/shop/9/safety")).await.0, StatusCode::NOT_FOUND);
    assert_eq!(page(&server, get("/piece/9/safety")).await.0, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn cautions_stand_under_their_steps_and_lead_to_the_checks() {
    let (_, html) = page(&server(), get("/piece/1")).await;
    for part in
        ["Before the blast", "While blasting", "Before the door opens", "When it leaves the shop", "/piece/1/safety"]
    {
        assert!(html.contains(part), "{part}");
    }
    assert!(html.find("Before the blast") < html.find("Before the door opens"));
}

#[tokio::test]
async fn a_tempered_blank_is_refused_in_words() {
    let piece = PIECE.replace("material = \"float_glass\"", "material = \"float_glass\"\ntemper = \"tempered\"");
    let server = server_with(&piece, SHOP);
    let (_, html) = page(&server, get("/piece/1")).await;
    assert!(html.contains("tempered glass is not carved"), "the summary says why");
    let (status, html) = page(&server, get("/piece/1/safety")).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(html.contains("tempered glass is not carved"));
}

#[tokio::test]
async fn the_cabinet_begins_no_plan_that_stops() {
    let server = server();
    let (status, html) = page(&server, get("/cabinet/1")).await;
    assert_eq!(status, StatusCode::OK);
    assert!(html.contains("id=\"begin\"") && !html.contains("data-stopped"), "the fixture's plan holds");
    // Nine millimetres of a pane of ten wear through its resist.
    let kept = answer(&server, post("/piece/1/keep", &[("revision", "1"), ("depth-1", "9mm")])).await;
    assert_eq!(kept.status(), StatusCode::SEE_OTHER);
    let (_, html) = page(&server, get("/cabinet/1")).await;
    assert!(html.contains("data-stopped") && html.contains("id=\"stops\""), "{html}");
}

#[tokio::test]
async fn a_picture_on_the_shelf_is_smaller_than_on_its_own_page() {
    let server = server();
    let (_, html) = page(&server, get("/pieces")).await;
    let shelf = html.split("src=\"").find(|rest| rest.starts_with("/piece/1/preview.png")).expect("it is shown");
    let shelf = shelf.split('"').next().unwrap().replace("&amp;", "&");
    let mut wide = Vec::new();
    for path in [shelf.as_str(), "/piece/1/preview.png?quick=1"] {
        let png = bytes(answer(&server, get(path)).await).await;
        wide.push(u32::from_be_bytes(png[16..20].try_into().unwrap()));
    }
    assert!(2 * wide[0] < wide[1], "{wide:?} pixels wide");
}
