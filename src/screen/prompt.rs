//! A question and its answer in large words, for practice: what is asked, what is given, what the two switches do.

use crate::music::{Fret, Voicing};
use crate::screen::bands::{above, share, split, stack, without_left, without_right};
use crate::screen::canvas::{Align, Canvas};
use crate::screen::diagram::{Diagram, Form, Size};
use crate::screen::lettering::Line;
use crate::screen::margin;
use crate::screen::theme::Ink;
use ratatui::layout::Rect;
use unicode_width::UnicodeWidthStr;

/// A page that asks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Prompt {
    /// What is drilled, in few words.
    pub topic: String,
    /// What is asked, or the answer: the largest.
    pub ask: String,
    /// What else there is to know, a line each.
    pub given: Vec<String>,
    /// Answers to choose from.
    pub choices: Vec<String>,
    /// The one that would be taken, as a place among them.
    pub chosen: Option<usize>,
    /// A chord to compare the hand with.
    pub chord: Option<(Voicing, Fret)>,
    /// How far one is, in few words.
    pub count: String,
}

impl Prompt {
    /// The window's title.
    pub fn title(&self) -> String {
        let parts = [self.topic.as_str(), self.ask.as_str()].into_iter();
        let parts = parts.chain(self.given.iter().map(String::as_str));
        super::title::harmless(&parts.collect::<Vec<_>>().join(", "))
    }
}

/// From so many columns for an answer on its mark is thick.
const ROOMY: u16 = 14;

/// Draws the prompt, and the banner that says what to do below it.
pub(super) fn draw(canvas: &mut Canvas<'_>, area: Rect, prompt: &Prompt, banner: &str) {
    let asks = prompt.given.len().min(3);
    let choices = u16::from(!prompt.choices.is_empty());
    let wishes = [
        (4, 1),
        (1, 1),
        (0, 1),
        (2, asks as u16),
        (3, choices),
        (1, 4),
        (2, asks as u16 * 3),
        (3, choices * 3),
    ];
    let rows = share(area.height, wishes, [0, 6, 3 * asks as u16, 2 * choices, 0]);
    let [topic, ask, given, chosen, last] = stack(area, rows);
    let taken = canvas.small(margin::inside(topic), Align::Left, &prompt.topic, Ink::Quiet);
    let rest = without_left(margin::inside(topic), taken + 2);
    canvas.line(rest, Align::Right, &prompt.count, Ink::Quiet);
    let middle = Rect {
        height: ask.height + given.height,
        ..ask
    };
    let words = match prompt.chord {
        Some((voicing, capo)) => {
            let (words, place) = split(margin::inside(middle), 50);
            chord(canvas, place, &voicing, capo);
            without_right(words, 1)
        }
        None => margin::inside(middle),
    };
    let (ask, given) = above(words, ask.height);
    canvas.item("question", ask, Line::Words, &prompt.ask, Ink::Words);
    let mut rest = given;
    for (place, line) in prompt.given.iter().take(asks).enumerate() {
        let (band, below) = above(rest, rest.height / (asks - place) as u16);
        canvas.word(band, Align::Left, line, Ink::Words);
        rest = below;
    }
    choose(canvas, margin::inside(chosen), prompt);
    canvas.banner(last, &[banner]);
}

/// The answers side by side, the one that would be taken in the accent and with a mark.
fn choose(canvas: &mut Canvas<'_>, area: Rect, prompt: &Prompt) {
    let Some(slot) = area.width.checked_div(prompt.choices.len() as u16) else {
        return;
    };
    // Thicker than a stroke where there is room: a thin one before a figure reads as a 1.
    let wide = if slot >= ROOMY { 2 } else { 1 };
    for (place, words) in (0..).zip(&prompt.choices) {
        let part = Rect {
            width: slot.saturating_sub(1),
            ..without_left(area, slot * place)
        };
        let taken = prompt.chosen == Some(usize::from(place));
        if taken {
            canvas.mark(part, wide);
        }
        let ink = if taken { Ink::Changed } else { Ink::Quiet };
        canvas.word(without_left(part, 2 * wide), Align::Left, words, ink);
    }
}

/// The chord's diagram in the middle of its place, as large as there is room for.
fn chord(canvas: &mut Canvas<'_>, area: Rect, voicing: &Voicing, capo: Fret) {
    let forms = [Size::Large, Size::Wide, Size::Small].map(|size| Form {
        size,
        frets: Form::FRETS,
        capo,
        left_handed: canvas.look.left_handed,
        ascii: canvas.look.glyphs.is_ascii(),
    });
    let fits = |form: &&Form| form.height() <= area.height && form.width() <= area.width;
    let Some(form) = forms.iter().find(fits) else {
        canvas.small(area, Align::Left, &voicing.to_string(), Ink::Words);
        return;
    };
    let top = area.y + (area.height - form.height()) / 2;
    for (y, line) in (top..).zip(Diagram::new(voicing, form).lines()) {
        let row = Rect { y, height: 1, ..area };
        canvas.line(
            without_left(row, area.width.saturating_sub(line.width() as u16) / 2),
            Align::Left,
            &line,
            Ink::Words,
        );
    }
}
