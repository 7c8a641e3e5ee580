//! `sheet set`: the demo set and sets that are hard to lay out, read back.

use crate::reader::{Pdf, Word};
use footlights::music::Family;
use footlights::plan::{Planned, family_of, keys_of, solve};
use footlights::setlist::{self, Rig};
use footlights::sheet::{self, Paper, Sheet};
use std::collections::BTreeSet;
use std::fmt::Write;
use std::fs;
use std::path::Path;

const MOST_BYTES: usize = 150_000;
/// A printer leaves so much of the edge white, in points: 5 mm and a little.
const EDGE: f64 = 15.0;

fn planned(set: &Path, player: Option<&Path>) -> (Planned, Rig) {
    let reading = setlist::read(set, player)
        .map_err(|report| report.errors().to_string())
        .unwrap();
    let plan = solve(&reading.set).unwrap();
    let set = reading.set;
    (Planned { set, plan }, reading.rig)
}

fn demo() -> (Planned, Rig) {
    planned(
        "setlists/harvest-evening.yaml".as_ref(),
        Some("setlists/player.yaml".as_ref()),
    )
}

/// A set from its text, for a player with a selector of five positions.
fn written(text: &str) -> (Planned, Rig) {
    let folder = tempfile::tempdir().unwrap();
    let (set, player) = (folder.path().join("set.yaml"), folder.path().join("player.yaml"));
    fs::write(&set, text).unwrap();
    fs::write(
        &player,
        "player: Wren\nguitar: { pickups: { neck: 160, middle: 100, bridge: 40 }, \
        selector: [neck, neck+middle, middle, middle+bridge, bridge] }\n",
    )
    .unwrap();
    planned(&set, Some(&player))
}

fn made((planned, rig): &(Planned, Rig), paper: Paper) -> Sheet {
    let made = sheet::set(planned, rig, paper).unwrap();
    assert_eq!(
        made,
        sheet::set(planned, rig, paper).unwrap(),
        "the same bytes each time"
    );
    made
}

/// What holds for every sheet.
pub(crate) fn check_file(bytes: &[u8], paper: Paper, lying: bool) {
    let packed = b"/Type/ObjStm";
    assert!(bytes.windows(packed.len()).any(|window| window == packed), "packed");
    let pdf = Pdf::new(bytes);
    if let Some(faults) = pdf.faults() {
        assert_eq!(faults, "");
    }
    if let Some(info) = pdf.info() {
        assert!(info.contains("Tagged:          yes"), "{info}");
        assert!(
            info.lines().any(|line| line.starts_with("Title:") && line.len() > 20),
            "{info}"
        );
    }
    if let Some(fonts) = pdf.fonts() {
        // Embedded, a subset, with its letters' meaning.
        assert!(fonts.lines().count() > 3, "{fonts}");
        for font in fonts.lines().skip(2) {
            assert!(font.contains("yes yes yes"), "{fonts}");
        }
    }
    let Some((words, size)) = pdf.boxes() else { return };
    // Source: ISO 216 and ANSI/ASME Y14.1, in points, from memory.
    let (short, long) = match paper {
        Paper::A4 => (595.276, 841.89),
        Paper::Letter => (612.0, 792.0),
    };
    let wanted = if lying { (long, short) } else { (short, long) };
    assert!(
        (size.0 - wanted.0).abs() < 0.01 && (size.1 - wanted.1).abs() < 0.01,
        "{size:?}"
    );
    assert!(!words.is_empty());
    for word in &words {
        let inside =
            word.left > EDGE && word.right < size.0 - EDGE && word.top > EDGE - 6.0 && word.bottom < size.1 - EDGE;
        assert!(inside, "out of the page: {word:?}");
    }
    check_apart(&words);
}

/// No two words lie over one another. A box is as high as its font's highest letters: half of that is always inked.
fn check_apart(words: &[Word]) {
    let inner = |word: &Word| {
        let high = word.bottom - word.top;
        (word.top + high * 0.35, word.bottom - high * 0.25)
    };
    for (place, a) in words.iter().enumerate() {
        for b in words[place + 1..].iter().filter(|b| b.page == a.page) {
            let ((a_top, a_bottom), (b_top, b_bottom)) = (inner(a), inner(b));
            let over = a.left + 0.3 < b.right && b.left + 0.3 < a.right && a_top < b_bottom && b_top < a_bottom;
            assert!(!over, "{a:?} lies over {b:?}");
        }
    }
}

/// What of a set a sheet must say, worked out from the plan itself.
fn check_says(set: &(Planned, Rig), text: &str) {
    let planned = &set.0;
    // Lines are broken where they must: words are compared without the blanks.
    let solid = |text: &str| text.split_whitespace().collect::<String>();
    let (found, words) = (solid(text), text.split_whitespace().collect::<BTreeSet<_>>());
    let says = |wanted: &str| assert!(found.contains(&solid(wanted)), "{wanted}");
    says(&planned.set.name);
    for id in planned.set.song_ids() {
        let song = planned.set.song(id);
        let fret = planned.plan.fret(id, 0);
        says(&format!("{} {}", id.number(), song.title));
        if fret.number() > 0 {
            says(&format!("capo {fret}"));
        }
        let family = |key| family_of(&planned.set.players[0].shapes, fret, key);
        for key in keys_of(&planned.set, id) {
            let shapes = family(key.key()).map_or("no".to_owned(), |family: Family| family.to_string());
            says(&format!("{shapes} shapes, sounds {}", key.key().signs()));
        }
        for section in &song.sections {
            says(&section.name);
            says(section.technique.as_ref().map_or("", |technique| technique.words()));
            says(section.pickup.as_deref().unwrap_or_default());
            let key = section.key.key();
            let home = key.relative_major().tonic();
            let fingered_on = family(key).map_or(home, Family::tonic);
            for chord in section.chords.distinct() {
                let number = chord.written(key, planned.set.numbering);
                let (fingered, sounds) = (
                    chord.on(fingered_on).signs().to_string(),
                    chord.on(home).signs().to_string(),
                );
                for name in [number, fingered, sounds] {
                    assert!(
                        words.contains(name.as_str()),
                        "{name} of {}, {}",
                        song.title,
                        section.name
                    );
                }
            }
        }
    }
    says("Cautions.");
}

#[test]
fn the_demo_set_reads_back_with_its_titles_frets_and_chords() {
    let demo = demo();
    for paper in [Paper::A4, Paper::Letter] {
        let made = made(&demo, paper);
        assert!(made.pdf.len() < MOST_BYTES, "{paper:?}: {} bytes", made.pdf.len());
        assert_eq!(made.lacking, []);
        check_file(&made.pdf, paper, false);
        if let Some(text) = Pdf::new(&made.pdf).text() {
            check_says(&demo, &text);
            assert!(text.contains("asked for as B♯"), "{text}");
            // Two keys in one song are read in their order.
            let at = |words: &str| text.find(words).unwrap();
            assert!(at("sounds E♭") < at("E shapes, sounds F "), "{text}");
        }
    }
}

#[test]
fn the_tags_are_a_title_a_section_a_song_and_a_figure_for_each_of_its_chords() {
    let demo = demo();
    let Some(tags) = Pdf::new(&made(&demo, Paper::A4).pdf).tags() else {
        return;
    };
    let told = |role: &str| {
        tags.iter()
            .filter(|tag| tag.role == role)
            .map(|tag| tag.told.clone())
            .collect::<Vec<_>>()
    };
    assert_eq!(told("H1"), ["Harvest evening at the millpond"]);
    let songs = demo
        .0
        .set
        .song_ids()
        .map(|id| format!("{} {}", id.number(), demo.0.set.song(id).title));
    assert_eq!(told("H2"), songs.collect::<Vec<_>>());
    assert_eq!(told("Sect").len(), 8);
    let figures = told("Figure");
    // G shapes with the capo at 3. Source: any handbook's open G, from memory.
    assert!(
        figures.contains(&"G: 320003, fingers 210003, sounds Bb".to_owned()),
        "{figures:?}"
    );
    let sections = demo
        .0
        .set
        .songs()
        .iter()
        .flat_map(|song| &song.sections)
        .map(|section| section.name.clone());
    assert_eq!(told("H3"), sections.collect::<Vec<_>>());
}

const LONG: &str = "The miller's daughter counts the lanterns on the water until they are all out, and then once more \
    from the beginning, because the ferryman was late and the reeds were high";

#[test]
fn hard_sets_stay_within_their_pages() {
    let one = "set: One\nsongs:\n- { song: Reeds, key: Bb }\n".to_owned();
    let long = format!(
        "set: {LONG}\nplayers: [ {{ name: {0} }}, {{ name: Sam }} ]\nsongs:\n- {{ song: \"{LONG}\", key: F#m, note: \
         \"{LONG} {LONG}\", sections: {{ \"{LONG}\": {{ technique: \"{LONG}\", pickup: neck+middle, note: \"{LONG}\", \
         chords: 1 | 4 }} }} }}\n- {{ song: {0}, key: G, gap: 2, sections: {{ {0}: {{ chords: 1 }} }} }}\n",
        "Windwheel".repeat(24)
    );
    let dense = format!(
        "set: Dense\nsongs:\n- {{ song: Gate, key: Eb, sections: {{ A: {{ chords: \"{}\" }}, B: {{ chords: \"{}\" }} }} }}\n",
        "C#m7b5/G# ".repeat(16),
        ["1 2- | 3- 4 | 5sus4 5 | %"; 60].join(" | ")
    );
    let unplayable = "set: None\nplayers: [ { name: Wren, highest_fret: 0, shapes: [G] } ]\nsongs:\n\
        - { song: Reeds, key: Bb, sections: { A: { chords: 1 | 6- }, B: { key: G, chords: 1 | Gbmmaj7/F } } }\n\
        - { song: Ferry, key: C }\n"
        .to_owned();
    let keys = "set: Keys\nsongs:\n- { song: Up, key: C, sections: { A: { chords: 1 }, B: { key: D, chords: 1 }, \
        C: { key: E, chords: 1 | NC }, D: { key: F, chords: 1 }, E: { key: G } }, order: [A, B, C, D] }\n"
        .to_owned();
    let prose = LONG.repeat(60);
    let huge = format!(
        "set: \"{prose}\"\nplayers: [ {{ name: \"{prose}\" }}, {{ name: \"{LONG}\" }} ]\nsongs:\n- {{ song: \"{prose}\", \
         key: G, note: \"{prose}\", sections: {{ A: {{ note: \"{prose}\", technique: \"{prose}\", chords: 1 }}, \
         \"{LONG}\": {{ like: A }} }}, order: [{}] }}\n",
        ["A", &format!("\"{LONG}\""), "A x3"].join(", ") + &", A, A x2".repeat(300)
    );
    for (name, text) in [
        ("huge", huge),
        ("one", one),
        ("long", long),
        ("dense", dense),
        ("unplayable", unplayable),
        ("keys", keys),
    ] {
        let set = written(&text);
        for paper in [Paper::A4, Paper::Letter] {
            eprintln!("the set `{name}` on {paper:?}");
            let made = made(&set, paper);
            check_file(&made.pdf, paper, false);
            if let (Some(text), false) = (Pdf::new(&made.pdf).text(), name == "long" || name == "huge") {
                check_says(&set, &text);
            }
        }
    }
}

#[test]
fn a_set_of_forty_songs_flows_over_several_pages_for_the_floor() {
    let mut text = "set: Forty\nsongs:\n".to_owned();
    for number in 1..=40 {
        let key = ["C", "Db", "F#m", "B", "Ab", "G"][number % 6];
        let sections = "Verse: { bars: 8, pickup: middle+bridge, chords: 1 | 4 | 6- | 5 }, Chorus: { chords: 4 | 5 }";
        writeln!(
            text,
            "- {{ song: Lamp {number}, key: {key}, tempo: 90, sections: {{ {sections} }} }}"
        )
        .unwrap();
    }
    let set = written(&text);
    let made = made(&set, Paper::A4);
    assert!(made.pdf.len() < MOST_BYTES, "{} bytes", made.pdf.len());
    check_file(&made.pdf, Paper::A4, false);
    let Some((words, _)) = Pdf::new(&made.pdf).boxes() else {
        return;
    };
    let title_pages = words.iter().filter(|word| word.words == "Forty" && word.top < 60.0);
    assert_eq!(title_pages.count(), 4, "ten songs each");
    check_says(&set, &Pdf::new(&made.pdf).text().unwrap());
}

// Four songs without sections fill a page but for less than the cautions take.
#[test]
fn the_cautions_have_no_page_of_their_own_where_songs_may_stand_closer() {
    for count in [1, 2, 8, 16, 20, 40] {
        let mut text = "set: Moths\nsongs:\n".to_owned();
        for number in 1..=count {
            writeln!(text, "- {{ song: Moth {number}, key: Bb }}").unwrap();
        }
        let Some(text) = Pdf::new(&made(&written(&text), Paper::A4).pdf).text() else {
            return;
        };
        let last = text.trim_end_matches('\u{c}').rsplit('\u{c}').next().unwrap();
        assert!(last.contains("Cautions."), "{count}: {last}");
        assert!(last.contains(&format!("Moth {count}")), "{count}: {last}");
    }
}

#[test]
fn letters_that_no_font_has_are_told() {
    let set = written("set: Mill\nsongs:\n- { song: 渡し舟 at the mill, key: G }\n");
    let made = made(&set, Paper::A4);
    assert_eq!(made.lacking, ['し', '渡', '舟']);
    check_file(&made.pdf, Paper::A4, false);
    if let Some(text) = Pdf::new(&made.pdf).text() {
        assert!(text.contains("??? at the mill"), "{text}");
    }
}
