//! The screen: from a cue to cells, in large words that are read from the floor.
//!
//! Absent here: deciding what is true, clocks, terminals, files. It draws into a buffer, and that is all.

mod bands;
mod canvas;
mod face;
mod gap;
mod glyphs;
mod legibility;
mod lettering;
mod neck;
mod others;
mod pickups;
mod section;
mod status;
mod technique;
mod theme;
mod title;

pub use glyphs::Glyphs;
pub use legibility::{ENOUGH_ARC_MINUTES, LEAST_ARC_MINUTES, Sight, arc_minutes};
pub use others::KEYS;
pub use status::{PortStatus, Status};
pub use theme::Theme;
pub use title::{as_text, title};

use crate::screen::canvas::Canvas;
use crate::screen::lettering::Lettering;
use crate::sequencer::{Cue, PageCue};
use crate::setlist::Guitar;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// How the screen is to look, for as long as the program runs.
#[derive(Clone, Debug, Default)]
pub struct Look {
    pub theme: Theme,
    pub glyphs: Glyphs,
    pub guitar: Guitar,
    pub left_handed: bool,
    /// From where it is read, if that is known.
    pub sight: Option<Sight>,
}

/// Draws pages; keeps the words it has drawn.
pub struct Screen {
    look: Look,
    letters: Lettering,
}

/// Below this many columns or rows a sentence stands for the page.
const LEAST_COLUMNS: u16 = 20;
const LEAST_ROWS: u16 = 6;

impl Screen {
    pub fn new(look: Look) -> Screen {
        Screen {
            letters: Lettering::new(look.glyphs),
            look,
        }
    }

    /// Draws a page over the whole buffer.
    pub fn draw(&mut self, cue: &Cue<'_>, status: &Status, buffer: &mut Buffer) {
        let canvas = Canvas {
            buffer,
            letters: &mut self.letters,
            look: &self.look,
            heights: None,
        };
        page(canvas, cue, status);
    }

    /// What each of a page's most important words reaches for the eye, in minutes of arc, in a terminal of this size.
    pub fn legibility(&mut self, cue: &Cue<'_>, size: Rect, sight: Sight) -> Vec<(&'static str, f64)> {
        let mut heights = Vec::new();
        let buffer = &mut Buffer::empty(size);
        let letters = &mut self.letters;
        page(
            Canvas {
                buffer,
                letters,
                look: &self.look,
                heights: Some(&mut heights),
            },
            cue,
            &Status::default(),
        );
        heights
            .into_iter()
            .map(|(what, rows)| (what, sight.arc_minutes(rows, size.height)))
            .collect()
    }
}

fn page(mut canvas: Canvas<'_>, cue: &Cue<'_>, status: &Status) {
    let canvas = &mut canvas;
    let area = canvas.buffer.area;
    canvas.clear();
    if area.width < LEAST_COLUMNS || area.height < LEAST_ROWS {
        return others::sentence(canvas, area, &title(cue));
    }
    if status.help {
        return others::keys(canvas, area);
    }
    let page = Rect {
        height: area.height - 1,
        ..area
    };
    match &cue.page {
        PageCue::Gap(gap) => gap::draw(canvas, page, gap),
        PageCue::Peek(gap) => {
            canvas.banner(Rect { height: 1, ..page }, "a look ahead at the next song");
            gap::draw(
                canvas,
                Rect {
                    y: page.y + 1,
                    height: page.height - 1,
                    ..page
                },
                gap,
            );
        }
        PageCue::Section(section) => section::draw(canvas, page, section),
        PageCue::End(end) => others::end(canvas, page, cue.set_name, *end, status.elapsed),
    }
    status::draw(
        canvas,
        Rect {
            y: area.bottom() - 1,
            height: 1,
            ..area
        },
        cue,
        status,
    );
}
