//! A sitting: pages with options, of which one is chosen by a key or by two switches; what is to be played and written.

use super::history::Answered;
use super::question::{Playing, Question, Quiz};
use crate::ear::sound::Sound;
use crate::ear::units::Decibels;

/// What a page says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Page {
    pub heading: String,
    /// What is chosen among; never empty.
    pub options: Vec<String>,
    pub chosen: usize,
    pub note: String,
    /// Whether the heading is the news: right or wrong.
    pub news: bool,
}

/// What the player asks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ask {
    /// The other option next.
    Step,
    /// Do what is chosen.
    Go,
    /// Do the option so numbered, from 0.
    Option(usize),
    /// Hear it again.
    Again,
}

/// Sounds to be played one after another, this much softer than usual.
#[derive(Clone, Debug, PartialEq)]
pub struct Play {
    pub sounds: Vec<Sound>,
    pub softer: Decibels,
}

/// What comes of what was asked.
#[derive(Debug, Default)]
pub struct Done {
    pub play: Option<Play>,
    pub wrote: Option<Answered>,
    pub over: bool,
}

/// A running sitting.
pub struct Sitting {
    quiz: Quiz,
    at: At,
    chosen: usize,
}

/// Where the sitting is.
enum At {
    /// The volume is set by a soft sound.
    Volume(Question),
    Asked(Question),
    Told {
        question: Question,
        choice: usize,
    },
}

/// The first sound is this much softer than all that follow.
const FIRST_SOFTER: Decibels = Decibels::new(20.0);
const NORMAL: Decibels = Decibels::new(0.0);
const AGAIN: &str = "hear it again";
/// NIOSH 1998: 85 dBA, averaged over 8 h at work, is hazardous (read).
const CAUTION: &str = "`back` steps down, `next` does what is marked; what follows is 20 dB louder than this: start low. Sound you must raise your voice over is too loud \
                       (NIOSH 1998: 85 dBA over 8 h is hazardous)";

impl Sitting {
    /// Begins with the page on which the volume is set.
    pub fn begin(mut quiz: Quiz, now: u64) -> (Sitting, Done) {
        let first = quiz.ask(now);
        let sitting = Sitting {
            quiz,
            at: At::Volume(first),
            chosen: 0,
        };
        let done = Done {
            play: Some(sitting.again()),
            ..Done::default()
        };
        (sitting, done)
    }

    pub fn quiz(&self) -> &Quiz {
        &self.quiz
    }

    pub fn page(&self) -> Page {
        let options = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect();
        let (heading, options, note): (String, Vec<String>, String) = match &self.at {
            At::Volume(_) => ("set the volume".into(), options(&[AGAIN, "begin"]), CAUTION.into()),
            At::Asked(question) => {
                let mut options = question.choices.clone();
                options.push(AGAIN.into());
                let note = format!("{}; `back` steps down, `next` answers", self.score());
                (question.heading().into(), options, note)
            }
            At::Told { question, choice } => {
                let verdict = if question.is_right(*choice) { "right" } else { "no" };
                let heading = format!("{verdict}: {}", question.answer());
                let note = format!("{}. You hear {}.", self.score(), self.in_turn(question, *choice));
                (heading, options(&["next", "hear both", "enough"]), note)
            }
        };
        Page {
            heading,
            options,
            chosen: self.chosen,
            note,
            news: matches!(self.at, At::Told { .. }),
        }
    }

    /// Does what was asked; `now` in seconds since 1970.
    pub fn hear(&mut self, ask: Ask, now: u64) -> Done {
        let count = self.page().options.len();
        let option = match ask {
            Ask::Step => {
                self.chosen = (self.chosen + 1) % count;
                return Done::default();
            }
            Ask::Again => {
                return Done {
                    play: Some(self.again()),
                    ..Done::default()
                };
            }
            Ask::Go => self.chosen,
            Ask::Option(option) if option < count => option,
            Ask::Option(_) => return Done::default(),
        };
        self.take(option, now)
    }

    fn take(&mut self, option: usize, now: u64) -> Done {
        let mut done = Done::default();
        match &self.at {
            At::Volume(_) if option == 0 => {}
            At::Volume(first) => self.go_to(At::Asked(first.clone())),
            At::Asked(question) if option == question.choices.len() => {}
            At::Asked(question) => {
                let question = question.clone();
                done.wrote = Some(self.quiz.answer(&question, option, now));
                self.go_to(At::Told {
                    question,
                    choice: option,
                });
            }
            At::Told { .. } if option == 1 => {}
            At::Told { .. } if option == 2 => {
                done.over = true;
                return done;
            }
            At::Told { .. } => {
                let question = self.quiz.ask(now);
                self.go_to(At::Asked(question));
            }
        }
        done.play = Some(self.again());
        done
    }

    fn go_to(&mut self, at: At) {
        self.at = at;
        self.chosen = 0;
    }

    /// What "hear it again" plays here.
    fn again(&self) -> Play {
        let sounds = |question: &Question, playings: &[Playing]| {
            playings
                .iter()
                .map(|playing| self.quiz.sound(question, playing))
                .collect()
        };
        match &self.at {
            At::Volume(question) => Play {
                sounds: sounds(question, &question.playings[..1]),
                softer: FIRST_SOFTER,
            },
            At::Asked(question) => Play {
                sounds: sounds(question, &question.playings),
                softer: NORMAL,
            },
            At::Told { question, choice } => Play {
                sounds: sounds(question, &self.quiz.compared(question, *choice)),
                softer: NORMAL,
            },
        }
    }

    /// Which sounds follow each other after an answer.
    fn in_turn(&self, question: &Question, choice: usize) -> String {
        let compared = self.quiz.compared(question, choice);
        let names: Vec<&str> = compared.iter().map(|playing| playing.position.name.as_str()).collect();
        names.join(", then ")
    }

    /// This sitting's count; no word of mastery.
    fn score(&self) -> String {
        let sitting = self.quiz.sitting();
        let answers = self.quiz.history().answers().iter().rev();
        let here: Vec<_> = answers.take_while(|answered| answered.sitting == sitting).collect();
        let right = here.iter().filter(|answered| answered.is_right()).count();
        format!("{right} of {} right so far", here.len())
    }
}

impl Question {
    fn heading(&self) -> &'static str {
        use super::history::Drill;
        match self.drill {
            Drill::Name => "which position?",
            Drill::Odd => "which one is from another position?",
            Drill::Gap => "which one has moved?",
            Drill::Same => "same position or another?",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ear::pickup::Instrument;
    use crate::ear::quiz::history::{Drill, History};
    use crate::ear::repertoire::Repertoire;
    use crate::ear::units::Seed;
    use crate::setlist::Guitar;

    fn sitting() -> (Sitting, Done) {
        let guitar = Guitar {
            selector_is_told: true,
            ..Guitar::default()
        };
        let repertoire = Repertoire::of_guitar(Instrument::of(&guitar));
        let quiz = Quiz::new(Drill::Name, repertoire, History::default(), Seed::new(4), 1000);
        Sitting::begin(quiz, 1000)
    }

    #[test]
    fn two_switches_are_enough_for_a_whole_question() {
        let (mut sitting, first) = sitting();
        assert_eq!(first.play.unwrap().softer, FIRST_SOFTER);
        assert_eq!(sitting.page().options, [AGAIN, "begin"]);
        assert!(sitting.hear(Ask::Step, 1001).play.is_none());
        let asked = sitting.hear(Ask::Go, 1001);
        assert_eq!(
            asked.play.map(|play| (play.sounds.len(), play.softer)),
            Some((1, NORMAL))
        );
        let page = sitting.page();
        assert_eq!(
            (page.heading.as_str(), page.options.len(), page.chosen),
            ("which position?", 3, 0)
        );
        assert!(page.note.contains("`back` steps down, `next` answers"), "{page:?}");
        sitting.hear(Ask::Step, 1002);
        sitting.hear(Ask::Step, 1002);
        assert!(
            sitting.hear(Ask::Go, 1003).play.is_some(),
            "the last option plays it again"
        );
        assert_eq!(sitting.page().chosen, 2);
        sitting.hear(Ask::Step, 1004);
        let told = sitting.hear(Ask::Go, 1005);
        let wrote = told.wrote.unwrap();
        assert_eq!((&*wrote.answered, wrote.at), (page.options[0].as_str(), 1005));
        let heard = told.play.map(|play| play.sounds.len());
        assert_eq!(heard, Some(2), "the right name, and both sounds in turn");
        let page = sitting.page();
        assert!(page.news && page.heading.ends_with(&*wrote.played), "{page:?}");
        assert!(page.note.contains("of 1 right so far. You hear "), "{page:?}");
        assert!(page.note.contains(&format!("{}, then ", wrote.played)), "{page:?}");
        assert_eq!(
            sitting.hear(Ask::Option(1), 1006).play.map(|play| play.sounds.len()),
            Some(2)
        );
        assert!(sitting.hear(Ask::Option(0), 1007).play.is_some(), "the next question");
        sitting.hear(Ask::Option(0), 1008);
        assert!(sitting.hear(Ask::Option(2), 1009).over);
    }

    #[test]
    fn a_key_beyond_the_options_does_nothing() {
        let (mut sitting, _) = sitting();
        let before = sitting.page();
        let done = sitting.hear(Ask::Option(5), 1001);
        assert!(done.play.is_none() && done.wrote.is_none() && !done.over);
        assert_eq!(sitting.page(), before);
    }
}
