//! A set that has been read whole and found good. Places in it (`SongId`, `StepId`) are made by the set alone.

use crate::music::{AskedKey, ChordLine, Family, Fret, Numbering};
use crate::setlist::{Bars, Channel, Meter, Player, Seconds, Seven, Spot, Tempo};

#[derive(Clone, Debug, PartialEq)]
pub struct Set {
    pub name: String,
    pub date: Option<String>,
    pub numbering: Numbering,
    /// At least one; the first is the one whose screen this is.
    pub players: Vec<Player>,
    /// At least one.
    pub(in crate::setlist) songs: Vec<Song>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Song {
    pub title: String,
    pub key: AskedKey,
    pub tempo: Option<Tempo>,
    pub meter: Option<Meter>,
    /// Seconds free before the song.
    pub gap: Seconds,
    pub note: Option<String>,
    /// One for each player of the set, in their order.
    pub pins: Vec<Option<Pin>>,
    pub send: Vec<Message>,
    /// In the order written.
    pub sections: Vec<Section>,
    /// The order played, as places in `sections`.
    pub steps: Vec<usize>,
    /// Where the song stands in its file, and where its key does.
    pub spot: Spot,
    pub key_spot: Spot,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    pub name: String,
    /// Its own or the song's.
    pub key: AskedKey,
    pub bars: Option<Bars>,
    pub technique: Option<Technique>,
    /// A selector position, as written.
    pub pickup: Option<String>,
    pub pickup_spot: Option<Spot>,
    pub chords: ChordLine,
    pub note: Option<String>,
    pub send: Vec<Message>,
    pub spot: Spot,
}

/// A player's wish that the plan obeys; at least one of the two is given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pin {
    pub fret: Option<Fret>,
    /// The family for the song's own key.
    pub shapes: Option<Family>,
    pub spot: Spot,
}

/// How the picking hand plays.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Technique {
    PalmMute,
    DownStrokes,
    Diamonds,
    Arpeggio,
    Strum,
    Tacet,
    /// In the player's own words.
    Other(String),
}

/// A message for the output port.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Message {
    Program { program: Seven, channel: Channel },
    Control { cc: Seven, value: Seven, channel: Channel },
}

/// A song of one set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct SongId(u32);

/// A step of one song of one set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct StepId {
    song: SongId,
    step: u32,
}

impl Set {
    pub fn songs(&self) -> &[Song] {
        &self.songs
    }

    pub fn song(&self, id: SongId) -> &Song {
        &self.songs[id.0 as usize]
    }

    /// The first player, whose screen this is.
    pub fn first_player(&self) -> &Player {
        &self.players[0]
    }

    pub fn song_ids(&self) -> impl DoubleEndedIterator<Item = SongId> + ExactSizeIterator {
        (0..self.songs.len() as u32).map(SongId)
    }

    pub fn first_song(&self) -> SongId {
        SongId(0)
    }

    pub fn last_song(&self) -> SongId {
        SongId(self.songs.len() as u32 - 1)
    }

    /// The song so numbered, counted from 1.
    pub fn song_numbered(&self, number: usize) -> Option<SongId> {
        (1..=self.songs.len())
            .contains(&number)
            .then(|| SongId(number as u32 - 1))
    }

    pub fn song_after(&self, id: SongId) -> Option<SongId> {
        self.song_numbered(id.number() + 1)
    }

    pub fn song_before(&self, id: SongId) -> Option<SongId> {
        self.song_numbered(id.number() - 1)
    }

    pub fn steps(&self, song: SongId) -> impl DoubleEndedIterator<Item = StepId> + ExactSizeIterator {
        (0..self.song(song).steps.len() as u32).map(move |step| StepId { song, step })
    }

    pub fn first_step(&self, song: SongId) -> Option<StepId> {
        self.steps(song).next()
    }

    pub fn last_step(&self, song: SongId) -> Option<StepId> {
        self.steps(song).next_back()
    }

    pub fn step_after(&self, id: StepId) -> Option<StepId> {
        self.steps(id.song).nth(id.number())
    }

    pub fn step_before(&self, id: StepId) -> Option<StepId> {
        id.step.checked_sub(1).map(|step| StepId { song: id.song, step })
    }

    pub fn section(&self, id: StepId) -> &Section {
        let song = self.song(id.song);
        &song.sections[song.steps[id.step as usize]]
    }
}

impl SongId {
    /// Counted from 1.
    pub fn number(self) -> usize {
        self.0 as usize + 1
    }

    /// Counted from 0, for tables with a row a song.
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

impl StepId {
    pub fn song(self) -> SongId {
        self.song
    }

    /// Counted from 1.
    pub fn number(self) -> usize {
        self.step as usize + 1
    }
}

impl Technique {
    /// The words as a file has them.
    pub fn words(&self) -> &str {
        match self {
            Technique::PalmMute => "palm mute",
            Technique::DownStrokes => "down strokes",
            Technique::Diamonds => "diamonds",
            Technique::Arpeggio => "arpeggio",
            Technique::Strum => "strum",
            Technique::Tacet => "tacet",
            Technique::Other(words) => words,
        }
    }

    pub fn parse(words: &str) -> Technique {
        let known = [
            Technique::PalmMute,
            Technique::DownStrokes,
            Technique::Diamonds,
            Technique::Arpeggio,
            Technique::Strum,
            Technique::Tacet,
        ];
        known
            .into_iter()
            .find(|known| known.words() == words)
            .unwrap_or_else(|| Technique::Other(words.into()))
    }
}
