//! Nothing on a page is read as something else: cut words say so, and a mark is no letter and no figure.

use super::cues::{cue, drawn, gap, pages, section};
use crate::screen::{ENOUGH_ARC_MINUTES, Glyphs, Look, Screen, Sight, Status, as_text};
use crate::sequencer::{Cue, PageCue};
use ratatui::layout::Rect;

const LONG: &str = "The Ballad of the Seven Ferrymen";

fn rows(look: Look, cue: &Cue<'_>, columns: u16, rows: u16) -> Vec<String> {
    let text = as_text(&drawn(look, cue, &Status::default(), columns, rows));
    text.lines().map(str::to_owned).collect()
}

fn letters() -> Look {
    Look {
        glyphs: Glyphs::Letters,
        ..Look::default()
    }
}

#[test]
fn words_that_are_cut_say_so() {
    let gap_page = cue(PageCue::Gap(gap(LONG, "Instrumental Interlude")));
    let section_page = cue(PageCue::Section(section(LONG, "Verse")));
    let peek = cue(PageCue::Peek(gap("Seven Lamps", "Verse")));
    for (what, page, columns, height, row, expected) in [
        ("title", &gap_page, 20, 8, 0, "The Ballad of the S…"),
        ("first step", &gap_page, 20, 8, 6, " Instrumental Inter…"),
        ("what changes", &section_page, 20, 8, 6, " → Outro  ▒ diamond…"),
        ("what fits", &peek, 20, 8, 0, "    a look ahead"),
        ("sentence", &section_page, 10, 4, 3, "of the Se…"),
        ("last word", &cue(PageCue::Gap(gap("Lamps", "A"))), 10, 4, 2, "Lamps"),
    ] {
        assert_eq!(rows(Look::default(), page, columns, height)[row], expected, "{what}");
    }
    assert_eq!(rows(letters(), &gap_page, 20, 8)[0], "The Ballad of the S~");
}

/// A terminal may think otherwise of the width of a picture that is put together of several: each stands alone.
#[test]
fn titles_in_other_letters_and_pictures_are_cut_between_signs() {
    for (title, expected) in [
        ("渡し船の渡し船の渡し船", "渡し船の渡し船の渡…"),
        ("a渡し船の渡し船の渡し船", "a渡し船の渡し船の渡…"),
        ("渡し船", "渡し船           2/9"),
        (
            "e\u{301}e\u{301}e\u{301}e\u{301}e\u{301} Ferries in the Fog",
            "e\u{301}e\u{301}e\u{301}e\u{301}e\u{301} Ferries in th…",
        ),
        ("👨\u{200D}👩\u{200D}👧 ☀\u{FE0F}ab", "👨👩👧 ☀ab       2/9"),
        ("👍\u{1F3FD}👍\u{1F3FD}🇩🇪🇫🇷🇮🇹👍👍👍👍👍👍", "👍👍🇩🇪🇫🇷🇮🇹👍👍👍👍…"),
        ("1\u{FE0F}\u{20E3}2", "1\u{20E3}2               2/9"),
        ("הגשר הישן שעל הנהר הגדול", "הגשר הישן שעל הנהר …"),
        ("הגשר הישן", "הגשר הישן        2/9"),
    ] {
        let page = cue(PageCue::Gap(gap(title, "Verse")));
        assert_eq!(rows(Look::default(), &page, 20, 8)[0], expected, "{title}");
    }
    let page = cue(PageCue::Gap(gap("Cafe\u{301} 渡し", "Verse")));
    assert_eq!(rows(letters(), &page, 20, 8)[0], "Cafe ??          2/9");
}

#[test]
fn no_mark_stands_beside_a_blank() {
    let marked = |pickup| {
        let page = cue(PageCue::Section(crate::sequencer::SectionCue {
            technique_changed: false,
            pickup_changed: true,
            pickup,
            ..section("Seven Lamps", "Verse")
        }));
        let rows = rows(letters(), &page, 80, 24);
        rows.iter().filter(|row| row.starts_with('#')).count()
    };
    assert_eq!((marked(Some("bridge")) > 0, marked(None)), (true, 0));
}

#[test]
fn a_blank_keeps_the_fret_from_its_mark() {
    for (columns, height) in [(20, 6), (20, 8), (30, 10), (40, 12), (80, 24)] {
        let page = cue(PageCue::Gap(gap("Seven Lamps", "Verse")));
        let rows = rows(letters(), &page, columns, height);
        let marked: Vec<&str> = rows.iter().filter_map(|row| row.strip_prefix('#')).collect();
        let apart = marked.iter().all(|row| row.trim_start_matches('#').starts_with(' '));
        assert!(!marked.is_empty() && apart, "{columns} x {height}: {rows:#?}");
    }
}

fn keys() -> Status {
    Status {
        help: true,
        ..Status::default()
    }
}

#[test]
fn the_list_of_keys_is_in_large_words_at_80_by_24_and_what_the_page_reaches_below_it() {
    let page = cue(PageCue::Gap(gap("Seven Lamps", "Verse")));
    let text = |distance_m: Option<f64>| {
        let look = Look {
            sight: distance_m.map(|distance_m| Sight {
                distance_m,
                height_mm: 170.0,
            }),
            ..Look::default()
        };
        as_text(&drawn(look, &page, &keys(), 80, 24))
    };
    for distance_m in [None, Some(0.5), Some(1.5), Some(3.0)] {
        let text = text(distance_m);
        assert!(!text.contains("next"), "{text}");
        assert_eq!(text.contains("small words "), distance_m.is_some(), "{text}");
    }
}

#[test]
fn the_list_of_keys_takes_the_width_there_is() {
    let page = cue(PageCue::Gap(gap("Seven Lamps", "Verse")));
    let status = keys();
    let text = as_text(&drawn(letters(), &page, &status, 200, 50));
    assert!(text.lines().any(|row| row.chars().count() > 110), "{text}");
}

#[test]
fn the_first_three_items_of_every_page_reach_the_angle_from_as_far_as_the_page_allows() {
    for (columns, rows) in [(80, 24), (100, 30), (120, 40), (160, 50), (200, 60)] {
        for distance_m in (1..=38).map(|tenths| f64::from(tenths) / 10.0) {
            let sight = Sight {
                distance_m,
                height_mm: 170.0,
            };
            let mut screen = Screen::new(Look {
                sight: Some(sight),
                ..Look::default()
            });
            for page in pages("Lanterns at Millpond", "Verse") {
                let reached = screen.legibility(&page, Rect::new(0, 0, columns, rows), sight);
                assert!(
                    reached.iter().all(|(_, minutes)| *minutes >= ENOUGH_ARC_MINUTES),
                    "{columns} x {rows} from {distance_m} m: {reached:?}"
                );
            }
        }
    }
}
