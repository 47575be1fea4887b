//! A shop set up, a piece's file, its revisions, its files in one, what a run teaches.

use super::*;

#[tokio::test]
async fn a_shop_is_set_up_and_new_pieces_begin_in_it() {
    let server = server();
    let (status, html) = page(&server, get("/start")).await;
    assert_eq!(status, StatusCode::OK);
    well_formed(&html);
    for control in
        ["compressor[1].free_air", "nozzle[1].bore", "nozzle[2].bore", "cabinet.collector", "value=\"photo_4mil\""]
    {
        assert!(html.contains(control), "{control}");
    }
    assert!(!html.contains("silica_sand"), "a refused abrasive is not offered");
    let answers = [
        ("stock", "1"),
        ("name", "Quarry Lane"),
        ("compressor[1].free_air", "600 l/min"),
        ("nozzle[1].bore", "2.4mm"),
        ("abrasive", "white_alumina F150"),
        ("resist", "rubber_thin"),
    ];
    let kept = answer(&server, post("/start", &answers)).await;
    assert_eq!((kept.status(), there(&kept)), (StatusCode::SEE_OTHER, "/pieces?begun=1"));
    let (_, html) = page(&server, get("/pieces?begun=1")).await;
    assert!(html.contains("Quarry Lane is kept") && html.contains("Copy into my shop"));
    let copied = answer(&server, post("/piece/1/copy", &[("shop", "2")])).await;
    let (_, html) = page(&server, get(there(&copied))).await;
    assert!(html.contains("Quarry Lane"));
}

#[tokio::test]
async fn an_answer_that_does_not_read_is_marked_and_nothing_is_kept() {
    let server = server();
    let answers = [("stock", "1"), ("receiver.volume", "big"), ("nozzle[1].bore", "2mm"), ("resist", "rubber_thin")];
    let (status, html) = page(&server, post("/start", &answers)).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(html.contains("value=\"big\" aria-invalid=\"true\""), "what was typed stands there, marked");
    let (_, shops) = page(&server, get("/shops")).await;
    assert_eq!(shops.matches("class=\"title\"").count(), 1);
}

#[tokio::test]
async fn a_first_shop_is_judged_while_it_is_answered() {
    let (status, html) = page(&server(), post("/start/try", &[("compressor[1].free_air", "90 l/min")])).await;
    assert_eq!(status, StatusCode::OK);
    assert!(html.contains("id=\"setup-outcome\"") && html.contains("id=\"summary\"") && html.contains("<svg"));
}

#[tokio::test]
async fn equipment_of_a_kept_shop_is_changed_as_a_new_revision() {
    let server = server();
    let (_, html) = page(&server, get("/shop/1/basics")).await;
    well_formed(&html);
    assert!(
        html.contains("id=\"setup-keep\" class=\"main\" formaction=\"/shop/1/basics\" disabled"),
        "nothing is changed yet"
    );
    let kept = answer(&server, post("/shop/1/basics", &[("revision", "1"), ("receiver.volume", "500 l")])).await;
    assert_eq!(kept.status(), StatusCode::SEE_OTHER);
    let stale = answer(&server, post("/shop/1/basics", &[("revision", "1"), ("receiver.volume", "90 l")])).await;
    assert_eq!(stale.status(), StatusCode::CONFLICT);
    let (_, html) = page(&server, get("/shop/1/file")).await;
    assert!(html.contains("500 l") && !html.contains("90 l"));
}

#[tokio::test]
async fn a_file_is_kept_as_typed_or_refused_with_places() {
    let server = server();
    let (status, html) = page(&server, get("/piece/1/file")).await;
    assert_eq!(status, StatusCode::OK);
    well_formed(&html);
    let faulty = PIECE.replace("120mm", "120");
    let (status, html) = page(&server, post("/piece/1/file", &[("revision", "1"), ("text", &faulty)])).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(html.contains("piece.toml") && html.contains("width = &quot;120&quot;"), "{html}");
    let wider = PIECE.replace("120mm", "110mm");
    let kept = answer(&server, post("/piece/1/file", &[("revision", "1"), ("text", &wider)])).await;
    assert_eq!(kept.status(), StatusCode::SEE_OTHER);
    let stale = answer(&server, post("/piece/1/file", &[("revision", "1"), ("text", PIECE)])).await;
    assert_eq!(stale.status(), StatusCode::CONFLICT);
    let (_, html) = page(&server, get("/piece/1/history")).await;
    well_formed(&html);
    assert!(html.contains("artwork width: 120mm → 110mm"), "{html}");
    let back = answer(&server, post("/piece/1/revision/1", &[("revision", "2")])).await;
    assert_eq!(back.status(), StatusCode::SEE_OTHER);
    let (_, html) = page(&server, get("/piece/1/file")).await;
    assert!(html.contains("120mm") && !html.contains("110mm"));
    let none = answer(&server, post("/piece/1/revision/9", &[("revision", "3")])).await;
    assert_eq!(none.status(), StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn all_files_come_as_one() {
    let server = server();
    let response = answer(&server, get("/piece/1/files.zip")).await;
    assert_eq!(response.headers()[header::CONTENT_TYPE], "application/zip");
    let mut packed = zip::ZipArchive::new(std::io::Cursor::new(bytes(response).await)).unwrap();
    let names: Vec<String> = packed.file_names().map(|name| name.unwrap().into_owned()).collect();
    let (_, html) = page(&server, get("/piece/1")).await;
    let listed = html.matches("/piece/1/files/").count();
    assert_eq!(names.len(), listed, "{names:?}");
    let single = bytes(answer(&server, get("/piece/1/files/stencil-1.svg")).await).await;
    let mut inside = Vec::new();
    std::io::Read::read_to_end(&mut packed.by_name("stencil-1.svg").unwrap(), &mut inside).unwrap();
    assert_eq!(inside, single);
}

#[tokio::test]
async fn a_try_is_told_coarsely_and_then_in_full() {
    let server = server();
    let mut request = post("/piece/1/try", &[("pressure", "2.5")]);
    request.headers_mut().insert(header::ACCEPT, header::HeaderValue::from_static("text/event-stream"));
    let events = text(answer(&server, request).await).await;
    let told: Vec<&str> = events.lines().filter(|line| line.starts_with("event: ")).collect();
    assert_eq!(told, ["event: coarse", "event: full"]);
    assert!(events.contains("pressure=2.5bar") && events.contains("quick=1"));
    let mut request = post("/piece/1/try", &[("pressure", "lots")]);
    request.headers_mut().insert(header::ACCEPT, header::HeaderValue::from_static("text/event-stream"));
    let events = text(answer(&server, request).await).await;
    assert_eq!(events.matches("event: ").count(), 1, "what does not read is not asked again");
}

fn log(depth_mm: f64) -> Request<Body> {
    let log = serde_json::json!({
        "key": format!("run-{depth_mm}"), "revision": 1,
        "started_utc": "2025-03-01T10:00:00Z", "ended_utc": "2025-03-01T10:30:00Z",
        "stages": [{"stage": 1, "blast_s": 100.0, "rest_s": 0.0}, {"stage": 2, "blast_s": 60.0, "rest_s": 0.0}],
        "events": [], "depths": [{"layer": "ring", "depth_mm": depth_mm}], "resist": "sound",
    });
    Request::post("/api/pieces/1/logs")
        .header(header::HOST, "127.0.0.1:8017")
        .header(header::CONTENT_TYPE, "application/json")
        .body(Body::from(log.to_string()))
        .unwrap()
}

#[tokio::test]
async fn a_gauged_run_becomes_a_coupon_and_moves_the_next_plan() {
    let server = server();
    assert_eq!(answer(&server, log(0.5)).await.status(), StatusCode::CREATED);
    let (_, before) = page(&server, get("/piece/1")).await;
    assert!(before.contains("/piece/1/learn/1"), "{before}");
    let (status, html) = page(&server, get("/piece/1/learn/1")).await;
    assert_eq!(status, StatusCode::OK);
    well_formed(&html);
    assert!(html.contains("as deep as a wide square blasted for"), "{html}");
    let faulty = page(&server, post("/piece/1/learn/1", &[("revision", "1"), ("gauge", "good")])).await;
    assert_eq!(faulty.0, StatusCode::UNPROCESSABLE_ENTITY);
    let kept = answer(&server, post("/piece/1/learn/1", &[("revision", "1"), ("gauge", "0.02mm")])).await;
    assert_eq!((kept.status(), there(&kept)), (StatusCode::SEE_OTHER, "/piece/1"));
    let (_, shop) = page(&server, get("/shop/1/file")).await;
    assert!(shop.contains("[[coupon]]") && shop.contains("gauge = &quot;0.02mm&quot;"), "{shop}");
    let (_, after) = page(&server, get("/piece/1")).await;
    let sentence = |html: &str| html.split("id=\"summary\"").nth(1).unwrap()[..600].to_owned();
    assert_ne!(sentence(&before), sentence(&after), "the next plan rests on it");
    assert_eq!(page(&server, get("/piece/1/learn/7")).await.0, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn the_tables_are_there_with_their_sources() {
    let (status, html) = page(&server(), get("/reference")).await;
    assert_eq!(status, StatusCode::OK);
    well_formed(&html);
    for part in ["White alumina", "bulk density", "common practice, no source", "from memory", "Grit grades"] {
        assert!(html.contains(part), "{part}");
    }
}

#[tokio::test]
async fn sizing_says_what_some_work_takes_or_which_value_does_not_read() {
    let server = server();
    let (status, html) = page(&server, get("/sizing?bore=1%2F8in&pressure=40psi&on=6min")).await;
    assert_eq!(status, StatusCode::OK);
    well_formed(&html);
    // The same work as the first command of the help, by the same function.
    assert!(html.contains("compressor") && html.contains("delivered") && html.contains("Test shop today"), "{html}");
    let (status, html) = page(&server, post("/sizing/try", &[("bore", "wide"), ("stations", "-1")])).await;
    assert_eq!(status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(html.contains("id=\"setup-bore-fault\"") && html.contains("id=\"setup-stations-fault\""), "{html}");
}
