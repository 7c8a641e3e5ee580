//! What stands on a page before it is written: words, lines and dots at their places, each piece with its part in what
//! is read aloud.
//!
//! Places are in points, from the upper left corner, across and down. Words stand on their baseline.

use crate::sheet::letters::Face;

pub(super) type At = (f32, f32);

/// A page.
#[derive(Clone, Debug, Default)]
pub(super) struct Leaf {
    pub(super) pieces: Vec<Piece>,
    /// Where readers may jump to on this page.
    pub(super) bookmarks: Vec<Bookmark>,
}

#[derive(Clone, Debug)]
pub(super) struct Bookmark {
    pub(super) words: String,
    pub(super) y: f32,
}

/// Marks that are read as one.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    pub(super) role: Role,
    /// Where the piece's own corner lies, from which its marks are measured, and how much larger they are drawn.
    pub(super) at: At,
    pub(super) scale: f32,
    pub(super) marks: Vec<Mark>,
}

#[derive(Clone, Debug)]
pub(super) enum Role {
    /// From 1, the sheet's title, down.
    Heading(u16, String),
    Words,
    /// Goes on with the words of the piece before.
    MoreWords,
    /// With what it shows, in words.
    Figure(String),
    /// Rules, page numbers and repeated heads: passed over when read aloud.
    Furniture,
}

#[derive(Clone, Debug)]
pub(super) enum Mark {
    Words {
        at: At,
        face: Face,
        size: f32,
        ink: Ink,
        words: String,
    },
    Lines {
        lines: Vec<(At, At)>,
        width: f32,
        ink: Ink,
    },
    /// Marks from a corner of their own on: the file holds them once, however often they stand somewhere.
    Stamp {
        at: At,
        marks: Vec<Mark>,
    },
    /// With round corners of this radius.
    Plate {
        at: At,
        wide: f32,
        high: f32,
        radius: f32,
        paint: Paint,
    },
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Ink {
    Black,
    White,
    /// For thin rules only: what must be read is black.
    Grey,
}

#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Paint {
    Filled(Ink),
    /// An outline so wide.
    Outlined(f32),
}

/// A part of a page, as high as this, which stays whole: its pieces stand from the upper left corner of the part on.
#[derive(Clone, Debug, Default)]
pub(super) struct Part {
    pub(super) height: f32,
    pub(super) pieces: Vec<Piece>,
    pub(super) bookmark: Option<String>,
}

impl Piece {
    pub(super) fn new(role: Role) -> Piece {
        Piece {
            role,
            at: (0.0, 0.0),
            scale: 1.0,
            marks: Vec::new(),
        }
    }

    pub(super) fn words(&mut self, at: At, face: Face, size: f32, words: &str) {
        self.inked(at, face, size, Ink::Black, words);
    }

    pub(super) fn inked(&mut self, at: At, face: Face, size: f32, ink: Ink, words: &str) {
        if !words.is_empty() {
            let words = words.to_owned();
            self.marks.push(Mark::Words {
                at,
                face,
                size,
                ink,
                words,
            });
        }
    }

    pub(super) fn line(&mut self, from: At, to: At, width: f32, ink: Ink) {
        self.lines(vec![(from, to)], width, ink);
    }

    /// Lines of one kind, drawn at once.
    pub(super) fn lines(&mut self, lines: Vec<(At, At)>, width: f32, ink: Ink) {
        self.marks.push(Mark::Lines { lines, width, ink });
    }

    pub(super) fn plate(&mut self, at: At, (wide, high): (f32, f32), radius: f32, paint: Paint) {
        self.marks.push(Mark::Plate {
            at,
            wide,
            high,
            radius,
            paint,
        });
    }

    /// A dot or ring around its middle.
    pub(super) fn dot(&mut self, (x, y): At, radius: f32, paint: Paint) {
        let across = 2.0 * radius;
        self.plate((x - radius, y - radius), (across, across), radius, paint);
    }

    /// Puts all that is drawn on `stamp` at a place.
    pub(super) fn stamp(&mut self, at: At, stamp: Piece) {
        self.marks.push(Mark::Stamp { at, marks: stamp.marks });
    }

    fn placed(mut self, at: At, scale: f32) -> Piece {
        self.at = (at.0 + self.at.0 * scale, at.1 + self.at.1 * scale);
        self.scale *= scale;
        self
    }
}

impl Part {
    /// A thin line across, with so much room for it.
    pub(super) fn rule(width: f32, height: f32) -> Part {
        let mut piece = Piece::new(Role::Furniture);
        let y = height / 2.0;
        piece.line((0.0, y), (width, y), 0.5, Ink::Grey);
        Part {
            height,
            pieces: vec![piece],
            bookmark: None,
        }
    }

    pub(super) fn blank(height: f32) -> Part {
        Part {
            height,
            ..Part::default()
        }
    }

    /// Adds the pieces of another part at this place of this one.
    pub(super) fn take(&mut self, other: Part, at: At) {
        self.pieces
            .extend(other.pieces.into_iter().map(|piece| piece.placed(at, 1.0)));
    }

    /// Puts another part below this one.
    pub(super) fn below(mut self, other: Part) -> Part {
        let high = other.height;
        self.take(other, (0.0, self.height));
        self.height += high;
        self
    }

    /// The same, passed over when read aloud.
    pub(super) fn passed_over(mut self) -> Part {
        for piece in &mut self.pieces {
            piece.role = Role::Furniture;
        }
        self.bookmark = None;
        self
    }
}

impl Leaf {
    /// Puts a part at its place, so many times as large as it is.
    pub(super) fn put(&mut self, part: Part, at: At, scale: f32) {
        let words = part.bookmark.into_iter();
        self.bookmarks.extend(words.map(|words| Bookmark { words, y: at.1 }));
        self.pieces
            .extend(part.pieces.into_iter().map(|piece| piece.placed(at, scale)));
    }
}

impl Mark {
    /// Does something with all words of the mark.
    pub(super) fn each_words(&self, act: &mut impl FnMut(Face, &str)) {
        match self {
            Mark::Words { face, words, .. } => act(*face, words),
            Mark::Stamp { marks, .. } => marks.iter().for_each(|mark| mark.each_words(act)),
            Mark::Lines { .. } | Mark::Plate { .. } => {}
        }
    }
}
