//! The program on its demonstration pieces, and a real browser to look at it with.

#![allow(dead_code, reason = "each program of tests uses a part of it")]

use fantoccini::error::CmdError;
use fantoccini::{Client, ClientBuilder, Locator};
use std::io::{BufRead as _, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;
use tempfile::TempDir;

/// A process that ends with its test.
pub(crate) struct Ended(Child);

impl Drop for Ended {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Starts a program and returns the first of its lines that holds `mark`.
pub(crate) fn start(command: &mut Command, mark: &str) -> (Ended, String) {
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().expect("./check installs it");
    let out = child.stdout.take().expect("stdout is piped");
    let line = BufReader::new(out).lines().map_while(Result::ok).find(|line| line.contains(mark));
    (Ended(child), line.expect("it says where it listens"))
}

pub(crate) async fn wait_for_text(client: &Client, id: &str, until: impl Fn(&str) -> bool) -> String {
    for _ in 0..300 {
        if let Ok(element) = client.find(Locator::Id(id)).await
            && let Ok(text) = element.text().await
            && until(&text)
        {
            return text;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("#{id} never came to say what was waited for");
}

/// Finds something and does something to it. What was found may be brought to a newer answer before that; then it is
/// found again, as a person's eye would.
async fn with_found<T>(
    client: &Client,
    locator: Locator<'_>,
    act: impl AsyncFn(fantoccini::elements::Element) -> Result<T, CmdError>,
) -> Result<T, CmdError> {
    for _ in 0..50 {
        let done = match client.find(locator).await {
            Ok(element) => act(element).await,
            Err(fault) => Err(fault),
        };
        match done {
            Err(fault) if fault.is_stale_element_reference() => tokio::time::sleep(Duration::from_millis(100)).await,
            done => return done,
        }
    }
    panic!("{locator:?} is replaced again and again");
}

/// Presses a button, a link or a box.
pub(crate) async fn press(client: &Client, locator: Locator<'_>) -> Result<(), CmdError> {
    with_found(client, locator, async |element| element.click().await).await
}

/// Writes into a field what stood in it before or not.
pub(crate) async fn fill(client: &Client, id: &str, text: &str) -> Result<(), CmdError> {
    with_found(client, Locator::Id(id), async |field| {
        field.clear().await?;
        field.send_keys(text).await
    })
    .await
}

/// The program with demonstration pieces, and a browser to look at it with.
pub(crate) struct Stage {
    pub client: Client,
    pub address: String,
    // Dropped last: the browser's session ends before its driver does.
    pub server: Option<Ended>,
    _driver: Ended,
    pub data: TempDir,
    _profile: TempDir,
}

/// The program on a data file; gives its address.
pub(crate) fn serve(file: &Path, port: &str) -> (Ended, String) {
    let mut server = Command::new(env!("CARGO_BIN_EXE_sabulo"));
    server.args(["serve", "--port", port, "--data"]).arg(file);
    let (server, line) = start(&mut server, "http://");
    let address = line.split_whitespace().find(|word| word.starts_with("http://")).unwrap();
    (server, address.trim_end_matches('/').to_owned())
}

/// At a desk.
pub(crate) async fn stage() -> Stage {
    stage_of(None).await
}

/// On a screen of this width in pixels, as a phone's or a tablet's, which are touched.
pub(crate) async fn stage_of(width: Option<u32>) -> Stage {
    let data = tempfile::tempdir().unwrap();
    let (server, address) = serve(&data.path().join("pieces.db"), "0");
    let (driver, line) = start(Command::new("chromedriver").arg("--port=0"), "started successfully on port");
    let port: u16 = line.trim_end_matches('.').rsplit(' ').next().unwrap().parse().unwrap();

    let profile = tempfile::tempdir().unwrap();
    let folder = format!("--user-data-dir={}", profile.path().display());
    let arguments = [
        "--headless",
        "--no-sandbox",
        // WebGL by the processor.
        "--use-angle=swiftshader",
        "--enable-unsafe-swiftshader",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--window-size=1440,1400",
        &folder,
    ];
    let mut options = serde_json::json!({ "args": arguments });
    if let Some(width) = width {
        let screen = serde_json::json!({ "width": width, "height": 900, "pixelRatio": 1, "touch": width < 1000 });
        options["mobileEmulation"] = serde_json::json!({ "deviceMetrics": screen });
    }
    let wants = serde_json::json!({
        "goog:chromeOptions": options,
        "goog:loggingPrefs": { "browser": "ALL" },
    });
    let mut builder = ClientBuilder::new(hyper_util::client::legacy::connect::HttpConnector::new());
    let builder = builder.capabilities(wants.as_object().unwrap().clone());
    let client = builder.connect(&format!("http://127.0.0.1:{port}")).await.unwrap();
    Stage { client, address, server: Some(server), _driver: driver, data, _profile: profile }
}
