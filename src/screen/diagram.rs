//! A chord diagram as rows of signs, for pages and for printed text: nut or capo as a thick line, X and O, finger numbers.

use crate::music::{Fret, Voicing};

/// A fingered chord drawn as players know it: the strings upright, the low one on the left, the first fret on top.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagram {
    rows: Vec<Vec<Mark>>,
}

/// What stands in one place of a diagram.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Mark {
    pub sign: char,
    pub part: Part,
}

/// What a place shows, for whoever has inks for it: the signs are clear without.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// Nothing.
    Air,
    /// A string or a fret wire.
    Neck,
    /// The nut, where there is no capo.
    Nut,
    /// The capo, with its fret.
    Capo,
    /// A finger, by its number.
    Finger,
    /// What a bar lies over between the strings that it presses.
    Bar,
    /// `o` above a string left open.
    Open,
    /// `x` above a string that does not sound.
    Muted,
}

/// How a diagram is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Form {
    pub size: Size,
    /// Frets shown, at least; more where the chord needs them. All that is in low position fits in [`Form::FRETS`].
    pub frets: u8,
    /// Where the capo sits; none draws the nut.
    pub capo: Fret,
    /// The low string on the right.
    pub left_handed: bool,
    /// Signs of ASCII alone.
    pub ascii: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Size {
    /// The strings side by side: 6 columns.
    Small,
    /// A blank between the strings: 11 columns.
    Wide,
    /// The same with a row for every fret wire.
    Large,
}

const STRINGS: usize = 6;

impl Form {
    /// Frets of a diagram in low position.
    pub const FRETS: u8 = 4;
    /// Rows above the first fret: the marks of open and muted strings, and the nut.
    const HEAD: u16 = 2;

    /// Columns, however the chord is fingered.
    pub const fn width(&self) -> u16 {
        let strings = STRINGS as u16;
        strings + (strings - 1) * (self.size.step() as u16 - 1)
    }

    /// Rows, where the chord needs no more than the frets shown.
    pub const fn height(&self) -> u16 {
        let frets = self.frets as u16;
        let wires = if self.size.has_wires() {
            frets.saturating_sub(1)
        } else {
            0
        };
        Form::HEAD + frets + wires
    }

    /// The column of a string, the low one being 0.
    pub fn column(&self, string: usize) -> usize {
        let place = if self.left_handed { STRINGS - 1 - string } else { string };
        place * self.size.step()
    }
}

impl Size {
    /// Columns from one string to the next.
    const fn step(self) -> usize {
        match self {
            Size::Small => 1,
            Size::Wide | Size::Large => 2,
        }
    }

    const fn has_wires(self) -> bool {
        matches!(self, Size::Large)
    }
}

impl Diagram {
    pub fn new(voicing: &Voicing, form: &Form) -> Diagram {
        let highest = voicing.frets.into_iter().max().unwrap_or_default();
        let frets = form.frets.max(u8::try_from(highest).unwrap_or_default());
        let mut rows = vec![marks(voicing, form), head(form)];
        for fret in 1..=frets {
            if fret > 1 && form.size.has_wires() {
                rows.push(wire(form));
            }
            rows.push(fret_row(voicing, fret, form));
        }
        Diagram { rows }
    }

    /// From the top, each as wide as the form says.
    pub fn rows(&self) -> impl ExactSizeIterator<Item = &[Mark]> {
        self.rows.iter().map(Vec::as_slice)
    }

    /// The rows as text.
    pub fn lines(&self) -> impl ExactSizeIterator<Item = String> {
        self.rows.iter().map(|row| row.iter().map(|mark| mark.sign).collect())
    }
}

/// `x` and `o` above the strings that no finger holds.
fn marks(voicing: &Voicing, form: &Form) -> Vec<Mark> {
    let mut row = line(form, Mark::AIR);
    for (string, fret) in voicing.frets.into_iter().enumerate() {
        row[form.column(string)] = match fret {
            0 => Mark::new('o', Part::Open),
            1.. => Mark::AIR,
            _ => Mark::new('x', Part::Muted),
        };
    }
    row
}

/// The nut, or the capo with its fret in the middle.
fn head(form: &Form) -> Vec<Mark> {
    let (nut, capo) = if form.ascii { ('=', '#') } else { ('▄', '█') };
    if form.capo == Fret::OPEN {
        return line(form, Mark::new(nut, Part::Nut));
    }
    let mut row = line(form, Mark::new(capo, Part::Capo));
    let label = match form.size {
        Size::Small => form.capo.to_string(),
        Size::Wide | Size::Large => format!(" {} ", form.capo),
    };
    let start = (row.len() - label.len()) / 2;
    for (place, sign) in row[start..].iter_mut().zip(label.chars()) {
        place.sign = sign;
    }
    row
}

fn wire(form: &Form) -> Vec<Mark> {
    let [left, between, cross, right] = if form.ascii {
        ['+', '-', '+', '+']
    } else {
        ['├', '─', '┼', '┤']
    };
    let mut row = line(form, Mark::new(between, Part::Neck));
    for place in 0..STRINGS {
        row[place * form.size.step()].sign = match place {
            0 => left,
            place if place == STRINGS - 1 => right,
            _ => cross,
        };
    }
    row
}

/// The strings at one fret, and the fingers that press them there.
fn fret_row(voicing: &Voicing, fret: u8, form: &Form) -> Vec<Mark> {
    let (string_sign, bar_sign) = if form.ascii { ('|', '=') } else { ('│', '═') };
    let mut row = line(form, Mark::AIR);
    for string in 0..STRINGS {
        row[form.column(string)] = Mark::new(string_sign, Part::Neck);
    }
    let pressed = |finger: u8| {
        let strings = (0..STRINGS).filter(move |&string| voicing.fingers[string] == finger);
        strings.filter(|&string| voicing.frets[string] == fret as i8)
    };
    for finger in 1..=4 {
        let columns = || pressed(finger).map(|string| form.column(string));
        let (Some(from), Some(to)) = (columns().min(), columns().max()) else {
            continue;
        };
        row[from..=to].fill(Mark::new(bar_sign, Part::Bar));
        for column in columns() {
            row[column] = Mark::new(char::from(b'0' + finger), Part::Finger);
        }
    }
    row
}

fn line(form: &Form, mark: Mark) -> Vec<Mark> {
    vec![mark; usize::from(form.width())]
}

impl Mark {
    const AIR: Mark = Mark::new(' ', Part::Air);

    const fn new(sign: char, part: Part) -> Mark {
        Mark { sign, part }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FORM: Form = Form {
        size: Size::Large,
        frets: Form::FRETS,
        capo: Fret::OPEN,
        left_handed: false,
        ascii: false,
    };

    fn voicing(shape: &str) -> Voicing {
        let mut chars = shape.chars();
        let frets = std::array::from_fn(|_| chars.next().unwrap().to_digit(10).map_or(-1, |fret| fret as i8));
        Voicing::fingered(frets).unwrap()
    }

    #[track_caller]
    fn check(shape: &str, form: Form, wanted: &[&str]) {
        let diagram = Diagram::new(&voicing(shape), &form);
        let lines: Vec<_> = diagram.lines().map(|line| line.trim_end().to_owned()).collect();
        assert_eq!(lines, wanted, "{shape}");
        assert!(diagram.rows().all(|row| row.len() == usize::from(form.width())));
        assert_eq!(diagram.rows().len(), usize::from(form.height()));
    }

    #[test]
    fn a_chord_hangs_from_the_nut_with_its_fingers_on_the_strings() {
        check(
            "x32010",
            FORM,
            &[
                "x     o   o",
                "▄▄▄▄▄▄▄▄▄▄▄",
                "│ │ │ │ 1 │",
                "├─┼─┼─┼─┼─┤",
                "│ │ 2 │ │ │",
                "├─┼─┼─┼─┼─┤",
                "│ 3 │ │ │ │",
                "├─┼─┼─┼─┼─┤",
                "│ │ │ │ │ │",
            ],
        );
    }

    #[test]
    fn a_bar_is_one_line_from_its_lowest_string_to_its_highest() {
        let frets = 3;
        let wide = Form {
            size: Size::Wide,
            frets,
            ..FORM
        };
        check(
            "133211",
            wide,
            &["", "▄▄▄▄▄▄▄▄▄▄▄", "1═══════1═1", "│ │ │ 2 │ │", "│ 3 4 │ │ │"],
        );
        let small = Form {
            size: Size::Small,
            ..wide
        };
        let small = Form { frets: 4, ..small };
        check(
            "x24432",
            small,
            &["x", "▄▄▄▄▄▄", "││││││", "│1═══1", "││││2│", "││34││"],
        );
    }

    #[test]
    fn the_capo_is_thicker_than_the_nut_and_says_its_fret() {
        for (fret, size, head) in [
            (3, Size::Wide, "████ 3 ████"),
            (11, Size::Large, "███ 11 ████"),
            (3, Size::Small, "██3███"),
            (10, Size::Small, "██10██"),
        ] {
            let capo = Fret::new(fret).unwrap();
            let diagram = Diagram::new(&voicing("320003"), &Form { capo, size, ..FORM });
            assert_eq!(diagram.lines().nth(1).unwrap(), head, "{fret}");
        }
    }

    #[test]
    fn for_the_left_hand_it_is_turned_round_but_not_its_figures() {
        let form = Form {
            size: Size::Wide,
            frets: 3,
            capo: Fret::new(10).unwrap(),
            left_handed: true,
            ..FORM
        };
        check(
            "x32010",
            form,
            &[
                "  o   o     x",
                "███ 10 ████",
                "│ 1 │ │ │ │",
                "│ │ │ 2 │ │",
                "│ │ │ │ 3 │",
            ]
            .map(|row| row.trim_start_matches("  ")),
        );
    }

    #[test]
    fn plain_letters_draw_the_same() {
        let form = Form {
            ascii: true,
            frets: 2,
            ..FORM
        };
        check(
            "xx0211",
            form,
            &["x x o", "===========", "| | | | 1=1", "+-+-+-+-+-+", "| | | 2 | |"],
        );
        let capo = Fret::new(2).unwrap();
        let small = Form {
            size: Size::Small,
            capo,
            ..form
        };
        check("xx0211", small, &["xxo", "##2###", "||||11", "|||2||"]);
    }

    #[test]
    fn every_place_says_what_it_shows() {
        use Part::*;
        let form = Form {
            size: Size::Small,
            frets: 3,
            ..FORM
        };
        let diagram = Diagram::new(&voicing("133211"), &form);
        let parts: Vec<Vec<Part>> = diagram
            .rows()
            .map(|row| row.iter().map(|mark| mark.part).collect())
            .collect();
        assert_eq!(parts[0], [Air; 6]);
        assert_eq!(parts[1], [Nut; 6]);
        assert_eq!(parts[2], [Finger, Bar, Bar, Bar, Finger, Finger]);
        assert_eq!(parts[3], [Neck, Neck, Neck, Finger, Neck, Neck]);

        let capo = Fret::new(1).unwrap();
        let diagram = Diagram::new(&voicing("x32010"), &Form { capo, ..form });
        let heads: Vec<Vec<Part>> = diagram
            .rows()
            .take(2)
            .map(|row| row.iter().map(|mark| mark.part).collect())
            .collect();
        assert_eq!(heads, [[Muted, Air, Air, Open, Air, Open], [Capo; 6]]);
    }
}
