//! Random sets, small or large, harsh on purpose: kept as plain numbers for the oracle, and written out as a file.

use std::fmt::Write;

/// The families of shapes: the home chord's letter and its semitones above C. Common practice, no source.
pub(crate) const FAMILIES: [(&str, u8); 5] = [("C", 0), ("A", 9), ("G", 7), ("E", 4), ("D", 2)];

/// Keys as written, and their home note (of the relative major) in semitones above C: from memory.
pub(crate) const KEYS: [(&str, u8); 15] = [
    ("C", 0),
    ("Db", 1),
    ("C#", 1),
    ("D", 2),
    ("Eb", 3),
    ("Em", 7),
    ("F", 5),
    ("F#", 6),
    ("Ebm", 6),
    ("G", 7),
    ("Ab", 8),
    ("A", 9),
    ("Gm", 10),
    ("B", 11),
    ("Cb", 11),
];

/// Chords as written: root and bass in semitones above C, what stands between them, and whether it has three notes.
pub(crate) const CHORDS: [(&str, u8, &str, Option<u8>, bool); 12] = [
    ("C", 0, "", None, true),
    ("Db", 1, "", None, true),
    ("C#", 1, "", None, true),
    ("Em", 4, "m", None, true),
    ("F/A", 5, "", Some(9), true),
    ("G7", 7, "7", None, true),
    ("Abm7", 8, "m7", None, true),
    ("G#m7", 8, "m7", None, true),
    ("A5", 9, "5", None, false),
    ("Bbsus4", 10, "sus4", None, true),
    ("Bdim", 11, "dim", None, true),
    ("D/F#", 2, "", Some(6), true),
];

#[derive(Clone, Debug)]
pub(crate) struct Evening {
    pub(crate) players: Vec<Guitarist>,
    pub(crate) songs: Vec<Piece>,
}

#[derive(Clone, Debug)]
pub(crate) struct Guitarist {
    pub(crate) highest_fret: u8,
    /// Places in `FAMILIES`, the best liked first.
    pub(crate) shapes: Vec<usize>,
    pub(crate) seconds_to_move: u32,
    /// Move, fret, dislike, dull.
    pub(crate) weights: [u64; 4],
}

#[derive(Clone, Debug)]
pub(crate) struct Piece {
    /// A place in `KEYS`.
    pub(crate) key: usize,
    pub(crate) gap: u32,
    pub(crate) sections: Vec<Part>,
    /// By player.
    pub(crate) pins: Vec<Option<Wish>>,
}

/// A section: a key and chords, as places in `KEYS` and `CHORDS`.
#[derive(Clone, Debug)]
pub(crate) struct Part {
    pub(crate) key: usize,
    pub(crate) chords: Vec<usize>,
    pub(crate) played: bool,
}

/// A pin; `shapes` is a place in `FAMILIES`.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Wish {
    pub(crate) fret: Option<u8>,
    pub(crate) shapes: Option<usize>,
}

/// A generator of numbers that are the same for a seed: SplitMix64, from memory.
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Dice {
        Dice(seed)
    }

    /// 0 up to, not including, `sides`.
    pub(crate) fn roll(&mut self, sides: usize) -> usize {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((mixed ^ (mixed >> 31)) % sides as u64) as usize
    }

    pub(crate) fn one_in(&mut self, sides: usize) -> bool {
        self.roll(sides) == 0
    }

    fn some<T: Clone>(&mut self, of: &[T], at_least: usize) -> Vec<T> {
        let mut left = of.to_vec();
        let count = at_least + self.roll(of.len() + 1 - at_least);
        (0..count).map(|_| left.remove(self.roll(left.len()))).collect()
    }
}

impl Evening {
    /// So many players and songs, the frets up to `highest` at most.
    pub(crate) fn random(dice: &mut Dice, players: usize, songs: usize, highest: u8) -> Evening {
        let players: Vec<Guitarist> = (0..players).map(|_| Guitarist::random(dice, highest)).collect();
        // Few different keys make for long stays, and so for ties.
        let few = 1 + dice.roll(KEYS.len());
        let songs = (0..songs).map(|_| Piece::random(dice, &players, few)).collect();
        Evening { players, songs }
    }

    /// The set file.
    pub(crate) fn file(&self) -> String {
        let mut file = "set: Evening\nplayers:\n".to_owned();
        for (index, player) in self.players.iter().enumerate() {
            let shapes: Vec<&str> = player.shapes.iter().map(|&family| FAMILIES[family].0).collect();
            let [r#move, fret, dislike, dull] = player.weights;
            writeln!(
                file,
                "  - {{ name: P{index}, highest_fret: {}, shapes: [{}], seconds_to_move: {}, \
                 weights: {{ move: {move}, fret: {fret}, dislike: {dislike}, dull: {dull} }} }}",
                player.highest_fret,
                shapes.join(", "),
                player.seconds_to_move
            )
            .unwrap();
        }
        file.push_str("songs:\n");
        for (index, song) in self.songs.iter().enumerate() {
            song.write(index, &mut file);
        }
        file
    }
}

impl Guitarist {
    fn random(dice: &mut Dice, highest: u8) -> Guitarist {
        let usual = dice.one_in(2);
        Guitarist {
            highest_fret: dice.roll(usize::from(highest) + 1) as u8,
            shapes: dice.some(&[0, 1, 2, 3, 4], if usual { 5 } else { 1 }),
            seconds_to_move: [5, 10][dice.roll(2)],
            weights: match usual {
                true => [2, 1, 1, 1],
                false => std::array::from_fn(|_| [0, 0, 1, 2, 7][dice.roll(5)]),
            },
        }
    }
}

impl Piece {
    fn random(dice: &mut Dice, players: &[Guitarist], few: usize) -> Piece {
        let key = dice.roll(few);
        let part = |dice: &mut Dice| Part {
            key: if dice.one_in(3) { dice.roll(KEYS.len()) } else { key },
            chords: (0..dice.roll(5)).map(|_| dice.roll(CHORDS.len())).collect(),
            played: !dice.one_in(4),
        };
        Piece {
            key,
            gap: [0, 5, 7, 10, 20][dice.roll(5)],
            sections: (0..dice.roll(4)).map(|_| part(dice)).collect(),
            pins: players.iter().map(|player| Wish::random(dice, player)).collect(),
        }
    }

    fn write(&self, index: usize, file: &mut String) {
        let key = KEYS[self.key].0;
        write!(file, "  - {{ song: S{index}, key: \"{key}\", gap: {}", self.gap).unwrap();
        let pins = self.pins.iter().enumerate();
        let pins: Vec<String> = pins
            .filter_map(|(player, pin)| Some(format!("P{player}: {}", (*pin)?.written())))
            .collect();
        write!(file, ", pin: {{ {} }}", pins.join(", ")).unwrap();
        if self.sections.iter().any(|section| section.played) {
            let sections: Vec<String> = self
                .sections
                .iter()
                .enumerate()
                .map(|(at, part)| part.written(at))
                .collect();
            let played = self.sections.iter().enumerate().filter(|(_, part)| part.played);
            let order: Vec<String> = played.map(|(at, _)| format!("X{at}, X{at}")).collect();
            write!(
                file,
                ", sections: {{ {} }}, order: [{}]",
                sections.join(", "),
                order.join(", ")
            )
            .unwrap();
        }
        file.push_str(" }\n");
    }
}

impl Part {
    fn written(&self, at: usize) -> String {
        let chords: Vec<&str> = self.chords.iter().map(|&chord| CHORDS[chord].0).collect();
        let line = if chords.is_empty() {
            "NC".into()
        } else {
            chords.join(" | ")
        };
        format!("X{at}: {{ key: \"{}\", chords: \"{line}\" }}", KEYS[self.key].0)
    }
}

impl Wish {
    /// Mostly none, mostly one that can be met.
    fn random(dice: &mut Dice, player: &Guitarist) -> Option<Wish> {
        let fret = dice.roll(usize::from(player.highest_fret) + 1) as u8;
        match dice.roll(24) {
            0 | 1 => Some(Wish {
                fret: Some(fret),
                shapes: None,
            }),
            2 => Some(Wish {
                fret: None,
                shapes: Some(player.shapes[0]),
            }),
            3 if dice.one_in(6) => Some(Wish {
                fret: Some(dice.roll(12) as u8),
                shapes: Some(dice.roll(5)),
            }),
            _ => None,
        }
    }

    fn written(self) -> String {
        let fret = self.fret.map(|fret| format!("fret: {fret}"));
        let shapes = self.shapes.map(|family| format!("shapes: {}", FAMILIES[family].0));
        let fields: Vec<String> = fret.into_iter().chain(shapes).collect();
        format!("{{ {} }}", fields.join(", "))
    }
}
