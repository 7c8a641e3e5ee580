//! The finest cells that a terminal can draw: how a cell is parted into dots, and the sign for each pattern of dots.

/// A way to draw dots with text cells.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Glyphs {
    /// Letters alone, for a terminal that is not UTF-8: one dot a cell.
    Letters,
    /// Half and full blocks, for the bare Linux console: one by two dots.
    Halves,
    /// Quarter blocks: two by two dots.
    #[default]
    Quarters,
    /// Sixths (Symbols for Legacy Computing, Unicode 13): two by three dots.
    Sixths,
}

impl Glyphs {
    pub const ALL: [(&'static str, Glyphs); 4] = [
        ("letters", Glyphs::Letters),
        ("halves", Glyphs::Halves),
        ("quarters", Glyphs::Quarters),
        ("sixths", Glyphs::Sixths),
    ];

    pub fn parse(name: &str) -> Option<Glyphs> {
        Glyphs::ALL
            .iter()
            .find(|(known, _)| *known == name)
            .map(|(_, glyphs)| *glyphs)
    }

    /// The finest that the terminal is known to draw. Quarter blocks are in every text font; sixths are drawn by the
    /// terminal itself only where its `TERM` says which one it is.
    pub fn for_terminal(term: &str, utf8: bool) -> Glyphs {
        let draws_sixths = ["foot", "xterm-kitty", "wezterm", "contour", "xterm-ghostty"];
        match term {
            _ if !utf8 => Glyphs::Letters,
            "linux" => Glyphs::Halves,
            term if draws_sixths.iter().any(|known| term.starts_with(known)) => Glyphs::Sixths,
            _ => Glyphs::Quarters,
        }
    }

    /// Dots in a cell, across and down.
    pub(super) fn dots(self) -> (usize, usize) {
        match self {
            Glyphs::Letters => (1, 1),
            Glyphs::Halves => (1, 2),
            Glyphs::Quarters => (2, 2),
            Glyphs::Sixths => (2, 3),
        }
    }

    /// The sign whose dots are set in `pattern`, row by row from the top left, lowest bit first.
    pub(super) fn sign(self, pattern: u8) -> char {
        match self {
            Glyphs::Letters => [' ', '#'][usize::from(pattern & 1)],
            Glyphs::Halves => [' ', '▀', '▄', '█'][usize::from(pattern & 3)],
            Glyphs::Quarters => QUARTERS[usize::from(pattern & 15)],
            Glyphs::Sixths => sixth(pattern & 63),
        }
    }

    /// Whether words may have signs that ASCII lacks.
    pub(super) fn is_ascii(self) -> bool {
        self == Glyphs::Letters
    }
}

/// Block Elements (Unicode), by the bits top left, top right, bottom left, bottom right.
const QUARTERS: [char; 16] = [
    ' ', '▘', '▝', '▀', '▖', '▌', '▞', '▛', '▗', '▚', '▐', '▜', '▄', '▙', '▟', '█',
];

/// U+1FB00 on, in the order of the bits, but for the four that stand in Block Elements already.
fn sixth(pattern: u8) -> char {
    match pattern {
        0 => ' ',
        21 => '▌',
        42 => '▐',
        63 => '█',
        _ => {
            let skipped = 1 + u32::from(pattern > 21) + u32::from(pattern > 42);
            char::from_u32(0x1FB00 + u32::from(pattern) - skipped).unwrap_or('█')
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: The Unicode Standard 16.0, chart U+1FB00 (from memory): BLOCK SEXTANT-1 is U+1FB00, -2 U+1FB01, -12
    // U+1FB02, -235 U+1FB13 and -23456 U+1FB3B.
    #[test]
    fn sixths_have_their_places_in_the_chart() {
        for (pattern, sign) in [
            (0b1, 0x1FB00),
            (0b10, 0x1FB01),
            (0b11, 0x1FB02),
            (0b10110, 0x1FB14),
            (0b111110, 0x1FB3B),
        ] {
            assert_eq!(u32::from(Glyphs::Sixths.sign(pattern)), sign, "{pattern:b}");
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
    fn the_bare_console_and_old_locales_get_what_they_can_draw() {
        let glyphs = |term, utf8| Glyphs::for_terminal(term, utf8);
        assert_eq!(glyphs("linux", true), Glyphs::Halves);
        assert_eq!(glyphs("xterm-256color", false), Glyphs::Letters);
        assert_eq!(glyphs("xterm-256color", true), Glyphs::Quarters);
        assert_eq!(glyphs("foot", true), Glyphs::Sixths);
    }
}
