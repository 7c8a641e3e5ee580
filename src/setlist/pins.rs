//! Pins written into a set file's text, so that not one other byte of it changes.
//!
//! A song that has no pin gets a field `pin` after its last simple field; a song with one gets what is missing in it. A
//! pin that is there stays as it is written: the plan obeys it, and a family alone fixes the fret too, since in one key
//! no two frets up to the eleventh give the same family. Songs that a set `use`s are pinned beside `use`.

use crate::music::Fret;
use crate::setlist::edit::{Edit, Page, Pair, edited, field, in_quotes, pairs};
use crate::setlist::quote::scalar;
use crate::setlist::set::{Set, Song, SongId};
use crate::setlist::tree::{At, Is};
use crate::setlist::{Player, Spot};

/// After the last of these that is one plain value on one line stands the pin.
const SIMPLE: [&str; 7] = ["song", "use", "key", "tempo", "meter", "gap", "note"];

/// The set file's text with a pin for every player in every song; none where the text is written in a way that leaves
/// no safe place for one. What comes back is to be read again before it is trusted.
pub fn with_pins(text: &str, set: &Set, fret: impl Fn(SongId, usize) -> Fret) -> Option<String> {
    edited(text, |page, root| {
        let songs = field(&pairs(root?)?, "songs")?.1.items();
        if songs.len() != set.songs().len() {
            return None;
        }
        let mut edits = Vec::new();
        for (id, node) in set.song_ids().zip(songs) {
            let wanted: Vec<(&Player, Fret)> = set.players.iter().zip((0..).map(|player| fret(id, player))).collect();
            edits.extend(page.pin_song(node, &wanted)?);
        }
        Some(edits)
    })
}

/// The field that pins these frets, for a player to write by hand.
pub fn pin_line(set: &Set, song: SongId, fret: impl Fn(SongId, usize) -> Fret) -> String {
    let entries = set
        .players
        .iter()
        .enumerate()
        .map(|(place, player)| entry(player, fret(song, place), false));
    field_of(&entries.collect::<Vec<_>>(), false)
}

/// Whether two sets differ in their pins alone, and in where things stand.
pub fn same_but_for_pins(one: &Set, other: &Set) -> bool {
    bare(one) == bare(other)
}

/// The set without pins, and with everything standing nowhere.
fn bare(set: &Set) -> Set {
    let mut set = set.clone();
    set.players.iter_mut().for_each(|player| player.spot = None);
    for song in &mut set.songs {
        let Song {
            spot,
            key_spot,
            pins,
            sections,
            ..
        } = song;
        (*spot, *key_spot) = (Spot::default(), Spot::default());
        pins.fill(None);
        for section in sections {
            section.spot = Spot::default();
            section.pickup_spot = section.pickup_spot.map(|_| Spot::default());
        }
    }
    set
}

/// Pins among the fields of a song.
impl Page<'_> {
    /// The change that pins a song, if it needs one; none at all where there is no safe place for it.
    fn pin_song(&self, song: At<'_>, wanted: &[(&Player, Fret)]) -> Option<Option<Edit>> {
        let fields = pairs(song)?;
        let Some(&(key, pin)) = field(&fields, "pin") else {
            return self.new_pin(song, &fields, wanted).map(Some);
        };
        match pin.is() {
            Is::Nothing => self.fill_nothing(key, pin, wanted).map(Some),
            Is::Group => {
                let pinned = &pairs(pin)?[..];
                let missing: Vec<_> = wanted
                    .iter()
                    .filter(|(player, _)| field(pinned, &player.name).is_none())
                    .collect();
                if missing.is_empty() {
                    return Some(None);
                }
                let quoted = pinned
                    .first()
                    .map_or(self.is_quoted(key), |&(name, _)| self.is_quoted(name));
                let entries: Vec<String> = missing
                    .iter()
                    .map(|(player, fret)| entry(player, *fret, quoted))
                    .collect();
                match pinned.last() {
                    Some(last) => self.add_after(self.style(pin, pinned)?, last, &entries),
                    None => Some(Edit {
                        at: pin.bytes().1,
                        removed: 0,
                        new: format!(" {} ", entries.join(", ")),
                    }),
                }
                .map(Some)
            }
            Is::Plain(_) | Is::Quoted(_) | Is::List => None,
        }
    }

    fn new_pin(&self, song: At<'_>, fields: &[Pair<'_>], wanted: &[(&Player, Fret)]) -> Option<Edit> {
        let style = self.style(song, fields)?;
        let simple = |&&(key, value): &&Pair<'_>| {
            key.text().is_some_and(|name| SIMPLE.contains(&name)) && self.is_simple(key, value)
        };
        let last = fields.iter().rfind(simple)?;
        let quoted = self.is_quoted(last.0);
        let entries: Vec<String> = wanted
            .iter()
            .map(|(player, fret)| entry(player, *fret, quoted))
            .collect();
        self.add_after(style, last, &[field_of(&entries, quoted)])
    }

    /// `pin:` with nothing behind it, or with a word for nothing.
    fn fill_nothing(&self, key: At<'_>, nothing: At<'_>, wanted: &[(&Player, Fret)]) -> Option<Edit> {
        let quoted = self.is_quoted(key);
        let entries: Vec<String> = wanted
            .iter()
            .map(|(player, fret)| entry(player, *fret, quoted))
            .collect();
        self.behind(key, nothing, &format!("{{ {} }}", entries.join(", ")))
    }
}

fn field_of(entries: &[String], quoted: bool) -> String {
    let name = if quoted { "\"pin\"" } else { "pin" };
    format!("{name}: {{ {} }}", entries.join(", "))
}

/// `Wren: { fret: 3 }`; in a file whose names are in quotes, in quotes.
fn entry(player: &Player, fret: Fret, quoted: bool) -> String {
    if quoted {
        format!("{}: {{ \"fret\": {fret} }}", in_quotes(&player.name))
    } else {
        format!("{}: {{ fret: {fret} }}", scalar(&player.name))
    }
}
