//! The app as it is opened, and requests to it, byte for byte.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::{SocketAddr, TcpStream};
use std::path::Path;
use std::process::{Child, Command, Stdio};

/// The server on a data file; it ends with its test.
pub(crate) struct Server {
    child: Child,
    /// The address for this computer.
    pub here: SocketAddr,
}

impl Server {
    /// Opens the app with further options.
    pub(crate) fn start(data: &Path, options: &[&str]) -> Self {
        let mut server = Command::new(env!("CARGO_BIN_EXE_sabulo"));
        server.args(["serve", "--port", "0", "--data"]).arg(data).args(options);
        let mut child = server.stdout(Stdio::piped()).spawn().unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines().map_while(Result::ok);
        let first = lines.find(|line| line.contains("http://")).expect("it says where it is open");
        // It has said all that it will say before it answers.
        let _ = lines.find(|line| line.contains("Ctrl-C"));
        let address = first.split("http://").nth(1).unwrap().trim_end_matches('/');
        Self { child, here: address.parse().unwrap() }
    }

    /// SIGKILL: nothing of ours runs any more.
    pub(crate) fn kill_at_once(&self) {
        let killed = Command::new("kill").args(["-9", &self.child.id().to_string()]).status();
        assert!(killed.unwrap().success());
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// An answer as it came.
#[derive(Debug)]
pub(crate) struct Answer {
    pub status: u16,
    head: String,
    pub body: String,
}

impl Answer {
    /// A header's value.
    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        let mut lines = self.head.lines().filter_map(|line| line.split_once(": "));
        lines.find(|(known, _)| known.eq_ignore_ascii_case(name)).map(|(_, value)| value)
    }
}

/// Asks; `None` when nobody answers, or went away before the head of the answer was here.
pub(crate) fn ask(at: SocketAddr, method: &str, path: &str, headers: &str, body: &str) -> Option<Answer> {
    let mut stream = TcpStream::connect(at).ok()?;
    let length = body.len();
    let head = format!(
        "{method} {path} HTTP/1.1\r\nHost: {at}\r\nConnection: close\r\nContent-Length: {length}\r\n{headers}\r\n"
    );
    stream.write_all(head.as_bytes()).ok()?;
    stream.write_all(body.as_bytes()).ok()?;
    let mut answer = Vec::new();
    // Cut short is as good: what counts is whether the head arrived.
    let _ = stream.read_to_end(&mut answer);
    let answer = String::from_utf8_lossy(&answer).into_owned();
    let (head, body) = answer.split_once("\r\n\r\n")?;
    Some(Answer { status: head.get(9..12)?.parse().ok()?, head: head.to_owned(), body: body.to_owned() })
}
