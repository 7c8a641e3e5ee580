//! What is printed on, what comes out, and the line at the foot of every page.

use crate::sheet::flow::Flow;
use crate::sheet::leaf::{Leaf, Part, Piece, Role};
use crate::sheet::letters::{Face, Letters};

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

/// The pages with a line at the foot of each: what it belongs to, and its number of how many.
pub(super) fn with_feet(flow: Flow, title: &str, letters: &Letters) -> Vec<Leaf> {
    let frame = flow.frame;
    let mut leaves = flow.leaves;
    let of = leaves.len();
    for (page, leaf) in leaves.iter_mut().enumerate() {
        let number = format!("{}/{of}", page + 1);
        let wide = letters.width(Face::Text, FOOT, &number);
        let mut piece = Piece::new(Role::Furniture);
        piece.words((frame.width() - wide, 0.0), Face::Text, FOOT, &number);
        let size = letters.shrunk(Face::Text, FOOT, frame.width() - wide - 20.0, title);
        piece.words((0.0, 0.0), Face::Text, size, title);
        let foot = Part {
            height: 0.0,
            pieces: vec![piece],
            bookmark: None,
        };
        leaf.put(foot, (frame.margin, frame.page.1 - frame.margin - 1.0), 1.0);
    }
    leaves
}
