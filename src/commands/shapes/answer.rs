//! The options for a key as JSON.

use super::Choice;
use crate::commands::answers::{self, Fingered};
use crate::music::{AskedKey, DegreeShapes, Key, NumberChord, Numbering, Shape};
use serde::Serialize;
use std::io::{self, Write};

#[derive(Serialize)]
struct Answer<'a> {
    key: String,
    asked: &'a str,
    options: Vec<OptionAnswer>,
}

#[derive(Serialize)]
struct OptionAnswer {
    fret: u8,
    shapes: &'static str,
    degrees: Vec<DegreeAnswer>,
}

#[derive(Serialize)]
struct DegreeAnswer {
    number: String,
    sounds: String,
    plain: ShapeAnswer,
    open: ShapeAnswer,
    slash: Option<SlashAnswer>,
}

#[derive(Serialize)]
struct ShapeAnswer {
    shape: String,
    #[serde(flatten)]
    fingered: Fingered,
}

#[derive(Serialize)]
struct SlashAnswer {
    number: String,
    sounds: String,
    #[serde(flatten)]
    shape: ShapeAnswer,
}

pub(super) fn write(key: AskedKey, asked: &str, choices: &[Choice], out: &mut impl Write) -> io::Result<()> {
    let options = choices.iter().map(|choice| choice.answer(key.key()));
    let answer = Answer {
        key: key.key().to_string(),
        asked,
        options: options.collect(),
    };
    answers::write(&answer, out)
}

impl Choice {
    fn answer(self, key: Key) -> OptionAnswer {
        let degrees = (1..).zip(self.family.degrees());
        OptionAnswer {
            fret: self.fret.number(),
            shapes: self.family.letter(),
            degrees: degrees
                .map(|(degree, shapes)| self.degree(degree, &shapes, key))
                .collect(),
        }
    }

    fn degree(self, degree: u8, shapes: &DegreeShapes, key: Key) -> DegreeAnswer {
        DegreeAnswer {
            number: degree.to_string(),
            sounds: sounds(shapes.plain.number, key),
            plain: self.shape(shapes.plain),
            open: self.shape(shapes.open),
            slash: shapes.slash.map(|slash| SlashAnswer {
                number: slash.number.written(key, Numbering::default()),
                sounds: sounds(slash.number, key),
                shape: self.shape(slash),
            }),
        }
    }

    fn shape(self, shape: Shape) -> ShapeAnswer {
        ShapeAnswer {
            shape: shape.number.on(self.family.tonic()).to_string(),
            fingered: Fingered::new(&shape.voicing, self.fret),
        }
    }
}

fn sounds(number: NumberChord, key: Key) -> String {
    number.on(key.relative_major().tonic()).to_string()
}
