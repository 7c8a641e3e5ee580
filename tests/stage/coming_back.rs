//! A show that died comes back to its page: killed, left, run twice at once, and with a state folder that fails.

use super::{AGAIN, NEXT, OPENING, PEEK, SIZE, step};
use crate::show::Show;
use std::fs;
use std::path::PathBuf;

const INTRO: &str = "Capo 3, G shapes: Lanterns at Millpond, Intro";
const VERSE: &str = "Capo 3, G shapes: Lanterns at Millpond, Verse";
const BACK_AGAIN: &str = "back where the show broke off, just now";

#[test]
fn a_killed_show_comes_back_to_the_very_page() {
    let mut show = Show::open(SIZE);
    // The opening, two steps, twice more, a key up, the lock.
    for cc in [NEXT, NEXT, AGAIN, AGAIN] {
        step(&mut show, cc);
    }
    show.type_keys("+l");
    show.until_says("LOCKED");
    show.until_journal_has(7);
    show.settle();
    let (title, picture) = (show.title().to_owned(), show.picture());
    assert!(title.ends_with("Verse x3") && title != format!("{VERSE} x3"), "{title}");

    show.kill_and_start_again(&[]);
    show.until_title(&title);
    show.until_says(BACK_AGAIN);
    show.until("the page as it was", |show| show.picture() == picture);

    // What was done before can still be undone.
    show.type_keys("l");
    show.until("no lock", |show| !show.text().contains("LOCKED"));
    for title in [
        format!("{VERSE} x3"),
        format!("{VERSE} x2"),
        VERSE.into(),
        INTRO.into(),
        OPENING.into(),
    ] {
        std::thread::sleep(std::time::Duration::from_millis(100));
        show.type_keys("u");
        show.until_title(&title);
    }
}

#[test]
fn a_look_ahead_is_come_back_to() {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    step(&mut show, PEEK);
    show.until_journal_has(3);
    show.kill_and_start_again(&[]);
    show.until_title("Next: Capo 4, A shapes: Ferry in the Fog");
    show.until_says(BACK_AGAIN);
    step(&mut show, PEEK);
    show.until_title(INTRO);
}

#[test]
fn killed_again_and_again_it_goes_on_in_one_journal() {
    let mut show = Show::open(SIZE);
    let mut told = 1;
    for title in [INTRO, VERSE] {
        step(&mut show, NEXT);
        show.until_title(title);
        show.until_journal_has(told + 1);
        show.kill_and_start_again(&[]);
        show.until_title(title);
        told += 2;
        show.until_journal_has(told);
    }
    assert_eq!(show.journals().len(), 1);
}

#[test]
fn half_a_line_at_the_end_is_dropped() {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    show.until_journal_has(2);
    show.signal("KILL");
    show.until_ended();
    let journal = only_journal(&show);
    let text = fs::read_to_string(&journal).unwrap();
    fs::write(journal, text + r#"{"ms":2.0,"did":"next","by":"swi"#).unwrap();
    let mut show = show.another(&[]);
    show.until_title(INTRO);
    step(&mut show, NEXT);
    show.until_title(VERSE);
    show.until_journal_has(4);
    let journals = show.journals();
    let good = |line: &str| serde_json::from_str::<serde_json::Value>(line).is_ok();
    assert!(journals[0].lines().all(good), "{journals:?}");
}

/// The clock may have been set, or hours gone by, between the end and the start: each line is so much older, or newer.
#[test]
fn a_show_is_come_back_to_within_six_hours_and_though_the_clock_was_set_back() {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    show.until_journal_has(2);
    show.signal("KILL");
    show.until_ended();
    let journal = only_journal(&show);
    let text = fs::read_to_string(&journal).unwrap();
    for (minutes, words) in [
        (-359, Some("broke off, 5 h 59 min ago;")),
        (-361, None),
        (23 * 60, Some("broke off, just now;")),
        (25 * 60, None),
    ] {
        let folder = journal.parent().unwrap();
        fs::remove_dir_all(folder).unwrap();
        fs::create_dir(folder).unwrap();
        fs::write(&journal, moved_by(&text, minutes)).unwrap();
        let mut show = show.another(&[]);
        match words {
            Some(words) => {
                show.until_says(words);
                show.until_title(INTRO);
            }
            None => show.until_title(OPENING),
        }
        show.signal("KILL");
        show.until_ended();
    }
}

fn only_journal(show: &Show) -> PathBuf {
    let mut folders = fs::read_dir(show.path("footlights/journal")).unwrap();
    let folder = folders.next().unwrap().unwrap().path();
    fs::read_dir(folder).unwrap().next().unwrap().unwrap().path()
}

/// A journal with every time in it so much later.
fn moved_by(text: &str, minutes: i64) -> String {
    let line = |line: &str| {
        let mut value: serde_json::Value = serde_json::from_str(line).unwrap();
        let at: jiff::Timestamp = value["at"].as_str().unwrap().parse().unwrap();
        let moved = at + jiff::SignedDuration::from_mins(minutes);
        let (old, new) = (value["at"].take(), moved.to_string());
        line.replace(old.as_str().unwrap(), &new) + "\n"
    };
    text.lines().map(line).collect()
}

#[test]
fn a_show_that_was_left_in_the_middle_goes_on_and_one_that_was_left_at_its_end_is_over() {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    show.signal("TERM");
    assert_eq!(show.until_ended().code(), Some(0));
    let mut show = show.another(&[]);
    show.until_title(INTRO);

    show.send(&[0xC0, 7]);
    show.until_title("No capo, A shapes: Seven Lamps");
    show.type_keys("\x1b[B");
    show.until_title("The end: Harvest evening at the millpond");
    show.until_journal_has(5);
    // Killed at the end page it was not left there.
    show.kill_and_start_again(&[]);
    show.until_title("The end: Harvest evening at the millpond");
    show.until_journal_has(6);
    show.signal("TERM");
    assert_eq!(show.until_ended().code(), Some(0));
    let mut show = show.another(&[]);
    show.until_title(OPENING);
    show.until_journal_has(7);
    assert_eq!(show.journals().len(), 2);
}

#[test]
fn fresh_starts_over_and_what_was_before_is_over() {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    show.until_journal_has(2);
    show.kill_and_start_again(&["--fresh"]);
    show.until_title(OPENING);
    show.until_journal_has(3);
    show.kill_and_start_again(&[]);
    // The fresh one's page, not that of the one before.
    show.until_title(OPENING);
}

#[test]
fn two_shows_at_once_keep_two_journals_and_each_is_come_back_to() {
    let mut one = Show::open(SIZE);
    one.type_keys(" ");
    one.until_title(INTRO);
    let mut two = one.another(&[]);
    two.until_title(OPENING);
    two.type_keys("8\r");
    two.until_title("No capo, A shapes: Seven Lamps");
    two.until_journal_has(4);
    assert_eq!(one.journals().len(), 2);
    // While the first one runs, nobody but itself goes on with its journal.
    two.kill_and_start_again(&[]);
    two.until_title("No capo, A shapes: Seven Lamps");
    one.signal("KILL");
    one.until_ended();
    let mut one = two.another(&[]);
    one.until_title(INTRO);
}

#[test]
fn a_set_that_was_changed_meanwhile_is_gone_on_with_by_names() {
    let mut show = Show::open(SIZE);
    for cc in [NEXT, NEXT, AGAIN] {
        step(&mut show, cc);
    }
    show.until_journal_has(4);
    // Its journal ends with a whole account then, and nothing was done since.
    show.kill_and_start_again(&[]);
    show.until_journal_has(5);
    show.signal("KILL");
    show.until_ended();
    let set = show.path("harvest-evening.yaml");
    let text = fs::read_to_string(&set).unwrap();
    let songs = "songs:\n";
    assert!(text.contains(songs));
    let before = "songs:\n  - { song: Before It All, key: G, sections: { Verse: { bars: 4 } } }\n";
    fs::write(set, text.replacen(songs, before, 1)).unwrap();
    let mut show = show.another(&[]);
    show.until_title(&format!("{VERSE} x2"));
    show.until_says("back in a changed set");
}

#[test]
fn a_set_that_was_changed_in_mid_show_is_come_back_to_as_it_is_now() {
    let mut show = Show::open(SIZE);
    for cc in [NEXT, NEXT] {
        step(&mut show, cc);
    }
    let set = show.path("harvest-evening.yaml");
    let text = fs::read_to_string(&set).unwrap();
    let before = "songs:\n  - { song: Before It All, key: G, sections: { Verse: { bars: 4 } } }\n";
    fs::write(set, text.replacen("songs:\n", before, 1)).unwrap();
    show.until_says("the set was read anew");
    step(&mut show, AGAIN);
    show.until_title(&format!("{VERSE} x2"));
    // The opening, three actions, and where the changed set was gone on with.
    show.until_journal_has(5);
    show.kill_and_start_again(&[]);
    show.until_title(&format!("{VERSE} x2"));
    show.until_says(BACK_AGAIN);
    for title in [VERSE, INTRO, OPENING] {
        std::thread::sleep(std::time::Duration::from_millis(100));
        show.type_keys("u");
        show.until_title(title);
    }
}

#[test]
fn a_state_folder_that_cannot_be_made_is_told_once_and_the_show_goes_on() {
    let mut show = Show::open(SIZE);
    show.signal("KILL");
    show.until_ended();
    fs::remove_dir_all(show.path("footlights")).unwrap();
    fs::write(show.path("footlights"), "no folder").unwrap();
    let mut show = show.another(&[]);
    show.until_says("the journal cannot be written");
    step(&mut show, NEXT);
    show.until_title(INTRO);
    show.settle();
    assert!(!show.text().contains("the journal cannot be written"));
    // Once it can be made, the next action is written with all that was before.
    fs::remove_file(show.path("footlights")).unwrap();
    step(&mut show, NEXT);
    show.until_title(VERSE);
    show.until("a journal", |show| show.journals().concat().contains("Verse"));
    show.kill_and_start_again(&[]);
    show.until_title(VERSE);
    show.type_keys("u");
    show.until_title(INTRO);
}

#[test]
fn a_state_folder_that_is_moved_in_mid_show_is_made_again() {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    show.until_journal_has(2);
    fs::rename(show.path("footlights/journal"), show.path("footlights/elsewhere")).unwrap();
    step(&mut show, NEXT);
    show.until_says("the journal cannot be written: its file was removed or moved");
    step(&mut show, NEXT);
    // The account of the page before names the section that comes next: the press itself must be there.
    show.until("a journal", |show| {
        let all = show.journals().concat();
        all.contains("Chorus") && all.contains("\"did\":\"next\"")
    });
    show.kill_and_start_again(&[]);
    show.until_title("Capo 3, G shapes: Lanterns at Millpond, Chorus");
}

#[test]
fn a_state_folder_that_is_removed_in_mid_show_is_made_again() {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    show.until_journal_has(2);
    fs::remove_dir_all(show.path("footlights/journal")).unwrap();
    // The press that finds the folder gone is not lost with it.
    step(&mut show, NEXT);
    show.until("a journal", |show| show.journals().concat().contains("Verse"));
    show.kill_and_start_again(&[]);
    show.until_title(VERSE);
    show.type_keys("u");
    show.until_title(INTRO);
}
