//! What the plan finds unwise in a set, for `check`.

use crate::music::{AskedKey, Fret};
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
                let song = set.song(pin.song);
                let spot = song.pins[pin.player].map_or(song.spot, |pin| pin.spot);
                finding(set, pin.song, Rule::PinUnmet, spot, pin.clause(set), None)
            })
            .collect(),
        CannotPlan::TooManyChoices => vec![Finding {
            rule: Rule::Format,
            spot: set.players.last().and_then(|player| player.spot),
            song: None,
            section: None,
            message: reason.clauses(set),
            hint: Some("Lower a `highest_fret`, pin more songs, or leave a player out.".into()),
        }],
    }
}

fn unplayable(planned: &Planned, song: SongId, player: usize) -> Option<Finding> {
    let set = &planned.set;
    let who = &set.players[player];
    let fret = planned.plan.fret(song, player);
    let keys = keys_of(set, song).into_iter().map(AskedKey::key);
    let without = keys.filter(|&key| family_of(&who.shapes, fret, key).is_none());
    let without: Vec<String> = without.map(|key| format!("`{}`", key.signs())).collect();
    let whose = whose(&who.name, "shapes");
    let message = format!("{whose} do not give {} with {}", list(&without), capo(fret));
    let hint = "More `shapes` or a higher `highest_fret` would leave more to choose from.";
    let spot = set.song(song).key_spot;
    (!without.is_empty()).then(|| finding(set, song, Rule::UnplayableKey, spot, message, Some(hint)))
}

fn rushed(planned: &Planned, song: SongId, player: usize) -> Option<Finding> {
    let set = &planned.set;
    let who = &set.players[player];
    let gap = set.song(song).gap;
    let moves = planned.plan.move_into(set, song, player) != 0;
    let message = format!(
        "{} has to move in the {} s before this song, and that takes {} s",
        whose(&who.name, "capo"),
        gap.as_s(),
        who.seconds_to_move.as_s()
    );
    let hint = "A longer `gap` or another order of the songs would leave the time.";
    let spot = set.song(song).spot;
    (moves && gap < who.seconds_to_move).then(|| finding(set, song, Rule::RushedCapo, spot, message, Some(hint)))
}

fn high(planned: &Planned, song: SongId, player: usize) -> Option<Finding> {
    let set = &planned.set;
    let fret = planned.plan.fret(song, player);
    let pin = set.song(song).pins[player].map(|pin| pin.spot);
    let capo = whose(&set.players[player].name, "capo");
    let message = format!("{capo} is at fret {fret}, above fret {HIGH}");
    let spot = pin.unwrap_or(set.song(song).spot);
    (fret.number() > HIGH).then(|| finding(set, song, Rule::CapoHigh, spot, message, None))
}

fn same_shapes(planned: &Planned, song: SongId) -> impl Iterator<Item = Finding> {
    let set = &planned.set;
    Fret::MAX.up_to().filter_map(move |fret| {
        let players = set.players.iter().enumerate();
        let there = players.filter(|(player, _)| planned.plan.fret(song, *player) == fret);
        let names: Vec<&str> = there.map(|(_, player)| player.name.as_str()).collect();
        let message = format!(
            "{} have the same shapes in this song, with {}",
            list(&names),
            capo(fret)
        );
        let spot = set.song(song).spot;
        (names.len() > 1).then(|| finding(set, song, Rule::SameShapes, spot, message, None))
    })
}

/// `Wren's capo`, or `the capo` of a player without a name.
fn whose(name: &str, what: &str) -> String {
    match name {
        "" => format!("the {what}"),
        name => format!("{name}'s {what}"),
    }
}

fn capo(fret: Fret) -> String {
    match fret.number() {
        0 => "no capo".into(),
        fret => format!("the capo at fret {fret}"),
    }
}

fn finding(set: &Set, song: SongId, rule: Rule, spot: Spot, message: String, hint: Option<&str>) -> Finding {
    Finding {
        rule,
        spot: Some(spot),
        song: Some(set.song(song).title.clone()),
        section: None,
        message,
        hint: hint.map(str::to_owned),
    }
}
