//! The MIDI ports of the system, looked after by a thread of their own.
//!
//! The system gives no notice of ports, so they are listed twice a second, but only where there is a MIDI sequencer;
//! where there is none the thread sleeps until one appears.

use crate::pedal::PortId;
use crate::pedal::midi_system::{Found, MidiSystem, Midir};
use crate::pedal::patchbay::{Patchbay, Wanted};
use crate::pedal::port::Teller;
use crate::pedal::sleep::sleep;
use crate::pedal::vigil::{Change, Vigil};
use crate::setlist::Message;
use crossbeam_channel::{Receiver, Sender, bounded};
use std::io::{self, PipeReader, PipeWriter, Write};
use std::os::fd::AsFd;
use std::path::Path;
use std::thread::{Builder, JoinHandle};
use std::time::Duration;

/// The thread that looks after the ports; dropping it closes them all.
pub struct MidiPorts {
    orders: Sender<Message>,
    /// A byte in it says that there is an order, its closing that it is over.
    call: Option<PipeWriter>,
    thread: Option<JoinHandle<()>>,
}

/// The names of the ports there are.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PortNames {
    pub inputs: Vec<String>,
    pub outputs: Vec<String>,
}

/// A port must be missed, and taken again, within a second.
const LOOK_EVERY: Duration = Duration::from_millis(500);
/// Far more than the `send` lists of one song and step; what does not fit is not sent.
const MOST_ORDERS: usize = 256;

impl MidiPorts {
    /// Opens every port that is wanted, now or when it comes. Inputs are numbered from `first` as they are met.
    ///
    /// # Errors
    /// Where no thread or pipe could be made.
    pub fn start(wanted: Wanted, first: PortId, teller: Teller) -> io::Result<MidiPorts> {
        let (called, call) = io::pipe()?;
        let (orders, ordered) = bounded(MOST_ORDERS);
        let thread = Builder::new().name("midi ports".into()).spawn(move || {
            let patchbay = Patchbay::new(Midir::default(), wanted, first, teller);
            look_after(patchbay, &called, &ordered);
        })?;
        Ok(MidiPorts {
            orders,
            call: Some(call),
            thread: Some(thread),
        })
    }

    /// Sends a message to the output. It never waits and never fails: a lost output loses what is sent to it.
    pub fn send(&self, message: Message) {
        if let (Ok(()), Some(mut call)) = (self.orders.try_send(message), self.call.as_ref()) {
            let _ = call.write_all(&[1]);
        }
    }
}

impl Drop for MidiPorts {
    fn drop(&mut self) {
        self.call = None;
        if let Some(thread) = self.thread.take() {
            // A thread that panicked has said so itself.
            let _ = thread.join();
        }
    }
}

/// The ports there are just now. The system may write on standard error meanwhile.
pub fn port_names() -> PortNames {
    if Sequencer::find() != Sequencer::Here {
        return PortNames::default();
    }
    let names = |found: Vec<Found>| found.into_iter().map(|found| found.name).collect();
    let mut system = Midir::default();
    PortNames {
        inputs: names(system.inputs()),
        outputs: names(system.outputs()),
    }
}

/// Whether the machine has a MIDI sequencer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sequencer {
    Here,
    Missing,
}

/// ALSA's sequencer, and the folders in which it would appear.
const ALSA: &str = "/dev/snd/seq";
const ALSA_FOLDERS: [&str; 2] = ["/dev/snd", "/dev"];

impl Sequencer {
    /// To ask ALSA itself where it is not there takes a while and prints a line each time.
    fn find() -> Sequencer {
        let needs_alsa = cfg!(target_os = "linux") && !cfg!(feature = "jack");
        if !needs_alsa || Path::new(ALSA).exists() {
            Sequencer::Here
        } else {
            Sequencer::Missing
        }
    }

    /// Wakes when something appears where the sequencer would.
    fn awaited() -> Option<Vigil> {
        let folders = ALSA_FOLDERS.iter().map(Path::new);
        folders
            .filter_map(|folder| Vigil::over(folder, Change::Newcomer))
            .next()
    }
}

fn look_after(mut patchbay: Patchbay<impl MidiSystem>, called: &PipeReader, ordered: &Receiver<Message>) {
    loop {
        // Watched from before it is looked for, so that it cannot slip in between.
        let vigil = match Sequencer::find() {
            Sequencer::Here => None,
            Sequencer::Missing => Sequencer::awaited(),
        };
        let sequencer = Sequencer::find();
        match sequencer {
            Sequencer::Here => patchbay.look(),
            Sequencer::Missing => patchbay.lose_all(),
        }
        let at_most = (sequencer == Sequencer::Here).then_some(LOOK_EVERY);
        let woken = sleep(called.as_fd(), [vigil.as_ref().map(Vigil::fd), None], at_most);
        if woken.stop {
            return;
        }
        if woken.called {
            // One byte an order, or more orders than bytes: both are taken whole.
            let _ = rustix::io::read(called, &mut [0; MOST_ORDERS]);
            for message in ordered.try_iter() {
                patchbay.send(wire(message).as_slice());
            }
        }
    }
}

/// A message of a `send` list as it stands on the wire.
fn wire(message: Message) -> Vec<u8> {
    match message {
        Message::Program { program, channel } => vec![0xC0 | channel.on_wire(), program.number()],
        Message::Control { cc, value, channel } => vec![0xB0 | channel.on_wire(), cc.number(), value.number()],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setlist::{Channel, Seven};

    // Source: MIDI 1.0 detailed specification, table II (channel voice messages; from memory).
    #[test]
    fn a_send_list_is_written_as_the_specification_has_it() {
        let channel = Channel::new(16).unwrap();
        let seven = |number| Seven::new(number).unwrap();
        let program = Message::Program {
            program: seven(12),
            channel,
        };
        let control = Message::Control {
            cc: seven(20),
            value: seven(127),
            channel,
        };
        assert_eq!(wire(program), [0xCF, 12]);
        assert_eq!(wire(control), [0xBF, 20, 127]);
    }

    #[test]
    fn the_thread_ends_when_it_is_not_wanted_any_more_whatever_was_sent() {
        let ports = MidiPorts::start(Wanted::default(), PortId(0), Teller::new(|_| true)).unwrap();
        let message = Message::Program {
            program: Seven::new(1).unwrap(),
            channel: Channel::new(1).unwrap(),
        };
        for _ in 0..2 * MOST_ORDERS {
            ports.send(message);
        }
        drop(ports);
    }
}
