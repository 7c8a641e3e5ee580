//! Every size and any text: a page is always drawn, and nothing ever steers the terminal.

use super::cues::{cue, fret, pages, section};
use crate::music::{Chord, Family, first_voicing};
use crate::screen::{Glyphs, Look, Picture, PortStatus, Poster, Prompt, Screen, Sight, Status, Theme, title};
use crate::sequencer::{Cue, NextUp, PageCue};
use crate::setlist::{Guitar, Pickup, Selection, Technique};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Modifier;

/// Texts that files may bring, each of them hard on something.
fn nasty() -> Vec<String> {
    [
        "",
        " ",
        "Verse",
        "渡し船 in the fog",
        "e\u{301}\u{301}\u{301} \u{301}",
        "שלום \u{202E}abc",
        "\u{1B}[2J\u{7}\u{9B}31m\r\n\tVerse",
        "👨‍👩‍👧‍👦🎸🏳️‍🌈",
        "ÅÉÎÕÜ gjpqy ♭♯°×⊓◇→",
        "\u{FEFF}\u{200B}\u{200D}",
        "iiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiiii",
    ]
    .map(String::from)
    .into_iter()
    .chain(["long words ".repeat(1_000), "W".repeat(10_000), "漢".repeat(3_000)])
    .collect()
}

fn five_pickups() -> Guitar {
    let pickup = |name: &str, from_bridge_mm| Pickup {
        name: name.into(),
        from_bridge_mm,
    };
    Guitar {
        pickups: vec![
            pickup("a", 170.0),
            pickup("b", 140.0),
            pickup("c", 105.0),
            pickup("d", 104.0),
            pickup("bridge", 1.0),
        ],
        selector: vec![Selection {
            name: "bridge".into(),
            pickups: vec![0, 4],
        }],
        ..Guitar::default()
    }
}

/// Draws and looks at every cell.
#[track_caller]
fn check(screen: &mut Screen, cue: &Cue<'_>, status: &Status, area: Rect) {
    let mut buffer = Buffer::empty(area);
    screen.draw(cue, status, &mut buffer);
    assert_eq!(buffer.area, area);
    for cell in &buffer.content {
        assert!(
            !cell.symbol().chars().any(char::is_control),
            "{:?} in {area}",
            cell.symbol()
        );
        assert!(
            !cell.modifier.intersects(Modifier::SLOW_BLINK | Modifier::RAPID_BLINK),
            "{area}"
        );
    }
}

fn status() -> Status {
    Status {
        ports: vec![
            PortStatus {
                name: "foot \u{7}渡".into(),
                alive: true,
            },
            PortStatus {
                name: "W".repeat(300),
                alive: false,
            },
        ],
        measured_bpm: Some(96.04),
        ..Status::default()
    }
}

/// Small sizes all, larger ones at steps that share no factor, and the largest.
fn sizes() -> impl Iterator<Item = (u16, u16)> {
    let small = (1..=42).flat_map(|columns| (1..=14).map(move |rows| (columns, rows)));
    let large = (1..=500)
        .step_by(83)
        .flat_map(|columns| (1..=200).step_by(37).map(move |rows| (columns, rows)));
    small
        .chain(large)
        .chain([(500, 200), (500, 1), (1, 200), (500, 6), (20, 200)])
}

#[test]
fn every_page_is_drawn_at_every_size() {
    let mut screen = Screen::new(Look::default());
    for (columns, rows) in sizes() {
        for page in pages("Lanterns at Millpond", "Second part") {
            check(&mut screen, &page, &status(), Rect::new(0, 0, columns, rows));
        }
    }
}

#[test]
fn the_list_of_keys_is_drawn_at_every_size() {
    let status = Status { help: true, ..status() };
    let seats = [None, Some(0.4), Some(6.0)].map(|distance_m| {
        distance_m.map(|distance_m| Sight {
            distance_m,
            height_mm: 170.0,
        })
    });
    for sight in seats {
        let mut screen = Screen::new(Look {
            sight,
            ..Look::default()
        });
        for (columns, rows) in sizes() {
            for page in pages("Lanterns at Millpond", "Second part").iter().take(2) {
                check(&mut screen, page, &status, Rect::new(0, 0, columns, rows));
            }
        }
    }
}

#[test]
fn every_question_is_drawn_at_every_size() {
    let mut screen = Screen::new(Look::default());
    let chord = first_voicing(Chord::parse("C").unwrap()).map(|voicing| (voicing, fret(3)));
    for text in nasty() {
        for (place, (columns, rows)) in sizes().step_by(11).enumerate() {
            let all = vec![text.clone(); place % 10];
            let prompt = Prompt {
                topic: text.clone(),
                ask: text.clone(),
                given: all.clone(),
                choices: all.clone(),
                chosen: Some(place % 12),
                chord: chord.filter(|_| place % 2 == 0),
                count: text.clone(),
            };
            let poster = Poster {
                heading: text.clone(),
                news: place % 2 == 0,
                options: all,
                chosen: place % 12,
                note: text.clone(),
            };
            let mut picture = Picture::new(columns, rows);
            screen.ask(&prompt, &text, &mut picture);
            screen.poster(&poster, &mut picture);
            assert_eq!(picture.rows().count(), usize::from(rows));
            assert!(!prompt.title().chars().any(char::is_control), "{text:.20}");
        }
    }
}

#[test]
fn every_kind_of_glyph_and_theme_is_drawn_at_every_small_size() {
    for (_, glyphs) in Glyphs::ALL {
        for (_, theme) in Theme::ALL {
            let look = Look {
                theme,
                glyphs,
                left_handed: theme == Theme::Light,
                guitar: five_pickups(),
                sight: (theme == Theme::Plain).then_some(Sight {
                    distance_m: 2.0,
                    height_mm: 170.0,
                }),
            };
            let mut screen = Screen::new(look);
            for (columns, rows) in sizes().step_by(7) {
                for page in pages("Ferry in the Fog", "Verse") {
                    check(&mut screen, &page, &status(), Rect::new(0, 0, columns, rows));
                }
            }
        }
    }
}

#[test]
fn any_text_is_drawn_at_every_size_and_steers_nothing() {
    for glyphs in [Glyphs::Quarters, Glyphs::Letters] {
        let mut screen = Screen::new(Look {
            glyphs,
            ..Look::default()
        });
        for text in nasty() {
            let own = Technique::Other(text.clone());
            for (columns, rows) in sizes().step_by(53).chain([(20, 6), (80, 24), (200, 50)]) {
                let mut all = Vec::from(pages(&text, &text));
                let mut wild = section(&text, &text);
                wild.technique = Some(&own);
                wild.pickup = Some(&text);
                wild.note = Some(&text);
                wild.times = u32::MAX;
                wild.steps = vec![&text; 50];
                wild.step = 49;
                wild.r#move = -8;
                wild.next = NextUp::Song {
                    title: &text,
                    capo: fret(0),
                    r#move: -11,
                    shapes: Some(Family::E),
                    key: wild.song.key,
                };
                all.push(cue(PageCue::Section(wild)));
                for page in &all {
                    let status = Status {
                        notice: Some(text.clone()),
                        ..status()
                    };
                    check(&mut screen, page, &status, Rect::new(0, 0, columns, rows));
                    check(&mut screen, page, &Status::default(), Rect::new(3, 5, columns, rows));
                    assert!(!title(page).chars().any(char::is_control), "{text:.20}");
                    assert!(title(page).len() <= 2_000, "{text:.20}");
                }
            }
        }
    }
}

#[test]
fn a_terminal_that_is_not_utf_8_gets_ascii_alone() {
    let look = Look {
        glyphs: Glyphs::Letters,
        ..Look::default()
    };
    let mut screen = Screen::new(look);
    for (columns, rows) in [(5, 2), (20, 6), (40, 12), (80, 24), (200, 50)] {
        for page in pages("Füße über Nebel – ♭", "Coda °")
            .iter()
            .chain(&pages("Ferry", "Verse"))
        {
            let mut buffer = Buffer::empty(Rect::new(0, 0, columns, rows));
            screen.draw(page, &status(), &mut buffer);
            let foreign = buffer.content.iter().find(|cell| !cell.symbol().is_ascii());
            assert_eq!(foreign, None, "{columns} x {rows}");
        }
    }
}

/// The signs that a console's fonts have, the kernel's own (code page 437, from memory) and those of Debian's
/// console-setup 1.221 (the fonts' own tables), and half blocks, which the latter have only in some.
const OF_A_CONSOLE: &str = "·•─│┌┐└┘├┤┼┬┴║╓╙╖╜═█▒→°▶◀▀▄";

#[test]
fn a_bare_console_gets_only_signs_that_its_fonts_have() {
    for left_handed in [false, true] {
        let mut screen = Screen::new(Look {
            glyphs: Glyphs::Halves,
            left_handed,
            ..Look::default()
        });
        for (columns, rows) in [(5, 2), (20, 6), (40, 12), (80, 25), (128, 48), (240, 67)] {
            for page in pages("Lanterns at Millpond", "Second part") {
                let mut buffer = Buffer::empty(Rect::new(0, 0, columns, rows));
                let status = Status {
                    ports: vec![PortStatus {
                        name: "foot".into(),
                        alive: columns > 100,
                    }],
                    ..Status::default()
                };
                screen.draw(&page, &status, &mut buffer);
                let known = |sign: &str| sign.is_ascii() || OF_A_CONSOLE.contains(sign);
                let foreign = buffer.content.iter().find(|cell| !known(cell.symbol()));
                assert_eq!(foreign, None, "{columns} x {rows}");
            }
        }
    }
}

/// What is drawn depends on cue, look and status alone, whatever was drawn before.
#[test]
fn a_page_looks_the_same_each_time() {
    let mut screen = Screen::new(Look::default());
    let area = Rect::new(0, 0, 80, 24);
    let all = pages("Lanterns at Millpond", "Verse");
    let mut first = Vec::new();
    for page in all.iter().chain(&all) {
        let mut buffer = Buffer::filled(area, ratatui::buffer::Cell::new("#"));
        screen.draw(page, &status(), &mut buffer);
        first.push(buffer);
    }
    for (once, again) in first[..4].iter().zip(&first[4..]) {
        assert_eq!(once, again);
    }
}
