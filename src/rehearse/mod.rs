//! Practice at home: what a set asks of the hands and the head, what is asked next, and what is known.
//!
//! Absent here: clocks, terminals, drawing. Time comes in as a value; one file alone, the history, touches the disk.

mod choose;
mod faces;
mod history;
mod item;
mod memory;
mod moves;
mod report;
mod session;
#[cfg(test)]
mod tests;

pub use faces::Face;
pub use history::History;
pub use item::{Item, Kind, items};
pub use memory::{Answer, Memory};
pub use moves::usual_seconds;
pub use report::{Report, Row, Standing, report};
pub use session::{Input, Session};
