//! Reading a song: its fields, its pins and its messages.

use crate::music::{AskedKey, Numbering};
use crate::setlist::order::read_order;
use crate::setlist::sections::read_sections;
use crate::setlist::set::{Message, Pin, Song};
use crate::setlist::set_shapes::{MESSAGE, PIN};
use crate::setlist::syntax::cut;
use crate::setlist::tree::At;
use crate::setlist::walk::{Fields, Given, Walk};
use crate::setlist::words::{did_you_mean, near};
use crate::setlist::{Channel, Player, Seconds, Spot, Tempo};
use std::collections::HashSet;

/// What a set says for all of its songs, and how much may still be read into memory.
pub(super) struct Common<'s> {
    pub(super) numbering: Numbering,
    pub(super) gap: Seconds,
    /// None where they could not all be read.
    pub(super) players: &'s [Player],
    pub(super) all_players: bool,
    pub(super) set_file: u16,
    pub(super) room: Room,
    /// Whether the song being read says its key: else nothing can be outside it.
    pub(super) key_known: bool,
    /// The chords outside their key that have been told of: file, line and column.
    pub(super) outside: HashSet<(u16, u32, u32)>,
}

/// How much more a reading may hold. A short file can ask for very much by `x10000`, `like` and `%`.
pub(super) struct Room {
    pub(super) steps: usize,
    /// Bars and the chords in them.
    pub(super) chords: usize,
}

impl Default for Room {
    fn default() -> Room {
        Room {
            steps: 4_000_000,
            chords: 4_000_000,
        }
    }
}

/// Reads a song whose fields have been gathered; none where title or key are missing. The song stands at `place`.
pub(super) fn read_song(walk: &mut Walk, fields: &Fields<'_>, place: Spot, common: &mut Common<'_>) -> Option<Song> {
    let title_at = walk.required(fields, "song", fields.whole);
    let title = title_at.and_then(|given| walk.text(given));
    walk.song.clone_from(&title);
    let key_at = walk.required(fields, "key", title_at.map_or(fields.whole, |given| given.at));
    let key = key_at.and_then(|given| walk.key(given));
    let tempo = fields
        .get("tempo")
        .and_then(|given| walk.number(given))
        .and_then(Tempo::new);
    let meter = fields.get("meter").and_then(|given| walk.meter(given));
    let gap = fields
        .get("gap")
        .and_then(|given| walk.number(given))
        .and_then(Seconds::new);
    let note = fields
        .get("note")
        .and_then(|given| walk.text(given))
        .filter(|note| !note.is_empty());
    let pins = read_pins(walk, fields.get("pin"), common);
    let send = fields
        .get("send")
        .map(|given| read_messages(walk, given))
        .unwrap_or_default();
    // Sections are read even where the key is missing, so that their faults are found too.
    common.key_known = key.is_some();
    let heard_in = key.or_else(|| AskedKey::parse("C").ok())?;
    let sections = read_sections(walk, fields.get("sections"), heard_in, common);
    let steps = match fields.get("order") {
        Some(given) => read_order(walk, given, &sections, fields.partial, &mut common.room.steps),
        None => (0..sections.len()).collect(),
    };
    walk.song = None;
    Some(Song {
        title: title?,
        key: key?,
        tempo,
        meter,
        gap: gap.unwrap_or(common.gap),
        note,
        pins,
        send,
        sections,
        steps,
        spot: place,
        key_spot: key_at?.at.spot(),
    })
}

fn read_pins(walk: &mut Walk, given: Option<Given<'_>>, common: &Common<'_>) -> Vec<Option<Pin>> {
    let mut pins = vec![None; common.players.len()];
    for (name_at, name, pin) in given.map(|given| walk.named(given)).unwrap_or_default() {
        let fields = walk.fields(pin, &PIN);
        let fret = fields.get("fret").and_then(|given| walk.fret(given));
        let shapes = fields.get("shapes").and_then(|given| walk.family(given));
        if fields.get("fret").is_none() && fields.get("shapes").is_none() && !fields.may_lack() {
            walk.wrong(
                name_at,
                "a pin needs a `fret` or `shapes`".into(),
                Some("Like `{ fret: 3 }`.".into()),
            );
        }
        match common.players.iter().position(|player| player.name == name) {
            Some(player) if fret.is_some() || shapes.is_some() => {
                let spot = name_at.spot();
                pins[player] = Some(Pin { fret, shapes, spot });
            }
            Some(_) => {}
            None => unknown_player(walk, name_at, &name, common),
        }
    }
    pins
}

/// A song file may be shared by sets with other players, so that there only a slip of the finger is a fault.
fn unknown_player(walk: &mut Walk, at: At<'_>, name: &str, common: &Common<'_>) {
    let names = common
        .players
        .iter()
        .map(|player| player.name.as_str())
        .filter(|name| !name.is_empty());
    let shared = at.file() != common.set_file && near(name, names.clone()).is_none();
    if common.all_players && !shared {
        let hint = did_you_mean(name, names);
        walk.wrong(at, format!("no player is called `{}`", cut(name)), hint);
    }
}

pub(super) fn read_messages(walk: &mut Walk, given: Given<'_>) -> Vec<Message> {
    walk.items(given).filter_map(|item| read_message(walk, item)).collect()
}

fn read_message(walk: &mut Walk, at: At<'_>) -> Option<Message> {
    let fields = walk.fields(at, &MESSAGE);
    let channel = match fields.get("channel") {
        Some(given) => walk.channel(given),
        None => Channel::new(1),
    };
    let mut seven = |name: &str| fields.get(name).map(|given| walk.seven(given));
    let (program, cc, value) = (seven("program"), seven("cc"), seven("value"));
    match (program, cc, value) {
        (Some(program), None, None) => Some(Message::Program {
            program: program?,
            channel: channel?,
        }),
        (None, Some(cc), Some(value)) => Some(Message::Control {
            cc: cc?,
            value: value?,
            channel: channel?,
        }),
        _ if fields.may_lack() => None,
        _ => {
            let hint = "Like `{ program: 12, channel: 1 }` or `{ cc: 20, value: 127, channel: 1 }`.";
            let message = "a message is either a `program`, or a `cc` with its `value`";
            walk.wrong(at, message.into(), Some(hint.into()));
            None
        }
    }
}
