//! The plan as JSON: written song by song, so that a long set needs no more memory than a short one.

use crate::plan::{Cost, Planned, Why, family_of, keys_of, reasons};
use crate::setlist::SongId;
use serde::Serialize;
use std::io::{self, Write};

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
    /// One for each of the song's keys.
    shapes: Vec<Option<&'static str>>,
    r#move: i8,
    why: String,
}

/// Writes the whole answer and a line's end.
pub(super) fn write(planned: &Planned, out: &mut impl Write) -> io::Result<()> {
    write!(out, "{{\"set\":")?;
    serde_json::to_writer(&mut *out, &planned.set.name)?;
    write!(out, ",\"cost\":")?;
    serde_json::to_writer(&mut *out, &cost(planned.plan.cost))?;
    write!(out, ",\"players\":")?;
    serde_json::to_writer(&mut *out, &players(planned))?;
    write!(out, ",\"songs\":[")?;
    for (id, whys) in reasons(planned) {
        if id != planned.set.first_song() {
            write!(out, ",")?;
        }
        serde_json::to_writer(&mut *out, &SongAnswer::new(planned, id, &whys))?;
    }
    writeln!(out, "]}}")
}

fn cost(cost: Cost) -> CostAnswer {
    CostAnswer {
        unplayable: cost.unplayable,
        clashes: cost.clashes,
        rushed: cost.rushed,
        effort: cost.effort,
    }
}

fn players(planned: &Planned) -> Vec<PlayerAnswer<'_>> {
    let players = planned.set.players.iter().zip(&planned.plan.toil);
    let answer = players.map(|(player, toil)| PlayerAnswer {
        name: &player.name,
        moves: toil.moves,
        frets: toil.frets,
        dislikes: toil.dislikes,
        dulls: toil.dulls,
    });
    answer.collect()
}

impl<'a> SongAnswer<'a> {
    fn new(planned: &'a Planned, id: SongId, whys: &[Why]) -> SongAnswer<'a> {
        let set = &planned.set;
        let keys = keys_of(set, id);
        let shapes = |player: usize| {
            let (families, fret) = (&set.players[player].shapes, planned.plan.fret(id, player));
            let shapes = keys.iter().map(move |key| family_of(families, fret, key.key()));
            shapes.map(|shapes| shapes.map(|family| family.letter())).collect()
        };
        let players = set.players.iter().zip(whys).enumerate();
        let players = players.map(|(index, (player, why))| ChoiceAnswer {
            name: &player.name,
            fret: planned.plan.fret(id, index).number(),
            shapes: shapes(index),
            r#move: planned.plan.move_into(set, id, index),
            why: why.sentence(planned, id),
        });
        SongAnswer {
            song: id.number(),
            title: &set.song(id).title,
            players: players.collect(),
            keys: keys.iter().map(|key| key.key().to_string()).collect(),
        }
    }
}
