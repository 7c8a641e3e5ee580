//! What stands on each page, and where.

use super::cues::{chord, cue, drawn, fret, gap, key, section};
use crate::music::{Family, Voicing};
use crate::screen::{ENOUGH_ARC_MINUTES, Glyphs, Look, Picture, Prompt, Screen, Sight, Status, Theme, as_text, title};
use crate::sequencer::{Cue, End, NextUp, PageCue};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::{Color, Modifier};
use std::time::Duration;

fn plain_text(cue: &Cue<'_>, columns: u16, rows: u16) -> String {
    as_text(&drawn(Look::default(), cue, &Status::default(), columns, rows))
}

fn section_page<'a>(title: &'a str, step: &'a str) -> Cue<'a> {
    cue(PageCue::Section(section(title, step)))
}

fn gap_page<'a>(title: &'a str, step: &'a str) -> Cue<'a> {
    cue(PageCue::Gap(gap(title, step)))
}

#[test]
fn the_smallest_pages_as_they_are_seen() {
    insta::assert_snapshot!("section_20x6", plain_text(&section_page("The Ferry", "Verse"), 20, 6));
    insta::assert_snapshot!("gap_20x6", plain_text(&gap_page("The Ferry", "Verse"), 20, 6));
    insta::assert_snapshot!("section_19x4", plain_text(&section_page("The Ferry", "Verse"), 19, 4));
}

#[test]
fn pages_of_a_common_size_as_they_are_seen() {
    insta::assert_snapshot!(
        "section_80x24",
        plain_text(&section_page("Lanterns at Millpond", "Chorus"), 80, 24)
    );
    insta::assert_snapshot!(
        "gap_80x24",
        plain_text(&gap_page("Lanterns at Millpond", "Verse"), 80, 24)
    );
    let peek = cue(PageCue::Peek(gap("Lanterns at Millpond", "Verse")));
    insta::assert_snapshot!("peek_80x24", plain_text(&peek, 80, 24));
    let end = cue(PageCue::End(End { songs: 9 }));
    let status = Status {
        elapsed: Some(Duration::from_secs(4_321)),
        ..Status::default()
    };
    insta::assert_snapshot!("end_80x24", as_text(&drawn(Look::default(), &end, &status, 80, 24)));
    let keys = Status {
        help: true,
        ..Status::default()
    };
    insta::assert_snapshot!("keys_80x24", as_text(&drawn(Look::default(), &end, &keys, 80, 24)));
}

#[test]
fn a_page_in_letters_alone_as_it_is_seen() {
    let look = Look {
        glyphs: Glyphs::Letters,
        ..Look::default()
    };
    let page = section_page("Lanterns at Millpond", "Chorus");
    insta::assert_snapshot!(
        "section_letters_80x24",
        as_text(&drawn(look, &page, &Status::default(), 80, 24))
    );
}

/// How many rows high the words came out, by what they say.
fn heights(cue: &Cue<'_>, columns: u16, rows: u16) -> Vec<(&'static str, f64)> {
    let all = Screen::new(Look::default()).heights(cue, Rect::new(0, 0, columns, rows));
    all.into_iter().map(|height| (height.what, height.rows)).collect()
}

#[test]
fn at_20_by_6_the_first_item_is_large_and_the_title_is_there() {
    for (page, first) in [
        (section_page("The Ferry", "Verse"), "step"),
        (gap_page("The Ferry", "Verse"), "capo fret"),
    ] {
        let all = heights(&page, 20, 6);
        let height = all.iter().find(|(what, _)| *what == first).unwrap().1;
        assert!(height >= 2.0, "{first}: {height}");
        assert!(plain_text(&page, 20, 6).contains("The Ferry"), "{first}");
    }
}

#[test]
fn at_80_by_24_all_that_matters_is_in_large_words() {
    for (page, items) in [
        (
            section_page("Lanterns at Millpond", "Chorus"),
            ["step", "technique", "pickup", "next", "capo"].as_slice(),
        ),
        (
            gap_page("Lanterns at Millpond", "Verse"),
            &["capo fret", "move", "shapes", "key", "title", "place", "first step"],
        ),
    ] {
        let all = heights(&page, 80, 24);
        for item in items {
            let (_, height) = all
                .iter()
                .find(|(what, _)| what == item)
                .unwrap_or_else(|| panic!("no {item}"));
            assert!(*height >= 2.4, "{item}: {height}");
        }
    }
}

/// The most important words are never lower than they were on a smaller screen of the same shape.
#[test]
fn words_grow_with_the_screen() {
    let page = section_page("Lanterns at Millpond", "Chorus");
    let height = |columns, rows| heights(&page, columns, rows)[0].1;
    let all = [(20, 6), (40, 12), (80, 24), (120, 40), (200, 50), (400, 120)].map(|(c, r)| height(c, r));
    assert!(all.is_sorted(), "{all:?}");
}

/// Cells that look alike but for their colours.
fn without_colour(buffer: &Buffer) -> Vec<(String, Modifier)> {
    let cells = buffer.content.iter();
    cells
        .map(|cell| (cell.symbol().to_owned(), cell.modifier & Modifier::REVERSED))
        .collect()
}

#[test]
fn every_change_is_marked_in_shapes_too() {
    let before = |change: fn(&mut crate::sequencer::SectionCue<'_>)| {
        let mut page = section("Lanterns at Millpond", "Chorus");
        page.technique_changed = false;
        change(&mut page);
        page
    };
    let calm = cue(PageCue::Section(before(|_| ())));
    let changed = [
        ("technique", before(|page| page.technique_changed = true)),
        ("pickup", before(|page| page.pickup_changed = true)),
        ("key", before(|page| page.key_changed = true)),
        ("capo", before(|page| page.r#move = 2)),
        ("times", before(|page| page.times = 2)),
    ];
    for (what, page) in changed {
        let page = cue(PageCue::Section(page));
        for (name, theme) in Theme::ALL {
            for (columns, rows) in [(20, 6), (40, 12), (80, 24), (200, 50)] {
                let look = || Look {
                    theme,
                    ..Look::default()
                };
                let calm = drawn(look(), &calm, &Status::default(), columns, rows);
                let marked = drawn(look(), &page, &Status::default(), columns, rows);
                // The smallest page has no place for the key and the capo.
                if rows > 6 || !["key", "capo"].contains(&what) {
                    assert_ne!(
                        without_colour(&calm),
                        without_colour(&marked),
                        "{what}, {name}, {columns} x {rows}"
                    );
                }
            }
        }
    }
}

#[test]
fn a_move_is_drawn_on_the_neck_faint_where_it_is_bright_where_it_goes() {
    let page = gap_page("Lanterns at Millpond", "Verse");
    let text = plain_text(&page, 80, 24);
    for sign in ['▒', '█', '►', '║'] {
        assert!(text.contains(sign), "{sign}");
    }
    let mut stays = gap("Lanterns at Millpond", "Verse");
    (stays.capo_now, stays.r#move) = (Some(fret(3)), 0);
    let text = plain_text(&cue(PageCue::Gap(stays)), 80, 24);
    assert!(!text.contains('▒') && !text.contains('►'));
}

#[test]
fn a_left_handed_guitar_is_the_mirror_image() {
    let page = section_page("Lanterns at Millpond", "Chorus");
    let row = |left_handed| {
        let look = Look {
            left_handed,
            ..Look::default()
        };
        let text = as_text(&drawn(look, &page, &Status::default(), 80, 24));
        let row = text.lines().find(|line| line.contains(['╓', '╖'])).unwrap().to_owned();
        let begin = row.chars().position(|sign| sign != ' ').unwrap();
        row.chars()
            .skip(begin)
            .take_while(|sign| *sign != ' ')
            .collect::<Vec<_>>()
    };
    let (right, left) = (row(false), row(true));
    assert_eq!((right[0], *left.last().unwrap()), ('╓', '╖'));
    let wires = |row: &[char]| row.iter().map(|sign| *sign == '┬').collect::<Vec<_>>();
    let mut turned = wires(&left);
    turned.reverse();
    assert_eq!(wires(&right), turned);
}

#[test]
fn things_stay_in_their_place_from_page_to_page() {
    let rows_of_neck = |page: &Cue<'_>, columns, rows| {
        let text = plain_text(page, columns, rows);
        text.lines().position(|line| line.contains('╓'))
    };
    for (columns, rows) in [(60, 20), (80, 24), (120, 40), (200, 50)] {
        let on_section = rows_of_neck(&section_page("A", "Verse"), columns, rows);
        assert!(on_section.is_some(), "{columns} x {rows}");
        assert_eq!(
            on_section,
            rows_of_neck(&section_page("B", "Second part"), columns, rows)
        );
        assert_eq!(on_section, rows_of_neck(&gap_page("Lanterns", "Verse"), columns, rows));
    }
}

#[test]
fn the_lock_a_notice_and_the_ports_are_said_on_the_last_line() {
    let mut page = section_page("Lanterns at Millpond", "Verse");
    let last = |page: &Cue<'_>, status: &Status| {
        let text = as_text(&drawn(Look::default(), page, status, 80, 24));
        text.lines().last().unwrap().to_owned()
    };
    let port = |name: &str, alive| crate::screen::PortStatus {
        name: name.into(),
        alive,
    };
    let status = Status {
        ports: vec![port("left", true), port("right", false)],
        measured_bpm: Some(71.96),
        ..Status::default()
    };
    assert_eq!(
        last(&page, &status),
        "    Lanterns at Millpond  2/9  sounds B♭       clock 72.0  left ●  right ○ lost"
    );
    page.locked = true;
    assert!(last(&page, &Status::default()).ends_with("█ LOCKED"));
    let status = Status {
        notice: Some("no song comes after this one".into()),
        ..status
    };
    assert!(last(&page, &status).contains("no song comes after this one"));
}

#[test]
fn the_title_says_the_page_in_plain_words() {
    let mut again = section("Lanterns at Millpond", "Verse");
    again.times = 2;
    let mut open = gap("Lanterns at Millpond", "Verse");
    (open.song.capo, open.song.shapes) = (fret(0), None);
    for (page, words) in [
        (
            PageCue::Gap(gap("Lanterns at Millpond", "Verse")),
            "Capo 3, G shapes: Lanterns at Millpond",
        ),
        (PageCue::Gap(open.clone()), "No capo, no shapes: Lanterns at Millpond"),
        (PageCue::Peek(open), "Next: No capo, no shapes: Lanterns at Millpond"),
        (
            PageCue::Section(section("Lanterns at Millpond", "Verse")),
            "Capo 3, G shapes: Lanterns at Millpond, Verse",
        ),
        (
            PageCue::Section(again),
            "Capo 3, G shapes: Lanterns at Millpond, Verse x2",
        ),
        (PageCue::End(End { songs: 2 }), "The end: Harvest evening"),
    ] {
        assert_eq!(title(&cue(page)), words);
    }
}

#[test]
fn a_respelled_key_and_the_next_song_are_told() {
    let mut page = gap("Harbour Wall", "Verse");
    (page.song.key, page.song.asked_for) = (key("C"), Some("B♯".into()));
    assert!(plain_text(&cue(PageCue::Gap(page)), 80, 24).contains("asked for as B♯"));
    let mut last = section("Harbour Wall", "Outro");
    last.next = NextUp::Song {
        title: "Seven Lamps",
        capo: fret(5),
        r#move: 2,
        shapes: Some(Family::A),
        key: key("D"),
    };
    assert!(plain_text(&cue(PageCue::Section(last)), 38, 9).contains("Seven Lamps"));
}

#[test]
fn the_plain_theme_uses_the_terminals_own_colours_alone() {
    let page = gap_page("Lanterns at Millpond", "Verse");
    let look = Look {
        theme: Theme::Plain,
        ..Look::default()
    };
    for cell in drawn(look, &page, &Status::default(), 80, 24).content {
        assert_eq!((cell.fg, cell.bg), (Color::Reset, Color::Reset));
    }
}

#[test]
fn what_is_too_small_from_the_seat_is_told() {
    let page = section_page("Lanterns at Millpond", "Chorus");
    let area = Rect::new(0, 0, 80, 24);
    let near = Sight {
        distance_m: 1.5,
        height_mm: 170.0,
    };
    let far = Sight {
        distance_m: 12.0,
        height_mm: 170.0,
    };
    let mut screen = Screen::new(Look::default());
    let reached = screen.legibility(&page, area, near);
    assert_eq!(
        reached.iter().map(|(what, _)| *what).collect::<Vec<_>>(),
        ["step", "technique", "pickup"]
    );
    assert!(
        reached.iter().all(|(_, minutes)| *minutes >= ENOUGH_ARC_MINUTES),
        "{reached:?}"
    );
    let reached = screen.legibility(&page, area, far);
    assert!(
        reached.iter().any(|(_, minutes)| *minutes < ENOUGH_ARC_MINUTES),
        "{reached:?}"
    );
    let look = Look {
        sight: Some(near),
        ..Look::default()
    };
    let keys = Status {
        help: true,
        ..Status::default()
    };
    let text = as_text(&drawn(look, &page, &keys, 80, 24));
    assert!(
        text.contains("from 1.5 m, in minutes of arc (20 are enough):"),
        "{text}"
    );
}

const HEAD: &str = "████ 3 ████";

/// Where a diagram's capo begins, in cells, and the row.
fn heads(text: &str) -> Vec<(usize, usize)> {
    let lines = text.lines().enumerate();
    let starts = |line: &str| {
        let starts = line.match_indices(HEAD).map(|(at, _)| line[..at].chars().count());
        starts.collect::<Vec<_>>()
    };
    lines
        .flat_map(|(row, line)| starts(line).into_iter().map(move |column| (column, row)))
        .collect()
}

fn cells(text: &str, (column, row): (usize, usize), count: usize) -> String {
    text.lines()
        .nth(row)
        .unwrap()
        .chars()
        .skip(column)
        .take(count)
        .collect()
}

#[test]
fn the_familys_seven_chords_hang_below_their_names_where_there_is_room() {
    let text = plain_text(&gap_page("The Ferry", "Verse"), 200, 50);
    let heads = heads(&text);
    assert_eq!(heads.len(), 7, "{text}");
    // G, Am and C as a handbook's open chords (from memory): what is muted and open, and the first fret.
    for (place, marks, first) in [
        (0, "    o o o  ", "│ │ │ │ │ │"),
        (1, "x o       o", "│ │ │ │ 1 │"),
        (3, "x     o   o", "│ │ │ │ 1 │"),
    ] {
        let (column, row) = heads[place];
        assert_eq!(cells(&text, (column, row - 1), 11), marks, "{place}");
        assert_eq!(cells(&text, (column, row + 1), 11), first, "{place}");
    }
    let least = plain_text(&gap_page("The Ferry", "Verse"), 120, 40);
    assert_eq!(self::heads(&least), [], "large words go before diagrams:\n{least}");
}

#[test]
fn a_sections_chords_are_drawn_once_each_under_number_and_name() {
    let mut page = section("The Ferry", "Verse");
    page.chords.push(vec![chord("1", "G")]);
    let text = plain_text(&cue(PageCue::Section(page.clone())), 200, 50);
    let heads = heads(&text);
    let captions: Vec<String> = heads
        .iter()
        .map(|&(column, row)| cells(&text, (column, row - 2), 4).trim_end().into())
        .collect();
    assert_eq!(captions, ["1 G", "4 C", "5 D"], "{text}");

    let names = [
        "C", "D", "E", "F", "G", "A", "Cm", "Dm", "Em", "Fm", "Gm", "Am", "C7", "D7", "E7", "F7", "G7", "A7",
    ];
    page.chords = names.iter().map(|name| vec![chord("1", name)]).collect();
    let text = plain_text(&cue(PageCue::Section(page)), 100, 60);
    let captions = text
        .lines()
        .find(|line| line.contains("1 C ") && line.contains("1 Cm "));
    assert!(
        captions.is_some_and(|line| line.trim_end().ends_with('+')),
        "more than there is room for:\n{text}"
    );
}

#[test]
fn a_capo_that_must_move_in_too_short_a_time_says_how_short() {
    let mut page = gap("The Ferry", "Verse");
    let text = |page: &crate::sequencer::Gap<'_>| plain_text(&cue(PageCue::Gap(page.clone())), 80, 24);
    assert!(!text(&page).contains("free"));
    (page.free, page.rushed) = (crate::setlist::Seconds::new(3.0), true);
    assert!(text(&page).contains("only 3 s free  ·  72 bpm"), "{}", text(&page));
}

fn asked(prompt: &Prompt, columns: u16, rows: u16) -> String {
    let mut picture = Picture::new(columns, rows);
    let mut screen = Screen::new(Look::default());
    screen.ask(prompt, "say it, then `next`", &mut picture);
    let mut buffer = Buffer::empty(Rect::new(0, 0, columns, rows));
    picture.to_buffer(Theme::Dark, screen.clusters(), &mut buffer);
    as_text(&buffer)
}

#[test]
fn a_question_of_the_practice_as_it_is_seen() {
    let by_heart = Prompt {
        topic: "which fret, which shapes?".into(),
        ask: "The Ferry".into(),
        given: vec!["sounds B♭".into()],
        choices: vec!["1 A".into(), "3 G".into()],
        chosen: Some(1),
        count: "3 of 4 right".into(),
        ..Prompt::default()
    };
    insta::assert_snapshot!("prompt_choice_80x24", asked(&by_heart, 80, 24));
    let chord = Prompt {
        topic: "6- in G shapes".into(),
        ask: "Em".into(),
        given: vec!["6-".into()],
        chord: Voicing::fingered([0, 2, 2, 0, 0, 0]).map(|voicing| (voicing, fret(3))),
        ..Prompt::default()
    };
    insta::assert_snapshot!("prompt_chord_80x24", asked(&chord, 80, 24));
    for (columns, rows) in [(1, 1), (20, 6), (3, 60), (60, 3), (120, 40), (500, 200)] {
        for prompt in [&by_heart, &chord, &Prompt::default()] {
            asked(prompt, columns, rows);
        }
    }
}

/// The last items go first: of a gap page's small print the note, of a section page's rows those below the steps.
#[test]
fn what_comes_last_goes_first_where_the_screen_is_small() {
    let mut page = gap("Lanterns at Millpond", "Verse");
    page.song.note = Some("fiddle counts it in and all wait");
    let page = cue(PageCue::Gap(page));
    for (columns, wanted) in [
        (
            100,
            "72 bpm  4/4  ·  delay 833 625 417 ms  ·  fiddle counts it in and all wait",
        ),
        (60, "72 bpm  4/4  ·  delay 833 625 417 ms  ·  fiddle counts…"),
        (38, "72 bpm  4/4  ·  fiddle counts it i…"),
    ] {
        let text = plain_text(&page, columns, 24);
        assert!(text.lines().any(|line| line.trim() == wanted), "{columns}: {text}");
    }
    let page = section_page("Lanterns at Millpond", "Chorus");
    let with_rows = |rows| {
        let text = plain_text(&page, 80, rows);
        let steps = text.lines().any(|line| line.contains("[Chorus]"));
        let facts_alone = text
            .lines()
            .any(|line| line.contains("bars") && !line.contains("sounds"));
        (steps, facts_alone)
    };
    assert_eq!(
        [24, 25, 26].map(with_rows),
        [(false, false), (true, false), (true, true)]
    );
}
