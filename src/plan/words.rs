//! The words of the plan: reasons, moves and pins as sentences. Nowhere else does this room make any.

use crate::plan::explain::{Choice, Deciding, Why};
use crate::plan::{CannotPlan, PinUnmet, Planned};
use crate::setlist::{Set, SongId};
use std::fmt::Write;

/// How many chords a reason names before it says how many more there are.
const CHORDS_NAMED: usize = 3;

impl Why {
    /// One sentence: what was taken, what came second, what decided.
    pub fn sentence(&self, planned: &Planned, song: SongId) -> String {
        let taken = self.taken.words();
        let reason = self.deciding.words(planned, song);
        let sentence = match (&self.deciding, self.second) {
            (Deciding::Pinned | Deciding::OnlyFret, _) | (_, None) => format!("{taken}: {reason}"),
            (_, Some(second)) => format!("{taken} rather than {}: {reason}", second.words()),
        };
        capital(&sentence)
    }
}

impl Choice {
    fn words(self) -> String {
        let fret = fret_words(self.fret.number());
        match self.shapes {
            Some(shapes) => format!("{fret} with {shapes} shapes"),
            None => format!("{fret} without shapes"),
        }
    }
}

impl Deciding {
    fn words(&self, planned: &Planned, song: SongId) -> String {
        let set = &planned.set;
        match self {
            Deciding::Pinned => "pinned in the set".into(),
            Deciding::OnlyFret => "the only fret there is".into(),
            Deciding::MoreKeys(1) if set.song(song).steps.is_empty() => "the key can be played".into(),
            Deciding::MoreKeys(1) => "one more of the song's keys can be played".into(),
            Deciding::MoreKeys(keys) => format!("{} more of the song's keys can be played", count(*keys)),
            Deciding::Apart(players) => {
                let names: Vec<String> = players
                    .iter()
                    .map(|&player| set.players[player].called().to_owned())
                    .collect();
                format!(
                    "that is where {} {}",
                    list(&names),
                    if names.len() == 1 { "plays" } else { "play" }
                )
            }
            Deciding::FewerRushed(1) => "no capo move in a gap too short for it".into(),
            Deciding::FewerRushed(moves) => format!("{} fewer capo moves in gaps too short for them", count(*moves)),
            Deciding::FewerMoves(1) => "one capo move fewer".into(),
            Deciding::FewerMoves(moves) => format!("{} capo moves fewer", count(*moves)),
            Deciding::Lower(1) => "one fret lower on the neck".into(),
            Deciding::Lower(frets) => format!("{} frets lower on the neck", count(*frets)),
            Deciding::Liked => "its shapes are liked better".into(),
            Deciding::Rings { strings, chords } => {
                let strings = match strings {
                    1 => "one more open string".into(),
                    more => format!("{} more open strings", count(*more)),
                };
                format!("{strings} for {}", chord_list(chords))
            }
            Deciding::AsGood => "as good, and the lower fret is taken".into(),
        }
    }
}

impl CannotPlan {
    /// One sentence, naming players and songs.
    pub fn sentence(&self, set: &Set) -> String {
        match self {
            CannotPlan::PinsUnmet(pins) => pins.iter().map(|pin| pin.sentence(set)).collect::<Vec<_>>().join("\n"),
            CannotPlan::TooManyPlayers { players, songs } => format!(
                "{players} players with that many frets in {songs} songs are more than can be planned exactly: \
                 lower a `highest_fret` or leave a player out"
            ),
        }
    }
}

impl PinUnmet {
    /// One clause, naming player and title.
    pub fn sentence(&self, set: &Set) -> String {
        let player = &set.players[self.player];
        let song = set.song(self.song);
        let mut wanted = String::new();
        if let Some(pin) = song.pins[self.player] {
            if let Some(shapes) = pin.shapes {
                let _ = write!(wanted, "{shapes} shapes");
            }
            if let Some(fret) = pin.fret {
                let at = if pin.shapes.is_some() { " at " } else { "" };
                let _ = write!(wanted, "{at}{}", fret_words(fret.number()));
            }
        }
        format!(
            "the pin of {} in {} cannot be met: no fret up to {} gives {wanted} in {}",
            player.called(),
            song.title,
            player.highest_fret,
            song.key.key().signs(),
        )
    }
}

fn fret_words(fret: u8) -> String {
    if fret == 0 {
        "no capo".into()
    } else {
        format!("fret {fret}")
    }
}

fn chord_list(chords: &[String]) -> String {
    if chords.len() <= CHORDS_NAMED {
        return list(chords);
    }
    let named = chords[..CHORDS_NAMED - 1].join(", ");
    format!("{named} and {} others", count((chords.len() - CHORDS_NAMED + 1) as u64))
}

/// `a`, `a and b`, `a, b and c`.
pub(super) fn list(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [only] => only.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

fn count(number: u64) -> String {
    const WORDS: [&str; 13] = [
        "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    ];
    WORDS
        .get(number as usize)
        .map_or_else(|| number.to_string(), |word| (*word).into())
}

fn capital(sentence: &str) -> String {
    let mut letters = sentence.chars();
    letters
        .next()
        .map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
