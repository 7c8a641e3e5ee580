//! `ear --set`: the positions that a set's sections call for, on the set's own chords, as the plan has them fingered.

use crate::commands::Trouble;
use crate::commands::load::{Files, load};
use crate::ear::{Instrument, Material, Phrase, Piece, Repertoire};
use crate::music::{Family, Fret, first_voicing};
use crate::plan::Planned;
use crate::setlist::{Section, Technique};
use std::path::{Path, PathBuf};

pub(super) fn repertoire(set: &Path, player: Option<PathBuf>) -> Result<Repertoire, Trouble> {
    let loaded = load(&Files::of(set.into(), player))?;
    let instrument = Instrument::of(&loaded.rig.guitar);
    let sections = || loaded.planned.set.songs().iter().flat_map(|song| &song.sections);
    let called: Vec<&str> = sections().filter_map(|section| section.pickup.as_deref()).collect();
    Repertoire::of_set(instrument, &called, pieces(&loaded.planned)).map_err(|few| {
        let found = few.positions.join(", ");
        let found = if found.is_empty() { "none".into() } else { found };
        let why = "its sections must call for two of the guitar's pickup positions at least, and they call for";
        Trouble::with(set.display(), format!("{why}: {found}"))
    })
}

/// A piece for each section that has chords, in its technique.
fn pieces(planned: &Planned) -> Vec<Piece> {
    let songs = planned.set.song_ids().flat_map(|id| {
        let fret = planned.plan.fret(id, 0);
        planned.set.song(id).sections.iter().map(move |section| (section, fret))
    });
    songs.filter_map(|(section, fret)| piece(section, fret)).collect()
}

fn piece(section: &Section, fret: Fret) -> Option<Piece> {
    let key = section.key.key();
    let family = Family::at(fret, key);
    let sounding = key.relative_major().tonic();
    let chords = section.chords.distinct().into_iter().filter_map(|chord| match family {
        Some(family) => first_voicing(chord.on(family.tonic())),
        None => first_voicing(chord.on(sounding).moved(-i32::from(fret.number()))),
    });
    let chords: Vec<_> = chords.collect();
    (!chords.is_empty()).then(|| Piece {
        phrase: section.technique.as_ref().and_then(phrase),
        material: Material::new(chords, fret),
    })
}

/// The phrase that is played as a section's technique has it; none for a technique that we have no phrase of.
fn phrase(technique: &Technique) -> Option<Phrase> {
    match technique {
        Technique::PalmMute => Some(Phrase::Riff),
        Technique::DownStrokes => Some(Phrase::DownStrokes),
        Technique::Diamonds => Some(Phrase::Diamonds),
        Technique::Arpeggio => Some(Phrase::Arpeggio),
        Technique::Strum | Technique::Tacet | Technique::Other(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ear::Seed;
    use crate::plan::planned;

    #[test]
    fn a_section_is_played_with_the_plans_capo_and_shapes_in_its_technique() {
        let text = "set: One\nsongs:\n  - song: A\n    key: Bb\n    pin: { Wren: { shapes: G } }\n    sections:\n      \
                    Verse: { pickup: neck, technique: arpeggio, chords: \"1\" }\n      Rest: { technique: tacet }\n\
                    players: [{ name: Wren }]\n";
        let pieces = pieces(&planned(text));
        assert_eq!(pieces.len(), 1);
        assert_eq!(pieces[0].phrase, Some(Phrase::Arpeggio));
        let notes = Phrase::Arpeggio.played(&pieces[0].material, Seed::new(1), Seed::new(2));
        let frets: Vec<u8> = notes.iter().map(|note| note.fret).take(6).collect();
        // G as 320003, three frets up.
        assert_eq!(frets, [6, 5, 3, 3, 3, 6]);
    }
}
