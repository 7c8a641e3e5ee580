//! A strip of cells drawn with lines: what the guitar is drawn on, from either hand's side.

use crate::screen::canvas::Canvas;
use crate::screen::glyphs::Glyphs;
use crate::screen::theme::Ink;
use ratatui::layout::Rect;

/// The signs that lines are drawn with.
#[derive(Clone, Copy)]
pub(super) struct Lines {
    pub(super) level: char,
    pub(super) upright: char,
    pub(super) down: char,
    pub(super) up: char,
    pub(super) nut: char,
    pub(super) nut_top: char,
    pub(super) nut_bottom: char,
    /// The corners of a box: top left, top right, bottom left, bottom right.
    pub(super) corners: [char; 4],
    pub(super) dot: char,
    pub(super) shade: char,
    pub(super) full: char,
    pub(super) way: char,
    pub(super) tip_up: char,
    pub(super) tip_down: char,
}

const DRAWN: Lines = Lines {
    level: '─',
    upright: '│',
    down: '┬',
    up: '┴',
    nut: '║',
    nut_top: '╓',
    nut_bottom: '╙',
    corners: ['┌', '┐', '└', '┘'],
    dot: '•',
    shade: '▒',
    full: '█',
    way: '═',
    tip_up: '►',
    tip_down: '◄',
};

/// All of these are in the fonts of bare consoles: the kernel's own (code page 437, from memory) and those of Debian's
/// console-setup 1.221.
const BARE: Lines = Lines {
    tip_up: '▶',
    tip_down: '◀',
    ..DRAWN
};

const TYPED: Lines = Lines {
    level: '-',
    upright: '|',
    down: '+',
    up: '+',
    nut: 'H',
    nut_top: 'H',
    nut_bottom: 'H',
    corners: ['+', '+', '+', '+'],
    dot: 'o',
    shade: ':',
    full: '#',
    way: '=',
    tip_up: '>',
    tip_down: '<',
};

pub(super) struct Strip<'c, 'b> {
    canvas: &'c mut Canvas<'b>,
    area: Rect,
    pub(super) lines: Lines,
}

impl<'c, 'b> Strip<'c, 'b> {
    pub(super) fn new(canvas: &'c mut Canvas<'b>, area: Rect) -> Strip<'c, 'b> {
        let lines = match canvas.look.glyphs {
            Glyphs::Letters => TYPED,
            Glyphs::Halves => BARE,
            Glyphs::Quarters | Glyphs::Sixths | Glyphs::Eighths => DRAWN,
        };
        Strip { canvas, area, lines }
    }

    pub(super) fn width(&self) -> u16 {
        self.area.width
    }

    pub(super) fn height(&self) -> u16 {
        self.area.height
    }

    /// One sign, so many columns from the player's left and rows from the top.
    pub(super) fn sign(&mut self, x: u16, y: u16, sign: char, ink: Ink) {
        if x >= self.area.width || y >= self.area.height {
            return;
        }
        let (x, sign) = if self.canvas.look.left_handed {
            (self.area.width - 1 - x, turned(sign))
        } else {
            (x, sign)
        };
        self.canvas.sign(self.area.x + x, self.area.y + y, sign, ink);
    }

    /// Figures in the top row, which are read from left to right from either side.
    pub(super) fn text(&mut self, x: u16, text: &str, ink: Ink) {
        let wide = text.len() as u16;
        for (place, sign) in (0..).zip(text.chars()) {
            let place = if self.canvas.look.left_handed {
                wide - 1 - place
            } else {
                place
            };
            self.sign(x + place, 0, sign, ink);
        }
    }

    /// Fills columns from top to bottom.
    pub(super) fn fill(&mut self, x: u16, wide: u16, sign: char, ink: Ink) {
        for y in 0..self.area.height {
            for x in x..x + wide {
                self.sign(x, y, sign, ink);
            }
        }
    }

    /// The two edges of the strip.
    pub(super) fn edges(&mut self, x: u16, wide: u16) {
        for x in x..x + wide {
            self.sign(x, 0, self.lines.level, Ink::Wood);
            self.sign(x, self.area.height - 1, self.lines.level, Ink::Wood);
        }
    }

    /// An upright from edge to edge: its signs at the top, between and at the bottom.
    pub(super) fn post(&mut self, x: u16, [top, middle, bottom]: [char; 3]) {
        for y in 1..self.area.height.saturating_sub(1) {
            self.sign(x, y, middle, Ink::Wood);
        }
        self.sign(x, 0, top, Ink::Wood);
        self.sign(x, self.area.height - 1, bottom, Ink::Wood);
    }

    /// An empty box from top to bottom.
    pub(super) fn frame(&mut self, x: u16, wide: u16, ink: Ink) {
        let (lines, right, bottom) = (self.lines, x + wide - 1, self.area.height - 1);
        for y in 1..bottom {
            self.sign(x, y, lines.upright, ink);
            self.sign(right, y, lines.upright, ink);
        }
        for x in x + 1..right {
            self.sign(x, 0, lines.level, ink);
            self.sign(x, bottom, lines.level, ink);
        }
        let places = [(x, 0), (right, 0), (x, bottom), (right, bottom)];
        for ((x, y), corner) in places.into_iter().zip(lines.corners) {
            self.sign(x, y, corner, ink);
        }
    }
}

/// A sign as a mirror shows it.
fn turned(sign: char) -> char {
    const PAIRS: [(char, char); 10] = [
        ('╓', '╖'),
        ('╙', '╜'),
        ('┌', '┐'),
        ('└', '┘'),
        ('►', '◄'),
        ('▶', '◀'),
        ('>', '<'),
        ('/', '\\'),
        ('▌', '▐'),
        ('├', '┤'),
    ];
    for (left, right) in PAIRS {
        if sign == left {
            return right;
        }
        if sign == right {
            return left;
        }
    }
    sign
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mirror_twice_changes_nothing() {
        for lines in [DRAWN, BARE, TYPED] {
            for sign in [
                lines.level,
                lines.nut_top,
                lines.nut_bottom,
                lines.tip_up,
                lines.tip_down,
                '/',
                '\\',
            ] {
                assert_eq!(turned(turned(sign)), sign);
            }
        }
        assert_ne!(turned('►'), '►');
    }
}
