"""Makes the files of this folder, with mido 1.3.3 and pretty_midi 0.2.11: songs as other programs write them.

    python3 make.py

What each holds is written here and checked in `tests/import.rs`.
"""

import mido
import numpy
import pretty_midi
from mido import Message, MetaMessage, MidiFile, MidiTrack


def save(name, tracks, **kind):
    charset = kind.pop("charset", "utf-8")
    file = MidiFile(charset=charset, **kind)
    for events in tracks:
        track = MidiTrack()
        now = 0
        for tick, event in sorted(events, key=lambda pair: pair[0]):
            track.append(event.copy(time=tick - now))
            now = tick
        file.tracks.append(track)
    file.save(name)


def meta(tick, kind, **values):
    return (tick, MetaMessage(kind, **values))


def note(tick, length, pitch=60):
    return [(tick, Message("note_on", note=pitch, velocity=80)), (tick + length, Message("note_off", note=pitch))]


# Format 1, 480 ticks a quarter note: 4 bars of 4/4, 2 of 3/4, 4 of 4/4; the second part in D.
BAR = 4 * 480
THREE = 3 * 480
save(
    "parts.mid",
    [
        [
            meta(0, "track_name", name="Lanterns at Millpond"),
            meta(0, "set_tempo", tempo=mido.bpm2tempo(72)),
            meta(0, "time_signature", numerator=4, denominator=4),
            meta(0, "key_signature", key="Bb"),
            meta(0, "marker", text="Intro"),
            meta(2 * BAR, "marker", text="Verse"),
            meta(4 * BAR, "marker", text="Turn"),
            meta(4 * BAR, "time_signature", numerator=3, denominator=4),
            meta(4 * BAR + 2 * THREE, "time_signature", numerator=4, denominator=4),
            meta(4 * BAR + 2 * THREE, "marker", text="Verse"),
            meta(6 * BAR + 2 * THREE, "marker", text="Verse"),
            meta(6 * BAR + 2 * THREE, "key_signature", key="C"),
            meta(8 * BAR + 2 * THREE, "marker", text="Verse"),
            meta(10 * BAR + 2 * THREE, "marker", text="End"),
        ],
        [meta(0, "track_name", name="Guitar")] + note(0, 10 * BAR + 2 * THREE),
    ],
    type=1,
    ticks_per_beat=480,
)

# Format 0 in 6/8, a tempo that changes, markers off the bar, in Latin-1, with control characters, and a pick-up.
SIX = 3 * 96
save(
    "latin.mid",
    [
        [
            meta(0, "track_name", name="Fähre im\x07 Nebel\x1b[2J"),
            meta(0, "set_tempo", tempo=mido.bpm2tempo(84)),
            meta(0, "time_signature", numerator=6, denominator=8),
            meta(0, "key_signature", key="C#m"),
            meta(4 * SIX, "set_tempo", tempo=mido.bpm2tempo(90)),
            meta(2 * SIX, "marker", text="Größe: eins"),
            meta(4 * SIX + 40, "marker", text=""),
        ]
        + note(0, 8 * SIX - 10)
    ],
    type=0,
    ticks_per_beat=96,
    charset="latin-1",
)

# No markers, no tempo, no key, no name.
save("bare-song.mid", [note(0, 480)], type=0, ticks_per_beat=480)

# Pieces side by side.
save("side-by-side.mid", [note(0, 480), note(0, 480)], type=2, ticks_per_beat=480)

# Another library, which names instruments alone and changes tempo and meter at times in seconds.
song = pretty_midi.PrettyMIDI(resolution=220, initial_tempo=126)
guitar = pretty_midi.Instrument(program=27, name="Guitar")
guitar.notes.append(pretty_midi.Note(velocity=90, pitch=54, start=0, end=8))
song.instruments.append(guitar)
song.time_signature_changes.append(pretty_midi.TimeSignature(3, 4, 0))
song.key_signature_changes.append(pretty_midi.KeySignature(pretty_midi.key_name_to_key_number("F# minor"), 0))
song.write("seven-lamps.mid")
assert numpy.isclose(song.get_end_time(), 8)
