//! A section's row: what the hands do at the left, its bars at the right, each chord by number and as fingered.

use crate::music::{Key, NumberChord};
use crate::setlist::{Section, Technique};
use crate::sheet::leaf::{Ink, Paint, Part, Piece, Role};
use crate::sheet::letters::{Face, LINE, Letters};
use crate::sheet::played::Played;
use crate::sheet::prose::paragraphs;
use crate::sheet::song::Common;

/// The left column, in points, and how far it stays from the bars.
const HANDS: f32 = 150.0;
const APART: f32 = 12.0;
const NAME: f32 = 12.5;
const WORDS: f32 = 10.0;
/// A line of bars, and its words.
const BARS: f32 = 31.0;
const NUMBER: f32 = 9.0;
const CHORD: f32 = 13.5;
/// Of a name or a technique: far more than any has.
const MOST_LINES: usize = 12;
/// A note longer than so many lines of the column stands below the bars.
const NOTE_LINES: f32 = 3.5;
/// So many lines of bars are not torn from what the hands do.
const LINES_WHOLE: usize = 4;
/// Bars in a line where they have room.
const BARS_A_LINE: [usize; 3] = [4, 2, 1];
/// Between chords, and beside a bar line.
const BESIDE: f32 = 6.0;
/// A pickup position's dot, and a selector of more positions than are seen at a glance.
const DOT: f32 = 2.6;
const MOST_DOTS: usize = 7;

/// The first part has all that the hands do; bars that have no room beside it follow line by line.
pub(super) fn parts(played: &Played<'_>, section: &Section, plays: bool, common: &Common<'_>) -> Vec<Part> {
    let mut first = hands(played, section, plays, common);
    let lines = bars(played, section, common.width - HANDS, common);
    let beside = LINES_WHOLE.max((first.height / BARS) as usize);
    let mut lines = lines.into_iter();
    for (place, line) in lines.by_ref().take(beside).enumerate() {
        first.take(line, (HANDS, BARS * place as f32));
        first.height = first.height.max(BARS * (place + 1) as f32);
    }
    let mut parts = vec![first];
    parts.extend(lines.map(|line| {
        let mut part = Part::blank(BARS);
        part.take(line, (HANDS, 0.0));
        part
    }));
    if let Some(note) = section.note.as_deref().filter(|note| is_long(note, common)) {
        parts.extend(paragraphs(Face::Text, WORDS, note, common.width, common.letters));
    }
    parts
}

/// Whether a note is better read across the page than in the narrow column.
fn is_long(note: &str, common: &Common<'_>) -> bool {
    common.letters.width(Face::Text, WORDS, note) > (HANDS - APART) * NOTE_LINES
}

/// Name, key where it is another than the song's, technique, pickup, bars and note.
fn hands(played: &Played<'_>, section: &Section, plays: bool, common: &Common<'_>) -> Part {
    let mut name = Column::new(Role::Heading(3, section.name.clone()), common.letters);
    name.put(Face::Bold, NAME, 0.0, &section.name);
    let mut words = Column::new(Role::Words, common.letters);
    words.y = name.y + 1.0;
    if section.key.key() != played.song.key.key() {
        words.put(Face::Bold, WORDS, 0.0, &key_words(played, section));
    }
    if let Some(technique) = &section.technique {
        words.put(Face::Bold, WORDS, 0.0, &technique_words(technique));
    }
    if let Some(pickup) = &section.pickup {
        let names = common.guitar.selector.iter().map(|position| position.name.as_str());
        let begin = words.selector(&names.collect::<Vec<_>>(), pickup);
        words.put(Face::Bold, WORDS, begin, pickup);
    }
    let bars = section.bars.map(|bars| match bars.count() {
        1 => "1 bar".to_owned(),
        count => format!("{count} bars"),
    });
    let quiet = [bars, (!plays).then(|| "not in the order".to_owned())];
    words.put(
        Face::Text,
        WORDS,
        0.0,
        &quiet.into_iter().flatten().collect::<Vec<_>>().join(", "),
    );
    if let Some(note) = section.note.as_deref().filter(|note| !is_long(note, common)) {
        words.put(Face::Text, WORDS, 0.0, note);
    }
    Part {
        height: words.y + 4.0,
        pieces: vec![name.piece, words.piece],
        bookmark: None,
    }
}

fn key_words(played: &Played<'_>, section: &Section) -> String {
    match played.family(section.key.key()) {
        Some(family) => format!("in {}: {family} shapes", section.key),
        None => format!("in {}: no shapes", section.key),
    }
}

/// With the sign that the trade writes, where there is one.
fn technique_words(technique: &Technique) -> String {
    let sign = match technique {
        Technique::DownStrokes => "⊓ ",
        Technique::Diamonds => "◇ ",
        Technique::PalmMute | Technique::Arpeggio | Technique::Strum | Technique::Tacet | Technique::Other(_) => "",
    };
    format!("{sign}{}", technique.words())
}

/// Words below one another in the left column.
struct Column<'a> {
    piece: Piece,
    letters: &'a Letters,
    y: f32,
}

impl Column<'_> {
    fn new(role: Role, letters: &Letters) -> Column<'_> {
        Column {
            piece: Piece::new(role),
            letters,
            y: 0.0,
        }
    }

    /// On as many lines as they take, the first of them at `begin`.
    fn put(&mut self, face: Face, size: f32, begin: f32, words: &str) {
        if words.is_empty() {
            return;
        }
        let width = HANDS - APART - begin;
        for line in self.letters.lines(face, size, width, MOST_LINES, words) {
            self.piece.words((begin, self.y + size), face, size, &line);
            self.y += size * LINE;
        }
    }

    /// The selector's positions as dots, the chosen one filled; where the words after them begin.
    fn selector(&mut self, names: &[&str], chosen: &str) -> f32 {
        if names.len() > MOST_DOTS || !names.contains(&chosen) {
            return 0.0;
        }
        let step = DOT * 2.9;
        for (place, name) in names.iter().enumerate() {
            let middle = (DOT + step * place as f32, self.y + WORDS * 0.66);
            let paint = if *name == chosen {
                Paint::Filled(Ink::Black)
            } else {
                Paint::Outlined(0.6)
            };
            self.piece.dot(middle, DOT, paint);
        }
        step * names.len() as f32 + 2.0
    }
}

/// A chord of a bar: what is read, and how wide that is.
struct Word {
    number: String,
    fingered: String,
    width: f32,
}

impl Word {
    fn new(number: String, fingered: String, letters: &Letters) -> Word {
        let width = letters
            .width(Face::Text, NUMBER, &number)
            .max(letters.width(Face::Bold, CHORD, &fingered));
        Word {
            number,
            fingered,
            width,
        }
    }
}

/// The lines of bars, each bar as wide as every other.
fn bars(played: &Played<'_>, section: &Section, width: f32, common: &Common<'_>) -> Vec<Part> {
    let key = section.key.key();
    let bars = section.chords.bars.iter().map(|bar| match bar.repeats {
        true => vec![Word::new(String::new(), "%".into(), common.letters)],
        false => {
            let words = bar.chords.iter().map(|chord| word(played, key, *chord, common));
            words.collect()
        }
    });
    let bars: Vec<Vec<Word>> = bars.collect();
    let wanted = bars.iter().map(|bar| wanted(bar)).fold(0.0, f32::max);
    let fitting = BARS_A_LINE.into_iter().find(|count| wanted <= width / *count as f32);
    let count = fitting.unwrap_or(1);
    let bar_width = width / count as f32;
    let lines = bars.chunks(count);
    let roles = std::iter::once(Role::Words).chain(std::iter::repeat(Role::MoreWords));
    let lines = roles.zip(lines);
    lines.map(|(role, line)| line_of_bars(role, line, bar_width)).collect()
}

fn word(played: &Played<'_>, key: Key, chord: Option<NumberChord>, common: &Common<'_>) -> Word {
    let Some(chord) = chord else {
        return Word::new(String::new(), "NC".into(), common.letters);
    };
    let fingered = chord.on(played.home(key)).signs().to_string();
    Word::new(chord.written(key, common.numbering), fingered, common.letters)
}

/// The room that a bar's chords take side by side.
fn wanted(bar: &[Word]) -> f32 {
    bar.iter().map(|word| word.width + BESIDE).sum::<f32>() + BESIDE
}

fn line_of_bars(role: Role, bars: &[Vec<Word>], bar_width: f32) -> Part {
    let mut rules = Piece::new(Role::Furniture);
    let mut words = Piece::new(role);
    for (place, bar) in bars.iter().enumerate() {
        let left = bar_width * place as f32;
        rules.line((left, 1.0), (left, BARS - 4.0), 0.7, Ink::Black);
        // Smaller only where a whole line is not enough for one bar.
        let scale = (bar_width / wanted(bar)).min(1.0);
        let share = (bar_width - BESIDE) / bar.len().max(1) as f32;
        let even = bar.iter().all(|word| word.width + BESIDE <= share);
        let mut x = left + BESIDE * scale;
        for word in bar {
            let (number, chord) = (NUMBER * scale, CHORD * scale);
            words.words((x, NUMBER + 1.0), Face::Text, number, &word.number);
            words.words((x, BARS - 7.5), Face::Bold, chord, &word.fingered);
            x += if even { share } else { (word.width + BESIDE) * scale };
        }
    }
    if let Some(last) = bars.len().checked_sub(1) {
        let right = bar_width * (last + 1) as f32 - 0.4;
        rules.line((right, 1.0), (right, BARS - 4.0), 0.7, Ink::Black);
    }
    Part {
        height: BARS,
        pieces: vec![rules, words],
        bookmark: None,
    }
}
