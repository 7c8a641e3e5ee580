//! A key called on stage: the song moves by a semitone, and the first player's capo is chosen anew where it must be.

use crate::music::Fret;
use crate::plan::{CalledSong, Planned, called_fret, family_of};
use crate::sequencer::Refused;
use crate::sequencer::apply::settled;
use crate::sequencer::state::{Call, Page, State};
use crate::setlist::{Seconds, SongId};

/// The state after the current song was called `by` semitones higher (or lower).
///
/// # Errors
/// Where the set is over.
pub(super) fn moved(planned: &Planned, state: &State, by: i32) -> Result<State, Refused> {
    let song = state.song().ok_or(Refused::AtTheEnd)?;
    let fret = state.fret(planned, song);
    let semitones = state.call(song).map_or(0, |call| call.semitones) + by;
    let mut call = Call {
        semitones,
        upwards: by > 0,
        fret,
    };
    let mut after = settled(state);
    after.set_call(song, call);
    match state.page {
        Page::Section(step) => {
            // In a set that has changed since, the capo may be elsewhere than this page's fret.
            let on = state.on.unwrap_or(fret);
            let key = after.step_key(planned, step);
            if family_of(&planned.set.first_player().shapes, fret, key).is_none() {
                call.fret = anew(planned, &after, song, call, Some(on), Seconds::NONE);
                after.set_call(song, call);
            }
            after.called_move = call.fret.move_from(on);
            after.on = Some(call.fret);
        }
        Page::Gap(song) => {
            call.fret = anew(planned, &after, song, call, state.on, planned.set.song(song).gap);
            after.set_call(song, call);
        }
        Page::End => {}
    }
    Ok(after)
}

/// The option as it would come between the fret that is on and the next song's fret.
fn anew(planned: &Planned, after: &State, song: SongId, call: Call, on: Option<Fret>, free: Seconds) -> Fret {
    let next = planned.set.song_after(song).map(|next| after.fret(planned, next));
    called_fret(
        planned,
        &CalledSong {
            song,
            semitones: call.semitones,
            on,
            free,
            next,
        },
    )
}
