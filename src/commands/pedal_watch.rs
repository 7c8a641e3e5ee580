//! `pedal watch`: each message as it comes, until ctrl-C or until nobody reads on.

use super::Trouble;
use super::pedal_ports::{PortArgs, when_asked_to_end};
use crate::pedal::{Bindings, Ear, News, PortEvent, SwitchName, Told, word};
use crate::setlist::PedalSettings;
use crossbeam_channel::{Receiver, Sender, bounded};
use rustix::event::{PollFd, PollFlags, poll};
use serde::Serialize;
use std::collections::BTreeMap;
use std::io::{self, Write};
use std::sync::Arc;
use std::time::Instant;

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
        json: watching.args.json,
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
    when_asked_to_end(move || drop(asked.send(None)))?;
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
    json: bool,
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
        told.iter().try_for_each(|told| {
            if self.json {
                json(self.out, ms, name, told)
            } else {
                words(self.out, ms, name, told)
            }
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

fn words(out: &mut impl Write, ms: f64, port: &str, told: &Told) -> io::Result<()> {
    let bytes: Vec<String> = told.bytes.iter().map(|byte| format!("{byte:02X}")).collect();
    let (seconds, port, bytes) = (ms / 1000.0, port.escape_debug(), bytes.join(" "));
    write!(out, "{seconds:>9.3}  {port}  {bytes:<8}  {}", told.words)?;
    if let Some(switch) = told.switch {
        write!(out, "; {switch}")?;
    }
    match (&told.press, &told.hold) {
        (Some(press), Some(hold)) => write!(out, ": {press}, held: {hold}")?,
        (Some(press), None) => write!(out, ": {press}")?,
        (None, _) if told.switch.is_some() => write!(out, ": bound to nothing")?,
        (None, _) => {}
    }
    writeln!(out)
}
