//! The network's door: who comes in, as what, and who stays out.

use super::api::log;
use super::{answer, get, page, post, text, there, well_formed};
use crate::App;
use crate::app::behind;
use crate::fixture::store;
use crate::pairing::door::{Door, Peer};
use axum::Router;
use axum::body::Body;
use axum::extract::ConnectInfo;
use axum::http::{Method, Request, StatusCode, header};
use axum::response::Response;
use std::net::SocketAddr;

const ADDRESS: &str = "192.168.1.5:7320";
const TABLET: &str = "192.168.1.20:50000";

/// The same program at both doors: this computer's, and the network's.
struct Doors {
    here: Router,
    network: Router,
}

fn doors() -> Doors {
    let app = App::new(store());
    let address: SocketAddr = ADDRESS.parse().unwrap();
    app.pairing.addresses.set(vec![address]).unwrap();
    Doors { here: behind(&app, Door::here(super::PORT)), network: behind(&app, Door::network(address)) }
}

/// A request from the tablet, with its cookie.
fn from_tablet(method: &Method, path: &str, cookie: &str) -> Request<Body> {
    let mut request = Request::builder().method(method).uri(path).header(header::HOST, ADDRESS);
    if !cookie.is_empty() {
        request = request.header(header::COOKIE, cookie);
    }
    if *method != Method::GET {
        request = request
            .header(header::ORIGIN, format!("http://{ADDRESS}"))
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
    }
    let mut request = request.body(Body::empty()).unwrap();
    request.extensions_mut().insert(ConnectInfo(Peer(TABLET.parse().unwrap())));
    request
}

fn with_form(mut request: Request<Body>, form: &[(&str, &str)]) -> Request<Body> {
    *request.body_mut() = Body::from(serde_urlencoded::to_string(form).unwrap());
    request
}

impl Doors {
    /// Opens a code and reads it off the page.
    async fn code(&self, role: &str) -> String {
        let opened = answer(&self.here, post("/pair/code", &[("role", role)])).await;
        assert_eq!((opened.status(), there(&opened)), (StatusCode::SEE_OTHER, "/pair"));
        let (_, html) = page(&self.here, get("/pair")).await;
        well_formed(&html);
        html.split("class=\"digits\">").nth(1).unwrap().split('<').next().unwrap().to_owned()
    }

    async fn enter(&self, code: &str) -> Response {
        let form = [("code", code), ("name", "Tablet")];
        answer(&self.network, with_form(from_tablet(&Method::POST, "/enter", ""), &form)).await
    }

    /// Pairs, and gives the cookie.
    async fn paired(&self, role: &str) -> String {
        let entered = self.enter(&self.code(role).await).await;
        assert_eq!(entered.status(), StatusCode::SEE_OTHER);
        let cookie = entered.headers()[header::SET_COOKIE].to_str().unwrap();
        cookie.split(';').next().unwrap().to_owned()
    }

    async fn status(&self, method: &Method, path: &str, cookie: &str) -> StatusCode {
        answer(&self.network, from_tablet(method, path, cookie)).await.status()
    }
}

#[tokio::test]
async fn nobody_sees_anything_but_the_way_in() {
    let doors = doors();
    for path in
        ["/", "/pieces", "/piece/1", "/cabinet", "/cabinet/1", "/keep/backup", "/api/pieces", "/pair", "/nowhere"]
    {
        assert_eq!(doors.status(&Method::GET, path, "").await, StatusCode::UNAUTHORIZED, "{path}");
    }
    for path in ["/piece/1/keep", "/api/pieces/1/logs", "/pair/code", "/keep/restore", "/leave"] {
        assert_eq!(doors.status(&Method::POST, path, "").await, StatusCode::UNAUTHORIZED, "{path}");
    }
    assert_eq!(doors.status(&Method::GET, "/static/page.css", "").await, StatusCode::OK);
    let (status, html) = page(&doors.network, from_tablet(&Method::GET, "/enter", "")).await;
    assert_eq!(status, StatusCode::OK);
    well_formed(&html);
    assert!(!html.contains("Fixture") && !html.contains("Test shop"), "it names no piece and no shop");
    assert!(html.contains("Anyone on this network can read"));
    // A person who opens a page is led to the way in.
    let mut opens = from_tablet(&Method::GET, "/piece/1", "");
    opens.headers_mut().insert(header::ACCEPT, "text/html,*/*".parse().unwrap());
    assert_eq!(there(&answer(&doors.network, opens).await), "/enter");
}

#[tokio::test]
async fn no_page_shows_a_link_that_leads_to_a_refusal() {
    let doors = doors();
    let (helper, owner) = (doors.paired("helper").await, doors.paired("owner").await);
    let seen = async |path: &str, cookie: &str| {
        text(answer(&doors.network, from_tablet(&Method::GET, path, cookie)).await).await
    };
    for (cookie, pages) in
        [(&helper, vec!["/cabinet", "/cabinet/1"]), (&owner, vec!["/piece/1", "/keep", "/cabinet/1"])]
    {
        for page in pages {
            let html = seen(page, cookie).await;
            for link in html.split("<a ").skip(1).filter_map(|link| link.split("href=\"/").nth(1)) {
                let path = format!("/{}", link.split(['"', '?', '#']).next().unwrap());
                let status = doors.status(&Method::GET, &path, cookie).await;
                assert_ne!(status, StatusCode::FORBIDDEN, "{path} on {page}");
            }
        }
    }
    assert!(seen("/cabinet/1", &owner).await.contains("href=\"/piece/1\""));
    assert!(!seen("/keep", &owner).await.contains("/keep/restore"));
    assert!(page(&doors.here, get("/keep")).await.1.contains("/keep/restore"));
}

#[tokio::test]
async fn a_helpers_tablet_has_the_cabinet_and_nothing_else() {
    let doors = doors();
    let cookie = doors.paired("helper").await;
    let (status, html) = page(&doors.network, from_tablet(&Method::GET, "/cabinet", &cookie)).await;
    assert!(status == StatusCode::OK && html.contains("/cabinet/1") && html.contains("Fixture"));
    assert!(html.contains("action=\"/leave\"") && !page(&doors.here, get("/cabinet")).await.1.contains("/leave"));
    well_formed(&html);
    for path in ["/cabinet/1", "/cabinet/worker.js", "/piece/1/stages/1", "/piece/1/preview.png", "/static/cabinet.js"]
    {
        assert_eq!(doors.status(&Method::GET, path, &cookie).await, StatusCode::OK, "{path}");
    }
    let mut sent = from_tablet(&Method::POST, "/api/pieces/1/logs", &cookie);
    sent.headers_mut().insert(header::CONTENT_TYPE, "application/json".parse().unwrap());
    *sent.body_mut() = Body::from(log("from the tablet").to_string());
    assert_eq!(answer(&doors.network, sent).await.status(), StatusCode::CREATED);
    for (method, path) in [
        (Method::GET, "/"),
        (Method::GET, "/pieces"),
        (Method::GET, "/piece/1"),
        (Method::GET, "/shop/1"),
        (Method::GET, "/keep"),
        (Method::GET, "/keep/backup"),
        (Method::GET, "/pair"),
        (Method::GET, "/api/pieces/1"),
        (Method::POST, "/piece/1/keep"),
        (Method::POST, "/piece/1/shelve"),
        (Method::POST, "/units"),
        (Method::POST, "/pair/code"),
        (Method::PUT, "/api/pieces/1"),
        (Method::GET, "/api/shops/1/stock/entries"),
        (Method::POST, "/api/shops/1/stock/entries"),
        (Method::DELETE, "/api/shops/1/stock/entries/a"),
        (Method::POST, "/api/pieces/1/orders"),
        (Method::DELETE, "/api/pieces/1/orders/1"),
        (Method::POST, "/api/pieces/1/logs/1/coupons"),
        (Method::POST, "/api/pieces/1/copies"),
        (Method::PUT, "/api/pieces/1/away"),
    ] {
        assert_eq!(doors.status(&method, path, &cookie).await, StatusCode::FORBIDDEN, "{method} {path}");
    }
}

#[tokio::test]
async fn an_owners_device_has_all_but_pairing_and_putting_back() {
    let doors = doors();
    let cookie = doors.paired("owner").await;
    for path in ["/pieces", "/piece/1", "/keep", "/api/pieces/1", "/shop/1"] {
        assert_eq!(doors.status(&Method::GET, path, &cookie).await, StatusCode::OK, "{path}");
    }
    let mut entry = from_tablet(&Method::POST, "/api/shops/1/stock/entries", &cookie);
    entry.headers_mut().insert(header::CONTENT_TYPE, "application/json".parse().unwrap());
    let bought = serde_json::json!({ "key": "a", "item": "tape", "verb": "bought", "amount": "1m2" });
    *entry.body_mut() = Body::from(bought.to_string());
    assert_eq!(answer(&doors.network, entry).await.status(), StatusCode::CREATED);
    assert_eq!(doors.status(&Method::GET, "/pair", &cookie).await, StatusCode::FORBIDDEN);
    for path in ["/pair/code", "/pair/withdraw", "/keep/restore"] {
        assert_eq!(doors.status(&Method::POST, path, &cookie).await, StatusCode::FORBIDDEN, "{path}");
    }
}

#[tokio::test]
async fn a_code_works_once_and_a_wrong_one_says_so() {
    let doors = doors();
    let code = doors.code("helper").await;
    let digits: String = code.chars().filter(char::is_ascii_digit).collect();
    let wrong = format!("{:06}", (digits.parse::<u32>().unwrap() + 1) % 1_000_000);
    let refused = doors.enter(&wrong).await;
    assert_eq!(refused.status(), StatusCode::FORBIDDEN);
    assert!(refused.headers().get(header::SET_COOKIE).is_none());
    assert!(text(refused).await.contains("not good"));
    let entered = doors.enter(&digits).await;
    let cookie = entered.headers()[header::SET_COOKIE].to_str().unwrap();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
    assert_eq!(there(&entered), "/cabinet");
    assert_eq!(doors.enter(&digits).await.status(), StatusCode::FORBIDDEN, "once");
}

#[tokio::test]
async fn guessing_is_slowed_down_for_each_address() {
    let doors = doors();
    for _ in 0..5 {
        assert_eq!(doors.enter("000000").await.status(), StatusCode::FORBIDDEN);
    }
    let slowed = doors.enter("000000").await;
    assert_eq!(slowed.status(), StatusCode::TOO_MANY_REQUESTS);
    let wait: u64 = slowed.headers()[header::RETRY_AFTER].to_str().unwrap().parse().unwrap();
    assert!((1..=12).contains(&wait), "{wait}");
    let mut other = with_form(from_tablet(&Method::POST, "/enter", ""), &[("code", "000000")]);
    other.extensions_mut().insert(ConnectInfo(Peer("192.168.1.21:50000".parse().unwrap())));
    assert_eq!(answer(&doors.network, other).await.status(), StatusCode::FORBIDDEN, "another one is not");
}

#[tokio::test]
async fn work_is_limited_for_each_address() {
    let doors = doors();
    let mut statuses = Vec::new();
    for _ in 0..160 {
        statuses.push(doors.status(&Method::GET, "/pieces", "").await);
    }
    let passed = statuses.iter().filter(|status| **status == StatusCode::UNAUTHORIZED).count();
    // A hundred and twenty at once, and what comes back at twenty a second meanwhile.
    assert!((120..155).contains(&passed), "{passed}");
    assert_eq!(*statuses.last().unwrap(), StatusCode::TOO_MANY_REQUESTS);
}

#[tokio::test]
async fn a_device_that_is_shut_out_or_leaves_is_out_at_once() {
    let doors = doors();
    let (first, second) = (doors.paired("helper").await, doors.paired("helper").await);
    let (_, html) = page(&doors.here, get("/pair")).await;
    assert_eq!(html.matches("Shut out Tablet").count(), 2);
    let shut = answer(&doors.here, post("/pair/withdraw", &[("device", "1")])).await;
    assert_eq!(shut.status(), StatusCode::SEE_OTHER);
    assert_eq!(doors.status(&Method::GET, "/cabinet", &first).await, StatusCode::UNAUTHORIZED);
    assert_eq!(doors.status(&Method::GET, "/cabinet", &second).await, StatusCode::OK);
    let left = answer(&doors.network, from_tablet(&Method::POST, "/leave", &second)).await;
    assert!(left.headers()[header::SET_COOKIE].to_str().unwrap().contains("Max-Age=0"));
    assert_eq!(doors.status(&Method::GET, "/cabinet", &second).await, StatusCode::UNAUTHORIZED);
    assert!(page(&doors.here, get("/pair")).await.1.contains("No device is paired"));
}

/// The rule that stands in for a token in every form: a browser names the origin of each change that it carries, and
/// shows the cookie to none that another site began.
#[tokio::test]
async fn a_page_of_another_origin_changes_nothing_even_with_the_cookie() {
    let doors = doors();
    let cookie = doors.paired("owner").await;
    let change = |origin: Option<&str>| {
        let mut request = with_form(from_tablet(&Method::POST, "/piece/1/shelve", &cookie), &[("away", "1")]);
        request.headers_mut().remove(header::ORIGIN);
        if let Some(origin) = origin {
            request.headers_mut().insert(header::ORIGIN, origin.parse().unwrap());
        }
        request
    };
    // The same host at another port is the same site to a browser, which sends it the cookie: the origin tells.
    for origin in
        ["http://192.168.1.5:8080", "http://192.168.1.5", "https://192.168.1.5:7320", "http://example.org", "null"]
    {
        assert_eq!(answer(&doors.network, change(Some(origin))).await.status(), StatusCode::FORBIDDEN, "{origin}");
    }
    assert_eq!(answer(&doors.network, change(None)).await.status(), StatusCode::FORBIDDEN, "no origin at all");
    let own = format!("http://{ADDRESS}");
    assert_eq!(answer(&doors.network, change(Some(&own))).await.status(), StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_name_that_was_pointed_here_is_no_host_of_the_networks_door() {
    let doors = doors();
    for host in ["example.org:7320", "127.0.0.1:8017", "localhost:7320", "192.168.1.5"] {
        let mut request = from_tablet(&Method::GET, "/enter", "");
        request.headers_mut().insert(header::HOST, host.parse().unwrap());
        assert_eq!(answer(&doors.network, request).await.status(), StatusCode::MISDIRECTED_REQUEST, "{host}");
    }
}

#[tokio::test]
async fn answers_to_the_network_are_not_kept_by_the_browser() {
    let doors = doors();
    let cookie = doors.paired("helper").await;
    let response = answer(&doors.network, from_tablet(&Method::GET, "/cabinet/1", &cookie)).await;
    assert_eq!(response.headers()[header::CACHE_CONTROL], "no-store");
    assert!(response.headers().get("content-security-policy").is_some());
}

#[tokio::test]
async fn a_computer_that_others_do_not_reach_says_so_and_opens_no_code() {
    let server = crate::router(App::new(store()), super::PORT);
    let (_, html) = page(&server, get("/pair")).await;
    well_formed(&html);
    assert!(html.contains("sabulo serve --lan") && html.contains("not encrypted"));
    let refused = answer(&server, post("/pair/code", &[("role", "helper")])).await;
    assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
}
