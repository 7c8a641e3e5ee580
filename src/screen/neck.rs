//! The neck as the player looks down on it: the nut, frets narrowing by the real rule, the capo now and to come.

use crate::music::Fret;
use crate::screen::strip::Strip;
use crate::screen::theme::Ink;

/// Where the capo is on now, and where it goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Capo {
    pub(super) now: Fret,
    pub(super) goes: Fret,
}

/// The frets that bear a dot on most necks: common practice, no source.
const DOTTED: [u8; 4] = [3, 5, 7, 9];
/// Frets that are always drawn, so that a fret keeps its place from page to page.
const LEAST_FRETS: u8 = 7;
/// Columns of a capo.
const CAPO: u16 = 2;

/// A stretch of neck from the nut, in columns from its left end.
#[derive(Clone, Copy, Debug)]
pub(super) struct Neck {
    pub(super) frets: u8,
    /// The column of the last wire; the nut's is 0.
    end: u16,
}

/// How far fret `number` lies from the nut, as a part of the scale length.
///
/// Each fret shortens the string by the twelfth root of two, so that it stands 1/17.817 of the length that is left from
/// the one before: the luthiers' rule of eighteen, made exact for equal temperament.
pub(super) fn from_nut(number: f64) -> f64 {
    1.0 - (-number / 12.0).exp2()
}

impl Capo {
    pub(super) fn moves(self) -> bool {
        self.now != self.goes
    }

    /// How it gets where it goes.
    pub(super) fn words(self) -> String {
        self.goes.way_from(self.now)
    }
}

impl Neck {
    pub(super) fn new(columns: u16, capo: Capo) -> Neck {
        let highest = capo.now.max(capo.goes).number();
        Neck {
            frets: LEAST_FRETS.max(highest + 1),
            end: columns.saturating_sub(1),
        }
    }

    /// The column of a place so many frets from the nut.
    pub(super) fn column(&self, fret: f64) -> u16 {
        let part = from_nut(fret) / from_nut(f64::from(self.frets));
        (part * f64::from(self.end)).round() as u16
    }

    /// Draws it over the whole height of the strip: wood and wire, then the capo and its way.
    pub(super) fn draw(&self, strip: &mut Strip<'_, '_>, capo: Capo) {
        self.draw_wood(strip);
        if capo.moves() {
            self.draw_capo(strip, capo.now, strip.lines.shade, Ink::Quiet);
            self.draw_way(strip, capo);
        }
        let ink = if capo.moves() { Ink::Changed } else { Ink::Words };
        self.draw_capo(strip, capo.goes, strip.lines.full, ink);
    }

    fn draw_wood(&self, strip: &mut Strip<'_, '_>) {
        let lines = strip.lines;
        strip.edges(0, self.end + 1);
        strip.post(0, [lines.nut_top, lines.nut, lines.nut_bottom]);
        for number in 1..=self.frets {
            strip.post(self.column(f64::from(number)), [lines.down, lines.upright, lines.up]);
        }
        for number in DOTTED.into_iter().filter(|number| *number <= self.frets) {
            strip.sign(
                self.column(f64::from(number) - 0.5),
                strip.height() / 2,
                lines.dot,
                Ink::Wood,
            );
        }
    }

    /// The first column of a capo: close behind its wire, as it should be.
    fn capo(&self, fret: Fret) -> u16 {
        self.column(f64::from(fret.number())).saturating_sub(CAPO).max(1)
    }

    fn draw_capo(&self, strip: &mut Strip<'_, '_>, fret: Fret, sign: char, ink: Ink) {
        if fret != Fret::OPEN {
            strip.fill(self.capo(fret), CAPO, sign, ink);
        }
    }

    /// An arrow from where the capo is to where it goes; none where it comes on or off.
    fn draw_way(&self, strip: &mut Strip<'_, '_>, capo: Capo) {
        if capo.now == Fret::OPEN || capo.goes == Fret::OPEN {
            return;
        }
        let (from, to) = (self.capo(capo.now), self.capo(capo.goes));
        let (row, lines, up) = (strip.height() / 2, strip.lines, to > from);
        for x in from.min(to) + CAPO..from.max(to) {
            strip.sign(x, row, lines.way, Ink::Changed);
        }
        let tip = if up { to.saturating_sub(1) } else { to + CAPO };
        if from.abs_diff(to) > CAPO {
            strip.sign(tip, row, if up { lines.tip_up } else { lines.tip_down }, Ink::Changed);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const STAYS: Capo = Capo {
        now: Fret::OPEN,
        goes: Fret::OPEN,
    };

    // Source: the luthiers' rule: each fret stands 1/17.817 of what is left of the scale from the one before; 17.817 is
    // 1 / (1 - 2^(-1/12)).
    #[test]
    fn frets_narrow_by_the_rule_of_17_817() {
        let mut left = 1.0;
        for number in 1..=12 {
            left -= left / 17.817;
            let drawn = 1.0 - from_nut(f64::from(number));
            assert!((drawn - left).abs() < 1e-5, "fret {number}: {drawn} {left}");
        }
        assert!((from_nut(12.0) - 0.5).abs() < 1e-12, "the octave halves the string");
    }

    // Source: as above. The wires drawn, against the rule applied from one to the next.
    #[test]
    fn wires_keep_to_the_rule_within_half_a_column() {
        for columns in [20, 33, 64, 97, 240] {
            let neck = Neck::new(columns, STAYS);
            let mut left = 1.0;
            for number in 1..neck.frets {
                left -= left / 17.817;
                let wanted = f64::from(columns - 1) * (1.0 - left) / from_nut(f64::from(neck.frets));
                let drawn = f64::from(neck.column(f64::from(number)));
                assert!(
                    (drawn - wanted).abs() <= 0.501,
                    "fret {number} of {columns}: {drawn} {wanted}"
                );
            }
            assert_eq!((neck.column(0.0), neck.column(f64::from(neck.frets))), (0, columns - 1));
        }
    }

    #[test]
    fn a_capo_sits_behind_its_wire_and_before_the_one_below() {
        for number in 1..=11_u8 {
            let fret = Fret::new(i64::from(number)).unwrap();
            let neck = Neck::new(60, Capo { now: fret, goes: fret });
            let capo = neck.capo(fret);
            assert!(capo + CAPO <= neck.column(f64::from(number)), "fret {number}");
            assert!(capo > neck.column(f64::from(number) - 1.0), "fret {number}");
        }
    }

    #[test]
    fn the_way_is_said_in_few_words() {
        let fret = |number| Fret::new(number).unwrap();
        for (now, goes, words) in [
            (0, 0, "stay"),
            (0, 3, "put on"),
            (3, 0, "take off"),
            (3, 3, "stay"),
            (3, 5, "up 2"),
            (4, 1, "down 3"),
        ] {
            let capo = Capo {
                now: fret(now),
                goes: fret(goes),
            };
            assert_eq!(capo.words(), words, "{now} to {goes}");
        }
    }
}
