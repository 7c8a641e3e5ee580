//! What the plan finds unwise in a set, for `check`.

use crate::music::{AskedKey, Fret, Key};
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
        CannotPlan::TooManyChoices => {
            let spot = set.players.last().and_then(|player| player.spot);
            let hint = "Lower a `highest_fret`, pin more songs, or leave a player out.";
            vec![Finding::format(spot, reason.clauses(set), Some(hint.into()))]
        }
    }
}

fn unplayable(planned: &Planned, song: SongId, player: usize) -> Option<Finding> {
    let set = &planned.set;
    let who = &set.players[player];
    let fret = planned.plan.fret(song, player);
    let keys: Vec<Key> = keys_of(set, song).into_iter().map(AskedKey::key).collect();
    let gives_all = |fret: Fret| keys.iter().all(|&key| family_of(&who.shapes, fret, key).is_some());
    let others: Vec<String> = who
        .highest_fret
        .up_to()
        .filter(|&fret| gives_all(fret))
        .map(|fret| fret.to_string())
        .collect();
    let without = keys
        .iter()
        .copied()
        .filter(|&key| family_of(&who.shapes, fret, key).is_none());
    let without: Vec<String> = without.map(|key| format!("`{}`", key.signs())).collect();
    let whose = whose(&who.name, "shapes");
    let message = format!("{whose} do not give {} with {}", list(&without), capo(fret));
    let hint = match set.song(song).pins[player] {
        Some(_) if !others.is_empty() => {
            format!("A pin holds it there: take the pin away, or pin {}.", either(&others))
        }
        _ => "More `shapes` or a higher `highest_fret` would leave more to choose from.".into(),
    };
    let spot = set.song(song).key_spot;
    (!without.is_empty()).then(|| finding(set, song, Rule::UnplayableKey, spot, message, Some(&hint)))
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
    let hint = match pin {
        Some(_) => {
            "So high a capo leaves little neck and pulls strings sharp; without the pin the plan may find a lower fret."
        }
        None => "So high a capo leaves little neck and pulls strings sharp; a lower `highest_fret` would rule it out.",
    };
    (fret.number() > HIGH).then(|| finding(set, song, Rule::CapoHigh, spot, message, Some(hint)))
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

/// `fret 3`, `fret 0 or 3`.
fn either(frets: &[String]) -> String {
    match frets {
        [most @ .., last] if !most.is_empty() => format!("fret {} or {last}", most.join(", ")),
        _ => format!("fret {}", frets.concat()),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{planned, solve};
    use crate::setlist::read_text;

    const BAND: &str =
        "- { name: Wren, shapes: [G, C] }\n- { name: Sam, highest_fret: 7, shapes: [G, E], seconds_to_move: 8 }\n";

    /// What is found in these songs, a line each: its rule, place and words.
    #[track_caller]
    fn check(row: &str, players: &str, songs: &str, wanted: &[&str]) {
        let set = read_text(&format!("set: Millpond\nplayers:\n{players}songs:\n{songs}"), None).set;
        let found = match solve(&set) {
            Ok(plan) => findings(&Planned { set, plan }),
            Err(reason) => unplannable(&set, &reason),
        };
        let lines = found.iter().map(|found| {
            let spot = found.spot.unwrap();
            format!("{} {}:{}: {}", found.rule.name(), spot.line, spot.column, found.message)
        });
        assert_eq!(lines.collect::<Vec<_>>(), wanted, "{row}");
        assert!(
            found
                .iter()
                .all(|found| found.song.is_some() == (found.rule != Rule::Format)),
            "{row}"
        );
    }

    #[test]
    fn each_rule_says_who_and_where() {
        let one = "- { name: Wren, shapes: [G, C] }\n";
        let rows: [(&str, &str, &str, &[&str]); 9] = [
            (
                "apart, low, and with time to move",
                BAND,
                "- { song: Reeds, key: G }\n- { song: Ferry, key: Ab, gap: 10 }\n",
                &[],
            ),
            (
                "a key without shapes",
                one,
                "- { song: Reeds, key: G }\n- { song: Ferry, key: Dm }\n",
                &["unplayable-key 6:23: Wren's shapes do not give `Dm` with no capo"],
            ),
            (
                "one key of two without shapes",
                one,
                "- song: Reeds\n  key: Bb\n  sections: { A: { key: C }, B: { key: Eb } }\n",
                &["unplayable-key 6:8: Wren's shapes do not give `C` with the capo at fret 3"],
            ),
            (
                "a pin without shapes",
                one,
                "- { song: Reeds, key: G, pin: { Wren: { fret: 1 } } }\n",
                &["unplayable-key 5:23: Wren's shapes do not give `G` with the capo at fret 1"],
            ),
            (
                "a move that takes longer than there is time",
                BAND,
                "- { song: Reeds, key: G }\n- { song: Ferry, key: Ab, gap: 7.5 }\n",
                &[
                    "rushed-capo 7:11: Wren's capo has to move in the 7.5 s before this song, and that takes 10 s",
                    "rushed-capo 7:11: Sam's capo has to move in the 7.5 s before this song, and that takes 8 s",
                ],
            ),
            (
                "a high fret chosen, and one pinned",
                BAND,
                "- { song: Reeds, key: B }\n- { song: Ferry, key: B, pin: { Sam: { fret: 7 } } }\n",
                &[
                    "capo-high 6:11: Sam's capo is at fret 7, above fret 4",
                    "capo-high 7:33: Sam's capo is at fret 7, above fret 4",
                ],
            ),
            (
                "three at one fret and two at another",
                "- { name: Wren, shapes: [G], highest_fret: 0 }\n- { name: Sam, shapes: [G] }\n- { name: Lark, shapes: [G] }\n\
                 - { name: Finch, shapes: [E] }\n- { name: Rook, shapes: [E] }\n",
                "- { song: Reeds, key: G }\n",
                &[
                    "same-shapes 9:11: Wren, Sam and Lark have the same shapes in this song, with no capo",
                    "same-shapes 9:11: Finch and Rook have the same shapes in this song, with the capo at fret 3",
                ],
            ),
            (
                "pins that cannot be met, all of them",
                BAND,
                "- { song: Reeds, key: G, pin: { Wren: { fret: 5 }, Sam: { shapes: A } } }\n- song: Ferry\n  key: A\n  pin:\n    \
                 Wren: { shapes: C }\n    Sam: { fret: 3, shapes: G }\n",
                &[
                    "pin-unmet 6:33: the pin of `Wren` in `Reeds` cannot be met: fret 5 is above the highest fret, 4",
                    "pin-unmet 6:52: the pin of `Sam` in `Reeds` cannot be met: A shapes are not among Sam's, which are G and E",
                    "pin-unmet 10:5: the pin of `Wren` in `Ferry` cannot be met: C shapes give A at fret 9, above the highest fret, 4",
                    "pin-unmet 11:5: the pin of `Sam` in `Ferry` cannot be met: G shapes at fret 3 do not give A",
                ],
            ),
            (
                "more players than can be compared",
                &(1..=10)
                    .map(|number| format!("- {{ name: P{number}, highest_fret: 11 }}\n"))
                    .collect::<String>(),
                "- { song: Reeds, key: G }\n",
                &["format 12:3: the 10 players have more capo frets to choose from than can be compared exactly"],
            ),
        ];
        for (row, players, songs, wanted) in rows {
            check(row, players, songs, wanted);
        }
    }

    #[test]
    fn a_pin_that_keeps_shapes_away_is_told_with_the_frets_that_give_them() {
        for (song, wanted) in [
            (
                "key: G, pin: { Wren: { fret: 1 } }",
                "A pin holds it there: take the pin away, or pin fret 0.",
            ),
            (
                "key: C, pin: { Sam: { fret: 1 } }",
                "A pin holds it there: take the pin away, or pin fret 5.",
            ),
            (
                "key: D, pin: { Sam: { fret: 1 } }",
                "A pin holds it there: take the pin away, or pin fret 7.",
            ),
            (
                "key: F#",
                "More `shapes` or a higher `highest_fret` would leave more to choose from.",
            ),
            (
                "key: B, pin: { Sam: { fret: 7 }, Wren: { fret: 4 } }",
                "So high a capo leaves little neck and pulls strings sharp; without the pin the plan may find a lower fret.",
            ),
        ] {
            let text = format!("set: Millpond\nplayers:\n{BAND}songs: [ {{ song: Reeds, {song} }} ]\n");
            let found = findings(&planned(&text));
            let hints: Vec<&str> = found.iter().filter_map(|found| found.hint.as_deref()).collect();
            assert!(hints.contains(&wanted), "{song}: {hints:?}");
        }
    }

    #[test]
    fn a_player_without_a_name_is_not_named() {
        let songs = "[ { song: Reeds, key: C }, { song: Ferry, key: Db, gap: 0 } ]";
        let found = findings(&planned(&format!("set: Millpond\nsongs: {songs}\n")));
        assert_eq!(
            found[0].message,
            "the capo has to move in the 0 s before this song, and that takes 10 s"
        );
    }
}
