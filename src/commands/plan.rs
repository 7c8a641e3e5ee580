//! `plan`: the capo plan as a table with its reasons, as JSON, or written into the set as pins.

use super::load::{Loaded, load};
use super::{Outcome, Status, pins};
use crate::plan::{Cost, Planned, explain, family_of, keys_of};
use crate::setlist::SongId;
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;
use unicode_width::UnicodeWidthStr;

#[derive(clap::Args)]
pub(crate) struct Args {
    /// The set file
    set: PathBuf,
    /// The player's file
    #[arg(long, value_name = "FILE")]
    player: Option<PathBuf>,
    /// Print the plan as JSON
    #[arg(long)]
    json: bool,
    /// Pin the plan in the set file, keeping all else in it as it is
    #[arg(long)]
    write: bool,
}

pub(crate) fn run(args: &Args, out: &mut impl Write) -> Outcome {
    let Loaded { planned, .. } = load(&args.set, args.player.as_deref())?;
    if args.write {
        pins::write(&args.set, args.player.as_deref(), &planned)?;
    }
    if args.json {
        serde_json::to_writer(&mut *out, &Answer::new(&planned)).map_err(std::io::Error::from)?;
        writeln!(out)?;
    } else {
        table(&planned, out)?;
        reasons(&planned, out)?;
    }
    Ok(Status::Fine)
}

/// The table that is read at a glance: a row a song, for each player the fret, the shapes and the move.
fn table(planned: &Planned, out: &mut impl Write) -> std::io::Result<()> {
    let set = &planned.set;
    let mut rows = vec![vec!["".to_owned(), "song".into(), "key".into()]];
    for player in &set.players {
        rows[0].extend([player.called().to_owned(), String::new(), String::new()]);
    }
    for id in set.song_ids() {
        let song = set.song(id);
        let mut row = vec![id.number().to_string(), song.title.clone(), keys(planned, id)];
        for player in 0..set.players.len() {
            let shapes: Vec<&str> = shapes(planned, id, player)
                .map(|shapes| shapes.unwrap_or("no"))
                .collect();
            let fret = planned.plan.fret(id, player).number();
            let capo = if fret == 0 {
                "no capo".into()
            } else {
                format!("capo {fret}")
            };
            row.extend([capo, format!("{} shapes", shapes.join("/")), moves(planned, id, player)]);
        }
        rows.push(row);
    }
    let widths: Vec<usize> = (0..rows[0].len())
        .map(|column| rows.iter().map(|row| row[column].width()).max().unwrap_or(0))
        .collect();
    for row in rows {
        let cells = row
            .iter()
            .zip(&widths)
            .map(|(cell, width)| format!("{cell}{}", " ".repeat(width - cell.width())));
        writeln!(out, "{}", cells.collect::<Vec<_>>().join("  ").trim_end())?;
    }
    writeln!(out)
}

fn keys(planned: &Planned, id: SongId) -> String {
    keys_of(&planned.set, id)
        .iter()
        .map(|key| key.to_string())
        .collect::<Vec<_>>()
        .join(", ")
}

fn shapes(planned: &Planned, id: SongId, player: usize) -> impl Iterator<Item = Option<&'static str>> {
    let (families, fret) = (&planned.set.players[player].shapes, planned.plan.fret(id, player));
    let keys = keys_of(&planned.set, id).into_iter();
    keys.map(move |key| family_of(families, fret, key.key()).map(|family| family.letter()))
}

/// How the capo gets there from the song before.
fn moves(planned: &Planned, id: SongId, player: usize) -> String {
    let Some(before) = planned.set.song_before(id) else {
        return String::new();
    };
    let was = planned.plan.fret(before, player).number();
    match (was, planned.plan.fret(id, player).number()) {
        (was, is) if was == is => "stay".into(),
        (0, _) => "put on".into(),
        (_, 0) => "take off".into(),
        (was, is) if is > was => format!("up {}", is - was),
        (was, is) => format!("down {}", was - is),
    }
}

fn reasons(planned: &Planned, out: &mut impl Write) -> std::io::Result<()> {
    let set = &planned.set;
    for id in set.song_ids() {
        writeln!(out, "{} {}", id.number(), set.song(id).title)?;
        for (index, player) in set.players.iter().enumerate() {
            writeln!(
                out,
                "  {}: {}",
                player.called(),
                explain(planned, id, index).sentence(planned, id)
            )?;
        }
    }
    writeln!(out)?;
    for (player, toil) in set.players.iter().zip(&planned.plan.toil) {
        let moves = if toil.moves == 1 {
            "1 capo move".into()
        } else {
            format!("{} capo moves", toil.moves)
        };
        writeln!(out, "{}: {moves}, {} frets in all", player.called(), toil.frets)?;
    }
    let Cost {
        unplayable,
        clashes,
        rushed,
        ..
    } = planned.plan.cost;
    for (count, what) in [
        (unplayable, "without shapes for a key"),
        (clashes, "with the same shapes"),
        (rushed, "moved in too short a gap"),
    ] {
        if count > 0 {
            writeln!(out, "{count} {what}: see `footlights check`")?;
        }
    }
    Ok(())
}

/// The whole answer as JSON.
#[derive(Serialize)]
struct Answer<'a> {
    set: &'a str,
    cost: CostAnswer,
    players: Vec<PlayerAnswer<'a>>,
    songs: Vec<SongAnswer<'a>>,
}

#[derive(Serialize)]
struct CostAnswer {
    unplayable: u64,
    clashes: u64,
    rushed: u64,
    effort: u64,
}

#[derive(Serialize)]
struct PlayerAnswer<'a> {
    name: &'a str,
    moves: u64,
    frets: u64,
    dislikes: u64,
    dulls: u64,
}

#[derive(Serialize)]
struct SongAnswer<'a> {
    song: usize,
    title: &'a str,
    keys: Vec<String>,
    players: Vec<ChoiceAnswer<'a>>,
}

#[derive(Serialize)]
struct ChoiceAnswer<'a> {
    name: &'a str,
    fret: u8,
    shapes: Vec<Option<&'static str>>,
    r#move: i8,
    why: String,
}

impl<'a> Answer<'a> {
    fn new(planned: &'a Planned) -> Answer<'a> {
        let set = &planned.set;
        let Cost {
            unplayable,
            clashes,
            rushed,
            effort,
        } = planned.plan.cost;
        let players = set
            .players
            .iter()
            .zip(&planned.plan.toil)
            .map(|(player, toil)| PlayerAnswer {
                name: &player.name,
                moves: toil.moves,
                frets: toil.frets,
                dislikes: toil.dislikes,
                dulls: toil.dulls,
            });
        Answer {
            set: &set.name,
            cost: CostAnswer {
                unplayable,
                clashes,
                rushed,
                effort,
            },
            players: players.collect(),
            songs: set.song_ids().map(|id| SongAnswer::new(planned, id)).collect(),
        }
    }
}

impl<'a> SongAnswer<'a> {
    fn new(planned: &'a Planned, id: SongId) -> SongAnswer<'a> {
        let set = &planned.set;
        let players = set.players.iter().enumerate().map(|(index, player)| ChoiceAnswer {
            name: &player.name,
            fret: planned.plan.fret(id, index).number(),
            shapes: shapes(planned, id, index).collect(),
            r#move: planned.plan.move_into(set, id, index),
            why: explain(planned, id, index).sentence(planned, id),
        });
        SongAnswer {
            song: id.number(),
            title: &set.song(id).title,
            keys: keys_of(set, id).iter().map(|key| key.key().to_string()).collect(),
            players: players.collect(),
        }
    }
}
