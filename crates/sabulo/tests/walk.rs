//! The whole job by somebody who never saw a command line: from setting up a shop to a plan that has learned.

mod stage;

use fantoccini::actions::{InputSource as _, MouseActions, PointerAction};
use fantoccini::error::CmdError;
use fantoccini::{Client, Locator};
use stage::{Stage, fill, press, serve, stage, wait_for_text};
use std::time::Duration;

#[tokio::test(flavor = "multi_thread")]
async fn from_an_empty_bench_to_a_plan_that_has_learned() {
    let mut stage = stage().await;
    let outcome = walk(&mut stage).await;
    stage.client.clone().close().await.unwrap();
    outcome.unwrap();
}

async fn walk(stage: &mut Stage) -> Result<(), CmdError> {
    let client = stage.client.clone();
    set_up(&client, &stage.address).await?;
    let drawing = stage.data.path().join("Gate lily.svg");
    std::fs::write(&drawing, LILY).unwrap();
    let piece = begin(&client, &drawing.display().to_string()).await?;
    place(&client).await?;
    deepen_until_it_stops(&client).await?;
    apply_a_remedy(&client).await?;
    take_the_files(&client, &piece).await?;
    run_it(stage, &piece).await?;
    learn(&client, &piece).await
}

const LILY: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="90mm" viewBox="0 0 120 90">
    <g id="petals"><circle cx="40" cy="45" r="24"/></g><g id="stem"><rect x="84" y="10" width="12" height="70"/></g></svg>"##;

/// From the demonstration shop to one's own.
async fn set_up(client: &Client, address: &str) -> Result<(), CmdError> {
    client.goto(&format!("{address}/pieces")).await?;
    press(client, Locator::LinkText("Set up your own shop")).await?;
    wait_for_text(client, "name", |text| text == "Set up your shop").await;
    fill(client, "setup-name", "Quarry Lane").await?;
    fill(client, "setup-compressor-1--free-air", "500 l/min").await?;
    fill(client, "setup-cabinet-collector", "14 m3/min").await?;
    // What the answers come to is told beside them.
    fill(client, "setup-nozzle-1--bore", "6mm").await?;
    let thin = wait_for_text(client, "setup-outcome", |text| !text.is_empty()).await;
    fill(client, "setup-nozzle-1--bore", "2.4mm").await?;
    wait_for_text(client, "setup-outcome", |text| text != thin).await;
    let (keep, kept) = (Locator::Css("#setup-keep:enabled"), Locator::Id("begin-piece"));
    // While an answer comes, what is below it moves and the button takes no press; then they are pressed once more.
    for _ in 0..12 {
        let resist = Locator::Css("input[value='rubber_medium']:not(:checked)");
        if let Ok(unchecked) = client.find(resist).await {
            unchecked.click().await.ok();
        }
        if client.wait().at_most(Duration::from_secs(10)).for_element(keep).await.is_err() {
            continue;
        }
        press(client, keep).await?;
        if client.wait().at_most(Duration::from_secs(10)).for_element(kept).await.is_ok() {
            break;
        }
    }
    client.find(kept).await?;
    let said = client.find(Locator::Css(".welcome")).await?.text().await?;
    assert!(said.starts_with("Quarry Lane is kept"), "{said}");
    Ok(())
}

/// Drops a drawing; gives the path of its page.
async fn begin(client: &Client, drawing: &str) -> Result<String, CmdError> {
    client.find(Locator::Id("drawing")).await?.send_keys(drawing).await?;
    wait_for_text(client, "summary", |text| text.contains("stage")).await;
    assert!(client.find(Locator::Id("places")).await?.text().await?.contains("Quarry Lane"));
    Ok(client.current_url().await?.path().to_owned())
}

async fn value(client: &Client, id: &str) -> Result<String, CmdError> {
    Ok(client.find(Locator::Id(id)).await?.prop("value").await?.unwrap_or_default())
}

async fn wait_for_value(client: &Client, id: &str, until: impl Fn(&str) -> bool) -> Result<String, CmdError> {
    for _ in 0..200 {
        let value = value(client, id).await?;
        if until(&value) {
            return Ok(value);
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("#{id} never came to hold what was waited for");
}

/// Drags the drawing to the blank's corner, where it snaps, and makes it smaller by a corner.
async fn place(client: &Client) -> Result<(), CmdError> {
    client.execute("document.getElementById('way-place').click()", vec![]).await?;
    let frame = client.find(Locator::Id("placing-frame")).await?;
    let (x, y, width, height) = frame.rectangle().await?;
    let blank = client
        .execute(
            "const p = document.querySelector('[data-probe]'), b = p.getBoundingClientRect();
             const x = (mm) => b.left + (mm - p.dataset.leftMm) / p.dataset.widthMm * b.width;
             const y = (mm) => b.top + (mm - p.dataset.topMm) / p.dataset.heightMm * b.height;
             return [x(0), y(0)]",
            vec![],
        )
        .await?;
    let corner = [blank[0].as_f64().unwrap(), blank[1].as_f64().unwrap()];
    let middle = (x + 0.5 * width, y + 0.5 * height);
    // A few pixels off the corner: near enough to be drawn to it.
    drag(client, middle, (middle.0 - (x - corner[0]) + 4.0, middle.1 - (y - corner[1]) + 4.0)).await?;
    assert_eq!((value(client, "recipe-left").await?, value(client, "recipe-top").await?), ("0".into(), "0".into()));
    let wide: f64 = value(client, "recipe-width").await?.parse().unwrap();
    let (x, y, width, height) = client.find(Locator::Id("placing-frame")).await?.rectangle().await?;
    drag(client, (x + width, y + height), (x + 0.8 * width, y + 0.8 * height)).await?;
    let narrow: f64 = value(client, "recipe-width").await?.parse().unwrap();
    assert!((narrow / wide - 0.8).abs() < 0.03, "{narrow} of {wide}");
    // Arrow keys move it, for those without a mouse.
    client.find(Locator::Id("placing-frame")).await?.send_keys("\u{e014}").await?;
    wait_for_value(client, "recipe-left", |left| left == "1").await?;
    wait_for_text(client, "recipe-title", |text| text.contains("tried, not kept")).await;
    keep(client, "2").await?;
    press(client, Locator::Id("recipe-undo")).await?;
    wait_for_value(client, "recipe-left", |left| left != "1").await?;
    press(client, Locator::Id("recipe-redo")).await?;
    wait_for_value(client, "recipe-left", |left| left == "1").await?;
    Ok(())
}

async fn drag(client: &Client, from: (f64, f64), to: (f64, f64)) -> Result<(), CmdError> {
    let at = |(x, y): (f64, f64), milliseconds| PointerAction::MoveTo {
        duration: Some(Duration::from_millis(milliseconds)),
        x,
        y,
    };
    let mouse = MouseActions::new("mouse".to_owned())
        .then(at(from, 0))
        .then(PointerAction::Down { button: fantoccini::actions::MOUSE_BUTTON_LEFT })
        .then(at(((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0), 150))
        .then(at(to, 150))
        .then(PointerAction::Up { button: fantoccini::actions::MOUSE_BUTTON_LEFT });
    client.perform_actions(mouse).await?;
    client.release_actions().await
}

/// Keeps what is tried, and waits for the revision that it becomes.
async fn keep(client: &Client, revision: &str) -> Result<(), CmdError> {
    press(client, Locator::Id("recipe-keep")).await?;
    let wanted = format!("revision {revision}");
    wait_for_text(client, "recipe", |text| text.contains(&wanted)).await;
    Ok(())
}

/// Two thirds of the pane's thickness: that stops.
async fn deepen_until_it_stops(client: &Client) -> Result<(), CmdError> {
    fill(client, "recipe-depth-1", "4").await?;
    wait_for_text(client, "summary", |text| text.contains("stop")).await;
    Ok(())
}

/// Presses remedies until nothing stops any more; what each changes is said against what is kept.
async fn apply_a_remedy(client: &Client) -> Result<(), CmdError> {
    for _ in 0..6 {
        let summary = wait_for_text(client, "summary", |text| !text.is_empty()).await;
        if !summary.contains("stop") {
            assert!(summary.contains("kept"), "what changed is told: {summary}");
            return keep(client, "3").await;
        }
        press(client, Locator::Css(".finding.stop [name=remedy]")).await?;
        wait_for_text(client, "summary", |text| text != summary).await;
    }
    panic!("six remedies did not turn the stops");
}

/// All files in one, as the browser's own fetch gets them.
async fn take_the_files(client: &Client, piece: &str) -> Result<(), CmdError> {
    let bytes = client
        .execute_async(
            "const done = arguments[1];
             fetch(arguments[0] + '/files.zip').then((a) => a.arrayBuffer()).then((b) => done([b.byteLength, new Uint8Array(b)[0]]))",
            vec![piece.into()],
        )
        .await?;
    // A ZIP begins with "PK".
    assert!(bytes[0].as_u64().unwrap() > 100_000 && bytes[1].as_u64() == Some(0x50), "{bytes}");
    Ok(())
}

/// At the cabinet, on a tablet, the office's computer gone for a part of it; the depth that is gauged is half.
async fn run_it(stage: &mut Stage, piece: &str) -> Result<(), CmdError> {
    let client = stage.client.clone();
    client.set_window_size(1180, 820).await?;
    let cabinet = piece.replace("/piece/", "/cabinet/");
    client.goto(&format!("{}{cabinet}", stage.address)).await?;
    for caution in client.find_all(Locator::Css(".cautions input")).await? {
        caution.click().await?;
    }
    press(&client, Locator::Id("begin")).await?;
    client.wait().at_most(Duration::from_secs(60)).for_element(Locator::Css("#cabinet[data-kept=yes]")).await?;
    drop(stage.server.take());
    press(&client, Locator::Id("go")).await?;
    wait_for_text(&client, "doing", |text| text == "blast").await;
    tokio::time::sleep(Duration::from_millis(1500)).await;
    for _ in 0..20 {
        if client.find(Locator::Id("gauge-form")).await?.is_displayed().await? {
            break;
        }
        press(&client, Locator::Id("done")).await?;
    }
    client.find(Locator::Css("#gauge-form input")).await?.send_keys("0.01").await?;
    press(&client, Locator::Css("#gauge-form button")).await?;
    wait_for_text(&client, "kept", |text| text.starts_with("1 log")).await;
    let port = stage.address.rsplit(':').next().unwrap().to_owned();
    stage.server = Some(serve(&stage.data.path().join("pieces.db"), &port).0);
    client.execute("dispatchEvent(new Event('online'))", vec![]).await?;
    wait_for_text(&client, "kept", str::is_empty).await;
    client.set_window_size(1440, 1400).await?;
    client.goto(&format!("{}{piece}", stage.address)).await
}

/// The depth becomes a coupon of the shop, and the next plan is another.
async fn learn(client: &Client, piece: &str) -> Result<(), CmdError> {
    let before = wait_for_text(client, "summary", |text| text.contains("stage")).await;
    press(client, Locator::LinkText("what it teaches")).await?;
    wait_for_text(client, "name", |text| text.contains("teaches")).await;
    press(client, Locator::Css("#learn-form button")).await?;
    wait_for_text(client, "summary", |text| text.contains("stage") && text != before).await;
    assert_eq!(client.current_url().await?.path(), piece);
    Ok(())
}

#[tokio::test(flavor = "multi_thread")]
async fn two_browsers_that_change_one_piece_are_told_of_each_other() {
    let stage = stage().await;
    let outcome = two(&stage).await;
    stage.client.clone().close().await.unwrap();
    outcome.unwrap();
}

async fn two(stage: &Stage) -> Result<(), CmdError> {
    let client = &stage.client;
    let first = client.window().await?;
    let second = client.new_window(false).await?.handle;
    let page = format!("{}/piece/2", stage.address);
    for window in [&first, &second] {
        client.switch_to_window(window.clone()).await?;
        client.goto(&page).await?;
        wait_for_text(client, "summary", |text| text.contains("stage")).await;
    }
    fill(client, "recipe-depth-1", "0.3").await?;
    wait_for_text(client, "recipe-title", |text| text.contains("tried")).await;
    keep(client, "2").await?;
    client.switch_to_window(first).await?;
    fill(client, "recipe-depth-1", "0.6").await?;
    // It is told while it is tried, and asked again when it is kept.
    wait_for_text(client, "recipe-message", |text| text.contains("another window")).await;
    press(client, Locator::Id("recipe-keep")).await?;
    wait_for_text(client, "recipe-message", |text| text.contains("look at it again")).await;
    // What was tried is still there, over the newer revision, and can now be kept.
    assert_eq!(value(client, "recipe-depth-1").await?, "0.6");
    keep(client, "3").await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_vessels_drawing_is_placed_on_its_side_laid_flat() {
    let stage = stage().await;
    let outcome = on_a_vessel(&stage).await;
    stage.client.clone().close().await.unwrap();
    outcome.unwrap();
}

async fn on_a_vessel(stage: &Stage) -> Result<(), CmdError> {
    let client = &stage.client;
    client.goto(&format!("{}/piece/2", stage.address)).await?;
    client.execute("document.getElementById('way-place').click()", vec![]).await?;
    let (x, y, width, height) = client.find(Locator::Id("placing-frame")).await?.rectangle().await?;
    // How many pixels a millimetre has on the side laid flat.
    let script = "const s = document.getElementById('piece-sheet');
        return [s.getBoundingClientRect().width / s.dataset.widthMm, Number(document.getElementById('placing-frame').dataset.left)]";
    let seen = client.execute(script, vec![]).await?;
    let (pixels, left) = (seen[0].as_f64().unwrap(), seen[1].as_f64().unwrap());
    let middle = (x + 0.5 * width, y + 0.5 * height);
    drag(client, middle, (middle.0 - 40.0 * pixels, middle.1)).await?;
    let moved: f64 = value(client, "recipe-left").await?.parse().unwrap();
    // It goes in whole millimetres, and the hand in whole pixels.
    assert!((left - moved - 40.0).abs() <= 1.5, "from {left} to {moved}");
    wait_for_text(client, "recipe-title", |text| text.contains("tried, not kept")).await;
    keep(client, "2").await
}
