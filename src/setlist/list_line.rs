//! One line of a leader's list: which of its parts is the title, and what the others say.

use crate::music::AskedKey;
use crate::setlist::Meter;
use crate::setlist::decode::tidy;
use crate::setlist::list_parts::{Before, Part, parts, without_links};
use crate::setlist::list_words::{Beats, Says, Sure, all, one};

/// What a line says of a song. The title may be missing.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct SongLine {
    pub(super) title: String,
    pub(super) key: Option<AskedKey>,
    pub(super) tempo: Option<Beats>,
    pub(super) meter: Option<Meter>,
    /// What is none of these.
    pub(super) unread: Vec<String>,
    pub(super) links: Vec<String>,
    /// A number that was left in the title, though it may be a tempo.
    pub(super) doubtful: Option<String>,
}

/// How the lines of a list are read where one alone may mean two things.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Manner {
    pub(super) bare_key: Bare,
    /// How many words must be left of a title when a number at its edge is to be its tempo.
    pub(super) words_left: usize,
}

impl Manner {
    /// As a line by itself is read.
    pub(super) const ALONE: Manner = Manner {
        bare_key: Bare::Nowhere,
        words_left: 2,
    };
}

/// Where a key may be a mere letter among the words of the title.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Bare {
    Nowhere,
    First,
    Last,
}

/// Words that speak of a key or a number which is not the one that sounds.
const ASIDES: [&str; 8] = [
    "capo",
    "shape",
    "shapes",
    "orig",
    "orig.",
    "original",
    "originally",
    "was",
];
/// From one key to another.
const ARROW: &str = "→";
/// `in the key of D flat minor`.
const MOST_WORDS: usize = 7;
/// Slower than this is hardly a tempo where nothing says that it is one.
const SLOWEST_BARE: f64 = 40.0;

impl SongLine {
    /// Whether the line says anything that a title does not.
    pub(super) fn says_something(&self) -> bool {
        self.key.is_some() || self.tempo.is_some() || self.meter.is_some()
    }

    /// Takes what is said, where nothing of the kind was said before.
    pub(super) fn take(&mut self, says: Says) -> bool {
        if !self.has_room(&says) {
            return false;
        }
        match says {
            Says::Key(key, then) => {
                self.key = Some(key);
                self.unread.extend(then);
            }
            Says::Tempo(beats) => self.tempo = Some(beats),
            Says::Meter(meter) => self.meter = Some(meter),
        }
        true
    }

    fn has_room(&self, says: &Says) -> bool {
        match says {
            Says::Key(..) => self.key.is_none(),
            Says::Tempo(_) => self.tempo.is_none(),
            Says::Meter(_) => self.meter.is_none(),
        }
    }
}

/// Reads a line without what numbers it.
pub(super) fn read_line(line: &str, manner: Manner) -> SongLine {
    let (line, links) = without_links(line);
    let line: String = line.chars().filter(|letter| !matches!(letter, '*' | '`')).collect();
    let line = with_arrows(&line);
    let parts = parts(&line);
    let mut song = SongLine {
        links,
        ..SongLine::default()
    };
    let said: Vec<Option<Vec<(Says, Sure)>>> = parts.iter().map(|part| all(&part.text)).collect();
    let title = title_parts(&parts, &said);
    let is_title = |place: usize| title.as_ref().is_some_and(|title| title.contains(&place));
    for (place, part) in parts.iter().enumerate().filter(|(place, _)| !is_title(*place)) {
        match &said[place] {
            Some(said) => {
                let unread = said.iter().filter(|(says, _)| !song.take(says.clone())).count();
                if unread > 0 {
                    song.unread.push(tidy(&part.text));
                }
            }
            None => read_aside(&mut song, &part.text),
        }
    }
    if let Some(mut title) = title {
        if title.len() > 1 && song.key.is_none() && ends_with_key(&parts[title.start], manner) {
            // What comes after the key is about the song, and not its name.
            let about = title.start + 1..title.end;
            song.unread.extend(parts[about].iter().map(|part| tidy(&part.text)));
            title.end = title.start + 1;
        }
        let (first, last) = (&parts[title.start], &parts[title.end - 1]);
        match title.len() {
            1 if first.is_quoted => song.title = tidy(&first.text),
            1 => read_title(&mut song, &first.text, manner),
            _ => read_title(&mut song, &line[first.from..last.end], manner),
        }
    }
    song
}

/// The parts that are the title: the first that say nothing else, with those that belong to it.
fn title_parts(parts: &[Part], said: &[Option<Vec<(Says, Sure)>>]) -> Option<std::ops::Range<usize>> {
    let is_text = |place: usize| said[place].is_none();
    let mut texts = (0..parts.len()).filter(|&place| is_text(place));
    let plainly = texts.clone().find(|&place| !is_aside(&parts[place].text));
    let Some(first) = plainly.or_else(|| texts.next()) else {
        // A song called `99` or `E`: something else must then be the key.
        let has_key = |said: &Option<Vec<(Says, Sure)>>| {
            let said = said.iter().flatten();
            said.into_iter().any(|(says, _)| matches!(says, Says::Key(..)))
        };
        let is_bare = said.first()?.iter().flatten().all(|(_, sure)| *sure == Sure::Bare);
        return (is_bare && said[1..].iter().any(has_key)).then_some(0..1);
    };
    let belongs = |place: usize| {
        let may = match parts[place].before {
            Before::Bracket => true,
            Before::Dash | Before::Comma | Before::Nothing => first == 0,
            Before::TightComma | Before::Wide => false,
        };
        let text = &parts[place].text;
        // `Eb → F last chorus` tells of keys.
        is_text(place) && may && !is_aside(text) && !text.contains(ARROW)
    };
    let last = (first + 1..parts.len()).take_while(|&place| belongs(place)).last();
    Some(first..last.unwrap_or(first) + 1)
}

/// Whether the last words of a part are a key.
fn ends_with_key(part: &Part, manner: Manner) -> bool {
    let mut song = SongLine::default();
    let mut words: Vec<&str> = part.text.split_whitespace().collect();
    if !part.is_quoted {
        Edge::End.take(
            &mut song,
            &mut words,
            manner.bare_key == Bare::Last,
            manner.words_left,
            1,
        );
    }
    song.key.is_some()
}

fn is_aside(text: &str) -> bool {
    text.split_whitespace()
        .any(|word| ASIDES.contains(&word.to_lowercase().as_str()))
}

/// A part that is not the title: what is clear at its edges is taken, the rest is not read.
fn read_aside(song: &mut SongLine, text: &str) {
    let mut words: Vec<&str> = text.split_whitespace().collect();
    if !is_aside(text) {
        Edge::End.take(song, &mut words, false, usize::MAX, 0);
        Edge::Front.take(song, &mut words, false, usize::MAX, 0);
    }
    song.unread
        .extend(Some(tidy(&words.join(" "))).filter(|rest| !rest.is_empty()));
}

/// A line whose arrows, however they are typed, are one sign with a blank on either side.
fn with_arrows(line: &str) -> String {
    let line = line.replace("->", ARROW).replace("=>", ARROW);
    if !line.contains(ARROW) {
        return line;
    }
    let parts: Vec<&str> = line.split(ARROW).collect();
    let last = parts.len() - 1;
    let trimmed = parts.iter().enumerate().map(|(place, part)| {
        let part = if place > 0 { part.trim_start() } else { part };
        if place < last { part.trim_end() } else { part }
    });
    trimmed.collect::<Vec<_>>().join(" → ")
}

/// The title, without what stands at its edges and says something else.
fn read_title(song: &mut SongLine, text: &str, manner: Manner) {
    let mut words: Vec<&str> = text.split_whitespace().collect();
    let is_capo = |word: &&str| word.eq_ignore_ascii_case("capo");
    if let Some(at) = words.iter().position(is_capo).filter(|&at| at > 0) {
        song.unread.push(tidy(&words.split_off(at).join(" ")));
    }
    let (first, second) = match manner.bare_key {
        Bare::First => (Edge::Front, Edge::End),
        Bare::Last | Bare::Nowhere => (Edge::End, Edge::Front),
    };
    first.take(song, &mut words, manner.bare_key != Bare::Nowhere, manner.words_left, 1);
    second.take(song, &mut words, false, manner.words_left, 1);
    // A key at the other edge makes a tempo of a number at this one.
    first.take(song, &mut words, false, manner.words_left, 1);
    let title = tidy(&words.join(" "));
    let at_edges = |letter: char| " :,;=@-–—|/".contains(letter);
    song.title = match title.trim_matches(at_edges) {
        "" => title,
        edged => edged.to_owned(),
    };
}

/// The two ends of a title, from which words are taken inwards.
#[derive(Clone, Copy)]
enum Edge {
    Front,
    End,
}

impl Edge {
    /// Takes what the words at this edge say, as far as it is sure, and leaves at least `least` of them.
    fn take(self, song: &mut SongLine, words: &mut Vec<&str>, bare_key: bool, words_left: usize, least: usize) {
        let mut runs: Vec<(Says, Sure, usize)> = Vec::new();
        let mut seen = song.clone();
        let mut left = words.len();
        while let Some((says, sure, count)) = self.says(self.inner(words, left), least)
            && seen.take(says.clone())
        {
            left -= count;
            runs.push((says, sure, left));
        }
        let is_key = |says: &Says| bare_key && matches!(says, Says::Key(..));
        let sure = runs
            .iter()
            .rposition(|(says, sure, _)| *sure == Sure::Clear || is_key(says));
        let mut count = sure.map_or(0, |last| last + 1);
        if let Some((Says::Tempo(beats), _, left)) = runs.get(count)
            && (count > 0 || song.key.is_some())
        {
            if *left >= words_left && beats.bpm >= SLOWEST_BARE {
                count += 1;
            } else if words_left < usize::MAX {
                song.doubtful = Some(beats.bpm.to_string());
            }
        }
        let kept = count.checked_sub(1).map_or(words.len(), |last| runs[last].2);
        for (says, ..) in runs.into_iter().take(count) {
            song.take(says);
        }
        *words = self.inner(words, kept).to_vec();
    }

    /// The words that are left when all but `left` have been taken from this edge.
    fn inner<'w, 't>(self, words: &'w [&'t str], left: usize) -> &'w [&'t str] {
        match self {
            Edge::Front => &words[words.len() - left..],
            Edge::End => &words[..left],
        }
    }

    /// What the most words at this edge say together.
    fn says(self, words: &[&str], least: usize) -> Option<(Says, Sure, usize)> {
        let most = words.len().saturating_sub(least).min(MOST_WORDS);
        (1..=most).rev().find_map(|count| {
            let (words, rest) = match self {
                Edge::Front => words.split_at(count),
                Edge::End => {
                    let (rest, words) = words.split_at(words.len() - count);
                    (words, rest)
                }
            };
            let is_title = match self {
                // `In A Quiet Harbour` is a title; `In the key of A` says what it is.
                Edge::Front => words[0].eq_ignore_ascii_case("in") && words.len() < 3,
                Edge::End => words == ["Am"] && rest.last().is_some_and(|last| last.eq_ignore_ascii_case("i")),
            };
            let (says, sure) = one(words).filter(|_| !is_title)?;
            Some((says, sure, count))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Title, key, tempo, meter and what was not read.
    #[track_caller]
    fn check(line: &str, bare_key: Bare, wanted: &str) {
        let song = read_line(
            line,
            Manner {
                bare_key,
                ..Manner::ALONE
            },
        );
        let mut found = vec![song.title];
        found.extend(song.key.map(|key| key.key().to_string()));
        found.extend(song.tempo.map(|beats| beats.bpm.to_string()));
        found.extend(song.meter.map(|meter| meter.to_string()));
        found.extend(song.unread.iter().map(|text| format!("({text})")));
        assert_eq!(found.join(" / "), wanted, "{line}");
    }

    #[test]
    fn what_is_sure_is_read_wherever_it_stands() {
        for (line, wanted) in [
            ("Lanterns at Millpond - Bb - 72", "Lanterns at Millpond / Bb / 72"),
            ("72 - Bb - Lanterns at Millpond", "Lanterns at Millpond / Bb / 72"),
            (
                "4/4, 72, Lanterns at Millpond, Bb",
                "Lanterns at Millpond / Bb / 72 / 4/4",
            ),
            (
                "Lanterns at Millpond (Bb) 72 bpm 4/4",
                "Lanterns at Millpond / Bb / 72 / 4/4",
            ),
            ("Lanterns at Millpond 72 Bb", "Lanterns at Millpond / Bb / 72"),
            ("72 Lanterns at Millpond Bb", "Lanterns at Millpond / Bb / 72"),
            ("Bb Lanterns at Millpond 72", "Lanterns at Millpond / Bb / 72"),
            ("4/4 72 Bb Lanterns at Millpond", "Lanterns at Millpond / Bb / 72 / 4/4"),
            (
                "Lanterns at Millpond: key of B flat at 72 bpm",
                "Lanterns at Millpond / Bb / 72",
            ),
            ("Lanterns in Db, 6/8 time", "Lanterns / Db / 6/8"),
            ("The Orchard Gate (Reprise) [Ab]", "The Orchard Gate (Reprise) / Ab"),
            (
                "Copper - Weathervane - Cb - slow start",
                "Copper - Weathervane / Cb / (slow start)",
            ),
            (
                "Harbour Wall (capo 3, G shapes) Bb",
                "Harbour Wall / Bb / (capo 3) / (G shapes)",
            ),
            ("Harbour Wall Bb capo 3", "Harbour Wall / Bb / (capo 3)"),
            (
                "Harbour Wall (Bb) - orig. C - 104 bpm easy",
                "Harbour Wall / Bb / 104 / (orig. C) / (easy)",
            ),
            ("Harbour Wall - C - D", "Harbour Wall / C / (D)"),
            ("Harbour Wall (Bb->C) 104 bpm", "Harbour Wall / Bb / 104 / (then C)"),
            (
                "Harbour Wall -- Eb -> F last chorus, 128",
                "Harbour Wall / Eb / 128 / (then F) / (last chorus)",
            ),
            (
                "Harbour Wall Eb (lift at the end) 104",
                "Harbour Wall / Eb / 104 / (lift at the end)",
            ),
            (
                "Harbour Wall Eb - easy, soft - 104 - loud",
                "Harbour Wall / Eb / 104 / (loud) / (easy) / (soft)",
            ),
        ] {
            check(line, Bare::Nowhere, wanted);
        }
    }

    #[test]
    fn titles_keep_their_letters_and_numbers() {
        for (line, bare, wanted) in [
            ("A Song in the Fog - G", Bare::First, "A Song in the Fog / G"),
            ("A Song in the Fog G", Bare::Last, "A Song in the Fog / G"),
            ("A Song in the Fog", Bare::Last, "A Song in the Fog"),
            ("A The Orchard Gate", Bare::First, "The Orchard Gate / A"),
            ("In A Quiet Harbour", Bare::First, "In A Quiet Harbour"),
            ("Here I Am", Bare::Last, "Here I Am"),
            ("Plan B - G", Bare::Last, "Plan B / G"),
            ("Route 7 - G", Bare::Last, "Route 7 / G"),
            ("Route 66 Bb", Bare::Last, "Route 66 / Bb"),
            ("Route 66 - Bb - 104", Bare::Last, "Route 66 / Bb / 104"),
            ("99 - G - 120", Bare::Last, "99 / G / 120"),
            ("E - G", Bare::Last, "E / G"),
            ("\"Bb, or C\" - G", Bare::Last, "Bb, or C / G"),
            ("Well-Kept Lamps G", Bare::Last, "Well-Kept Lamps / G"),
            ("G", Bare::Last, ""),
        ] {
            check(line, bare, if wanted.is_empty() { " / G" } else { wanted });
        }
    }
}
