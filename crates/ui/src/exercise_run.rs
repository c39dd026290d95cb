//! Scales and arpeggios as steps: both hands' notes and fingers, together or contrary, or three notes around a crossing.

use crate::exercise_part::Step;
use crate::{Drill, Motion, Room, Subject};
use theory::{Chord, CrossingKind, Finger, Hand, Letter, NoteName, Pitch, ScaleFingers};

/// A note with its finger.
pub(crate) type Note = (Pitch, Finger);

/// A drill goes so often through its notes, and ends with the first.
const ROUNDS: usize = 8;

/// How far the left hand begins below the right one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Apart {
    /// On the same key, which the right hand strikes.
    None,
    /// An octave.
    Octave,
}

/// The steps of a run, or of the drill of one of its crossings.
pub(crate) fn steps(room: Room, apart: Apart) -> Vec<Step> {
    let accent = |index: usize| room.accents > 0 && index.is_multiple_of(usize::from(room.accents));
    let step = |(index, (right, left)): (usize, (Option<Note>, Option<Note>))| {
        let name = right.or(left).map_or(room.scale.tonic(), |(pitch, _)| pitch.name);
        Step::new(chord_at(room, name), [held(right), held(left)]).accented(accent(index))
    };
    both_hands(room, apart).into_iter().enumerate().map(step).collect()
}

fn held(note: Option<Note>) -> Vec<Note> {
    note.into_iter().collect()
}

/// What both hands play, note by note.
fn both_hands(room: Room, apart: Apart) -> Vec<(Option<Note>, Option<Note>)> {
    if let Some(notes) = room.drill.and_then(|drill| drilled(room, drill)) {
        let round = [0, 1, 2, 1].into_iter().cycle().take(4 * ROUNDS + 1).map(|at| notes[at]);
        let of = |hand: Hand, note: Note| room.drill.filter(|drill| drill.hand == hand).map(|_| note);
        return round.map(|note| (of(Hand::Right, note), of(Hand::Left, note))).collect();
    }
    let (right, left) = (run(room, Hand::Right, apart), run(room, Hand::Left, apart));
    // One key takes one finger.
    let other_key = |right: Note, left: Note| (left.0 != right.0).then_some(left);
    right.into_iter().zip(left).map(|(right, left)| (Some(right), other_key(right, left))).collect()
}

/// One hand's way out and back, the turn once.
fn run(room: Room, hand: Hand, apart: Apart) -> Vec<Note> {
    let Some(fingers) = room.fingers(hand) else { return Vec::new() };
    let outward_down = room.motion == Motion::Contrary && hand == Hand::Left;
    let (up, down) = ways(room, first_octave(room, hand, apart));
    let up: Vec<Note> = up.into_iter().zip(fingers.up).collect();
    let down: Vec<Note> = down.into_iter().zip(fingers.down).collect();
    let (out, back) = if outward_down { (down, up) } else { (up, down) };
    out.into_iter().chain(back.into_iter().skip(1)).collect()
}

/// The pitches up and down.
fn ways(room: Room, octave: i8) -> (Vec<Pitch>, Vec<Pitch>) {
    let octaves = room.octaves_asked();
    if room.subject == Subject::Arpeggio {
        let up = room.arpeggio().pitches_up(octave, octaves);
        let down = up.iter().rev().copied().collect();
        return (up, down);
    }
    (room.scale.pitches_up(octave, octaves), room.scale.pitches_down(octave, octaves))
}

/// The octave of a hand's lowest note: one octave starts by middle C, more of them lower; the left hand an octave below the
/// right, or in contrary motion as many octaves below as it goes down from where it begins.
fn first_octave(room: Room, hand: Hand, apart: Apart) -> i8 {
    let octaves = room.octaves_asked() as i8;
    let contrary = room.motion == Motion::Contrary;
    let high = first_note(room).letter >= Letter::G;
    let start = match (octaves, contrary) {
        (1, _) | (_, true) => 4,
        (2, false) if !high => 3,
        (2, false) => 4,
        _ => 3,
    };
    let right = if high { start - 1 } else { start };
    let below = if apart == Apart::Octave { 1 } else { 0 };
    match (hand, contrary) {
        (Hand::Right, _) => right,
        (Hand::Left, false) => right - below,
        (Hand::Left, true) => right - below - octaves,
    }
}

fn first_note(room: Room) -> NoteName {
    match room.subject {
        Subject::Arpeggio => room.arpeggio().notes()[0],
        Subject::Scale | Subject::Chords | Subject::SongChords => room.scale.tonic(),
    }
}

/// The three notes around a crossing of a hand: the thumb's and its neighbours.
pub(crate) fn drilled(room: Room, drill: Drill) -> Option<[Note; 3]> {
    let fingers = room.fingers(drill.hand)?;
    let thumb = thumb_of(&fingers, drill.crossing)?;
    let together = Room { motion: Motion::Together, ..room };
    let (up, _) = ways(room, first_octave(together, drill.hand, Apart::Octave));
    let note = |at: usize| Some((*up.get(at)?, *fingers.up.get(at)?));
    Some([note(thumb.checked_sub(1)?)?, note(thumb)?, note(thumb + 1)?])
}

/// Where the thumb lies at a crossing of the way up.
fn thumb_of(fingers: &ScaleFingers, crossing: usize) -> Option<usize> {
    let crossing = fingers.crossings_up.get(crossing)?;
    Some(match crossing.kind {
        CrossingKind::ThumbUnder => crossing.to,
        CrossingKind::FingerOver => crossing.from,
    })
}

/// A slot needs a chord, so that it has a number: that of the key on the note's letter.
fn chord_at(room: Room, name: NoteName) -> Chord {
    let key = room.scale.key();
    let at = key.scale().iter().position(|own| own.letter == name.letter).unwrap_or(0);
    key.chords().swap_remove(at)
}
