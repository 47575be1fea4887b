//! What was planned beside what was logged.

use super::api::{log, sent};
use super::{PORT, answer, get, page, server, well_formed};
use crate::fixture::store;
use crate::{App, router};
use axum::http::{Method, StatusCode};
use serde_json::Value;

/// A log of the fixture as its plan has it: each stage for so many times its planned time.
async fn keep(server: &axum::Router, key: &str, times: f64, depth_mm: f64) {
    let plan: Value = serde_json::from_str(&page(server, get("/api/pieces/1/plan")).await.1).unwrap();
    let stages = plan["stages"].as_array().unwrap();
    let mut log = log(key);
    log["stages"] = stages
        .iter()
        .enumerate()
        .map(|(at, stage)| {
            serde_json::json!({ "stage": at + 1, "blast_s": stage["blast_s"].as_f64().unwrap() * times, "rest_s": 0.0 })
        })
        .collect();
    log["depths"][0]["depth_mm"] = depth_mm.into();
    let answered = answer(server, sent(&Method::POST, "/api/pieces/1/logs", &log, None)).await;
    assert_eq!(answered.status(), StatusCode::CREATED);
}

#[tokio::test]
async fn each_run_stands_beside_its_plan_and_what_is_off_is_marked() {
    let server = server();
    let (_, empty) = page(&server, get("/shop/1/runs")).await;
    assert!(empty.contains("Nothing was run yet"));
    // The ring is wanted 0.8 mm deep.
    keep(&server, "as planned", 1.0, 0.8).await;
    keep(&server, "far off", 4.0, 0.1).await;
    for path in ["/shop/1/runs", "/piece/1/runs"] {
        let (status, html) = page(&server, get(path)).await;
        assert_eq!(status, StatusCode::OK);
        well_formed(&html);
        assert!(html.contains("Inside their planned ranges: 1 of 2 gauged depths (50"), "{path}");
        assert_eq!(html.matches("depth of ring</th>").count(), 2);
        assert!(html.contains("<title>Logged over planned</title>"));
        assert!(html.matches(">outside<").count() >= 2, "the blast of the second and its depth");
    }
}

#[tokio::test]
async fn the_table_has_every_number_with_its_unit() {
    let server = server();
    keep(&server, "a", 1.0, 0.8).await;
    let csv = page(&server, get("/piece/1/runs.csv")).await.1;
    let mut rows = csv::Reader::from_reader(csv.as_bytes());
    let head = rows.headers().unwrap().clone();
    assert_eq!((&head[5], &head[9], head.len()), ("planned_low", "unit", 12));
    let rows: Vec<csv::StringRecord> = rows.records().map(Result::unwrap).collect();
    let blast = rows.iter().find(|row| &row[3] == "blast").unwrap();
    let number = |at: usize| blast[at].parse::<f64>().unwrap();
    assert!(number(5) < number(6) && number(6) < number(7), "a range");
    assert!((number(8) / number(6) - 1.0).abs() < 1e-6 && &blast[10] == "true" && &blast[11] == "before");
    let depth = rows.iter().find(|row| &row[3] == "depth").unwrap();
    assert_eq!((&depth[4], &depth[8], &depth[9]), ("ring", "0.8", "mm"));
    let cost = rows.iter().find(|row| &row[3] == "cost").unwrap();
    assert_eq!(&cost[9], "USD");
    // Rests that were planned and not logged are cheaper; all else is as planned.
    let [planned, done] = [6, 8].map(|at: usize| cost[at].parse::<f64>().unwrap());
    assert!(done <= planned && done > 0.5 * planned, "{planned} {done}");
}

#[tokio::test]
async fn a_log_of_an_earlier_version_is_planned_afterwards_and_does_not_count() {
    let store = store();
    store.save_run(store::PieceId(1), "old", &log("old").to_string()).unwrap();
    store.save_run(store::PieceId(1), "odd", "{}").unwrap();
    let server = router(App::new(store), PORT);
    let (_, html) = page(&server, get("/piece/1/runs")).await;
    assert!(html.contains("Planned afterwards") && html.contains("No depth was gauged yet"), "{html}");
    assert!(html.contains("missing field"), "what does not read is told");
}
