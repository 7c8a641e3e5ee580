//! The quiz: a question from a seed and what has been answered before, an answer in, and what that says.

mod choose;
mod difference;
mod history;
mod kinds;
mod ladder;
mod question;
mod score;
mod sitting;
mod staircase;

pub(crate) use difference::difference;
pub use history::{Answered, Drill, History};
pub use question::{Question, Quiz};
pub use score::{Confusion, Report, Tally, report, wilson};
pub use sitting::{Ask, Done, Page, Play, Sitting};
