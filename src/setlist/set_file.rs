//! Reading a whole set: its own fields, its players, and its songs with the files that they use.

use crate::music::{MinorNumbers, NumberStyle, Numbering};
use crate::setlist::Seconds;
use crate::setlist::player::{Guitar, Player};
use crate::setlist::player_file::read_players;
use crate::setlist::set::{Set, Song};
use crate::setlist::set_shapes::{SET, SONG};
use crate::setlist::shelf::Shelf;
use crate::setlist::song::{Common, Room, read_song};
use crate::setlist::syntax::cut;
use crate::setlist::tree::At;
use crate::setlist::walk::{Fields, Given, Walk};
use std::collections::HashSet;

/// Seconds between songs where a set says nothing.
const USUAL_GAP_S: f64 = 20.0;
/// Song files that use one another; one is usual.
const MOST_USES: usize = 16;

/// Reads the set at `at`; `first` stands in where it says nothing of its first player. The guitar is the first player's,
/// where the set tells of it.
pub(super) fn read_set(
    walk: &mut Walk,
    shelf: &mut Shelf<'_>,
    at: At<'_>,
    first: Player,
) -> Option<(Set, Option<Guitar>)> {
    let fields = walk.fields(at, &SET);
    let name = walk.required(&fields, "set", at).and_then(|given| walk.text(given));
    let date = fields.get("date").and_then(|given| read_date(walk, given));
    let gap = fields
        .get("gap")
        .and_then(|given| walk.number(given))
        .and_then(Seconds::new);
    let numbering = Numbering {
        style: match fields.get("numbers").and_then(|given| walk.word(given)) {
            Some("literal") => NumberStyle::Literal,
            _ => NumberStyle::Diatonic,
        },
        minor: match fields.get("minor_numbers").and_then(|given| walk.word(given)) {
            Some("from_one") => MinorNumbers::FromOne,
            _ => MinorNumbers::Relative,
        },
    };
    let (players, guitar) = read_players(walk, fields.get("players"), first);
    let mut common = Common {
        numbering,
        gap: gap.or_else(|| Seconds::new(USUAL_GAP_S)).unwrap_or(Seconds::NONE),
        players: &players,
        all_players: !fields.partial,
        set_file: at.file(),
        room: Room::default(),
        key_known: true,
        outside: HashSet::new(),
    };
    let songs_at = walk.required(&fields, "songs", at)?;
    let items = walk.items(songs_at);
    if items.len() == 0 && songs_at.at.is_list() && !songs_at.at.is_unsure() {
        let hint = format!("A song is written like `- {}`.", SONG.example);
        walk.wrong(songs_at.at, "a set needs at least one song".into(), Some(hint));
    }
    let songs: Vec<Song> = items
        .filter_map(|item| read_listed(walk, shelf, item, &mut common))
        .collect();
    let set = Set {
        name: name?,
        date,
        numbering,
        players,
        songs,
    };
    (!set.songs.is_empty()).then_some((set, guitar))
}

/// A song of the list, with what it takes from song files.
fn read_listed(walk: &mut Walk, shelf: &mut Shelf<'_>, item: At<'_>, common: &mut Common<'_>) -> Option<Song> {
    let fields = walk.fields(item, &SONG);
    let place = fields
        .get("song")
        .or(fields.get("use"))
        .map_or(item, |given| given.at)
        .spot();
    read_used(walk, shelf, fields, &mut vec![item.file()], &mut |walk, fields| {
        read_song(walk, fields, place, common)
    })
}

/// Lays the fields over those of the file that they use, that of the file which it uses, and so on; then reads them.
fn read_used(
    walk: &mut Walk,
    shelf: &mut Shelf<'_>,
    mut fields: Fields<'_>,
    trail: &mut Vec<u16>,
    read: &mut dyn FnMut(&mut Walk, &Fields<'_>) -> Option<Song>,
) -> Option<Song> {
    let Some(used) = fields.get("use") else {
        return read(walk, &fields);
    };
    fields = fields.without("use");
    let tree = walk.text(used).and_then(|path| shelf.song(walk, used.at, &path));
    let root = tree.as_deref().and_then(|tree| Some((tree.file(), tree.root()?)));
    let Some((file, root)) = root else {
        fields.partial = true;
        return read(walk, &fields);
    };
    if trail.contains(&file) || trail.len() > MOST_USES {
        let message = match trail.len() {
            1 => "a set cannot use itself as a song".to_owned(),
            _ => format!("`{}` uses itself in the end", cut(used.at.text().unwrap_or_default())),
        };
        walk.wrong(used.at, message, None);
        fields.partial = true;
        return read(walk, &fields);
    }
    if is_set(root) {
        let message = format!("`{}` is a whole set", cut(used.at.text().unwrap_or_default()));
        let hint = "A song file holds the fields of one song: `song`, `key` and so on, without `songs`.";
        walk.wrong(used.at, message, Some(hint.into()));
        fields.partial = true;
        return read(walk, &fields);
    }
    trail.push(file);
    let under = walk.fields(root, &SONG);
    read_used(walk, shelf, fields.over(&under), trail, read)
}

/// Whether a file that is used as a song is a set.
fn is_set(root: At<'_>) -> bool {
    root.pairs().any(|(name, _)| name.text() == Some("songs"))
}

/// A day of the calendar, as written.
fn read_date(walk: &mut Walk, given: Given<'_>) -> Option<String> {
    let text = walk.text(given)?;
    let parts: Vec<u32> = text.split('-').filter_map(|part| part.parse().ok()).collect();
    let is_day = match parts[..] {
        [year, month, day] => {
            let leap = year % 4 == 0 && year % 100 != 0 || year % 400 == 0;
            let days = match month {
                2 if leap => 29,
                2 => 28,
                4 | 6 | 9 | 11 => 30,
                1..=12 => 31,
                _ => 0,
            };
            text.len() == 10 && text.as_bytes()[4] == b'-' && text.as_bytes()[7] == b'-' && (1..=days).contains(&day)
        }
        _ => false,
    };
    if !is_day {
        return walk.not(given, "a day like `2026-10-10`");
    }
    Some(text)
}
