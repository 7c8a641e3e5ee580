//! The ports that a pedal command listens on: its arguments, and their opening.

use super::Trouble;
use crate::pedal::{MidiPorts, PortEvent, PortId, RawPort, Teller, Wanted};
use crate::setlist::PedalSettings;
use crossbeam_channel::Sender;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

#[derive(clap::Args)]
pub(super) struct PortArgs {
    /// Print one JSON object a line
    #[arg(long)]
    pub(super) json: bool,
    /// Read MIDI bytes from a device, a serial line or a named pipe; may be given several times
    #[arg(long, value_name = "PATH")]
    raw_midi: Vec<PathBuf>,
    /// Take the MIDI ports with this in their name; may be given several times
    #[arg(long, value_name = "NAME")]
    port: Vec<String>,
    /// The player's file [default: ~/.config/footlights/player.yaml]
    #[arg(long, value_name = "FILE")]
    pub(super) player: Option<PathBuf>,
}

/// Open ports; dropping them closes them.
pub(super) struct Ports {
    _raw: Vec<RawPort>,
    _midi: MidiPorts,
}

impl PortArgs {
    /// Opens the ports that are asked for here, or else in the settings.
    ///
    /// # Errors
    /// Where a raw port can never be one, and where no thread or pipe could be made.
    pub(super) fn open<T: Send + 'static>(
        &self,
        settings: &PedalSettings,
        to: &Sender<T>,
        wrap: fn(PortEvent) -> T,
    ) -> Result<Ports, Trouble> {
        let mut raw = Vec::new();
        for (port, path) in (0..).map(PortId).zip(&self.raw_midi) {
            let opened = RawPort::open(path, port, Teller::patient(to.clone(), wrap));
            raw.push(opened.map_err(Trouble::said)?);
        }
        let first = PortId(raw.len() as u16);
        let midi = MidiPorts::start(self.wanted(settings), first, Teller::hasty(to.clone(), wrap))?;
        Ok(Ports { _raw: raw, _midi: midi })
    }

    /// The raw ports' names by number, known before anything is there.
    pub(super) fn names(&self) -> BTreeMap<u16, Arc<str>> {
        let names = self.raw_midi.iter().map(|path| path.to_string_lossy().into());
        (0..).zip(names).collect()
    }

    /// Whether there is something to listen to: a raw port, which tells of itself, or one of the MIDI inputs.
    pub(super) fn hears_any(&self, settings: &PedalSettings, inputs: &[String]) -> bool {
        let wanted = self.wanted(settings);
        !self.raw_midi.is_empty() || inputs.iter().any(|name| wanted.takes(name))
    }

    fn wanted(&self, settings: &PedalSettings) -> Wanted {
        let asked = if self.port.is_empty() {
            &settings.input
        } else {
            &self.port
        };
        Wanted {
            inputs: asked.clone(),
            output: None,
        }
    }
}
