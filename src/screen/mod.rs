//! The screen: from a cue to cells, in large words that are read from the floor.
//!
//! Absent here: deciding what is true, clocks, terminals, files. It draws into a buffer, and that is all.

mod bands;
mod canvas;
mod chords;
mod diagram;
mod face;
mod fingering;
mod gap;
mod glyphs;
mod guitar;
mod key_list;
mod legibility;
mod lettering;
mod margin;
mod neck;
mod next;
mod others;
mod pickups;
mod picture;
mod plate;
mod poster;
mod prompt;
mod section;
mod signs;
mod status;
mod stems;
mod strip;
mod technique;
mod theme;
mod title;
mod typeset;

pub(crate) use canvas::steers;
pub use diagram::{Diagram, Form, Mark, Part, Size};
pub use glyphs::Glyphs;
pub use legibility::{ENOUGH_ARC_MINUTES, LEAST_ARC_MINUTES, Sight, arc_minutes};
pub(crate) use picture::{Cell, Sign};
pub use picture::{Clusters, MOST_COLUMNS, MOST_ROWS, Picture};
pub use poster::Poster;
pub use prompt::Prompt;
pub use status::{PortStatus, Status};
pub(crate) use theme::Ink;
pub use theme::Theme;
pub use title::{as_text, title};

use crate::screen::bands::Bands;
use crate::screen::canvas::{Canvas, Height};
use crate::screen::lettering::Lettering;
use crate::sequencer::{Cue, PageCue};
use crate::setlist::Guitar;
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// How the screen is to look, for as long as the program runs.
#[derive(Clone, Debug, Default, PartialEq)]
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
    clusters: Clusters,
}

/// Below this many columns or rows a sentence stands for the page.
const LEAST_COLUMNS: u16 = 20;
const LEAST_ROWS: u16 = 6;

impl Screen {
    pub fn new(look: Look) -> Screen {
        Screen {
            letters: Lettering::new(look.glyphs),
            clusters: Clusters::default(),
            look,
        }
    }

    /// How it looks.
    pub fn look(&self) -> &Look {
        &self.look
    }

    /// The letters with marks that its pictures speak of.
    pub fn clusters(&self) -> &Clusters {
        &self.clusters
    }

    /// Paints a page over the whole picture.
    pub fn paint(&mut self, cue: &Cue<'_>, status: &Status, picture: &mut Picture) {
        if status.help && !too_small(picture.area()) {
            self.help(cue, picture);
        } else {
            page(self.canvas(picture, None), cue, status);
        }
    }

    /// Paints a question of the practice over the whole picture; the banner says what the switches do.
    pub fn ask(&mut self, prompt: &Prompt, banner: &str, picture: &mut Picture) {
        let area = picture.area();
        let canvas = &mut self.canvas(picture, None);
        canvas.picture.clear();
        if too_small(area) {
            return others::sentence(canvas, area, &prompt.title());
        }
        prompt::draw(canvas, area, prompt, banner);
    }

    /// Draws a page over the whole buffer.
    pub fn draw(&mut self, cue: &Cue<'_>, status: &Status, buffer: &mut Buffer) {
        let mut picture = Picture::new(buffer.area.width, buffer.area.height);
        self.paint(cue, status, &mut picture);
        picture.to_buffer(self.look.theme, &self.clusters, buffer);
    }

    /// What each of a page's first three items reaches for the eye, in minutes of arc, in a terminal of this size.
    pub fn legibility(&mut self, cue: &Cue<'_>, size: Rect, sight: Sight) -> Vec<(&'static str, f64)> {
        let heights = self.heights(cue, size).into_iter().filter(|height| height.first);
        heights
            .map(|height| (height.what, sight.arc_minutes(height.rows, size.height)))
            .collect()
    }

    /// How high the words of a page come out in a terminal of this size.
    fn heights(&mut self, cue: &Cue<'_>, size: Rect) -> Vec<Height> {
        let mut heights = Vec::new();
        let picture = &mut Picture::new(size.width, size.height);
        page(self.canvas(picture, Some(&mut heights)), cue, &Status::default());
        heights
    }

    /// The list of keys, and what the page below it reaches for the eye.
    fn help(&mut self, cue: &Cue<'_>, picture: &mut Picture) {
        let size = picture.area();
        let sight = self.look.sight;
        let reached = sight.map(|sight| sight.report(&self.heights(cue, size), size.height));
        let mut canvas = self.canvas(picture, None);
        canvas.picture.clear();
        key_list::draw(&mut canvas, size, reached.as_deref());
    }

    fn canvas<'c>(&'c mut self, picture: &'c mut Picture, heights: Option<&'c mut Vec<Height>>) -> Canvas<'c> {
        Canvas {
            picture,
            clusters: &mut self.clusters,
            letters: &mut self.letters,
            look: &self.look,
            heights,
        }
    }
}

fn page(mut canvas: Canvas<'_>, cue: &Cue<'_>, status: &Status) {
    let canvas = &mut canvas;
    let area = canvas.picture.area();
    canvas.picture.clear();
    if too_small(area) {
        let words = status.notice.clone().unwrap_or_else(|| title(cue));
        return others::sentence(canvas, area, &words);
    }
    let bands = Bands::new(area, area.height, canvas.look);
    match &cue.page {
        PageCue::Gap(gap) => gap::draw(canvas, &bands, gap),
        PageCue::Peek(gap) => {
            let inner = others::look_ahead(canvas, without_status(area));
            gap::draw(canvas, &Bands::new(inner, area.height, canvas.look), gap);
        }
        PageCue::Section(section) => section::draw(canvas, &bands, section),
        PageCue::End(end) => others::end(canvas, without_status(area), cue.set_name, *end, status.elapsed),
    }
    status::draw(canvas, bands.status, cue, status, !bands.facts.is_empty());
}

fn too_small(area: Rect) -> bool {
    area.width < LEAST_COLUMNS || area.height < LEAST_ROWS
}

/// The status line stays where it is whatever the page.
fn without_status(area: Rect) -> Rect {
    Rect {
        height: area.height - 1,
        ..area
    }
}

#[cfg(test)]
mod tests;
