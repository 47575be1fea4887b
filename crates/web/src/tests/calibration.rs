//! Coupons of a shop: entered by fields and as a table, shown with what they say, taken away.

use super::*;
use serde_json::Value;

const COUPON: [(&str, &str); 9] = [
    ("material", "float_glass"),
    ("stock", "white_alumina F150"),
    ("nozzle", "long 1/8"),
    ("pressure", "2.5bar"),
    ("standoff", "120mm"),
    ("opening", "25mm"),
    ("time", "60s"),
    ("depth", "0.8mm"),
    ("gauge", "0.05mm"),
];

fn with<'a>(changed: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let kept = COUPON.iter().filter(|(name, _)| changed.iter().all(|(other, _)| other != name));
    kept.chain(changed).copied().collect()
}

async fn enter(server: &Router, form: &[(&str, &str)]) -> (StatusCode, String) {
    page(server, post("/shop/1/calibration", form)).await
}

async fn blast_s(server: &Router) -> [f64; 3] {
    let plan: Value = serde_json::from_str(&page(server, get("/api/pieces/1/plan")).await.1).unwrap();
    ["blast_low", "blast", "blast_high"].map(|end| plan["time_s"][end].as_f64().unwrap_or(f64::NAN))
}

#[tokio::test]
async fn a_coupon_is_entered_narrows_the_plan_and_can_be_taken_away() {
    let server = server();
    let empty = page(&server, get("/shop/1/calibration")).await.1;
    assert!(empty.contains("None is entered yet"), "{empty}");
    let before = blast_s(&server).await;
    let (status, html) = enter(&server, &with(&[("revision", "1")])).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{html}");
    let shown = page(&server, get("/shop/1/calibration")).await.1;
    assert!(shown.contains("White alumina F150") && shown.contains("id=\"next-coupon\""), "{shown}");
    let after = blast_s(&server).await;
    assert!(after[2] / after[0] < 0.7 * before[2] / before[0], "{before:?} {after:?}");
    // The same once more is no news, and says so.
    let (status, html) = enter(&server, &with(&[("revision", "2")])).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(html.contains("has this coupon already"), "{html}");
    let taken = [("revision", "2"), ("at", "0")];
    let (status, html) = page(&server, post("/shop/1/calibration/remove", &taken)).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{html}");
    assert_eq!(blast_s(&server).await, before);
}

#[tokio::test]
async fn each_bad_field_is_told_at_its_place_and_what_was_typed_stays() {
    let server = server();
    let bad = with(&[("revision", "1"), ("pressure", "2.5"), ("depth", "")]);
    let (status, html) = enter(&server, &bad).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    for id in ["coupon-pressure-fault", "coupon-depth-fault"] {
        assert!(html.contains(&format!("id=\"{id}\"")), "{id}: {html}");
    }
    assert!(html.contains("value=\"2.5\"") && html.contains("value=\"120mm\""), "{html}");
    // One that somebody else was quicker to change is not written over.
    let (status, _) = enter(&server, &with(&[("revision", "0")])).await;
    assert_eq!(status, StatusCode::CONFLICT);
    assert_eq!(page(&server, post("/shop/1/calibration/remove", &[("revision", "1"), ("at", "7")])).await.0, 404);
}

#[tokio::test]
async fn the_table_that_comes_with_a_piece_is_filled_in_and_sent() {
    let server = server();
    let table = page(&server, get("/piece/1/files/coupons.csv")).await.1;
    let (head, rows) = table.split_once('\n').unwrap();
    assert!(head.starts_with("material,abrasive,grit") && rows.lines().count() > 0, "{table}");
    let (status, html) = enter(&server, &[("revision", "1"), ("table", &table)]).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(html.contains("line 2") && html.contains("depth") && html.contains(rows.lines().next().unwrap()), "{html}");
    let filled = |row: &str| {
        let mut cells: Vec<&str> = row.split(',').collect();
        cells[8] = "0.9mm";
        cells[11] = if cells[10].is_empty() { "" } else { "sound" };
        cells.join(",")
    };
    let filled: Vec<String> = rows.lines().map(filled).collect();
    let table = format!("{head}\n{}\n", filled.join("\n"));
    let (status, html) = enter(&server, &[("revision", "1"), ("table", &table)]).await;
    assert_eq!(status, StatusCode::SEE_OTHER, "{html}");
}
