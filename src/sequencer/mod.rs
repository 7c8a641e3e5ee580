//! The setlist sequencer: actions, pages, and the cue, which is all that a screen must show.
//!
//! Absent here: bytes, clocks, drawing. `apply` is the only way from one state to the next.

#![deny(clippy::wildcard_enum_match_arm)]

mod action;
mod cue;

pub use action::{Action, By, NotAnAction};
pub use cue::{ChordCue, Cue, End, Gap, NextUp, PageCue, Respelled, SectionCue, SongCue, StepCue};
