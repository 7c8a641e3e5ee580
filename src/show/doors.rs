//! Where events come from: the keys, the signals, raw ports and MIDI ports, opened after the first picture.

use crate::pedal::{MidiPorts, PortId, RawPort, Teller, Wanted};
use crate::show::event::Event;
use crate::show::signals::{Caught, Signals};
use crate::show::typing::Typing;
use crossbeam_channel::Sender;
use std::io;
use std::path::{Path, PathBuf};

/// The ports that are wanted.
#[derive(Clone)]
pub struct Doors {
    /// Raw ports to read.
    pub raw_ports: Vec<PathBuf>,
    /// MIDI ports to take.
    pub wanted: Wanted,
}

/// Open doors; dropping them shuts them.
pub(super) struct Open {
    _signals: Signals,
    _typing: Typing,
    _raw_ports: Vec<RawPort>,
}

impl Doors {
    /// Opens all of them.
    ///
    /// # Errors
    /// Where a thread cannot be started. A port that is not there is waited for.
    pub(super) fn open(&self, signals: Caught, to: &Sender<Event>) -> io::Result<(Open, MidiPorts)> {
        let signals = signals.listen(to.clone())?;
        let typing = Typing::start(to.clone())?;
        let raw_ports = self.raw_ports.iter().enumerate().map(|(place, path)| {
            let teller = Teller::patient(to.clone(), Event::Port);
            RawPort::open(path, PortId(place as u16), teller)
        });
        let raw_ports = raw_ports.collect::<io::Result<Vec<RawPort>>>()?;
        let teller = Teller::hasty(to.clone(), Event::Port);
        let midi = MidiPorts::start(self.wanted.clone(), PortId(raw_ports.len() as u16), teller)?;
        let open = Open {
            _signals: signals,
            _typing: typing,
            _raw_ports: raw_ports,
        };
        Ok((open, midi))
    }

    /// The raw ports as the screen names them: each by the last part of its path.
    pub(super) fn names(&self) -> impl Iterator<Item = (PortId, String)> {
        let name = |path: &Path| {
            path.file_name()
                .unwrap_or(path.as_os_str())
                .to_string_lossy()
                .into_owned()
        };
        let ports = self.raw_ports.iter().enumerate();
        ports.map(move |(place, path)| (PortId(place as u16), name(path)))
    }
}
