//! `replay`: a recorded pedal performance, run through a set in virtual time.

use super::load::{Files, Loaded, load};
use super::{Outcome, Status, Trouble};
use crate::pedal::{self, Moment, PortId};
use crate::plan::Planned;
use crate::screen::{self, Look, MOST_COLUMNS, MOST_ROWS, Screen};
use crate::sequencer::{By, Line, Sequencer, cue};
use crate::setlist::because;
use crate::show::{Done, Listener, Performance};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use serde::Serialize;
use std::io::{self, Write};
use std::path::PathBuf;

#[derive(clap::Args)]
pub(crate) struct Args {
    #[command(flatten)]
    files: Files,
    /// The recorded performance, a Standard MIDI File
    #[arg(long, value_name = "FILE")]
    pedal: PathBuf,
    /// Print one JSON object a line
    #[arg(long)]
    json: bool,
    /// Tell of refused actions too
    #[arg(long)]
    all: bool,
    /// Print each screen as text, so many columns and rows large
    #[arg(long, value_name = "COLUMNSxROWS", value_parser = size, conflicts_with = "json")]
    screens: Option<(u16, u16)>,
}

fn size(text: &str) -> Result<(u16, u16), String> {
    let parts = text
        .split_once('x')
        .and_then(|(columns, rows)| Some((columns.parse().ok()?, rows.parse().ok()?)));
    parts
        .filter(|(columns, rows)| (1..=MOST_COLUMNS).contains(columns) && (1..=MOST_ROWS).contains(rows))
        .ok_or_else(|| format!("a size is columns and rows, like 80x24, at most {MOST_COLUMNS}x{MOST_ROWS}"))
}

/// A line of the JSON account: the page's facts with what led there.
#[derive(Serialize)]
struct Entry {
    ms: f64,
    did: Option<String>,
    by: Option<&'static str>,
    #[serde(flatten)]
    page: Line,
    #[serde(skip_serializing_if = "Option::is_none")]
    why: Option<String>,
}

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    let Loaded {
        planned, rig, bindings, ..
    } = load(&args.files)?;
    let file = args.pedal.display();
    let bytes = std::fs::read(&args.pedal).map_err(|error| Trouble::with(&file, because(&error)))?;
    let timed = pedal::performance(&bytes).map_err(|error| Trouble::with(&file, error))?;
    let mut performance = Performance::open(&planned, bindings, &rig.pedals);
    let look = Look {
        guitar: rig.guitar,
        left_handed: rig.left_handed,
        ..Look::default()
    };
    let mut teller = Teller {
        args,
        out,
        screen: args.screens.map(|_| Screen::new(look)),
        error: None,
    };
    teller.opening(&planned, performance.sequencer());
    for event in timed {
        performance.bytes(&planned, PortId(0), event.at, &event.bytes, &mut teller);
    }
    while let Some(at) = performance.wake_at() {
        performance.tick(&planned, at, &mut teller);
    }
    match teller.error {
        Some(error) => Err(error.into()),
        None => Ok(Status::Fine),
    }
}

/// Prints what happens; after the first failure to write it keeps still.
struct Teller<'a, W> {
    args: &'a Args,
    out: &'a mut W,
    screen: Option<Screen>,
    error: Option<io::Error>,
}

impl<W: Write> Teller<'_, W> {
    fn opening(&mut self, planned: &Planned, sequencer: &Sequencer) {
        self.tell(planned, sequencer, Moment::START, Some("open".into()), None, None);
    }

    fn tell(
        &mut self,
        planned: &Planned,
        sequencer: &Sequencer,
        at: Moment,
        did: Option<String>,
        by: Option<By>,
        why: Option<String>,
    ) {
        if self.error.is_some() {
            return;
        }
        let page = Line::new(planned, sequencer.state());
        let entry = Entry {
            ms: at.as_ms(),
            did,
            by: by.map(By::word),
            page,
            why,
        };
        let told = if self.args.json {
            self.json(&entry)
        } else {
            self.words(planned, sequencer, &entry)
        };
        self.error = told.err();
    }

    fn json(&mut self, entry: &Entry) -> io::Result<()> {
        serde_json::to_writer(&mut *self.out, entry)?;
        writeln!(self.out)
    }

    fn words(&mut self, planned: &Planned, sequencer: &Sequencer, entry: &Entry) -> io::Result<()> {
        let seconds = entry.ms / 1000.0;
        let (minutes, seconds) = ((seconds / 60.0) as u64, seconds % 60.0);
        let cue = cue(planned, sequencer.state());
        let did = match (&entry.did, &entry.why) {
            (Some(did), _) => did.clone(),
            (None, Some(why)) => format!("({why})"),
            (None, None) => String::new(),
        };
        writeln!(
            self.out,
            "{minutes:>3}:{seconds:06.3}  {did:<16}  {}",
            screen::title(&cue)
        )?;
        let (Some(screen), Some((columns, rows))) = (&mut self.screen, self.args.screens) else {
            return Ok(());
        };
        let mut buffer = Buffer::empty(Rect::new(0, 0, columns, rows));
        screen.draw(&cue, &screen::Status::default(), &mut buffer);
        writeln!(self.out, "{}", screen::as_text(&buffer))
    }
}

impl<W: Write> Listener for Teller<'_, W> {
    fn done(&mut self, planned: &Planned, sequencer: &Sequencer, done: Done) {
        match done.result {
            Ok(_) => {
                let did = Some(done.action.to_string());
                self.tell(planned, sequencer, done.at, did, Some(done.by), None);
            }
            Err(refused) if self.args.all => {
                self.tell(
                    planned,
                    sequencer,
                    done.at,
                    None,
                    Some(done.by),
                    Some(refused.to_string()),
                );
            }
            Err(_) => {}
        }
    }
}
