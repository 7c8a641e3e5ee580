//! Makes the table of every hand that can be pressed in low position, so that finding a chord's voicings is a lookup.
//!
//! Made while the program runs it would cost more than the whole start may take: see `benches/music.rs`. And lays the
//! functions that a show runs side by side in the program.

#![allow(
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "cargo talks with a build script through its environment and its output"
)]

#[path = "src/music/hand.rs"]
mod hand;
#[path = "src/music/pitch.rs"]
#[allow(dead_code, unreachable_pub, reason = "the program uses the rest")]
mod pitch;
#[path = "src/music/sound.rs"]
#[allow(dead_code, reason = "the program uses the rest")]
mod sound;

use hand::{Frets, Order, STRINGS, fingering, order};
use sound::Sound;
use std::path::Path;
use std::{env, fs, io};

/// Hands by what they sound, and each sound's in the order of preference.
pub(crate) struct Hands {
    /// Six frets each, as digits to the base of 6, muted as 0.
    frets: Vec<u16>,
    /// Each sound with the place of its first hand.
    sounds: Vec<(u16, u16)>,
}

fn main() -> io::Result<()> {
    println!("cargo::rerun-if-changed=build.rs");
    for file in ["hand", "pitch", "sound"] {
        println!("cargo::rerun-if-changed=src/music/{file}.rs");
    }
    // Every chord has four strings or more; one of two notes may have three.
    let tables = [4..=6, 3..=3].map(|strings| {
        let hands = make(|frets| strings.contains(&frets.iter().filter(|&&fret| fret >= 0).count()));
        format!("Hands {{ frets: &{:?}, sounds: &{:?} }}", hands.frets, hands.sounds)
    });
    let code = format!("static TABLES: [Hands; 2] = [{}];", tables.join(", "));
    let folder = env::var_os("OUT_DIR").ok_or_else(|| io::Error::other("cargo names no folder for what is made"))?;
    fs::write(Path::new(&folder).join("hands.rs"), code)?;
    lay_out();
    Ok(())
}

/// Hands the linker the list of what a show runs, but only where the flags and the linker are the usual ones: another
/// linker might not take it, and other flags name the functions otherwise.
fn lay_out() {
    println!("cargo::rerun-if-changed=.cargo/stage.ld");
    let is = |name: &str, value: &str| env::var(name).is_ok_and(|found| found == value);
    let usual = is("CARGO_ENCODED_RUSTFLAGS", "-Csymbol-mangling-version=v0") && env::var_os("RUSTC_LINKER").is_none();
    let linux = is("CARGO_CFG_TARGET_OS", "linux") && is("CARGO_CFG_TARGET_ENV", "gnu");
    if let Ok(root) = env::var("CARGO_MANIFEST_DIR")
        && usual
        && linux
        && is("PROFILE", "release")
    {
        println!("cargo::rustc-link-arg-bins=-T{root}/.cargo/stage.ld");
    }
}

/// Every hand that can be pressed and is `wanted`.
pub(crate) fn make(wanted: impl Fn(Frets) -> bool) -> Hands {
    let digits = 6_u16;
    let mut hands: Vec<(Sound, Order, u16)> = (0..digits.pow(STRINGS as u32))
        .filter_map(|code| {
            let frets: Frets = std::array::from_fn(|string| {
                let place = digits.pow((STRINGS - 1 - string) as u32);
                (code / place % digits) as i8 - 1
            });
            wanted(frets).then(|| fingering(frets))??;
            Some((Sound::of(frets)?, order(frets), code))
        })
        .collect();
    hands.sort_unstable();
    let firsts = (0..hands.len()).filter(|&at| at == 0 || hands[at - 1].0 != hands[at].0);
    Hands {
        sounds: firsts.map(|at| (hands[at].0.bits(), at as u16)).collect(),
        frets: hands.iter().map(|&(_, _, code)| code).collect(),
    }
}
