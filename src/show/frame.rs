//! From two pictures to the bytes that turn one into the other: changed cells alone, in one synchronised update.

use crate::screen::{Cell, Clusters, Ink, Picture, Sign, Theme};
use ratatui::style::{Color, Modifier, Style};
use std::io::Write;

/// Writes pictures; keeps its bytes between pictures so that a press allocates nothing.
pub(super) struct Frame {
    bytes: Vec<u8>,
    /// By ink, in the order of `Ink::ALL`.
    pens: [Pen; Ink::ALL.len()],
    /// How the terminal writes just now.
    pen: Pen,
    /// Where its cursor is, if that is known.
    cursor: Option<(u16, u16)>,
    /// Which row it is in; at the right edge that is all that is known.
    line: Option<u16>,
}

/// How a terminal writes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Pen {
    fg: Color,
    bg: Color,
    modifier: Modifier,
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

const PLAIN: Pen = Pen {
    fg: Color::Reset,
    bg: Color::Reset,
    modifier: Modifier::empty(),
};

impl Frame {
    pub(super) fn new(theme: Theme) -> Frame {
        Frame {
            bytes: Vec::new(),
            pens: Ink::ALL.map(|ink| Pen::new(theme.style(ink))),
            pen: PLAIN,
            cursor: None,
            line: None,
        }
    }

    /// The bytes of a change; none where nothing does change. With `fresh`, which goes first, the terminal is taken to
    /// be blank in its own colours.
    pub(super) fn between(&mut self, change: &Change<'_>, fresh: Option<&[u8]>) -> &[u8] {
        self.bytes.clear();
        self.bytes.extend_from_slice(BEGIN);
        let begun = self.bytes.len();
        if let Some(fresh) = fresh {
            self.bytes.extend_from_slice(fresh);
            self.pen = PLAIN;
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
        &self.bytes
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
            let wide = width(&new[x..]);
            let end = (x + wide).min(new.len());
            self.go_to(x as u16, y, new, clusters);
            let plain = wide == 1 && !matches!(new[x].sign(clusters), Sign::Cluster(_));
            let run = new[x..]
                .iter()
                .zip(&old[x..])
                .take_while(|(cell, old)| **cell == new[x] && (all || cell != old));
            let run = if new[x].sign(clusters) == Sign::Letter('█') {
                run.count()
            } else {
                0
            };
            x = if run >= LONG_RUN {
                self.put_block(new[x], run);
                x + run
            } else {
                self.put(new[x], clusters);
                let more = if plain {
                    self.go_on(&new[end..], &old[end..], new[x].ink(), clusters, all)
                } else {
                    0
                };
                end + more
            };
            // At the right edge a terminal's cursor waits in its own way, and behind a wide sign or one with marks it is
            // where the terminal thinks that such a sign ends.
            self.cursor = (plain && x < new.len()).then_some((x as u16, y));
        }
    }

    /// Moves the cursor, by writing a few cells again where that is shorter.
    fn go_to(&mut self, x: u16, y: u16, row: &[Cell], clusters: &Clusters) {
        match self.cursor {
            Some((at, line)) if line == y && at == x => {}
            Some((at, line)) if line == y && at < x => {
                let between = &row[usize::from(at)..usize::from(x)];
                if x - at <= LEAP && self.are_plain(between, clusters) {
                    between.iter().for_each(|cell| self.sign(cell.sign(clusters)));
                } else if x - at == 1 {
                    self.bytes.extend_from_slice(b"\x1b[C");
                } else {
                    let _ = write!(self.bytes, "\x1b[{}C", x - at);
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
                _ => drop(write!(self.bytes, "\x1b[{x}C")),
            }
        } else {
            let _ = write!(self.bytes, "\x1b[{};{}H", y + 1, x + 1);
        }
    }

    /// Whether the cells are single bytes that the pen at hand would write as they are.
    fn are_plain(&self, cells: &[Cell], clusters: &Clusters) -> bool {
        cells.iter().all(|cell| {
            let ink = self.pens[cell.ink() as usize];
            match cell.sign(clusters) {
                Sign::Letter(' ') => self.shows_as_blank(ink),
                Sign::Letter(letter) => letter.is_ascii() && ink == self.pen,
                Sign::Cluster(_) | Sign::Covered => false,
            }
        })
    }

    /// Whether a blank of this ink is the same from the pen at hand: a blank shows no ink but where it is reversed.
    fn shows_as_blank(&self, ink: Pen) -> bool {
        ink.bg == self.pen.bg && !(ink.modifier | self.pen.modifier).contains(Modifier::REVERSED)
    }

    fn put(&mut self, cell: Cell, clusters: &Clusters) {
        let wanted = self.pens[cell.ink() as usize];
        let sign = cell.sign(clusters);
        if !(sign == Sign::Letter(' ') && self.shows_as_blank(wanted)) {
            self.take_up(wanted);
        }
        self.sign(sign);
    }

    /// Writes on behind a sign of this ink, as most of a picture is written: while each cell changes, is one letter wide,
    /// and wants the pen at hand; how many there were.
    fn go_on(&mut self, new: &[Cell], old: &[Cell], ink: Ink, clusters: &Clusters, all: bool) -> usize {
        let in_hand = self.pens[ink as usize] == self.pen;
        let mut len = 0;
        while len < new.len() && (all || new[len] != old[len]) && width(&new[len..]) == 1 {
            match new[len].sign(clusters) {
                Sign::Letter(' ') if self.shows_as_blank(self.pens[new[len].ink() as usize]) => self.bytes.push(b' '),
                Sign::Letter(letter) if in_hand && letter != '█' && new[len].ink() == ink => self.letter(letter),
                Sign::Letter(_) | Sign::Cluster(_) | Sign::Covered => break,
            }
            len += 1;
        }
        len
    }

    /// Full blocks as blanks in reverse.
    fn put_block(&mut self, cell: Cell, run: usize) {
        let ink = self.pens[cell.ink() as usize];
        self.take_up(Pen {
            modifier: ink.modifier | Modifier::REVERSED,
            ..ink
        });
        self.bytes.resize(self.bytes.len() + run, b' ');
    }

    fn sign(&mut self, sign: Sign<'_>) {
        match sign {
            Sign::Letter(letter) => self.letter(letter),
            Sign::Cluster(cluster) => self.bytes.extend_from_slice(cluster.as_bytes()),
            Sign::Covered => {}
        }
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
            self.dip(self.pen, wanted);
            self.pen = wanted;
        }
    }

    fn dip(&mut self, from: Pen, to: Pen) {
        self.bytes.extend_from_slice(b"\x1b[");
        for (modifier, on, off) in MODIFIERS {
            match (from.modifier.contains(modifier), to.modifier.contains(modifier)) {
                (false, true) => {
                    let _ = write!(self.bytes, "{on};");
                }
                (true, false) => {
                    let _ = write!(self.bytes, "{off};");
                }
                (true, true) | (false, false) => {}
            }
        }
        if to.fg != from.fg {
            self.color(to.fg, 30);
        }
        if to.bg != from.bg {
            self.color(to.bg, 40);
        }
        // One `;` stands too many.
        if let Some(last) = self.bytes.last_mut() {
            *last = b'm';
        }
    }

    /// A colour parameter and a `;`. `base` is 30 for ink, 40 for ground.
    fn color(&mut self, color: Color, base: u8) {
        let _ = match color {
            Color::Reset => write!(self.bytes, "{};", base + 9),
            Color::Rgb(r, g, b) => write!(self.bytes, "{};2;{r};{g};{b};", base + 8),
            Color::Indexed(index) => write!(self.bytes, "{};5;{index};", base + 8),
            named => {
                let number = named_color(named);
                let code = if number < 8 {
                    base + number
                } else {
                    base + 60 + number - 8
                };
                write!(self.bytes, "{code};")
            }
        };
    }
}

impl Pen {
    fn new(style: Style) -> Pen {
        Pen {
            fg: style.fg.unwrap_or_default(),
            bg: style.bg.unwrap_or_default(),
            modifier: style.add_modifier,
        }
    }
}

/// The modifiers that a picture has, with what turns them on and off; none of them blinks.
const MODIFIERS: [(Modifier, u8, u8); 2] = [(Modifier::BOLD, 1, 22), (Modifier::REVERSED, 7, 27)];

/// A colour's place among a terminal's sixteen.
fn named_color(color: Color) -> u8 {
    const NAMED: [Color; 16] = [
        Color::Black,
        Color::Red,
        Color::Green,
        Color::Yellow,
        Color::Blue,
        Color::Magenta,
        Color::Cyan,
        Color::Gray,
        Color::DarkGray,
        Color::LightRed,
        Color::LightGreen,
        Color::LightYellow,
        Color::LightBlue,
        Color::LightMagenta,
        Color::LightCyan,
        Color::White,
    ];
    NAMED.iter().position(|&named| named == color).unwrap_or(7) as u8
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
                    terminal.process(frame.between(&change, fresh));
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
                let bytes = frame.between(&change, None).len();
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
        assert_eq!(Frame::new(Theme::Dark).between(&change, None), b"");
    }
}
