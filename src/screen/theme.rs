//! The themes: what each kind of ink looks like on the ground. Every one is ours, and nothing in them blinks.

use ratatui::style::{Color, Modifier, Style};

/// A way to colour the screen.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Theme {
    /// Warm ink on black, for a dark stage.
    #[default]
    Dark,
    /// Black ink on white, for daylight.
    Light,
    /// The terminal's own two colours: weight and reversal alone.
    Plain,
}

/// What a mark on the screen is, whatever it looks like; where two meet, the later one has the cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[repr(u8)]
pub(crate) enum Ink {
    /// Wood and wire: what is looked past.
    Wood,
    /// What need not be read from afar.
    Quiet,
    /// What must be read.
    Words,
    /// What must be read though it is small.
    Strong,
    /// What differs from before.
    Changed,
    /// A notice or a question, reversed.
    Notice,
}

impl Ink {
    /// In the order of their numbers.
    pub(crate) const ALL: [Ink; 6] = [
        Ink::Wood,
        Ink::Quiet,
        Ink::Words,
        Ink::Strong,
        Ink::Changed,
        Ink::Notice,
    ];
}

impl Theme {
    pub const ALL: [(&'static str, Theme); 3] =
        [("dark", Theme::Dark), ("light", Theme::Light), ("plain", Theme::Plain)];

    pub fn parse(name: &str) -> Option<Theme> {
        Theme::ALL
            .iter()
            .find(|(known, _)| *known == name)
            .map(|(_, theme)| *theme)
    }

    pub(crate) fn style(self, ink: Ink) -> Style {
        let color = match self {
            Theme::Dark => color(ink, [OLD_WIRE, SILVER, WARM_WHITE, AMBER]),
            Theme::Light => color(ink, [ASH, SLATE, BLACK, OXBLOOD]),
            Theme::Plain => Color::Reset,
        };
        let modifier = match ink {
            Ink::Wood | Ink::Quiet | Ink::Words => Modifier::empty(),
            Ink::Strong => Modifier::BOLD,
            Ink::Changed if self == Theme::Plain => Modifier::BOLD,
            Ink::Changed => Modifier::empty(),
            Ink::Notice => Modifier::REVERSED,
        };
        Style::new().fg(color).bg(self.ground()).add_modifier(modifier)
    }

    fn ground(self) -> Color {
        match self {
            Theme::Dark => NIGHT,
            Theme::Light => WHITE,
            Theme::Plain => Color::Reset,
        }
    }
}

// Places in the terminal's fixed palette of 256, whose colours are the same everywhere from 16 on.
const NIGHT: Color = Color::Indexed(233);
const WARM_WHITE: Color = Color::Indexed(230);
const AMBER: Color = Color::Indexed(215);
const SILVER: Color = Color::Indexed(251);
const OLD_WIRE: Color = Color::Indexed(249);
const WHITE: Color = Color::Indexed(231);
const BLACK: Color = Color::Indexed(16);
const OXBLOOD: Color = Color::Indexed(88);
const SLATE: Color = Color::Indexed(236);
const ASH: Color = Color::Indexed(240);

fn color(ink: Ink, [wood, quiet, words, changed]: [Color; 4]) -> Color {
    match ink {
        Ink::Wood => wood,
        Ink::Quiet => quiet,
        Ink::Words | Ink::Strong => words,
        Ink::Changed | Ink::Notice => changed,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The palette's colour cube and greys, as xterm's `256colres.pl` makes them (from memory).
    fn rgb(color: Color) -> [u8; 3] {
        let Color::Indexed(index) = color else {
            panic!("{color:?} depends on the terminal")
        };
        let step = |n: u8| if n == 0 { 0 } else { 55 + 40 * n };
        match index {
            16..=231 => [(index - 16) / 36, (index - 16) / 6 % 6, (index - 16) % 6].map(step),
            232..=255 => [8 + 10 * (index - 232); 3],
            _ => panic!("{index} depends on the terminal"),
        }
    }

    /// Source: WCAG 2.2, definitions of relative luminance and contrast ratio.
    fn contrast(a: Color, b: Color) -> f64 {
        let luminance = |color| {
            let linear = rgb(color).map(|part| {
                let part = f64::from(part) / 255.0;
                if part <= 0.04045 {
                    part / 12.92
                } else {
                    ((part + 0.055) / 1.055).powf(2.4)
                }
            });
            0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
        };
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    // Source: WCAG 2.2, success criterion 1.4.6 (enhanced contrast): at least 7:1.
    #[test]
    fn every_ink_stands_out_from_the_ground_by_seven_to_one() {
        for (name, theme) in Theme::ALL.into_iter().filter(|(_, theme)| *theme != Theme::Plain) {
            for ink in Ink::ALL {
                let style = theme.style(ink);
                let ratio = contrast(style.fg.unwrap(), style.bg.unwrap());
                assert!(ratio >= 7.0, "{name} {ink:?}: {ratio:.1}");
            }
        }
    }

    // Source: WCAG 2.2, success criterion 2.3.1: nothing may flash; here nothing blinks at all.
    #[test]
    fn no_ink_blinks() {
        for (name, theme) in Theme::ALL {
            for ink in Ink::ALL {
                let blinks = Modifier::SLOW_BLINK | Modifier::RAPID_BLINK;
                assert!(!theme.style(ink).add_modifier.intersects(blinks), "{name} {ink:?}");
            }
        }
    }
}
