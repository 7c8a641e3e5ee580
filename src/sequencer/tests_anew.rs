//! A set read anew: from a page in one set to the page in another, in a shorthand of titles and section names.

use crate::plan::{self, Planned};
use crate::sequencer::{Action, Anew, Line, Page, Sequencer};

/// A set in shorthand: songs parted by `|`, each a title and its sections, those of two bars. `Lamps@3 V C` is pinned to
/// the third fret, `Lamps#D V` is in D.
fn planned(songs: &str) -> Planned {
    let song = |song: &str| {
        let mut words = song.split_whitespace();
        let head = words.next().unwrap();
        let (head, fret) = head
            .split_once('@')
            .map_or((head, None), |(head, fret)| (head, Some(fret)));
        let (title, key) = head.split_once('#').unwrap_or((head, "C"));
        let pin = fret.map_or(String::new(), |fret| format!("pin: {{ Wren: {{ fret: {fret} }} }}, "));
        let order: Vec<&str> = words.collect();
        let mut names = order.clone();
        names.sort_unstable();
        names.dedup();
        let sections: Vec<String> = names.iter().map(|name| format!("{name}: {{ bars: 2 }}")).collect();
        let (order, sections) = (order.join(", "), sections.join(", "));
        let played = if names.is_empty() {
            String::new()
        } else {
            format!(", sections: {{ {sections} }}, order: [{order}]")
        };
        format!("  - {{ song: {title}, key: {key}, meter: 4/4, {pin}send: []{played} }}\n")
    };
    let songs: String = songs.split('|').map(song).collect();
    plan::planned(&format!(
        "set: Evening\nplayers: [{{ name: Wren, highest_fret: 11 }}]\nsongs:\n{songs}"
    ))
}

/// A page by its song's number and step: `2` is a gap page, `2.1` a step, `end` the end.
fn name(sequencer: &Sequencer) -> String {
    match sequencer.state().page() {
        Page::Gap(song) => song.number().to_string(),
        Page::Section(step) => format!("{}.{}", step.song().number(), step.number()),
        Page::End => "end".into(),
    }
}

/// A sequencer on which these actions were done; a number with a dot goes to that page.
fn after(planned: &Planned, actions: &str) -> Sequencer {
    let mut sequencer = Sequencer::open(planned);
    for action in actions.split(", ").filter(|action| !action.is_empty()) {
        go(&mut sequencer, planned, action);
    }
    sequencer
}

fn go(sequencer: &mut Sequencer, planned: &Planned, action: &str) {
    let page = action
        .split_once('.')
        .and_then(|(song, step)| Some((song.parse().ok()?, step.parse().ok()?)));
    let mut does = |action: Action| sequencer.apply(planned, &action).map(|_| ()).unwrap();
    match page {
        Some((song, steps)) => {
            does(Action::Song(song));
            (0..steps).for_each(|_: u32| does(Action::Next));
        }
        None => does(Action::parse(action).unwrap()),
    }
}

/// What the page says after these actions in the old set and its change to the new one.
fn moved(old: &str, actions: &str, new: &str) -> (Sequencer, Planned) {
    let (old, new) = (planned(old), Anew::new(planned(new)));
    let mut sequencer = after(&old, actions);
    sequencer.move_to(&old, &new);
    (sequencer, new.into_planned())
}

#[track_caller]
fn check(old: &str, page: &str, new: &str, wanted: &str) {
    let (sequencer, _) = moved(old, page, new);
    assert_eq!(name(&sequencer), wanted, "on {page} of {old}, which became {new}");
}

#[test]
fn a_song_is_found_by_its_title_wherever_it_stands_now() {
    for (old, page, new, wanted) in [
        ("A|B|C", "2.0", "A|B|C", "2"),
        ("A|B|C", "2.0", "X|A|B|C", "3"),
        ("A|B|C", "2.0", "C|B|A", "2"),
        ("A|B|C", "3.0", "C|A|B", "1"),
        ("A V C|B V C", "2.2", "B V C|A V C", "1.2"),
        ("A|B|C", "next-song, next-song, next-song", "A", "end"),
    ] {
        check(old, page, new, wanted);
    }
}

#[test]
fn of_several_songs_of_one_title_it_is_the_nearest() {
    for (old, page, new, wanted) in [
        ("A|B|A|B|A", "3.0", "A|B|A|B|A", "3"),
        ("A|B|C|D|A", "5.0", "A|B|C|A", "4"),
        ("A|B|C|D|A", "1.0", "X|A|B|C|D|A", "2"),
        ("A|B|C|D|E", "5.0", "E|A|B|C|E", "5"),
        ("A|B|C|D|E", "3.0", "C|B|X|X|X|C", "1"),
        // As near before as behind: the second of them remains the second.
        ("A|B|A", "3.0", "X|A|B|A", "4"),
        ("X|A|B|A", "2.0", "A|B|A", "1"),
    ] {
        check(old, page, new, wanted);
    }
}

#[test]
fn where_the_song_is_gone_it_is_the_gap_page_of_the_one_that_stands_there() {
    for (old, page, new, wanted) in [
        ("A|B|C", "2.0", "A|C", "2"),
        ("A|B V|C", "2.1", "A|X V|C", "2"),
        ("A|B|C", "3.0", "A|B", "2"),
        ("A|B|C V", "3.1", "A V", "1"),
        ("A|lamps", "2.0", "A|Lamps", "2"),
    ] {
        check(old, page, new, wanted);
    }
}

#[test]
fn a_step_is_found_by_its_name_and_which_time_it_comes() {
    for (old, page, new, wanted) in [
        ("A V C V C", "1.3", "A V C V C", "1.3"),
        ("A V C V C", "1.3", "A I V C C V C", "1.5"),
        ("A V C V C", "1.4", "A C V V C V", "1.4"),
        ("A V C V C", "1.4", "A V C V", "1"),
        ("A V C V C", "1.2", "A V V", "1"),
        ("A V C", "1.2", "A V c", "1"),
        ("A V C", "1.2", "A", "1"),
    ] {
        check(old, page, new, wanted);
    }
}

#[test]
fn the_count_of_times_stays_with_the_step_and_is_over_without_it() {
    let times = |new| {
        let (sequencer, planned) = moved("A V C", "1.2, again, again", new);
        Line::new(&planned, sequencer.state()).times
    };
    assert_eq!([times("X|A I V C"), times("A V"), times("X")], [3, 0, 0]);
}

#[test]
fn a_lock_and_a_peek_stay() {
    let (sequencer, planned) = moved("A V|B|C", "1.1, lock", "A V|B|C");
    assert!(sequencer.state().is_locked());
    drop(planned);
    let peeked = |old, new| {
        let (sequencer, planned) = moved(old, "1.1, peek", new);
        let line = Line::new(&planned, sequencer.state());
        (line.page, line.title.unwrap_or_default())
    };
    assert_eq!(peeked("A V|B", "A V|X|B"), ("peek".into(), "X".into()));
    assert_eq!(
        peeked("A V|B", "A V"),
        ("section".into(), "A".into()),
        "nothing comes any more"
    );
}

/// Fret, move, and the move of the next song's gap page, each as shown.
fn frets(old: &str, actions: &str, new: &[&str]) -> [i8; 3] {
    let mut planned_now = planned(old);
    let mut sequencer = after(&planned_now, actions);
    for new in new {
        let new = Anew::new(planned(new));
        sequencer.move_to(&planned_now, &new);
        planned_now = new.into_planned();
    }
    let line = Line::new(&planned_now, sequencer.state());
    let (fret, r#move) = (line.fret.unwrap() as i8, line.r#move);
    go(&mut sequencer, &planned_now, "next-song");
    [fret, r#move, Line::new(&planned_now, sequencer.state()).r#move]
}

#[test]
fn a_key_called_in_a_changed_set_moves_the_capo_from_the_fret_that_is_on() {
    // The plan's fret for A goes from 3 to 5, while its page is shown or under a look ahead.
    for actions in ["1.1", "1.1, peek"] {
        let old = planned("A@3 V|B@5");
        let mut sequencer = after(&old, actions);
        let new = Anew::new(planned("A@5 V|B@5"));
        sequencer.move_to(&old, &new);
        go(&mut sequencer, new.planned(), "key-up");
        let line = Line::new(new.planned(), sequencer.state());
        let (fret, r#move) = (line.fret.unwrap() as i8, line.r#move);
        assert_eq!((&*line.page, fret - r#move), ("section", 3), "{actions}: {line:?}");
        assert_ne!(r#move, 0, "{actions}: {line:?}");
    }
}

#[test]
fn the_fret_that_is_on_stays_and_the_move_to_a_new_one_is_shown() {
    for (old, actions, new, wanted) in [
        // Nothing about the frets has changed.
        ("A@3 V|B@5", "1.1", &["A@3 V C|B@5"][..], [3, 0, 2]),
        ("A@3 V|B@5", "1.1", &["A@4 V|B@5"], [4, 1, 2]),
        ("A@3 V|B@5", "1.1", &["A@4 V|B@5", "A@1 V|B@5"], [1, -2, 2]),
        ("A@3 V|B@5", "1.1", &["A@4 V|B@5", "A@4 V W|B@5"], [4, 1, 2]),
        ("A@3 V|B@5", "1.1", &["A@4 V|B@5", "A@3 V|B@5"], [3, 0, 2]),
        ("A@3 V|B@5", "1.1", &["A@3 V|B@0"], [3, 0, -3]),
        // On a gap page, and where the step is gone, the capo comes from what is on.
        ("A@3 V|B@5|C@0", "1.1, next-song", &["A@3 V|B@1|C@0"], [1, -2, -3]),
        ("A@3 V|B@5", "1.1", &["A@4 W|B@5"], [4, 1, 2]),
        // Nothing is on yet.
        ("A@3 V|B@5", "", &["A@4 V|B@5"], [4, 0, 0]),
    ] {
        assert_eq!(
            frets(old, actions, new),
            wanted,
            "{actions} in {old}, which became {new:?}"
        );
    }
}

/// The key that sounds and the fret.
fn key_and_fret(old: &str, actions: &str, new: &str) -> (String, u8) {
    let (sequencer, planned) = moved(old, actions, new);
    let line = Line::new(&planned, sequencer.state());
    (line.key.unwrap(), line.fret.unwrap())
}

#[test]
fn a_key_called_on_stage_stays_with_its_song() {
    for (old, actions, new, wanted) in [
        ("A V|B V", "1.1, key-up, key-up", "X|A V|B V", "D"),
        ("A#G V|B", "1.1, key-down", "B|A#A V", "Ab"),
        ("A#G V|B", "1.0, key-up", "B|X", "C"),
    ] {
        assert_eq!(
            key_and_fret(old, actions, new).0,
            wanted,
            "{actions} in {old}, which became {new}"
        );
    }
    // The other song's key came along, too.
    let (mut sequencer, planned) = moved("A V|B V", "2.1, key-up, key-up, song 1", "B V|X|A V");
    assert_eq!(name(&sequencer), "3");
    go(&mut sequencer, &planned, "song 1");
    assert_eq!(Line::new(&planned, sequencer.state()).key.unwrap(), "D");
}

#[test]
fn a_called_songs_fret_stays_unless_it_plays_the_key_no_more() {
    let call = "1.1, key-up, key-up";
    let at = |new| key_and_fret("A@0 V|B", call, new).1;
    let stays = key_and_fret("A@0 V|B", call, "A@0 V|B").1;
    assert_eq!(
        at("A@7 V|B|C"),
        stays,
        "the pin is the file's, the called fret the player's"
    );
    // Two semitones above C sharp is E flat, which no family plays without a capo.
    let anew = at("A#C# V|B");
    assert!(anew > 0, "E flat at fret {anew}");
}

#[test]
fn undo_goes_back_through_the_pages_as_they_are_in_the_new_set() {
    let (mut sequencer, planned) = moved("A V C|B V|C", "1.1, 1.2, again, 2.1, song 3", "X|A V C|C");
    let mut pages = vec![name(&sequencer)];
    while sequencer.apply(&planned, &Action::Undo).is_ok() {
        pages.push(name(&sequencer));
    }
    // B's pages, gone, are X's neighbour in its place once; A's are where A is.
    assert_eq!(pages, ["3", "2", "2.2", "2.2", "2.1", "2", "2.1", "2"]);
}

#[test]
fn a_step_whose_bars_change_ends_that_much_later_or_sooner() {
    // Two bars of 4/4 are 192 clocks; entered at the first clock, the step ends at the 193rd.
    let set = |bars: u32| {
        plan::planned(&format!(
            "set: Evening\nsongs:\n  - {{ song: A, key: C, meter: 4/4, sections: {{ V: {{ bars: {bars} }}, C: {{}} }} }}\n"
        ))
    };
    for (bars, heard, wanted) in [(2, 50, 193), (4, 50, 385), (1, 50, 97), (1, 150, 150 + 96 + 43)] {
        let (old, new) = (set(2), Anew::new(set(bars)));
        let mut sequencer = after(&old, "1.1");
        (0..heard).for_each(|_| assert!(!sequencer.clock()));
        sequencer.move_to(&old, &new);
        let due = (heard + 1..2000).find(|_| sequencer.clock());
        assert_eq!(due, Some(wanted), "{bars} bars after {heard} clocks");
    }
}
