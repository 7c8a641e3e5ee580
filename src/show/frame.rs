//! From two pictures to the bytes that turn one into the other: changed cells alone, in one synchronised update.

use crate::screen::{Cell, Clusters, Ink, Picture, Sign, Theme};
use crate::show::escape::Sequence;
use crate::show::pens::{Pen, Pens};
use std::io::Write;

/// Writes pictures; keeps its bytes between pictures so that a press allocates nothing.
pub(super) struct Frame {
    bytes: Vec<u8>,
    pens: Pens,
    /// How the terminal writes just now.
    pen: Pen,
    /// Where its cursor is, if that is known.
    cursor: Option<(u16, u16)>,
    /// Which row it is in; at the right edge that is all that is known.
    line: Option<u16>,
}

/// What goes from picture to picture.
pub(super) struct Change<'p> {
    pub(super) old: &'p Picture,
    pub(super) new: &'p Picture,
    pub(super) clusters: &'p Clusters,
    /// The window's title, where it changes.
    pub(super) title: Option<&'p str>,
}

/// A picture is torn where it is longer than what a terminal takes at once, so it says where it begins and ends.
const BEGIN: &[u8] = b"\x1b[?2026h";
const END: &[u8] = b"\x1b[?2026l";
/// Unchanged cells that are cheaper to write again than to leap over.
const LEAP: u16 = 3;
/// Columns that a step to the right reaches in one figure.
const SHORT_STEP: u16 = 10;
/// Full blocks in a row from which blanks in reverse are shorter: three bytes each against one, and eight for turning
/// the ink round and back.
const LONG_RUN: usize = 5;
const BLOCK: char = '█';

impl Frame {
    pub(super) fn new(theme: Theme) -> Frame {
        Frame {
            bytes: Vec::new(),
            pens: Pens::new(theme),
            pen: Pen::PLAIN,
            cursor: None,
            line: None,
        }
    }

    /// The terminal writes as another frame has left it.
    pub(super) fn take_pen_of(&mut self, other: &Frame) {
        self.pen = other.pen;
    }

    /// The bytes of the last change; none where nothing changed.
    pub(super) fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Finds the bytes of a change. With `fresh`, which goes first, the terminal is taken to be blank in its own colours.
    pub(super) fn between(&mut self, change: &Change<'_>, fresh: Option<&[u8]>) {
        self.bytes.clear();
        self.bytes.extend_from_slice(BEGIN);
        let begun = self.bytes.len();
        if let Some(fresh) = fresh {
            self.bytes.extend_from_slice(fresh);
            self.pen = Pen::PLAIN;
        }
        if let Some(title) = change.title {
            let _ = write!(self.bytes, "\x1b]2;{title}\x07");
        }
        (self.cursor, self.line) = (None, None);
        for (y, (old, new)) in change.old.rows().zip(change.new.rows()).enumerate() {
            if fresh.is_some() || old != new {
                self.row(y as u16, old, new, change.clusters, fresh.is_some());
            }
        }
        if self.bytes.len() == begun {
            self.bytes.clear();
        } else {
            self.bytes.extend_from_slice(END);
        }
    }

    fn row(&mut self, y: u16, old: &[Cell], new: &[Cell], clusters: &Clusters, all: bool) {
        let mut x = 0;
        while x < new.len() {
            if !all {
                let Some(same) = new[x..].iter().zip(&old[x..]).position(|(new, old)| new != old) else {
                    return;
                };
                // Half of a wide sign is not written without its other half.
                x += same - usize::from(same > 0 && new[x + same].is_covered());
            }
            self.go_to(x as u16, y, new);
            let (rest, before) = (&new[x..], &old[x..]);
            let blocks = blocks(rest, before, all);
            let (len, plain) = if blocks >= LONG_RUN {
                self.put_blocks(rest[0].ink(), blocks);
                (blocks, true)
            } else {
                self.put_signs(rest, before, clusters, all)
            };
            x += len;
            // At the right edge a terminal's cursor waits in its own way, and behind a wide sign or one with marks it is
            // where the terminal thinks that such a sign ends.
            self.cursor = (plain && x < new.len()).then_some((x as u16, y));
        }
    }

    /// Moves the cursor, by writing a few cells again where that is shorter.
    fn go_to(&mut self, x: u16, y: u16, row: &[Cell]) {
        match self.cursor {
            Some((at, line)) if line == y && at == x => {}
            Some((at, line)) if line == y && at < x => {
                let between = &row[usize::from(at)..usize::from(x)];
                if x - at <= LEAP && self.are_plain(between) {
                    self.bytes.extend(between.iter().filter_map(|cell| cell.byte()));
                } else if x - at == 1 {
                    self.bytes.extend_from_slice(b"\x1b[C");
                } else {
                    self.move_by(&[x - at], b'C');
                }
            }
            _ => self.go_to_row(x, y),
        }
        self.line = Some(y);
    }

    /// Moves the cursor to another row: to the one below as a line of text goes on, where that is shorter. Raw mode adds
    /// nothing to a line feed, and the row below is there, so that nothing scrolls.
    fn go_to_row(&mut self, x: u16, y: u16) {
        if y > 0 && self.line == Some(y - 1) && x < SHORT_STEP {
            self.bytes.extend_from_slice(b"\r\n");
            match x {
                0 => {}
                1 => self.bytes.extend_from_slice(b"\x1b[C"),
                _ => self.move_by(&[x], b'C'),
            }
        } else {
            self.move_by(&[y + 1, x + 1], b'H');
        }
    }

    /// Whether the cells are single bytes that the pen at hand would write as they are.
    fn are_plain(&self, cells: &[Cell]) -> bool {
        cells.iter().all(|cell| {
            let ink = cell.ink();
            match cell.byte() {
                Some(b' ') => self.writes_blank_of(ink),
                byte => byte.is_some() && self.pens.of(ink) == self.pen,
            }
        })
    }

    /// Whether a blank of this ink is the same from the pen at hand.
    fn writes_blank_of(&self, ink: Ink) -> bool {
        self.pens.writes_blank_of(self.pen, ink)
    }

    fn put(&mut self, cell: Cell, clusters: &Clusters) {
        if !(cell.is(' ') && self.writes_blank_of(cell.ink())) {
            self.take_up(self.pens.of(cell.ink()));
        }
        match cell.sign(clusters) {
            Sign::Letter(letter) => self.letter(letter),
            Sign::Cluster(cluster) => self.bytes.extend_from_slice(cluster.as_bytes()),
            Sign::Covered => {}
        }
    }

    /// Writes a sign, and those behind it as most of a picture is written: while each cell changes, is one letter wide,
    /// and wants the pen at hand. How many cells that were, and whether the cursor is known to stand behind them.
    fn put_signs(&mut self, new: &[Cell], old: &[Cell], clusters: &Clusters, all: bool) -> (usize, bool) {
        self.put(new[0], clusters);
        let wide = width(new);
        if wide > 1 || matches!(new[0].sign(clusters), Sign::Cluster(_)) {
            return (wide.min(new.len()), false);
        }
        let mut len = 1;
        while len < new.len() && (all || new[len] != old[len]) {
            let cell = new[len];
            match (cell.byte(), cell.letter()) {
                (Some(b' '), _) if self.writes_blank_of(cell.ink()) => self.bytes.push(b' '),
                _ if self.pens.of(cell.ink()) != self.pen => break,
                (Some(byte), _) => self.bytes.push(byte),
                (None, Some(letter)) if letter != BLOCK && width(&new[len..]) == 1 => self.letter(letter),
                (None, _) => break,
            }
            len += 1;
        }
        (len, true)
    }

    /// Full blocks as blanks in reverse.
    fn put_blocks(&mut self, ink: Ink, run: usize) {
        self.take_up(self.pens.turned(ink));
        self.bytes.resize(self.bytes.len() + run, b' ');
    }

    fn letter(&mut self, letter: char) {
        let mut utf8 = [0; 4];
        let len = letter.encode_utf8(&mut utf8).len();
        // Always four bytes, which takes one instruction, and then those that are too many off again.
        self.bytes.extend_from_slice(&utf8);
        self.bytes.truncate(self.bytes.len() - (utf8.len() - len));
    }

    fn take_up(&mut self, wanted: Pen) {
        if wanted != self.pen {
            self.pens.change(self.pen, wanted, &mut self.bytes);
            self.pen = wanted;
        }
    }

    fn move_by(&mut self, numbers: &[u16], end: u8) {
        let mut sequence = Sequence::begin(&mut self.bytes);
        sequence.with(numbers);
        sequence.end(end);
    }
}

/// How many full blocks of one ink these cells begin with, all of which change.
fn blocks(new: &[Cell], old: &[Cell], all: bool) -> usize {
    if !new[0].is(BLOCK) {
        return 0;
    }
    let cells = new.iter().zip(old);
    cells
        .take_while(|(cell, old)| **cell == new[0] && (all || cell != old))
        .count()
}

/// Cells that the first of these signs covers.
fn width(cells: &[Cell]) -> usize {
    1 + usize::from(cells.get(1).is_some_and(|next| next.is_covered()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Planned, planned, solve};
    use crate::screen::{Look, Screen, Status, as_text, title};
    use crate::sequencer::{Action, Page, Sequencer, cue};
    use ratatui::buffer::Buffer;
    use ratatui::layout::Rect;

    const SET: &str = "
set: Evening
songs:
  - { song: 'Ferry 渡し船 e\u{0301}', key: Bb, sections: { Verse: { technique: palm mute, pickup: neck }, Chorus: { pickup: bridge } } }
  - { song: '👨\u{200D}👩 ☀\u{FE0F}ab 🇩🇪🇫🇷 1\u{FE0F}\u{20E3} 👍\u{1F3FD}', key: D }
  - { song: 'שלום Orchard', key: D }
";

    /// After every press, a terminal emulator library (vt100 0.18) that was fed the bytes shows what was drawn.
    #[test]
    fn a_terminal_that_is_fed_the_changes_shows_each_page() {
        let planned = planned(SET);
        for (width, height) in [(80, 24), (31, 9), (120, 40), (5, 3)] {
            for theme in [Theme::Dark, Theme::Plain] {
                let mut screen = Screen::new(Look {
                    theme,
                    ..Look::default()
                });
                let mut frame = Frame::new(theme);
                let mut sequencer = Sequencer::open(&planned);
                let mut terminal = vt100::Parser::new(height.try_into().unwrap(), width.try_into().unwrap(), 0);
                let mut shown = Picture::new(width, height);
                for (place, action) in [
                    "peek",
                    "next",
                    "next",
                    "back",
                    "lock",
                    "lock",
                    "next-song",
                    "next-song",
                    "back",
                ]
                .iter()
                .enumerate()
                {
                    sequencer.apply(&planned, &Action::parse(action).unwrap()).unwrap();
                    let cue = cue(&planned, sequencer.state());
                    let mut wanted = Picture::new(width, height);
                    screen.paint(&cue, &Status::default(), &mut wanted);
                    let change = Change {
                        old: &shown,
                        new: &wanted,
                        clusters: screen.clusters(),
                        title: None,
                    };
                    let fresh = (place == 0).then_some(&b"\x1b[m\x1b[2J"[..]);
                    frame.between(&change, fresh);
                    terminal.process(frame.bytes());
                    let mut buffer = Buffer::empty(Rect::new(0, 0, width, height));
                    wanted.to_buffer(theme, screen.clusters(), &mut buffer);
                    // Full blocks may have come as blanks in reverse.
                    let drawn = as_text(&buffer).replace('█', " ");
                    let drawn: Vec<&str> = drawn.lines().map(str::trim_end).collect();
                    let seen = terminal
                        .screen()
                        .rows(0, width)
                        .map(|row| row.replace('█', " ").trim_end().to_owned());
                    assert_eq!(seen.collect::<Vec<_>>(), drawn, "{width}x{height} {action}");
                    shown = wanted;
                }
            }
        }
    }

    /// A pseudo-terminal takes 4 KiB at once; what is longer comes in pieces. Every change of section of the demo set.
    #[test]
    fn a_change_of_section_is_one_write_that_is_taken_at_once_up_to_120_by_40() {
        let set = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("setlists/harvest-evening.yaml");
        let set = crate::setlist::read(&set, None).unwrap().set;
        let plan = solve(&set).unwrap();
        let planned = Planned { set, plan };
        for (width, height) in [(80, 24), (100, 30), (120, 30), (80, 40), (120, 36), (120, 40)] {
            let mut screen = Screen::new(Look::default());
            let mut frame = Frame::new(Theme::Dark);
            let mut sequencer = Sequencer::open(&planned);
            let (mut shown, mut was_section) = (Picture::new(width, height), false);
            while !matches!(sequencer.state().page(), Page::End) {
                let cue = cue(&planned, sequencer.state());
                let title = title(&cue);
                let mut wanted = Picture::new(width, height);
                screen.paint(&cue, &Status::default(), &mut wanted);
                let change = Change {
                    old: &shown,
                    new: &wanted,
                    clusters: screen.clusters(),
                    title: Some(&title),
                };
                frame.between(&change, None);
                let bytes = frame.bytes().len();
                let is_section = matches!(sequencer.state().page(), Page::Section(_));
                assert!(
                    !(was_section && is_section) || bytes <= 4_000,
                    "{width} x {height}, {title}: {bytes}"
                );
                (shown, was_section) = (wanted, is_section);
                sequencer.apply(&planned, &Action::Next).unwrap();
            }
        }
    }

    #[test]
    fn a_picture_that_does_not_change_is_no_bytes() {
        let picture = Picture::new(8, 2);
        let clusters = Clusters::default();
        let change = Change {
            old: &picture,
            new: &picture,
            clusters: &clusters,
            title: None,
        };
        let mut frame = Frame::new(Theme::Dark);
        frame.between(&change, None);
        assert_eq!(frame.bytes(), b"");
    }
}
