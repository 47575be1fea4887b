//! Where a connection comes in, and how many may be in at once.

use axum::extract::connect_info::Connected;
use axum::serve::{IncomingStream, Listener};
use std::io;
use std::net::SocketAddr;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// A way in: its names, and whether it leads to this computer alone.
#[derive(Debug, Clone)]
pub(crate) struct Door {
    /// What a request may name as its host.
    pub hosts: Vec<String>,
    /// Other computers reach it.
    pub network: bool,
}

impl Door {
    /// The loopback address.
    pub(crate) fn here(port: u16) -> Self {
        let hosts = ["127.0.0.1", "localhost", "[::1]"].map(|name| format!("{name}:{port}"));
        Self { hosts: hosts.to_vec(), network: false }
    }

    /// An address that other computers reach. Its only name is the address itself: a name that somebody pointed at it
    /// is not ours.
    pub(crate) fn network(address: SocketAddr) -> Self {
        Self { hosts: vec![address.to_string()], network: true }
    }
}

/// The other end of a connection.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Peer(pub SocketAddr);

/// Connections at once from the network. Whoever holds them all shuts out other devices, but not this computer.
const CONNECTIONS: usize = 256;

/// A listener that takes no more connections than it has places.
#[derive(Debug)]
pub(crate) struct Counted {
    listener: TcpListener,
    places: Arc<Semaphore>,
}

impl Counted {
    pub(crate) fn new(listener: TcpListener) -> Self {
        Self { listener, places: Arc::new(Semaphore::new(CONNECTIONS)) }
    }
}

impl Listener for Counted {
    type Io = Placed;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (Placed, SocketAddr) {
        // The places are never closed.
        let place = Arc::clone(&self.places).acquire_owned().await.ok();
        let (stream, peer) = Listener::accept(&mut self.listener).await;
        (Placed { stream, _place: place }, peer)
    }

    fn local_addr(&self) -> io::Result<SocketAddr> {
        self.listener.local_addr()
    }
}

impl Connected<IncomingStream<'_, Counted>> for Peer {
    fn connect_info(stream: IncomingStream<'_, Counted>) -> Self {
        Self(*stream.remote_addr())
    }
}

/// A connection and its place, which is free again when it ends.
#[derive(Debug)]
pub(crate) struct Placed {
    stream: TcpStream,
    _place: Option<OwnedSemaphorePermit>,
}

impl AsyncRead for Placed {
    fn poll_read(mut self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_read(cx, buf)
    }
}

impl AsyncWrite for Placed {
    fn poll_write(mut self: Pin<&mut Self>, cx: &mut Context<'_>, buf: &[u8]) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.stream).poll_write(cx, buf)
    }

    fn poll_flush(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_flush(cx)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, cx: &mut Context<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_shutdown(cx)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
        bufs: &[io::IoSlice<'_>],
    ) -> Poll<io::Result<usize>> {
        Pin::new(&mut self.stream).poll_write_vectored(cx, bufs)
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }
}
