//! The whole show without threads: seeded random performances of days, with faults, checked after every event.
//!
//! The real performance, pedals, sequencer, journal, coming back and screen run in virtual time; what is simulated is
//! the world around them: feet, cables, files, the disk, and the hand that pulls the plug. The same seed is the same
//! day.

#![allow(clippy::print_stdout, reason = "a soak says how far it has come")]

mod checks;
mod day;
mod dice;
mod disk;
mod feet;
mod sets;

use crate::show::simulator::day::Day;
use std::time::{Duration, Instant};

/// A few days of each kind, every time that the tests run.
#[test]
fn what_must_hold_holds_through_days_with_faults() {
    let mut events = 0;
    let mut seen = day::Seen::default();
    for seed in 1..=60 {
        let mut day = Day::new(seed);
        for _ in 0..250 {
            day.event();
            events += 1;
        }
        seen.add(&day.seen);
    }
    // The days are hard enough to be worth having: each fault came, and more than once.
    assert_eq!(events, 15_000);
    assert!(seen.accepted > 5_000 && seen.refused > 500, "{seen:?}");
    for (what, count) in [
        ("kills", seen.kills),
        ("torn lines", seen.torn),
        ("changed sets", seen.changed),
        ("broken sets", seen.broken),
        ("changed while dead", seen.changed_while_dead),
        ("failing disks", seen.failing),
        ("stalls", seen.stalls),
        ("lost ports", seen.lost),
        ("ends", seen.ends),
    ] {
        assert!(count > 10, "only {count} {what}: {seen:?}");
    }
}

/// The same seed is the same day, to the last line of the journal but for the time that stands in it.
#[test]
fn a_day_is_told_by_its_seed() {
    let play = |seed| {
        let mut day = Day::new(seed);
        (0..300).for_each(|_| day.event());
        day.journal()
    };
    assert_eq!(play(7), play(7));
    assert_ne!(play(7), play(8));
}

/// Goes on for `FOOTLIGHTS_SOAK_MINUTES` from the seed `FOOTLIGHTS_SOAK_SEED` on, day after day: `./dev soak`.
#[test]
#[ignore = "runs for as long as one likes: ./dev soak"]
#[allow(
    clippy::disallowed_methods,
    reason = "a soak is told how long to run, and measures what it takes"
)]
fn soak() {
    let told = |name: &str| std::env::var(name).ok().and_then(|value| value.parse::<u64>().ok());
    let first = told("FOOTLIGHTS_SOAK_SEED").unwrap_or(1);
    let long = Duration::from_secs(60 * told("FOOTLIGHTS_SOAK_MINUTES").unwrap_or(1));
    let (start, mut seen, mut said) = (Instant::now(), day::Seen::default(), Duration::ZERO);
    // Memory when a thousand presses were made, a million, and so on.
    let mut early = String::new();
    let mut next = 1000;
    for seed in first.. {
        let mut day = Day::new(seed);
        // One day in four is long: an undo list that overflows, whole accounts, a long journal.
        let events = if seed % 4 == 0 { 20_000 } else { 500 };
        for _ in 0..events {
            day.event();
            let presses = seen.presses() + day.seen.presses();
            if presses >= next {
                early += &format!(", {} kB after {presses}", resident_kb());
                next *= 1000;
            }
        }
        seen.add(&day.seen);
        drop(day);
        let (elapsed, presses) = (start.elapsed(), seen.presses());
        if elapsed >= said + Duration::from_secs(10) || elapsed >= long {
            said = elapsed;
            println!(
                "seed {seed}, {} s: {presses} presses, memory {} kB{early}\n  {seen:?}",
                elapsed.as_secs(),
                resident_kb()
            );
        }
        if elapsed >= long {
            return;
        }
    }
}

/// Resident memory (Linux, `/proc`; pages of 4 kB); 0 where it is not told.
#[allow(clippy::disallowed_methods, reason = "a soak measures what it takes")]
fn resident_kb() -> u64 {
    let statm = std::fs::read_to_string("/proc/self/statm").unwrap_or_default();
    let pages = statm.split(' ').nth(1).and_then(|pages| pages.parse::<u64>().ok());
    pages.unwrap_or(0) * 4
}
