//! Running words: in as many lines as they take, and in parts that a page can hold.

use crate::sheet::leaf::{Part, Piece, Role};
use crate::sheet::letters::{Face, LINE, Letters};

/// Lines that stay together.
const TOGETHER: usize = 12;

/// A paragraph, however long it is.
pub(super) fn paragraphs(face: Face, size: f32, words: &str, width: f32, letters: &Letters) -> Vec<Part> {
    let lines = letters.wrapped(face, size, width, words);
    let roles = std::iter::once(Role::Words).chain(std::iter::repeat(Role::MoreWords));
    let mut parts: Vec<Part> = roles
        .zip(lines.chunks(TOGETHER))
        .map(|(role, lines)| part(role, face, size, lines))
        .collect();
    if let Some(last) = parts.last_mut() {
        last.height += size * 0.35;
    }
    parts
}

/// A paragraph of a few lines.
pub(super) fn paragraph(face: Face, size: f32, words: &str, width: f32, letters: &Letters) -> Part {
    let mut whole = part(Role::Words, face, size, &letters.wrapped(face, size, width, words));
    whole.height += size * 0.35;
    whole
}

fn part(role: Role, face: Face, size: f32, lines: &[String]) -> Part {
    let mut piece = Piece::new(role);
    let mut y = size;
    for line in lines {
        piece.words((0.0, y), face, size, line);
        y += size * LINE;
    }
    Part {
        height: y - size,
        pieces: vec![piece],
        bookmark: None,
    }
}
