//! Reading a song: its fields, its sections and the order in which they are played.

use crate::music::{AskedKey, ChordLine, Numbering};
use crate::setlist::order::read_order;
use crate::setlist::set::{Pin, Section, Song, Technique};
use crate::setlist::values::{self, key, messages, meter, seconds, tempo};
use crate::setlist::walk::{Fields, In, Walk, cut, near};
use crate::setlist::{Bars, Player, Rule, Seconds, Spot};

/// The fields of a song file, and of a song in a set.
pub(super) const SONG_FIELDS: [&str; 10] = [
    "song", "key", "tempo", "meter", "gap", "note", "pin", "send", "sections", "order",
];
pub(super) const SECTION_FIELDS: [&str; 8] = ["like", "bars", "technique", "pickup", "chords", "key", "note", "send"];
pub(super) const PIN_FIELDS: [&str; 2] = ["fret", "shapes"];

/// What a set says for all of its songs.
pub(super) struct Common<'s> {
    pub(super) numbering: Numbering,
    pub(super) gap: Seconds,
    pub(super) players: &'s [Player],
    /// The set file: pins for strangers are faults there, and are passed over in a song file that many sets share.
    pub(super) set_file: u16,
}

/// Reads a song whose fields have been gathered; none where title or key are missing.
pub(super) fn read_song(walk: &mut Walk<'_>, fields: &Fields<'_>, common: &Common<'_>) -> Option<Song> {
    let title = walk
        .required(fields, "song", "a song")
        .and_then(|at| walk.name(at, "a title"));
    walk.song = title.map(one_line);
    let key_at = walk.required(fields, "key", "a song");
    let song_key = key_at.and_then(|at| key(walk, at));
    let song_tempo = fields.get("tempo").and_then(|at| tempo(walk, at));
    let song_meter = fields.get("meter").and_then(|at| meter(walk, at));
    let gap = fields.get("gap").and_then(|at| seconds(walk, at, "a gap"));
    let note = fields.get("note").and_then(|at| walk.text(at, "a note")).map(one_line);
    let send = fields.get("send").map(|at| messages(walk, at)).unwrap_or_default();
    let pins = pins(walk, fields.get("pin"), common);
    // Sections are read even where the key is missing, so that their faults are found too.
    let section_key = song_key.or_else(|| AskedKey::parse("C").ok())?;
    let sections = fields
        .get("sections")
        .map(|at| sections(walk, at, section_key, common.numbering))
        .unwrap_or_default();
    let steps = match fields.get("order") {
        Some(at) => read_order(walk, at, &sections),
        None => (0..sections.len()).collect(),
    };
    Some(Song {
        title: one_line(title?),
        key: song_key?,
        tempo: song_tempo,
        meter: song_meter,
        gap: gap.unwrap_or(common.gap),
        note,
        pins,
        send,
        sections,
        steps,
        spot: fields.get("song").map_or_else(Spot::default, In::spot),
        key_spot: key_at?.spot(),
    })
}

fn pins(walk: &mut Walk<'_>, at: Option<In<'_>>, common: &Common<'_>) -> Vec<Option<Pin>> {
    let mut pins = vec![None; common.players.len()];
    let Some(at) = at else { return pins };
    for (name_at, name, pin) in walk.pairs(at, "`pin`") {
        let named = one_line(name);
        let Some(player) = common.players.iter().position(|player| player.name == named) else {
            if at.file == common.set_file {
                let names = common.players.iter().map(|player| player.name.as_str());
                let hint = near(name, names).map(|near| format!("Did you mean `{near}`?"));
                walk.wrong(name_at, format!("no player is called `{}`", cut(name)), hint);
            }
            continue;
        };
        let fields = walk.fields(pin, "a pin", &PIN_FIELDS);
        let fret = fields.get("fret").and_then(|at| values::fret(walk, at));
        let shapes = fields.get("shapes").and_then(|at| values::family(walk, at));
        if fields.get("fret").is_none() && fields.get("shapes").is_none() {
            walk.wrong(pin, "a pin needs `fret` or `shapes`".into(), None);
        }
        if fret.is_some() || shapes.is_some() {
            pins[player] = Some(Pin {
                fret,
                shapes,
                spot: name_at.spot(),
            });
        }
    }
    pins
}

/// A section's fields before `like` is followed.
struct Draft<'n> {
    name_at: In<'n>,
    name: &'n str,
    fields: Fields<'n>,
}

fn sections(walk: &mut Walk<'_>, at: In<'_>, song_key: AskedKey, numbering: Numbering) -> Vec<Section> {
    let mut drafts: Vec<Draft<'_>> = Vec::new();
    for (name_at, name, value) in walk.pairs(at, "`sections`") {
        let name = name.trim();
        if name.is_empty() {
            walk.wrong(name_at, "a section needs a name".into(), None);
            continue;
        }
        if drafts.iter().any(|draft| draft.name == name) {
            walk.wrong(name_at, format!("the section `{}` stands twice", cut(name)), None);
            continue;
        }
        walk.section = Some(name.to_owned());
        let fields = walk.fields(value, "a section", &SECTION_FIELDS);
        drafts.push(Draft { name_at, name, fields });
    }
    let read = (0..drafts.len())
        .map(|place| section(walk, &drafts, place, song_key, numbering))
        .collect();
    walk.section = None;
    read
}

fn section(
    walk: &mut Walk<'_>,
    drafts: &[Draft<'_>],
    place: usize,
    song_key: AskedKey,
    numbering: Numbering,
) -> Section {
    let draft = &drafts[place];
    walk.section = Some(draft.name.to_owned());
    let line = ancestry(walk, drafts, place);
    let get = |name: &str| line.iter().find_map(|&draft| drafts[draft].fields.get(name));
    let section_key = get("key").and_then(|at| key(walk, at));
    let heard_in = section_key.unwrap_or(song_key);
    Section {
        name: one_line(draft.name),
        key: heard_in,
        bars: get("bars").and_then(|at| values::bars(walk, at)),
        technique: get("technique")
            .and_then(|at| walk.name(at, "a technique"))
            .map(|words| Technique::parse(&one_line(words))),
        pickup: get("pickup").and_then(|at| walk.name(at, "a pickup")).map(one_line),
        pickup_spot: get("pickup").map(In::spot),
        chords: get("chords")
            .map(|at| chords(walk, at, heard_in, numbering))
            .unwrap_or_default(),
        note: get("note").and_then(|at| walk.text(at, "a note")).map(one_line),
        send: get("send").map(|at| messages(walk, at)).unwrap_or_default(),
        spot: draft.name_at.spot(),
    }
}

/// The section itself, then the one it is like, and so on.
fn ancestry(walk: &mut Walk<'_>, drafts: &[Draft<'_>], place: usize) -> Vec<usize> {
    let mut line = vec![place];
    let mut here = place;
    while let Some(at) = drafts[here].fields.get("like") {
        let Some(name) = walk.name(at, "`like`") else { break };
        let Some(next) = find(drafts.iter().map(|draft| draft.name), name) else {
            if here == place {
                let hint =
                    near(name, drafts.iter().map(|draft| draft.name)).map(|near| format!("Did you mean `{near}`?"));
                walk.fault(
                    Rule::UnknownSection,
                    at.spot(),
                    format!("this song has no section `{}`", cut(name)),
                    hint,
                );
            }
            break;
        };
        if line.contains(&next) {
            if here == place || next == place {
                walk.wrong(at, format!("`{}` is like itself by way of `like`", cut(name)), None);
            }
            break;
        }
        line.push(next);
        here = next;
    }
    line
}

/// The place of a name: written just so, or else without regard to case.
pub(super) fn find<'n>(names: impl Iterator<Item = &'n str> + Clone, name: &str) -> Option<usize> {
    let lower = name.to_lowercase();
    names
        .clone()
        .position(|known| known == name)
        .or_else(|| names.clone().position(|known| known.to_lowercase() == lower))
}

fn chords(walk: &mut Walk<'_>, at: In<'_>, heard_in: AskedKey, numbering: Numbering) -> ChordLine {
    let Some(text) = walk.text(at, "a chord line") else {
        return ChordLine::default();
    };
    match ChordLine::parse(text, heard_in.key(), numbering) {
        Ok(line) => line,
        Err(errors) => {
            let spot = at.spot();
            let quote = u32::from(at.node.place.bytes.1 - at.node.place.bytes.0 > text.len());
            for error in errors {
                let place = Spot {
                    column: spot.column + quote + error.at as u32,
                    len: error.len as u32,
                    ..spot
                };
                // Folded over several lines, a text no longer tells where its parts stood.
                let place = if text.contains('\n') { spot } else { place };
                walk.fault(Rule::Format, place, error.message, error.hint);
            }
            ChordLine::default()
        }
    }
}

/// Text for one line of a screen: what would move a terminal's cursor or change its colours is shown as unreadable.
pub(super) fn one_line(text: &str) -> String {
    let shown = |letter: char| if letter.is_control() { '\u{fffd}' } else { letter };
    let words = text
        .split_whitespace()
        .map(|word| word.chars().map(shown).collect::<String>());
    words.collect::<Vec<_>>().join(" ")
}

/// How many bars an order may have at most is bounded by its steps.
pub(super) fn bars_of(text: &str) -> Option<Bars> {
    text.parse().ok().and_then(Bars::new)
}
