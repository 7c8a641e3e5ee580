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

/// What a mark on the screen is, whatever it looks like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub(crate) enum Ink {
    /// What must be read.
    Words,
    /// What differs from before.
    Changed,
    /// What need not be read from afar.
    Quiet,
    /// Wood and wire: what is looked past.
    Wood,
    /// A notice or a question, reversed.
    Notice,
}

impl Ink {
    /// In the order of their numbers.
    pub(crate) const ALL: [Ink; 5] = [Ink::Words, Ink::Changed, Ink::Quiet, Ink::Wood, Ink::Notice];
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
        let (color, modifier) = match self {
            Theme::Dark => (color(ink, [WARM_WHITE, AMBER, SILVER, OLD_WIRE, AMBER]), reversed(ink)),
            Theme::Light => (color(ink, [BLACK, OXBLOOD, SLATE, ASH, OXBLOOD]), reversed(ink)),
            Theme::Plain => (Color::Reset, plain(ink)),
        };
        Style::new().fg(color).bg(self.ground()).add_modifier(modifier)
    }

    pub(super) fn ground(self) -> Color {
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

fn color(ink: Ink, [words, changed, quiet, wood, notice]: [Color; 5]) -> Color {
    match ink {
        Ink::Words => words,
        Ink::Changed => changed,
        Ink::Quiet => quiet,
        Ink::Wood => wood,
        Ink::Notice => notice,
    }
}

fn reversed(ink: Ink) -> Modifier {
    if ink == Ink::Notice {
        Modifier::REVERSED
    } else {
        Modifier::empty()
    }
}

fn plain(ink: Ink) -> Modifier {
    match ink {
        Ink::Words | Ink::Quiet | Ink::Wood => Modifier::empty(),
        Ink::Changed => Modifier::BOLD,
        Ink::Notice => reversed(ink),
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
