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
mod picture;
mod section;
mod status;
mod technique;
mod theme;
mod title;

pub use glyphs::Glyphs;
pub use legibility::{ENOUGH_ARC_MINUTES, LEAST_ARC_MINUTES, Sight, arc_minutes};
pub use others::KEYS;
pub(crate) use picture::{Cell, Sign};
pub use picture::{Clusters, Picture};
pub use status::{PortStatus, Status};
pub(crate) use theme::Ink;
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
        self.page(cue, status, picture, None);
    }

    /// Draws a page over the whole buffer.
    pub fn draw(&mut self, cue: &Cue<'_>, status: &Status, buffer: &mut Buffer) {
        let mut picture = Picture::new(buffer.area.width, buffer.area.height);
        self.paint(cue, status, &mut picture);
        picture.to_buffer(self.look.theme, &self.clusters, buffer);
    }

    /// What each of a page's most important words reaches for the eye, in minutes of arc, in a terminal of this size.
    pub fn legibility(&mut self, cue: &Cue<'_>, size: Rect, sight: Sight) -> Vec<(&'static str, f64)> {
        let mut heights = Vec::new();
        let mut picture = Picture::new(size.width, size.height);
        self.page(cue, &Status::default(), &mut picture, Some(&mut heights));
        heights
            .into_iter()
            .map(|(what, rows)| (what, sight.arc_minutes(rows, size.height)))
            .collect()
    }

    fn page(
        &mut self,
        cue: &Cue<'_>,
        status: &Status,
        picture: &mut Picture,
        heights: Option<&mut Vec<(&'static str, f64)>>,
    ) {
        let (letters, clusters, look) = (&mut self.letters, &mut self.clusters, &self.look);
        page(
            Canvas {
                picture,
                clusters,
                letters,
                look,
                heights,
            },
            cue,
            status,
        );
    }
}

fn page(mut canvas: Canvas<'_>, cue: &Cue<'_>, status: &Status) {
    let canvas = &mut canvas;
    let area = canvas.picture.area();
    canvas.picture.clear();
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
