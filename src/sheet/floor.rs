//! The first page, read from the floor: a row a song, the capo fret very large, what gives which key, and how the capo
//! moves. A long set takes several.

use crate::sheet::badge;
use crate::sheet::flow::Flow;
use crate::sheet::leaf::{Ink, Part, Piece, Role};
use crate::sheet::letters::{CAPITAL, Face, LINE, Letters, Room};
use crate::sheet::played::Played;

/// Points from row to row: the least that is read from the floor, and the most that helps.
const LEAST_ROW: f32 = 66.0;
const MOST_ROW: f32 = 170.0;
const HEAD: f32 = 46.0;
/// The last line's letters at their largest, as a part of the row.
const LINE_OF_ROW: f32 = 0.24;

/// What stands above the rows.
pub(super) struct Head<'a> {
    pub(super) title: &'a str,
    /// Whose sheet, and of which day.
    pub(super) under: &'a str,
}

pub(super) fn put(flow: &mut Flow, head: &Head<'_>, songs: &[Played<'_>], letters: &Letters) {
    let width = flow.width();
    let room = flow.frame.height() - HEAD;
    let most = (room / LEAST_ROW).floor().max(1.0) as usize;
    let pages = songs.len().div_ceil(most).max(1);
    let rows = songs.len().div_ceil(pages).max(1);
    let row = (room / rows as f32).min(MOST_ROW);
    // All numbers as wide as the widest, so that the titles begin below one another.
    let figures = songs.len().to_string();
    for (page, songs) in songs.chunks(rows).enumerate() {
        flow.turn();
        let words = head_part(head, width, letters);
        flow.put(if page == 0 { words } else { words.passed_over() });
        for played in songs {
            flow.put(row_part(played, width, row, &figures, letters));
        }
    }
}

fn head_part(head: &Head<'_>, width: f32, letters: &Letters) -> Part {
    let mut title = Piece::new(Role::Heading(1, head.title.to_owned()));
    let room = Room {
        width,
        height: 24.0,
        most: 20.0,
        least: 9.0,
    };
    let fitted = letters.fit(Face::Bold, room, head.title);
    let mut y = fitted.size * CAPITAL;
    for line in &fitted.lines {
        title.words((0.0, y), Face::Bold, fitted.size, line);
        y += fitted.size * LINE;
    }
    let mut under = Piece::new(Role::Words);
    let room = Room {
        width,
        height: 10.0,
        most: 10.0,
        least: 7.0,
    };
    let fitted = letters.fit(Face::Text, room, head.under);
    if let Some(line) = fitted.lines.first() {
        under.words((0.0, HEAD - 14.0), Face::Text, fitted.size, line);
    }
    Part {
        height: HEAD,
        pieces: vec![title, under],
        bookmark: Some("Capos".into()),
    }
}

fn row_part(played: &Played<'_>, width: f32, row: f32, figures: &str, letters: &Letters) -> Part {
    let mut rule = Piece::new(Role::Furniture);
    rule.line((0.0, 0.0), (width, 0.0), 0.5, Ink::Grey);
    let high = row * 0.86;
    let wide = high * 1.12;
    let top = row * 0.07;
    let mut words = Piece::new(Role::Words);

    let number = played.number.to_string();
    let title_size = row * 0.32;
    let figures_size = title_size.min(40.0);
    let column = letters.width(Face::Bold, figures_size, figures);
    let left = wide + row * 0.16;
    let begin = left + column + row * 0.12;
    let room = Room {
        width: width - begin,
        height: row * 0.46,
        most: title_size,
        least: row * 0.13,
    };
    let title = letters.fit(Face::Bold, room, &played.song.title);
    let line = title.size * LINE;
    let block = title.size * CAPITAL + line * (title.lines.len() - 1) as f32;
    // The title stands in the middle of the upper part, which is a little more than half.
    let first = top + (row * 0.46 - block) / 2.0 + title.size * CAPITAL;
    let number_size = figures_size.min(title.size * 1.0);
    let x = left + column - letters.width(Face::Bold, number_size, &number);
    words.words((x, first), Face::Bold, number_size, &number);
    for (place, line_words) in title.lines.iter().enumerate() {
        words.words((begin, first + line * place as f32), Face::Bold, title.size, line_words);
    }
    badge::draw(&mut words, (0.0, top), (wide, high), played, letters);
    setting(&mut words, played, (begin, width, top + high), row, letters);
    Part {
        height: row,
        pieces: vec![rule, words],
        bookmark: None,
    }
}

/// Shapes and key at the left, the way of the capo at the right, on the row's last line.
fn setting(
    words: &mut Piece,
    played: &Played<'_>,
    (begin, width, bottom): (f32, f32, f32),
    row: f32,
    letters: &Letters,
) {
    let way = played.way_words();
    let way_size = letters.shrunk(Face::Bold, row * LINE_OF_ROW, (width - begin) * 0.4, &way);
    let way_wide = letters.width(Face::Bold, way_size, &way);
    let apart = if way.is_empty() { 0.0 } else { row * 0.15 };
    let room = width - begin - way_wide - apart;
    let (size, lines) = setting_fitted(played, room, row, letters);
    let last = bottom - row * 0.04;
    // The last stands on the row's last line, and they are read from the first on.
    let mut y = last - size * LINE * lines.len().saturating_sub(1) as f32;
    for setting in &lines {
        words.words((begin, y), Face::Text, size, setting);
        y += size * LINE;
    }
    if let Some(hurry) = played.hurry() {
        let size = letters.shrunk(Face::Bold, way_size * 0.7, way_wide, &hurry);
        let left = width - letters.width(Face::Bold, size, &hurry);
        words.words((left, last - way_size * LINE), Face::Bold, size, &hurry);
    }
    words.words((width - way_wide, last), Face::Bold, way_size, &way);
}

/// Shapes and keys in the lines in which they are largest.
fn setting_fitted(played: &Played<'_>, width: f32, row: f32, letters: &Letters) -> (f32, Vec<String>) {
    let (most, height) = (row * LINE_OF_ROW, row * 0.42);
    let settings: Vec<String> = played.settings().collect();
    let whole = |lines: Vec<String>| {
        let most = most.min(height / (lines.len() as f32 * LINE));
        let sizes = lines.iter().map(|line| letters.shrunk(Face::Text, most, width, line));
        (sizes.fold(most, f32::min), lines)
    };
    let halves = settings.iter().flat_map(|setting| setting.split(", "));
    let halves = whole(halves.map(str::to_owned).collect());
    let room = Room {
        width,
        height,
        most,
        least: row * 0.05,
    };
    let joined = letters.fit(Face::Text, room, &settings.join(" · "));
    let candidates = [whole(settings), halves, (joined.size, joined.lines)].into_iter();
    candidates
        .reduce(|best, other| if other.0 > best.0 { other } else { best })
        .unwrap_or_default()
}
