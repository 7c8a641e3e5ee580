//! A song's part of the sheet: its head, its facts, the order of its steps, its sections and the chords it uses.

use crate::music::Numbering;
use crate::setlist::{Guitar, Song};
use crate::sheet::flow::Flow;
use crate::sheet::leaf::{Part, Piece, Role};
use crate::sheet::letters::{CAPITAL, Face, LINE, Letters, Room, TIED};
use crate::sheet::played::{Played, capo_words};
use crate::sheet::prose::paragraphs;
use crate::sheet::{badge, chart, section};

/// The capo's place at the left of the head, in points.
const BADGE: f32 = 50.0;
const TITLE: f32 = 20.0;
const FACTS: f32 = 10.0;
/// Of a title and of a song's keys: far more than any has.
const MOST_LINES: usize = 12;

/// What all songs of a sheet share.
pub(super) struct Common<'a> {
    pub(super) letters: &'a Letters,
    pub(super) guitar: &'a Guitar,
    pub(super) numbering: Numbering,
    pub(super) left_handed: bool,
    pub(super) width: f32,
}

/// A song, with so many points left blank below it.
pub(super) fn put(flow: &mut Flow, played: &Played<'_>, common: &Common<'_>, apart: f32) {
    let mut parts = vec![head(played, common)];
    parts.extend(facts(played, common));
    for (place, section) in played.song.sections.iter().enumerate() {
        parts.push(Part::rule(common.width, 9.0));
        let plays = played.song.steps.contains(&place);
        parts.extend(section::parts(played, section, plays, common));
    }
    parts.push(Part::rule(common.width, 9.0));
    parts.extend(chart::parts(played, common));
    parts.push(Part::blank(apart));
    flow.put_together(parts, &again(played, common));
}

fn head(played: &Played<'_>, common: &Common<'_>) -> Part {
    let letters = common.letters;
    let begin = BADGE * 1.12 + 12.0;
    let title_words = format!("{} {}", played.number, played.song.title);
    let room = Room {
        width: common.width - begin,
        height: TITLE * LINE * 2.0,
        most: TITLE,
        least: 11.0,
    };
    // A title too long for two lines takes more of them: here it stands whole, if it is one.
    let size = letters.fit(Face::Bold, room, &title_words).size;
    let lines = letters.lines(Face::Bold, size, room.width, MOST_LINES, &title_words);
    let mut title = Piece::new(Role::Heading(2, title_words.clone()));
    let mut y = size * CAPITAL;
    for line in &lines {
        title.words((begin, y), Face::Bold, size, line);
        y += size * LINE;
    }
    let mut setting = Piece::new(Role::Words);
    let way = [Some(played.way_words()), played.hurry()];
    let way = way.into_iter().flatten().collect::<Vec<_>>().join(" ");
    let asked = played
        .song
        .key
        .asked_signs()
        .map(|asked| format!("asked for as {asked}"));
    let settings = played
        .settings()
        .chain(asked)
        .chain([way])
        .filter(|words| !words.is_empty());
    let words = settings.collect::<Vec<_>>().join(" · ");
    let setting_size = 13.0;
    y = (y - size * LINE + setting_size * 1.7).max(BADGE - 12.0);
    badge::draw(&mut setting, (0.0, 0.0), (BADGE * 1.12, BADGE), played, letters);
    for line in letters.lines(Face::Bold, setting_size, room.width, MOST_LINES, &words) {
        setting.words((begin, y), Face::Bold, setting_size, &line);
        y += setting_size * LINE;
    }
    Part {
        height: (y - setting_size * LINE + 10.0).max(BADGE + 8.0),
        pieces: vec![title, setting],
        bookmark: Some(format!("{title_words} ({})", capo_words(played.capo))),
    }
}

/// Stands above what goes on from the page before.
fn again(played: &Played<'_>, common: &Common<'_>) -> Part {
    let words = format!(
        "{} {}, {}, continued",
        played.number,
        played.song.title,
        capo_words(played.capo)
    );
    let room = Room {
        width: common.width,
        height: 16.0,
        most: 12.0,
        least: 9.0,
    };
    let fitted = common.letters.fit(Face::Bold, room, &words);
    let mut piece = Piece::new(Role::Furniture);
    if let Some(line) = fitted.lines.first() {
        piece.words((0.0, 12.0), Face::Bold, fitted.size, line);
    }
    Part {
        height: 20.0,
        pieces: vec![piece],
        bookmark: None,
    }
}

/// Tempo and delay times, the note, the order of the steps, the other players' capos: a paragraph each.
fn facts(played: &Played<'_>, common: &Common<'_>) -> Vec<Part> {
    let song = played.song;
    let times = [tempo(song), delays(song)].into_iter().flatten().collect::<Vec<_>>();
    let times = Some(times.join(" · ")).filter(|words| !words.is_empty());
    let others = played.others.iter().map(|(name, fret, family)| {
        let shapes = family.map(|family| format!(", {family} shapes")).unwrap_or_default();
        format!("{name}: {}{shapes}", capo_words(*fret))
    });
    let others = Some(others.collect::<Vec<_>>().join(" · ")).filter(|words| !words.is_empty());
    let told = [
        (Face::Bold, song.note.clone()),
        (Face::Text, times),
        (Face::Text, others),
        (Face::Bold, order(song)),
    ];
    let there = told.into_iter().filter_map(|(face, words)| Some((face, words?)));
    there
        .flat_map(|(face, words)| paragraphs(face, FACTS, &words, common.width, common.letters))
        .collect()
}

/// `72 bpm, 4/4`.
fn tempo(song: &Song) -> Option<String> {
    let tempo = song.tempo.map(|tempo| format!("{} bpm", tempo.bpm()));
    let parts: Vec<String> = tempo
        .into_iter()
        .chain(song.meter.map(|meter| meter.to_string()))
        .collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// Delay times: a dotted eighth is three quarters of a quarter, an eighth half.
fn delays(song: &Song) -> Option<String> {
    let quarter_ms = song.tempo?.quarter_ms(song.meter);
    let parts = [("1/4", 1.0), ("1/8.", 0.75), ("1/8", 0.5)];
    let parts = parts.map(|(name, part)| format!("{name} {:.0} ms", quarter_ms * part));
    Some(format!("delay {}", parts.join(", ")))
}

/// `Intro → Verse → Chorus ×2`; nothing where nothing is played.
fn order(song: &Song) -> Option<String> {
    let steps = song.steps.chunk_by(|a, b| a == b);
    let steps = steps.filter_map(|run| {
        let name = &song.sections.get(*run.first()?)?.name;
        Some(match run.len() {
            1 => name.clone(),
            times => format!("{name}{TIED}×{times}"),
        })
    });
    Some(steps.collect::<Vec<_>>().join(&format!("{TIED}→ "))).filter(|words| !words.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setlist::{Set, read_text};

    fn set(song: &str) -> Set {
        read_text(&format!("set: Millpond\nsongs:\n- {song}\n"), None).set
    }

    // Source: an eighth note at 120 a minute lasts half a second, by definition; a quarter note is two of them.
    #[test]
    fn times_and_order_are_told_in_a_line_each() {
        let set =
            set("{ song: Reeds, key: G, tempo: 120, meter: 6/8, sections: { A: {}, B: {} }, order: [A, B x2, A] }");
        let song = &set.songs()[0];
        assert_eq!(tempo(song).unwrap(), "120 bpm, 6/8");
        assert_eq!(delays(song).unwrap(), "delay 1/4 1000 ms, 1/8. 750 ms, 1/8 500 ms");
        assert_eq!(order(song).unwrap(), "A\u{a0}→ B\u{a0}×2\u{a0}→ A");
    }

    #[test]
    fn what_a_song_does_not_say_is_left_out() {
        let set = set("{ song: Reeds, key: G }");
        let song = &set.songs()[0];
        assert_eq!((tempo(song), delays(song), order(song)), (None, None, None));
    }
}
