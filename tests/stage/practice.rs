//! The practice on a real terminal, by foot alone, and what stays of it.

use super::{BACK, NEXT, SIZE, step};
use crate::show::Show;
use serde_json::Value;

/// Several answers by foot: two switches are all there is.
#[test]
fn the_feet_alone_answer_and_every_answer_is_kept() {
    let stage = Show::open(SIZE);
    let mut practice = stage.practice();
    drop(stage);
    // By heart: the first answer there is, which is capo 1; the plan has capo 3.
    practice.until_title("which fret, which shapes?, Lanterns at Millpond, sounds B♭");
    practice.until_says("say it, then");
    step(&mut practice, BACK);
    step(&mut practice, NEXT);
    practice.until_title("Capo 3, G shapes: Lanterns at Millpond");
    practice.until_says("not right");
    step(&mut practice, NEXT);
    // A shape: fingered, then seen, then right.
    practice.until_says("finger it, then");
    step(&mut practice, NEXT);
    practice.until_says("were you right?");
    step(&mut practice, NEXT);
    practice.until_says("finger it, then");
    // A pause by foot, and on.
    step(&mut practice, BACK);
    practice.until_says("`next` asks once more, `back` ends");
    step(&mut practice, NEXT);
    practice.until_says("finger it, then");
    practice.signal("KILL");
    practice.until_ended();

    let report = practice.asked(&["rehearse", "--report", "--json"]);
    let report: Value = serde_json::from_slice(&report.stdout).unwrap();
    let items = report["items"].as_array().unwrap();
    let asked: Vec<(&str, i64, i64)> = items
        .iter()
        .filter(|item| item["asked"] != 0)
        .map(|item| {
            let number = |name: &str| item[name].as_i64().unwrap();
            (item["kind"].as_str().unwrap(), number("asked"), number("right"))
        })
        .collect();
    assert_eq!(asked, [("recall", 1, 0), ("shape", 1, 1)]);
    // What was not known is asked first when it is due; now it is something new.
    let mut again = practice.practice();
    again.until_says("finger it, then");
}

#[test]
fn a_fret_is_typed_as_the_answer() {
    let stage = Show::open(SIZE);
    let mut practice = stage.practice();
    drop(stage);
    practice.until_says("say it, then");
    practice.type_keys("3");
    practice.until_says("fret 3: enter answers");
    practice.type_keys("\r");
    practice.until_says("right; `next` goes on");
    practice.type_keys("q");
    practice.until_says("once more leaves");
    practice.settle();
    practice.type_keys("\x03");
    assert_eq!(practice.until_ended().code(), Some(0));
    practice.assert_given_back();
    assert!(practice.text().contains("0 of 0 right"), "{}", practice.text());
}

#[test]
fn a_report_without_any_practice_says_that_all_is_new() {
    let stage = Show::open(SIZE);
    let report = stage.asked(&["rehearse", "--report"]);
    let text = String::from_utf8(report.stdout).unwrap();
    assert!(
        text.starts_with("Harvest evening at the millpond: 0 known, 0 shaky, "),
        "{text}"
    );
    assert!(
        text.contains("capo moves: too few yet; the plan reckons with 10 s"),
        "{text}"
    );
}

/// A history in which everything is known for years, each answer after 6.2 s.
pub(crate) fn a_long_practice(show: &Show) -> String {
    let report = show.asked(&["rehearse", "--report", "--json"]);
    let report: Value = serde_json::from_slice(&report.stdout).unwrap();
    let items = report["items"].as_array().unwrap().iter();
    let line = |item: &Value| {
        let name = format!("{} {}", item["kind"].as_str().unwrap(), item["item"].as_str().unwrap());
        let name = serde_json::to_string(&name).unwrap();
        format!(
            "{{\"at\":1700000000,\"item\":{name},\"rating\":3,\"seconds\":6.2,\"due\":4000000000,\"stability\":30000.0,\
             \"difficulty\":5.0,\"reps\":9,\"lapses\":0,\"state\":2}}\n"
        )
    };
    items.map(line).collect()
}

#[test]
fn the_time_that_capo_moves_take_is_offered_and_written_into_the_player_file() {
    let stage = Show::open(SIZE);
    stage.write("footlights/rehearse.jsonl", &a_long_practice(&stage));
    let mut practice = stage.practice();
    let before = stage.read("player.yaml");
    drop(stage);
    practice.until_says("goes on with what is least sure");
    practice.type_keys("\x1b[D");
    practice.until_title("your capo moves, 7 s, the plan reckons with 10 s");
    practice.type_keys("\x1b[C");
    assert_eq!(practice.until_ended().code(), Some(0));
    let after = practice.read("player.yaml");
    let wanted = before.replace("seconds_to_move: 10 ", "seconds_to_move: 7 ");
    assert_ne!(before, wanted);
    assert_eq!(after, wanted, "not one other byte");
    let report = practice.asked(&["rehearse", "--report"]);
    let text = String::from_utf8(report.stdout).unwrap();
    assert!(text.contains("capo moves: 6.2 s; the plan reckons with 7 s"), "{text}");
}
