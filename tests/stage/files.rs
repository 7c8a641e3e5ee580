//! Files that change while the show runs: whatever way an editor saves, the page stays, and what is broken is left.

use super::{NEXT, OPENING, PEEK, SIZE, step};
use crate::show::Show;
use std::fs;
use std::os::unix::fs::symlink;
use std::path::Path;

const SET: &str = "harvest-evening.yaml";
const SONG: &str = "songs/ferry-in-the-fog.yaml";
const VERSE: &str = "Capo 3, G shapes: Lanterns at Millpond, Verse";

/// On the first song's second step.
fn on_the_verse() -> Show {
    let mut show = Show::open(SIZE);
    step(&mut show, NEXT);
    step(&mut show, NEXT);
    show.until_title(VERSE);
    show.until_says("1/8");
    show
}

/// A song more at the beginning.
fn with_a_song_before(set: String) -> String {
    set.replacen("songs:\n", "songs:\n  - { song: Mill Race, key: G }\n", 1)
}

/// The ways in which programs save a file.
fn save_in_place(path: &Path, text: &str) {
    fs::write(path, text).unwrap();
}

fn save_by_renaming_over(path: &Path, text: &str) {
    let new = path.with_extension("new");
    fs::write(&new, text).unwrap();
    fs::rename(new, path).unwrap();
}

fn save_by_removing_first(path: &Path, text: &str) {
    fs::remove_file(path).unwrap();
    fs::write(path, text).unwrap();
}

fn save_by_moving_away_first(path: &Path, text: &str) {
    fs::rename(path, path.with_extension("old")).unwrap();
    fs::write(path, text).unwrap();
}

fn save_through_another_folder(path: &Path, text: &str) {
    let folder = path.parent().unwrap().join("elsewhere");
    fs::create_dir_all(&folder).unwrap();
    let new = folder.join("set.yaml");
    fs::write(&new, text).unwrap();
    fs::rename(new, path).unwrap();
}

#[test]
fn a_set_that_changes_takes_effect_on_the_same_page_however_it_is_saved() {
    let ways: [fn(&Path, &str); 5] = [
        save_in_place,
        save_by_renaming_over,
        save_by_removing_first,
        save_by_moving_away_first,
        save_through_another_folder,
    ];
    let mut show = on_the_verse();
    for (way, save) in (2..).zip(ways) {
        let text = with_a_song_before(show.read(SET));
        save(&show.path(SET), &text);
        show.until_says("the set was read anew");
        assert_eq!(show.title(), VERSE, "way {way}");
        // A press clears the line: a look ahead and back.
        step(&mut show, PEEK);
        step(&mut show, PEEK);
        show.until_says(&format!("{way}/{}", way + 7));
    }
    // Pedals work on, in the new set.
    step(&mut show, NEXT);
    show.until_title("Capo 3, G shapes: Lanterns at Millpond, Chorus");
}

#[test]
fn a_broken_set_changes_nothing_but_the_notice_and_a_mended_one_is_taken() {
    let mut show = on_the_verse();
    let good = show.read(SET);
    save_in_place(&show.path(SET), &good.replacen("tempo: 72", "tmepo: 72", 1));
    show.until_says("not taken: harvest-evening.yaml:14: ");
    assert_eq!(show.title(), VERSE);
    step(&mut show, NEXT);
    show.until_title("Capo 3, G shapes: Lanterns at Millpond, Chorus");
    fs::remove_file(show.path(SET)).unwrap();
    show.until_says("not taken: harvest-evening.yaml: there is no such file");
    save_by_renaming_over(&show.path(SET), &with_a_song_before(good));
    show.until_says("the set was read anew");
    show.until_says("2/9");
    assert_eq!(show.title(), "Capo 3, G shapes: Lanterns at Millpond, Chorus");
}

#[test]
fn where_the_plan_changes_the_move_is_shown_and_the_page_stays() {
    let mut show = on_the_verse();
    let set = show.read(SET);
    let pinned = set.replacen(
        "    meter: 4/4\n",
        "    meter: 4/4\n    pin: { Wren: { fret: 1 } }\n",
        1,
    );
    save_in_place(&show.path(SET), &pinned);
    show.until_title("Capo 1, A shapes: Lanterns at Millpond, Verse");
    show.until_says("the set was read anew");
    // On the neck, from the third fret to the first.
    show.until_says("◄═");
}

/// A key called in the file, where a pin holds the capo that was right for the key before.
#[test]
fn a_pin_that_keeps_the_shapes_away_is_told_when_the_set_is_read_anew() {
    let mut show = on_the_verse();
    let pinned = show.read(SET).replacen(
        "    meter: 4/4\n",
        "    meter: 4/4\n    pin: { Wren: { fret: 2 } }\n",
        1,
    );
    save_in_place(&show.path(SET), &pinned);
    show.until_says("read anew, but Wren's shapes do not give `B♭` with the capo at fret 2");
}

#[test]
fn a_song_file_that_the_set_uses_is_watched_and_so_is_one_that_it_comes_to_use() {
    let mut show = on_the_verse();
    let set = show.read(SET);
    save_in_place(&show.path(SET), &set.replacen("key: Db ", "", 1));
    show.until_says("the set was read anew");
    let song = show.read(SONG);
    save_by_renaming_over(&show.path(SONG), &song.replacen("key: D\n", "key: A\n", 1));
    show.type_keys("\x1b[B");
    step(&mut show, NEXT);
    show.until_says("sounds A");
    let set = show
        .read(SET)
        .replace("- use: songs/ferry-in-the-fog.yaml", "- use: new/ferry.yaml");
    save_in_place(&show.path(SET), &set);
    show.until_says("not taken: harvest-evening.yaml:27: `new");
    fs::create_dir(show.path("new")).unwrap();
    fs::write(show.path("new/ferry.yaml"), song).unwrap();
    show.until_says("the set was read anew");
    step(&mut show, NEXT);
    show.until_says("sounds D");
}

#[test]
fn a_folder_moved_away_and_made_anew_is_watched_anew() {
    let mut show = on_the_verse();
    fs::rename(show.path("songs"), show.path("old")).unwrap();
    show.until_says("not taken: ");
    fs::create_dir(show.path("songs")).unwrap();
    fs::copy(show.path("old/ferry-in-the-fog.yaml"), show.path(SONG)).unwrap();
    show.until_says("the set was read anew");
    let song = show.read(SONG);
    save_in_place(
        &show.path(SONG),
        &song.replacen("song: Ferry in the Fog", "song: Ferry", 1),
    );
    show.type_keys("\x1b[B");
    show.until("the other title", |show| show.title().ends_with(": Ferry"));
}

#[test]
fn a_set_behind_links_is_read_anew_when_it_comes_back_or_a_link_leads_elsewhere() {
    let mut show = on_the_verse();
    let set = show.read(SET);
    for (folder, text) in [("v1", set.clone()), ("v2", with_a_song_before(set.clone()))] {
        fs::create_dir(show.path(folder)).unwrap();
        fs::write(show.path(folder).join("set.yaml"), text).unwrap();
    }
    symlink("v1", show.path("current")).unwrap();
    replace_by_link(&show.path(SET), "current/set.yaml");
    // The same text: nothing is said, but from now on the link is watched.
    show.settle();
    fs::remove_file(show.path("v1/set.yaml")).unwrap();
    show.until_says("not taken: harvest-evening.yaml: there is no such file");
    show.settle();
    fs::write(show.path("v1/set.yaml"), set).unwrap();
    show.until_says("the set was read anew");
    show.until_says("1/8");
    replace_by_link(&show.path("current"), "v2");
    show.until_says("2/9");
}

fn replace_by_link(path: &Path, to: &str) {
    let new = path.with_extension("new");
    symlink(to, &new).unwrap();
    fs::rename(new, path).unwrap();
}

#[test]
fn a_player_file_that_changes_binds_and_looks_at_once() {
    let mut show = on_the_verse();
    let player = show.read("player.yaml");
    let changed = player
        .replacen("{ cc: 80, do: next }", "{ cc: 80, do: next-song }", 1)
        .replacen("theme: dark", "theme: light", 1);
    let before = show.picture();
    save_by_renaming_over(&show.path("player.yaml"), &changed);
    show.until_says("the set was read anew");
    assert!(show.picture() != before);
    step(&mut show, NEXT);
    show.until_title("Capo 4, A shapes: Ferry in the Fog");
}

#[test]
fn files_that_are_only_read_or_touched_change_nothing() {
    let mut show = on_the_verse();
    show.settle();
    let before = show.picture();
    let same = show.read(SET);
    save_by_renaming_over(&show.path(SET), &same);
    fs::write(show.path("neighbour.yaml"), "set: [").unwrap();
    show.settle();
    assert!(show.picture() == before, "{}", show.text());
    assert_ne!(show.title(), OPENING);
}
