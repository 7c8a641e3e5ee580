//! Keys standing in for pedals: which key is which action, digits that gather to a song's number, asking before leaving.

use crate::sequencer::Action;
use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use std::time::Duration;

/// What a key asks of the show.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Ask {
    Do(Action),
    /// Show or hide the list of keys.
    Help,
    /// Put away what lies over the page.
    Close,
    /// Asked to leave for the first time.
    LeaveOnceMore,
    Leave,
    /// Ctrl-Z.
    Suspend,
    /// Digits so far, to be shown until enter.
    Digits(u32),
}

/// Turns keys into what they ask. Time comes in as the time since the start.
pub(super) struct Keypad {
    debounce: Duration,
    last: Option<(KeyCode, Duration)>,
    digits: Option<u32>,
    leaving: Option<Duration>,
}

/// How long the question stands whether to leave.
const LEAVE_WITHIN: Duration = Duration::from_secs(4);
/// No set has more songs than nine digits count.
const MOST_DIGITS: u32 = 99_999_999;

impl Keypad {
    pub(super) fn new(debounce: Duration) -> Keypad {
        Keypad {
            debounce,
            last: None,
            digits: None,
            leaving: None,
        }
    }

    pub(super) fn set_debounce(&mut self, debounce: Duration) {
        self.debounce = debounce;
    }

    /// What a key asks, if anything.
    pub(super) fn press(&mut self, key: KeyEvent, at: Duration) -> Option<Ask> {
        if key.kind == KeyEventKind::Release {
            return None;
        }
        // A held key repeats: it is measured from when it was seen last, not from when it was taken last.
        let repeats = key.kind == KeyEventKind::Repeat
            || self
                .last
                .is_some_and(|(code, seen)| code == key.code && at.saturating_sub(seen) < self.debounce);
        self.last = Some((key.code, at));
        let digit = matches!(key.code, KeyCode::Char('0'..='9'));
        if repeats && !digit {
            return None;
        }
        self.ask(key, at)
    }

    fn ask(&mut self, key: KeyEvent, at: Duration) -> Option<Ask> {
        let leaving = self
            .leaving
            .take()
            .is_some_and(|asked| at.saturating_sub(asked) < LEAVE_WITHIN);
        let digits = self.digits.take();
        if key.modifiers.contains(KeyModifiers::CONTROL) {
            return match key.code {
                KeyCode::Char('c') => Some(self.leave(leaving, at)),
                KeyCode::Char('z') => Some(Ask::Suspend),
                _ => None,
            };
        }
        match key.code {
            KeyCode::Char('q') => Some(self.leave(leaving, at)),
            KeyCode::Char('?') => Some(Ask::Help),
            KeyCode::Esc => Some(Ask::Close),
            KeyCode::Char(digit @ '0'..='9') => {
                let number = digits.unwrap_or(0).min(MOST_DIGITS) * 10 + digit.to_digit(10).unwrap_or(0);
                self.digits = Some(number);
                Some(Ask::Digits(number))
            }
            KeyCode::Enter => Some(Ask::Do(digits.map_or(Action::Next, Action::Song))),
            code => action(code).map(Ask::Do),
        }
    }

    fn leave(&mut self, leaving: bool, at: Duration) -> Ask {
        if leaving {
            return Ask::Leave;
        }
        self.leaving = Some(at);
        Ask::LeaveOnceMore
    }
}

fn action(code: KeyCode) -> Option<Action> {
    Some(match code {
        KeyCode::Right | KeyCode::PageDown | KeyCode::Char(' ') => Action::Next,
        KeyCode::Left | KeyCode::PageUp | KeyCode::Backspace => Action::Back,
        KeyCode::Down => Action::NextSong,
        KeyCode::Up => Action::PreviousSong,
        KeyCode::Home => Action::Top,
        KeyCode::Char('a') => Action::Again,
        KeyCode::Char('u') => Action::Undo,
        KeyCode::Char('n') => Action::Peek,
        KeyCode::Char('+') => Action::KeyUp,
        KeyCode::Char('-') => Action::KeyDown,
        KeyCode::Char('l') => Action::Lock,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asks(keys: &[(KeyCode, u64)]) -> Vec<Option<Ask>> {
        let mut pad = Keypad::new(Duration::from_millis(80));
        let press = |&(code, at)| pad.press(KeyEvent::new(code, KeyModifiers::NONE), Duration::from_millis(at));
        keys.iter().map(press).collect()
    }

    #[test]
    fn a_held_key_is_one_press() {
        let held = [
            (KeyCode::Right, 0),
            (KeyCode::Right, 70),
            (KeyCode::Right, 140),
            (KeyCode::Right, 300),
        ];
        let next = Some(Ask::Do(Action::Next));
        assert_eq!(asks(&held), [next.clone(), None, None, next]);
    }

    #[test]
    fn digits_and_enter_go_to_a_song_and_enter_alone_goes_on() {
        let keys = [
            (KeyCode::Char('1'), 0),
            (KeyCode::Char('1'), 50),
            (KeyCode::Enter, 400),
            (KeyCode::Enter, 900),
        ];
        let wanted = [
            Ask::Digits(1),
            Ask::Digits(11),
            Ask::Do(Action::Song(11)),
            Ask::Do(Action::Next),
        ];
        assert_eq!(asks(&keys), wanted.map(Some));
    }

    #[test]
    fn leaving_asks_first_and_the_question_does_not_stand_for_ever() {
        let q = KeyCode::Char('q');
        let wanted = [Ask::LeaveOnceMore, Ask::LeaveOnceMore, Ask::Leave];
        assert_eq!(asks(&[(q, 0), (q, 5000), (q, 6000)]), wanted.map(Some));
        let wanted = [Ask::LeaveOnceMore, Ask::Do(Action::Next), Ask::LeaveOnceMore];
        assert_eq!(asks(&[(q, 0), (KeyCode::Right, 500), (q, 1000)]), wanted.map(Some));
    }
}
