//! A picture: the cells of a page, small enough that two pictures are compared in a few microseconds.

use crate::screen::theme::{Ink, Theme};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

/// No page is drawn larger; a larger terminal has it in its upper left part.
pub const MOST_COLUMNS: u16 = 500;
pub const MOST_ROWS: u16 = 200;

/// A page's cells, row by row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Picture {
    pub(super) width: u16,
    pub(super) height: u16,
    pub(super) cells: Vec<Cell>,
}

/// A sign and its ink in one number: the sign in the lower 24 bits, the ink above.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(crate) struct Cell(u32);

/// A character, or a place among the clusters: a letter with marks that have no width of their own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Sign<'c> {
    Letter(char),
    Cluster(&'c str),
    /// The right half of the wide sign before it.
    Covered,
}

/// Letters with marks, each kept once for as long as the screen lives.
#[derive(Clone, Debug, Default)]
pub struct Clusters(Vec<Box<str>>);

/// The first number that is no character.
const FIRST_CLUSTER: u32 = 0x11_0000;
/// Clusters kept: more than any set's titles have.
const MOST_CLUSTERS: usize = 4096;
/// A letter and the marks on it, in bytes.
const LONGEST_CLUSTER: usize = 64;
const SIGN_BITS: u32 = 24;
const SIGN: u32 = (1 << SIGN_BITS) - 1;

impl Picture {
    /// A blank picture.
    pub fn new(width: u16, height: u16) -> Picture {
        Picture {
            width,
            height,
            cells: vec![Cell::BLANK; usize::from(width) * usize::from(height)],
        }
    }

    pub(super) fn area(&self) -> Rect {
        Rect::new(0, 0, self.width, self.height)
    }

    pub(super) fn clear(&mut self) {
        self.cells.fill(Cell::BLANK);
    }

    pub(super) fn cell_mut(&mut self, x: u16, y: u16) -> Option<&mut Cell> {
        if x >= self.width || y >= self.height {
            return None;
        }
        self.cells
            .get_mut(usize::from(y) * usize::from(self.width) + usize::from(x))
    }

    /// The rows from the top.
    pub(crate) fn rows(&self) -> impl Iterator<Item = &[Cell]> {
        self.cells.chunks(usize::from(self.width.max(1)))
    }

    /// The picture in the terminal library's own cells.
    pub fn to_buffer(&self, theme: Theme, clusters: &Clusters, buffer: &mut Buffer) {
        for (cell, target) in self.cells.iter().zip(&mut buffer.content) {
            target.reset();
            target.set_style(theme.style(cell.ink()));
            match cell.sign(clusters) {
                Sign::Letter(letter) => target.set_char(letter),
                Sign::Cluster(cluster) => target.set_symbol(cluster),
                Sign::Covered => target.set_symbol(""),
            };
        }
    }
}

impl Cell {
    pub(crate) const BLANK: Cell = Cell::new(' ', Ink::Words);
    pub(super) const COVERED: Cell = Cell::new('\0', Ink::Words);

    pub(super) const fn new(letter: char, ink: Ink) -> Cell {
        Cell(letter as u32 | (ink as u32) << SIGN_BITS)
    }

    pub(super) fn cluster(place: usize, ink: Ink) -> Cell {
        Cell((FIRST_CLUSTER + place as u32) | (ink as u32) << SIGN_BITS)
    }

    /// Whether it is the right half of the wide sign before it.
    pub(crate) fn is_covered(self) -> bool {
        self.0 & SIGN == 0
    }

    pub(crate) fn ink(self) -> Ink {
        Ink::ALL[(self.0 >> SIGN_BITS) as usize % Ink::ALL.len()]
    }

    /// Its letter where it is no more than that.
    pub(crate) fn letter(self) -> Option<char> {
        char::from_u32(self.0 & SIGN).filter(|&letter| letter != '\0')
    }

    /// The letter of a cell that is one byte; none covers two columns.
    pub(crate) fn byte(self) -> Option<u8> {
        let number = self.0 & SIGN;
        (1..0x80).contains(&number).then_some(number as u8)
    }

    pub(crate) fn is(self, letter: char) -> bool {
        self.0 & SIGN == letter as u32
    }

    pub(crate) fn sign(self, clusters: &Clusters) -> Sign<'_> {
        if self.is_covered() {
            return Sign::Covered;
        }
        match self.letter() {
            Some(letter) => Sign::Letter(letter),
            None => {
                let place = (self.0 & SIGN).saturating_sub(FIRST_CLUSTER) as usize;
                clusters
                    .0
                    .get(place)
                    .map_or(Sign::Letter(' '), |cluster| Sign::Cluster(cluster))
            }
        }
    }
}

impl std::fmt::Debug for Cell {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{:?} in {:?}", self.sign(&Clusters::default()), self.ink())
    }
}

impl Clusters {
    /// The place of a cluster; none where no more are kept.
    pub(super) fn place(&mut self, cluster: &str) -> Option<usize> {
        if let Some(place) = self.0.iter().position(|known| **known == *cluster) {
            return Some(place);
        }
        if self.0.len() >= MOST_CLUSTERS || cluster.len() > LONGEST_CLUSTER {
            return None;
        }
        self.0.push(cluster.into());
        Some(self.0.len() - 1)
    }
}
