//! What drawing costs: pages of the demo set at three sizes, when nothing is known yet, when the letters are, and when
//! the words are; and the bytes that a change of page takes on the wire.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a bench tells what it measured and may fail"
)]

use divan::Bencher;
use footlights::plan::{Planned, solve};
use footlights::screen::{Look, Picture, Screen, Status};
use footlights::sequencer::{Action, Cue, Sequencer, cue};
use ratatui::backend::{Backend, CrosstermBackend};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use std::path::Path;

const SIZES: [(u16, u16); 3] = [(80, 24), (120, 40), (200, 50)];

fn main() {
    bytes();
    divan::main();
}

fn demo() -> Planned {
    let set = Path::new(env!("CARGO_MANIFEST_DIR")).join("setlists/harvest-evening.yaml");
    let reading = footlights::setlist::read(&set, None).unwrap();
    let plan = solve(&reading.set).unwrap();
    Planned { set: reading.set, plan }
}

/// Every page of the set, in the order of a show.
fn pages(planned: &Planned) -> Vec<Cue<'_>> {
    let mut sequencer = Sequencer::open(planned);
    let mut pages = vec![cue(planned, sequencer.state())];
    for _ in 0..100 {
        sequencer.apply(planned, &Action::Next).unwrap();
        pages.push(cue(planned, sequencer.state()));
    }
    pages
}

/// The program, its set read, draws its first page.
#[divan::bench(args = SIZES)]
fn the_first_page(bencher: Bencher<'_, '_>, (columns, rows): (u16, u16)) {
    let planned = demo();
    let pages = pages(&planned);
    let mut picture = Picture::new(columns, rows);
    bencher.bench_local(|| {
        let mut screen = Screen::new(Look::default());
        screen.paint(&pages[0], &Status::default(), &mut picture);
        screen
    });
}

/// A section page none of whose words were drawn before, though their letters were read.
#[divan::bench(args = SIZES)]
fn a_new_page(bencher: Bencher<'_, '_>, (columns, rows): (u16, u16)) {
    let planned = demo();
    let pages = pages(&planned);
    let mut picture = Picture::new(columns, rows);
    bencher
        .with_inputs(|| {
            let mut screen = Screen::new(Look::default());
            // At another size the same letters are read, and other words are drawn.
            let mut other = Picture::new(columns + 7, rows + 3);
            pages
                .iter()
                .take(8)
                .for_each(|page| screen.paint(page, &Status::default(), &mut other));
            screen
        })
        .bench_local_refs(|screen| screen.paint(&pages[2], &Status::default(), &mut picture));
}

/// Section pages that come again, in turn.
#[divan::bench(args = SIZES)]
fn a_known_section_page(bencher: Bencher<'_, '_>, size: (u16, u16)) {
    in_turn(bencher, size, 2, 3);
}

/// A gap page and a section page that come again, in turn.
#[divan::bench(args = SIZES)]
fn a_known_gap_page(bencher: Bencher<'_, '_>, size: (u16, u16)) {
    in_turn(bencher, size, 0, 8);
}

fn in_turn(bencher: Bencher<'_, '_>, (columns, rows): (u16, u16), one: usize, other: usize) {
    let planned = demo();
    let pages = pages(&planned);
    let mut picture = Picture::new(columns, rows);
    let mut screen = Screen::new(Look::default());
    let mut turn = [one, other].into_iter().cycle();
    bencher.bench_local(|| screen.paint(&pages[turn.next().unwrap()], &Status::default(), &mut picture));
}

/// Prints the bytes that each change of page takes through a general terminal backend: the stage's own takes fewer.
fn bytes() {
    let planned = demo();
    let pages = pages(&planned);
    for (columns, rows) in SIZES {
        let mut screen = Screen::new(Look::default());
        let mut taken: Vec<usize> = pages
            .windows(2)
            .map(|pair| {
                let drawn = [&pair[0], &pair[1]].map(|page| {
                    let mut buffer = Buffer::empty(Rect::new(0, 0, columns, rows));
                    screen.draw(page, &Status::default(), &mut buffer);
                    buffer
                });
                let mut bytes = Vec::new();
                CrosstermBackend::new(&mut bytes)
                    .draw(drawn[0].diff_iter(&drawn[1]))
                    .unwrap();
                bytes.len()
            })
            .filter(|bytes| *bytes > 100)
            .collect();
        taken.sort_unstable();
        let (median, most) = (taken[taken.len() / 2], taken[taken.len() - 1]);
        println!("bytes of a change of page at {columns} x {rows}: median {median}, most {most}");
    }
}
