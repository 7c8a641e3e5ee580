//! A leader's list, as it comes in a message or a table, made into the draft of a set; what was not read is told.

use crate::setlist::Meter;
use crate::setlist::decode::{decode, tidy};
use crate::setlist::draft::{STAND_IN, SetDraft, SongDraft};
use crate::setlist::list_line::{Bare, Manner, SongLine, read_line};
use crate::setlist::list_parts::{Marked, Number, marked};
use crate::setlist::list_table::Table;
use crate::setlist::list_words::{Says, all};
use crate::setlist::syntax::cut;

/// A list that was read: songs in order, and what there is to say about its lines.
#[derive(Clone, Debug, PartialEq)]
pub struct LeadersList {
    pub set: SetDraft,
    pub remarks: Vec<ListRemark>,
}

/// Something that the list says and the set does not, or something that it should have said.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ListRemark {
    /// From 1.
    pub line: usize,
    pub words: String,
}

/// A line of a list is a title and a few words.
const MOST_LETTERS: usize = 500;
/// A heading is a set's name where it is short; a longer one is a message's first words.
const LONGEST_NAME: usize = 40;
/// Beats slower than this in a meter of eighths are sooner dotted quarters: from memory, no source.
const SLOW_EIGHTHS: f64 = 100.0;
/// Words of a list's heading.
const HEADING_WORDS: [&str; 27] = [
    "set",
    "setlist",
    "songs",
    "list",
    "rehearsal",
    "order",
    "running",
    "programme",
    "monday",
    "tuesday",
    "wednesday",
    "thursday",
    "friday",
    "saturday",
    "sunday",
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// Reads a list, one song a line. `name` is the set's, where the list has no heading. None where no line is a song.
pub fn read_list(bytes: &[u8], name: &str) -> Option<LeadersList> {
    let text = decode(bytes);
    // Every way that a line may end, each as one.
    let text = text
        .replace("\r\n", "\n")
        .replace(['\r', '\u{85}', '\u{2028}', '\u{2029}'], "\n");
    let mut lines: Vec<String> = text.split('\n').map(visible).collect();
    let long = cut_long(&mut lines);
    let mut reader = Reader::new(&lines);
    reader.remarks = long;
    for (number, line) in (1..).zip(&lines) {
        reader.take(number, line);
    }
    reader.finish(name)
}

/// Cuts what is longer than any line about a song, and says so: such a line would take long to be read in all its ways.
fn cut_long(lines: &mut [String]) -> Vec<ListRemark> {
    let cut = |(line, text): (usize, &mut String)| {
        let (end, _) = text.char_indices().nth(MOST_LETTERS)?;
        text.truncate(end);
        let words = format!("only the first {MOST_LETTERS} letters of this line were read");
        Some(ListRemark { line, words })
    };
    (1..).zip(lines).filter_map(cut).collect()
}

/// Without control characters but tabs.
fn visible(line: &str) -> String {
    let keeps = |letter: char| letter == '\t' || !letter.is_control();
    let shown = line.chars().map(|letter| if keeps(letter) { letter } else { ' ' });
    let shown: String = shown.filter(|letter| *letter != '\u{feff}').collect();
    shown.trim_end().to_owned()
}

/// A song and where it came from.
struct Listed {
    line: usize,
    song: SongLine,
    /// What a table calls a note, and what was added later.
    notes: Vec<String>,
    remarks: Vec<String>,
}

struct Reader {
    habits: Habits,
    table: Option<Table>,
    name: Option<String>,
    /// Comments for the song that comes next.
    pending: Vec<String>,
    songs: Vec<Listed>,
    remarks: Vec<ListRemark>,
    /// Whether the line before was blank.
    after_blank: bool,
}

/// How this list is written, as far as one line alone does not tell.
#[derive(Clone, Copy)]
struct Habits {
    /// Whether a number without a dot before a title is its place in the list.
    bare_numbers: bool,
    /// Whether songs have a number or a bullet, so that a line without is none.
    marks: bool,
    /// Blanks before most songs.
    indent: usize,
    manner: Manner,
    /// The first line that is not blank.
    first: usize,
}

impl Habits {
    fn new(lines: &[String]) -> Habits {
        let full = || lines.iter().map(String::as_str).filter(|line| !is_rule(line));
        let marks: Vec<Marked<'_>> = full().map(marked).collect();
        let perhaps = marks.iter().filter_map(|mark| match mark.number {
            Some(Number::Perhaps(number, _)) => Some(number),
            _ => None,
        });
        let perhaps: Vec<u32> = perhaps.collect();
        let bare_numbers = perhaps.len() > 1 && perhaps.windows(2).all(|pair| pair[0] + 1 == pair[1]);
        let is_marked = |mark: &Marked<'_>| is_marked(mark, bare_numbers);
        let (mut first, mut last, mut unmarked) = (0, 0, 0);
        for mark in &marks {
            let song = read_line(body(mark, bare_numbers), Manner::ALONE);
            unmarked += usize::from(song.key.is_some() && !is_marked(mark));
            let words = between_numbers(body(mark, bare_numbers));
            let is_key = |word: Option<&&str>| {
                let said = word.and_then(|word| all(word));
                said.is_some_and(|said| matches!(said[..], [(Says::Key(..), _)]))
            };
            // `A` begins many a title and says nothing about the list.
            first += usize::from(is_key(words.first().filter(|word| **word != "A")));
            last += usize::from(is_key(words.last()) || song.key.is_some() && !is_key(words.first()));
        }
        let bare_key = if first > last { Bare::First } else { Bare::Last };
        let manner = Manner {
            bare_key,
            ..Manner::ALONE
        };
        let has_tempo = |mark: &&Marked<'_>| read_line(body(mark, bare_numbers), manner).tempo.is_some();
        let tempos = marks.iter().filter(has_tempo).count();
        let mut indents: Vec<usize> = marks.iter().map(|mark| mark.indent).collect();
        indents.sort_unstable();
        Habits {
            bare_numbers,
            marks: marks.iter().filter(|mark| is_marked(mark)).count() > unmarked.max(1),
            indent: indents.first().copied().unwrap_or_default(),
            manner: Manner {
                bare_key,
                // Where most songs have a tempo, a number is one sooner than it is a part of a title.
                words_left: if tempos > 1 && tempos * 2 > marks.len() { 1 } else { 2 },
            },
            first: lines.iter().position(|line| !is_rule(line)).map_or(0, |at| at + 1),
        }
    }
}

/// The words of a line without the tempo and the meter at its edges: what is left begins or ends with a key, or with the
/// title.
fn between_numbers(line: &str) -> Vec<&str> {
    let is_number = |word: &&str| {
        let said = all(word);
        said.is_some_and(|said| {
            said.iter()
                .all(|(says, _)| matches!(says, Says::Tempo(_) | Says::Meter(_)))
        })
    };
    let words = line.split_whitespace().skip_while(is_number);
    let mut words: Vec<&str> = words.collect();
    while words.last().is_some_and(is_number) {
        words.pop();
    }
    words
}

fn is_marked(mark: &Marked<'_>, bare_numbers: bool) -> bool {
    mark.has_bullet
        || match mark.number {
            Some(Number::Sure) => true,
            Some(Number::Perhaps(..)) => bare_numbers,
            None => false,
        }
}

/// The line without what numbers it.
fn body<'t>(mark: &Marked<'t>, bare_numbers: bool) -> &'t str {
    match mark.number {
        Some(Number::Perhaps(_, after)) if bare_numbers => after,
        _ => mark.rest,
    }
}

/// Blank, or a line drawn with signs.
fn is_rule(line: &str) -> bool {
    line.chars()
        .all(|letter| letter.is_whitespace() || "-–—=_*#~|:+.".contains(letter))
}

impl Reader {
    fn new(lines: &[String]) -> Reader {
        Reader {
            habits: Habits::new(lines),
            table: None,
            name: None,
            pending: Vec::new(),
            songs: Vec::new(),
            remarks: Vec::new(),
            after_blank: false,
        }
    }

    fn take(&mut self, number: usize, line: &str) {
        let after_blank = std::mem::replace(&mut self.after_blank, is_rule(line));
        if is_rule(line) {
            return;
        }
        if self.table.is_none() {
            self.table = Table::of_heading(line);
            if self.table.is_some() {
                return;
            }
        }
        if let Some(row) = self.table.as_ref().and_then(|table| table.row(line)) {
            let notes = row.notes;
            return self.add(number, row.song, notes);
        }
        let mark = marked(line);
        let text = body(&mark, self.habits.bare_numbers);
        let mut song = read_line(text, Manner::ALONE);
        let is_loose = self.habits.marks && !is_marked(&mark, self.habits.bare_numbers)
            || mark.indent > self.habits.indent && !self.songs.is_empty();
        let mut manner = self.habits.manner;
        if song.key.is_some() || is_loose && !song.says_something() {
            manner.bare_key = Bare::Nowhere;
        }
        song = read_line(text, manner);
        match () {
            () if song.title.is_empty() => self.belongs(number, song, text),
            () if !song.says_something() && self.heads(number, line, is_loose) => {}
            () if is_loose && after_blank && !song.says_something() && self.parts_from_songs(number, text) => {}
            () if is_loose && !song.says_something() => self.belongs(number, SongLine::default(), text),
            () => self.add(number, song, Vec::new()),
        }
    }

    fn add(&mut self, line: usize, song: SongLine, notes: Vec<String>) {
        if song.title.is_empty() {
            return self.belongs(line, song, "");
        }
        let remarks = std::mem::take(&mut self.pending);
        self.songs.push(Listed {
            line,
            song,
            notes,
            remarks,
        });
    }

    /// A line without a title belongs to the song before it.
    fn belongs(&mut self, line: usize, said: SongLine, text: &str) {
        let Some(last) = self.songs.last_mut() else {
            let text = tidy(text);
            if said.links.is_empty() {
                self.say(line, format!("`{}` is no song: kept as a comment", cut(&text)));
            }
            self.pending.push(text);
            return;
        };
        let title = cut(&last.song.title);
        let says_nothing = !said.says_something() && said.links.is_empty();
        let says = [
            said.key.map(|key| Says::Key(key, None)),
            said.tempo.map(Says::Tempo),
            said.meter.map(Says::Meter),
        ];
        let left = says
            .into_iter()
            .flatten()
            .filter(|says| !last.song.take(says.clone()))
            .count();
        let unread = if says_nothing || left > 0 {
            vec![tidy(text)]
        } else {
            said.unread
        };
        last.song.links.extend(said.links);
        for text in unread.into_iter().filter(|text| !text.is_empty()) {
            self.say(
                line,
                format!("`{}` was not read: kept as a note of `{title}`", cut(&text)),
            );
            if let Some(last) = self.songs.last_mut() {
                last.notes.push(text);
            }
        }
    }

    /// Takes words that stand apart from the songs, as a greeting does, as a comment at the last of them.
    fn parts_from_songs(&mut self, line: usize, text: &str) -> bool {
        let text = tidy(text);
        let Some(last) = self.songs.last_mut() else {
            return false;
        };
        let title = cut(&last.song.title);
        let words = format!("`{}` was not read: kept as a comment at `{title}`", cut(&text));
        last.remarks.push(text);
        self.say(line, words);
        true
    }

    /// Takes a heading: the first is the set's name, others are comments.
    fn heads(&mut self, number: usize, line: &str, is_loose: bool) -> bool {
        let text = line.trim();
        let is_dressed = text.starts_with("# ")
            || text.starts_with("##")
            || text.ends_with(':')
            || text.len() > 2 && text.starts_with(['=', '-', '*']) && text.ends_with(['=', '-', '*']);
        let words: Vec<String> = text
            .split(|c: char| !c.is_alphanumeric())
            .map(str::to_lowercase)
            .collect();
        let speaks = words.iter().any(|word| HEADING_WORDS.contains(&word.as_str()));
        let is_first = number == self.habits.first;
        if !(is_dressed || is_first && (speaks || is_loose)) {
            return false;
        }
        let dressing = |letter: char| "#=-*: –—~_".contains(letter);
        let heading = tidy(text.trim_matches(dressing));
        match &self.name {
            None if self.songs.is_empty() && heading.chars().count() > LONGEST_NAME => {
                let words = format!("`{}` is too long for the set's name: kept as a comment", cut(&heading));
                self.say(number, words);
                self.pending.push(heading);
            }
            None if self.songs.is_empty() => self.name = Some(heading),
            _ => self.pending.push(heading),
        }
        true
    }

    fn say(&mut self, line: usize, words: String) {
        self.remarks.push(ListRemark { line, words });
    }

    fn finish(mut self, name: &str) -> Option<LeadersList> {
        let songs = std::mem::take(&mut self.songs);
        let songs: Vec<SongDraft> = songs.into_iter().map(|listed| self.draft(listed)).collect();
        for text in std::mem::take(&mut self.pending) {
            // A heading with nothing under it has no song to stand above.
            let line = self.habits.first;
            self.say(line, format!("`{}` has no song under it: left out", cut(&text)));
        }
        self.remarks.sort_by_key(|remark| remark.line);
        let name = self
            .name
            .filter(|name| !name.is_empty())
            .unwrap_or_else(|| name.to_owned());
        let set = SetDraft { name, songs };
        (!set.songs.is_empty()).then_some(LeadersList {
            set,
            remarks: self.remarks,
        })
    }

    fn draft(&mut self, listed: Listed) -> SongDraft {
        let Listed { line, song, notes, .. } = listed;
        let title = cut(&song.title);
        let mut draft = SongDraft::new(song.title, song.key);
        let mut all_notes = Vec::new();
        if song.key.is_none() {
            let words = format!("`{title}` has no key that could be read: {STAND_IN} stands in for it");
            self.say(line, words);
            all_notes.push("the key is not known".to_owned());
        }
        draft.meter = song.meter;
        let meter = song.meter.unwrap_or(Meter::COMMON);
        draft.tempo = song.tempo.and_then(|beats| beats.in_meter(meter));
        if song.tempo.is_some() && draft.tempo.is_none() {
            self.say(
                line,
                format!("the tempo of `{title}` is beyond 20 to 400 beats of {meter}: left out"),
            );
        }
        if let Some(tempo) = draft
            .tempo
            .filter(|tempo| meter.unit() == 8 && tempo.bpm() < SLOW_EIGHTHS)
        {
            let (eighths, dotted) = (tempo.bpm(), tempo.bpm() * 3.0);
            draft.tempo_remark = Some(format!("eighths; for {eighths} dotted quarters write {dotted}"));
            let words =
                format!("the tempo of `{title}` is read as {eighths} eighths; for dotted quarters write {dotted}");
            self.say(line, words);
        }
        if let Some(number) = song.doubtful {
            let words = format!("`{number}` was left in the title `{title}`; a tempo would be `{number} bpm`");
            self.say(line, words);
        }
        for text in song.unread {
            self.say(
                line,
                format!("`{}` was not read: kept as a note of `{title}`", cut(&text)),
            );
            all_notes.push(text);
        }
        all_notes.extend(notes);
        draft.note = Some(all_notes.join("; ")).filter(|note| !note.is_empty());
        draft.remarks = listed.remarks;
        draft.remarks.extend(song.links.iter().map(|link| tidy(link)));
        draft
    }
}
