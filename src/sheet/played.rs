//! A song as the first player has it: where the capo goes and how, and which shapes give which key.

use crate::music::{AskedKey, Family, Fret, Key, Note};
use crate::plan::{Planned, family_of, keys_of};
use crate::setlist::{Seconds, Song, SongId};

/// The first player is the one whose sheet it is.
const FIRST: usize = 0;

pub(super) struct Played<'a> {
    pub(super) song: &'a Song,
    pub(super) number: usize,
    pub(super) capo: Fret,
    /// Whether the capo must be touched before the song.
    pub(super) moves: bool,
    /// `put on`, `up 2`, `stay`; empty before the first song where none is needed.
    pub(super) way: String,
    /// The seconds free for a move that they are too short for.
    pub(super) rushed: Option<Seconds>,
    /// The song's own key first, with the family that gives it at that fret.
    pub(super) keys: Vec<(AskedKey, Option<Family>)>,
    /// Of the other players: name, fret, family in the song's own key.
    pub(super) others: Vec<(&'a str, Fret, Option<Family>)>,
    families: &'a [Family],
}

impl<'a> Played<'a> {
    pub(super) fn of(planned: &'a Planned, id: SongId) -> Played<'a> {
        let (set, plan) = (&planned.set, &planned.plan);
        let song = set.song(id);
        let capo = plan.fret(id, FIRST);
        let before = set.song_before(id).map(|before| plan.fret(before, FIRST));
        let moves = capo != before.unwrap_or(Fret::OPEN);
        let families = &set.first_player().shapes;
        let keys = keys_of(set, id).into_iter();
        let others = set.players.iter().enumerate().skip(FIRST + 1).map(|(index, player)| {
            let fret = plan.fret(id, index);
            (player.called(), fret, family_of(&player.shapes, fret, song.key.key()))
        });
        let hurry = moves && before.is_some() && song.gap < set.first_player().seconds_to_move;
        Played {
            song,
            number: id.number(),
            capo,
            moves,
            way: match before {
                None if !moves => String::new(),
                _ => capo.way_from(before.unwrap_or(Fret::OPEN)),
            },
            rushed: hurry.then_some(song.gap),
            keys: keys.map(|key| (key, family_of(families, capo, key.key()))).collect(),
            others: others.collect(),
            families,
        }
    }

    /// The family that gives a key of this song.
    pub(super) fn family(&self, key: Key) -> Option<Family> {
        family_of(self.families, self.capo, key)
    }

    /// The home note that chords of a key are fingered on; as they sound where there are no shapes.
    pub(super) fn home(&self, key: Key) -> Note {
        self.family(key)
            .map_or_else(|| key.relative_major().tonic(), Family::tonic)
    }

    /// `put on`, `↑ up 2`.
    pub(super) fn way_words(&self) -> String {
        let arrow = match self.way.split(' ').next() {
            Some("up") => "↑ ",
            Some("down") => "↓ ",
            _ => "",
        };
        format!("{arrow}{}", self.way)
    }

    /// `in 5 s!` where that is too short for the move.
    pub(super) fn hurry(&self) -> Option<String> {
        self.rushed.map(|gap| format!("in {} s!", gap.as_s()))
    }

    /// `G shapes, sounds B♭` for each key of the song, its own first.
    pub(super) fn settings(&self) -> impl Iterator<Item = String> {
        self.keys.iter().map(|(key, family)| {
            let shapes = family.map_or_else(|| "no shapes".into(), |family| format!("{family} shapes"));
            format!("{shapes}, sounds {}", key.key().signs())
        })
    }
}

/// `capo 3`, or `no capo`.
pub(super) fn capo_words(fret: Fret) -> String {
    match fret {
        Fret::OPEN => "no capo".into(),
        fret => format!("capo {fret}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::planned;

    #[test]
    fn the_way_of_the_capo_is_told_as_it_is_played() {
        let songs = "- { song: A, key: G, pin: { Wren: { fret: 0 } } }\n- { song: B, key: Bb, pin: { Wren: { fret: 3 } } }\n\
            - { song: C, key: B, gap: 4.5, pin: { Wren: { fret: 4 } } }\n- { song: D, key: B, gap: 1, pin: { Wren: { fret: 4 } } }\n\
            - { song: E, key: A, pin: { Wren: { fret: 2 } }, sections: { X: { key: C } } }\n- { song: F, key: E, pin: { Wren: { fret: 0 } } }\n";
        let planned = planned(&format!(
            "set: Millpond\nplayers: [ {{ name: Wren }} ]\nsongs:\n{songs}"
        ));
        let told = planned.set.song_ids().map(|id| {
            let played = Played::of(&planned, id);
            let settings = played.settings().collect::<Vec<_>>().join(" + ");
            let touched = if played.moves { "*" } else { "" };
            let hurry = played.hurry().unwrap_or_default();
            format!(
                "{}{touched} [{}] {hurry}: {settings}",
                capo_words(played.capo),
                played.way_words()
            )
        });
        assert_eq!(
            told.collect::<Vec<_>>(),
            [
                "no capo [] : G shapes, sounds G",
                "capo 3* [put on] : G shapes, sounds B♭",
                "capo 4* [↑ up 1] in 4.5 s!: G shapes, sounds B",
                "capo 4 [stay] : G shapes, sounds B",
                "capo 2* [↓ down 2] : G shapes, sounds A + no shapes, sounds C",
                "no capo* [take off] : E shapes, sounds E",
            ]
        );
    }
}
