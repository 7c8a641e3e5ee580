//! The drawn pages, held against what a player must see: at every size, in every theme, with any text.

mod cues;
mod legible;
mod pages;
mod sizes;
