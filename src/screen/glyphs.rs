//! The finest cells that a terminal can draw: how a cell is parted into dots, and the sign for each pattern of dots.

use ratatui::symbols::pixel::{OCTANTS, QUADRANTS, SEXTANTS};

/// A way to draw dots with text cells.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Glyphs {
    /// Signs of ASCII alone, for a terminal that is not UTF-8: one by two dots.
    Letters,
    /// Half and full blocks, for the bare Linux console: one by two dots.
    Halves,
    /// Quarter blocks: two by two dots.
    #[default]
    Quarters,
    /// Sixths (Symbols for Legacy Computing, Unicode 13): two by three dots.
    Sixths,
    /// Eighths (its supplement, Unicode 16): two by four dots.
    Eighths,
}

impl Glyphs {
    pub const ALL: [(&'static str, Glyphs); 5] = [
        ("letters", Glyphs::Letters),
        ("halves", Glyphs::Halves),
        ("quarters", Glyphs::Quarters),
        ("sixths", Glyphs::Sixths),
        ("eighths", Glyphs::Eighths),
    ];

    pub fn parse(name: &str) -> Option<Glyphs> {
        Glyphs::ALL
            .iter()
            .find(|(known, _)| *known == name)
            .map(|(_, glyphs)| *glyphs)
    }

    /// The finest that the terminal is known to draw. Quarter blocks are in every text font; sixths are drawn by the
    /// terminal itself only where its `TERM` says which one it is. Eighths no name tells apart from older versions of
    /// the same terminal: they are there for the asking.
    pub fn for_terminal(term: &str, utf8: bool) -> Glyphs {
        const DRAW_SIXTHS: [&str; 6] = [
            "foot",
            "xterm-kitty",
            "wezterm",
            "contour",
            "xterm-ghostty",
            "alacritty",
        ];
        let is = |known: &str| {
            term.strip_prefix(known)
                .is_some_and(|rest| rest.is_empty() || rest.starts_with('-'))
        };
        match term {
            _ if !utf8 => Glyphs::Letters,
            "dumb" => Glyphs::Letters,
            "linux" => Glyphs::Halves,
            _ if DRAW_SIXTHS.into_iter().any(is) => Glyphs::Sixths,
            _ => Glyphs::Quarters,
        }
    }

    /// Dots in a cell, across and down.
    pub(super) const fn dots(self) -> (usize, usize) {
        match self {
            Glyphs::Letters | Glyphs::Halves => (1, 2),
            Glyphs::Quarters => (2, 2),
            Glyphs::Sixths => (2, 3),
            Glyphs::Eighths => (2, 4),
        }
    }

    /// The sign whose dots are set in `pattern`, row by row from the top left, lowest bit first.
    pub(super) fn sign(self, pattern: u8) -> char {
        let pattern = usize::from(pattern);
        match self {
            Glyphs::Letters => [' ', '"', 'o', '#'][pattern & 3],
            Glyphs::Halves => [' ', '▀', '▄', '█'][pattern & 3],
            Glyphs::Quarters => QUADRANTS[pattern & 15],
            Glyphs::Sixths => SEXTANTS[pattern & 63],
            Glyphs::Eighths => OCTANTS[pattern],
        }
    }

    /// The lowest capital, in dots, that can still be read from afar.
    pub(super) const fn least_capital(self) -> u16 {
        match self {
            Glyphs::Letters | Glyphs::Halves | Glyphs::Quarters => 5,
            Glyphs::Sixths | Glyphs::Eighths => 6,
        }
    }

    /// The part of their designed width at which letters can still be told apart.
    pub(super) const fn narrowest(self) -> f32 {
        match self {
            Glyphs::Letters | Glyphs::Halves => 0.75,
            Glyphs::Quarters | Glyphs::Sixths | Glyphs::Eighths => 0.6,
        }
    }

    /// Whether words may have only the signs of ASCII.
    pub(crate) fn is_ascii(self) -> bool {
        self == Glyphs::Letters
    }

    /// Whether the signs of music, and of much else, stand in none of the terminal's own fonts.
    pub(crate) fn is_bare(self) -> bool {
        matches!(self, Glyphs::Letters | Glyphs::Halves)
    }

    /// A letter of the terminal's own text as it can show it.
    pub(super) fn letter(self, letter: char) -> char {
        match self {
            Glyphs::Letters => in_ascii(letter),
            Glyphs::Halves if IN_NO_CONSOLE.contains(&letter) => in_ascii(letter),
            Glyphs::Halves | Glyphs::Quarters | Glyphs::Sixths | Glyphs::Eighths => letter,
        }
    }
}

/// Signs of ours that a console's font lacks: the kernel's own (code page 437, from memory) or those of Debian's
/// console-setup 1.221, none of whose 456 fonts has a flat or a sharp.
const IN_NO_CONSOLE: [char; 9] = ['♭', '♯', '×', '…', '●', '○', '⊓', '◇', '—'];

fn in_ascii(letter: char) -> char {
    match letter {
        '♭' => 'b',
        '♯' => '#',
        '°' => 'o',
        '×' => 'x',
        '·' | '—' | '–' => '-',
        '→' => '>',
        '●' => '*',
        '○' => 'o',
        '⊓' => 'n',
        '◇' => 'o',
        '…' => '~',
        '\u{2018}' | '\u{2019}' => '\'',
        letter if letter.is_ascii() => letter,
        _ => '?',
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: The Unicode Standard 16.0, charts U+2580, U+1FB00 and U+1CC00 (from memory): QUADRANT UPPER LEFT is U+2598,
    // BLOCK SEXTANT-1 U+1FB00, -2 U+1FB01, -12 U+1FB02, -235 U+1FB14, -23456 U+1FB3B; BLOCK OCTANT-3 is U+1CD00, -23
    // U+1CD01 and -2345678 U+1CDE5.
    #[test]
    fn signs_have_their_places_in_the_charts() {
        for (glyphs, pattern, sign) in [
            (Glyphs::Quarters, 0b1, 0x2598),
            (Glyphs::Quarters, 0b1111, 0x2588),
            (Glyphs::Sixths, 0b1, 0x1FB00),
            (Glyphs::Sixths, 0b10, 0x1FB01),
            (Glyphs::Sixths, 0b11, 0x1FB02),
            (Glyphs::Sixths, 0b10110, 0x1FB14),
            (Glyphs::Sixths, 0b111110, 0x1FB3B),
            (Glyphs::Eighths, 0b100, 0x1CD00),
            (Glyphs::Eighths, 0b110, 0x1CD01),
            (Glyphs::Eighths, 0b1111_1110, 0x1CDE5),
        ] {
            assert_eq!(u32::from(glyphs.sign(pattern)), sign, "{glyphs:?} {pattern:b}");
        }
    }

    #[test]
    fn every_pattern_has_a_sign_of_its_own() {
        for (name, glyphs) in Glyphs::ALL {
            let (across, down) = glyphs.dots();
            let mut signs: Vec<char> = (0..1_u16 << (across * down))
                .map(|pattern| glyphs.sign(pattern as u8))
                .collect();
            signs.sort_unstable();
            signs.dedup();
            assert_eq!(signs.len(), 1 << (across * down), "{name}");
        }
    }

    #[test]
    fn each_terminal_gets_the_finest_that_it_is_known_to_draw() {
        for (term, utf8, glyphs) in [
            ("linux", true, Glyphs::Halves),
            ("linux", false, Glyphs::Letters),
            ("dumb", true, Glyphs::Letters),
            ("xterm-256color", false, Glyphs::Letters),
            ("xterm-256color", true, Glyphs::Quarters),
            ("tmux-256color", true, Glyphs::Quarters),
            ("", true, Glyphs::Quarters),
            ("foot", true, Glyphs::Sixths),
            ("foot-extra", true, Glyphs::Sixths),
            ("footloose", true, Glyphs::Quarters),
            ("xterm-kitty", true, Glyphs::Sixths),
        ] {
            assert_eq!(Glyphs::for_terminal(term, utf8), glyphs, "{term} {utf8}");
        }
    }
}
