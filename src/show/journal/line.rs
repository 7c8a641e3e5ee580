//! The lines of a journal, one JSON object each, as they are written and as they are read.

use crate::plan::Planned;
use crate::sequencer::{Action, By, Line, Memory, Standing, State};
use crate::setlist::{Meter, Set, StepId};
use crate::show::journal::identity::identity;
use jiff::Timestamp;
use jiff::civil::DateTime;
use jiff::tz::TimeZone;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::path::Path;
use std::time::SystemTime;

/// What the lines are read by; another number, another form.
const FORM: u32 = 1;
/// A header lists the steps of a set that has no more than these: more than any show.
const MOST_STEPS: usize = 20_000;

/// How the lines of each kind begin.
const HEADER: &str = r#"{"journal":"#;
pub(super) const WHOLE: &str = r#"{"whole":"#;
const CLOSING: &str = r#"{"over":"#;
const TOLD: &str = r#"{"ms":"#;

/// The first line of a show, and of each part of it: when it came back, when its set was changed.
#[derive(Serialize, Deserialize)]
pub(super) struct Header {
    journal: u32,
    pub(super) at: String,
    version: String,
    pid: u32,
    /// The set file.
    pub(super) path: String,
    identity: String,
    pub(super) set: String,
    /// Empty where the set is too long to list.
    pub(super) songs: Vec<SongHeader>,
}

#[derive(Serialize, Deserialize)]
pub(super) struct SongHeader {
    title: String,
    pub(super) steps: Vec<StepHeader>,
}

/// A step as it is planned.
#[derive(Serialize, Deserialize)]
pub(super) struct StepHeader {
    section: String,
    /// Seconds, where bars, meter and tempo are known.
    pub(super) s: Option<f64>,
}

/// An accepted action, or where a show was opened: the line of `replay` with the wall clock's time.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(super) struct Told {
    /// Since the program started.
    pub(super) ms: f64,
    /// `open` where a show begins or goes on.
    pub(super) did: String,
    by: Option<String>,
    #[serde(flatten)]
    pub(super) page: Line,
    #[serde(flatten)]
    pub(super) standing: Standing,
    at: String,
}

#[derive(Serialize, Deserialize)]
pub(super) struct WholeLine<'m> {
    pub(super) whole: Cow<'m, Memory>,
    pub(super) identity: String,
    at: String,
}

#[derive(Serialize, Deserialize)]
struct ClosingLine {
    over: bool,
    ms: f64,
    at: String,
}

/// A line that was read.
pub(super) enum Read {
    Header(Header),
    Told(Told),
    Whole(WholeLine<'static>),
    Closing { ms: f64, over: bool },
}

impl Header {
    pub(super) fn new(at: SystemTime, path: &Path, planned: &Planned) -> Header {
        let set = &planned.set;
        let steps: usize = set.songs().iter().map(|song| song.steps.len()).sum();
        let song = |id| SongHeader {
            title: set.song(id).title.clone(),
            steps: set.steps(id).map(|step| step_header(set, step)).collect(),
        };
        Header {
            journal: FORM,
            at: stamp(at),
            version: env!("CARGO_PKG_VERSION").into(),
            pid: std::process::id(),
            path: path.to_string_lossy().into_owned(),
            identity: identity_words(planned),
            set: set.name.clone(),
            songs: if steps <= MOST_STEPS {
                set.song_ids().map(song).collect()
            } else {
                Vec::new()
            },
        }
    }
}

/// Seconds are bars times the beats of a bar times 60 over the beats a minute, by what these words mean.
fn step_header(set: &Set, step: StepId) -> StepHeader {
    let (song, section) = (set.song(step.song()), set.section(step));
    let s = || {
        let beats = section.bars?.count() * u32::from(song.meter.unwrap_or(Meter::COMMON).beats());
        Some(f64::from(beats) * 60.0 / song.tempo?.bpm())
    };
    StepHeader {
        section: section.name.clone(),
        s: s().map(rounded),
    }
}

pub(super) fn identity_words(planned: &Planned) -> String {
    format!("{:016x}", identity(planned))
}

pub(super) fn write_header(out: &mut Vec<u8>, header: &Header) {
    put(out, header);
}

/// Writes where a show stands at `at`, `ms` after the start, and by what action; none where it begins or goes on.
pub(super) fn write_told(
    out: &mut Vec<u8>,
    at: SystemTime,
    ms: f64,
    did: Option<(&Action, By)>,
    planned: &Planned,
    state: &State,
) {
    let told = Told {
        ms: rounded(ms),
        did: did.map_or_else(|| "open".into(), |(action, _)| action.to_string()),
        by: did.map(|(_, by)| by.word().into()),
        page: Line::new(planned, state),
        standing: Standing::of(planned, state),
        at: stamp(at),
    };
    put(out, &told);
}

/// Writes all that a sequencer knows.
pub(super) fn write_whole(out: &mut Vec<u8>, at: SystemTime, planned: &Planned, memory: &Memory) {
    let line = WholeLine {
        whole: Cow::Borrowed(memory),
        identity: identity_words(planned),
        at: stamp(at),
    };
    put(out, &line);
}

pub(super) fn write_closing(out: &mut Vec<u8>, at: SystemTime, ms: f64, over: bool) {
    let ms = rounded(ms);
    put(
        out,
        &ClosingLine {
            over,
            ms,
            at: stamp(at),
        },
    );
}

/// Reads a line of any kind; none where it is torn or strange.
pub(super) fn read(line: &str) -> Option<Read> {
    match () {
        () if line.starts_with(TOLD) => from(line).map(Read::Told),
        () if line.starts_with(WHOLE) => from(line).map(Read::Whole),
        () if line.starts_with(CLOSING) => {
            let ClosingLine { over, ms, .. } = from(line)?;
            Some(Read::Closing { ms, over })
        }
        () if line.starts_with(HEADER) => from(line)
            .filter(|header: &Header| header.journal == FORM)
            .map(Read::Header),
        () => None,
    }
}

/// When a line was written, and nothing else of it.
pub(super) fn at_of(line: &str) -> Option<Timestamp> {
    #[derive(Deserialize)]
    struct At<'l> {
        #[serde(borrow)]
        at: &'l str,
    }
    serde_json::from_str::<At<'_>>(line).ok()?.at.parse().ok()
}

/// The name of a journal that is begun now: names in their order are times in their order.
pub(super) fn file_name(now: SystemTime, pid: u32) -> String {
    let now = Timestamp::try_from(now).unwrap_or(Timestamp::UNIX_EPOCH);
    format!("{}-{pid}.jsonl", now.strftime(NAME))
}

/// When the journal of this name was begun.
pub(super) fn begun_at(name: &str) -> Option<Timestamp> {
    let (stamp, pid) = name.strip_suffix(".jsonl")?.split_once('-')?;
    let _: u32 = pid.parse().ok()?;
    let utc = DateTime::strptime(NAME, stamp).ok()?;
    TimeZone::UTC.to_timestamp(utc).ok()
}

const NAME: &str = "%Y%m%dT%H%M%S.%3fZ";

fn rounded(number: f64) -> f64 {
    (number * 1000.0).round() / 1000.0
}

fn stamp(at: SystemTime) -> String {
    let at = Timestamp::try_from(at).unwrap_or(Timestamp::UNIX_EPOCH);
    format!("{at:.3}")
}

fn from<'l, T: Deserialize<'l>>(line: &'l str) -> Option<T> {
    serde_json::from_str(line).ok()
}

fn put(out: &mut Vec<u8>, line: &impl Serialize) {
    let before = out.len();
    // These types have string keys alone, and memory takes all: nothing here can fail.
    if serde_json::to_writer(&mut *out, line).is_err() {
        out.truncate(before);
        return;
    }
    out.push(b'\n');
}
