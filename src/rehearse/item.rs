//! What can be drilled in a set: the moves from song to song, what to remember of each song, the shapes of its chords.

use crate::music::{Chord, Family, Fret, Key, MinorNumbers, NumberChord, NumberStyle, Numbering};
use crate::plan::{Planned, family_of};
use crate::setlist::{Section, SongId};

/// One thing to drill.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// The same in every set that asks the very same, so that what was learned for one serves another.
    pub name: String,
    pub kind: Kind,
}

#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// From the last page of the song before to the first page of this one.
    Move { to: SongId, capo_moves: bool },
    /// A song's fret and shapes, by heart.
    Recall { song: SongId, fret: Fret, family: Family },
    /// A chord by its number, fingered in a family.
    Shape {
        /// As it is asked: `6-`, counted from the family's own home.
        number: String,
        family: Family,
        fret: Fret,
        /// What it is as fingered.
        fingered: Chord,
        /// What is heard.
        sounds: Chord,
    },
}

/// How shapes are numbered, whatever way the set writes its numbers: in the family's own major key.
const NUMBERS: Numbering = Numbering {
    style: NumberStyle::Diatonic,
    minor: MinorNumbers::Relative,
};

/// All that a set asks of its first player, song by song, nothing twice.
pub fn items(planned: &Planned) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    let mut add = |item: Item| {
        if items.iter().all(|known| known.name != item.name) {
            items.push(item);
        }
    };
    for song in planned.set.song_ids() {
        if let Some(recall) = recall(planned, song) {
            add(recall);
        }
        if let Some(r#move) = into(planned, song) {
            add(r#move);
        }
        shapes(planned, song).into_iter().for_each(&mut add);
    }
    items
}

fn recall(planned: &Planned, song: SongId) -> Option<Item> {
    let key = planned.set.song(song).key.key();
    let (fret, family) = (fret(planned, song), family(planned, song, key)?);
    let title = &planned.set.song(song).title;
    Some(Item {
        name: format!("recall {title}, sounds {key}: {fret} {family}"),
        kind: Kind::Recall { song, fret, family },
    })
}

/// The way into a song from the one before. Of songs without sections all that is known is capo and shapes: where those
/// stay, there is nothing to do.
fn into(planned: &Planned, to: SongId) -> Option<Item> {
    let set = &planned.set;
    let from = set.song_before(to)?;
    let (last, first) = (set.last_step(from), set.first_step(to));
    let here = setting(planned, from, last.map(|step| set.section(step)));
    let there = setting(planned, to, first.map(|step| set.section(step)));
    let is_played = last.is_some() && first.is_some();
    (is_played || here != there).then(|| Item {
        name: format!("move {here} > {there}"),
        kind: Kind::Move {
            to,
            capo_moves: fret(planned, from) != fret(planned, to),
        },
    })
}

/// What the hands have at a section: `3 G, palm mute, middle`; at a song without any, `3 G`.
fn setting(planned: &Planned, song: SongId, section: Option<&Section>) -> String {
    let key = section.map_or(planned.set.song(song).key, |section| section.key).key();
    let family = family(planned, song, key);
    let mut setting = format!("{} {}", fret(planned, song), family.map_or("-", Family::letter));
    let technique = section.and_then(|section| Some(section.technique.as_ref()?.words()));
    let pickup = section.and_then(|section| section.pickup.as_deref());
    for words in technique.into_iter().chain(pickup) {
        setting.push_str(", ");
        setting.push_str(words);
    }
    setting
}

/// The chords of a song in its family; the seven of the family where it names none.
fn shapes(planned: &Planned, song: SongId) -> Vec<Item> {
    let set = &planned.set;
    let of_key = |key: Key, numbers: Vec<NumberChord>| {
        let family = family(planned, song, key);
        let numbers = numbers.into_iter().map(move |number| (key, number));
        family.map(|family| numbers.map(move |(key, number)| shape(family, fret(planned, song), key, number)))
    };
    let of_section = |section: &Section| of_key(section.key.key(), section.chords.distinct());
    let steps = set.steps(song).map(|step| set.section(step));
    let shapes: Vec<Item> = steps.filter_map(of_section).flatten().collect();
    if !shapes.is_empty() {
        return shapes;
    }
    let seven = of_key(set.song(song).key.key(), NumberChord::diatonic().into());
    seven.into_iter().flatten().collect()
}

fn shape(family: Family, fret: Fret, key: Key, number: NumberChord) -> Item {
    let written = number.written(key.relative_major(), NUMBERS);
    Item {
        name: format!("shape {family} {written}"),
        kind: Kind::Shape {
            number: written,
            family,
            fret,
            fingered: number.on(family.tonic()),
            sounds: number.on(key.relative_major().tonic()),
        },
    }
}

fn fret(planned: &Planned, song: SongId) -> Fret {
    planned.plan.fret(song, 0)
}

fn family(planned: &Planned, song: SongId, key: Key) -> Option<Family> {
    family_of(&planned.set.first_player().shapes, fret(planned, song), key)
}
