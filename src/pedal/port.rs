//! What comes from a port: a few bytes with their moment, or word that it went or came back.

#![allow(
    clippy::disallowed_methods,
    reason = "an outer file: it stamps what comes with the clock's time"
)]

use crate::pedal::PortId;
use crossbeam_channel::{Sender, TrySendError};
use std::sync::Arc;
use std::time::Instant;

/// News of a port, stamped as soon as it was there.
#[derive(Clone, Debug)]
pub struct PortEvent {
    pub port: PortId,
    pub at: Instant,
    pub news: News,
}

#[derive(Clone, Debug)]
pub enum News {
    Bytes(Chunk),
    /// The port of this name is there, for the first time or again.
    Here(Arc<str>),
    Gone,
}

/// A few bytes, carried without an allocation: a press is three, and a burst of twenty presses still comes as one.
#[derive(Clone)]
pub struct Chunk {
    bytes: [u8; Chunk::MOST],
    len: u8,
}

/// Takes news from the ports' threads, and says whether anyone still listens.
#[derive(Clone)]
pub struct Teller(Arc<dyn Fn(PortEvent) -> bool + Send + Sync>);

impl Teller {
    /// `send` must not wait: it is called where the system hands over its bytes.
    pub fn new(send: impl Fn(PortEvent) -> bool + Send + Sync + 'static) -> Teller {
        Teller(Arc::new(send))
    }

    /// Waits until there is room, for a port that may be held up: what follows stays in the device.
    pub fn patient<T: Send + 'static>(to: Sender<T>, wrap: fn(PortEvent) -> T) -> Teller {
        Teller::new(move |event| to.send(wrap(event)).is_ok())
    }

    /// Loses what there is no room for: the system's MIDI may not be made to wait.
    pub fn hasty<T: Send + 'static>(to: Sender<T>, wrap: fn(PortEvent) -> T) -> Teller {
        Teller::new(move |event| !matches!(to.try_send(wrap(event)), Err(TrySendError::Disconnected(_))))
    }

    /// Stamps the news and passes it on.
    pub(super) fn tell(&self, port: PortId, news: News) -> bool {
        let at = Instant::now();
        (self.0)(PortEvent { port, at, news })
    }
}

impl Chunk {
    /// The most that one chunk holds.
    pub const MOST: usize = 192;

    /// The first bytes of a slice, as many as a chunk holds.
    pub fn new(bytes: &[u8]) -> Chunk {
        let len = bytes.len().min(Chunk::MOST);
        let mut chunk = Chunk {
            bytes: [0; Chunk::MOST],
            len: len as u8,
        };
        chunk.bytes[..len].copy_from_slice(&bytes[..len]);
        chunk
    }

    pub fn bytes(&self) -> &[u8] {
        &self.bytes[..usize::from(self.len)]
    }
}

impl std::fmt::Debug for Chunk {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:02X?}", self.bytes())
    }
}
