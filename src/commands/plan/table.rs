//! The plan as text: a table that is read at a glance, what it costs, and the reasons.

use crate::plan::{Planned, family_of, keys_of, reasons};
use crate::setlist::SongId;
use std::io::{self, Write};
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// The width of a plain terminal: the table and the reasons fit it where the titles allow.
const COLUMNS: usize = 80;
/// A title is cut to this where the table would else be too wide.
const TITLE: usize = 28;
/// What is counted, in a player's words.
const MEANINGS: &str = "
Frets are counted from the nut, dislikes down the player's list of shapes, and
dulls where a chord has fewer than two open strings. Clashes are two players at
one fret, rushed a move in too short a gap; effort is the four figures weighed.
";
/// Stands at a move for which the time is too short.
const RUSHED: &str = "!";
/// Stands at a fret that another player has too.
const SAME: &str = "=";

pub(super) fn write(planned: &Planned, out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "{}\n", planned.set.name)?;
    let songs: Vec<Row> = planned.set.song_ids().map(|id| Row::new(planned, id)).collect();
    if !write_wide(planned, &songs, usize::MAX, out)? && !write_wide(planned, &songs, TITLE, out)? {
        write_narrow(planned, &songs, out)?;
    }
    write_marks(planned, &songs, out)?;
    write_totals(planned, out)?;
    write_reasons(planned, out)
}

/// A song as the table shows it.
struct Row {
    number: String,
    title: String,
    keys: String,
    /// By player: the capo, the shapes, the move.
    cells: Vec<[String; 3]>,
}

impl Row {
    fn new(planned: &Planned, id: SongId) -> Row {
        let set = &planned.set;
        let keys: Vec<String> = keys_of(set, id)
            .iter()
            .map(|key| key.key().signs().to_string())
            .collect();
        let cell = |player| {
            [
                capo(planned, id, player),
                shapes(planned, id, player),
                way(planned, id, player),
            ]
        };
        Row {
            number: id.number().to_string(),
            title: set.song(id).title.clone(),
            keys: keys.join(", "),
            cells: (0..set.players.len()).map(cell).collect(),
        }
    }
}

/// `capo 3`, marked where another player is there too.
fn capo(planned: &Planned, id: SongId, player: usize) -> String {
    let fret = planned.plan.fret(id, player);
    let others = (0..planned.set.players.len()).filter(|&other| other != player);
    let same = others.filter(|&other| planned.plan.fret(id, other) == fret).count() > 0;
    let mark = if same { SAME } else { "" };
    match fret.number() {
        0 => format!("no capo{mark}"),
        fret => format!("capo {fret}{mark}"),
    }
}

/// The shapes for each of the song's keys: `G`, `G, A`, a dash where there are none.
fn shapes(planned: &Planned, id: SongId, player: usize) -> String {
    let (families, fret) = (&planned.set.players[player].shapes, planned.plan.fret(id, player));
    let keys = keys_of(&planned.set, id).into_iter();
    let shapes = keys.map(|key| family_of(families, fret, key.key()).map_or("-", |family| family.letter()));
    shapes.collect::<Vec<_>>().join(", ")
}

/// How the capo gets there from the song before, marked where the time for it is too short.
fn way(planned: &Planned, id: SongId, player: usize) -> String {
    let set = &planned.set;
    let (fret, moves) = (
        planned.plan.fret(id, player),
        planned.plan.move_into(set, id, player) != 0,
    );
    let short = set.song(id).gap < set.players[player].seconds_to_move;
    let mark = if moves && short { RUSHED } else { "" };
    let before = set.song_before(id).map(|before| planned.plan.fret(before, player));
    before.map_or_else(String::new, |before| format!("{}{mark}", fret.way_from(before)))
}

/// One line a song, with titles no wider than `title`; nothing, and false, where that is too wide.
fn write_wide(planned: &Planned, songs: &[Row], title: usize, out: &mut impl Write) -> io::Result<bool> {
    let players = planned.set.players.iter().enumerate();
    let players: Vec<Vec<String>> = players
        .map(|(index, player)| {
            let cells = songs.iter().map(|row| row.cells[index].to_vec());
            let cells = aligned(&cells.collect::<Vec<_>>(), 1);
            std::iter::once(player.called().to_owned()).chain(cells).collect()
        })
        .collect();
    let head = ["", "song", "key"].map(str::to_owned);
    let songs = songs
        .iter()
        .map(|row| [row.number.clone(), cut(&row.title, title), row.keys.clone()]);
    let lines = std::iter::once(head).chain(songs).enumerate();
    let lines = lines.map(|(line, song)| {
        let cells = players.iter().map(|cells| cells[line].clone());
        song.into_iter().chain(cells).collect()
    });
    let text = aligned(&lines.collect::<Vec<_>>(), 2);
    let fits = text.iter().all(|line| line.width() <= COLUMNS);
    if fits {
        text.iter().try_for_each(|line| writeln!(out, "{line}"))?;
    }
    Ok(fits)
}

/// A line a song and below it one a player.
fn write_narrow(planned: &Planned, songs: &[Row], out: &mut impl Write) -> io::Result<()> {
    let heads = songs
        .iter()
        .map(|row| [&row.number, &row.title, &row.keys].map(Clone::clone).to_vec());
    let players = &planned.set.players;
    let cells = songs.iter().flat_map(|row| players.iter().zip(&row.cells));
    let cells = cells.map(|(player, cell)| {
        std::iter::once(player.called().to_owned())
            .chain(cell.clone())
            .collect()
    });
    let heads = aligned(&heads.collect::<Vec<_>>(), 2);
    let cells = aligned(&cells.collect::<Vec<_>>(), 2);
    for (head, cells) in heads.iter().zip(cells.chunks(players.len())) {
        writeln!(out, "{head}")?;
        cells.iter().try_for_each(|cell| writeln!(out, "     {cell}"))?;
    }
    Ok(())
}

/// The text as it is, or its beginning with an ellipsis, no wider than this.
fn cut(text: &str, widest: usize) -> String {
    if text.width() <= widest {
        return text.to_owned();
    }
    let mut short = String::new();
    for letter in text.chars() {
        if short.width() + letter.width().unwrap_or(0) >= widest {
            break;
        }
        short.push(letter);
    }
    short.truncate(short.trim_end().len());
    short + "…"
}

/// Lines whose columns stand below one another, so many blanks apart.
fn aligned(lines: &[Vec<String>], apart: usize) -> Vec<String> {
    let columns = lines.first().map_or(0, Vec::len);
    let width = |column: usize| lines.iter().map(|line| line[column].width()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..columns).map(width).collect();
    let padded = |line: &Vec<String>| {
        let cells = line.iter().zip(&widths);
        let cells = cells.map(|(cell, width)| format!("{cell}{}", " ".repeat(width - cell.width())));
        let line = cells.collect::<Vec<_>>().join(&" ".repeat(apart));
        line.trim_end().to_owned()
    };
    lines.iter().map(padded).collect()
}

/// What the marks mean, and which keys were asked for by another name, where there are any.
fn write_marks(planned: &Planned, songs: &[Row], out: &mut impl Write) -> io::Result<()> {
    let cost = planned.plan.cost;
    let missing = songs
        .iter()
        .flat_map(|row| &row.cells)
        .any(|cell| cell[1].contains('-'));
    let marks = [
        (missing, "-", "no shapes for that key there"),
        (cost.clashes > 0, SAME, "the same fret as another player"),
        (cost.rushed > 0, RUSHED, "a move in a gap that is too short for it"),
    ];
    let mut told: Vec<String> = marks
        .into_iter()
        .filter(|(is, ..)| *is)
        .map(|(_, mark, meaning)| format!("{mark}  {meaning}"))
        .collect();
    for id in planned.set.song_ids() {
        let keys = keys_of(&planned.set, id).into_iter();
        told.extend(
            keys.filter(|key| key.is_respelled())
                .map(|key| format!("{}  {key}", id.number())),
        );
    }
    if !told.is_empty() {
        writeln!(out)?;
    }
    told.iter().try_for_each(|line| writeln!(out, "{line}"))
}

fn write_totals(planned: &Planned, out: &mut impl Write) -> io::Result<()> {
    let cost = planned.plan.cost;
    let mut lines = vec![["", "moves", "frets", "dislikes", "dulls"].map(str::to_owned).to_vec()];
    for (player, toil) in planned.set.players.iter().zip(&planned.plan.toil) {
        let figures = [toil.moves, toil.frets, toil.dislikes, toil.dulls].map(|figure| figure.to_string());
        lines.push(std::iter::once(player.called().to_owned()).chain(figures).collect());
    }
    writeln!(out)?;
    aligned(&lines, 2).iter().try_for_each(|line| writeln!(out, "{line}"))?;
    writeln!(
        out,
        "\nCost: {} unplayable, {} clashes, {} rushed, effort {}",
        cost.unplayable, cost.clashes, cost.rushed, cost.effort
    )?;
    out.write_all(MEANINGS.as_bytes())
}

fn write_reasons(planned: &Planned, out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "\nWhy")?;
    for (id, whys) in reasons(planned) {
        writeln!(out, "{}  {}", id.number(), planned.set.song(id).title)?;
        for (player, why) in planned.set.players.iter().zip(whys) {
            write_wrapped(&format!("{}: {}.", player.called(), why.sentence(planned, id)), out)?;
        }
    }
    Ok(())
}

/// Words in lines of the terminal's width, those after the first further in.
fn write_wrapped(text: &str, out: &mut impl Write) -> io::Result<()> {
    let mut line = " ".repeat(3);
    for word in text.split(' ') {
        if line.width() + 1 + word.width() > COLUMNS {
            writeln!(out, "{line}")?;
            line = " ".repeat(5);
        }
        line.push(' ');
        line.push_str(word);
    }
    writeln!(out, "{line}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::planned;

    fn printed(players: &str, songs: &str) -> String {
        let planned = planned(&format!("set: Millpond\nplayers: {players}\nsongs:\n{songs}"));
        let mut out = Vec::new();
        write(&planned, &mut out).unwrap();
        String::from_utf8(out).unwrap()
    }

    /// Up to the totals.
    #[track_caller]
    fn check(players: &str, songs: &str, wanted: &[&str]) {
        let printed = printed(players, songs);
        let table = printed.split("moves  frets").next().unwrap().trim_end();
        assert_eq!(table.lines().collect::<Vec<_>>(), wanted, "{printed}");
    }

    #[test]
    fn the_table_tells_capo_shapes_and_move_at_a_glance() {
        check(
            "[ { name: Wren, shapes: [G] }, { name: Sam, shapes: [C, E] } ]",
            "- { song: Reeds, key: Bb }\n- { song: Ferry, key: G, gap: 3 }\n- { song: Lamps, key: B#, gap: 10 }\n\
             - { song: Gate, key: A, sections: { A: { key: G } } }\n",
            &[
                "Millpond",
                "",
                "   song   key   Wren                    Sam",
                "1  Reeds  B♭    capo 3  G               no capo -",
                "2  Ferry  G     no capo G    take off!  capo 3  E    put on!",
                "3  Lamps  C     capo 1  -    put on     no capo C    take off",
                "4  Gate   A, G  no capo -, G take off   capo 3  -, E put on",
                "",
                "-  no shapes for that key there",
                "!  a move in a gap that is too short for it",
                "3  C (asked for as B♯)",
            ],
        );
    }

    #[test]
    fn a_long_title_is_cut_before_the_table_is_folded() {
        let long = "The miller's daughter counts the lanterns on the water until they are all out at last";
        check(
            "[ { name: Wren }, { name: Sam } ]",
            &format!("- {{ song: {long}, key: G }}\n- {{ song: Reeds, key: A }}\n"),
            &[
                "Millpond",
                "",
                "   song                          key  Wren            Sam",
                "1  The miller's daughter count…  G    no capo G       capo 3 E",
                "2  Reeds                         A    no capo A stay  capo 2 G down 1",
            ],
        );
    }

    #[test]
    fn no_word_of_a_file_moves_the_cursor() {
        let songs = "- { song: \"Ree\\nds \\e[31m\", key: G, note: \"\\u0007\" }\n";
        let printed = printed("[ { name: \"Wr\\een\" } ]", songs);
        let controls = printed.chars().filter(|letter| letter.is_control() && *letter != '\n');
        assert_eq!(controls.count(), 0, "{printed:?}");
        assert!(printed.contains("\n1  Ree ds \u{fffd}[31m  G "), "{printed}");
    }

    #[test]
    fn a_band_too_large_for_a_line_has_a_line_each() {
        check(
            "[ { name: Wren }, { name: Sam }, { name: Lark }, { name: Finch } ]",
            "- { song: Reeds, key: G }\n- { song: Ferry, key: A }\n",
            &[
                "Millpond",
                "",
                "1  Reeds  G",
                "     Wren   no capo=  G",
                "     Sam    no capo=  G",
                "     Lark   capo 3=   E",
                "     Finch  capo 3=   E",
                "2  Ferry  A",
                "     Wren   no capo=  A  stay",
                "     Sam    no capo=  A  stay",
                "     Lark   capo 2=   G  down 1",
                "     Finch  capo 2=   G  down 1",
                "",
                "=  the same fret as another player",
            ],
        );
    }
}
