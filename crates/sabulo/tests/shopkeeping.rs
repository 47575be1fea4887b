//! A shop that is lived in, in a real browser: stock that runs draw down, a gauged nozzle, runs beside their plans, and
//! many names as one order.

mod stage;

use fantoccini::error::CmdError;
use fantoccini::{Client, Locator};
use stage::{Stage, fill, press, stage, wait_for_text};
use std::time::Duration;

async fn choose(client: &Client, id: &str, value: &str) -> Result<(), CmdError> {
    client.find(Locator::Id(id)).await?.select_by_value(value).await
}

/// The words of an item's row.
async fn row(client: &Client, item: &str) -> Result<String, CmdError> {
    let row = format!("[data-item='{item}']");
    client.wait().at_most(Duration::from_secs(30)).for_element(Locator::Css(&row)).await?.text().await
}

const GRIT: &str = "abrasive white_alumina F150";

#[tokio::test(flavor = "multi_thread")]
async fn a_shop_keeps_its_stock_and_its_nozzles_by_its_runs() {
    let stage = stage().await;
    let outcome = keeps(&stage).await;
    stage.client.clone().close().await.unwrap();
    outcome.unwrap();
}

async fn keeps(stage: &Stage) -> Result<(), CmdError> {
    let client = &stage.client;
    client.goto(&format!("{}/shop/1", stage.address)).await?;
    press(client, Locator::LinkText("What is left")).await?;
    assert_eq!(row(client, GRIT).await?, "White alumina F150", "it is not counted yet");
    choose(client, "stock-item", GRIT).await?;
    fill(client, "stock-amount", "25").await?;
    press(client, Locator::Css("#stock-form button")).await?;
    // What was typed is still there, with what is wrong with it.
    assert!(wait_for_text(client, "stock-fault", |text| !text.is_empty()).await.contains("no unit"));
    fill(client, "stock-amount", "25kg").await?;
    press(client, Locator::Css("#stock-form button")).await?;
    wait_for_text(client, "ledger", |text| text.contains("bought 25.0")).await;
    log(client).await?;
    client.refresh().await?;
    wait_for_text(client, "ledger", |text| text.contains("White alumina F150: drew")).await;
    assert!(row(client, GRIT).await?.contains("1 run since"));
    take_back(client).await?;
    gauge(client).await?;
    press(client, Locator::LinkText("Planned and logged")).await?;
    let judged = wait_for_text(client, "coverage", |text| !text.is_empty()).await;
    assert!(judged.contains("of 1 gauged depth"), "{judged}");
    assert!(client.find(Locator::Css(".ratios svg")).await?.rectangle().await?.3 > 40.0, "the drawing is there");
    Ok(())
}

/// A run of the first piece as the tablet would send it.
async fn log(client: &Client) -> Result<(), CmdError> {
    let script = "const done = arguments[0];
        (async () => {
            const plan = await (await fetch('/api/pieces/1/plan')).json();
            const log = { key: 'browser-1', revision: 1, started_utc: new Date().toISOString(), ended_utc: new Date().toISOString(),
                stages: plan.stages.map((s, i) => ({ stage: i + 1, blast_s: s.blast_s, rest_s: 0 })), events: [],
                depths: [{ layer: plan.layers[0].name, depth_mm: plan.layers[0].target_um / 1000 }], resist: 'sound' };
            const sent = { method: 'POST', headers: { 'content-type': 'application/json' }, body: JSON.stringify(log) };
            const first = await fetch('/api/pieces/1/logs', sent), again = await fetch('/api/pieces/1/logs', sent);
            return [first.status, again.status].join();
        })().then(done, (fault) => done(String(fault)))";
    let told = client.execute_async(script, vec![]).await?;
    assert_eq!(told, "201,200");
    Ok(())
}

/// The draw of the abrasive is taken back, and the shelf is as full as before.
async fn take_back(client: &Client) -> Result<(), CmdError> {
    press(client, Locator::Css("button[aria-label^='Take back: White alumina F150: drew']")).await?;
    wait_for_text(client, "ledger", |text| text.contains("taken back")).await;
    let row = row(client, GRIT).await?;
    assert!(row.contains("25.0") && !row.contains("1 run since"), "{row}");
    Ok(())
}

async fn gauge(client: &Client) -> Result<(), CmdError> {
    choose(client, "nozzle-item", "nozzle broad").await?;
    fill(client, "nozzle-amount", "3.5mm").await?;
    press(client, Locator::Css("#nozzle-form button")).await?;
    wait_for_text(client, "ledger", |text| text.contains("Nozzle “broad”: gauged 3.50")).await;
    let bore = client.execute_async("fetch('/api/shops/1').then((a) => a.json()).then((a) => arguments[0](a.shop.nozzle.find((n) => n.name === 'broad').bore))", vec![]).await?;
    assert_eq!(bore, "3.5mm", "it is planned with");
    Ok(())
}

const CARD: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="0 0 100 50">
    <text id="who" x="50" y="30" text-anchor="middle" font-family="Cinzel" font-size="12">{name}</text></svg>"##;

#[tokio::test(flavor = "multi_thread")]
async fn a_table_of_names_becomes_an_order_that_can_be_watched_and_cancelled() {
    let stage = stage().await;
    let outcome = ordered(&stage).await;
    stage.client.clone().close().await.unwrap();
    outcome.unwrap();
}

async fn ordered(stage: &Stage) -> Result<(), CmdError> {
    let client = &stage.client;
    let (drawing, table) = (stage.data.path().join("Card.svg"), stage.data.path().join("guests.csv"));
    std::fs::write(&drawing, CARD).unwrap();
    std::fs::write(&table, "name\nAnsel\nBrida\n王\nCorin\n").unwrap();
    client.goto(&format!("{}/pieces", stage.address)).await?;
    client.find(Locator::Id("drawing")).await?.send_keys(&drawing.display().to_string()).await?;
    wait_for_text(client, "summary", |text| text.contains("stage")).await;
    press(client, Locator::LinkText("Many names")).await?;
    // Three names have a best layout at once; for thirty it is looked for until somebody has enough of it.
    let many = stage.data.path().join("many.csv");
    let ends = ["a", "win", "dor", "e", "lius", "mar"];
    let names =
        ["Ansel", "Bri", "Corinth", "Do", "Emmeline"].map(|name| ends.map(|end| format!("{name}{end}\n")).concat());
    std::fs::write(&many, format!("name\n{}", names.concat())).unwrap();
    send(client, &many, "600").await?;
    let told = wait_for_text(client, "order-words", |text| text.contains("Nesting")).await;
    assert!(told.contains("evening 1 of 1"), "{told}");
    press(client, Locator::Css("#order-wait button")).await?;
    send(client, &table, "1").await?;
    let made = wait_for_text(client, "order-made", |text| text.contains("pieces on")).await;
    assert!(made.contains("3 pieces on 1 evening") && made.contains("order.zip"), "{made}");
    let refused = client.find(Locator::Id("refused")).await?.text().await?;
    assert!(refused.contains("line 4") && refused.contains('王'), "{refused}");
    let script = "const done = arguments[0], image = document.querySelector('.sheet image'), sheet = new Image();
        const lying = document.querySelector('.sheet svg').getBoundingClientRect();
        const drawn = image.getBoundingClientRect();
        sheet.src = image.getAttribute('href');
        sheet.decode().then(() => done([Math.max(sheet.naturalWidth, sheet.naturalHeight), lying.width / lying.height,
            drawn.right - lying.right]), () => done([0, 0, 0]))";
    let seen = client.execute_async(script, vec![]).await?;
    assert!(seen[0].as_f64() > Some(100.0), "the sheet is seen: {seen}");
    assert!(seen[1].as_f64() > Some(1.0), "a short stretch of a wide roll is turned: {seen}");
    // What lies at the roll's beginning is at the right, and nothing of it is cut off.
    assert!(seen[2].as_f64().is_some_and(|off| off.abs() < 1.0), "{seen}");
    Ok(())
}

async fn send(client: &Client, table: &std::path::Path, seconds: &str) -> Result<(), CmdError> {
    let names = Locator::Id("order-names");
    client
        .wait()
        .at_most(Duration::from_secs(30))
        .for_element(names)
        .await?
        .send_keys(&table.display().to_string())
        .await?;
    fill(client, "order-setup", "2min").await?;
    fill(client, "order-seconds", seconds).await?;
    press(client, Locator::Css("#order-form button")).await
}
