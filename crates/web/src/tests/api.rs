//! The server as a program meets it.

use super::{PORT, answer, bytes, get, post};
use crate::fixture::{ARTWORK, PIECE, store};
use crate::{App, router};
use axum::Router;
use axum::body::Body;
use axum::http::{Method, Request, StatusCode, header};
use axum::response::Response;
use base64::Engine as _;
use serde_json::{Value, json};

fn server() -> Router {
    router(App::new(store()), PORT)
}

pub(super) fn sent(method: &Method, path: &str, body: &Value, matching: Option<&str>) -> Request<Body> {
    let mut request = Request::builder().method(method).uri(path).header(header::HOST, "127.0.0.1:8017");
    if let Some(tag) = matching {
        request = request.header(header::IF_MATCH, tag);
    }
    request.header(header::CONTENT_TYPE, "application/json").body(Body::from(body.to_string())).unwrap()
}

pub(super) async fn value(response: Response) -> Value {
    serde_json::from_slice(&bytes(response).await).unwrap()
}

pub(super) async fn read(server: &Router, path: &str) -> Value {
    let response = answer(server, get(path)).await;
    assert_eq!(response.status(), StatusCode::OK, "{path}");
    value(response).await
}

/// A refusal has its status, says so itself, and is said to be one.
pub(super) async fn refused(server: &Router, request: Request<Body>, expected: StatusCode) -> String {
    let response = answer(server, request).await;
    assert_eq!(response.status(), expected);
    assert_eq!(response.headers()[header::CONTENT_TYPE], "application/problem+json");
    let problem = value(response).await;
    assert_eq!(problem["status"], expected.as_u16());
    problem["detail"].as_str().unwrap().to_owned()
}

#[tokio::test]
async fn pieces_and_shops_are_listed_and_read() {
    let server = server();
    assert_eq!(read(&server, "/api/pieces").await, json!([{ "id": 1, "name": "Fixture", "away": false }]));
    assert_eq!(read(&server, "/api/shops").await, json!([{ "id": 1, "name": "Test shop" }]));
    let response = answer(&server, get("/api/pieces/1")).await;
    assert_eq!(response.headers()[header::ETAG], "\"1\"");
    let piece = value(response).await;
    assert_eq!((&piece["revision"], &piece["shop"]), (&json!(1), &json!(1)));
    assert_eq!(piece["piece"]["blank"]["thickness"], "10mm");
    assert_eq!(piece["artwork"]["size_bytes"], ARTWORK.len());
    assert_eq!(read(&server, "/api/shops/1").await["shop"]["receiver"]["volume"], "270 l");
    assert_eq!(bytes(answer(&server, get("/api/pieces/1/artwork")).await).await, ARTWORK.as_bytes());
}

#[tokio::test]
async fn a_piece_is_changed_on_the_revision_that_was_read_and_on_no_other() {
    let server = server();
    let mut file = read(&server, "/api/pieces/1").await["piece"].clone();
    let put = |file: &Value, tag| sent(&Method::PUT, "/api/pieces/1", file, tag);
    let same = answer(&server, put(&file, Some("\"1\""))).await;
    assert_eq!(same.headers()[header::ETAG], "\"1\"", "the same values add no revision");
    file["depth"][0]["depth"] = json!("0.6mm");
    assert!(refused(&server, put(&file, None), StatusCode::PRECONDITION_REQUIRED).await.contains("If-Match"));
    for stale in ["\"7\"", "W/\"1\"", "1", ""] {
        refused(&server, put(&file, Some(stale)), StatusCode::PRECONDITION_FAILED).await;
    }
    let changed = answer(&server, put(&file, Some("\"9\", \"1\""))).await;
    assert_eq!((changed.status(), &changed.headers()[header::ETAG]), (StatusCode::OK, &"\"2\"".parse().unwrap()));
    assert_eq!(value(changed).await["piece"]["depth"][0]["depth"], "0.6mm");
    file["depth"][0]["depth"] = json!("0.7mm");
    let late = refused(&server, put(&file, Some("\"1\"")), StatusCode::PRECONDITION_FAILED).await;
    assert!(late.contains("revision 2"), "{late}");
    assert_eq!(answer(&server, put(&file, Some("*"))).await.headers()[header::ETAG], "\"3\"");
    // The page undoes what a program did.
    assert_eq!(answer(&server, post("/piece/1/undo", &[])).await.status(), StatusCode::SEE_OTHER);
    assert_eq!(read(&server, "/api/pieces/1").await["revision"], 2);
}

#[tokio::test]
async fn values_that_do_not_read_are_named_and_nothing_is_kept() {
    let server = server();
    let kept = read(&server, "/api/pieces/1").await["piece"].clone();
    let cases: [(&str, Value, &str); 5] = [
        ("/blank/thickness", json!("10"), "blank.thickness"),
        ("/blank/thickness", json!(10), "blank.thickness"),
        ("/depth/0/depth", json!("-1mm"), "depth"),
        ("/recipe/nozzle", json!("no such"), "recipe.nozzle"),
        ("/artwork/file", json!("other.svg"), "artwork.file"),
    ];
    for (place, wrong, named) in cases {
        let mut file = kept.clone();
        *file.pointer_mut(place).unwrap() = wrong;
        let request = sent(&Method::PUT, "/api/pieces/1", &file, Some("\"1\""));
        let detail = refused(&server, request, StatusCode::UNPROCESSABLE_ENTITY).await;
        assert!(detail.contains(named), "{detail}");
    }
    let shop = sent(&Method::PUT, "/api/shops/1", &json!({ "name": "x" }), Some("\"1\""));
    refused(&server, shop, StatusCode::UNPROCESSABLE_ENTITY).await;
    assert_eq!(read(&server, "/api/pieces/1").await["revision"], 1);
    assert_eq!(read(&server, "/api/shops/1").await["revision"], 1);
}

#[tokio::test]
async fn a_shop_is_changed_and_its_pieces_are_planned_in_it() {
    let server = server();
    let mut shop = read(&server, "/api/shops/1").await["shop"].clone();
    let before = read(&server, "/api/pieces/1/plan").await;
    shop["rates"]["labour_per_hour"] = json!("120");
    let response = answer(&server, sent(&Method::PUT, "/api/shops/1", &shop, Some("\"1\""))).await;
    assert_eq!((response.status(), &response.headers()[header::ETAG]), (StatusCode::OK, &"\"2\"".parse().unwrap()));
    let after = read(&server, "/api/pieces/1/plan").await;
    assert_ne!(before["cost"], after["cost"]);
    assert_eq!(before["stages"], after["stages"]);
}

#[tokio::test]
async fn a_plan_its_findings_and_its_files_are_those_of_the_page() {
    let server = server();
    let plan = read(&server, "/api/pieces/1/plan").await;
    let page: Value = value(answer(&server, get("/piece/1/files/plan.json")).await).await;
    assert_eq!(plan, page);
    let findings = read(&server, "/api/pieces/1/findings").await;
    assert_eq!((&findings["findings"], &findings["revision"]), (&plan["findings"], &json!(1)));
    let files = read(&server, "/api/pieces/1/files").await;
    for file in files.as_array().unwrap().iter().take(3) {
        let href = file["href"].as_str().unwrap();
        assert_eq!(answer(&server, get(href)).await.status(), StatusCode::OK, "{href}");
    }
}

#[tokio::test]
async fn a_piece_is_begun_with_a_drawing() {
    let server = server();
    let piece: toml::Table = toml::from_str(&PIECE.replace("Fixture", "From a program")).unwrap();
    let drawing = base64::engine::general_purpose::STANDARD.encode(ARTWORK);
    let body = json!({ "artwork_base64": drawing, "piece": piece });
    let response = answer(&server, sent(&Method::POST, "/api/pieces", &body, None)).await;
    assert_eq!(response.status(), StatusCode::CREATED);
    let there = response.headers()[header::LOCATION].to_str().unwrap().to_owned();
    let begun = value(response).await;
    assert_eq!((&begun["name"], there.as_str()), (&json!("From a program"), "/api/pieces/2"));
    assert_eq!(read(&server, &there).await, begun);
    assert_eq!(read(&server, "/api/pieces/2/plan").await["piece"]["name"], "From a program");
    for (change, named) in [
        (json!({ "artwork_base64": "not base 64!", "piece": piece }), "artwork_base64"),
        (json!({ "artwork_base64": "bm8gZHJhd2luZw==", "piece": piece }), ""),
        (json!({ "artwork_base64": drawing, "piece": { "name": "x" } }), "sabulo"),
    ] {
        let request = sent(&Method::POST, "/api/pieces", &change, None);
        let detail = refused(&server, request, StatusCode::UNPROCESSABLE_ENTITY).await;
        assert!(detail.contains(named), "{detail}");
    }
    let nowhere = json!({ "shop": 9, "artwork_base64": drawing, "piece": piece });
    refused(&server, sent(&Method::POST, "/api/pieces", &nowhere, None), StatusCode::NOT_FOUND).await;
    assert_eq!(read(&server, "/api/pieces").await.as_array().unwrap().len(), 2);
}

pub(super) fn log(key: &str) -> Value {
    let stage = json!({ "stage": 1, "blast_s": 200.0, "rest_s": 50.5 });
    json!({
        "key": key, "revision": null, "started_utc": "2025-03-01T10:00:00Z", "ended_utc": "2025-03-01T10:20:00Z", "stages": [stage],
        "events": [], "depths": [{ "layer": "ring", "depth_mm": 0.82 }], "resist": "sound",
    })
}

#[tokio::test]
async fn a_log_is_kept_once_and_read_back_as_it_came() {
    let server = server();
    let post = |log: &Value| sent(&Method::POST, "/api/pieces/1/logs", log, None);
    assert_eq!(answer(&server, post(&log("a"))).await.status(), StatusCode::CREATED);
    assert_eq!(answer(&server, post(&log("a"))).await.status(), StatusCode::OK);
    assert_eq!(answer(&server, post(&log("b"))).await.status(), StatusCode::CREATED);
    let logs = read(&server, "/api/pieces/1/logs").await;
    assert_eq!((logs.as_array().unwrap().len(), &logs[0]["log"]), (2, &log("a")));
    let mut wrong = log("c");
    wrong["depths"][0]["depth_mm"] = json!(-1.0);
    assert!(refused(&server, post(&wrong), StatusCode::UNPROCESSABLE_ENTITY).await.contains("0 or more"));
    let elsewhere = sent(&Method::POST, "/api/pieces/9/logs", &log("d"), None);
    refused(&server, elsewhere, StatusCode::NOT_FOUND).await;
    refused(&server, get("/api/pieces/9/logs"), StatusCode::NOT_FOUND).await;
}

#[tokio::test]
async fn what_is_not_there_or_not_json_is_a_problem_too() {
    let server = server();
    for path in
        ["/api/pieces/9", "/api/pieces/heron", "/api/pieces/9/plan", "/api/shops/9", "/api/nowhere", "/api/pieces/1/x"]
    {
        refused(&server, get(path), StatusCode::NOT_FOUND).await;
    }
    let mut request = sent(&Method::PUT, "/api/pieces/1", &json!({}), Some("\"1\""));
    *request.body_mut() = Body::from("{ not json");
    refused(&server, request, StatusCode::BAD_REQUEST).await;
    let mut request = sent(&Method::PUT, "/api/pieces/1", &json!({}), Some("\"1\""));
    request.headers_mut().insert(header::CONTENT_TYPE, "text/plain".parse().unwrap());
    refused(&server, request, StatusCode::UNSUPPORTED_MEDIA_TYPE).await;
    let long = json!({ "name": "x".repeat(2 << 20) });
    let request = sent(&Method::PUT, "/api/pieces/1", &long, Some("\"1\""));
    refused(&server, request, StatusCode::PAYLOAD_TOO_LARGE).await;
    refused(&server, sent(&Method::DELETE, "/api/pieces/1", &json!({}), None), StatusCode::METHOD_NOT_ALLOWED).await;
    // A page of another origin changes nothing here either.
    let mut foreign = sent(&Method::PUT, "/api/pieces/1", &json!({}), Some("\"1\""));
    foreign.headers_mut().insert(header::ORIGIN, "http://example.org".parse().unwrap());
    assert_eq!(answer(&server, foreign).await.status(), StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn every_address_of_the_description_answers_as_described() {
    let server = server();
    let description = read(&server, "/api/openapi.json").await;
    assert_eq!(description["openapi"], "3.1.0");
    let mut count = 0;
    for (path, methods) in description["paths"].as_object().unwrap() {
        for (method, operation) in methods.as_object().unwrap() {
            let method: Method = method.to_uppercase().parse().unwrap();
            // Of what the fixture has none, there is none: a log, an entry, an order.
            let (whole, has) = (path.replace("{id}", "1"), !path.contains("{id}/") || path.matches('{').count() == 1);
            let whole = whole.replace("{log}", "1").replace("{number}", "1").replace("{key}", "none");
            let request = sent(&method, &whole, &json!({}), Some("\"1\""));
            let status = answer(&server, request).await.status();
            assert!(operation["responses"].get(status.as_str()).is_some(), "{method} {path}: {status}");
            assert_eq!(status == StatusCode::NOT_FOUND, !has, "{method} {path}");
            count += 1;
        }
    }
    assert_eq!(count, 30);
}
