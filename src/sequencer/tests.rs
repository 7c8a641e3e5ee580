//! The table of pages and actions, row by row: `1` is song 1's gap page, `1.2` its second step, `end` the end page.

use crate::plan::{Planned, planned};
use crate::sequencer::{Action, Entered, Line, Page, Refused, Sequencer, State, cue};

/// Three songs: one with a section twice in its order and one section of its own, one without sections, one with a tag.
const SET: &str = r#"
set: Evening by the millpond
songs:
  - song: Lanterns
    key: Bb
    meter: 4/4
    sections:
      Verse: { bars: 4, pickup: neck, technique: palm mute, chords: "1 | 4" }
      Chorus: { bars: 8, pickup: bridge }
      Tag: { bars: 2, key: C }
    order: [Verse, Chorus, Verse, Tag]
  - { song: Weathervane, key: D }
  - { song: Orchard, key: Ab, sections: { Intro: {}, Turn: { bars: 4 } } }
"#;

fn name(state: &State) -> String {
    match state.page() {
        Page::Gap(song) => song.number().to_string(),
        Page::Section(step) => format!("{}.{}", step.song().number(), step.number()),
        Page::End => "end".into(),
    }
}

/// A sequencer that stands on the page so named.
fn at(planned: &Planned, page: &str) -> Sequencer {
    let mut sequencer = Sequencer::open(planned);
    let go = |sequencer: &mut Sequencer, action| {
        sequencer.apply(planned, &action).unwrap();
    };
    if page == "end" {
        (0..planned.set.songs().len()).for_each(|_| go(&mut sequencer, Action::NextSong));
        return sequencer;
    }
    let (song, step) = page.split_once('.').unwrap_or((page, "0"));
    go(&mut sequencer, Action::Song(song.parse().unwrap()));
    (0..step.parse().unwrap()).for_each(|_: u32| go(&mut sequencer, Action::Next));
    sequencer
}

/// From a page, an action leads to another page, or is refused and changes nothing.
#[track_caller]
fn check(from: &str, action: &str, to: Result<&str, Refused>) {
    let planned = planned(SET);
    let mut sequencer = at(&planned, from);
    let before = sequencer.state().clone();
    let result = sequencer.apply(&planned, &Action::parse(action).unwrap());
    match to {
        Ok(to) => {
            assert!(result.is_ok(), "{from} {action}: {result:?}");
            assert_eq!(name(sequencer.state()), to, "{from} {action}");
        }
        Err(refused) => {
            assert_eq!(result, Err(refused), "{from} {action}");
            assert_eq!(*sequencer.state(), before, "{from} {action}: a refusal changes nothing");
        }
    }
}

#[test]
fn each_action_leads_where_the_table_says() {
    let rows = [
        (
            "next",
            [
                ("1", "1.1"),
                ("1.1", "1.2"),
                ("1.4", "2"),
                ("2", "3"),
                ("3.2", "end"),
                ("end", "end"),
            ],
        ),
        (
            "back",
            [
                ("1", "1"),
                ("1.1", "1"),
                ("1.2", "1.1"),
                ("2", "1.4"),
                ("3", "2"),
                ("end", "3.2"),
            ],
        ),
        (
            "next-song",
            [
                ("1", "2"),
                ("1.2", "2"),
                ("2", "3"),
                ("3", "end"),
                ("3.1", "end"),
                ("end", "end"),
            ],
        ),
        (
            "previous-song",
            [
                ("1", "1"),
                ("1.2", "1"),
                ("2", "1"),
                ("3", "2"),
                ("3.1", "3"),
                ("end", "3"),
            ],
        ),
        (
            "song 3",
            [
                ("1", "3"),
                ("1.2", "3"),
                ("2", "3"),
                ("3", "3"),
                ("3.1", "3"),
                ("end", "3"),
            ],
        ),
        (
            "again",
            [
                ("1", "1"),
                ("1.2", "1.2"),
                ("2", "2"),
                ("3", "3"),
                ("3.1", "3.1"),
                ("end", "end"),
            ],
        ),
    ];
    for (action, pages) in rows {
        for (from, to) in pages {
            check(from, action, Ok(to));
        }
    }
    for (from, to) in [("1", "1.1"), ("1.4", "1.1"), ("3", "3.1")] {
        check(from, "top", Ok(to));
    }
}

#[test]
fn sections_are_found_going_round_and_without_regard_to_case() {
    for (from, action, to) in [
        ("1", "section chorus", "1.2"),
        ("1", "section VERSE", "1.1"),
        ("1.1", "section Verse", "1.3"),
        ("1.3", "section Verse", "1.1"),
        ("1.4", "section Chorus", "1.2"),
        ("1.2", "section Chorus", "1.2"),
    ] {
        check(from, action, Ok(to));
    }
}

#[test]
fn bars_are_counted_through_the_order() {
    for (bar, to) in [
        (1, "1.1"),
        (4, "1.1"),
        (5, "1.2"),
        (12, "1.2"),
        (13, "1.3"),
        (18, "1.4"),
    ] {
        check("1", &format!("bar {bar}"), Ok(to));
        check("1.3", &format!("bar {bar}"), Ok(to));
    }
}

#[test]
fn what_cannot_be_done_is_refused() {
    for (from, action, refused) in [
        ("end", "top", Refused::AtTheEnd),
        ("2", "top", Refused::NoSteps),
        ("1", "song 4", Refused::NoSong(4)),
        ("1", "section Bridge", Refused::NoSection("Bridge".into())),
        ("end", "section Verse", Refused::AtTheEnd),
        ("1", "bar 19", Refused::PastTheLastBar(19)),
        ("3", "bar 2", Refused::UncountedBars(2)),
        ("end", "bar 1", Refused::AtTheEnd),
        ("3", "peek", Refused::NoNextSong),
        ("end", "peek", Refused::AtTheEnd),
        ("end", "key-up", Refused::AtTheEnd),
        ("1", "undo", Refused::NothingToUndo),
    ] {
        check(from, action, Err(refused));
    }
}

#[test]
fn a_locked_stage_refuses_everything_but_lock() {
    let planned = planned(SET);
    for action in [
        "next",
        "back",
        "song 2",
        "top",
        "again",
        "peek",
        "key-up",
        "undo",
        "section Tag",
        "bar 1",
    ] {
        let mut sequencer = at(&planned, "1.1");
        sequencer.apply(&planned, &Action::Lock).unwrap();
        let before = sequencer.state().clone();
        assert_eq!(
            sequencer.apply(&planned, &Action::parse(action).unwrap()),
            Err(Refused::Locked),
            "{action}"
        );
        assert_eq!(*sequencer.state(), before, "{action}");
        sequencer.apply(&planned, &Action::Lock).unwrap();
        assert!(!sequencer.state().is_locked());
    }
}

#[test]
fn a_peek_is_over_with_any_action_but_not_with_a_refusal() {
    let planned = planned(SET);
    let mut sequencer = at(&planned, "1.2");
    sequencer.apply(&planned, &Action::Peek).unwrap();
    assert_eq!(Line::new(&planned, sequencer.state()).page, "peek");
    assert_eq!(sequencer.apply(&planned, &Action::Song(9)), Err(Refused::NoSong(9)));
    assert!(sequencer.state().is_peeking());
    sequencer.apply(&planned, &Action::Next).unwrap();
    assert_eq!(name(sequencer.state()), "1.3");
    assert!(!sequencer.state().is_peeking());
}

#[test]
fn undo_brings_back_page_count_and_key_one_by_one() {
    let planned = planned(SET);
    let mut sequencer = at(&planned, "1.1");
    let mut pages = vec![sequencer.state().clone()];
    for action in [
        "again",
        "again",
        "key-up",
        "next",
        "key-down",
        "next-song",
        "song 3",
        "top",
    ] {
        sequencer.apply(&planned, &Action::parse(action).unwrap()).unwrap();
        pages.push(sequencer.state().clone());
    }
    for before in pages.iter().rev().skip(1) {
        sequencer.apply(&planned, &Action::Undo).unwrap();
        let (got, wanted) = (Line::new(&planned, sequencer.state()), Line::new(&planned, before));
        // The mark of a key call's move stands until the next action alone.
        assert_eq!(Line { r#move: 0, ..got }, Line { r#move: 0, ..wanted });
    }
}

#[test]
fn undo_goes_back_a_thousand_actions_and_no_further() {
    let planned = planned(SET);
    let mut sequencer = at(&planned, "1.1");
    for _ in 0..1500 {
        sequencer.apply(&planned, &Action::Again).unwrap();
    }
    let undone = (0..2000)
        .take_while(|_| sequencer.apply(&planned, &Action::Undo).is_ok())
        .count();
    assert_eq!(undone, 1000);
    assert_eq!(Line::new(&planned, sequencer.state()).times, 501);
}

#[test]
fn entering_a_step_counts_it_once_and_again_counts_on() {
    let planned = planned(SET);
    let mut sequencer = at(&planned, "1.2");
    let times = |sequencer: &Sequencer| Line::new(&planned, sequencer.state()).times;
    for (action, wanted) in [
        ("again", 2),
        ("section chorus", 3),
        ("top", 1),
        ("again", 2),
        ("bar 2", 1),
        ("back", 0),
    ] {
        sequencer.apply(&planned, &Action::parse(action).unwrap()).unwrap();
        assert_eq!(times(&sequencer), wanted, "{action}");
    }
}

#[test]
fn a_called_key_moves_the_whole_song_and_has_its_own_name_again_where_it_was() {
    let planned = planned(SET);
    let mut sequencer = at(&planned, "1");
    let key = |sequencer: &Sequencer| Line::new(&planned, sequencer.state()).key.unwrap();
    let mut go = |action: &str| {
        sequencer.apply(&planned, &Action::parse(action).unwrap()).unwrap();
        key(&sequencer)
    };
    let walk = [
        "key-up",
        "section Tag",
        "key-down",
        "key-down",
        "top",
        "next-song",
        "back",
        "key-up",
    ];
    let keys = ["B", "Db", "C", "B", "A", "D", "B", "C"];
    assert_eq!(walk.map(&mut go), keys);
}

#[test]
fn the_move_of_a_gap_page_is_counted_from_the_fret_that_is_on() {
    let planned = planned(SET);
    let frets: Vec<i8> = planned
        .set
        .song_ids()
        .map(|song| planned.plan.fret(song, 0).number() as i8)
        .collect();
    let mut sequencer = Sequencer::open(&planned);
    let mut go = |action: &str| {
        sequencer.apply(&planned, &Action::parse(action).unwrap()).unwrap();
        Line::new(&planned, sequencer.state()).r#move
    };
    assert_eq!(go("song 3"), 0, "nothing is on yet");
    assert_eq!(go("song 1"), 0, "nothing is on yet");
    assert_eq!(go("next"), 0);
    assert_eq!(go("song 3"), frets[2] - frets[0]);
    assert_eq!(
        go("previous-song"),
        frets[1] - frets[0],
        "a gap page alone puts no capo on"
    );
}

#[test]
fn a_step_ends_by_the_clock_after_its_bars_from_the_nearest_bar_line() {
    let planned = planned(SET);
    // Clocks before the press, and the clock (counted from 1) at which the four bars of the verse are over.
    for (before, over) in [
        (0, 385),
        (1, 385),
        (48, 385),
        (49, 481),
        (97, 481),
        (144, 481),
        (145, 577),
    ] {
        let mut sequencer = at(&planned, "1");
        (0..before).for_each(|_| assert!(!sequencer.clock()));
        sequencer.apply(&planned, &Action::Next).unwrap();
        let due = (before + 1..2000).find(|_| sequencer.clock());
        assert_eq!(due, Some(over), "entered after {before} clocks");
    }
}

#[test]
fn again_adds_the_bars_once_more_and_stop_freezes_the_place() {
    let planned = planned(SET);
    let mut sequencer = at(&planned, "1.1");
    sequencer.apply(&planned, &Action::Again).unwrap();
    (0..100).for_each(|_| assert!(!sequencer.clock()));
    sequencer.clock_stops();
    (0..5000).for_each(|_| assert!(!sequencer.clock()));
    sequencer.clock_continues();
    assert_eq!((101..2000).find(|_| sequencer.clock()), Some(2 * 4 * 96 + 1));
}

#[test]
fn the_cue_says_what_changes_and_what_comes_next() {
    let planned = planned(SET);
    let sequencer = at(&planned, "1.2");
    let cue = cue(&planned, sequencer.state());
    let crate::sequencer::PageCue::Section(section) = cue.page else {
        panic!("{cue:?}")
    };
    assert!(section.pickup_changed && section.technique_changed && !section.key_changed);
    assert_eq!(section.steps, ["Verse", "Chorus", "Verse", "Tag"]);
    let crate::sequencer::NextUp::Step(next) = section.next else {
        panic!("{:?}", section.next)
    };
    assert_eq!(
        (next.name, next.pickup_changes, next.technique_changes),
        ("Verse", true, true)
    );
}

#[test]
fn songs_and_steps_are_entered_once_and_a_peek_or_again_enters_nothing() {
    let planned = planned(SET);
    let mut sequencer = Sequencer::open(&planned);
    for (action, wanted) in [
        ("peek", ""),
        ("next", "1.1"),
        ("again", ""),
        ("top", "1.1"),
        ("key-up", ""),
        ("back", ""),
        ("next-song", "2"),
        ("song 2", ""),
        ("back", "1.4"),
        ("undo", "2"),
        ("song 9", ""),
        ("next", "3"),
        ("undo", "2"),
        ("lock", ""),
        ("next", ""),
    ] {
        let entered = sequencer.apply(&planned, &Action::parse(action).unwrap());
        let entered = match entered.unwrap_or(Entered::Nothing) {
            Entered::Song(song) => song.number().to_string(),
            Entered::Step(step) => format!("{}.{}", step.song().number(), step.number()),
            Entered::Nothing => String::new(),
        };
        assert_eq!(entered, wanted, "{action}");
    }
}
