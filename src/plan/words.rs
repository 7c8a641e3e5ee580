//! The words of the plan: reasons and refusals as sentences.

use crate::plan::explain::{Choice, Deciding, Keys, Rushed, Why};
use crate::plan::merits::{Merit, OpenStrings};
use crate::plan::{CannotPlan, PinUnmet, Planned};
use crate::setlist::{Pin, Player, Set, Song, SongId};

/// How many chords a reason names before it says how many more there are.
const CHORDS_NAMED: usize = 3;

impl Why {
    /// One sentence without its full stop: what was taken, what came second, which cost decided.
    pub fn sentence(&self, planned: &Planned, song: SongId) -> String {
        let set = &planned.set;
        let taken = self.taken.words();
        let sentence = match (&self.deciding, self.second) {
            (Deciding::Pinned, _) => format!("{taken}, as pinned"),
            (Deciding::OnlyFret, _) | (_, None) => format!("{taken}, the only fret there is"),
            (deciding, Some(second)) => format!("{taken} rather than {}{}", second.words(), deciding.words(set, song)),
        };
        capital(&sentence)
    }
}

impl Choice {
    fn words(self) -> String {
        let capo = match self.fret.number() {
            0 => "no capo".into(),
            fret => format!("capo {fret}"),
        };
        match self.shapes {
            Some(shapes) => format!("{capo} with {shapes} shapes"),
            None => capo,
        }
    }
}

impl Deciding {
    /// What follows the second best, with its comma or colon.
    fn words(&self, set: &Set, song: SongId) -> String {
        match self {
            Deciding::Pinned | Deciding::OnlyFret => String::new(),
            Deciding::Keys(keys) => keys.words(),
            Deciding::Clashes { there } if there.is_empty() => ": there two others would be at one fret".into(),
            Deciding::Clashes { there } => {
                let names: Vec<&str> = there.iter().map(|&player| set.players[player].name.as_str()).collect();
                format!(", where {} would be too", list(&names))
            }
            Deciding::Rushed(rushed) => rushed.words(set, song),
            Deciding::Effort { merit, but: None } => format!(": {}", merit.words(set)),
            Deciding::Effort { merit, but: Some(but) } => {
                format!(": {}, though {}", merit.words(set), but.words_against(set))
            }
            Deciding::Tie => ": as good, and the lower fret in the earlier song is taken".into(),
        }
    }
}

impl Keys {
    fn words(&self) -> String {
        let names: Vec<String> = self.second_without.iter().map(|key| key.signs().to_string()).collect();
        if self.without.is_empty() {
            return format!(", where none of the player's shapes gives {}", names.join(" or "));
        }
        let (keys, second) = (count(self.without.len() as u64), count(names.len() as u64));
        format!(": {keys} of the song's keys without shapes, not {second}")
    }
}

impl Rushed {
    fn words(self, set: &Set, song: SongId) -> String {
        let gap = |song: SongId, side| format!("the {} s {side} the song", set.song(song).gap.as_s());
        let before = self.before.then(|| gap(song, "before"));
        let after = set
            .song_after(song)
            .filter(|_| self.after)
            .map(|next| gap(next, "after"));
        match (before, after) {
            (Some(before), Some(after)) => format!(": no capo moves in {before} and {after}"),
            (Some(side), None) | (None, Some(side)) => format!(": no capo move in {side}"),
            (None, None) => ": fewer capo moves in gaps too short for them".into(),
        }
    }
}

impl Merit {
    /// As it speaks for the fret that was taken.
    fn words(&self, set: &Set) -> String {
        match self {
            Merit::Rings { more, less } => {
                let more = format!(
                    "{} for {}",
                    counted(more.strings, "more open string"),
                    more.for_chords()
                );
                match less.strings {
                    0 => more,
                    strings => format!("{more} against {} fewer for {}", count(strings), less.for_chords()),
                }
            }
            Merit::Moves { fewer } => format!("{} fewer", counted(*fewer, "capo move")),
            Merit::Liked => "its shapes are liked better".into(),
            Merit::Lower { frets } => format!("{} lower", counted(*frets, "fret")),
            Merit::Other { player } => format!("less effort for {}", set.players[*player].name),
            Merit::OtherSongs => "less effort in the other songs".into(),
        }
    }

    /// As it speaks for the second best, said of the fret that was taken.
    fn words_against(&self, set: &Set) -> String {
        match self {
            Merit::Rings { more, .. } => {
                format!(
                    "{} for {}",
                    counted(more.strings, "fewer open string"),
                    more.for_chords()
                )
            }
            Merit::Moves { fewer } => format!("{} more", counted(*fewer, "capo move")),
            Merit::Liked => "its shapes are liked less".into(),
            Merit::Lower { frets } => format!("{} higher", counted(*frets, "fret")),
            Merit::Other { player } => format!("more effort for {}", set.players[*player].name),
            Merit::OtherSongs => "more effort in the other songs".into(),
        }
    }
}

impl OpenStrings {
    /// The chords, not too many of them.
    fn for_chords(&self) -> String {
        if self.chords.len() <= CHORDS_NAMED {
            return list(&self.chords);
        }
        let (named, others) = self.chords.split_at(CHORDS_NAMED - 1);
        format!("{} and {} other chords", named.join(", "), count(others.len() as u64))
    }
}

impl CannotPlan {
    /// A clause for each reason, a line each.
    pub(crate) fn clauses(&self, set: &Set) -> String {
        match self {
            CannotPlan::PinsUnmet(pins) => pins.iter().map(|pin| pin.clause(set)).collect::<Vec<_>>().join("\n"),
            CannotPlan::TooManyChoices => format!(
                "the {} players have more capo frets to choose from than can be compared exactly",
                set.players.len()
            ),
        }
    }
}

impl PinUnmet {
    /// One clause, naming player and title.
    pub fn clause(&self, set: &Set) -> String {
        let player = &set.players[self.player];
        let song = set.song(self.song);
        let why = song.pins[self.player].map_or_else(String::new, |pin| pin_fault(player, song, pin));
        format!("the pin of `{}` in `{}` cannot be met: {why}", player.name, song.title)
    }
}

/// Why a player cannot have what a pin says.
fn pin_fault(player: &Player, song: &Song, pin: Pin) -> String {
    let highest = player.highest_fret;
    let key = song.key.key();
    let home = key.relative_major().tonic().pitch_class();
    match (pin.fret, pin.shapes) {
        (Some(fret), _) if fret > highest => format!("fret {fret} is above the highest fret, {highest}"),
        (_, Some(shapes)) if !player.shapes.contains(&shapes) => {
            let letters: Vec<&str> = player.shapes.iter().map(|shapes| shapes.letter()).collect();
            let whose = match &*player.name {
                "" => "those played".into(),
                name => format!("{name}'s"),
            };
            format!("{shapes} shapes are not among {whose}, which are {}", list(&letters))
        }
        (Some(fret), Some(shapes)) => format!("{shapes} shapes at fret {fret} do not give {}", key.signs()),
        (None, Some(shapes)) => format!(
            "{shapes} shapes give {} at fret {}, above the highest fret, {highest}",
            key.signs(),
            home.semitones_above(shapes.tonic().pitch_class()),
        ),
        (_, None) => "there is no such fret".into(),
    }
}

/// `one fret`, `two frets`.
fn counted(number: u64, what: &str) -> String {
    let plural = if number == 1 { "" } else { "s" };
    format!("{} {what}{plural}", count(number))
}

/// `a`, `a and b`, `a, b and c`.
pub(super) fn list(words: &[impl AsRef<str>]) -> String {
    let words: Vec<&str> = words.iter().map(AsRef::as_ref).collect();
    match &words[..] {
        [] => String::new(),
        [only] => (*only).into(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

fn count(number: u64) -> String {
    const WORDS: [&str; 13] = [
        "none", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    ];
    let word = usize::try_from(number).ok().and_then(|number| WORDS.get(number));
    word.map_or_else(|| number.to_string(), |word| (*word).into())
}

fn capital(sentence: &str) -> String {
    let mut letters = sentence.chars();
    let first = letters.next();
    first.map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::music::{AskedKey, Family, Fret, Key};
    use crate::plan::planned;

    const SET: &str = "set: Millpond\nplayers: [ { name: Wren }, { name: Sam }, { name: Lark }, { name: Finch } ]\nsongs:\n\
                       - { song: Reeds, key: Bb }\n- { song: Ferry, key: A, gap: 5 }\n- { song: Lamps, key: G, gap: 7.5 }\n";

    fn key(text: &str) -> Key {
        AskedKey::parse(text).unwrap().key()
    }

    fn open_strings(strings: u64, chords: &[&str]) -> OpenStrings {
        let chords = chords.iter().map(|chord| (*chord).to_owned()).collect();
        OpenStrings { strings, chords }
    }

    fn rings(more: (u64, &[&str]), less: (u64, &[&str])) -> Merit {
        Merit::Rings {
            more: open_strings(more.0, more.1),
            less: open_strings(less.0, less.1),
        }
    }

    /// Wren in the second song: fret 2 with G shapes, before no capo with A shapes.
    fn sentence(deciding: Deciding) -> String {
        let planned = planned(SET);
        let choice = |fret, shapes| Choice {
            fret: Fret::new(fret).unwrap(),
            shapes,
        };
        let why = Why {
            taken: choice(2, Some(Family::G)),
            second: Some(choice(0, Some(Family::A))),
            deciding,
        };
        let song = planned.set.song_numbered(2).unwrap();
        why.sentence(&planned, song)
    }

    #[test]
    fn every_reason_is_one_sentence() {
        let keys = |without: &[&str], second: &[&str]| {
            Deciding::Keys(Keys {
                without: without.iter().map(|text| key(text)).collect(),
                second_without: second.iter().map(|text| key(text)).collect(),
            })
        };
        let clashes = |there: &[usize]| Deciding::Clashes { there: there.to_vec() };
        let rushed = |before, after| Deciding::Rushed(Rushed { before, after });
        let effort = |merit, but| Deciding::Effort { merit, but };
        let rows = [
            (Deciding::Pinned, "Capo 2 with G shapes, as pinned"),
            (Deciding::OnlyFret, "Capo 2 with G shapes, the only fret there is"),
            (keys(&[], &["A"]), "…, where none of the player's shapes gives A"),
            (
                keys(&[], &["F#m", "Eb"]),
                "…, where none of the player's shapes gives F♯m or E♭",
            ),
            (
                keys(&["C"], &["A", "B"]),
                "…: one of the song's keys without shapes, not two",
            ),
            (clashes(&[1]), "…, where Sam would be too"),
            (clashes(&[1, 2, 3]), "…, where Sam, Lark and Finch would be too"),
            (clashes(&[]), "…: there two others would be at one fret"),
            (rushed(true, false), "…: no capo move in the 5 s before the song"),
            (rushed(false, true), "…: no capo move in the 7.5 s after the song"),
            (
                rushed(true, true),
                "…: no capo moves in the 5 s before the song and the 7.5 s after the song",
            ),
            (rushed(false, false), "…: fewer capo moves in gaps too short for them"),
            (effort(Merit::Moves { fewer: 1 }, None), "…: one capo move fewer"),
            (
                effort(Merit::Moves { fewer: 2 }, Some(Merit::Lower { frets: 2 })),
                "…: two capo moves fewer, though two frets higher",
            ),
            (
                effort(Merit::Lower { frets: 1 }, Some(Merit::Moves { fewer: 1 })),
                "…: one fret lower, though one capo move more",
            ),
            (
                effort(Merit::Liked, Some(Merit::Other { player: 1 })),
                "…: its shapes are liked better, though more effort for Sam",
            ),
            (
                effort(Merit::Other { player: 2 }, Some(Merit::Liked)),
                "…: less effort for Lark, though its shapes are liked less",
            ),
            (
                effort(Merit::OtherSongs, Some(rings((1, &["4"]), (0, &[])))),
                "…: less effort in the other songs, though one fewer open string for 4",
            ),
            (
                effort(rings((13, &["1", "4", "5"]), (0, &[])), Some(Merit::OtherSongs)),
                "…: 13 more open strings for 1, 4 and 5, though more effort in the other songs",
            ),
            (
                effort(rings((7, &["1", "2-", "4", "5/7"]), (2, &["6-", "3-"])), None),
                "…: seven more open strings for 1, 2- and two other chords against two fewer for 6- and 3-",
            ),
            (
                Deciding::Tie,
                "…: as good, and the lower fret in the earlier song is taken",
            ),
        ];
        for (deciding, wanted) in rows {
            let wanted = wanted.replace('…', "Capo 2 with G shapes rather than no capo with A shapes");
            let row = format!("{deciding:?}");
            assert_eq!(sentence(deciding), wanted, "{row}");
        }
    }

    #[test]
    fn a_fret_without_shapes_is_a_fret_alone() {
        let words = |fret| {
            let fret = Fret::new(fret).unwrap();
            Choice { fret, shapes: None }.words()
        };
        assert_eq!((words(0), words(11)), ("no capo".to_owned(), "capo 11".to_owned()));
    }
}
