//! kill -9 at random moments of a performance: the release binary on a pseudo-terminal comes back to the exact page.
//!
//! `cargo bench --bench kill -- [KILLS] [SEED]`, or `./dev soak kill`. What each press should have led to is told by a
//! sequencer of our own; what a kill took away is counted, with how old it was.

#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a bench reads the clock, prints, and may fail"
)]

mod show;
#[path = "../../tests/stage/terminal.rs"]
#[allow(dead_code, reason = "the tests use the rest")]
mod terminal;

use show::{Killed, Show};
use std::time::Duration;

/// So few that a bench of everything is not held up; a soak asks for more.
const KILLS: u64 = 25;
/// The same show goes on for so many kills, then another one is opened.
const KILLS_A_SHOW: u64 = 100;

fn main() {
    if !cfg!(target_os = "linux") {
        println!("kills are tried on Linux alone, by what its terminals tell");
        return;
    }
    let numbers: Vec<u64> = std::env::args().skip(1).filter_map(|arg| arg.parse().ok()).collect();
    let kills = numbers.first().copied().unwrap_or(KILLS);
    let mut dice = Dice(numbers.get(1).copied().unwrap_or(1));
    let mut killed = Vec::new();
    let mut show = Show::open();
    for kill in 0..kills {
        if kill > 0 && kill % KILLS_A_SHOW == 0 {
            show = Show::open();
        }
        show.play(&mut dice);
        killed.push(show.kill_and_come_back(&mut dice));
    }
    print(&killed);
}

fn print(killed: &[Killed]) {
    let presses: usize = killed.iter().map(|killed| killed.presses).sum();
    let lost: Vec<Duration> = killed.iter().filter_map(|killed| killed.oldest_lost).collect();
    let count: usize = killed.iter().map(|killed| killed.lost).sum();
    let oldest = lost.iter().max().copied().unwrap_or_default();
    println!("\nkill -9 at {} random moments, {presses} presses", killed.len());
    println!("  each time back on the exact page: that of the last line of the journal, which agrees with the presses");
    println!("  kills that took a press: {}; presses taken: {count}", lost.len());
    println!(
        "  the oldest press that was taken was {:.1} ms old (goal: 20 at most)",
        oldest.as_secs_f64() * 1000.0
    );
}

/// Splitmix64, by Sebastiano Vigna, from memory.
pub(crate) struct Dice(u64);

impl Dice {
    /// 0 to `below` - 1.
    pub(crate) fn below(&mut self, below: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) % below
    }
}
