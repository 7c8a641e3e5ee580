//! The running stage: threads, the terminal, the one loop; and the performance that it runs.

mod frame;
mod keys;
mod performance;

pub use performance::{Cable, Done, Listener, Performance};
