//! What finding voicings costs: the table's making, which the build script does, against the lookups that it serves.

use divan::{Bencher, black_box};
use footlights::music::{Chord, Interval, Note, Quality, first_voicing, names, voicings};

#[path = "../build.rs"]
#[allow(
    dead_code,
    unused_imports,
    reason = "of the build script only the making is measured"
)]
mod build;

fn main() {
    divan::main();
}

/// Every quality on twelve roots.
fn chords() -> Vec<Chord> {
    let roots = (-6..6).map(|fifths| Note::C.up(Interval::fifths(fifths)));
    let on_roots = |quality| roots.clone().map(move |root| Chord::new(root, quality, None));
    Quality::all().flat_map(on_roots).collect()
}

/// As the program would do it at every start without the build script.
#[divan::bench]
fn making_the_table() -> impl Sized {
    build::make(|_| true)
}

/// 360 chords.
#[divan::bench]
fn first_voicing_of_every_chord(bencher: Bencher<'_, '_>) {
    let chords = chords();
    bencher.bench(|| {
        chords
            .iter()
            .filter_map(|&chord| first_voicing(black_box(chord)))
            .count()
    });
}

/// 360 chords.
#[divan::bench]
fn all_voicings_of_every_chord(bencher: Bencher<'_, '_>) {
    let chords = chords();
    bencher.bench(|| {
        chords
            .iter()
            .map(|&chord| voicings(black_box(chord)).len())
            .sum::<usize>()
    });
}

#[divan::bench(args = ["G", "Bbm7/F", "C13"])]
fn all_voicings_of_one_chord(bencher: Bencher<'_, '_>, symbol: &str) {
    let chord = Chord::parse(symbol).ok();
    bencher.bench(|| chord.map(|chord| voicings(black_box(chord)).len()));
}

#[divan::bench]
fn naming_what_is_fingered() -> impl Sized {
    names(black_box([-1, 3, 2, 0, 3, 3]))
}
