//! Pens: how a terminal writes in each ink of a theme, and what it is told to change from one pen to another.

use crate::screen::{Ink, Theme};
use crate::show::escape::Sequence;
use ratatui::style::{Color, Modifier};

/// A pen, by its place among the pens of a theme. Two that write alike are one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Pen(u8);

/// The pens of a theme: the terminal's own, one for each ink, and the same turned round.
pub(super) struct Pens {
    strokes: [Stroke; PENS],
    of_ink: [Pen; INKS],
    turned: [Pen; INKS],
    /// By pen: the inks, a bit each, whose blanks it writes as well as their own pens do.
    blanks: [u8; PENS],
}

/// How a pen writes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Stroke {
    fg: Color,
    bg: Color,
    modifier: Modifier,
}

const INKS: usize = Ink::ALL.len();
const PENS: usize = 1 + 2 * INKS;

/// The modifiers that a picture has, with what turns them on and off; none of them blinks.
const MODIFIERS: [(Modifier, u16, u16); 2] = [(Modifier::BOLD, 1, 22), (Modifier::REVERSED, 7, 27)];

impl Pen {
    /// The terminal's own colours.
    pub(super) const PLAIN: Pen = Pen(0);
}

impl Pens {
    pub(super) fn new(theme: Theme) -> Pens {
        let mut strokes = [Stroke::PLAIN; PENS];
        for (ink, place) in Ink::ALL.into_iter().zip(1..) {
            strokes[place] = Stroke::of(theme, ink);
            strokes[place + INKS] = strokes[place].turned();
        }
        let pen = |stroke: Stroke| {
            let place = strokes.iter().position(|known| *known == stroke);
            Pen(place.unwrap_or_default() as u8)
        };
        Pens {
            strokes,
            of_ink: Ink::ALL.map(|ink| pen(Stroke::of(theme, ink))),
            turned: Ink::ALL.map(|ink| pen(Stroke::of(theme, ink).turned())),
            blanks: strokes.map(|stroke| {
                let alike = |ink: &Ink| stroke.blank_is_as_of(Stroke::of(theme, *ink));
                let inks = Ink::ALL.into_iter().filter(alike);
                inks.fold(0, |inks, ink| inks | 1 << ink as u8)
            }),
        }
    }

    pub(super) fn of(&self, ink: Ink) -> Pen {
        self.of_ink[ink as usize]
    }

    /// The pen that shows an ink's blanks as its full blocks.
    pub(super) fn turned(&self, ink: Ink) -> Pen {
        self.turned[ink as usize]
    }

    /// Whether a blank of this ink is the same from this pen.
    pub(super) fn writes_blank_of(&self, pen: Pen, ink: Ink) -> bool {
        self.blanks[usize::from(pen.0)] & 1 << ink as u8 != 0
    }

    /// Tells the terminal to change from one pen to another.
    pub(super) fn change(&self, from: Pen, to: Pen, bytes: &mut Vec<u8>) {
        let [from, to] = [from, to].map(|pen| self.strokes[usize::from(pen.0)]);
        let mut sequence = Sequence::begin(bytes);
        for (modifier, on, off) in MODIFIERS {
            match (from.modifier.contains(modifier), to.modifier.contains(modifier)) {
                (false, true) => sequence.with(&[on]),
                (true, false) => sequence.with(&[off]),
                (true, true) | (false, false) => {}
            }
        }
        if to.fg != from.fg {
            color(&mut sequence, to.fg, 30);
        }
        if to.bg != from.bg {
            color(&mut sequence, to.bg, 40);
        }
        sequence.end(b'm');
    }
}

impl Stroke {
    const PLAIN: Stroke = Stroke {
        fg: Color::Reset,
        bg: Color::Reset,
        modifier: Modifier::empty(),
    };

    fn of(theme: Theme, ink: Ink) -> Stroke {
        let style = theme.style(ink);
        Stroke {
            fg: style.fg.unwrap_or_default(),
            bg: style.bg.unwrap_or_default(),
            modifier: style.add_modifier,
        }
    }

    fn turned(self) -> Stroke {
        Stroke {
            modifier: self.modifier | Modifier::REVERSED,
            ..self
        }
    }

    /// A blank shows no ink but where it is reversed.
    fn blank_is_as_of(self, other: Stroke) -> bool {
        self.bg == other.bg && !(self.modifier | other.modifier).contains(Modifier::REVERSED)
    }
}

/// A colour's parameters. `base` is 30 for ink, 40 for ground.
fn color(sequence: &mut Sequence<'_>, color: Color, base: u16) {
    match color {
        Color::Reset => sequence.with(&[base + 9]),
        Color::Rgb(r, g, b) => sequence.with(&[base + 8, 2, r.into(), g.into(), b.into()]),
        Color::Indexed(index) => sequence.with(&[base + 8, 5, index.into()]),
        named => {
            let number = named_color(named);
            sequence.with(&[if number < 8 {
                base + number
            } else {
                base + 60 + number - 8
            }]);
        }
    }
}

/// A colour's place among a terminal's sixteen.
fn named_color(color: Color) -> u16 {
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
    NAMED.iter().position(|&named| named == color).unwrap_or(7) as u16
}
