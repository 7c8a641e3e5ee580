//! The setlist sequencer: actions, pages, and the cue, which is all that a screen must show.
//!
//! Absent here: bytes, clocks, drawing. `Sequencer::apply` is the only way from one state to the next.

#![deny(clippy::wildcard_enum_match_arm)]

mod action;
mod anew;
mod apply;
mod call;
mod cue;
mod cue_of;
mod follow;
mod line;
mod memory;
mod refused;
mod sequence;
mod standing;
mod state;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod tests_anew;

pub use action::{Action, By, NotAnAction};
pub use anew::Anew;
pub use cue::{ChordCue, Cue, End, Gap, NextUp, PageCue, Respelled, SectionCue, SongCue, StepCue};
pub use cue_of::cue;
pub use line::Line;
pub use memory::Memory;
pub use refused::Refused;
pub use sequence::{Entered, Sequencer};
pub use standing::Standing;
pub use state::{Page, State};
