//! Reading a section's chord line in its key, and noticing chords outside it or taken by YAML for something else.

use crate::music::{AskedKey, ChordLine, Key, Placed};
use crate::setlist::Rule;
use crate::setlist::song::Common;
use crate::setlist::syntax::cut;
use crate::setlist::tree::At;
use crate::setlist::walk::{Given, Walk};
use crate::setlist::words::found;
use std::collections::HashSet;

/// The line in this key; without a bar where it cannot be read.
pub(super) fn read_chords(walk: &mut Walk, given: Given<'_>, key: AskedKey, common: &mut Common<'_>) -> ChordLine {
    let at = given.at;
    let Some(text) = at.text() else {
        let hint = "Put the chords in quotes: `chords: \"1 | 5/7 | 6- | 4\"`.";
        walk.wrong(
            at,
            format!("a chord line is a text, not {}", found(at)),
            Some(hint.into()),
        );
        return ChordLine::default();
    };
    let line = match ChordLine::parse(text, key.key(), common.numbering) {
        Ok((line, placed)) => {
            find_outside(walk, at, key.key(), &placed, common);
            line
        }
        Err(errors) => {
            for error in errors {
                walk.fault(
                    Rule::Format,
                    at.spot_within(error.at, error.len),
                    error.message,
                    error.hint,
                );
            }
            return ChordLine::default();
        }
    };
    let size = line.bars.iter().map(|bar| 1 + bar.chords.len()).sum();
    match common.room.chords.checked_sub(size) {
        Some(left) => {
            common.room.chords = left;
            line
        }
        None => {
            common.room.chords = 0;
            walk.wrong(at, "this set holds more chords than can be read".into(), None);
            ChordLine::default()
        }
    }
}

/// Tells of the chords that are not of the key, each once in a line that says it, however many sections are like it.
fn find_outside(walk: &mut Walk, at: At<'_>, key: Key, placed: &[Placed<'_>], common: &mut Common<'_>) {
    let mut told = HashSet::new();
    for Placed { chord, text, at: start } in placed {
        let foreign = chord.foreign(key);
        if !common.key_known || foreign.is_empty() || !told.insert(chord) {
            continue;
        }
        let spot = at.spot_within(*start, text.chars().count());
        if !common.outside.insert((spot.file, spot.line, spot.column)) {
            continue;
        }
        let notes: Vec<String> = foreign.iter().map(|note| note.signs().to_string()).collect();
        let message = format!(
            "`{}` is not a chord of {}: it has {}",
            cut(text),
            key.signs(),
            notes.join(" and ")
        );
        walk.fault(Rule::OutsideChord, spot, message, None);
    }
}

/// Says so where a chord line without quotes has lost its beginning or its end to one of YAML's own signs: `&1 | 4` is
/// an anchor to YAML, `1 | #4dim` ends in a comment.
pub(super) fn find_lost_chords(walk: &mut Walk, at: At<'_>) {
    let (before, after) = at.around();
    let chordlike = |text: &str| text.starts_with(|letter: char| ('1'..='7').contains(&letter));
    let anchor = before
        .trim_end()
        .rsplit(' ')
        .next()
        .and_then(|word| word.strip_prefix('&'));
    // A value that is left empty stands at its field's colon.
    let comment = after
        .trim_start_matches([':', ' '])
        .strip_prefix('#')
        .filter(|comment| chordlike(comment));
    if anchor.is_some_and(chordlike) {
        quotes_needed(walk, at, '&', before.trim_end());
    } else if let Some(comment) = comment
        && (comment.contains('|') || at.text().is_none_or(|text| text.trim_end().ends_with('|')))
    {
        quotes_needed(walk, at, '#', after);
    }
}

fn quotes_needed(walk: &mut Walk, at: At<'_>, sign: char, text: &str) {
    let cut_at = text.find(sign).map_or("", |place| &text[place..]);
    let message = format!(
        "these chords are cut short at `{}`, which means something else in YAML",
        cut(cut_at.trim_end())
    );
    let hint = "Put the chords in quotes, like `chords: \"1 | #4dim\"`.";
    walk.wrong(at, message, Some(hint.into()));
}
