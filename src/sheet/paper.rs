//! What is printed on and what comes out: the pages with their feet, written, and the letters that they lack.

use crate::sheet::NotMade;
use crate::sheet::flow::Flow;
use crate::sheet::leaf::{Leaf, Part, Piece, Role};
use crate::sheet::letters::{Face, Letters, Room};
use crate::sheet::pdf::{self, About};
use std::collections::BTreeSet;

/// What is printed on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    #[default]
    A4,
    Letter,
}

/// A sheet that was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheet {
    pub pdf: Vec<u8>,
    /// Letters of the set that no font here has: `?` stands for each.
    pub lacking: Vec<char>,
}

const FOOT: f32 = 7.5;

impl Paper {
    /// Width and height in points, a 72nd of an inch each. Source: ISO 216 (210 mm x 297 mm) and ANSI/ASME Y14.1 (8.5 in
    /// x 11 in), from memory.
    pub(super) fn upright(self) -> (f32, f32) {
        match self {
            Paper::A4 => (595.276, 841.89),
            Paper::Letter => (612.0, 792.0),
        }
    }
}

/// The sheet of these pages.
///
/// # Errors
/// Where the PDF library refuses what was drawn.
pub(super) fn finished(flow: Flow, about: About, letters: &Letters) -> Result<Sheet, NotMade> {
    let frame = flow.frame;
    let leaves = with_feet(flow, &about.title, letters);
    let lacking = lacking(&leaves, letters);
    let pdf = pdf::write(&leaves, frame, about, letters)?;
    Ok(Sheet { pdf, lacking })
}

fn lacking(leaves: &[Leaf], letters: &Letters) -> Vec<char> {
    let mut lacking = BTreeSet::new();
    let mut look = |face: Face, words: &str| {
        lacking.extend(words.chars().filter(|letter| !letters.has(face, *letter)));
    };
    let marks = leaves
        .iter()
        .flat_map(|leaf| &leaf.pieces)
        .flat_map(|piece| &piece.marks);
    marks.for_each(|mark| mark.each_words(&mut look));
    lacking.into_iter().collect()
}

/// The pages with a line at the foot of each: what it belongs to, and its number of how many.
fn with_feet(flow: Flow, title: &str, letters: &Letters) -> Vec<Leaf> {
    let frame = flow.frame;
    let mut leaves = flow.leaves;
    let of = leaves.len();
    for (page, leaf) in leaves.iter_mut().enumerate() {
        let number = format!("{}/{of}", page + 1);
        let wide = letters.width(Face::Text, FOOT, &number);
        let mut piece = Piece::new(Role::Furniture);
        piece.words((frame.width() - wide, 0.0), Face::Text, FOOT, &number);
        let fitted = letters.fit(Face::Text, room(frame.width() - wide - 20.0), title);
        if let Some(line) = fitted.lines.first() {
            piece.words((0.0, 0.0), Face::Text, fitted.size, line);
        }
        let foot = Part {
            height: 0.0,
            pieces: vec![piece],
            bookmark: None,
        };
        leaf.put(foot, (frame.margin, frame.page.1 - frame.margin - 1.0), 1.0);
    }
    leaves
}

/// One line, which is cut before it is too small to read.
fn room(width: f32) -> Room {
    Room {
        width,
        height: FOOT,
        most: FOOT,
        least: 5.0,
    }
}
