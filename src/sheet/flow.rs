//! Parts onto pages: one below the other, what belongs together kept on one page where it fits on one.

use crate::sheet::leaf::{Leaf, Part};

/// The page and the room within its margins, in points.
#[derive(Clone, Copy, Debug)]
pub(super) struct Frame {
    pub(super) page: (f32, f32),
    pub(super) margin: f32,
    /// Of the room within the margins, what the foot of the page takes.
    pub(super) foot: f32,
}

pub(super) struct Flow {
    pub(super) frame: Frame,
    pub(super) leaves: Vec<Leaf>,
    /// How far down the last page is filled, from the top margin.
    filled: f32,
    /// How much larger parts are drawn than they are laid out.
    scale: f32,
    /// How often what belongs together went on on another page.
    pub(super) torn: usize,
}

impl Frame {
    pub(super) fn width(self) -> f32 {
        self.page.0 - 2.0 * self.margin
    }

    /// Of what may be filled.
    pub(super) fn height(self) -> f32 {
        self.page.1 - 2.0 * self.margin - self.foot
    }
}

impl Flow {
    pub(super) fn new(frame: Frame) -> Flow {
        Flow {
            frame,
            leaves: Vec::new(),
            filled: 0.0,
            scale: 1.0,
            torn: 0,
        }
    }

    /// From here on parts are drawn so many times as large as they are laid out.
    pub(super) fn scaled(&mut self, scale: f32) {
        self.scale = scale;
    }

    /// The width that a part may be laid out in.
    pub(super) fn width(&self) -> f32 {
        self.frame.width() / self.scale
    }

    /// The height that a part may have here; none before the first page.
    fn left(&self) -> f32 {
        match self.leaves.len() {
            0 => 0.0,
            _ => (self.frame.height() - self.filled) / self.scale,
        }
    }

    pub(super) fn turn(&mut self) {
        self.leaves.push(Leaf::default());
        self.filled = 0.0;
    }

    /// A part on the page that is open, or on the next where it has no room here.
    pub(super) fn put(&mut self, part: Part) {
        // Heights are sums: a hundredth of a point is no reason to turn the page.
        if self.leaves.is_empty() || (part.height > self.left() + 0.01 && self.filled > 0.0) {
            self.turn();
        }
        let at = (self.frame.margin, self.frame.margin + self.filled);
        self.filled += part.height * self.scale;
        if let Some(leaf) = self.leaves.last_mut() {
            leaf.put(part, at, self.scale);
        }
    }

    /// A part that needs no page of its own for want of a little room: it may take so much of the blank above it.
    pub(super) fn put_close(&mut self, part: Part, blank: f32) {
        let short = part.height - self.left();
        if short > 0.0 && short <= blank && self.filled > 0.0 {
            self.filled -= short * self.scale;
        }
        self.put(part);
    }

    /// Parts that belong together: on a page of their own where they would else be torn. What is longer than a page
    /// goes on under `again`.
    pub(super) fn put_together(&mut self, parts: Vec<Part>, again: &Part) {
        let high: f32 = parts.iter().map(|part| part.height).sum();
        if high > self.left() && self.filled > 0.0 {
            self.turn();
        }
        for part in parts {
            if part.height > self.left() + 0.01 && self.filled > again.height * self.scale {
                self.turn();
                self.put(again.clone());
                self.torn += 1;
            }
            self.put(part);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: Frame = Frame {
        page: (120.0, 140.0),
        margin: 10.0,
        foot: 20.0,
    };

    fn marked(height: f32, name: &str) -> Part {
        Part {
            bookmark: Some(name.into()),
            ..Part::blank(height)
        }
    }

    fn pages(flow: &Flow) -> String {
        let page = |leaf: &Leaf| {
            let places = leaf.bookmarks.iter().map(|mark| format!("{} {}", mark.words, mark.y));
            places.collect::<Vec<_>>().join(", ")
        };
        flow.leaves.iter().map(page).collect::<Vec<_>>().join(" | ")
    }

    #[test]
    fn what_belongs_together_stays_together_where_a_page_holds_it() {
        let mut flow = Flow::new(FRAME);
        let again = marked(10.0, "again");
        flow.put_together(vec![marked(40.0, "a"), marked(20.0, "b")], &again);
        flow.put_together(vec![marked(30.0, "c"), marked(20.0, "d")], &again);
        flow.put_together(vec![marked(50.0, "e")], &again);
        flow.put_together(
            vec![
                marked(60.0, "f"),
                marked(40.0, "g"),
                marked(50.0, "h"),
                marked(40.0, "i"),
            ],
            &again,
        );
        assert_eq!(flow.torn, 1);
        assert_eq!(
            pages(&flow),
            "a 10, b 50 | c 10, d 40, e 60 | f 10, g 70 | again 10, h 20, i 70"
        );
    }

    #[test]
    fn a_part_takes_of_the_blank_above_it_what_it_lacks_and_no_more() {
        for (blank, expected) in [
            (0.0, "a 10 | last 10"),
            (19.0, "a 10 | last 10"),
            (20.0, "a 10, last 70"),
            (50.0, "a 10, last 70"),
        ] {
            let mut flow = Flow::new(FRAME);
            flow.put_together(vec![marked(50.0, "a"), Part::blank(30.0)], &marked(10.0, "again"));
            flow.put_close(marked(40.0, "last"), blank);
            assert_eq!(pages(&flow), expected, "{blank}");
        }
        let mut flow = Flow::new(FRAME);
        flow.put(marked(20.0, "a"));
        flow.put_close(marked(40.0, "last"), 20.0);
        assert_eq!(pages(&flow), "a 10, last 30", "where there is room nothing moves");
    }

    #[test]
    fn a_part_higher_than_a_page_stands_on_one_of_its_own() {
        let mut flow = Flow::new(FRAME);
        flow.put(marked(10.0, "a"));
        flow.put_together(vec![marked(300.0, "b"), marked(5.0, "c")], &marked(10.0, "again"));
        assert_eq!(pages(&flow), "a 10 | b 10 | again 10, c 20");
    }
}
