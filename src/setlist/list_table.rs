//! A leader's list that is a table: columns under a heading that names them.

use crate::setlist::decode::tidy;
use crate::setlist::list_line::SongLine;
use crate::setlist::list_parts::without_links;
use crate::setlist::list_words::all;

/// What the columns are, and what parts them.
#[derive(Clone, Debug)]
pub(super) struct Table {
    parted: Parted,
    columns: Vec<Column>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Parted {
    By(char),
    Blanks,
    Dashes,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Column {
    Title,
    /// A key, a tempo or a meter: what is said shows which.
    Data,
    Note,
    /// The place in the list.
    Place,
    Other,
}

/// A song of the table, and what its columns of notes say.
pub(super) struct Row {
    pub(super) song: SongLine,
    pub(super) notes: Vec<String>,
}

const NAMES: [(Column, &[&str]); 4] = [
    (
        Column::Title,
        &["title", "song", "songs", "name", "tune", "song title", "song name"],
    ),
    (
        Column::Data,
        &[
            "key",
            "our key",
            "tempo",
            "bpm",
            "speed",
            "tempo (bpm)",
            "meter",
            "metre",
            "time",
            "time signature",
            "time sig",
            "time sig.",
            "signature",
        ],
    ),
    (
        Column::Note,
        &["note", "notes", "comment", "comments", "remark", "remarks"],
    ),
    (
        Column::Place,
        &[
            "", "#", "no", "no.", "nr", "nr.", "number", "order", "position", "pos", "pos.",
        ],
    ),
];
const PARTED: [Parted; 6] = [
    Parted::By('\t'),
    Parted::By('|'),
    Parted::By(';'),
    Parted::By(','),
    Parted::Blanks,
    Parted::Dashes,
];

impl Table {
    /// A table whose columns this line names: a title, something that it says of a song, and little else.
    pub(super) fn of_heading(line: &str) -> Option<Table> {
        PARTED.into_iter().find_map(|parted| {
            let columns: Vec<Column> = parted.cells(line).iter().map(|cell| column(cell)).collect();
            let has = |wanted: Column| columns.contains(&wanted);
            (has(Column::Title) && has(Column::Data)).then_some(Table { parted, columns })
        })
    }

    /// A line of the table; none where it has one cell alone, or more than the heading.
    pub(super) fn row(&self, line: &str) -> Option<Row> {
        let mut cells = self.parted.cells(line);
        while cells.len() > self.columns.len() && cells.last().is_some_and(String::is_empty) {
            cells.pop();
        }
        if cells.len() < 2 || cells.len() > self.columns.len() {
            return None;
        }
        let mut row = Row {
            song: SongLine::default(),
            notes: Vec::new(),
        };
        let full = self.columns.iter().zip(cells);
        for (column, cell) in full.filter(|(_, cell)| !matches!(cell.as_str(), "" | "-" | "–" | "—")) {
            row.take(*column, cell);
        }
        Some(row)
    }
}

impl Row {
    fn take(&mut self, column: Column, cell: String) {
        let song = &mut self.song;
        let (cell, links) = without_links(&cell);
        song.links.extend(links);
        let cell = tidy(&cell);
        if cell.is_empty() {
            return;
        }
        match column {
            Column::Title if song.title.is_empty() => song.title = cell,
            Column::Place => {}
            Column::Note => self.notes.push(cell),
            Column::Data => {
                let said = all(&cell).unwrap_or_default();
                let taken = said.iter().filter(|(says, _)| song.take(says.clone())).count();
                if taken == 0 || taken < said.len() {
                    song.unread.push(cell);
                }
            }
            Column::Title | Column::Other => song.unread.push(cell),
        }
    }
}

fn column(name: &str) -> Column {
    let name = name.to_lowercase();
    let known = NAMES.iter().find(|(_, names)| names.contains(&name.as_str()));
    known.map_or(Column::Other, |(column, _)| *column)
}

impl Parted {
    /// The cells of a line, without quotation marks; those at a table's drawn edges are none.
    fn cells(self, line: &str) -> Vec<String> {
        match self {
            Parted::By('|') => {
                let line = line.trim();
                let line = line.strip_prefix('|').unwrap_or(line);
                let line = line.strip_suffix('|').unwrap_or(line);
                line.split('|').map(tidy).collect()
            }
            Parted::By(sign) => quoted_cells(line, sign),
            Parted::Blanks => {
                let cells = line.trim().split("  ").map(tidy);
                cells.filter(|cell| !cell.is_empty()).collect()
            }
            Parted::Dashes => line.replace(['–', '—'], "-").split(" - ").map(tidy).collect(),
        }
    }
}

/// Source: RFC 4180, section 2: cells in quotation marks hold the sign, and a mark doubled is one of the text.
fn quoted_cells(line: &str, sign: char) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut is_inside = false;
    let mut letters = line.chars().peekable();
    while let Some(letter) = letters.next() {
        let cell = cells.last_mut();
        match (letter, cell) {
            ('"', Some(cell)) if is_inside && letters.peek() == Some(&'"') => {
                letters.next();
                cell.push('"');
            }
            ('"', Some(cell)) if is_inside || cell.trim().is_empty() => is_inside = !is_inside,
            (letter, _) if letter == sign && !is_inside => cells.push(String::new()),
            (letter, Some(cell)) => cell.push(letter),
            (_, None) => {}
        }
    }
    cells.iter().map(|cell| tidy(cell)).collect()
}
