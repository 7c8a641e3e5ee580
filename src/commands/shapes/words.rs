//! The options for a key in words and diagrams.

use super::Choice;
use crate::commands::paper::Paper;
use crate::music::{AskedKey, DegreeShapes, Interval, Key, Mode, Numbering, Shape};
use crate::screen::{Form, Size};
use crate::setlist::Player;
use std::io::{self, Write};

/// From so many columns on seven diagrams with a blank between their strings stand side by side.
const WIDE: usize = 7 * 13 - 2;

pub(super) fn write(
    key: AskedKey,
    player: &Player,
    choices: &[Choice],
    paper: &Paper,
    out: &mut impl Write,
) -> io::Result<()> {
    let name = paper.words(&key.to_string());
    if choices.is_empty() {
        let families: Vec<String> = player.shapes.iter().map(ToString::to_string).collect();
        let text = format!(
            "{name}: none of the shapes {} gives it up to fret {}",
            families.join(", "),
            player.highest_fret
        );
        return paper.write_wrapped(&text, out);
    }
    let known = paper.words(&key.key().signs().to_string());
    for (place, &choice) in choices.iter().enumerate() {
        if place > 0 {
            writeln!(out, "\n")?;
        }
        // That it was asked for under another name is said once.
        choice.write(if place > 0 { &known } else { &name }, key.key(), paper, out)?;
    }
    Ok(())
}

impl Choice {
    fn write(self, key_name: &str, key: Key, paper: &Paper, out: &mut impl Write) -> io::Result<()> {
        let degrees = self.family.degrees();
        let of_relative = match key.mode() {
            Mode::Minor => format!(" ({} is 1)", paper.words(&key.relative_major().signs().to_string())),
            Mode::Major => String::new(),
        };
        let capo = match self.fret.number() {
            0 => "no capo".to_owned(),
            fret => format!("capo {fret}"),
        };
        let heading = format!("{key_name}: {capo}, {} shapes{of_relative}", self.family);
        paper.write_wrapped(&heading, out)?;
        writeln!(out)?;

        let block = |shape: &Shape| self.block(shape, key, paper, &[]);
        let plain: Vec<_> = degrees.iter().map(|degree| block(&degree.plain)).collect();
        paper.write_blocks(&plain, out)?;

        let [Some(first), ..] = [degrees.first()] else {
            return Ok(());
        };
        let ringing = degrees.iter().filter(|degree| degree.open != degree.plain);
        let ringing = ringing.map(|degree| self.block(&degree.open, key, paper, &self.why(degree, &first.plain)));
        let ringing: Vec<_> = ringing.collect();
        if !ringing.is_empty() {
            writeln!(out)?;
            paper.write_wrapped(&self.rule(paper), out)?;
            writeln!(out)?;
            paper.write_blocks(&ringing, out)?;
        }
        let slash: Vec<_> = degrees
            .iter()
            .filter_map(|degree| degree.slash.as_ref())
            .map(block)
            .collect();
        writeln!(out)?;
        paper.write_wrapped("Over another bass, as 3 and 7 are mostly played:", out)?;
        writeln!(out)?;
        paper.write_blocks(&slash, out)
    }

    /// The number, the name as fingered, what sounds with the capo on, the diagram and its frets.
    fn block(self, shape: &Shape, key: Key, paper: &Paper, why: &[String]) -> Vec<String> {
        let size = if paper.columns >= WIDE { Size::Wide } else { Size::Small };
        let form = Form {
            frets: Form::FRETS,
            ..paper.form(size, self.fret, &[])
        };
        let mut head = vec![
            paper.words(&shape.number.written(key, Numbering::default())),
            paper.chord(shape.number.on(self.family.tonic())),
        ];
        if self.fret.number() > 0 {
            let sounds = shape.number.on(key.relative_major().tonic());
            head.push(format!("= {}", paper.chord(sounds)));
        }
        let foot = std::iter::once(shape.voicing.to_string()).chain(why.iter().cloned());
        paper.diagram(head, &shape.voicing, &form, foot.collect())
    }

    /// By which rule the chords that ring are chosen.
    fn rule(self, paper: &Paper) -> String {
        let home = self.family.tonic();
        let rings = paper.notes([home, home.up(Interval::FIFTH)]).replace(' ', " and ");
        format!(
            "Ringing: {rings} sound on wherever that makes a chord with a name. Of its voicings the one that keeps the \
             most strings as in {home} is taken, then the one with the most open, never fewer than the plain chord has \
             (in brackets):"
        )
    }

    /// What that rule counts in one of them.
    fn why(self, degree: &DegreeShapes, first: &Shape) -> [String; 2] {
        let (plain, open) = (&degree.plain.voicing, &degree.open.voicing);
        [
            format!("{} as in {}", open.kept_from(&first.voicing), self.family),
            format!("{} open ({})", open.open_strings(), plain.open_strings()),
        ]
    }
}
