//! How fast the ear's sounds are made, and how fast a long history opens.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "a bench reads the clock and prints"
)]

use divan::Bencher;
use footlights::ear::{Answered, Drill, History, HistoryFile, Instrument, Material, Phrase, Seed, sound};
use footlights::setlist::Guitar;
use std::fs;
use std::time::Instant;

fn main() {
    real_time();
    divan::main();
}

/// How many seconds of sound one core makes in a second: at least a hundred are wanted.
fn real_time() {
    let instrument = Instrument::of(&Guitar::default());
    let (mut made, mut worst) = (0.0, f64::INFINITY);
    let started = Instant::now();
    for phrase in Phrase::LADDER {
        let before = Instant::now();
        let mut seconds = 0.0;
        for position in &instrument.positions {
            let notes = phrase.played(&Material::default(), Seed::new(1), Seed::new(2));
            seconds += sound(&notes, &instrument, position).seconds();
        }
        let times = seconds / before.elapsed().as_secs_f64();
        println!("{:<13} {times:>6.0} times real time", phrase.name());
        made += seconds;
        worst = f64::min(worst, times);
    }
    let times = made / started.elapsed().as_secs_f64();
    println!("all phrases   {times:>6.0} times real time, the slowest {worst:.0}; 100 are wanted");
}

#[divan::bench(args = Phrase::LADDER.map(Phrase::name))]
fn a_phrase(bencher: Bencher<'_, '_>, name: &str) {
    let instrument = Instrument::of(&Guitar::default());
    let phrase = Phrase::parse(name).unwrap();
    let notes = phrase.played(&Material::default(), Seed::new(1), Seed::new(2));
    bencher.bench(|| sound(&notes, &instrument, &instrument.positions[0]));
}

/// Under 100 ms is wanted.
#[divan::bench]
fn a_history_of_100_000_answers_opens(bencher: Bencher<'_, '_>) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("ear.jsonl");
    let names = ["neck", "middle", "bridge", "neck+middle"];
    let mut text = String::new();
    for at in 0..100_000 {
        let name = |offset: usize| names[(at / 7 + offset) % names.len()].into();
        let answered = Answered {
            at: 1_700_000_000 + at as u64,
            sitting: 1_700_000_000 + (at - at % 30) as u64,
            drill: Drill::Name,
            phrase: Phrase::LADDER[at % 5].name().into(),
            pair: [name(0), name(1)],
            choices: 2,
            played: name(0),
            answered: name(at % 3 / 2),
            gap_mm: None,
        };
        text.push_str(&answered.line());
    }
    fs::write(&path, &text).unwrap();
    bencher.bench(|| {
        let (_, history): (HistoryFile, History) = HistoryFile::open(Some(&path)).unwrap();
        assert_eq!(history.answers().len(), 100_000);
        history
    });
}
