//! `pedal watch`: each message as it comes, until ctrl-C or until nobody reads on.

use super::leaving::{PATIENCE, when_asked_to_end};
use super::pedal_ports::PortArgs;
use super::terminal::columns;
use super::{Status, Trouble};
use crate::pedal::{Bindings, Ear, News, PortEvent, SwitchName, Told, word};
use crate::setlist::PedalSettings;
use crossbeam_channel::{Receiver, Sender, bounded};
use rustix::event::{PollFd, PollFlags, poll};
use serde::Serialize;
use std::collections::BTreeMap;
use std::io::{self, IsTerminal, Write};
use std::sync::Arc;
use std::time::Instant;
use unicode_width::UnicodeWidthStr;

/// What to watch, and how to tell it.
pub(super) struct Watching<'a> {
    pub(super) bindings: Bindings,
    pub(super) settings: PedalSettings,
    pub(super) args: &'a PortArgs,
}

/// What a port tells, or none where it is over: by a signal, or since nobody reads standard output any more.
type Event = Option<PortEvent>;

/// Far more than a hand or a foot sends while a line is printed.
const WAITING: usize = 512;

/// A line of the JSON account.
#[derive(Serialize)]
struct Entry<'a> {
    ms: f64,
    port: &'a str,
    message: &'a str,
    bytes: &'a [u8],
    switch: Option<Switch>,
    action: Option<String>,
    hold: Option<String>,
}

#[derive(Serialize)]
struct Switch {
    kind: &'static str,
    number: u8,
    channel: u8,
}

/// Tells what comes until it is over.
pub(super) fn run(watching: Watching<'_>, out: &mut impl Write) -> Result<(), Trouble> {
    let (to, events) = bounded(WAITING);
    end_when_asked(to.clone())?;
    let mut account = Account {
        ear: Ear::new(watching.bindings),
        names: watching.args.names(),
        started: Instant::now(),
        columns: (!watching.args.json).then_some(if io::stdout().is_terminal() {
            columns
        } else {
            || usize::MAX
        }),
        out,
    };
    let _ports = watching.args.open(&watching.settings, &to, Some)?;
    // The threads alone send from here on.
    drop(to);
    let result = account.keep(&events);
    // A port that waits for room must not keep us waiting for it.
    drop(events);
    Ok(result?)
}

/// Ends on a signal to end, and when standard output closes: two threads that sleep until then.
fn end_when_asked(to: Sender<Event>) -> Result<(), Trouble> {
    let asked = to.clone();
    when_asked_to_end(Status::Fine, move || drop(asked.send_timeout(None, PATIENCE)))?;
    std::thread::Builder::new().name("reader".into()).spawn(move || {
        let stdout = io::stdout();
        // No events are asked for: an error or a hang-up is told all the same.
        let mut fds = [PollFd::new(&stdout, PollFlags::empty())];
        while poll(&mut fds, None).is_err() {}
        let _ = to.send(None);
    })?;
    Ok(())
}

struct Account<'a, W> {
    ear: Ear,
    names: BTreeMap<u16, Arc<str>>,
    started: Instant,
    /// How wide a line may be now; none for JSON.
    columns: Option<fn() -> usize>,
    out: &'a mut W,
}

impl<W: Write> Account<'_, W> {
    fn keep(&mut self, events: &Receiver<Event>) -> io::Result<()> {
        while let Ok(Some(event)) = events.recv() {
            self.take(event)?;
            // What has come already is written in one go.
            while let Ok(event) = events.try_recv() {
                match event {
                    Some(event) => self.take(event)?,
                    None => return Ok(()),
                }
            }
            self.out.flush()?;
        }
        Ok(())
    }

    fn take(&mut self, event: PortEvent) -> io::Result<()> {
        let PortEvent { port, at, news } = event;
        let ms = at.saturating_duration_since(self.started).as_micros() as f64 / 1000.0;
        let mut told = Vec::new();
        match news {
            News::Bytes(chunk) => self.ear.hear(port, chunk.bytes(), |message| told.push(message)),
            News::Here(name) => {
                self.names.insert(port.0, name);
                told.push(plain("the port is here"));
            }
            News::Gone => {
                self.ear.lose(port);
                told.push(plain("the port is not here"));
            }
        }
        let name = self.names.get(&port.0).map_or("", |name| name);
        told.iter().try_for_each(|told| match self.columns {
            None => json(self.out, ms, name, told),
            Some(columns) => self.out.write_all(words(ms, name, told, columns()).as_bytes()),
        })
    }
}

fn plain(words: &str) -> Told {
    Told {
        words: words.into(),
        bytes: Vec::new(),
        switch: None,
        press: None,
        hold: None,
    }
}

fn json(out: &mut impl Write, ms: f64, port: &str, told: &Told) -> io::Result<()> {
    let switch = |name: SwitchName| Switch {
        kind: word(name.kind),
        number: name.number.number(),
        channel: name.channel.number(),
    };
    let entry = Entry {
        ms,
        port,
        message: &told.words,
        bytes: &told.bytes,
        switch: told.switch.map(switch),
        action: told.press.as_ref().map(ToString::to_string),
        hold: told.hold.as_ref().map(ToString::to_string),
    };
    serde_json::to_writer(&mut *out, &entry)?;
    writeln!(out)
}

/// A line, or two where one would be wider than the terminal: the message, and below it the switch with its action.
fn words(ms: f64, port: &str, told: &Told, columns: usize) -> String {
    let bytes: Vec<String> = told.bytes.iter().map(|byte| format!("{byte:02X}")).collect();
    let (seconds, port, bytes) = (ms / 1000.0, port.escape_debug(), bytes.join(" "));
    let before = format!("{seconds:>9.3}  {port}  {bytes:<8}  ");
    let action = match (&told.press, &told.hold) {
        (Some(press), Some(hold)) => format!(": {press}, held: {hold}"),
        (Some(press), None) => format!(": {press}"),
        (None, _) if told.switch.is_some() => ": bound to nothing".into(),
        (None, _) => String::new(),
    };
    let Some(switch) = told.switch else {
        return format!("{before}{}{action}\n", told.words);
    };
    let line = format!("{before}{}; {switch}{action}", told.words);
    if line.width() <= columns {
        return line + "\n";
    }
    let under = (columns.saturating_sub(format!("{switch}{action}").width())).min(before.width());
    format!("{before}{}\n{:under$}{switch}{action}\n", told.words, "")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pedal::PortId;
    use crate::setlist::read_text;

    #[test]
    fn a_line_wider_than_the_terminal_goes_on_below_its_message() {
        let player = "player: Wren\npedals: { switches: [{ cc: 80, do: next, hold: next-song }] }\n";
        let bindings = Bindings::read(
            &read_text("set: S\nsongs: [{ song: A, key: C }]\n", Some(player))
                .rig
                .pedals,
        );
        let mut told = Vec::new();
        Ear::new(bindings.unwrap()).hear(PortId(0), &[0xB0, 80, 127], |message| told.push(message));
        let wide =
            "    1.500  pedal  B0 50 7F  control change 80, value 127 (on), channel 1; cc 80: next, held: next-song\n";
        assert_eq!(words(1500.0, "pedal", &told[0], 120), wide);
        let narrow = "    1.500  pedal  B0 50 7F  control change 80, value 127 (on), channel 1\n\
                      \x20                           cc 80: next, held: next-song\n";
        assert_eq!(words(1500.0, "pedal", &told[0], 80), narrow);
    }
}
