//! Many names as one order: asked for, followed, cancelled, taken away.

use super::{PORT, answer, bytes, get, page, post, there, well_formed};
use crate::{App, router};
use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use std::io::{Cursor, Read as _};
use store::{Demo, Store};

const SHOP: &str = include_str!("../../../../examples/shop.toml");
const CARDS: &str = include_str!("../../../../examples/names/piece.toml");
const DRAWING: &[u8] = include_bytes!("../../../../examples/names/tag.svg");

/// Two that can be made, and one without a name.
pub(super) const NAMES: &str = "name,table,colour\nAnsel,1,red\n,2,blue\nBrida,1,red\n";

pub(super) fn server() -> Router {
    let store = Store::in_memory().unwrap();
    let cards = Demo { name: "Cards", piece_toml: CARDS, shop_toml: SHOP, artwork_name: "tag.svg", artwork: DRAWING };
    store.seed(&[cards]).unwrap();
    router(App::new(store), PORT)
}

pub(super) fn asked(names: &str, fields: &[(&str, &str)]) -> Request<Body> {
    let part = |name: &str, more: &str, text: &str| {
        format!("--edge\r\ncontent-disposition: form-data; name=\"{name}\"{more}\r\n\r\n{text}\r\n")
    };
    let mut body: String = fields.iter().map(|(name, value)| part(name, "", value)).collect();
    body += &part("names", "; filename=\"guests.csv\"", names);
    body += "--edge--\r\n";
    Request::post("/piece/1/order")
        .header(header::HOST, "127.0.0.1:8017")
        .header(header::ORIGIN, "http://127.0.0.1:8017")
        .header(header::CONTENT_TYPE, "multipart/form-data; boundary=edge")
        .body(Body::from(body))
        .unwrap()
}

const FIELDS: [(&str, &str); 5] =
    [("evening", "3h"), ("setup", "2min"), ("fit", "name=76mm"), ("gap", "2mm"), ("seconds", "0")];

/// Asks, and gives the order's address.
async fn begun(server: &Router, fields: &[(&str, &str)]) -> String {
    let answered = answer(server, asked(NAMES, fields)).await;
    assert_eq!(answered.status(), StatusCode::SEE_OTHER);
    there(&answered).to_owned()
}

/// All events of an order, until it is over.
async fn events(server: &Router, address: &str) -> Vec<serde_json::Value> {
    let text = String::from_utf8(bytes(answer(server, get(&format!("{address}/events"))).await).await).unwrap();
    let told = text.lines().filter_map(|line| line.strip_prefix("data: "));
    told.map(|json| serde_json::from_str(json).unwrap()).collect()
}

#[tokio::test]
async fn a_table_becomes_an_order_with_its_sheets_and_its_refused_rows() {
    let server = server();
    let (_, html) = page(&server, get("/piece/1/order")).await;
    well_formed(&html);
    assert!(html.contains("<code class=\"column\">name</code>"), "the drawing's places are named");
    let address = begun(&server, &FIELDS).await;
    let told = events(&server, &address).await;
    let shares: Vec<f64> = told.iter().map(|one| one["share"].as_f64().unwrap()).collect();
    assert!(shares.windows(2).all(|pair| pair[0] <= pair[1]) && told.last().unwrap()["over"] == true, "{told:?}");
    let (status, html) = page(&server, get(&address)).await;
    assert_eq!(status, StatusCode::OK);
    well_formed(&html);
    assert!(html.contains("2 pieces on 1 evening"), "{html}");
    assert!(html.contains("line 3: ") && html.contains("The drawing has no place for: colour."));
    assert!(html.contains("Ansel") && html.contains("Brida") && html.contains("order.zip"));
    // What is offered is there, and is what it says.
    let zip = bytes(answer(&server, get(&format!("{address}/files/order.zip"))).await).await;
    let mut zip = zip::ZipArchive::new(Cursor::new(zip)).unwrap();
    let mut names: Vec<String> = zip.file_names().map(|name| name.unwrap().into_owned()).collect();
    names.sort();
    assert_eq!(names, ["batch.json", "cabinet-card.pdf", "labels.pdf", "schedule.csv", "sheet-1.svg"]);
    let mut sheet = String::new();
    zip.by_name("sheet-1.svg").unwrap().read_to_string(&mut sheet).unwrap();
    assert!(sheet.contains("<title>Ansel, 1</title>"), "the names are in the sheet");
    let labels = bytes(answer(&server, get(&format!("{address}/files/labels.pdf"))).await).await;
    assert!(labels.starts_with(b"%PDF"));
    let shown = answer(&server, get(&format!("{address}/files/sheet-1.svg"))).await;
    assert_eq!(shown.headers()[header::CONTENT_TYPE], "image/svg+xml");
    for missing in ["/files/other.svg", "/files/..%2f..%2fetc"] {
        let status = answer(&server, get(&format!("{address}{missing}"))).await.status();
        assert_eq!(status, StatusCode::NOT_FOUND, "{missing}");
    }
    assert_eq!(answer(&server, get("/piece/1/order/99")).await.status(), StatusCode::NOT_FOUND);
    let (_, html) = page(&server, get("/piece/1/order")).await;
    assert!(html.contains("Order 1: guests.csv"));
}

#[tokio::test]
async fn what_does_not_read_is_said_with_what_was_typed() {
    let server = server();
    for (field, typed, fault) in [
        ("evening", "3", "The evening: "),
        ("setup", "long", "Mask and wash one: "),
        ("fit", "name", "write the column and its width"),
        ("seconds", "3600", "0 to 600"),
        ("gap", "2kg", "Gap: "),
    ] {
        let fields: Vec<(&str, &str)> =
            FIELDS.iter().map(|(name, value)| (*name, if *name == field { typed } else { *value })).collect();
        let (status, html) = page(&server, asked(NAMES, &fields)).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{field}");
        let told = html.split("id=\"order-fault\"").nth(1).unwrap().split("</p>").next().unwrap();
        assert!(told.contains(fault) && html.contains(&format!("value=\"{typed}\"")), "{field}: {told}");
    }
    let (status, html) = page(&server, asked("", &FIELDS)).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && html.contains("Choose a table"));
    let (status, _) = page(&server, asked(&"x".repeat(5 << 20), &FIELDS)).await;
    assert_eq!(status, StatusCode::PAYLOAD_TOO_LARGE);
}

#[tokio::test]
async fn an_order_that_is_cancelled_ends_and_says_so() {
    let server = server();
    let long: Vec<(&str, &str)> =
        FIELDS.iter().map(|(name, value)| (*name, if *name == "seconds" { "600" } else { *value })).collect();
    let address = begun(&server, &long).await;
    let (_, html) = page(&server, get(&address)).await;
    assert!(html.contains("data-events") && html.contains("Cancel"), "it is under way");
    let cancelled = answer(&server, post(&format!("{address}/cancel"), &[])).await;
    assert_eq!(there(&cancelled), "/piece/1/order");
    let told = events(&server, &address).await;
    assert!(told.last().unwrap()["words"].as_str().unwrap().contains("cancelled"), "{told:?}");
    let (_, html) = page(&server, get(&address)).await;
    assert!(html.contains("id=\"order-fault\"") && html.contains("nothing was made"));
}
