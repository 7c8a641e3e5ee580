//! Why a player has a fret in a song: what was taken, what came second, and which cost decided, as values.
//!
//! The second best is the best other fret for that player in that song, all else staying as planned.

use crate::music::{Chord, Family, Fret, Heard};
use crate::plan::figures::{DullCache, Figures, Heart, allowed, fingered};
use crate::plan::score::Cost;
use crate::plan::{Planned, family_of};
use crate::setlist::{Player, SongId};

/// A fret, and the family that it gives in the song's own key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Choice {
    pub fret: Fret,
    pub shapes: Option<Family>,
}

/// Why a fret was taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Why {
    pub taken: Choice,
    /// None where there was nothing else to take.
    pub second: Option<Choice>,
    pub deciding: Deciding,
}

/// What spoke for the fret that was taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Deciding {
    /// The set pins it.
    Pinned,
    /// The player's highest fret leaves no other.
    OnlyFret,
    /// So many more of the song's keys can be played.
    MoreKeys(u64),
    /// The second best is where these players (places in the set's players) are.
    Apart(Vec<usize>),
    /// So many moves fewer in gaps that are too short.
    FewerRushed(u64),
    FewerMoves(u64),
    /// So many frets lower on the neck.
    Lower(u64),
    /// The family is liked better.
    Liked,
    /// So many more open strings, for these chords by number.
    Rings {
        strings: u64,
        chords: Vec<String>,
    },
    /// As good: the lower fret is taken.
    AsGood,
}

/// What one fret costs, all else staying as planned.
struct Weighed {
    fret: Fret,
    cost: Cost,
    moves: u64,
    figures: Figures,
}

/// Why `player` (a place in the set's players) has the planned fret in `song`.
pub fn explain(planned: &Planned, song: SongId, player: usize) -> Why {
    let set = &planned.set;
    let who = &set.players[player];
    let pin = set.song(song).pins[player];
    let fret = planned.plan.fret(song, player);
    let choice = |fret| Choice {
        fret,
        shapes: family_of(&who.shapes, fret, set.song(song).key.key()),
    };
    let mut cache = DullCache::default();
    let heart = Heart::new(set, song, 0, &mut cache);
    let others = allowed(who, set.song(song), None).filter(|&other| other != fret);
    let second = others
        .map(|other| weigh(planned, song, player, &heart, other))
        .min_by_key(|other| other.cost);
    let deciding = match &second {
        _ if pin.is_some() => Deciding::Pinned,
        None => Deciding::OnlyFret,
        Some(second) => {
            let taken = weigh(planned, song, player, &heart, fret);
            decide(planned, song, player, &taken, second, &mut cache)
        }
    };
    Why {
        taken: choice(fret),
        second: second.map(|second| choice(second.fret)),
        deciding,
    }
}

fn weigh(planned: &Planned, song: SongId, player: usize, heart: &Heart, fret: Fret) -> Weighed {
    let set = &planned.set;
    let who = &set.players[player];
    let before = set
        .song_before(song)
        .map(|before| (planned.plan.fret(before, player), song));
    let after = set
        .song_after(song)
        .map(|after| (planned.plan.fret(after, player), after));
    let moves = [before, after]
        .into_iter()
        .flatten()
        .filter(|(other, _)| *other != fret);
    let rushed = moves
        .clone()
        .filter(|(_, into)| set.song(*into).gap < who.seconds_to_move)
        .count() as u64;
    let moves = moves.count() as u64;
    let figures = Figures::new(who, heart, fret);
    let cost = Cost {
        unplayable: figures.unplayable,
        clashes: players_at(planned, song, player, fret).len() as u64,
        rushed,
        effort: figures.effort(who) + moves * u64::from(who.weights.r#move),
    };
    Weighed {
        fret,
        cost,
        moves,
        figures,
    }
}

/// The other players who are at `fret` in this song.
fn players_at(planned: &Planned, song: SongId, player: usize, fret: Fret) -> Vec<usize> {
    let others = (0..planned.set.players.len()).filter(|&other| other != player);
    others.filter(|&other| planned.plan.fret(song, other) == fret).collect()
}

fn decide(
    planned: &Planned,
    song: SongId,
    player: usize,
    taken: &Weighed,
    second: &Weighed,
    cache: &mut DullCache,
) -> Deciding {
    let (less, more) = (taken.cost, second.cost);
    if less.unplayable != more.unplayable {
        return Deciding::MoreKeys(more.unplayable - less.unplayable);
    }
    if less.clashes != more.clashes {
        return Deciding::Apart(players_at(planned, song, player, second.fret));
    }
    if less.rushed != more.rushed {
        return Deciding::FewerRushed(more.rushed - less.rushed);
    }
    if less.effort == more.effort {
        return Deciding::AsGood;
    }
    heaviest(&planned.set.players[player], taken, second, || {
        ringing(planned, song, taken.fret, second.fret, cache)
    })
}

/// The part of the effort that speaks loudest for what was taken.
fn heaviest(who: &Player, taken: &Weighed, second: &Weighed, ringing: impl FnOnce() -> (u64, Vec<String>)) -> Deciding {
    let saved = |part: fn(&Weighed) -> u64, weight: u16| {
        let count = part(second).saturating_sub(part(taken));
        (count * u64::from(weight), count)
    };
    let moves = saved(|weighed| weighed.moves, who.weights.r#move);
    let frets = saved(|weighed| weighed.figures.frets, who.weights.fret);
    let likes = saved(|weighed| weighed.figures.dislikes, who.weights.dislike);
    let dulls = saved(|weighed| weighed.figures.dulls, who.weights.dull);
    let most = [moves.0, frets.0, likes.0, dulls.0].into_iter().max().unwrap_or(0);
    if dulls.0 == most {
        let (strings, chords) = ringing();
        Deciding::Rings { strings, chords }
    } else if moves.0 == most {
        Deciding::FewerMoves(moves.1)
    } else if likes.0 == most {
        Deciding::Liked
    } else {
        Deciding::Lower(frets.1)
    }
}

/// How many more open strings the song's chords have at `fret` than at `second`, and which chords have them.
fn ringing(planned: &Planned, id: SongId, fret: Fret, second: Fret, cache: &mut DullCache) -> (u64, Vec<String>) {
    let set = &planned.set;
    let mut seen: Vec<Heard> = Vec::new();
    let mut strings = 0;
    let mut chords = Vec::new();
    for section in set.steps(id).map(|step| set.section(step)) {
        let key = section.key.key();
        for chord in section.chords.distinct() {
            let heard = Chord::heard(chord.on(key.relative_major().tonic()));
            if heard.quality.tones().len() < 3 || seen.contains(&heard) {
                continue;
            }
            seen.push(heard);
            let more = cache
                .dulls(fingered(heard, second))
                .saturating_sub(cache.dulls(fingered(heard, fret)));
            if more > 0 {
                strings += u64::from(more);
                chords.push(chord.written(key, set.numbering));
            }
        }
    }
    (strings, chords)
}
