//! Sounds that are no guitar of this player's: never a position with confidence, always a reason.

use crate::heard;
use crate::phrases::{acoustic, open_strings};
use crate::string::Dice;
use footlights::ear::{Answer, CannotTell, Sound, Why};
use std::f64::consts::PI;

const RATE: u32 = 44_100;

/// What is made sample by sample, from the time in seconds.
fn sound(seconds: f64, mut sample: impl FnMut(f64) -> f64) -> Sound {
    let len = (seconds * f64::from(RATE)) as usize;
    Sound {
        rate: RATE,
        samples: (0..len).map(|at| sample(at as f64 / f64::from(RATE))).collect(),
    }
}

#[track_caller]
fn check(what: &str, sound: Sound) -> CannotTell {
    match heard(&[sound]).answer {
        Answer::Position { name, confidence } => panic!("{what} is taken for {name} ({confidence})"),
        Answer::CannotTell(why) => why,
    }
}

/// Eight notes of half a second; `wave` takes phase in turns, and the time in the note.
fn notes(mut wave: impl FnMut(f64, f64) -> f64) -> Sound {
    const HZ: [f64; 8] = [82.41, 110.0, 146.83, 196.0, 246.94, 329.63, 130.81, 98.0];
    sound(4.0, move |t| {
        let (note, in_note) = ((t / 0.5) as usize, t % 0.5);
        if in_note > 0.42 {
            return 0.0;
        }
        0.4 * wave(HZ[note.min(7)] * in_note, in_note)
    })
}

#[test]
fn silence_noise_and_drums_have_no_notes() {
    let mut dice = Dice::new(1);
    check("silence", sound(3.0, |_| 0.0));
    check("nothing at all", sound(0.0, |_| 0.0));
    check("noise", sound(3.0, |_| dice.between(-0.5, 0.5)));
    check(
        "bursts of noise",
        notes(|_, t| dice.between(-1.0, 1.0) * (-6.0 * t).exp()),
    );
    // A drum: a falling tone, two inharmonic modes, and a rattle.
    let drum = notes(|_, t| {
        let fall = (2.0 * PI * (70.0 * t + 3.0 * (1.0 - (-20.0 * t).exp()))).sin();
        let modes = 0.5 * (2.0 * PI * 143.0 * t).sin() + 0.3 * (2.0 * PI * 221.0 * t).sin();
        (fall + modes + 0.4 * dice.between(-1.0, 1.0) * (-30.0 * t).exp()) * (-9.0 * t).exp() / 2.0
    });
    let why = check("a drum", drum);
    assert!(matches!(why, CannotTell::TooFewNotes { used: 0, .. }), "{why}");
}

/// A voice: a buzz whose pitch glides, through three formants that move from vowel to vowel.
#[test]
fn speech_is_not_taken_for_a_guitar() {
    let mut dice = Dice::new(2);
    for speaker in 0..6 {
        let low = dice.between(90.0, 220.0);
        let mut phase = 0.0;
        let mut states = [[0.0_f64; 2]; 3];
        let speech = sound(4.0, |t| {
            let syllable = (t / 0.3).floor();
            let hz = low * (1.0 + 0.15 * (2.0 * PI * 0.7 * t).sin() + 0.05 * (2.0 * PI * 2.3 * t).sin());
            phase += hz / f64::from(RATE);
            let buzz = if phase >= 1.0 { 1.0 } else { 0.0 } + dice.between(-0.01, 0.01);
            phase %= 1.0;
            let vowel = (syllable * 2.399_963).sin();
            let formants = [500.0 + 250.0 * vowel, 1500.0 - 500.0 * vowel, 2500.0];
            let mut out = 0.0;
            for (state, formant) in states.iter_mut().zip(formants) {
                let r = (-PI * 90.0 / f64::from(RATE)).exp();
                let y = buzz + 2.0 * r * (2.0 * PI * formant / f64::from(RATE)).cos() * state[0] - r * r * state[1];
                *state = [y, state[0]];
                out += y;
            }
            0.02 * out * (PI * (t % 0.3) / 0.3).sin()
        });
        check(&format!("speaker {speaker}"), speech);
    }
}

/// Tones of a keyboard: in tune, single, steady, and without any pickup.
#[test]
fn keyboard_tones_are_not_taken_for_a_pickup() {
    for (what, sound) in [
        ("a sawtooth", notes(|phase, _| 2.0 * (phase % 1.0) - 1.0)),
        ("a square", notes(|phase, _| if phase % 1.0 < 0.5 { 1.0 } else { -1.0 })),
        ("a sine", notes(|phase, _| (2.0 * PI * phase).sin())),
        (
            "an organ",
            notes(|phase, _| (1..=8).map(|n| (2.0 * PI * phase * f64::from(n)).sin() / 8.0).sum()),
        ),
    ] {
        check(what, sound);
    }
}

/// The bridge moves a body, which has resonances of its own; there is no pickup, though the pick has its place too.
#[test]
fn a_guitar_without_pickups_is_not_taken_for_one_with_them() {
    for guitar in 1..5 {
        let samples = acoustic(guitar);
        let rate = crate::RATE as u32;
        check(&format!("acoustic guitar {guitar}"), Sound { rate, samples });
    }
}

/// An attack may be too loud for the recorder; what is read comes after it.
#[test]
fn a_note_that_clips_in_its_attack_alone_is_used() {
    let rate = crate::RATE as u32;
    let mut samples = open_strings(1, 0);
    let note = samples.len() / 6;
    for (at, sample) in samples.iter_mut().enumerate() {
        if at % note < (0.01 * crate::RATE) as usize {
            *sample = (8.0 * *sample).clamp(-0.6, 0.6);
        }
    }
    let evidence = heard(&[Sound { rate, samples }]);
    let named = matches!(&evidence.answer, Answer::Position { name, .. } if name == "middle");
    assert!(named && evidence.skipped.is_empty(), "{evidence:?}");
}

#[test]
fn two_strings_at_once_and_clipped_notes_are_skipped_and_say_so() {
    let string = |phase: f64, t: f64| -> f64 {
        let partial = |n: i32| (2.0 * PI * phase * f64::from(n)).sin() / f64::from(n * n);
        (1..20).map(partial).sum::<f64>() * (-1.5 * t).exp()
    };
    let why = check(
        "two strings",
        notes(|phase, t| string(phase, t) + string(phase * 1.26, t)),
    );
    assert_eq!(
        why,
        CannotTell::TooFewNotes {
            used: 0,
            mostly: Some(Why::SeveralStrings)
        }
    );
    let why = check("clipped", notes(|phase, t| (4.0 * string(phase, t)).clamp(-1.0, 1.0)));
    assert_eq!(
        why,
        CannotTell::TooFewNotes {
            used: 0,
            mostly: Some(Why::Clipped)
        }
    );
}
