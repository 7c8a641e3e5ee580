//! Sittings from question to answer, with two switches, and what is kept of them.

use crate::pedal::Moment;
use crate::plan::{Planned, solve};
use crate::rehearse::{Face, Input, Item, Kind, Memory, Session, Standing, items, report, usual_seconds};
use crate::sequencer::{PageCue, cue};
use crate::setlist::read_text;

const SET: &str = "
set: Evening
players: [{ name: Wren, seconds_to_move: 10 }]
songs:
  - song: Lamps
    key: G
    pin: { Wren: { fret: 0 } }
    sections: { Verse: { chords: 1 | 4, technique: palm mute, pickup: neck }, Coda: { technique: strum, pickup: bridge } }
  - song: Ferry
    key: Bb
    gap: 12
    pin: { Wren: { fret: 3 } }
    sections: { Intro: { chords: 6- | 4, technique: arpeggio, pickup: middle } }
";

fn planned() -> Planned {
    let set = read_text(SET, None).set;
    Planned {
        plan: solve(&set).unwrap(),
        set,
    }
}

fn at(seconds: f64) -> Moment {
    Moment::from_ns((seconds * 1e9) as u64)
}

/// A sitting on these items alone, begun at 0.
fn sitting(planned: &Planned, wanted: fn(&Kind) -> bool) -> Session {
    let items: Vec<Item> = items(planned).into_iter().filter(|item| wanted(&item.kind)).collect();
    assert!(!items.is_empty());
    Session::new(items, Memory::default(), at(0.0), 0)
}

fn is_move(kind: &Kind) -> bool {
    matches!(kind, Kind::Move { .. })
}

fn is_recall(kind: &Kind) -> bool {
    matches!(kind, Kind::Recall { .. })
}

fn is_shape(kind: &Kind) -> bool {
    matches!(kind, Kind::Shape { .. })
}

/// `Lamps, Coda` for a section page, `Ferry` for a gap page, what is asked for a prompt.
fn shown(session: &Session, planned: &Planned) -> String {
    match session.face(planned, 0).0 {
        Face::Page(state) => match cue(planned, &state).page {
            PageCue::Section(section) => format!("{}, {}", section.song.title, section.name),
            PageCue::Gap(gap) => format!("{} from {:?}", gap.song.title, gap.capo_now.map(|fret| fret.number())),
            PageCue::Peek(_) | PageCue::End(_) => "another page".into(),
        },
        Face::Prompt(prompt) => prompt.ask,
    }
}

#[test]
fn a_set_asks_for_its_moves_its_songs_by_heart_and_its_chords_nothing_twice() {
    let names: Vec<String> = items(&planned()).into_iter().map(|item| item.name).collect();
    assert_eq!(
        names,
        [
            "recall Lamps, sounds G: 0 G",
            "shape G 1",
            "shape G 4",
            "recall Ferry, sounds Bb: 3 G",
            "move 0 G, strum, bridge > 3 G, arpeggio, middle",
            "shape G 6-",
        ]
    );
}

#[test]
fn a_move_runs_from_the_last_page_to_the_first_and_is_timed() {
    let planned = planned();
    let mut sitting = sitting(&planned, is_move);
    assert_eq!(shown(&sitting, &planned), "Lamps, Coda");
    assert_eq!(sitting.act(&planned, Input::Next, at(7.5), 7), None);
    assert_eq!(shown(&sitting, &planned), "Ferry, Intro");
    let answer = sitting.act(&planned, Input::Next, at(9.0), 9).unwrap();
    assert_eq!((answer.seconds, answer.at, answer.rating), (7.5, 9, 3));
}

/// As `new --from` makes them: titles and keys alone.
#[test]
fn songs_without_sections_are_moved_between_too() {
    let songs = "[{ song: Lamps, key: G, pin: { Wren: { fret: 0 } } }, { song: Gate, key: G, pin: { Wren: { fret: 0 } } }, \
                 { song: Ferry, key: Bb, pin: { Wren: { fret: 3 } } }]";
    let set = read_text(
        &format!("set: Evening\nplayers: [{{ name: Wren }}]\nsongs: {songs}\n"),
        None,
    )
    .set;
    let planned = Planned {
        plan: solve(&set).unwrap(),
        set,
    };
    let moves = items(&planned).into_iter().filter(|item| is_move(&item.kind));
    let names: Vec<String> = moves.map(|item| item.name).collect();
    // From Lamps to Gate nothing moves.
    assert_eq!(names, ["move 0 G > 3 G"]);
    let mut sitting = sitting(&planned, is_move);
    assert_eq!(shown(&sitting, &planned), "Gate from None");
    sitting.act(&planned, Input::Next, at(7.5), 7);
    assert_eq!(shown(&sitting, &planned), "Ferry from None");
}

/// Rated by how the time stands against the gap of 12 s and the 10 s that the plan reckons with.
#[test]
fn a_move_is_rated_by_its_time() {
    for (seconds, right, rating) in [
        (4.9, true, 4),
        (5.1, true, 3),
        (12.0, true, 3),
        (12.1, true, 2),
        (3.0, false, 1),
    ] {
        let planned = planned();
        let mut sitting = sitting(&planned, is_move);
        sitting.act(&planned, Input::Next, at(seconds), 0);
        let input = if right { Input::Next } else { Input::Back };
        let answer = sitting.act(&planned, input, at(seconds + 1.0), 0).unwrap();
        assert_eq!(answer.rating, rating, "{seconds} s, right: {right}");
    }
}

#[test]
fn a_song_is_known_by_heart_by_foot_by_key_or_aloud() {
    use Input::{Back, Fret, Next};
    // Lamps is in G: no capo and G shapes, or capo 3 and E shapes.
    for (what, inputs, right) in [
        ("aloud, right", &[Next, Next][..], true),
        ("aloud, wrong", &[Next, Back], false),
        ("the first answer by foot", &[Back, Next, Next], true),
        ("the second answer by foot", &[Back, Back, Next, Next], false),
        (
            "through all of them, a pause, and aloud",
            &[Back, Back, Back, Next, Next, Next],
            true,
        ),
        (
            "the first answer by foot, and on by the other switch",
            &[Back, Next, Back],
            true,
        ),
        ("by key", &[Fret(0), Next], true),
        ("another by key", &[Fret(3), Next], false),
    ] {
        let planned = planned();
        let mut sitting = sitting(&planned, is_recall);
        assert_eq!(shown(&sitting, &planned), "Lamps", "{what}");
        let answers: Vec<_> = inputs
            .iter()
            .filter_map(|&input| sitting.act(&planned, input, at(9.0), 0))
            .collect();
        assert_eq!(answers.len(), 1, "{what}");
        assert_eq!(answers[0].rating > 1, right, "{what}");
    }
}

#[test]
fn after_a_song_by_heart_its_gap_page_shows_how_the_capo_comes_there() {
    let planned = planned();
    let mut sitting = sitting(&planned, is_recall);
    sitting.act(&planned, Input::Next, at(1.0), 0);
    assert_eq!(shown(&sitting, &planned), "Lamps from None");
    sitting.act(&planned, Input::Next, at(2.0), 0);
    assert_eq!(shown(&sitting, &planned), "Ferry");
    sitting.act(&planned, Input::Next, at(3.0), 0);
    assert_eq!(shown(&sitting, &planned), "Ferry from Some(0)");
}

#[test]
fn a_shape_is_fingered_and_then_seen() {
    let planned = planned();
    let mut sitting = sitting(&planned, is_shape);
    assert_eq!(shown(&sitting, &planned), "1");
    sitting.act(&planned, Input::Next, at(1.0), 0);
    assert_eq!(shown(&sitting, &planned), "G");
    let (Face::Prompt(prompt), _) = sitting.face(&planned, 0) else {
        panic!("a page of the set")
    };
    // A handbook's open G, from memory.
    assert_eq!(prompt.chord.unwrap().0.to_string(), "320003");
}

/// Alone and large, the power chord on 1 is fifteen.
#[test]
fn a_number_whose_figures_run_together_is_asked_with_what_sounds() {
    let set = read_text(
        "set: Evening\nsongs:\n  - { song: Riff, key: Cb, sections: { A: { chords: 1 15 27 16/9 5/7 4add9 } } }\n",
        None,
    )
    .set;
    let planned = Planned {
        plan: solve(&set).unwrap(),
        set,
    };
    let asked = items(&planned).into_iter().filter(|item| is_shape(&item.kind));
    let asked = asked.map(|item| {
        let sitting = Session::new(vec![item], Memory::default(), at(0.0), 0);
        match sitting.face(&planned, 0).0 {
            Face::Prompt(prompt) => format!("{}: {}", prompt.ask, prompt.given[1..].join(", ")),
            Face::Page(_) => panic!("a page of the set"),
        }
    });
    assert_eq!(
        asked.collect::<Vec<_>>(),
        [
            "1: capo 4",
            "15: capo 4, sounds C♭5",
            "27: capo 4, sounds D♭7",
            "16/9: capo 4, sounds C♭69",
            "5/7: capo 4",
            "4add9: capo 4",
        ]
    );
}

#[test]
fn what_was_not_known_comes_back_before_what_was() {
    let planned = planned();
    let mut sitting = sitting(&planned, is_shape);
    let mut asked = Vec::new();
    let mut now = 0;
    // Not the first, then all others; a minute between two.
    for turn in 0..8 {
        asked.push(shown(&sitting, &planned));
        sitting.act(&planned, Input::Next, at(now as f64 + 4.0), now);
        let input = if turn == 0 { Input::Back } else { Input::Next };
        sitting.act(&planned, input, at(now as f64 + 5.0), now);
        now += 60;
    }
    assert_eq!(asked[..4], ["1", "4", "1", "6-"], "{asked:?}");
}

/// A sitting can be left by foot at any question, and no clock runs while the player is away.
#[test]
fn where_nothing_is_to_choose_back_pauses_and_then_ends() {
    for wanted in [is_move, is_recall, is_shape] {
        let planned = planned();
        let mut sitting = sitting(&planned, wanted);
        let asked = shown(&sitting, &planned);
        let pause = |sitting: &mut Session| {
            for _ in 0..5 {
                if shown(sitting, &planned) == "enough for now?" {
                    return;
                }
                assert_eq!(sitting.act(&planned, Input::Back, at(50.0), 0), None);
            }
            panic!("{asked} cannot be left by foot");
        };
        pause(&mut sitting);
        sitting.act(&planned, Input::Next, at(100.0), 100);
        assert_eq!(shown(&sitting, &planned), asked);
        sitting.act(&planned, Input::Next, at(104.0), 104);
        let answer = sitting.act(&planned, Input::Next, at(105.0), 105).unwrap();
        assert_eq!(answer.seconds, 4.0, "{asked}");
        if shown(&sitting, &planned) == "nothing is due" {
            sitting.act(&planned, Input::Next, at(106.0), 106);
        }
        pause(&mut sitting);
        sitting.act(&planned, Input::Back, at(110.0), 110);
        assert!(sitting.is_over(), "{asked}");
    }
}

#[test]
fn how_much_is_still_to_go_stands_beside_what_was_right() {
    let planned = planned();
    let mut sitting = sitting(&planned, is_shape);
    let count = |sitting: &Session| match sitting.face(&planned, 0).0 {
        Face::Prompt(prompt) => prompt.count,
        Face::Page(_) => panic!("a page of the set"),
    };
    assert_eq!(count(&sitting), "0 of 0 right, 3 to go");
    sitting.act(&planned, Input::Next, at(1.0), 0);
    sitting.act(&planned, Input::Next, at(2.0), 0);
    assert_eq!(count(&sitting), "1 of 1 right, 2 to go");
}

#[test]
fn when_nothing_is_due_two_switches_go_on_or_end() {
    let planned = planned();
    for (input, over) in [(Input::Next, false), (Input::Back, true)] {
        let mut sitting = sitting(&planned, is_move);
        sitting.act(&planned, Input::Next, at(6.0), 0);
        sitting.act(&planned, Input::Next, at(7.0), 0);
        assert_eq!(shown(&sitting, &planned), "nothing is due");
        sitting.act(&planned, input, at(8.0), 0);
        assert_eq!(sitting.is_over(), over, "{input:?}");
    }
}

/// Five capo moves of 6 s each, where the plan reckons with 10.
#[test]
fn the_time_that_moves_take_is_offered_when_it_is_another() {
    let planned = planned();
    for (input, taken) in [(Input::Next, Some(6)), (Input::Back, None)] {
        let mut sitting = sitting(&planned, is_move);
        for turn in 0..5 {
            let start = f64::from(turn) * 20.0;
            if turn > 0 {
                assert_eq!(shown(&sitting, &planned), "nothing is due", "{turn}");
                sitting.act(&planned, Input::Next, at(start), 0);
            }
            sitting.act(&planned, Input::Next, at(start + 5.9), 0);
            sitting.act(&planned, Input::Next, at(start + 7.0), 0);
        }
        sitting.act(&planned, Input::Back, at(100.0), 0);
        assert_eq!(shown(&sitting, &planned), "6 s");
        sitting.act(&planned, input, at(101.0), 0);
        assert!(sitting.is_over());
        assert_eq!(sitting.taken_seconds(), taken, "{input:?}");
    }
}

#[test]
fn the_report_tells_new_from_shaky_from_known() {
    let planned = planned();
    let all = items(&planned);
    let mut memory = Memory::default();
    let mut sitting = Session::new(all.clone(), Memory::default(), at(0.0), 0);
    for _ in 0..2 {
        sitting.act(&planned, Input::Next, at(1.0), 0);
        let answer = sitting.act(&planned, Input::Next, at(2.0), 0).unwrap();
        memory.take(&answer);
    }
    let day = 86_400;
    let standings = |now| {
        report(&all, &memory, now)
            .rows
            .iter()
            .map(|row| row.standing)
            .collect::<Vec<_>>()
    };
    assert_eq!(standings(day)[..3], [Standing::Known, Standing::Known, Standing::New]);
    assert_eq!(
        standings(400 * day)[..3],
        [Standing::Shaky, Standing::Shaky, Standing::New]
    );
    assert_eq!(usual_seconds(&all, &memory), None, "no moves yet");
}
