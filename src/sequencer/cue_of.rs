//! From a state to its cue: reading the set for all that a page shows.

use crate::music::{Fret, Key, MinorNumbers, NumberChord, NumberStyle, Numbering};
use crate::plan::Planned;
use crate::sequencer::cue::{ChordCue, Cue, End, Gap, NextUp, PageCue, SectionCue, SongCue, StepCue};
use crate::sequencer::state::{Shown, State};
use crate::setlist::{Section, SongId, StepId};

/// All that the screen must show.
pub fn cue<'a>(planned: &'a Planned, state: &State) -> Cue<'a> {
    let page = match state.shown(planned) {
        Shown::Gap { song, capo_now } => PageCue::Gap(gap(planned, state, song, capo_now)),
        Shown::Peek { song, capo_now } => PageCue::Peek(gap(planned, state, song, capo_now)),
        Shown::Section(step) => PageCue::Section(section(planned, state, step)),
        Shown::End => PageCue::End(End {
            songs: planned.set.songs().len(),
        }),
    };
    Cue {
        set_name: &planned.set.name,
        page,
        locked: state.is_locked(),
    }
}

fn gap<'a>(planned: &'a Planned, state: &State, id: SongId, capo_now: Option<Fret>) -> Gap<'a> {
    let key = state.song_key(planned, id);
    let song = song(planned, state, id, key);
    // The family's seven are the major key's own, whatever way the set writes its numbers.
    let chords = match song.shapes {
        Some(_) => NumberChord::diatonic()
            .map(|chord| chord_cue(&song, DEGREES, Some(chord)))
            .into(),
        None => Vec::new(),
    };
    let first = planned
        .set
        .first_step(id)
        .map(|step| step_cue(planned, state, step, None));
    let set = &planned.set;
    let free = set.song_before(id).map(|_| set.song(id).gap);
    let r#move = state.r#move(planned, id, capo_now);
    let needs = set.first_player().seconds_to_move;
    Gap {
        r#move,
        capo_now,
        rushed: r#move != 0 && free.is_some_and(|free| free.as_ms() < needs.as_ms()),
        free,
        first,
        chords,
        song,
    }
}

/// How the seven chords of a family are numbered.
const DEGREES: Numbering = Numbering {
    style: NumberStyle::Diatonic,
    minor: MinorNumbers::Relative,
};

fn section<'a>(planned: &'a Planned, state: &State, id: StepId) -> SectionCue<'a> {
    let set = &planned.set;
    let here = set.section(id);
    let key = state.step_key(planned, id);
    let song = song(planned, state, id.song(), key);
    let before = set
        .step_before(id)
        .map(|step| (set.section(step), state.step_key(planned, step)));
    let key_before = before.map_or_else(|| state.song_key(planned, id.song()), |(_, key)| key);
    let chords = here.chords.bars.iter();
    SectionCue {
        name: &here.name,
        times: state.times,
        step: id.number(),
        of: set.song(id.song()).steps.len(),
        technique: here.technique.as_ref(),
        pickup: here.pickup.as_deref(),
        technique_changed: before.is_some_and(|(before, _)| before.technique != here.technique),
        pickup_changed: before.is_some_and(|(before, _)| before.pickup != here.pickup),
        key_changed: key_before != key,
        r#move: state.called_move,
        bars: here.bars,
        note: here.note.as_deref(),
        chords: chords
            .map(|bar| {
                bar.chords
                    .iter()
                    .map(|&chord| chord_cue(&song, set.numbering, chord))
                    .collect()
            })
            .collect(),
        steps: set
            .steps(id.song())
            .map(|step| set.section(step).name.as_str())
            .collect(),
        next: next_up(planned, state, id),
        song,
    }
}

fn song<'a>(planned: &'a Planned, state: &State, id: SongId, key: Key) -> SongCue<'a> {
    let song = planned.set.song(id);
    let called = key != song.key.key();
    SongCue {
        title: &song.title,
        number: id.number(),
        of: planned.set.songs().len(),
        key,
        asked_for: song
            .key
            .asked_signs()
            .filter(|_| !called)
            .map(|asked| asked.to_string()),
        capo: state.fret(planned, id),
        shapes: state.shapes(planned, id, key),
        tempo: song.tempo,
        meter: song.meter,
        note: song.note.as_deref(),
    }
}

fn next_up<'a>(planned: &'a Planned, state: &State, id: StepId) -> NextUp<'a> {
    if let Some(step) = planned.set.step_after(id) {
        return NextUp::Step(step_cue(planned, state, step, Some(id)));
    }
    let Some(next) = planned.set.song_after(id.song()) else {
        return NextUp::End;
    };
    let key = state.song_key(planned, next);
    let capo = state.fret(planned, next);
    NextUp::Song {
        title: &planned.set.song(next).title,
        capo,
        r#move: capo.move_from(state.fret(planned, id.song())),
        shapes: state.shapes(planned, next, key),
        key,
    }
}

/// A step in brief, with what changes at it coming from another one.
fn step_cue<'a>(planned: &'a Planned, state: &State, id: StepId, from: Option<StepId>) -> StepCue<'a> {
    let there: &Section = planned.set.section(id);
    let key = state.step_key(planned, id);
    let from = from.map(|from| (planned.set.section(from), state.step_key(planned, from)));
    StepCue {
        name: &there.name,
        technique: there.technique.as_ref(),
        pickup: there.pickup.as_deref(),
        technique_changes: from.is_some_and(|(from, _)| from.technique != there.technique),
        pickup_changes: from.is_some_and(|(from, _)| from.pickup != there.pickup),
        key_changes: from.is_some_and(|(_, from)| from != key).then_some(key),
    }
}

/// A chord by number and as fingered in the song's family; as it sounds where there is none.
fn chord_cue(song: &SongCue<'_>, numbering: Numbering, chord: Option<NumberChord>) -> ChordCue {
    let Some(chord) = chord else {
        return ChordCue {
            number: "NC".into(),
            fingered: None,
        };
    };
    let home = song
        .shapes
        .map_or_else(|| song.key.relative_major().tonic(), |family| family.tonic());
    ChordCue {
        number: chord.written(song.key, numbering),
        fingered: Some(chord.on(home)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::solve;
    use crate::sequencer::{Action, Sequencer};
    use crate::setlist::read_text;

    #[test]
    fn a_gap_page_says_where_the_capo_moves_in_less_time_than_the_player_needs() {
        let set = "
set: Evening
players: [{ name: Wren, seconds_to_move: 8 }]
songs:
  - { song: Lamps, key: G, gap: 3, pin: { Wren: { fret: 0 } }, sections: { Verse: {} } }
  - { song: Ferry, key: Ab, gap: 3, pin: { Wren: { fret: 1 } }, sections: { Verse: {} } }
  - { song: Orchard, key: A, gap: 8, pin: { Wren: { fret: 2 } }, sections: { Verse: {} } }
  - { song: Harbour, key: D, gap: 3, pin: { Wren: { fret: 2 } }, sections: { Verse: {} } }
";
        let set = read_text(set, None).set;
        let planned = Planned {
            plan: solve(&set).unwrap(),
            set,
        };
        let mut sequencer = Sequencer::open(&planned);
        let mut seen = Vec::new();
        for song in 1..=4 {
            sequencer.apply(&planned, &Action::Song(song)).unwrap();
            if let PageCue::Gap(gap) = cue(&planned, sequencer.state()).page {
                seen.push((gap.free.map(|free| free.as_s()), gap.r#move, gap.rushed));
            }
            // The fret that is on is that of a section page.
            sequencer.apply(&planned, &Action::Next).unwrap();
        }
        assert_eq!(
            seen,
            [
                (None, 0, false),
                (Some(3.0), 1, true),
                (Some(8.0), 1, false),
                (Some(3.0), 0, false)
            ]
        );
    }
}
