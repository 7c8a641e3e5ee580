//! The system's MIDI ports: what they can do, as a trait, and the real ones by way of midir.

use crate::pedal::PortId;
use crate::pedal::port::{Chunk, News, Teller};
use midir::{MidiInput, MidiOutput, MidiOutputConnection};
use std::any::Any;
use std::path::Path;

/// A port that the system has just now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Found {
    /// The system's own mark for it, which may change when it is plugged in again.
    pub(super) id: String,
    /// The name that stays the same.
    pub(super) name: String,
    /// Another number each time that it is plugged in, where the system tells: a port that goes and is back before
    /// anybody looks may have the same mark, but is connected to nobody.
    pub(super) plug: Option<u64>,
}

/// An open input; dropping it closes it.
pub(super) type Listening = Box<dyn Any + Send>;

/// What Footlights wants of a system's MIDI.
#[cfg_attr(test, mockall::automock)]
pub(super) trait MidiSystem {
    /// The inputs there are, our own left out.
    fn inputs(&mut self) -> Vec<Found>;

    /// The outputs there are, our own left out.
    fn outputs(&mut self) -> Vec<Found>;

    /// Opens an input, whose bytes are told from now on; nothing where it cannot be opened.
    fn listen(&mut self, found: &Found, port: PortId, teller: Teller) -> Option<Listening>;

    /// Opens an output; nothing where it cannot be opened.
    fn open_output(&mut self, found: &Found) -> Option<Box<dyn Output>>;
}

/// An open output; dropping it closes it.
#[cfg_attr(test, mockall::automock)]
pub(super) trait Output: Send {
    /// Sends one message; false where that failed.
    fn send(&mut self, bytes: &[u8]) -> bool;
}

/// Our name among the clients of the system, by which our own ports are known.
const CLIENT: &str = "Footlights";
/// A client that could not be made is not tried again for so many lists: each try may leave a line in the log.
const TRIES_PASSED_OVER: u32 = 20;

/// The real thing.
#[derive(Default)]
pub(super) struct Midir {
    inputs: Client<MidiInput>,
    outputs: Client<MidiOutput>,
}

/// A client that serves to list ports. It is kept, since making one is slow and, where it fails, noisy.
struct Client<T> {
    made: Option<T>,
    pass_over: u32,
}

impl<T> Default for Client<T> {
    fn default() -> Client<T> {
        Client {
            made: None,
            pass_over: 0,
        }
    }
}

impl<T> Client<T> {
    fn or_make<E>(&mut self, make: impl FnOnce(&str) -> Result<T, E>) -> Option<&T> {
        if self.made.is_none() {
            if self.pass_over > 0 {
                self.pass_over -= 1;
                return None;
            }
            self.made = make(CLIENT).ok();
            self.pass_over = TRIES_PASSED_OVER;
        }
        self.made.as_ref()
    }
}

impl MidiSystem for Midir {
    fn inputs(&mut self) -> Vec<Found> {
        let Some(client) = self.inputs.or_make(MidiInput::new) else {
            return Vec::new();
        };
        let ports = client.ports().into_iter();
        found(ports.map(|port| (port.id(), client.port_name(&port).ok())))
    }

    fn outputs(&mut self) -> Vec<Found> {
        let Some(client) = self.outputs.or_make(MidiOutput::new) else {
            return Vec::new();
        };
        let ports = client.ports().into_iter();
        found(ports.map(|port| (port.id(), client.port_name(&port).ok())))
    }

    fn listen(&mut self, found: &Found, port: PortId, teller: Teller) -> Option<Listening> {
        // A connection takes its client with it, so each has one of its own.
        let client = MidiInput::new(CLIENT).ok()?;
        let from = client.find_port_by_id(&found.id)?;
        // This runs in a thread of the system's: no waiting and no panic.
        let heard = move |_: u64, bytes: &[u8], (): &mut ()| {
            teller.tell(port, News::Bytes(Chunk::new(short(bytes))));
        };
        let listening = client.connect(&from, "pedal", heard, ()).ok()?;
        Some(Box::new(listening))
    }

    fn open_output(&mut self, found: &Found) -> Option<Box<dyn Output>> {
        let client = MidiOutput::new(CLIENT).ok()?;
        let to = client.find_port_by_id(&found.id)?;
        Some(Box::new(client.connect(&to, "out").ok()?))
    }
}

impl Output for MidiOutputConnection {
    fn send(&mut self, bytes: &[u8]) -> bool {
        MidiOutputConnection::send(self, bytes).is_ok()
    }
}

fn found(ports: impl Iterator<Item = (String, Option<String>)>) -> Vec<Found> {
    let named = ports.filter_map(|(id, name)| {
        let name = lasting(&name?).to_owned();
        let plug = plug(Path::new(ALSA_FOLDER), &id);
        Some(Found { id, name, plug })
    });
    named.filter(|found| !is_ours(&found.name)).collect()
}

/// Where ALSA has a file for each card, made when the card is plugged in.
const ALSA_FOLDER: &str = "/dev/snd";

/// The file of the card that an ALSA port belongs to, by its number on the disk. The kernel gives a card's clients the
/// numbers from 16 on, four to a card, and those from 128 on to programs (Linux, sound/core/seq/seq_clientmgr.c, from
/// memory).
fn plug(folder: &Path, id: &str) -> Option<u64> {
    let client: u32 = id.split_once(':')?.0.parse().ok()?;
    let card = client.checked_sub(16).filter(|_| client < 128)? / 4;
    let file = rustix::fs::stat(folder.join(format!("controlC{card}"))).ok()?;
    Some(file.st_ino)
}

/// JACK tells clients of one name apart by a number behind it, ALSA does not.
fn is_ours(name: &str) -> bool {
    let client = name.split_once(':').map_or(name, |(client, _)| client);
    client.strip_prefix(CLIENT).is_some_and(|rest| {
        let rest = rest.strip_prefix('-').unwrap_or(rest);
        rest.bytes().all(|byte| byte.is_ascii_digit())
    })
}

/// A SysEx says nothing to us, however long it is, but that the cable is there.
fn short(bytes: &[u8]) -> &[u8] {
    match bytes {
        [0xF0, ..] => &[0xF0, 0xF7],
        bytes => bytes,
    }
}

/// A name without the numbers that ALSA puts behind it, ` 20:0`, which change when the port is plugged in again.
fn lasting(name: &str) -> &str {
    let is_number = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    match name.rsplit_once(' ') {
        Some((lasting, tail)) if tail.split_once(':').is_some_and(|(a, b)| is_number(a) && is_number(b)) => lasting,
        _ => name,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source of the first shape: midir 0.11.1, backend/alsa, `get_port_name`.
    #[test]
    fn the_numbers_behind_a_name_are_cut_off_and_nothing_else() {
        for (name, wanted) in [
            ("Stomper:Stomper MIDI 1 20:0", "Stomper:Stomper MIDI 1"),
            ("Stomper:Stomper MIDI 1 128:15", "Stomper:Stomper MIDI 1"),
            ("system:midi_capture_1", "system:midi_capture_1"),
            ("Stomper 4:x", "Stomper 4:x"),
            ("Stomper :0", "Stomper :0"),
            ("20:0", "20:0"),
            ("", ""),
        ] {
            assert_eq!(lasting(name), wanted, "{name}");
        }
    }

    #[test]
    #[allow(clippy::disallowed_methods, reason = "a test makes files")]
    fn a_card_that_is_plugged_in_again_is_told_apart_though_its_port_has_the_same_mark() {
        let folder = tempfile::tempdir().unwrap();
        let file = |name| folder.path().join(name);
        std::fs::write(file("controlC1"), "").unwrap();
        let plug = |id| plug(folder.path(), id);
        let before = plug("20:0");
        assert!(before.is_some());
        assert_eq!([plug("20:1"), plug("23:0")], [before, before], "the same card");
        for other in ["24:0", "14:0", "0:1", "128:0", "148:0", "system:midi_capture_1", ""] {
            assert_eq!(plug(other), None, "{other}");
        }
        std::fs::write(file("new"), "").unwrap();
        std::fs::rename(file("new"), file("controlC1")).unwrap();
        assert!(plug("20:0").is_some_and(|plug| Some(plug) != before));
    }

    #[test]
    fn our_own_ports_are_not_among_those_found() {
        let names = [
            "Footlights:out 130:0",
            "Footlights-01:out",
            "Stomper:1 20:0",
            "Footlights two:1 24:0",
        ];
        let ports = names.map(|name| (String::new(), Some(name.to_owned())));
        let found = found(ports.into_iter().chain([("gone".into(), None)]));
        let names: Vec<_> = found.iter().map(|found| found.name.as_str()).collect();
        assert_eq!(names, ["Stomper:1", "Footlights two:1"]);
    }

    #[test]
    fn a_client_that_cannot_be_made_is_not_tried_at_every_list() {
        let mut client = Client::<()>::default();
        let mut tries = 0;
        for _ in 0..50 {
            let made = client.or_make(|_| {
                tries += 1;
                Err(())
            });
            assert_eq!(made, None);
        }
        assert_eq!(tries, 3);
    }
}
