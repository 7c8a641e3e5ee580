//! From two buffers to the bytes that turn one picture into the other: changed cells alone, in one synchronised update.

use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Modifier};
use std::io::Write;
use unicode_width::UnicodeWidthStr;

/// Writes pictures; keeps its bytes between pictures so that a press allocates nothing.
#[derive(Default)]
pub(super) struct Frame {
    bytes: Vec<u8>,
}

/// How the terminal writes just now.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Pen {
    fg: Color,
    bg: Color,
    modifier: Modifier,
}

/// A picture is torn where it is longer than what a terminal takes at once, so it says where it begins and ends.
const BEGIN: &[u8] = b"\x1b[?2026h";
const END: &[u8] = b"\x1b[?2026l";
/// Unchanged cells that are cheaper to write again than to leap over.
const LEAP: u16 = 5;

const PLAIN: Pen = Pen {
    fg: Color::Reset,
    bg: Color::Reset,
    modifier: Modifier::empty(),
};

impl Frame {
    /// The bytes from `old` to `new`, with the window's title where it changes; none where nothing does. `before` goes
    /// first, in the same write.
    pub(super) fn between(&mut self, before: &[u8], old: &Buffer, new: &Buffer, title: Option<&str>) -> &[u8] {
        self.bytes.clear();
        self.bytes.extend_from_slice(BEGIN);
        let blank = self.bytes.len();
        self.bytes.extend_from_slice(before);
        if let Some(title) = title {
            let _ = write!(self.bytes, "\x1b]2;{title}\x07");
        }
        let mut pen = PLAIN;
        let width = new.area.width as usize;
        let mut cursor = None;
        for (y, (old, new)) in old
            .content
            .chunks(width.max(1))
            .zip(new.content.chunks(width.max(1)))
            .enumerate()
        {
            self.row(y as u16, old, new, &mut pen, &mut cursor);
        }
        if pen != PLAIN {
            self.bytes.extend_from_slice(b"\x1b[m");
        }
        if self.bytes.len() == blank {
            self.bytes.clear();
        } else {
            self.bytes.extend_from_slice(END);
        }
        &self.bytes
    }

    fn row(&mut self, y: u16, old: &[Cell], new: &[Cell], pen: &mut Pen, cursor: &mut Option<(u16, u16)>) {
        let mut x = 0;
        while x < new.len() {
            let cell = &new[x];
            let width = width(cell);
            let covered = (x + 1..(x + width).min(new.len())).any(|other| old[other] != new[other]);
            if old[x] != *cell || covered {
                self.go_to(x as u16, y, new, pen, cursor);
                self.put(cell, pen);
                *cursor = Some((x as u16 + width as u16, y));
            }
            x += width;
        }
    }

    /// Moves the cursor, by writing a few cells again where that is shorter.
    fn go_to(&mut self, x: u16, y: u16, row: &[Cell], pen: &mut Pen, cursor: &mut Option<(u16, u16)>) {
        match *cursor {
            Some((at, line)) if line == y && at == x => {}
            Some((at, line))
                if line == y && at < x && x - at <= LEAP && plain_run(&row[at as usize..x as usize], *pen) =>
            {
                row[at as usize..x as usize]
                    .iter()
                    .for_each(|cell| self.bytes.extend_from_slice(cell.symbol().as_bytes()));
            }
            Some((at, line)) if line == y && at < x => {
                let _ = write!(self.bytes, "\x1b[{}C", x - at);
            }
            _ => {
                let _ = write!(self.bytes, "\x1b[{};{}H", y + 1, x + 1);
            }
        }
    }

    fn put(&mut self, cell: &Cell, pen: &mut Pen) {
        let wanted = Pen {
            fg: cell.fg,
            bg: cell.bg,
            modifier: cell.modifier,
        };
        // A blank shows no ink, so its ink needs no change.
        let blank = cell.symbol() == " " && !(wanted.modifier | pen.modifier).intersects(SHOWS_ON_BLANKS);
        let wanted = if blank { Pen { bg: wanted.bg, ..*pen } } else { wanted };
        if wanted != *pen {
            self.dip(*pen, wanted);
            *pen = wanted;
        }
        self.bytes.extend_from_slice(cell.symbol().as_bytes());
    }

    fn dip(&mut self, from: Pen, to: Pen) {
        let mut from = from;
        self.bytes.extend_from_slice(b"\x1b[");
        if !to.modifier.contains(from.modifier) {
            // Modifiers are taken away all at once: the shortest way, and the only one that every terminal knows.
            self.bytes.push(b'0');
            from = PLAIN;
            self.bytes.push(b';');
        }
        for (modifier, code) in MODIFIERS {
            if (to.modifier - from.modifier).contains(modifier) {
                let _ = write!(self.bytes, "{code};");
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

const SHOWS_ON_BLANKS: Modifier = Modifier::REVERSED
    .union(Modifier::UNDERLINED)
    .union(Modifier::CROSSED_OUT);

/// The modifiers that a picture may use; none of them blinks.
const MODIFIERS: [(Modifier, u8); 5] = [
    (Modifier::BOLD, 1),
    (Modifier::DIM, 2),
    (Modifier::ITALIC, 3),
    (Modifier::UNDERLINED, 4),
    (Modifier::REVERSED, 7),
];

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

/// Cells that a symbol covers. Blocks, the most of a picture, are known to be narrow.
fn width(cell: &Cell) -> usize {
    let symbol = cell.symbol();
    if symbol.len() == 1 || symbol.starts_with(['▀', '▄', '█', '▌', '▐']) {
        1
    } else {
        symbol.width().max(1)
    }
}

/// Whether the cells can be written with this pen as they are.
fn plain_run(cells: &[Cell], pen: Pen) -> bool {
    cells.iter().all(|cell| {
        cell.symbol().len() == 1
            && Pen {
                fg: cell.fg,
                bg: cell.bg,
                modifier: cell.modifier,
            } == pen
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use ratatui::layout::Rect;
    use ratatui::style::Style;

    /// What a terminal that showed `old` shows after the bytes, by a terminal emulator library (vt100).
    fn shown(old: &Buffer, new: &Buffer) -> (String, usize) {
        let mut frame = Frame::default();
        let blank = Buffer::empty(old.area);
        let mut terminal = vt100::Parser::new(
            old.area.height.try_into().unwrap(),
            old.area.width.try_into().unwrap(),
            0,
        );
        terminal.process(frame.between(b"", &blank, old, None));
        let bytes = frame.between(b"", old, new, None);
        terminal.process(bytes);
        (terminal.screen().contents(), bytes.len())
    }

    #[test]
    fn only_changed_cells_are_written_and_the_picture_is_right() {
        let area = Rect::new(0, 0, 30, 3);
        let mut old = Buffer::empty(area);
        old.set_string(0, 0, "Verse    palm mute   middle", Style::new().fg(Color::Red));
        old.set_string(0, 2, "ferry 渡し船 in the fog", Style::new());
        let mut new = old.clone();
        new.set_string(0, 0, "Chorus", Style::new().add_modifier(Modifier::BOLD));
        new.set_string(6, 2, "boat!!", Style::new());
        let (contents, bytes) = shown(&old, &new);
        assert_eq!(contents, "Chorus   palm mute   middle\n\nferry boat!! in the fog");
        assert!(bytes < 80, "{bytes}");
    }

    #[test]
    fn a_picture_that_does_not_change_is_no_bytes() {
        let mut buffer = Buffer::empty(Rect::new(0, 0, 8, 2));
        buffer.set_string(0, 0, "Capo 3", Style::new().fg(Color::Rgb(1, 2, 3)));
        assert_eq!(Frame::default().between(b"", &buffer, &buffer.clone(), None), b"");
    }
}
