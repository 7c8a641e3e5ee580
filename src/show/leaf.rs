//! A leaf: a picture with the window's title, and the bytes that turn the leaf before it into this one.

use crate::screen::{Clusters, Picture, Theme};
use crate::show::frame::{Change, Frame};
use ratatui::layout::Rect;

pub(super) struct Leaf {
    pub(super) picture: Picture,
    title: String,
    frame: Frame,
}

impl Leaf {
    /// One that is shown and one to be drawn, both blank. Two are enough: what was shown last is drawn over.
    pub(super) fn pair(size: Rect, theme: Theme) -> [Leaf; 2] {
        let blank = || Leaf {
            picture: Picture::new(size.width, size.height),
            title: String::new(),
            frame: Frame::new(theme),
        };
        [blank(), blank()]
    }

    /// Its picture is drawn: finds the bytes by which it follows the leaf that is shown. With `fresh`, which goes first,
    /// the terminal is taken to be blank in its own colours.
    pub(super) fn follow(&mut self, shown: &Leaf, title: String, clusters: &Clusters, fresh: Option<&[u8]>) {
        self.frame.take_pen_of(&shown.frame);
        let change = Change {
            old: &shown.picture,
            new: &self.picture,
            clusters,
            title: (title != shown.title).then_some(title.as_str()),
        };
        self.frame.between(&change, fresh);
        self.title = title;
    }

    /// The bytes by which it follows; none where nothing changes.
    pub(super) fn bytes(&self) -> &[u8] {
        self.frame.bytes()
    }
}
