//! `sabulo` and `sabulo serve`: the app, on this computer only.

use super::print;
use crate::demo;
use crate::error::Failure;
use clap::Args;
use std::io::IsTerminal as _;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode, Stdio};
use store::Store;
use tokio::net::TcpListener;

#[derive(Debug, Default, Args)]
pub(crate) struct ServeArguments {
    /// Port on 127.0.0.1. 7320 when left out, or a free one when that is taken.
    #[arg(long)]
    port: Option<u16>,
    /// The file that keeps pieces and shops. Left out: sabulo.db in the user's data folder.
    #[arg(long, value_name = "FILE")]
    data: Option<PathBuf>,
}

const PORT: u16 = 7320;

pub(crate) fn serve(arguments: &ServeArguments) -> Result<ExitCode, Failure> {
    let path = arguments.data.clone().unwrap_or_else(usual_path);
    let fault = |fault| Failure::Store { path: path.clone(), fault: Box::new(fault) };
    if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        std::fs::create_dir_all(folder).map_err(|fault| Failure::Write { path: folder.to_owned(), fault })?;
    }
    let store = Store::open(&path).map_err(fault)?;
    store.seed(&demo::PIECES).map_err(fault)?;
    let runtime = tokio::runtime::Runtime::new().map_err(Failure::Serve)?;
    runtime.block_on(run(web::App::new(store), arguments.port, &path))?;
    Ok(ExitCode::SUCCESS)
}

async fn run(app: web::App, port: Option<u16>, path: &Path) -> Result<(), Failure> {
    let listener = listen(port).await?;
    let address = listener.local_addr().map_err(Failure::Serve)?;
    print(&format!("Sabulo is open at http://{address}/\nPieces are kept in {}\nCtrl-C ends it.\n", path.display()))?;
    open_browser(&format!("http://{address}/"));
    web::serve(listener, app, stopped()).await.map_err(Failure::Serve)
}

async fn listen(port: Option<u16>) -> Result<TcpListener, Failure> {
    let wanted = port.unwrap_or(PORT);
    match TcpListener::bind(("127.0.0.1", wanted)).await {
        Ok(listener) => Ok(listener),
        Err(fault) if port.is_some() => Err(Failure::Listen { port: wanted, fault }),
        Err(_) => TcpListener::bind(("127.0.0.1", 0)).await.map_err(|fault| Failure::Listen { port: 0, fault }),
    }
}

async fn stopped() {
    // Without a signal handler the process still ends by the signal itself.
    let _ = tokio::signal::ctrl_c().await;
}

/// Shows the page where a person sits at the terminal of a desktop; elsewhere the printed address does.
fn open_browser(address: &str) {
    let desktop = cfg!(any(target_os = "macos", windows))
        || ["DISPLAY", "WAYLAND_DISPLAY"].iter().any(|name| std::env::var_os(name).is_some());
    if !desktop || !std::io::stdout().is_terminal() {
        return;
    }
    let opener = if cfg!(target_os = "macos") {
        "open"
    } else if cfg!(windows) {
        "explorer"
    } else {
        "xdg-open"
    };
    // A missing opener is no fault: the address is on the terminal.
    let _ = Command::new(opener).arg(address).stdout(Stdio::null()).stderr(Stdio::null()).spawn();
}

/// `sabulo/sabulo.db` in the user's data folder, by the convention of each system.
fn usual_path() -> PathBuf {
    let from = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|path| path.is_absolute());
    let folder = if cfg!(windows) {
        from("APPDATA")
    } else if cfg!(target_os = "macos") {
        from("HOME").map(|home| home.join("Library/Application Support"))
    } else {
        from("XDG_DATA_HOME").or_else(|| from("HOME").map(|home| home.join(".local/share")))
    };
    folder.unwrap_or_default().join("sabulo").join("sabulo.db")
}
