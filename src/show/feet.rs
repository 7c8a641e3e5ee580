//! The feet of one who practises: a board of switches, told the time by the machine's clock.

use crate::pedal::{Bindings, Board, Event, News, PortEvent};
use crate::setlist::PedalSettings;
use crate::show::attend::Began;
use std::time::Instant;

pub(super) struct Feet {
    board: Board,
    began: Began,
}

impl Feet {
    pub(super) fn new(began: Began, bindings: Bindings, pedals: &PedalSettings) -> Feet {
        let board = Board::new(bindings, pedals);
        Feet { board, began }
    }

    /// What a port's news come to.
    pub(super) fn hear(&mut self, event: &PortEvent) -> Vec<Event> {
        let at = self.began.moment(event.at);
        let mut heard = Vec::new();
        match &event.news {
            News::Bytes(chunk) => self.board.bytes(event.port, at, chunk.bytes(), &mut heard),
            News::Here(_) => self.board.back(event.port, at, &mut heard),
            News::Gone => self.board.lost(event.port, at, &mut heard),
        }
        heard
    }

    /// When a gesture is over without anything happening.
    pub(super) fn wake_at(&self) -> Option<Instant> {
        self.board.wake_at().map(|moment| self.began.instant(moment))
    }

    /// The gestures that are over by now.
    pub(super) fn over(&mut self, now: Instant) -> Vec<Event> {
        let now = self.began.moment(now);
        let mut heard = Vec::new();
        if self.board.wake_at().is_some_and(|due| due <= now) {
            self.board.tick(now, &mut heard);
        }
        heard
    }
}
