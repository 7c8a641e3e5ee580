//! A Standard MIDI File as the draft of a song: title, key, tempo, meter, and the sections that its markers begin.
//!
//! Source of what the events mean: Standard MIDI Files 1.0 (MIDI Association, RP-001), from memory: sequence name,
//! marker, set tempo, time signature, key signature; 120 quarter notes a minute in 4/4 where a file says neither.

use crate::music::{AskedKey, Interval, Note};
use crate::setlist::decode::{decode, tidy};
use crate::setlist::draft::SongDraft;
use crate::setlist::midi_bars::{Bars, Mark, sections};
use crate::setlist::syntax::cut;
use crate::setlist::{Meter, Tempo};
use midly::{EventIter, Format, MetaMessage, Smf, Timing, TrackEventKind};
use std::fmt;

/// A song that was read, and what of the file did not go into it, a sentence each.
#[derive(Clone, Debug, PartialEq)]
pub struct MidiSong {
    pub song: SongDraft,
    pub remarks: Vec<String>,
}

/// Why a file is no song.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotASong(String);

impl fmt::Display for NotASong {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// What a file says in its meta events, in the order of time and, at one time, of tracks.
#[derive(Default)]
struct Told {
    title: Option<String>,
    /// Microseconds a quarter note.
    tempos: Vec<u32>,
    meters: Vec<(u64, Meter)>,
    odd_meters: usize,
    keys: Vec<(u64, AskedKey)>,
    marks: Vec<Mark>,
    end: u64,
}

/// Of a title or a marker, in characters.
const LONGEST_NAME: usize = 200;
/// Where a file names no tempo: 120 quarter notes a minute.
const USUAL_QUARTER_US: u32 = 500_000;
const MINUTE_US: f64 = 60_000_000.0;

/// Reads a file; `name` is the title where the file has none.
///
/// # Errors
/// Where the bytes are no Standard MIDI File, or one whose time has no bars.
pub fn midi_song(file: &[u8], name: &str) -> Result<MidiSong, NotASong> {
    if counts_frames(file) {
        let why = "this file counts time in frames of film (SMPTE) and so has no bars: export it in ticks a beat";
        return Err(NotASong(why.into()));
    }
    let smf = Smf::parse(file).map_err(|error| NotASong(format!("this is no Standard MIDI File: {error}")))?;
    let division = match (smf.header.timing, smf.header.format) {
        (_, Format::Sequential) => {
            let why = "this file holds several pieces side by side (format 2), not one song: export the song by itself";
            return Err(NotASong(why.into()));
        }
        (Timing::Timecode(..), _) => return Err(NotASong("this file counts time in frames of film".into())),
        (Timing::Metrical(division), _) => u64::from(division.as_int()),
    };
    if division == 0 {
        return Err(NotASong(
            "this file says that a beat has no ticks, so its events have no time".into(),
        ));
    }
    if smf.tracks.iter().all(|track| track.is_empty()) {
        return Err(NotASong("this file has nothing in it".into()));
    }
    let told = listen(&smf);
    let broken = broken_track(file);
    let broken = broken.map(|number| format!("the file is damaged: the end of its track {number} was not read"));
    let mut remarks: Vec<String> = broken.into_iter().collect();
    let meter = told.meters.first().map_or(Meter::COMMON, |(_, meter)| *meter);
    let title = told.title.clone().unwrap_or_else(|| tidy(name));
    let title = if title.is_empty() { "Untitled".into() } else { title };
    let mut song = SongDraft::new(title, told.keys.first().map(|(_, key)| *key));
    song.meter = Some(meter);
    tell_tempo(&mut song, &told, meter, &mut remarks);
    if song.key.is_none() {
        remarks.push("the file names no key: C stands in for it".into());
    }
    if told.meters.len() > 1 {
        let meters: Vec<String> = told.meters[1..].iter().map(|(_, meter)| meter.to_string()).collect();
        remarks.push(format!(
            "the meter changes (to {}): bars are counted by it, and {meter} stands for the song",
            cut(&meters.join(", "))
        ));
    }
    if told.odd_meters > 0 {
        remarks.push("a meter that no set can say was passed over".into());
    }
    let bars = Bars::new(division, &told.meters);
    sections(&mut song, &bars, &told.marks, &told.keys, told.end, &mut remarks);
    song.remarks.clone_from(&remarks);
    Ok(MidiSong { song, remarks })
}

/// The first track, counted from 1, that cannot be read to its end. The library passes over the rest of such a track in
/// silence.
pub fn broken_track(file: &[u8]) -> Option<usize> {
    let (_, tracks) = midly::parse(file).ok()?;
    let breaks_off = |track: midly::Result<EventIter<'_>>| track.map_or(true, |track| !is_whole(track));
    (1..)
        .zip(tracks)
        .find_map(|(number, track)| breaks_off(track).then_some(number))
}

/// Whether there is nothing behind the last event that can be read, or it is the track's end.
fn is_whole(mut track: EventIter<'_>) -> bool {
    loop {
        let is_read = track.unread().is_empty();
        match track.next() {
            Some(Ok(event)) if event.kind == TrackEventKind::Meta(MetaMessage::EndOfTrack) => return true,
            Some(Ok(_)) => {}
            None | Some(Err(_)) => return is_read,
        }
    }
}

/// Whether the header's division is a time code, its first bit set. Asked before the library reads it: midly 0.5.3
/// panics at a rate of -128 in a build that watches its sums.
fn counts_frames(file: &[u8]) -> bool {
    // The division comes behind the chunk's name, its length, the format and the number of tracks.
    let headers = file.windows(13).filter(|bytes| bytes.starts_with(b"MThd"));
    headers.into_iter().any(|bytes| bytes[12] & 0x80 != 0)
}

fn tell_tempo(song: &mut SongDraft, told: &Told, meter: Meter, remarks: &mut Vec<String>) {
    let quarter_us = told.tempos.first().copied().unwrap_or(USUAL_QUARTER_US);
    if told.tempos.is_empty() {
        song.tempo_remark = Some("the file names none, which means this".into());
    }
    let quarters = MINUTE_US / f64::from(quarter_us.max(1));
    // Microseconds are whole: 72 a minute comes back as 72.00003.
    let beats = (quarters * f64::from(meter.unit()) / 4.0 * 100.0).round() / 100.0;
    song.tempo = Tempo::new(beats);
    if song.tempo.is_none() {
        remarks.push(format!(
            "the tempo, {beats} beats of {meter} a minute, is beyond 20 to 400: left out"
        ));
    }
    match told.tempos.iter().filter(|tempo| **tempo != quarter_us).count() {
        0 => {}
        1 => remarks.push("the tempo changes once: the first is taken".into()),
        count => remarks.push(format!("the tempo has {count} other values later: the first is taken")),
    }
}

/// Gathers the meta events of all tracks.
fn listen(smf: &Smf<'_>) -> Told {
    let mut told = Told::default();
    let mut events = Vec::new();
    for (number, track) in smf.tracks.iter().enumerate() {
        let mut tick = 0_u64;
        for event in track {
            tick += u64::from(event.delta.as_int());
            if let TrackEventKind::Meta(meta) = event.kind {
                events.push((tick, number, meta));
            }
        }
        told.end = told.end.max(tick);
    }
    // A stable sort keeps the tracks' order at equal times.
    events.sort_by_key(|(tick, ..)| *tick);
    for (tick, track, meta) in events {
        told.take(tick, track, meta);
    }
    told
}

impl Told {
    fn take(&mut self, tick: u64, track: usize, meta: MetaMessage<'_>) {
        match meta {
            // In the first track it names the piece, in others an instrument.
            MetaMessage::TrackName(name) if track == 0 && self.title.is_none() => {
                self.title = Some(short(&tidy(&decode(name)))).filter(|name| !name.is_empty());
            }
            MetaMessage::Tempo(us) => self.tempos.push(us.as_int()),
            MetaMessage::TimeSignature(beats, power, ..) => {
                match 1_u8
                    .checked_shl(u32::from(power))
                    .and_then(|unit| Meter::new(beats, unit))
                {
                    Some(meter) if self.meters.last().is_none_or(|(_, last)| *last != meter) => {
                        self.meters.push((tick, meter));
                    }
                    Some(_) => {}
                    None => self.odd_meters += 1,
                }
            }
            MetaMessage::KeySignature(sharps, is_minor) => {
                let key = key(sharps, is_minor);
                let is_new = self.keys.last().map(|(_, last)| *last) != key;
                self.keys.extend(key.filter(|_| is_new).map(|key| (tick, key)));
            }
            MetaMessage::Marker(name) => {
                let name = short(&tidy(&decode(name)));
                self.marks.push(Mark { tick, name });
            }
            _ => {}
        }
    }
}

/// As much of a name as any screen shows, and no space where it was cut; YAML takes no name of more than 1024 characters
/// (1.2.2, 7.4.2).
fn short(name: &str) -> String {
    let name: String = name.chars().take(LONGEST_NAME).collect();
    name.trim_end().into()
}

/// Up to seven sharps or, below 0, flats.
fn key(sharps: i8, is_minor: bool) -> Option<AskedKey> {
    let home = Note::C.up(Interval::fifths((-7..=7).contains(&sharps).then_some(sharps)?));
    let name = match is_minor {
        true => format!("{}m", home.up(Interval::fifths(3))),
        false => home.to_string(),
    };
    AskedKey::parse(&name).ok()
}
