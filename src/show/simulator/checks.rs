//! What must hold after every event of a show, whatever came before.

use crate::plan::Planned;
use crate::screen::{Picture, Screen, Status, title};
use crate::sequencer::{Action, Line, Page, Sequencer, Standing, State, cue};
use crate::show::simulator::dice::Dice;
use std::collections::BTreeSet;

/// The page is one of the set's, and the line that tells of it says so.
pub(super) fn page_is_of_the_set(planned: &Planned, state: &State) {
    let set = &planned.set;
    match state.page() {
        Page::Gap(song) => assert!(song.number() <= set.songs().len(), "song {}", song.number()),
        Page::Section(step) => {
            assert!(
                step.song().number() <= set.songs().len(),
                "song {}",
                step.song().number()
            );
            assert!(
                step.number() <= set.song(step.song()).steps.len(),
                "step {}",
                step.number()
            );
        }
        Page::End => {}
    }
    let line = Line::new(planned, state);
    assert_eq!(line.page == "end", state.page() == Page::End, "{line:?}");
    assert_eq!(line.times > 0, line.page == "section", "{line:?}");
    assert!(line.page != "peek" || line.song >= 2, "{line:?}");
}

/// An action that changed the page, a count or a key is taken back by `undo`, to what was before.
pub(super) fn undo_undoes(planned: &Planned, before: &State, action: &Action, sequencer: &Sequencer) {
    let after = sequencer.state();
    // A look ahead hides the count of the page underneath.
    let looks = before.is_peeking() || after.is_peeking();
    let facts = |state: &State| {
        (
            state.page(),
            Line::new(planned, state).times,
            Standing::of(planned, state),
        )
    };
    let (page, times, stands) = facts(before);
    let called = matches!(action, Action::KeyUp | Action::KeyDown);
    let changed = called || page != after.page() || times != Line::new(planned, after).times;
    if after.is_locked() || looks || !changed || *action == Action::Undo {
        return;
    }
    let mut undone = sequencer.clone();
    let result = undone.apply(planned, &Action::Undo);
    assert!(result.is_ok(), "{action} cannot be undone: {result:?}");
    let undone = undone.state();
    assert_eq!(facts(undone), (page, times, stands), "{action} was not undone");
    assert!(!undone.is_peeking());
}

/// The fret that is on is one that was shown: each move begins at a fret that stood on a section page before.
pub(super) fn fret_was_shown(planned: &Planned, state: &State, shown: &mut BTreeSet<i8>) {
    let line = Line::new(planned, state);
    let (Some(fret), "gap" | "section") = (line.fret, &*line.page) else {
        return;
    };
    let fret = fret as i8;
    let on = fret - line.r#move;
    assert!(
        line.r#move == 0 || shown.contains(&on),
        "{on} is on, shown were {shown:?}: {line:?}"
    );
    if line.page == "section" {
        shown.insert(fret);
    }
}

/// The cue is drawn at any size, and its title holds nothing that would steer a terminal.
pub(super) fn cue_is_drawn(screen: &mut Screen, planned: &Planned, state: &State, dice: &mut Dice) {
    let cue = cue(planned, state);
    let (width, height) = *dice.one(&[(80, 24), (20, 6), (1, 1), (37, 9), (132, 43), (3, 60), (200, 2)]);
    let status = Status {
        help: dice.once_in(10),
        notice: dice.once_in(10).then(|| "a notice".to_owned()),
        ..Status::default()
    };
    screen.paint(&cue, &status, &mut Picture::new(width, height));
    assert!(!title(&cue).chars().any(char::is_control));
}
