//! The page in a real browser: it loads, a control changes the plan, the console stays silent.

use fantoccini::{Client, ClientBuilder, Locator};
use std::io::{BufRead as _, BufReader};
use std::process::{Child, Command, Stdio};
use std::time::Duration;

/// A process that ends with its test.
struct Ended(Child);

impl Drop for Ended {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Starts a program and returns the first of its lines that holds `mark`.
fn start(command: &mut Command, mark: &str) -> (Ended, String) {
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::null()).spawn().expect("./check installs it");
    let out = child.stdout.take().expect("stdout is piped");
    let line = BufReader::new(out).lines().map_while(Result::ok).find(|line| line.contains(mark));
    (Ended(child), line.expect("it says where it listens"))
}

async fn wait_for_text(client: &Client, id: &str, until: impl Fn(&str) -> bool) -> String {
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

#[tokio::test(flavor = "multi_thread")]
async fn the_page_loads_and_a_control_changes_the_plan_without_a_word_on_the_console() {
    let data = tempfile::tempdir().unwrap();
    let file = data.path().join("pieces.db");
    let mut server = Command::new(env!("CARGO_BIN_EXE_sabulo"));
    server.args(["serve", "--port", "0", "--data"]).arg(&file);
    let (_server, line) = start(&mut server, "http://");
    let address = line.split_whitespace().find(|word| word.starts_with("http://")).unwrap().to_owned();
    let (_driver, line) = start(Command::new("chromedriver").arg("--port=0"), "started successfully on port");
    let port: u16 = line.trim_end_matches('.').rsplit(' ').next().unwrap().parse().unwrap();

    let profile = tempfile::tempdir().unwrap();
    let profile = format!("--user-data-dir={}", profile.path().display());
    let arguments = [
        "--headless",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--window-size=1440,1400",
        &profile,
    ];
    let wants = serde_json::json!({
        "goog:chromeOptions": { "args": arguments },
        "goog:loggingPrefs": { "browser": "ALL" },
    });
    let mut builder = ClientBuilder::new(hyper_util::client::legacy::connect::HttpConnector::new());
    let builder = builder.capabilities(wants.as_object().unwrap().clone());
    let client = builder.connect(&format!("http://127.0.0.1:{port}")).await.unwrap();
    let outcome = drive(&client, &address).await;
    client.close().await.unwrap();
    outcome.unwrap();
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
