//! The gap page: what to set up before a song, the capo fret above all.

use crate::music::Fret;
use crate::screen::bands::{Bands, above, split, without_left, without_right};
use crate::screen::canvas::{Align, Canvas};
use crate::screen::guitar::{self, Guitar};
use crate::screen::lettering::Line;
use crate::screen::neck::Capo;
use crate::screen::signs::columns;
use crate::screen::theme::Ink;
use crate::screen::{chords, fingering, margin, next, status};
use crate::sequencer::{Gap, SongCue};
use ratatui::layout::Rect;

/// The capo's part of the width beside the shapes, in hundredths.
const FRET_PERCENT: u16 = 36;
/// Below so many columns the mark stands close to the words.
const NARROW: u16 = 48;
/// Columns between a title and its place in the set, so that neither reads as a part of the other.
const TITLE_APART: u16 = 3;
/// Words in so many rows can be large.
const LOW: u16 = 3;
/// Below so many rows title and shapes are in small words.
const ROOMY: u16 = 10;

pub(super) fn draw(canvas: &mut Canvas<'_>, bands: &Bands, gap: &Gap<'_>) {
    let capo = Capo {
        now: gap.capo_now.unwrap_or(gap.song.capo),
        goes: gap.song.capo,
    };
    let upper = bands.upper;
    let title_rows = if upper.height >= ROOMY {
        bands.technique.height.max(3)
    } else {
        1
    };
    let (title_band, capo_band) = above(upper, title_rows.min(upper.height));
    title(canvas, margin::line(title_band), &gap.song);
    let way = Way::of(gap, capo);
    let drawn = way_beside_guitar(canvas, bands.guitar, gap, capo, &way);
    setting(canvas, capo_band, gap, (!drawn).then_some(&way));
    if let Some(step) = &gap.first {
        next::first(canvas, margin::inside(bands.next), step);
    }
    small_print(canvas, bands, gap);
}

/// How the capo gets to its fret, in words.
struct Way {
    words: String,
    ink: Ink,
}

impl Way {
    fn of(gap: &Gap<'_>, capo: Capo) -> Way {
        // Before the first page that is played no capo is on.
        let words = match (gap.capo_now, capo.goes) {
            (None, Fret::OPEN) => String::new(),
            (None, _) => "put on".into(),
            (Some(_), _) if gap.rushed => format!("{} !", capo.words()),
            (Some(_), _) => capo.words(),
        };
        let ink = if capo.moves() { Ink::Changed } else { Ink::Words };
        Way { words, ink }
    }
}

/// The guitar with the capo's way, and beside it the way in words; whether there was room for them.
fn way_beside_guitar(canvas: &mut Canvas<'_>, band: Rect, gap: &Gap<'_>, capo: Capo, way: &Way) -> bool {
    if band.height < 3 {
        return false;
    }
    let (drawn, words) = guitar::beside(margin::marked(canvas, band, capo.moves()));
    if let Some(drawn) = drawn {
        let guitar = Guitar {
            capo,
            pickup: gap.first.as_ref().and_then(|step| step.pickup),
            pickup_ink: Ink::Words,
        };
        guitar::draw(canvas, drawn, &guitar);
    }
    canvas.item("move", words, Line::Words, &way.words, way.ink);
    true
}

/// The title as large as its band allows, its place in the set at the end of it.
fn title(canvas: &mut Canvas<'_>, area: Rect, song: &SongCue<'_>) {
    let place = format!("{}/{}", song.number, song.of);
    if area.height < 3 {
        let taken = canvas.small(area, Align::Left, song.title, Ink::Words);
        // The title before its place.
        let rest = without_left(area, taken + 1);
        if usize::from(rest.width) >= place.len() {
            canvas.line(rest, Align::Right, &place, Ink::Quiet);
        }
        return;
    }
    let (rest, corner) = split(area, 84);
    canvas.later("title", without_right(rest, 1), Align::Left, &[song.title], Ink::Words);
    let corner = without_left(corner, TITLE_APART - 1);
    canvas.later("place", corner, Align::Right, &[&place], Ink::Quiet);
}

/// The fret as large as can be; beside it the family and the key that sounds, and the way where it has no other place.
fn setting(canvas: &mut Canvas<'_>, band: Rect, gap: &Gap<'_>, way: Option<&Way>) {
    let moves = gap.r#move != 0;
    let area = margin::marked(canvas, band, moves && band.height > 0);
    let (left, right) = split(area, FRET_PERCENT);
    let ink = if moves { Ink::Changed } else { Ink::Words };
    // A mark close to a figure reads as a 1 before it.
    let apart = u16::from(area.width < NARROW);
    let left = without_right(without_left(left, apart), 2 - apart);
    fret(canvas, left, gap.song.capo, ink);
    let family = gap
        .song
        .shapes
        .map_or_else(|| "no shapes".into(), |family| format!("{family} shapes"));
    let sounds = format!("sounds {}", gap.song.key.signs());
    let asked = gap.song.asked_for.as_ref().map(|asked| format!("asked for as {asked}"));
    let asked_rows = u16::from(asked.is_some() && right.height > 3);
    let (large, last) = above(right, right.height - asked_rows);
    let mut lines = Vec::from([
        ("shapes", family.as_str(), Ink::Words),
        ("key", sounds.as_str(), Ink::Words),
    ]);
    if let Some(way) = way.filter(|way| !way.words.is_empty()) {
        lines.insert(0, ("move", way.words.as_str(), way.ink));
    }
    let mut rest = large;
    for (place, (what, words, ink)) in (1..).zip(&lines) {
        let left = lines.len() as u16 - place;
        // Where not all can be large, the first of them is.
        let rows = match rest.height / (left + 1) {
            0..LOW if rest.height >= LOW + left => rest.height - left,
            even => even.max(1),
        };
        let (line, below) = above(rest, rows);
        if !line.is_empty() {
            canvas.item(what, line, Line::Words, words, *ink);
        }
        rest = below;
    }
    if let Some(asked) = asked {
        let row = if asked_rows > 0 { last } else { above(rest, 1).0 };
        canvas.line(row, Align::Left, &asked, Ink::Quiet);
    }
}

/// The fret's number, or `no capo` on two lines where that is larger.
fn fret(canvas: &mut Canvas<'_>, area: Rect, fret: Fret, ink: Ink) {
    // A row stays blank below, so that the figure does not run into the guitar.
    let area = without_last_row(area);
    if fret != Fret::OPEN {
        canvas.item("capo fret", area, Line::Figures, &fret.to_string(), ink);
    } else if area.height < 6 {
        canvas.item("capo fret", area, Line::Words, "no capo", ink);
    } else {
        let (upper, lower) = above(area, area.height / 2);
        canvas.word(upper, Align::Left, "no", ink);
        canvas.item("capo fret", lower, Line::Words, "capo", ink);
    }
}

fn without_last_row(area: Rect) -> Rect {
    Rect {
        height: area.height - u16::from(area.height > 4),
        ..area
    }
}

/// Tempo, meter, delay times and the note, then the chords of the family, in the rows that are left for small words.
fn small_print(canvas: &mut Canvas<'_>, bands: &Bands, gap: &Gap<'_>) {
    let (tempo, delays) = (status::tempo(&gap.song), status::delays(&gap.song));
    let [long, short] = delays.map_or([None, None], |delays| delays.map(Some));
    // Time is worth a word where it is short.
    let free = gap
        .free
        .filter(|_| gap.rushed)
        .map(|free| format!("only {} s free", free.as_s()));
    let (facts_row, chords_rows) = if bands.facts.is_empty() {
        above(bands.chords, 1)
    } else {
        (bands.facts, bands.chords)
    };
    let facts_row = margin::inside(facts_row);
    let facts = |delays: Option<&str>, note| status::listed([free.as_deref(), tempo.as_deref(), delays, note]);
    let (long, short) = (long.as_deref(), short.as_deref());
    // The note, which comes last, is cut before the delay times go.
    let delays_fit = columns(&facts(short, None)) <= usize::from(facts_row.width);
    let cut = facts(short.filter(|_| delays_fit), gap.song.note);
    canvas.first_that_fits(facts_row, &[&facts(long, gap.song.note), &cut]);
    chords::family(canvas, margin::inside(chords_rows), &gap.chords);
    fingering::family(canvas, margin::inside(bands.diagrams), gap.song.capo, &gap.chords);
}
