//! `sabulo` and `sabulo serve`: the app, on this computer, and on others when they are let in.

use super::print;
use crate::demo;
use crate::error::Failure;
use clap::Args;
use language::say;
use std::io::IsTerminal as _;
use std::net::{IpAddr, SocketAddr};
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
    /// Let tablets and other computers reach it too, once they are paired: on every private address of this computer,
    /// or on those named, such as --lan=192.168.1.5. The connection is not encrypted.
    #[arg(long, value_name = "ADDRESS", num_args = 0.., require_equals = true, value_delimiter = ',')]
    lan: Option<Vec<IpAddr>>,
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
    runtime.block_on(run(web::App::new(store), arguments, &path))?;
    Ok(ExitCode::SUCCESS)
}

async fn run(app: web::App, arguments: &ServeArguments, path: &Path) -> Result<(), Failure> {
    let here = listen(arguments.port).await?;
    let address = here.local_addr().map_err(Failure::Serve)?;
    let network = match &arguments.lan {
        Some(named) => listen_to_others(named, address.port()).await?,
        None => Vec::new(),
    };
    // In one piece: whoever reads the address may close the pipe behind it.
    print(&told(address, &network, path)?)?;
    open_browser(&format!("http://{address}/"));
    web::serve_at(web::Doors { here, network }, app, stopped()).await.map_err(Failure::Serve)
}

/// Where it is open, and to whom.
fn told(here: SocketAddr, network: &[TcpListener], path: &Path) -> Result<String, Failure> {
    let mut lines = vec![say!("Sabulo is open at http://{here}/"), say!("Pieces are kept in {}", path.display())];
    for listener in network {
        let address = listener.local_addr().map_err(Failure::Serve)?;
        lines.push(say!("Other devices come in at http://{address}/enter with a code from http://{here}/pair"));
    }
    if !network.is_empty() {
        lines.push(say!("Anyone on that network can read what they and this computer say to each other.").to_owned());
    }
    lines.push(say!("Ctrl-C ends it.").to_owned());
    Ok(lines.join("\n") + "\n")
}

/// Listens on addresses that other computers reach: those named, or every private one of this computer. An address
/// that the whole internet may reach is listened on only when it is named.
async fn listen_to_others(named: &[IpAddr], port: u16) -> Result<Vec<TcpListener>, Failure> {
    let private = |address: &IpAddr| matches!(address, IpAddr::V4(v4) if v4.is_private());
    let addresses: Vec<IpAddr> = match named {
        [] => {
            let all = if_addrs::get_if_addrs().map_err(Failure::Serve)?;
            all.iter().map(|interface| interface.ip()).filter(private).collect()
        }
        named => named.to_vec(),
    };
    if addresses.is_empty() {
        return Err(Failure::NoNetwork);
    }
    let mut listeners = Vec::new();
    for address in addresses.into_iter().map(|address| SocketAddr::new(address, port)) {
        let listener = TcpListener::bind(address).await.map_err(|fault| Failure::ListenAt { address, fault })?;
        listeners.push(listener);
    }
    Ok(listeners)
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
pub(super) fn usual_path() -> PathBuf {
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
