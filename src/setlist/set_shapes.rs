//! The tables of a set file and a song file.

use crate::setlist::Bars;
use crate::setlist::player_shapes::PLAYER;
use crate::setlist::shape::Kind::{Chords, Date, Family, Group, Key, Meter, Number, Whole, Word};
use crate::setlist::shape::Ways::{AtLeast, Free, One};
use crate::setlist::shape::{
    CHANNEL, FRET, NAME, NOTE, SECONDS, SEVEN, Shape, WORDS, list, may, must, named, one_or_more,
};

pub(super) static SET: Shape = Shape {
    called: "a set",
    example: "set: Friday",
    fields: &[
        must("set", NAME, "The name of the set."),
        may("date", Date, "The day of the show."),
        may("gap", SECONDS, "Seconds free between songs; 20 where nothing is said."),
        may(
            "numbers",
            Word(&["diatonic", "literal"]),
            "What a bare number means: the key's own chord (`diatonic`), or a major chord (`literal`).",
        ),
        may(
            "minor_numbers",
            Word(&["relative", "from_one"]),
            "What 1 is in a minor key: its relative major (`relative`), or the minor tonic (`from_one`).",
        ),
        may(
            "players",
            list(&Group(&PLAYER)),
            "The guitarists; the first is the one whose screen this is.",
        ),
        must(
            "songs",
            one_or_more(&Group(&SONG)),
            "The songs in their order, at least one.",
        ),
    ],
    ways: Free,
};

pub(super) static SONG: Shape = Shape {
    called: "a song",
    example: "{ song: Seven Lamps, key: F#m }",
    fields: &[
        may("song", NAME, "The title."),
        may(
            "use",
            NAME,
            "A song file, relative to this one; fields beside `use` replace those of that file.",
        ),
        may("key", Key, "The key that sounds, like `Bb` or `C#m`."),
        may(
            "tempo",
            Number { from: 20.0, to: 400.0 },
            "Beats (of the meter's lower figure) a minute.",
        ),
        may("meter", Meter, "Beats in a bar over the note that is a beat."),
        may("gap", SECONDS, "Seconds free before this song."),
        may("note", NOTE, "A word to oneself, shown with the song."),
        may(
            "pin",
            named(&Group(&PIN)),
            "By player: a capo fret or a family of shapes that the plan must take, like `{ Wren: { fret: 3 } }`.",
        ),
        may(
            "send",
            list(&Group(&MESSAGE)),
            "MIDI messages sent when the song comes up.",
        ),
        may(
            "sections",
            named(&Group(&SECTION)),
            "The sections by name, in the order written, like `Verse: { bars: 8, technique: strum }`.",
        ),
        may(
            "order",
            list(&NAME),
            "The sections as they are played, like `Verse` or `Chorus x2`; left out, each once.",
        ),
    ],
    ways: AtLeast(&[&["use"], &["song", "key"]]),
};

pub(super) static PIN: Shape = Shape {
    called: "a pin",
    example: "{ fret: 3 }",
    fields: &[
        may("fret", FRET, "The capo fret, 0 for no capo."),
        may("shapes", Family, "The family of shapes for the song's own key."),
    ],
    ways: AtLeast(&[&["fret"], &["shapes"]]),
};

pub(super) static MESSAGE: Shape = Shape {
    called: "a message",
    example: "{ program: 12 }",
    fields: &[
        may("program", SEVEN, "A program change, counted from 0."),
        may("cc", SEVEN, "A controller; it needs a `value`."),
        may("value", SEVEN, "The controller's value."),
        may("channel", CHANNEL, "The MIDI channel; 1 where nothing is said."),
    ],
    ways: One(&[&["program"], &["cc", "value"]]),
};

pub(super) static SECTION: Shape = Shape {
    called: "a section",
    example: "{ bars: 8, technique: strum }",
    fields: &[
        may(
            "like",
            NAME,
            "Another section of the song, from which everything is taken but what is said anew.",
        ),
        may(
            "bars",
            Whole {
                from: 1,
                to: Bars::MAX as i64,
            },
            "How many bars it has.",
        ),
        may(
            "technique",
            WORDS,
            "`palm mute`, `down strokes`, `diamonds`, `arpeggio`, `strum`, `tacet`, or words of one's own.",
        ),
        may(
            "pickup",
            NAME,
            "A position of the selector, like `neck` or `neck+middle`.",
        ),
        may(
            "chords",
            Chords,
            "Bars between `|`, as numbers or letters, like \"1 | 5/7 | 6- | 4\".",
        ),
        may("key", Key, "The key of this section where it is not the song's."),
        may("note", NOTE, "A word to oneself, shown with the section."),
        may(
            "send",
            list(&Group(&MESSAGE)),
            "MIDI messages sent when the section begins.",
        ),
    ],
    ways: Free,
};
