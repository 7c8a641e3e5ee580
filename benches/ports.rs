//! How long it takes until a raw port is missed, and until it is taken again, a hundred times in a row.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "a bench reads the clock, prints, and may fail"
)]

#[cfg(target_os = "linux")]
#[path = "../tests/raw_ports/rig.rs"]
mod rig;

#[cfg(target_os = "linux")]
fn main() {
    use rig::{Kind, Rig};
    use std::time::Duration;
    const ROUNDS: usize = 100;
    let told = |mut took: Vec<Duration>| {
        took.sort_unstable();
        let ms = |place: usize| took[place].as_secs_f64() * 1000.0;
        format!("{:6.1} ms (median), {:6.1} at most", ms(ROUNDS / 2), ms(ROUNDS - 1))
    };
    println!("\nA raw port lost and back {ROUNDS} times (goal: 1,000 ms at most each way)");
    for kind in [Kind::Pipe, Kind::SerialLine] {
        let mut rig = Rig::new(kind);
        let (mut lost, mut back) = (Vec::new(), Vec::new());
        for round in 0..ROUNDS {
            lost.push(rig.lose());
            back.push(rig.find());
            rig.assert_carries(&[0xB0, 80, round as u8]);
        }
        println!("  {:<11} lost {}, back {}", format!("{kind:?}"), told(lost), told(back));
    }
}

#[cfg(not(target_os = "linux"))]
fn main() {
    println!("raw ports are watched on Linux alone");
}
