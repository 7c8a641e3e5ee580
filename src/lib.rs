//! Footlights: a stage helper for a rhythm guitarist. It plans capos and shapes, follows the feet, and shows the next
//! move in large words.
//!
//! The rooms, each of which may use those above it and none below: `music`, `setlist`, `plan`, `sequencer`, `pedal`,
//! `screen`, `sheet`, `ear`, `rehearse`, `show`, `commands`.

#![forbid(unsafe_code)]

pub mod commands;
pub mod ear;
pub mod music;
pub mod pedal;
pub mod plan;
pub mod rehearse;
pub mod screen;
pub mod sequencer;
pub mod setlist;
pub mod sheet;
pub mod show;
