//! The page in a real browser: it loads, a control changes the plan, the console stays silent.

mod stage;

use fantoccini::{Client, Locator};
use stage::{Stage, serve, stage, wait_for_text};
use std::path::Path;
use std::time::Duration;

#[tokio::test(flavor = "multi_thread")]
async fn the_page_loads_and_a_control_changes_the_plan_without_a_word_on_the_console() {
    let stage = stage().await;
    let outcome = drive(&stage.client, &stage.address).await;
    stage.client.clone().close().await.unwrap();
    outcome.unwrap();
}

#[tokio::test(flavor = "multi_thread")]
async fn a_run_at_the_cabinet_outlives_the_connection_and_its_log_comes_home() {
    let mut stage = stage().await;
    let outcome = run_at_the_cabinet(&mut stage).await;
    stage.client.clone().close().await.unwrap();
    outcome.unwrap();
}

async fn run_at_the_cabinet(stage: &mut Stage) -> Result<(), fantoccini::error::CmdError> {
    let client = stage.client.clone();
    client.set_window_size(1180, 820).await?;
    let page = format!("{}/cabinet/2", stage.address);
    client.goto(&page).await?;
    // The start waits for every caution.
    let begin = client.find(Locator::Id("begin")).await?;
    assert!(!begin.is_enabled().await?);
    for caution in client.find_all(Locator::Css(".cautions input")).await? {
        caution.click().await?;
    }
    assert!(begin.is_enabled().await?, "all are ticked");
    begin.click().await?;
    wait_for_text(&client, "where", |text| text.starts_with("Stage 1")).await;
    client.find(Locator::Id("go")).await?.click().await?;
    wait_for_text(&client, "doing", |text| text == "blast").await;
    // Everything it needs is on the tablet; then the computer in the office goes away.
    client.wait().at_most(Duration::from_secs(60)).for_element(Locator::Css("#cabinet[data-kept=yes]")).await?;
    drop(stage.server.take());
    client.refresh().await?;
    wait_for_text(&client, "where", |text| text.starts_with("Stage 1")).await;
    wait_for_text(&client, "doing", |text| text == "blast").await;
    let seen =
        "return [...document.images].filter((i) => i.checkVisibility()).every((i) => i.complete && i.naturalWidth > 0)";
    assert_eq!(client.execute(seen, vec![]).await?.as_bool(), Some(true), "the picture of what to weed is there");
    let places = client
        .execute(
            "return [...document.querySelectorAll('#controls button')].map((b) => b.getBoundingClientRect().height)",
            vec![],
        )
        .await?;
    // 20 mm at 96 dots an inch are 76.
    assert!(places.as_array().unwrap().iter().all(|height| height.as_f64().unwrap() >= 76.0), "{places}");
    for _ in 0..20 {
        if client.find(Locator::Id("gauge-form")).await?.is_displayed().await? {
            break;
        }
        client.find(Locator::Id("done")).await?.click().await?;
    }
    client.find(Locator::Css("#gauge-form input")).await?.send_keys("0.42").await?;
    client.find(Locator::Css("#gauge-form button")).await?.click().await?;
    wait_for_text(&client, "kept", |text| text.starts_with("1 log")).await;
    // It comes back, at the same place, and the log goes home by itself.
    let port = stage.address.rsplit(':').next().unwrap().to_owned();
    stage.server = Some(serve(&stage.data.path().join("pieces.db"), &port).0);
    client.execute("dispatchEvent(new Event('online'))", vec![]).await?;
    wait_for_text(&client, "kept", str::is_empty).await;
    client.goto(&format!("{}/piece/2", stage.address)).await?;
    let told = wait_for_text(&client, "runs", |text| text.contains("0.42")).await;
    assert!(told.contains("nozzle open"), "{told}");
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn a_drawing_becomes_a_piece_that_is_copied_and_put_away() {
    let stage = stage().await;
    let outcome = begin_a_piece(&stage.client, &stage.address, stage.data.path()).await;
    stage.client.clone().close().await.unwrap();
    outcome.unwrap();
}

async fn begin_a_piece(client: &Client, address: &str, folder: &Path) -> Result<(), fantoccini::error::CmdError> {
    let drawing = folder.join("Two ferns.svg");
    let svg = r##"<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="90mm" viewBox="0 0 120 90">
        <g id="leaf"><circle cx="30" cy="45" r="20"/></g><g id="stem"><rect x="70" y="10" width="9" height="70"/></g></svg>"##;
    std::fs::write(&drawing, svg).unwrap();
    client.goto(&format!("{address}/pieces")).await?;
    // Choosing the file is enough.
    client.find(Locator::Id("drawing")).await?.send_keys(&drawing.display().to_string()).await?;
    wait_for_text(client, "summary", |text| text.contains("stage")).await;
    assert!(client.title().await?.starts_with("Two ferns"));
    let layers = client.find(Locator::Id("recipe-form")).await?.text().await?;
    assert!(layers.contains("leaf") && layers.contains("stem"), "{layers}");
    client.goto(&format!("{address}/pieces?q=ferns")).await?;
    client.find(Locator::Css("[aria-label='Copy Two ferns']")).await?.click().await?;
    wait_for_text(client, "name", |text| text == "Two ferns, copy").await;
    client.goto(&format!("{address}/pieces?q=ferns")).await?;
    client.find(Locator::Css("[aria-label='Put away Two ferns, copy']")).await?.click().await?;
    // Back at the whole list: three of the demonstration and the new one.
    client.wait().at_most(Duration::from_secs(30)).for_element(Locator::Css(".shelf li:nth-child(4)")).await?;
    assert_eq!(client.find_all(Locator::Css(".shelf li")).await?.len(), 4);
    // What is no drawing is refused with words, and nothing is kept.
    let other = folder.join("notes.txt");
    std::fs::write(&other, "buy resist").unwrap();
    client.find(Locator::Id("drawing")).await?.send_keys(&other.display().to_string()).await?;
    wait_for_text(client, "begin-fault", |text| text.contains("notes.txt")).await;
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn the_piece_is_turned_cut_and_lit() {
    let stage = stage().await;
    let outcome = turn_and_cut(&stage.client, &stage.address).await;
    stage.client.clone().close().await.unwrap();
    outcome.unwrap();
}

async fn turn_and_cut(client: &Client, address: &str) -> Result<(), fantoccini::error::CmdError> {
    client.goto(address).await?;
    wait_for_text(client, "summary", |text| text.contains("stages")).await;
    let choose = |way: &str| format!("document.querySelector('#way-{way}').click()");
    client.execute(&choose("solid"), vec![]).await?;
    wait_for_text(client, "piece-solid", |text| text.contains("Drag")).await;
    // Light and dark pixels where the canvas is, and other ones after a turn.
    let look = "const c = document.querySelector('#piece-solid canvas');
        const p = new OffscreenCanvas(64, 64).getContext('2d');
        c.dispatchEvent(new KeyboardEvent('keydown', {key: arguments[0], bubbles: true}));
        // The page asked for its frame first, so this sees what was just painted.
        return new Promise((done) => requestAnimationFrame(() => {
            p.drawImage(c, 0, 0, 64, 64);
            const d = p.getImageData(0, 0, 64, 64).data;
            done([Math.max(...d.filter((_, i) => i % 4 === 1)), d.reduce((sum, v, i) => (sum * 31 + v) % 1000003, 7)]);
        }));";
    let seen = async |key: &str| -> Result<(f64, f64), fantoccini::error::CmdError> {
        let pixels = client.execute(look, vec![key.into()]).await?;
        Ok((pixels[0].as_f64().unwrap_or(0.0), pixels[1].as_f64().unwrap_or(0.0)))
    };
    let (before, after) = (seen("ArrowLeft").await?, seen("ArrowUp").await?);
    assert!(before.0 > 90.0 && before.1 != after.1, "brightest and sum of pixels: {before:?}, {after:?}");
    // A line typed in the fields: its section has the layers' names and changes with the line.
    client.execute(&choose("cut"), vec![]).await?;
    let first = wait_for_text(client, "cut-drawing", |text| text.contains("along")).await;
    let set = "const f = document.querySelector('#cut-form'); f.elements.y1.value = 200; f.elements.y2.value = 200;
        f.elements.y2.dispatchEvent(new Event('change', {bubbles: true}));";
    client.execute(set, vec![]).await?;
    let second = wait_for_text(client, "cut-drawing", |text| text.contains("along") && text != first).await;
    assert!(second.contains("from 49.20, 200.0"), "{second}");
    let csv = "return fetch(document.querySelector('#cut-values').href).then((answer) => answer.text())";
    let values = client.execute(csv, vec![]).await?;
    let values = values.as_str().unwrap_or_default();
    assert!(values.starts_with("along_mm,x_mm,y_mm,layer,depth_mm") && values.lines().count() > 1000, "{values:.200}");
    // Another light is another picture of the same size.
    client.execute(&choose("carved"), vec![]).await?;
    let lit = "const l = document.querySelector('[name=light]'); l.value = 'behind';
        l.dispatchEvent(new Event('change', {bubbles: true}));
        const i = document.querySelector('#piece-image');
        return i.decode().then(() => [i.src, i.naturalWidth]);";
    let shown = client.execute(lit, vec![]).await?;
    assert!(
        shown[0].as_str().is_some_and(|src| src.contains("light=behind")) && shown[1].as_u64() > Some(600),
        "{shown}"
    );
    let errors = browser_log(client).await?;
    assert!(errors.is_empty(), "the console says: {errors:?}");
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn the_shop_page_follows_its_line_and_keeps_what_is_added_to_it() {
    let stage = stage().await;
    let outcome = drive_shop(&stage.client, &stage.address).await;
    stage.client.clone().close().await.unwrap();
    outcome.unwrap();
}

async fn drive_shop(client: &Client, address: &str) -> Result<(), fantoccini::error::CmdError> {
    client.goto(&format!("{}/shop/1", address.trim_end_matches('/'))).await?;
    let before = wait_for_text(client, "summary", |text| text.contains("sees")).await;
    for picture in ["ladder", "course", "map"] {
        client.find(Locator::Css(&format!("#{picture} svg"))).await?;
    }
    // A hose of a quarter the bore takes most of the pressure: ladder and sentence follow at once.
    let set = "const c = document.querySelector('#shop-hose-bore'); c.value = '3mm';
        c.dispatchEvent(new Event('input', {bubbles: true}));";
    client.execute(set, vec![]).await?;
    let after = wait_for_text(client, "summary", |text| text.contains("sees") && text != before).await;
    println!("before: {before}\nafter: {after}");
    // A value that cannot be stands marked, and nothing is lost.
    client.execute(&set.replace("3mm", "3"), vec![]).await?;
    wait_for_text(client, "shop-hose-bore-fault", |text| text.contains("no unit")).await;
    client.execute(&set.replace("3mm", "12mm"), vec![]).await?;
    wait_for_text(client, "summary", |text| text.contains("sees") && text != after).await;
    client.find(Locator::Id("shop-keep")).await?.click().await?;
    // The page that answers has nothing left to keep.
    client.wait().at_most(Duration::from_secs(30)).for_element(Locator::Css("#shop-keep[disabled]")).await?;
    let kept = client.execute("return document.querySelector('#shop-hose-bore').value", vec![]).await?;
    assert_eq!(kept.as_str(), Some("12mm"), "kept as a new revision");
    // A dryer behind the receiver: a card of its own, on the line and in the ladder.
    client.execute("document.querySelector('#add-kind').value = 'dryer'; document.querySelector('#add-after').value = 'receiver';", vec![]).await?;
    client.find(Locator::Css("#add-part button")).await?.click().await?;
    wait_for_text(client, "line", |text| text.contains("dryer")).await;
    let ladder = client.find(Locator::Css("#ladder svg")).await?.html(false).await?;
    assert!(ladder.contains("dryer"), "the ladder has the new part");
    let errors = browser_log(client).await?;
    assert!(errors.iter().all(|error| error.contains("422")), "the console says: {errors:?}");
    Ok(())
}

async fn drive(client: &Client, address: &str) -> Result<(), fantoccini::error::CmdError> {
    client.goto(address).await?;
    let before = wait_for_text(client, "summary", |text| text.contains("stages")).await;
    assert!(client.title().await?.contains("Heron"));
    for id in ["findings", "strip", "stages", "files", "piece-image"] {
        client.find(Locator::Id(id)).await?;
    }
    // The preview is a picture with pixels, not a broken link.
    let loaded = "const i = document.querySelector('#piece-image'); return i.complete ? i.naturalWidth : 0;";
    let mut width = 0;
    for _ in 0..300 {
        width = client.execute(loaded, vec![]).await?.as_u64().unwrap_or(0);
        if width > 0 {
            break;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    assert!(width >= 600, "the preview is {width} pixels wide");
    // Half the depth of the deepest layer: the summary tells another time.
    let set = "const c = document.querySelector('#recipe-depth-1'); c.value = '1.3mm';
        c.dispatchEvent(new Event('input', {bubbles: true})); c.dispatchEvent(new Event('change', {bubbles: true}));";
    client.execute(set, vec![]).await?;
    let after = wait_for_text(client, "summary", |text| text.contains("stages") && text != before).await;
    println!("before: {before}\nafter: {after}");
    let log = client
        .execute(
            "return window.performance.getEntriesByType('resource').filter(r => r.responseStatus >= 400).length",
            vec![],
        )
        .await?;
    assert_eq!(log.as_u64(), Some(0), "every address on the page answered");
    let errors = browser_log(client).await?;
    assert!(errors.is_empty(), "the console says: {errors:?}");
    Ok(())
}

/// What the browser put on its console.
async fn browser_log(client: &Client) -> Result<Vec<String>, fantoccini::error::CmdError> {
    #[derive(Debug)]
    struct Log;
    impl fantoccini::wd::WebDriverCompatibleCommand for Log {
        fn endpoint(&self, base: &url::Url, session: Option<&str>) -> Result<url::Url, url::ParseError> {
            base.join(&format!("session/{}/se/log", session.unwrap_or_default()))
        }
        fn method_and_body(&self, _: &url::Url) -> (http::Method, Option<String>) {
            (http::Method::POST, Some(r#"{"type":"browser"}"#.to_owned()))
        }
    }
    let entries = client.issue_cmd(Log).await?;
    let entries = entries.as_array().cloned().unwrap_or_default();
    Ok(entries.iter().map(|entry| entry["message"].as_str().unwrap_or_default().to_owned()).collect())
}
