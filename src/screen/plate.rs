//! Dots to draw the guitar with: finer than cells, each with its ink, turned into signs at the end.

use crate::screen::canvas::Canvas;
use crate::screen::theme::Ink;
use ratatui::layout::Rect;

/// An area of cells as dots. Where inks meet in a cell, the one that matters most has it.
pub(super) struct Plate {
    across: usize,
    down: usize,
    dots: Vec<Option<Ink>>,
}

impl Plate {
    /// All of `area` in the dots of the canvas's glyphs, none inked.
    pub(super) fn new(canvas: &Canvas<'_>, area: Rect) -> Plate {
        let (across, down) = canvas.look.glyphs.dots();
        let (across, down) = (usize::from(area.width) * across, usize::from(area.height) * down);
        Plate {
            across,
            down,
            dots: vec![None; across * down],
        }
    }

    /// Dots from side to side.
    pub(super) fn across(&self) -> i32 {
        self.across as i32
    }

    /// Dots from top to bottom.
    pub(super) fn down(&self) -> i32 {
        self.down as i32
    }

    /// Inks a dot, if it is on the plate.
    pub(super) fn dot(&mut self, x: i32, y: i32, ink: Option<Ink>) {
        let (Ok(x), Ok(y)) = (usize::try_from(x), usize::try_from(y)) else {
            return;
        };
        if x < self.across && y < self.down {
            self.dots[y * self.across + x] = ink;
        }
    }

    /// Inks a box of dots.
    pub(super) fn fill(&mut self, x: i32, y: i32, wide: i32, high: i32, ink: Option<Ink>) {
        for down in y..y + high {
            for across in x..x + wide {
                self.dot(across, down, ink);
            }
        }
    }

    /// Inks the edge of a box and blanks what is in it.
    pub(super) fn frame(&mut self, x: i32, y: i32, wide: i32, high: i32, ink: Ink) {
        self.fill(x, y, wide, high, Some(ink));
        self.fill(x + 1, y + 1, wide - 2, high - 2, None);
    }

    /// Turns the plate round, left for right.
    pub(super) fn mirror(&mut self) {
        self.dots.chunks_mut(self.across.max(1)).for_each(<[_]>::reverse);
    }

    /// Puts the plate on the canvas, its upper left corner at that of `area`.
    pub(super) fn print(&self, canvas: &mut Canvas<'_>, area: Rect) {
        let glyphs = canvas.look.glyphs;
        let (across, down) = glyphs.dots();
        for row in 0..area.height {
            for column in 0..area.width {
                let (mut pattern, mut ink) = (0_u8, None);
                for dot in 0..across * down {
                    let x = usize::from(column) * across + dot % across;
                    let y = usize::from(row) * down + dot / across;
                    if let Some(inked) = self.dots.get(y * self.across + x).copied().flatten() {
                        pattern |= 1 << dot;
                        ink = ink.max(Some(inked));
                    }
                }
                if let Some(ink) = ink {
                    canvas.sign(area.x + column, area.y + row, glyphs.sign(pattern), ink);
                }
            }
        }
    }
}
