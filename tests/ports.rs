//! Real ports, on a JACK server of our own with no sound hardware (jackd2 1.9.21): `cargo test --features jack --test
//! ports`. Needs Debian's `jackd2` and `libjack-jackd2-dev`.

#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test starts processes and may fail"
)]
#![cfg(feature = "jack")]

#[path = "stage/terminal.rs"]
#[allow(dead_code, reason = "the stage's own tests use the rest")]
mod terminal;

use midir::os::unix::VirtualOutput;
use midir::{MidiOutput, MidiOutputConnection};
use serde_json::Value;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

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
        .args(["--ignored", "--nocapture", "--test-threads", "1"])
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

/// So often in a row a pedal goes and comes.
const ROUNDS: usize = 100;

/// How long it takes each way is told and not tested: a machine may be busy.
#[test]
#[ignore = "run by the test above, which starts the server"]
fn a_hundred_times_on_the_server() {
    let watch = Watch::start();
    let (mut lost, mut back) = (Vec::new(), Vec::new());
    for _ in 0..ROUNDS {
        let start = Instant::now();
        let pedal = plug_in();
        watch.assert_says("the port is here");
        back.push(start.elapsed());
        let start = Instant::now();
        drop(pedal);
        watch.assert_says("the port is not here");
        lost.push(start.elapsed());
    }
    for (what, mut took) in [("lost", lost), ("back", back)] {
        took.sort_unstable();
        println!(
            "{what} {ROUNDS} times: {:?} (median), {:?} at most",
            took[ROUNDS / 2],
            took[ROUNDS - 1]
        );
    }
}

/// A pedal that goes in mid-song and comes back plays on. Each song's program is sent until the new cable carries it.
#[test]
#[ignore = "run by the test above, which starts the server"]
fn in_mid_song_on_the_server() {
    let setlists = Path::new(env!("CARGO_MANIFEST_DIR")).join("setlists");
    let (set, player) = (setlists.join("harvest-evening.yaml"), setlists.join("player.yaml"));
    let home = tempfile::tempdir().unwrap();
    let args = [
        "stage".as_ref(),
        set.as_os_str(),
        "--player".as_ref(),
        player.as_os_str(),
        "--port".as_ref(),
        "stomper".as_ref(),
    ];
    let program = env!("CARGO_BIN_EXE_footlights");
    let mut stage = terminal::Terminal::start(program.as_ref(), &args, home.path(), (80, 24)).unwrap();
    let mut shown = String::new();
    let deadline = Instant::now() + PATIENCE;
    let mut shows = |title: &str| {
        let mut bytes = [0; 1 << 14];
        let count = stage.read(&mut bytes, Duration::from_millis(100)).unwrap();
        shown += &String::from_utf8_lossy(&bytes[..count]);
        assert!(Instant::now() < deadline, "waited for `{title}` in {shown:?}");
        let found = shown.contains(title);
        if found {
            shown.clear();
        }
        found
    };
    while !shows(": Lanterns at Millpond") {}
    for round in 0..10 {
        let (program, title) = [(7, ": Seven Lamps"), (1, ": Ferry in the Fog")][round % 2];
        let mut pedal = plug_in();
        while !shows(title) {
            pedal.send(&[0xC0, program]).unwrap();
        }
        drop(pedal);
        // JACK knows a port by its name alone: one that is back before it was missed is taken for the same.
        while !shows("lost") {}
    }
}
