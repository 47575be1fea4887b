//! Other devices: how a tablet or another computer is let in, what it may do, and how it is shut out.
//!
//! * `door`: where a connection comes in. The door of this computer needs no pairing; the network's does.
//! * `code`: the six digits that are shown here and typed there, once, within five minutes.
//! * `session`: what a paired device shows with each request; the store keeps its hash.
//! * `rules`: who may ask for what, in one place.
//! * `limit`: how often an address may ask.
//! * `entry`: the steps at the network's door, in order. `routes`: the pages.
//!
//! Nothing here hides what is said: there is no TLS, and the pages say so.

pub(crate) mod code;
pub(crate) mod door;
pub(crate) mod entry;
pub(crate) mod limit;
pub(crate) mod routes;
pub(crate) mod rules;
pub(crate) mod session;

use code::Codes;
use language::say;
use limit::Limit;
use std::net::SocketAddr;
use std::sync::OnceLock;

/// What a paired device may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Role {
    /// All but pairing and putting back a backup.
    Owner,
    /// The cabinet's pages, their pictures, and logs.
    Helper,
}

impl Role {
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Owner => "owner",
            Self::Helper => "helper",
        }
    }

    /// What people read.
    pub(crate) fn name(self) -> &'static str {
        match self {
            Self::Owner => say!("owner"),
            Self::Helper => say!("helper"),
        }
    }

    pub(crate) fn of(word: &str) -> Option<Self> {
        [Self::Owner, Self::Helper].into_iter().find(|role| role.word() == word)
    }
}

/// What the server remembers of pairing while it runs.
#[derive(Debug)]
pub(crate) struct Pairing {
    pub codes: Codes,
    /// Codes tried, by address.
    pub tries: Limit,
    /// Requests from the network that may cost something, by address.
    pub asks: Limit,
    /// Where other devices reach this computer; empty when they do not.
    pub addresses: OnceLock<Vec<SocketAddr>>,
}

/// Codes that an address may try at once; one more comes back every twelve seconds.
const TRIES: u32 = 5;
/// Requests that an address may make at once. A plan page with its pictures asks some twenty times.
const ASKS: u32 = 120;

impl Pairing {
    pub(crate) fn new() -> Self {
        Self {
            codes: Codes::default(),
            tries: Limit::new(TRIES, 1.0 / 12.0),
            asks: Limit::new(ASKS, 20.0),
            addresses: OnceLock::new(),
        }
    }

    pub(crate) fn addresses(&self) -> &[SocketAddr] {
        self.addresses.get().map_or(&[], Vec::as_slice)
    }
}
