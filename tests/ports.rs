//! Real ports, on a JACK server of our own with no sound hardware (jackd2 1.9.21): `cargo test --features jack --test
//! ports`. Needs Debian's `jackd2` and `libjack-jackd2-dev`.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test starts processes and may fail"
)]
#![cfg(feature = "jack")]

use midir::os::unix::VirtualOutput;
use midir::{MidiOutput, MidiOutputConnection};
use serde_json::Value;
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

/// A server that only this test knows, ended with it.
struct Server {
    name: String,
    process: Child,
}

impl Server {
    fn start() -> Server {
        let name = format!("footlights-{}", std::process::id());
        // Synchronous (-S): without it single messages get lost now and then.
        let process = Command::new("jackd")
            .args(["-r", "-S", "-n", &name, "-d", "dummy", "-r", "48000", "-p", "64"])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("jackd is needed");
        let waited = Command::new("jack_wait").args(["-s", &name, "-w", "-t", "20"]).output();
        assert!(waited.unwrap().status.success(), "the server did not start");
        Server { name, process }
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // Killed otherwise, it leaves its shared memory behind.
        let id = self.process.id().to_string();
        let _ = Command::new("sh").args(["-c", &format!("kill -s TERM {id}")]).status();
        let _ = self.process.wait();
    }
}

/// A process reads its server's name from the environment once, so the test proper is this program run again.
#[test]
fn real_ports_are_heard_missed_and_taken_again() {
    let server = Server::start();
    let status = Command::new(std::env::current_exe().unwrap())
        .args(["--ignored", "--exact", "on_the_server"])
        .env("JACK_DEFAULT_SERVER", &server.name)
        .env("XDG_CONFIG_HOME", "/nowhere")
        .status();
    assert!(status.unwrap().success());
}

/// What the program prints, line by line.
struct Watch {
    process: Child,
    lines: Receiver<String>,
}

/// Far longer than anything here takes; a test that waits so long has failed.
const PATIENCE: Duration = Duration::from_secs(60);
/// A message that nothing is bound to, to try whether a cable carries yet.
const PROBE: u8 = 0xFE;

impl Watch {
    fn start() -> Watch {
        let mut process = Command::new(env!("CARGO_BIN_EXE_footlights"))
            .args(["pedal", "watch", "--json", "--port", "stomper"])
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let stdout = BufReader::new(process.stdout.take().unwrap());
        let (to, lines) = channel();
        std::thread::spawn(move || {
            stdout
                .lines()
                .map_while(Result::ok)
                .try_for_each(|line| to.send(line).ok())
        });
        Watch { process, lines }
    }

    /// The next line that tells of no probe. A client of midir 0.11.1 on JACK that closes may say its last word twice,
    /// so the last word is a probe.
    fn next(&self) -> Value {
        loop {
            let line = self.lines.recv_timeout(PATIENCE).expect("a line was to come");
            let told: Value = serde_json::from_str(&line).unwrap();
            if told["bytes"] != serde_json::json!([PROBE]) {
                return told;
            }
        }
    }

    fn assert_says(&self, message: &str) {
        let next = self.next();
        assert_eq!(
            (&next["port"], &next["message"]),
            (&"Stomper:pedal".into(), &message.into())
        );
    }

    /// JACK puts a new cable in place some time after it was asked to: what is sent before that is lost.
    fn wait_for_the_cable(&self, pedal: &mut MidiOutputConnection) {
        for _ in 0..600 {
            pedal.send(&[PROBE]).unwrap();
            if self.lines.recv_timeout(Duration::from_millis(100)).is_ok() {
                return;
            }
        }
        panic!("the cable carries nothing");
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        let _ = self.process.kill();
        let _ = self.process.wait();
    }
}

fn plug_in() -> MidiOutputConnection {
    MidiOutput::new("Stomper").unwrap().create_virtual("pedal").unwrap()
}

/// More than one process of messages, and than the pedal's own buffer takes at once.
const BURST: u8 = 100;

#[test]
#[ignore = "run by the test above, which starts the server"]
fn on_the_server() {
    let watch = Watch::start();
    for _ in 0..3 {
        let mut pedal = plug_in();
        watch.assert_says("the port is here");
        watch.wait_for_the_cable(&mut pedal);
        for number in 0..BURST {
            pedal.send(&[0xC0, number]).unwrap();
        }
        for number in 0..BURST {
            assert_eq!(watch.next()["bytes"], serde_json::json!([0xC0, number]));
        }
        // However long, a system exclusive message is passed over as one that says nothing.
        let long = [&[0xF0][..], &[1; 5000], &[0xF7]].concat();
        pedal.send(&long).unwrap();
        pedal.send(&[0xB0, 80, 127]).unwrap();
        watch.assert_says("system exclusive of 2 bytes");
        assert_eq!(watch.next()["action"], "next");
        pedal.send(&[PROBE]).unwrap();
        // Heard before it goes, so that nothing else is its last word.
        watch.lines.recv_timeout(PATIENCE).unwrap();
        drop(pedal);
        watch.assert_says("the port is not here");
    }
    let pedal = plug_in();
    let list = Command::new(env!("CARGO_BIN_EXE_footlights"))
        .args(["pedal", "list"])
        .output()
        .unwrap();
    let list = String::from_utf8(list.stdout).unwrap();
    assert!(list.lines().any(|line| line == "input   Stomper:pedal"), "{list}");
    drop(pedal);
}
