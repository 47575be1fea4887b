//! The server is killed in the middle of its work, again and again: what it had said it keeps is there, and the file
//! holds together. `SABULO_TORTURE_KILLS` says how often; `./torture` asks for a thousand.
//!
//! A kill leaves what the system had been given to write, so this tests the order of writes and the recovery; a power
//! cut, which may lose the last of them, is what `synchronous=FULL` is for, and `store/tests/keeping.rs` cuts the log.

mod common;

use common::server::{Server, ask};
use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::Duration;
use store::{PieceId, Store};

/// All that the server said it keeps.
#[derive(Debug, Default)]
struct Said {
    logs: Mutex<BTreeSet<String>>,
    copies: Mutex<BTreeSet<i64>>,
    /// The last revision of the second piece that it acknowledged, and the customer in it.
    revision: Mutex<(u32, String)>,
    number: AtomicU64,
}

const JSON: &str = "Content-Type: application/json\r\n";
const FORM: &str = "Content-Type: application/x-www-form-urlencoded\r\n";

impl Said {
    fn next(&self) -> u64 {
        self.number.fetch_add(1, Ordering::Relaxed)
    }

    /// Sends logs until the server is gone.
    fn send_logs(&self, server: &Server) {
        loop {
            let key = format!("log-{}", self.next());
            let log = format!(
                r#"{{"key":"{key}","started_utc":"","ended_utc":"","stages":[],"events":[],"depths":[],"resist":null}}"#
            );
            let Some(answer) = ask(server.here, "POST", "/api/pieces/1/logs", JSON, &log) else { return };
            assert_eq!(answer.status, 201, "{answer:?}");
            self.logs.lock().unwrap().insert(key);
        }
    }

    /// Changes the second piece on the revision that stands, until the server is gone.
    fn change(&self, server: &Server) {
        let Some(answer) = ask(server.here, "GET", "/api/pieces/2", "", "") else { return };
        let Ok(mut piece) = serde_json::from_str::<serde_json::Value>(&answer.body) else { return };
        loop {
            let customer = format!("customer {}", self.next());
            piece["piece"]["customer"] = customer.as_str().into();
            let headers = format!("{JSON}If-Match: \"{}\"\r\n", piece["revision"]);
            let file = piece["piece"].to_string();
            let Some(answer) = ask(server.here, "PUT", "/api/pieces/2", &headers, &file) else { return };
            assert_eq!(answer.status, 200, "{answer:?}");
            let tag = answer.header("etag").and_then(|tag| tag.trim_matches('"').parse().ok());
            let revision: u32 = tag.expect("an answer to a change has its tag in its head");
            *self.revision.lock().unwrap() = (revision, customer);
            piece["revision"] = revision.into();
        }
    }

    /// Copies the third piece until the server is gone.
    fn copy(&self, server: &Server) {
        loop {
            let Some(answer) = ask(server.here, "POST", "/piece/3/copy", FORM, "") else { return };
            assert_eq!(answer.status, 303, "{answer:?}");
            let there = answer.header("location").and_then(|there| there.strip_prefix("/piece/")?.parse().ok());
            self.copies.lock().unwrap().insert(there.expect("it says where the copy is"));
        }
    }

    /// Everything that was said is in the file, and the file holds together.
    fn hold_against(&self, data: &Path) {
        let store = Store::open(data).unwrap();
        store.check().unwrap();
        let kept: BTreeSet<String> = store.runs(PieceId(1)).unwrap().into_iter().map(|run| run.key).collect();
        let lost: Vec<_> = self.logs.lock().unwrap().difference(&kept).cloned().collect();
        assert!(lost.is_empty(), "logs that were acknowledged and lost: {lost:?}");
        let kept: BTreeSet<i64> = store.pieces().unwrap().into_iter().map(|piece| piece.id.0).collect();
        let lost: Vec<_> = self.copies.lock().unwrap().difference(&kept).copied().collect();
        assert!(lost.is_empty(), "pieces that were acknowledged and lost: {lost:?}");
        let (revision, customer) = self.revision.lock().unwrap().clone();
        let piece = store.piece(PieceId(2)).unwrap();
        // One more may have been kept whose answer did not arrive.
        let next = piece.revision == revision + 1;
        let same = piece.revision == revision && (revision < 2 || piece.piece_toml.contains(&customer));
        assert!(same || next, "revision {revision} was acknowledged, {} stands", piece.revision);
        if next {
            *self.revision.lock().unwrap() = (piece.revision, String::new());
        }
    }
}

/// Milliseconds, spread over the range in a fixed order that looks random (golden ratio).
fn wait(round: u32) -> Duration {
    let share = (f64::from(round) * 0.618_033_988_75).fract();
    Duration::from_millis(3 + (share * 250.0) as u64)
}

#[test]
fn what_was_acknowledged_survives_every_kill() {
    let kills: u32 = std::env::var("SABULO_TORTURE_KILLS").map_or(20, |count| count.parse().unwrap());
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path().join("pieces.db");
    let said = Said { revision: Mutex::new((1, String::new())), ..Said::default() };
    let mut server = Server::start(&data, &[]);
    for round in 0..kills {
        std::thread::scope(|scope| {
            let server = &server;
            scope.spawn(|| said.send_logs(server));
            scope.spawn(|| said.send_logs(server));
            scope.spawn(|| said.change(server));
            scope.spawn(|| said.copy(server));
            std::thread::sleep(wait(round));
            server.kill_at_once();
        });
        // The server opens the file first, so that it is the one that mends it.
        server = Server::start(&data, &[]);
        said.hold_against(&data);
    }
    drop(server);
    let (logs, copies) = (said.logs.lock().unwrap().len(), said.copies.lock().unwrap().len());
    let revision = said.revision.lock().unwrap().0;
    println!("{kills} kills; acknowledged and kept: {logs} logs, {copies} new pieces, {revision} revisions of one");
    assert!(logs > kills as usize, "the writers wrote");
}
