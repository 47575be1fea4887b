//! What a shop has left: entered, drawn by runs once, taken back.

use super::api::{log, sent};
use super::{answer, get, page, post, server, there, well_formed};
use axum::Router;
use axum::http::{Method, StatusCode};
use serde_json::Value;

async fn stock(server: &Router) -> String {
    let (status, html) = page(server, get("/shop/1/stock")).await;
    assert_eq!(status, StatusCode::OK);
    well_formed(&html);
    html
}

/// The row of an item or a nozzle, without its marks.
async fn row(server: &Router, item: &str) -> String {
    let html = stock(server).await;
    let row = html.split(&format!("data-item=\"{item}\"")).nth(1).unwrap().split("</ul>").next().unwrap().to_owned();
    row.split('<').filter_map(|part| part.split_once('>')).map(|(_, text)| text).collect::<Vec<_>>().join(" ")
}

async fn enter(server: &Router, form: &[(&str, &str)]) -> (StatusCode, String) {
    page(server, post("/shop/1/stock", form)).await
}

async fn bought(server: &Router, item: &str, amount: &str) {
    let (status, html) = enter(server, &[("item", item), ("verb", "bought"), ("amount", amount)]).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{html}");
}

const GRIT: &str = "abrasive white_alumina F150";

async fn read(server: &Router, path: &str) -> Value {
    serde_json::from_str(&page(server, get(path)).await.1).unwrap()
}

async fn left(server: &Router, item: &str) -> Option<f64> {
    let view = read(server, "/api/shops/1/stock").await;
    let found = view["items"].as_array().unwrap().iter().find(|one| one["item"] == item).unwrap().clone();
    found["left_mid"].as_f64()
}

#[tokio::test]
async fn a_log_draws_once_however_often_the_tablet_sends_it() {
    let server = server();
    assert!(stock(&server).await.contains("more, not counted yet"));
    bought(&server, GRIT, "25kg").await;
    bought(&server, "resist rubber_thin", "10m").await;
    let whole = left(&server, "resist rubber_thin").await.unwrap();
    assert!((whole - 3.8).abs() < 1e-9, "ten metres of a roll 380 mm wide are {whole} m2");
    // The log says that it was done before the purchase; the shop's own clock would say after.
    let mut log = log("a");
    for (times, status) in [(1, StatusCode::CREATED), (2, StatusCode::OK), (3, StatusCode::OK)] {
        log["ended_utc"] = "soon".into();
        let answered = answer(&server, sent(&Method::POST, "/api/pieces/1/logs", &log, None)).await;
        assert_eq!(answered.status(), status, "{times}");
    }
    // The ring and the leaf lie in 80 by 80 mm, with 15 mm around for the tape.
    let resist = left(&server, "resist rubber_thin").await.unwrap();
    assert!((whole - resist - 0.110 * 0.110).abs() < 1e-3, "{whole} {resist}");
    let grit = left(&server, GRIT).await.unwrap();
    assert!(grit < 25.0 && grit > 24.0, "{grit}");
    assert!(row(&server, GRIT).await.contains("enough for"));
    let html = stock(&server).await;
    assert_eq!(html.matches("White alumina F150: drew").count(), 1 + 1, "once in words and once for its button");
    assert!(html.contains("href=\"/piece/1\">Fixture</a>"));
    // The nozzle was open for the 200 s of the log.
    let view = read(&server, "/api/shops/1/stock").await;
    let nozzle = view["nozzles"].as_array().unwrap().iter().find(|one| one["nozzle"] == "long 1/8").unwrap().clone();
    assert!((nozzle["open_h"].as_f64().unwrap() - 200.0 / 3600.0).abs() < 1e-9, "{nozzle}");
    let logs = read(&server, "/api/pieces/1/logs").await;
    assert_eq!(logs[0]["told"]["nozzle"], "long 1/8");
    assert_eq!(logs[0]["told"]["blast"]["logged"], 200.0);
}

#[tokio::test]
async fn a_run_before_the_count_that_is_told_late_changes_nothing_after_it() {
    let server = server();
    bought(&server, GRIT, "25kg").await;
    enter(&server, &[("item", GRIT), ("verb", "counted"), ("amount", "20kg")]).await;
    // Its clock says 2025: long before the count.
    answer(&server, sent(&Method::POST, "/api/pieces/1/logs", &log("late"), None)).await;
    assert_eq!(left(&server, GRIT).await, Some(20.0));
}

#[tokio::test]
async fn a_mistake_is_taken_back_and_stays_to_be_seen() {
    let server = server();
    bought(&server, GRIT, "25kg").await;
    bought(&server, GRIT, "250kg").await;
    let html = stock(&server).await;
    let key = html.split("name=\"key\" value=\"").nth(1).unwrap().split('"').next().unwrap().to_owned();
    for _ in 0..2 {
        let back = answer(&server, post("/shop/1/stock/back", &[("key", &key)])).await;
        assert_eq!((back.status(), there(&back)), (StatusCode::SEE_OTHER, "/shop/1/stock#ledger"));
    }
    assert_eq!(left(&server, GRIT).await, Some(25.0));
    assert!(stock(&server).await.contains("taken back"));
    let unknown = answer(&server, post("/shop/1/stock/back", &[("key", "none")])).await;
    assert_eq!(unknown.status(), StatusCode::NOT_FOUND);
    let csv = page(&server, get("/shop/1/stock.csv")).await.1;
    let verbs: Vec<_> = csv.lines().skip(1).map(|line| line.split(',').nth(2).unwrap()).collect();
    assert_eq!(verbs, ["bought", "bought", "taken back"]);
}

#[tokio::test]
async fn what_does_not_read_is_said_and_nothing_is_entered() {
    let server = server();
    for (item, verb, amount, fault) in [
        (GRIT, "bought", "25", "no unit"),
        (GRIT, "bought", "25 m2", "unknown unit"),
        (GRIT, "gauged", "25kg", "does not go with"),
        (GRIT, "drawn", "25kg", "entered by its log"),
        ("tape", "bought", "10m", "the width of this roll is not known"),
        ("glass", "bought", "1kg", "Choose what it is of"),
        ("nozzle long 1/8", "gauged", "wide", "a number"),
    ] {
        let (status, html) = enter(&server, &[("item", item), ("verb", verb), ("amount", amount)]).await;
        assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY, "{item} {verb} {amount}");
        let told = html.split("id=\"stock-fault\"").nth(1).unwrap().split("</p>").next().unwrap();
        assert!(told.contains(fault), "{item} {verb} {amount}: {told}");
    }
    assert_eq!(page(&server, get("/shop/1/stock.csv")).await.1.lines().count(), 1);
}

#[tokio::test]
async fn a_gauged_bore_is_planned_with_where_that_is_asked_for() {
    let server = server();
    let gauged = [("item", "nozzle long 1/8"), ("verb", "gauged"), ("amount", "3.4mm")];
    enter(&server, &gauged).await;
    let bore = async || read(&server, "/api/shops/1").await["shop"]["nozzle"][0]["bore"].clone();
    assert_eq!(bore().await, "1/8in");
    let (status, html) = enter(&server, &[gauged.as_slice(), &[("write", "1"), ("revision", "1")]].concat()).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{html}");
    assert_eq!(bore().await, "3.4mm");
    assert!(row(&server, "nozzle long 1/8").await.contains("gauged 20"));
    // Somebody else changed the file meanwhile: neither is kept.
    let (status, _) = enter(&server, &[gauged.as_slice(), &[("write", "1"), ("revision", "1")]].concat()).await;
    assert_eq!(status, StatusCode::CONFLICT);
    let csv = page(&server, get("/shop/1/stock.csv")).await.1;
    let verbs: Vec<_> = csv.lines().skip(1).map(|line| line.split(',').nth(2).unwrap()).collect();
    assert_eq!(verbs, ["began", "gauged", "gauged"]);
    // What it has worn is counted from the bore that it had, and not from the file's.
    let view = read(&server, "/api/shops/1/stock").await;
    let demand = view["nozzles"][0]["demand_mid"].as_f64().unwrap();
    assert!((demand - (3.4_f64 / 3.175).powi(2)).abs() < 1e-3, "{demand}");
}

#[tokio::test]
async fn a_piece_says_what_of_the_stock_does_not_suffice() {
    let server = server();
    let said = async || page(&server, get("/piece/1")).await.1;
    assert!(said().await.contains("id=\"in-stock\" aria-labelledby=\"in-stock-title\" hidden"));
    enter(&server, &[("item", "resist rubber_thin"), ("verb", "counted"), ("amount", "50cm2")]).await;
    let html = said().await;
    let short = html.split("id=\"stock-short\"").nth(1).unwrap().split("</section>").next().unwrap();
    assert!(short.contains("are left and this takes") && short.contains("Buy more"), "{short}");
    enter(&server, &[("item", "resist rubber_thin"), ("verb", "counted"), ("amount", "5m2")]).await;
    let html = said().await;
    assert!(html.contains("enough for 1"), "a hundred pieces and more");
    assert!(html.contains("id=\"stock-short\" aria-label=\"Stock\" hidden"));
}
