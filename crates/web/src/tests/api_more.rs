//! Ledger, orders, coupons and the list as a program meets them.

use super::api::{log, read, refused, sent, value};
use super::{answer, bytes, get, order, page, post, server};
use axum::Router;
use axum::http::{Method, StatusCode, header};
use serde_json::{Value, json};

const ENTRIES: &str = "/api/shops/1/stock/entries";
const GRIT: &str = "abrasive white_alumina F150";

fn bought(key: &str, amount: &str) -> Value {
    json!({ "key": key, "item": GRIT, "verb": "bought", "amount": amount, "about": "the red sack" })
}

fn entry(body: &Value) -> axum::http::Request<axum::body::Body> {
    sent(&Method::POST, ENTRIES, body, None)
}

async fn left(server: &Router) -> Value {
    let stock = read(server, "/api/shops/1/stock").await;
    stock["items"].as_array().unwrap().iter().find(|one| one["item"] == GRIT).unwrap()["left_mid"].clone()
}

#[tokio::test]
async fn an_entry_counts_once_under_its_key_and_is_taken_back_by_another() {
    let server = server();
    for status in [StatusCode::CREATED, StatusCode::OK, StatusCode::OK] {
        let kept = answer(&server, entry(&bought("a.1", "25kg"))).await;
        assert_eq!(
            (kept.status(), kept.headers()[header::LOCATION].to_str().unwrap()),
            (status, "/api/shops/1/stock/entries/a.1")
        );
        let kept = value(kept).await;
        assert_eq!(
            (&kept["amount_mid"], &kept["unit"], &kept["about"]),
            (&json!(25.0), &json!("kg"), &json!("the red sack"))
        );
    }
    assert_eq!(left(&server).await, 25.0);
    // What is another entry needs another key.
    let other = refused(&server, entry(&bought("a.1", "20kg")), StatusCode::CONFLICT).await;
    assert!(other.contains("a.1") && other.contains("new key"), "{other}");
    // The page shows what the program entered, and the other way round.
    assert!(page(&server, get("/shop/1/stock")).await.1.contains("the red sack"));
    answer(&server, post("/shop/1/stock", &[("item", GRIT), ("verb", "bought"), ("amount", "5kg")])).await;
    assert_eq!(read(&server, ENTRIES).await.as_array().unwrap().len(), 2);
    let back = |key: &str| sent(&Method::DELETE, &format!("{ENTRIES}/{key}"), &json!({}), None);
    for _ in 0..2 {
        let taken = value(answer(&server, back("a.1")).await).await;
        assert_eq!((&taken["verb"], &taken["takes_back"]), (&json!("taken back"), &json!("a.1")));
    }
    let all = read(&server, ENTRIES).await;
    let seen: Vec<_> = all.as_array().unwrap().iter().map(|one| one["is_taken_back"] == true).collect();
    assert_eq!(seen, [true, false, false], "it stays to be seen, once");
    assert_eq!(left(&server).await, 5.0);
    refused(&server, back("none"), StatusCode::NOT_FOUND).await;
    refused(&server, back("back%20a.1"), StatusCode::UNPROCESSABLE_ENTITY).await;
    refused(&server, get("/api/shops/9/stock/entries"), StatusCode::NOT_FOUND).await;
}

#[tokio::test]
async fn an_entry_that_does_not_read_is_named_by_its_place_and_nothing_is_kept() {
    let server = server();
    let cases = [
        ("amount", json!("25"), "unit"),
        ("amount", json!("25 m2"), "unknown unit"),
        ("item", json!("abrasive glass F1"), "Choose what it is of"),
        ("item", json!("nozzle unknown"), "Choose what it is of"),
        ("verb", json!("drawn"), "entered by its log"),
        ("verb", json!("lost"), "does not know"),
        ("key", json!("back a"), "1 to 64"),
        ("key", json!(""), "1 to 64"),
        ("about", json!("x".repeat(201)), "200"),
    ];
    for (place, wrong, words) in cases {
        let mut body = bought("b", "25kg");
        body[place] = wrong.clone();
        let response = answer(&server, entry(&body)).await;
        assert_eq!(response.status(), StatusCode::UNPROCESSABLE_ENTITY, "{place} {wrong}");
        let problem = value(response).await;
        assert_eq!(problem["at"], place, "{problem}");
        assert!(problem["detail"].as_str().unwrap().contains(words), "{problem}");
    }
    assert_eq!(read(&server, ENTRIES).await, json!([]));
    // A page's script asks in the language of its page.
    let mut german = entry(&bought("b", "25"));
    german.headers_mut().insert(header::ACCEPT_LANGUAGE, "de".parse().unwrap());
    let told = refused(&server, german, StatusCode::UNPROCESSABLE_ENTITY).await;
    assert!(told.contains("Einheit"), "{told}");
}

#[tokio::test]
async fn a_gauged_bore_is_planned_with_on_the_shops_revision() {
    let server = server();
    let gauged = |key: &str| json!({ "key": key, "item": "nozzle long 1/8", "verb": "gauged", "amount": "3.4mm", "plan_with_it": true });
    let post = |key: &str, tag| sent(&Method::POST, ENTRIES, &gauged(key), tag);
    refused(&server, post("g", None), StatusCode::PRECONDITION_REQUIRED).await;
    refused(&server, post("g", Some("\"7\"")), StatusCode::PRECONDITION_FAILED).await;
    assert_eq!(read(&server, ENTRIES).await, json!([]));
    assert_eq!(answer(&server, post("g", Some("\"1\""))).await.status(), StatusCode::CREATED);
    // Sent again after its answer was lost, it names the revision that it knew.
    assert_eq!(answer(&server, post("g", Some("\"1\""))).await.status(), StatusCode::OK);
    let shop = read(&server, "/api/shops/1").await;
    assert_eq!((&shop["shop"]["nozzle"][0]["bore"], &shop["revision"]), (&json!("3.4mm"), &json!(2)));
    let ledger = read(&server, ENTRIES).await;
    let verbs: Vec<_> = ledger.as_array().unwrap().iter().map(|one| one["verb"].as_str().unwrap()).collect();
    assert_eq!(verbs, ["began", "gauged"]);
    // Its key has a space and a slash.
    let began = read(&server, &format!("{ENTRIES}/began%20long%201%2F8")).await;
    assert_eq!(began["verb"], "began");
    let back = sent(&Method::DELETE, &format!("{ENTRIES}/began%20long%201%2F8"), &json!({}), None);
    refused(&server, back, StatusCode::UNPROCESSABLE_ENTITY).await;
}

fn wanted(key: &str, layouts_s: f64) -> Value {
    json!({
        "key": key, "table": "guests.csv", "names": order::NAMES, "evening": "3h", "setup": "2min",
        "fit": [{ "column": "name", "width": "76mm" }], "gap": "2mm", "layouts_s": layouts_s,
    })
}

const ORDERS: &str = "/api/pieces/1/orders";

/// Waits until an order is over.
async fn over(server: &Router, order: &Value) -> Value {
    bytes(answer(server, get(order["events"].as_str().unwrap())).await).await;
    read(server, order["href"].as_str().unwrap()).await
}

#[tokio::test]
async fn an_order_is_begun_once_and_its_files_are_those_of_the_page() {
    let server = order::server();
    let begin = |body: &Value| sent(&Method::POST, ORDERS, body, None);
    let begun = answer(&server, begin(&wanted("k", 0.0))).await;
    assert_eq!(
        (begun.status(), begun.headers()[header::LOCATION].to_str().unwrap()),
        (StatusCode::ACCEPTED, "/api/pieces/1/orders/1")
    );
    let first = value(begun).await;
    let again = answer(&server, begin(&wanted("k", 0.0))).await;
    assert_eq!(again.status(), StatusCode::OK);
    assert_eq!(value(again).await["number"], first["number"]);
    refused(&server, begin(&wanted("k", 1.0)), StatusCode::CONFLICT).await;
    let made = over(&server, &first).await;
    assert_eq!(
        (&made["state"], &made["share"], &made["words"]),
        (&json!("made"), &json!(1.0), &json!("2 pieces on 1 evening"))
    );
    assert_eq!((&made["order"]["items"], &made["order"]["bad"][0]["line"]), (&json!(2), &json!(3)));
    let files = made["files"].as_array().unwrap();
    for file in files {
        assert_eq!(answer(&server, get(file["href"].as_str().unwrap())).await.status(), StatusCode::OK, "{file}");
    }
    let document = files.iter().find(|file| file["name"] == "batch.json").unwrap();
    assert_eq!(read(&server, document["href"].as_str().unwrap()).await, made["order"]);
    assert_eq!(read(&server, ORDERS).await, json!([made]));
    let (_, html) = page(&server, get(made["page"].as_str().unwrap())).await;
    assert!(html.contains("2 pieces on 1 evening"));
    refused(&server, get("/api/pieces/1/orders/9"), StatusCode::NOT_FOUND).await;
    refused(&server, get("/api/pieces/9/orders"), StatusCode::NOT_FOUND).await;
}

#[tokio::test]
async fn an_order_that_does_not_read_is_named_by_its_place() {
    let server = order::server();
    for (place, at, wrong) in [
        ("/evening", "evening", json!("3")),
        ("/setup", "setup", json!("long")),
        ("/gap", "gap", json!("2kg")),
        ("/layouts_s", "seconds", json!(3600.0)),
        ("/names", "names", json!("")),
        ("/key", "key", json!("")),
        ("/fit/0/column", "fit", json!("a,b")),
        ("/fit/0/width", "fit", json!("wide")),
    ] {
        let mut body = wanted("k", 0.0);
        *body.pointer_mut(place).unwrap() = wrong;
        let response = answer(&server, sent(&Method::POST, ORDERS, &body, None)).await;
        assert_eq!(response.status(), StatusCode::UNPROCESSABLE_ENTITY, "{place}");
        assert_eq!(value(response).await["at"], at, "{place}");
    }
    assert_eq!(read(&server, ORDERS).await, json!([]));
    // What the table itself does wrong is said by the order.
    let mut body = wanted("k", 0.0);
    body["names"] = json!("no,such\n1,2\n");
    let begun = value(answer(&server, sent(&Method::POST, ORDERS, &body, None)).await).await;
    let failed = over(&server, &begun).await;
    assert_eq!((&failed["state"], &failed["order"]), (&json!("failed"), &Value::Null));
}

#[tokio::test]
async fn an_order_is_cancelled_by_a_program() {
    let server = order::server();
    let begun = value(answer(&server, sent(&Method::POST, ORDERS, &wanted("k", 600.0), None)).await).await;
    let href = begun["href"].as_str().unwrap();
    let cancelled = answer(&server, sent(&Method::DELETE, href, &json!({}), None)).await;
    assert_eq!(cancelled.status(), StatusCode::OK);
    let over = over(&server, &begun).await;
    assert_eq!(over["state"], "cancelled");
    assert!(over["words"].as_str().unwrap().contains("nothing was made"), "{over}");
}

#[tokio::test]
async fn a_piece_is_copied_put_away_and_walked_through_its_revisions() {
    let server = server();
    let call = |method: Method, path: &str, body: Value| sent(&method, path, &body, None);
    let copy = answer(&server, call(Method::POST, "/api/pieces/1/copies", json!({}))).await;
    assert_eq!(
        (copy.status(), copy.headers()[header::LOCATION].to_str().unwrap()),
        (StatusCode::CREATED, "/api/pieces/2")
    );
    assert_eq!(value(copy).await["piece"]["name"], "Fixture, copy");
    let nowhere = call(Method::POST, "/api/pieces/1/copies", json!({ "shop": 9 }));
    refused(&server, nowhere, StatusCode::NOT_FOUND).await;
    for away in [true, true, false] {
        let put = answer(&server, call(Method::PUT, "/api/pieces/2/away", json!({ "away": away }))).await;
        assert_eq!(value(put).await, json!({ "away": away }));
        assert_eq!(read(&server, "/api/pieces").await[1]["away"], away);
    }
    let undo = || call(Method::POST, "/api/pieces/1/undo", json!(null));
    refused(&server, undo(), StatusCode::CONFLICT).await;
    let mut file = read(&server, "/api/pieces/1").await["piece"].clone();
    file["depth"][0]["depth"] = json!("0.6mm");
    answer(&server, sent(&Method::PUT, "/api/pieces/1", &file, Some("\"1\""))).await;
    assert_eq!(answer(&server, undo()).await.headers()[header::ETAG], "\"1\"");
    let redo = answer(&server, call(Method::POST, "/api/pieces/1/redo", json!(null))).await;
    assert_eq!(redo.headers()[header::ETAG], "\"2\"");
    let revisions = read(&server, "/api/pieces/1/revisions").await;
    assert_eq!((&revisions[1]["parent"], &revisions[1]["stands"]), (&json!(1), &json!(true)));
}

#[tokio::test]
async fn a_piece_is_begun_with_a_drawing_alone() {
    use base64::Engine as _;
    let server = server();
    let drawing = base64::engine::general_purpose::STANDARD.encode(crate::fixture::ARTWORK);
    let body = json!({ "artwork_base64": drawing, "file_name": "wren.svg" });
    let begun = answer(&server, sent(&Method::POST, "/api/pieces", &body, None)).await;
    assert_eq!(begun.status(), StatusCode::CREATED);
    let begun = value(begun).await;
    assert_eq!((&begun["name"], &begun["artwork"]["name"]), (&json!("wren"), &json!("wren.svg")));
    assert_eq!(read(&server, "/api/pieces/2/plan").await["piece"]["name"], "wren");
    let empty = base64::engine::general_purpose::STANDARD.encode("<svg xmlns='http://www.w3.org/2000/svg'/>");
    let nothing = json!({ "artwork_base64": empty });
    refused(&server, sent(&Method::POST, "/api/pieces", &nothing, None), StatusCode::UNPROCESSABLE_ENTITY).await;
}

#[tokio::test]
async fn the_depths_of_a_log_become_coupons_of_its_shop() {
    let server = server();
    let mut log = log("a");
    log["revision"] = json!(1);
    log["stages"] =
        json!([{ "stage": 1, "blast_s": 200.0, "rest_s": 0.0 }, { "stage": 2, "blast_s": 60.0, "rest_s": 0.0 }]);
    answer(&server, sent(&Method::POST, "/api/pieces/1/logs", &log, None)).await;
    let path = "/api/pieces/1/logs/1/coupons";
    let lesson = read(&server, path).await;
    assert_eq!((&lesson["shop_revision"], &lesson["depths"][0]["layer"]), (&json!(1), &json!("ring")));
    assert!(lesson["depths"][0]["coupon"]["time"].is_string() && lesson["then"].is_string(), "{lesson}");
    let keep = |body: Value, tag| sent(&Method::POST, path, &body, tag);
    refused(&server, keep(json!({}), None), StatusCode::PRECONDITION_REQUIRED).await;
    let gauge = json!({ "gauge": "0mm" });
    refused(&server, keep(gauge, Some("\"1\"")), StatusCode::UNPROCESSABLE_ENTITY).await;
    let kept = answer(&server, keep(json!({ "gauge": "0.02mm" }), Some("\"1\""))).await;
    assert_eq!((kept.status(), &kept.headers()[header::ETAG]), (StatusCode::OK, &"\"2\"".parse().unwrap()));
    let shop = value(kept).await;
    assert_eq!(shop["shop"]["coupon"].as_array().unwrap().len(), 1);
    // Sent again after its answer was lost, it adds nothing twice.
    refused(&server, keep(json!({}), Some("\"1\"")), StatusCode::PRECONDITION_FAILED).await;
    refused(&server, get("/api/pieces/1/logs/7/coupons"), StatusCode::NOT_FOUND).await;
}

#[tokio::test]
async fn a_page_of_another_origin_enters_and_orders_nothing() {
    let server = server();
    for (method, path, body) in [
        (Method::POST, ENTRIES, bought("a", "25kg")),
        (Method::DELETE, "/api/shops/1/stock/entries/a", json!({})),
        (Method::POST, ORDERS, wanted("k", 0.0)),
        (Method::DELETE, "/api/pieces/1/orders/1", json!({})),
        (Method::POST, "/api/pieces/1/copies", json!({})),
        (Method::PUT, "/api/pieces/1/away", json!({ "away": true })),
    ] {
        let mut foreign = sent(&method, path, &body, None);
        foreign.headers_mut().insert(header::ORIGIN, "http://example.org".parse().unwrap());
        assert_eq!(answer(&server, foreign).await.status(), StatusCode::FORBIDDEN, "{path}");
    }
    assert_eq!(read(&server, ENTRIES).await, json!([]));
    assert_eq!(read(&server, "/api/pieces").await.as_array().unwrap().len(), 1);
}
