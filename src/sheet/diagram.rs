//! A chord as a fretboard diagram: nut or capo as a thick line, `X` and `O` above it, fingers as numbers in dots, a bar
//! as one long dot.

use crate::music::Voicing;
use crate::sheet::leaf::{At, Ink, Paint, Piece, Role};
use crate::sheet::letters::{CAPITAL, Face, Letters};

/// Frets that are drawn: as many as a hand in low position takes.
const FRETS: u8 = 4;
const STRINGS: u8 = 6;

/// How diagrams are drawn on a sheet.
#[derive(Clone, Copy, Debug)]
pub(super) struct Look {
    /// From string to string, in points.
    pub(super) string: f32,
    /// From fret to fret.
    pub(super) fret: f32,
    /// The low string at the right.
    pub(super) left_handed: bool,
}

impl Look {
    /// From the outer edge of a dot on one outer string to the other's.
    pub(super) fn width(self) -> f32 {
        self.string * f32::from(STRINGS)
    }

    pub(super) fn height(self) -> f32 {
        self.above() + self.fret * f32::from(FRETS)
    }

    /// The room for `X` and `O`.
    fn above(self) -> f32 {
        self.string * 1.05
    }

    fn x(self, string: usize) -> f32 {
        let place = if self.left_handed {
            usize::from(STRINGS) - 1 - string
        } else {
            string
        };
        self.string * (place as f32 + 0.5)
    }
}

/// `C: x32010, fingers 032010`, in plain letters.
pub(super) fn spoken(name: &str, voicing: &Voicing) -> String {
    let fingers: String = voicing.fingers.iter().map(|finger| finger.to_string()).collect();
    format!("{name}: {voicing}, fingers {fingers}")
}

/// Draws the diagram from its upper left corner on.
pub(super) fn draw(piece: &mut Piece, at: At, voicing: &Voicing, look: Look, letters: &Letters) {
    let mut board = Board {
        piece: Piece::new(Role::Furniture),
        look,
    };
    board.wood();
    for (string, fret) in voicing.frets.into_iter().enumerate() {
        match fret {
            -1 => board.muted(string),
            0 => board.open(string),
            _ => {}
        }
    }
    for finger in 1..=4 {
        let pressed = voicing.fingers.into_iter().zip(voicing.frets).enumerate();
        let pressed = pressed.filter(|(_, (by, fret))| *by == finger && *fret > 0);
        let places: Vec<(usize, i8)> = pressed.map(|(string, (_, fret))| (string, fret)).collect();
        if let (Some(&(low, fret)), Some(&(high, _))) = (places.first(), places.last()) {
            board.finger(finger, fret, (low, high), letters);
        }
    }
    piece.stamp(at, board.piece);
}

/// A fretboard on a piece of its own, from its upper left corner on.
struct Board {
    piece: Piece,
    look: Look,
}

impl Board {
    fn nut(&self) -> f32 {
        self.look.above()
    }

    fn x(&self, string: usize) -> f32 {
        self.look.x(string)
    }

    fn wood(&mut self) {
        let (left, right) = (self.look.string * 0.5, self.look.string * 5.5);
        let (nut, thin) = (self.nut(), self.look.string * 0.07);
        let bottom = nut + self.look.fret * f32::from(FRETS);
        let frets = (1..=FRETS).map(|fret| {
            let y = nut + self.look.fret * f32::from(fret);
            ((left - thin / 2.0, y), (right + thin / 2.0, y))
        });
        let strings = (0..usize::from(STRINGS)).map(|string| ((self.x(string), nut), (self.x(string), bottom)));
        let lines = frets.chain(strings).collect();
        self.piece.lines(lines, thin, Ink::Black);
        let thick = self.look.string * 0.38;
        let over = thin / 2.0;
        let (wide, at) = (right - left + 2.0 * over, (left - over, nut - thick));
        self.piece.plate(at, (wide, thick), 0.0, Paint::Filled(Ink::Black));
    }

    /// The middle of the sign above a string, and how far it reaches from there.
    fn sign(&self, string: usize) -> (At, f32) {
        let reach = self.look.string * 0.24;
        ((self.x(string), reach * 1.3), reach)
    }

    fn muted(&mut self, string: usize) {
        let ((x, y), reach) = self.sign(string);
        let width = self.look.string * 0.12;
        let lines = [-1.0, 1.0].map(|slope| ((x - reach, y - slope * reach), (x + reach, y + slope * reach)));
        self.piece.lines(lines.into(), width, Ink::Black);
    }

    fn open(&mut self, string: usize) {
        let (middle, reach) = self.sign(string);
        self.piece.dot(middle, reach, Paint::Outlined(self.look.string * 0.1));
    }

    /// One finger on a fret, from one string to another: its number stands on the lowest.
    fn finger(&mut self, finger: u8, fret: i8, (low, high): (usize, usize), letters: &Letters) {
        let radius = (self.look.string * 0.47).min(self.look.fret * 0.45);
        let y = self.nut() + self.look.fret * (f32::from(fret) - 0.5);
        let (from, to) = (self.x(low).min(self.x(high)), self.x(low).max(self.x(high)));
        let size = (to - from + 2.0 * radius, 2.0 * radius);
        self.piece
            .plate((from - radius, y - radius), size, radius, Paint::Filled(Ink::Black));
        let words = finger.to_string();
        let size = radius * 1.75;
        let x = self.x(low) - letters.width(Face::Bold, size, &words) / 2.0;
        let at = (x, y + size * CAPITAL / 2.0);
        self.piece.inked(at, Face::Bold, size, Ink::White, &words);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::leaf::Mark;

    /// The dots of a diagram as `x,y of the middle:words`, in steps of strings and frets, its rings, and its crosses.
    fn drawn(frets: [i8; 6], left_handed: bool) -> String {
        let look = Look {
            string: 10.0,
            fret: 20.0,
            left_handed,
        };
        let mut piece = Piece::new(Role::Words);
        let voicing = Voicing::fingered(frets).unwrap();
        draw(&mut piece, (0.0, 0.0), &voicing, look, &Letters::new().unwrap());
        let [Mark::Stamp { marks, .. }] = &piece.marks[..] else {
            panic!("one stamp")
        };
        let told = marks.iter().filter_map(|mark| match mark {
            Mark::Plate { at, wide, paint, .. } if at.1 < look.above() - 5.0 => match paint {
                Paint::Outlined(_) => Some(format!("o{:.0}", (at.0 + wide / 2.0 - 5.0) / 10.0)),
                Paint::Filled(_) => None,
            },
            Mark::Plate { at, wide, high, .. } if *high > 5.0 => {
                let (from, to) = (at.0 + high / 2.0 - 5.0, at.0 + wide - high / 2.0 - 5.0);
                let fret = (at.1 + high / 2.0 - look.above()) / 20.0 + 0.5;
                Some(format!("{:.0}-{:.0}@{fret:.0}", from / 10.0, to / 10.0))
            }
            Mark::Lines { lines, .. } if lines.len() == 2 => {
                let ((x, _), (to, _)) = lines[0];
                Some(format!("x{:.0}", ((x + to) / 2.0 - 5.0) / 10.0))
            }
            Mark::Words { words, .. } => Some(format!("\"{words}\"")),
            _ => None,
        });
        told.collect::<Vec<_>>().join(" ")
    }

    // Source: the open C and the barred F of any handbook, from memory.
    #[test]
    fn signs_dots_and_bars_stand_on_their_strings_and_are_mirrored_for_the_left_hand() {
        for (frets, left_handed, wanted) in [
            (
                [-1, 3, 2, 0, 1, 0],
                false,
                "x0 o3 o5 4-4@1 \"1\" 2-2@2 \"2\" 1-1@3 \"3\"",
            ),
            (
                [-1, 3, 2, 0, 1, 0],
                true,
                "x5 o2 o0 1-1@1 \"1\" 3-3@2 \"2\" 4-4@3 \"3\"",
            ),
            (
                [1, 3, 3, 2, 1, 1],
                false,
                "0-5@1 \"1\" 3-3@2 \"2\" 1-1@3 \"3\" 2-2@3 \"4\"",
            ),
        ] {
            assert_eq!(drawn(frets, left_handed), wanted, "{frets:?} {left_handed}");
        }
    }
}
