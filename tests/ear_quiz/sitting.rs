//! A sitting that a test can play: it presses switches, types, reads the screen and what was played.

use crate::terminal::{Pedal, Terminal};
use footlights::ear::{Sound, read_wav};
use std::ffi::{OsStr, OsString};
use std::fs;
use std::path::PathBuf;
use std::thread;
use std::time::{Duration, Instant};
use tempfile::TempDir;
use vt100::Parser;

/// However slow the machine, what is waited for has come by then.
const PATIENCE: Duration = Duration::from_secs(60);
/// So small that every word stands in the terminal's own text.
const CELLS: (u16, u16) = (40, 6);
/// Longer than a switch is deaf after a press.
const DEAF: Duration = Duration::from_millis(120);

pub(crate) struct Running {
    terminal: Terminal,
    pedal: Pedal,
    screen: Parser,
    /// All that was written, for what stands there after the end.
    written: Vec<u8>,
    folder: TempDir,
}

impl Running {
    /// `ear` with three positions, its sound into a file by way of ALSA.
    pub(crate) fn open(arguments: &[&str]) -> Running {
        Running::with(arguments, |out| {
            format!(
                "</usr/share/alsa/alsa.conf>\n\
                 pcm.!default {{ type plug slave {{ pcm \"tofile\" format S16_LE channels 2 rate 48000 }} }}\n\
                 pcm.tofile {{ type file slave.pcm \"null\" file \"{out}\" format \"wav\" }}\n"
            )
        })
    }

    /// `ear` where ALSA knows of no device.
    pub(crate) fn without_sound() -> Running {
        Running::with(&[], |_| String::new())
    }

    fn with(arguments: &[&str], alsa: impl FnOnce(&str) -> String) -> Running {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        fs::write(at("alsa.conf"), alsa(at("out.wav").to_str().unwrap())).unwrap();
        let player = "guitar: { selector: [neck, middle, bridge] }\nscreen: { glyphs: letters }\n";
        fs::write(at("player.yaml"), player).unwrap();
        let pedal = Pedal::new(folder.path()).unwrap();
        let mut alsa = OsString::from("ALSA_CONFIG_PATH=");
        alsa.push(at("alsa.conf"));
        let mut args: Vec<OsString> = vec![alsa, env!("CARGO_BIN_EXE_footlights").into(), "ear".into()];
        args.extend(arguments.iter().map(OsString::from));
        args.extend(["--seed".into(), "3".into(), "--player".into(), at("player.yaml").into()]);
        args.extend(["--raw-midi".into(), pedal.path().into()]);
        let terminal = Terminal::start(OsStr::new("env"), &args, folder.path(), CELLS).unwrap();
        Running {
            terminal,
            pedal,
            screen: Parser::new(rows(), columns(), 0),
            written: Vec::new(),
            folder,
        }
    }

    /// Waits until the screen says these words.
    pub(crate) fn wait_for(&mut self, words: &str) {
        let since = Instant::now();
        while !self.text().contains(words) {
            assert!(since.elapsed() < PATIENCE, "`{words}` does not come: {}", self.text());
            assert!(self.terminal.ended().unwrap().is_none(), "it has ended: {}", self.all());
            self.read();
        }
    }

    fn read(&mut self) {
        let mut bytes = [0; 4096];
        let count = self.terminal.read(&mut bytes, Duration::from_millis(50)).unwrap_or(0);
        self.screen.process(&bytes[..count]);
        self.written.extend_from_slice(&bytes[..count]);
    }

    fn text(&self) -> String {
        self.screen.screen().contents()
    }

    fn all(&self) -> String {
        String::from_utf8_lossy(&self.written).into_owned()
    }

    /// The switch for `back`: the next option.
    pub(crate) fn step(&mut self) {
        self.press(81);
    }

    /// The switch for `next`: what is chosen.
    pub(crate) fn go(&mut self) {
        self.press(80);
    }

    fn press(&mut self, cc: u8) {
        self.pedal.send(&[0xB0, cc, 127]).unwrap();
        self.pedal.send(&[0xB0, cc, 0]).unwrap();
        thread::sleep(DEAF);
        self.read();
    }

    pub(crate) fn type_in(&mut self, keys: &str) {
        self.terminal.write(keys.as_bytes()).unwrap();
        thread::sleep(DEAF);
    }

    /// What was played last, once it is whole.
    pub(crate) fn sound(&mut self) -> Sound {
        self.sound_longer_than(1.0)
    }

    pub(crate) fn sound_longer_than(&mut self, seconds: f64) -> Sound {
        let path = self.file("out.wav");
        let since = Instant::now();
        let mut len = 0;
        loop {
            thread::sleep(Duration::from_millis(500));
            self.read();
            let now = fs::metadata(&path).map_or(0, |file| file.len());
            if now == len
                && let Ok(sound) = read_wav(&path)
                && sound.seconds() > seconds
            {
                // It is taken away, so that what is read next is new.
                fs::remove_file(&path).unwrap();
                return sound;
            }
            len = now;
            assert!(
                since.elapsed() < PATIENCE,
                "nothing is played: {len} bytes; {}",
                self.text()
            );
        }
    }

    pub(crate) fn history(&self) -> String {
        fs::read_to_string(self.file("footlights/ear.jsonl")).unwrap_or_default()
    }

    fn file(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Waits for a good end; all that was written until then.
    pub(crate) fn ended(&mut self) -> String {
        self.ended_with(0)
    }

    pub(crate) fn ended_with(&mut self, status: i32) -> String {
        let since = Instant::now();
        loop {
            self.read();
            if let Some(ended) = self.terminal.ended().unwrap() {
                self.read();
                assert_eq!(ended.code(), Some(status), "{}", self.all());
                assert!(self.terminal.is_as_found().unwrap(), "the terminal is not as it was");
                return self.all();
            }
            assert!(since.elapsed() < PATIENCE, "it does not end: {}", self.text());
        }
    }
}

fn rows() -> std::num::NonZeroU16 {
    std::num::NonZeroU16::new(CELLS.1).unwrap()
}

fn columns() -> std::num::NonZeroU16 {
    std::num::NonZeroU16::new(CELLS.0).unwrap()
}
