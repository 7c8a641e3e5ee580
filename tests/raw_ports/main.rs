//! Raw ports that are lost and come back, a hundred times in a row. How long it takes is measured by `./dev bench`.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::disallowed_methods,
    reason = "a test may fail"
)]
#![cfg(target_os = "linux")]

mod rig;

use rig::{Kind, Rig};

fn lose_and_find_a_hundred_times(kind: Kind) {
    let mut rig = Rig::new(kind);
    for round in 0..100 {
        rig.lose();
        rig.find();
        rig.assert_carries(&[0xB0, 80, round]);
    }
}

#[test]
fn a_named_pipe_that_is_removed_is_taken_again_whenever_it_is_back() {
    lose_and_find_a_hundred_times(Kind::Pipe);
}

#[test]
fn a_serial_line_that_hangs_up_is_taken_again_whenever_it_is_back() {
    lose_and_find_a_hundred_times(Kind::SerialLine);
}
