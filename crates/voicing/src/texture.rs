//! How full the hands play: what each level holds and in which rhythm, where the song writes nothing.
//!
//! | level | right hand | left hand | with a bass player, left hand | rhythm |
//! | --- | --- | --- | --- | --- |
//! | 1 | two notes | root | one note | both held |
//! | 2 | two notes | root and fifth | two notes | both held |
//! | 3 | three notes, with passing notes on top | root and fifth | two notes | both held |
//! | 4 | three notes | root, fifth and octave | two notes | the right hand on the strong beats, the left broken in beats |
//! | 5 | four notes | root, fifth and octave; a tenth where the hand reaches it | three notes | the right hand on every beat, the left broken in half beats |
//!
//! Common practice of accompanists, no source. Level 3 is what the song format says where a song says nothing.

use crate::texture_figure::figure;
use crate::{Level, Settings, second_note};
use song::{
    Beat, Figure, HandStyle, Hold, LeftShape, Meter, PlayedBar, PlayedSong, Quarters, Restart, SlotKind,
};
use std::collections::HashMap;
use std::sync::Arc;
use theory::{Chord, Hand, Member};

/// Passing and neighbour notes are offered from this level on.
pub(crate) const PASSING_FROM: u8 = 3;
/// The left hand's figures are broken from this level on.
pub(crate) const BROKEN_FROM: u8 = 4;

/// Puts into a song what its levels, the player's wish and the band say about the hands; what the song writes stays.
pub(crate) fn fill_in(song: &mut PlayedSong, settings: &Settings) {
    let base = song.level;
    let mut figures = Figures::default();
    for bar in &mut song.bars {
        bar.level = level_for(bar.level, base, settings.level);
        bar.bass = settings.bass.unwrap_or(bar.bass);
        fill_bar(bar, settings, &mut figures);
    }
    song.level = settings.level.map_or(base, Level::number);
}

/// The player's level takes the place of the song's; sections stay as far from it as they are written.
fn level_for(bar: u8, base: u8, wanted: Option<Level>) -> u8 {
    let Some(wanted) = wanted else { return bar };
    (wanted.number() + bar).saturating_sub(base).clamp(1, 5)
}

fn fill_bar(bar: &mut PlayedBar, settings: &Settings, figures: &mut Figures) {
    let about = About { level: bar.level, bass: bar.bass, settings };
    let (meter, beat) = (bar.meter, bar.beat);
    for slot in &mut bar.slots {
        let (SlotKind::Chord { chord, .. } | SlotKind::Tie { sounding: chord }) = &slot.kind else {
            continue;
        };
        for hand in Hand::BOTH {
            let style = if hand == Hand::Right { &mut slot.right } else { &mut slot.left };
            if !style.written.hold {
                style.hold = about.hold(hand, chord, style);
            }
            if !style.written.figure {
                let keys = keys_of(hand, chord, &style.hold, settings);
                style.figure = figures.of(hand, about.level, (meter, beat), keys);
                style.figure_beat = beat.length;
                if !style.written.restart && hand == Hand::Left && about.level >= BROKEN_FROM {
                    style.restart = Restart::Chord;
                }
            }
        }
    }
}

/// Hand, level, both figures of the meter, beat and number of keys.
type FigureKey = (Hand, u8, u8, u8, Quarters, u8);

/// Figures, each made once.
#[derive(Default)]
struct Figures(HashMap<FigureKey, Arc<Figure>>);

impl Figures {
    fn of(&mut self, hand: Hand, level: u8, bar: (Meter, Beat), keys: u8) -> Arc<Figure> {
        let key = (hand, level, bar.0.upper(), bar.0.lower(), bar.1.length, keys);
        self.0.entry(key).or_insert_with(|| figure(hand, level, bar, keys)).clone()
    }
}

/// What decides about the hands of a bar.
struct About<'a> {
    level: u8,
    bass: bool,
    settings: &'a Settings,
}

impl About<'_> {
    /// What a hand holds at a chord; at least as many keys as a written figure names.
    fn hold(&self, hand: Hand, chord: &Chord, style: &HandStyle) -> Hold {
        let named = if style.written.figure { style.figure.highest_note() } else { 0 };
        match hand {
            Hand::Right => {
                let notes = [2, 2, 3, 3, 4][usize::from(self.level.clamp(1, 5) - 1)];
                Hold::Notes(named.clamp(notes, 4))
            }
            Hand::Left if self.bass => {
                let notes = [1, 2, 2, 2, 3][usize::from(self.level.clamp(1, 5) - 1)];
                Hold::Notes(named.clamp(notes, 3))
            }
            Hand::Left => Hold::Shape(self.left_shape(chord, named)),
        }
    }

    fn left_shape(&self, chord: &Chord, named: u8) -> LeftShape {
        let reach = self.settings.left_reach.semitones();
        let plain = match (self.level, reach) {
            (1, _) => LeftShape::Root,
            (2 | 3, _) => LeftShape::RootFifth,
            (5, _) if tenth(chord).is_some_and(|tenth| tenth <= reach) => LeftShape::RootFifthTenth,
            (_, ..12) => LeftShape::RootFifth,
            _ => LeftShape::RootFifthOctave,
        };
        match named {
            0 | 1 => plain,
            2 if plain == LeftShape::Root => LeftShape::RootFifth,
            3.. if plain.keys() < 3 && reach >= 12 => LeftShape::RootFifthOctave,
            _ => plain,
        }
    }
}

/// Semitones from the root to the third above its octave, where root, fifth and tenth are the chord's own.
fn tenth(chord: &Chord) -> Option<u8> {
    let perfect = chord.member(Member::FIFTH).is_some_and(|fifth| fifth.semitones == 7);
    let third = chord.member(Member::THIRD).filter(|_| perfect && !chord.is_slash())?;
    Some(12 + third.semitones)
}

/// How many keys a hand will have down, so that its figure breaks what is there.
fn keys_of(hand: Hand, chord: &Chord, hold: &Hold, settings: &Settings) -> u8 {
    let octave = || second_note(chord).1.is_octave();
    let reach = settings.left_reach.semitones();
    let beside_bass =
        || chord.names().filter(|name| name.pitch_class() != chord.bass.pitch_class()).count() as u8;
    match hold {
        Hold::Notes(notes) if hand == Hand::Left => (*notes).min(beside_bass()),
        Hold::Shape(LeftShape::RootFifthOctave) if octave() || reach < 12 => 2,
        Hold::Shape(LeftShape::RootFifthTenth) if octave() => 2,
        hold => hold.keys(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_player_moves_the_whole_song_and_sections_keep_their_distance() {
        assert_eq!(level_for(4, 3, None), 4);
        assert_eq!(level_for(4, 3, Level::new(2)), 3);
        assert_eq!(level_for(2, 3, Level::new(5)), 4);
        assert_eq!(level_for(5, 2, Level::new(5)), 5, "not above the fullest");
        assert_eq!(level_for(1, 5, Level::new(1)), 1, "not below the simplest");
    }
}
