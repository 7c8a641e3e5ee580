//! What the plan finds unwise in a set, for `check`.

use crate::music::Fret;
use crate::plan::words::list;
use crate::plan::{CannotPlan, Planned, family_of, keys_of};
use crate::setlist::{Finding, Rule, Set, SongId, Spot};

/// A capo above this leaves little neck and strains the tuning: common practice, no source.
const HIGH: u8 = 4;

/// The set's plan read against the rules: keys without shapes, players at one fret, rushed moves, high capos.
pub fn findings(planned: &Planned) -> Vec<Finding> {
    let set = &planned.set;
    set.song_ids()
        .flat_map(|song| {
            let players = (0..set.players.len()).flat_map(move |player| {
                let unplayable = unplayable(planned, song, player);
                unplayable
                    .into_iter()
                    .chain(rushed(planned, song, player))
                    .chain(high(planned, song, player))
            });
            players.chain(same_shapes(planned, song)).collect::<Vec<_>>()
        })
        .collect()
}

/// The findings of a set that has no plan.
pub fn unplannable(set: &Set, reason: &CannotPlan) -> Vec<Finding> {
    match reason {
        CannotPlan::PinsUnmet(pins) => pins
            .iter()
            .map(|pin| {
                let spot = set.song(pin.song).pins[pin.player].map(|pinned| pinned.spot);
                finding(set, pin.song, Rule::PinUnmet, spot, pin.sentence(set))
            })
            .collect(),
        CannotPlan::TooManyPlayers { .. } => vec![Finding {
            rule: Rule::Format,
            spot: None,
            song: None,
            section: None,
            message: reason.sentence(set),
            hint: None,
        }],
    }
}

fn unplayable(planned: &Planned, song: SongId, player: usize) -> Option<Finding> {
    let set = &planned.set;
    let who = &set.players[player];
    let fret = planned.plan.fret(song, player);
    let keys = keys_of(set, song)
        .into_iter()
        .filter(|key| family_of(&who.shapes, fret, key.key()).is_none());
    let keys: Vec<String> = keys.map(|key| key.to_string()).collect();
    let message = match fret.number() {
        _ if keys.is_empty() => return None,
        0 => format!("{} has no shapes for {} without a capo", who.called(), list(&keys)),
        number => format!("{} has no shapes for {} at fret {number}", who.called(), list(&keys)),
    };
    Some(finding(
        set,
        song,
        Rule::UnplayableKey,
        Some(set.song(song).key_spot),
        message,
    ))
}

fn rushed(planned: &Planned, song: SongId, player: usize) -> Option<Finding> {
    let set = &planned.set;
    let who = &set.players[player];
    let gap = set.song(song).gap;
    if planned.plan.move_into(set, song, player) == 0 || gap >= who.seconds_to_move {
        return None;
    }
    let (free, wanted) = (gap.as_s(), who.seconds_to_move.as_s());
    let message = format!(
        "{} moves the capo before this song with {free} s free, and needs {wanted} s",
        who.name
    );
    Some(finding(set, song, Rule::RushedCapo, None, message))
}

fn high(planned: &Planned, song: SongId, player: usize) -> Option<Finding> {
    let set = &planned.set;
    let fret: Fret = planned.plan.fret(song, player);
    if fret.number() <= HIGH {
        return None;
    }
    let pin = set.song(song).pins[player]
        .filter(|pin| pin.fret.is_some())
        .map(|pin| pin.spot);
    let message = format!(
        "{} has the capo at fret {fret}, above {HIGH}",
        set.players[player].called()
    );
    Some(finding(set, song, Rule::CapoHigh, pin, message))
}

fn same_shapes(planned: &Planned, song: SongId) -> impl Iterator<Item = Finding> {
    let set = &planned.set;
    Fret::MAX.up_to().filter_map(move |fret| {
        let players = set
            .players
            .iter()
            .enumerate()
            .filter(|(player, _)| planned.plan.fret(song, *player) == fret);
        let names: Vec<String> = players.map(|(_, player)| player.called().to_owned()).collect();
        let message = format!("{} play the same shapes in this song", list(&names));
        (names.len() > 1).then(|| finding(set, song, Rule::SameShapes, None, message))
    })
}

fn finding(set: &Set, song: SongId, rule: Rule, spot: Option<Spot>, message: String) -> Finding {
    let song = set.song(song);
    Finding {
        rule,
        spot: spot.or(Some(song.spot)),
        song: Some(song.title.clone()),
        section: None,
        message,
        hint: None,
    }
}
