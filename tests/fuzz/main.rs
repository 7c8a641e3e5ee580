//! Inputs from outside, changed at random: nothing breaks by them, and what must hold holds.
//!
//! The ordinary tests feed the stored corpus and a few changes of it. `./dev fuzz MINUTES` goes on for as long as one
//! likes, keeps inputs with which something new happens for further changes, and stores what breaks anything.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a test may fail"
)]

mod random;
mod targets;
mod text;

use random::{Random, changed};
use std::fs;
use std::panic::catch_unwind;
use std::path::PathBuf;
use std::time::{Duration, Instant};
use targets::{Target, demo};

/// Changes of the corpus that the ordinary tests feed to each target.
const CHANGES: usize = 150;
/// Inputs that are kept while a long run lasts.
const MOST_KEPT: usize = 4000;

fn corpus(target: &Target) -> PathBuf {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/corpus");
    folder.join(target.name)
}

/// The stored inputs and the demo's files, in the order of their names.
fn inputs(target: &Target) -> Vec<Vec<u8>> {
    let mut stored: Vec<PathBuf> = fs::read_dir(corpus(target))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    stored.sort();
    assert!(!stored.is_empty(), "{} has no corpus", target.name);
    let seeds = target.seeds.iter().map(|seed| demo(seed));
    stored
        .into_iter()
        .chain(seeds)
        .map(|path| fs::read(path).unwrap())
        .collect()
}

/// Feeds an input; where that breaks anything it is stored, and named.
fn feed(target: &Target, input: &[u8]) -> u64 {
    let (fed, copy) = (target.feed, input.to_vec());
    catch_unwind(move || fed(&copy)).unwrap_or_else(|_| {
        let path = store(target, input);
        panic!("{} breaks; the input is stored as {}", target.name, path.display());
    })
}

fn store(target: &Target, input: &[u8]) -> PathBuf {
    let path = corpus(target).join(format!("found-{:016x}", targets::mark(input)));
    fs::write(&path, input).unwrap();
    path
}

fn feed_some(name: &str) {
    let target = targets::ALL.iter().find(|target| target.name == name).unwrap();
    let inputs = inputs(target);
    for input in &inputs {
        feed(target, input);
    }
    let mut random = Random(20_261_010);
    for _ in 0..CHANGES {
        let (input, other) = (random.below(inputs.len()), random.below(inputs.len()));
        feed(
            target,
            &changed(&mut random, &inputs[input], &inputs[other], target.words),
        );
    }
}

#[test]
fn bytes_on_the_wires() {
    feed_some("wire");
}

#[test]
fn set_files() {
    feed_some("set");
}

#[test]
fn player_files() {
    feed_some("player");
}

#[test]
fn midi_files() {
    feed_some("smf");
}

#[test]
fn chord_lines_chords_and_keys() {
    feed_some("chords");
}

#[test]
fn leaders_lists() {
    feed_some("list");
}

#[test]
fn midi_files_as_songs() {
    feed_some("song");
}

/// All targets in turn, for so many minutes.
#[test]
#[ignore = "as long as one likes: `./dev fuzz MINUTES`"]
fn as_long_as_is_asked() {
    let number = |name: &str, usual: u64| std::env::var(name).ok().map_or(usual, |text| text.parse().expect(name));
    let lasts = Duration::from_secs(60 * number("FUZZ_MINUTES", 1));
    let seed = number("FUZZ_SEED", std::process::id().into());
    let mut random = Random(seed);
    let started = Instant::now();
    let mut runs: Vec<Run> = targets::ALL.iter().map(Run::new).collect();
    println!("seed {seed}");
    while started.elapsed() < lasts {
        for run in &mut runs {
            run.turn(&mut random);
        }
    }
    for run in &runs {
        println!(
            "{:<8} {:>10} inputs, {:>5} of them with something new, the slowest {:.0} ms",
            run.target.name,
            run.fed,
            run.kept.len() - run.stored,
            run.slowest.as_secs_f64() * 1000.0
        );
    }
    let fed: u64 = runs.iter().map(|run| run.fed).sum();
    println!(
        "{fed} inputs in {:.1} minutes, nothing broken",
        started.elapsed().as_secs_f64() / 60.0
    );
}

struct Run {
    target: &'static Target,
    kept: Vec<Vec<u8>>,
    stored: usize,
    marks: std::collections::HashSet<u64>,
    fed: u64,
    slowest: Duration,
}

/// Each target has the same time.
const TURN: Duration = Duration::from_millis(500);
/// Longer than any input of this size takes, on a machine that is busy.
const TOO_LONG: Duration = Duration::from_secs(10);

impl Run {
    fn new(target: &'static Target) -> Run {
        let kept = inputs(target);
        let marks = kept.iter().map(|input| feed(target, input)).collect();
        Run {
            target,
            stored: kept.len(),
            kept,
            marks,
            fed: 0,
            slowest: Duration::ZERO,
        }
    }

    fn turn(&mut self, random: &mut Random) {
        let started = Instant::now();
        while started.elapsed() < TURN {
            let (input, other) = (random.below(self.kept.len()), random.below(self.kept.len()));
            let input = changed(random, &self.kept[input], &self.kept[other], self.target.words);
            let before = Instant::now();
            let mark = feed(self.target, &input);
            let took = before.elapsed();
            if took > TOO_LONG {
                let path = store(self.target, &input);
                panic!(
                    "{} takes {took:?}; the input is stored as {}",
                    self.target.name,
                    path.display()
                );
            }
            self.slowest = self.slowest.max(took);
            self.fed += 1;
            if self.marks.insert(mark) && self.kept.len() < MOST_KEPT {
                self.kept.push(input);
            }
        }
    }
}
