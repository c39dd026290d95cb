//! Chords in all inversions as steps: up to the octave and back down.

use crate::Room;
use crate::exercise_part::Step;
use crate::exercise_run::Note;
use song::SlotKind;
use theory::{Chord, Hand, Interval, NumberChord, Pitch};
use voicing::Part;

/// The chords of the room's scale.
pub(crate) fn of_key(room: Room) -> Vec<Chord> {
    if room.sevenths { room.scale.seventh_chords() } else { room.scale.chords() }
}

/// The chords of a song in the order in which it first uses them, each once, without what stands under a slash.
pub fn of_song(song: &Part) -> Vec<Chord> {
    let mut chords: Vec<Chord> = Vec::new();
    for slot in song.bars.iter().flat_map(|bar| &bar.played.slots) {
        if let SlotKind::Chord { chord, .. } = &slot.kind {
            let written = NumberChord { under: None, ..chord.written };
            let chord = Chord::in_key(written, chord.key);
            if !chords.iter().any(|known| known.name() == chord.name()) {
                chords.push(chord);
            }
        }
    }
    chords
}

/// Each chord from root position through its inversions to root position so many octaves higher, and back; the last is held for
/// the rest of its bar. Every so many steps one is accented.
pub(crate) fn steps(chords: &[Chord], octaves: u8, accents: u8) -> Vec<Step> {
    let Some(first) = chords.first() else { return Vec::new() };
    let middle = Pitch::new(first.root(), 4);
    let middle = if middle.semitones() > 66 { Pitch::new(first.root(), 3) } else { middle };
    let accented = |at: usize| accents > 0 && at.is_multiple_of(usize::from(accents));
    let of = |chord: &Chord| {
        let steps = inversions(chord, about(middle, chord), octaves).into_iter().enumerate();
        steps.map(|(at, step)| step.accented(accented(at))).collect::<Vec<_>>()
    };
    chords.iter().flat_map(of).collect()
}

/// Inversions up and down, the highest once: a step for each member in every octave, both ways, and one at the top.
fn inversions(chord: &Chord, root: Pitch, octaves: u8) -> Vec<Step> {
    let size = chord.tones.len();
    let top = size * usize::from(octaves);
    let last = 2 * top;
    let step = |at: usize| {
        let place = if at > top { last - at } else { at };
        let right = position(chord, root, place);
        let left: Vec<Pitch> = right.iter().map(|pitch| Pitch::new(pitch.name, pitch.octave - 1)).collect();
        let fingered = |hand: Hand, pitches: Vec<Pitch>| -> Vec<Note> {
            let fingers = chord.close_fingers(hand, place % size);
            pitches.into_iter().zip(fingers).collect()
        };
        let step = Step::new(chord.clone(), [fingered(Hand::Right, right), fingered(Hand::Left, left)])
            .inverted((place % size) as u8);
        if at == last { step.held_to_bar_line() } else { step }
    };
    (0..=last).map(step).collect()
}

/// The chord in close position from its root up, then each lowest note an octave higher in turn.
fn position(chord: &Chord, root: Pitch, place: usize) -> Vec<Pitch> {
    let mut pitches: Vec<Pitch> = vec![root];
    pitches.extend(chord.names().skip(1).map(|name| root.next_above(name)));
    pitches.sort_by_key(|pitch| pitch.semitones());
    for _ in 0..place {
        let lowest = pitches.remove(0);
        pitches.push(lowest.up(Interval::OCTAVE));
    }
    pitches
}

/// The root within a fourth below to a fifth above the first one's, so that all chords lie in the middle.
fn about(middle: Pitch, chord: &Chord) -> Pitch {
    let name = chord.root();
    if name == middle.name {
        return middle;
    }
    let over = middle.next_above(name);
    let wide = over.semitones() - middle.semitones() > 7;
    if wide { Pitch::new(name, over.octave - 1) } else { over }
}
