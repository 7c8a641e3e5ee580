//! The whole system on paper: every key, each fret and family that gives it, and their seven chords as diagrams.

use crate::music::{DegreeShapes, Family, Fret, Key, NumberChord, Numbering, Shape};
use crate::plan::family_of;
use crate::setlist::{Player, Rig};
use crate::sheet::diagram::{self, Look};
use crate::sheet::flow::{Flow, Frame};
use crate::sheet::leaf::{At, Ink, Part, Piece, Role};
use crate::sheet::letters::{CAPITAL, Face, Letters};
use crate::sheet::paper::{Sheet, finished};
use crate::sheet::pdf::About;
use crate::sheet::played::capo_words;
use crate::sheet::prose::paragraph;
use crate::sheet::{CAUTIONS, NotMade, Paper};

const MARGIN: f32 = 26.0;
const FOOT: f32 = 13.0;
const TITLE: f32 = 18.0;
/// The column for fret and family, in points.
const LABEL: f32 = 58.0;
/// A key's head, a row of diagrams, and the room below a key.
const HEAD: f32 = 28.0;
const ROW: f32 = 62.0;
const APART: f32 = 3.0;
const STRING: f32 = 6.2;
const FRET: f32 = 7.6;
const NAME: f32 = 8.5;
const SMALL: f32 = 7.5;

const TOLD: &str = "Above a diagram stands the chord as fingered, below it as it sounds: plain, then as it rings with the \
    family's open strings where that differs; 3 and 7 also over the bass they are mostly played on.";

/// Every key, with what a player's highest fret and families give of it.
///
/// # Errors
/// Where the PDF library refuses what was drawn.
pub fn keys(player: &Player, rig: &Rig, paper: Paper) -> Result<Sheet, NotMade> {
    let letters = Letters::new()?;
    let (high, wide) = paper.upright();
    let mut flow = Flow::new(Frame {
        page: (wide, high),
        margin: MARGIN,
        foot: FOOT,
    });
    let width = flow.frame.width();
    let keys: Vec<(Key, Vec<Choice>)> = Key::majors().map(|key| (key, choices(player, key))).into();
    let drawing = Drawing {
        letters: &letters,
        look: Look {
            string: STRING,
            fret: FRET,
            left_handed: rig.left_handed,
        },
        columns: columns(keys.iter().flat_map(|(_, choices)| choices), width),
        width,
    };
    flow.put(title(player, width, &letters));
    let nothing = Part::default();
    for (key, choices) in &keys {
        let mut parts = vec![drawing.head(*key)];
        parts.extend(choices.iter().map(|choice| drawing.row(*key, choice)));
        if choices.is_empty() {
            parts.push(drawing.none(*key, player.highest_fret));
        }
        parts.push(Part::blank(APART));
        flow.put_together(parts, &nothing);
    }
    flow.put(paragraph(Face::Text, 7.0, CAUTIONS, width, &letters));
    let about = About {
        title: "Keys and shapes".into(),
        description: "Every key with the capo frets and shape families that give it".into(),
        date: None,
    };
    finished(flow, about, &letters)
}

/// A fret and the family that gives a key there.
struct Choice {
    fret: Fret,
    family: Family,
    degrees: Vec<DegreeShapes>,
}

fn choices(player: &Player, key: Key) -> Vec<Choice> {
    let frets = player.highest_fret.up_to();
    let choices = frets.filter_map(|fret| {
        let family = family_of(&player.shapes, fret, key)?;
        let degrees = family.degrees();
        Some(Choice { fret, family, degrees })
    });
    choices.collect()
}

/// What is drawn of a degree: plain, open where that differs, and the inversion.
fn drawn(degree: &DegreeShapes) -> Vec<Shape> {
    let open = (degree.open != degree.plain).then_some(degree.open);
    let shapes = [Some(degree.plain), open, degree.slash];
    shapes.into_iter().flatten().collect()
}

/// Where each degree's diagrams begin, the same for every key, and how wide one of them is.
struct Columns {
    begins: Vec<f32>,
    slot: f32,
}

fn columns<'a>(choices: impl Iterator<Item = &'a Choice>, width: f32) -> Columns {
    let mut most = [1_usize; 7];
    for choice in choices {
        for (most, degree) in most.iter_mut().zip(&choice.degrees) {
            *most = (*most).max(drawn(degree).len());
        }
    }
    let slot = (width - LABEL) / most.iter().sum::<usize>() as f32;
    let begins = most.iter().scan(LABEL, |begin, most| {
        let here = *begin;
        *begin += slot * *most as f32;
        Some(here)
    });
    Columns {
        begins: begins.collect(),
        slot,
    }
}

fn title(player: &Player, width: f32, letters: &Letters) -> Part {
    let mut title = Piece::new(Role::Heading(1, "Keys and shapes".into()));
    title.words((0.0, TITLE * CAPITAL), Face::Bold, TITLE, "Keys and shapes");
    let whose = match player.name.as_str() {
        "" => String::new(),
        name => format!("{name} · "),
    };
    let families: Vec<&str> = player.shapes.iter().map(|family| family.letter()).collect();
    let upto = match player.highest_fret {
        Fret::OPEN => "no capo".to_owned(),
        fret => format!("capo up to fret {fret}"),
    };
    let words = format!("{whose}{upto} · shapes {}", families.join(", "));
    let begin = letters.width(Face::Bold, TITLE, "Keys and shapes") + 14.0;
    let mut under = Piece::new(Role::Words);
    let size = letters.shrunk(Face::Text, 10.0, width - begin, &words);
    under.words((begin, TITLE * CAPITAL), Face::Text, size, &words);
    let head = Part {
        height: TITLE,
        pieces: vec![title, under],
        bookmark: None,
    };
    head.below(paragraph(Face::Text, SMALL, TOLD, width, letters))
}

/// What all rows share.
struct Drawing<'a> {
    letters: &'a Letters,
    look: Look,
    columns: Columns,
    width: f32,
}

impl Drawing<'_> {
    /// The key with its relative minor and its other name, and a number over each degree.
    fn head(&self, key: Key) -> Part {
        let name = format!("{} major", key.signs());
        let mut title = Piece::new(Role::Heading(2, name.clone()));
        title.words((0.0, 12.0), Face::Bold, 13.0, &name);
        let mut words = format!("and {} minor", key.relative_minor().tonic().signs());
        if let Some(other) = key.respelled() {
            let chords = NumberChord::diatonic().map(|chord| chord.on(other.tonic()).signs().to_string());
            words = format!(
                "{words} · {} major sounds the same: {}",
                other.signs(),
                chords.join(" ")
            );
        }
        let begin = self.letters.width(Face::Bold, 13.0, &name) + 6.0;
        let mut beside = Piece::new(Role::Words);
        beside.words((begin, 12.0), Face::Text, 9.0, &words);
        let mut rule = Piece::new(Role::Furniture);
        rule.line((0.0, 0.0), (self.width, 0.0), 0.8, Ink::Black);
        let mut numbers = Piece::new(Role::Words);
        let ends = self.columns.begins.iter().skip(1).chain([&self.width]);
        let places = self.columns.begins.iter().zip(ends);
        let spans = places
            .clone()
            .map(|(begin, end)| ((begin + 4.0, HEAD - 1.0), (end - 4.0, HEAD - 1.0)));
        rule.lines(spans.collect(), 0.4, Ink::Grey);
        for (chord, (begin, _)) in NumberChord::diatonic().into_iter().zip(places) {
            let number = chord.written(key, Numbering::default());
            self.centred(&mut numbers, (*begin, 23.5), Face::Bold, 10.0, &number);
        }
        Part {
            height: HEAD,
            pieces: vec![rule, title, beside, numbers],
            bookmark: Some(name),
        }
    }

    /// A fret and its family, and the chords of the seven degrees.
    fn row(&self, key: Key, choice: &Choice) -> Part {
        let mut part = Part::blank(ROW);
        part.pieces.push(self.label(choice));
        for (degree, begin) in choice.degrees.iter().zip(&self.columns.begins) {
            for (place, shape) in drawn(degree).into_iter().enumerate() {
                let at = begin + self.columns.slot * place as f32;
                part.pieces.push(self.figure(key, choice, &shape, at));
            }
        }
        part
    }

    fn label(&self, choice: &Choice) -> Piece {
        let mut piece = Piece::new(Role::Heading(
            3,
            format!("{}, {} shapes", capo_words(choice.fret), choice.family),
        ));
        if choice.fret == Fret::OPEN {
            piece.words((0.0, 20.0), Face::Bold, 14.0, "no");
            piece.words((0.0, 34.0), Face::Bold, 14.0, "capo");
        } else {
            let number = choice.fret.to_string();
            piece.words((0.0, 34.0), Face::Text, SMALL, "capo");
            let begin = self.letters.width(Face::Text, SMALL, "capo") + 4.0;
            piece.words((begin, 34.0), Face::Bold, 30.0, &number);
        }
        piece.words((0.0, 47.0), Face::Bold, 10.0, &format!("{} shapes", choice.family));
        piece
    }

    fn figure(&self, key: Key, choice: &Choice, shape: &Shape, left: f32) -> Piece {
        let fingered = shape.number.on(choice.family.tonic());
        let sounds = shape.number.on(key.tonic());
        let number = shape.number.written(key, Numbering::default());
        let spoken = diagram::spoken(&fingered.to_string(), &shape.voicing);
        let mut piece = Piece::new(Role::Figure(format!("{number}, {spoken}, sounds {sounds}")));
        self.centred(
            &mut piece,
            (left, NAME - 1.0),
            Face::Bold,
            NAME,
            &fingered.signs().to_string(),
        );
        let at = (left + (self.columns.slot - self.look.width()) / 2.0, NAME + 2.0);
        diagram::draw(&mut piece, at, &shape.voicing, self.look, self.letters);
        let below = match fingered.bass {
            // An inversion has a number of its own; the others stand below their degree's.
            Some(_) => format!("{number} · {}", sounds.signs()),
            None => sounds.signs().to_string(),
        };
        let y = NAME + 2.0 + self.look.height() + SMALL;
        self.centred(&mut piece, (left, y), Face::Text, SMALL, &below);
        piece
    }

    /// A key that the player has no shapes for: how its chords sound, below their numbers.
    fn none(&self, key: Key, highest: Fret) -> Part {
        let mut words = Piece::new(Role::Words);
        words.words((0.0, 10.0), Face::Bold, 9.5, "no shapes");
        let upto = match highest {
            Fret::OPEN => "without capo".to_owned(),
            fret => format!("up to fret {fret}"),
        };
        words.words((0.0, 19.0), Face::Text, SMALL, &upto);
        for (chord, begin) in NumberChord::diatonic().into_iter().zip(&self.columns.begins) {
            let sounds = chord.on(key.tonic()).signs().to_string();
            self.centred(&mut words, (*begin, 10.0), Face::Text, NAME, &sounds);
        }
        Part {
            height: 24.0,
            pieces: vec![words],
            bookmark: None,
        }
    }

    /// In the middle of a diagram's place, smaller where that is too narrow.
    fn centred(&self, piece: &mut Piece, (left, y): At, face: Face, most: f32, words: &str) {
        let size = self.letters.shrunk(face, most, self.columns.slot - 2.0, words);
        let wide = self.letters.width(face, size, words);
        piece.words((left + (self.columns.slot - wide) / 2.0, y), face, size, words);
    }
}
