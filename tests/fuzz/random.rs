//! Numbers that come the same from the same seed, and changes made to inputs by them.

/// Splitmix64, by Sebastiano Vigna, from memory.
pub(crate) struct Random(pub(crate) u64);

impl Random {
    pub(crate) fn number(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Below `end`; 0 where that is 0.
    pub(crate) fn below(&mut self, end: usize) -> usize {
        (self.number() >> 16) as usize % end.max(1)
    }

    pub(crate) fn one_of<'t, T: ?Sized>(&mut self, of: &[&'t T]) -> &'t T {
        of[self.below(of.len())]
    }
}

/// Larger inputs find what small ones find, later.
const MOST_BYTES: usize = 48 << 10;

/// An input like this one, with parts of another and words of its kind, changed in a few places.
pub(crate) fn changed(random: &mut Random, input: &[u8], other: &[u8], words: &[&str]) -> Vec<u8> {
    let mut bytes = input.to_vec();
    for _ in 0..=random.below(6) {
        let at = random.below(bytes.len() + 1);
        let len = match random.below(3) {
            0 => random.below(4),
            1 => random.below(32),
            _ => random.below(bytes.len() + 1),
        };
        let end = (at + len).min(bytes.len());
        match random.below(10) {
            0 => flip(random, &mut bytes),
            1 => drop(bytes.splice(at..at, [random.number() as u8])),
            2 => drop(bytes.drain(at..end)),
            3 => repeat(random, &mut bytes, at, end),
            4 => {
                let from = random.below(other.len() + 1);
                let to = (from + len).min(other.len());
                bytes.splice(at..at, other[from..to].iter().copied());
            }
            5 => bytes.truncate(at),
            6 => drop(bytes.splice(at..end.min(at + 8), random.one_of(words).bytes())),
            7 => another_number(random, &mut bytes, at),
            _ => drop(bytes.splice(at..at, random.one_of(words).bytes())),
        }
    }
    bytes.truncate(MOST_BYTES);
    bytes
}

fn flip(random: &mut Random, bytes: &mut [u8]) {
    let at = random.below(bytes.len());
    if let Some(byte) = bytes.get_mut(at) {
        *byte ^= 1 << random.below(8);
    }
}

fn repeat(random: &mut Random, bytes: &mut Vec<u8>, at: usize, end: usize) {
    let times = [1, 2, 10, 300][random.below(4)];
    let part = bytes[at..end].repeat(times.min(MOST_BYTES / (end - at).max(1)));
    bytes.splice(at..at, part);
}

/// Figures in a row give way to a number at the edge of something.
fn another_number(random: &mut Random, bytes: &mut Vec<u8>, from: usize) {
    const EDGES: [&str; 14] = [
        "0",
        "-1",
        "1",
        "11",
        "12",
        "16",
        "17",
        "127",
        "128",
        "255",
        "65536",
        "4294967296",
        "1e309",
        "0.0001",
    ];
    let Some(start) = bytes[from..].iter().position(u8::is_ascii_digit).map(|at| from + at) else {
        return;
    };
    let len = bytes[start..].iter().take_while(|byte| byte.is_ascii_digit()).count();
    bytes.splice(start..start + len, random.one_of(&EDGES).bytes());
}
