//! Typed claims about a part: each can be recomputed from the keys, the chart and the player's reach alone.

use crate::{Fault, SecondNote};
use theory::{Degree, Finger, Hand, Key, Member, NoteName, NumberChord, Pitch};

/// A claim that can be checked against the keys alone. Claims about movement compare with the chord before, which is the
/// last one that was struck.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum Claim {
    /// What the number means: the chord, in the key it is read in.
    Chord {
        /// As written.
        chord: NumberChord,
        /// The key of its bar.
        key: Key,
    },
    /// Which member of the chord the right hand has lowest.
    Lowest {
        /// The lowest note.
        note: Pitch,
        /// Its place in the chord.
        member: Member,
        /// 0 root position, 1 first inversion, and so on; `None` where the word does not fit.
        inversion: Option<u8>,
    },
    /// A member that the hand does not hold.
    LeftOut {
        /// Which.
        member: Member,
        /// Its name.
        name: NoteName,
        /// Whether the other hand holds it.
        covered: bool,
    },
    /// Keys that stay down or are struck again.
    Stays {
        /// From the lowest up.
        notes: Vec<Pitch>,
    },
    /// Voices that move.
    Moves {
        /// From where to where, from the lowest up.
        voices: Vec<(Pitch, Pitch)>,
        /// All of them together.
        semitones: u32,
    },
    /// The hand stays as it is.
    NothingMoves {
        /// The lowest note of what it holds.
        lowest: Pitch,
    },
    /// What the nearest root position would have cost in place of what is played.
    RootPositionInstead {
        /// The movement it would have taken.
        semitones: u32,
        /// The movement that is played.
        played: u32,
    },
    /// What speaks most against another way to hold the chord.
    Instead {
        /// Its lowest member.
        lowest: Member,
        /// 0 root position, 1 first inversion, and so on; `None` where the word does not fit.
        inversion: Option<u8>,
        /// Where it falls short.
        fault: Fault,
    },
    /// How full the hand plays, where the song writes nothing and its level is not the usual one.
    Level {
        /// 1 to 5.
        level: u8,
        /// How many keys it holds.
        keys: u8,
    },
    /// A bass player has the lowest note, so that the left hand leaves it out.
    BassPlayer {
        /// The note that the bass has.
        note: NoteName,
        /// The key that the hand stays on or above.
        floor: Pitch,
    },
    /// A note between two top notes a third apart.
    PassingNote {
        /// The top note.
        from: Pitch,
        /// The step between, on a weak beat.
        through: Pitch,
        /// The next top note.
        to: Pitch,
    },
    /// A step beside a top note that comes again.
    NeighbourNote {
        /// The top note.
        note: Pitch,
        /// The step beside it, on a weak beat.
        neighbour: Pitch,
    },
    /// The degree that the left hand takes.
    Bass {
        /// The degree of the key.
        degree: Degree,
        /// The lowest note.
        note: Pitch,
        /// Whether it is written under a slash.
        under_slash: bool,
    },
    /// Why the left hand's second note is what it is.
    Second {
        /// The lowest note.
        lowest: NoteName,
        /// The note above it.
        note: NoteName,
        /// By which rule.
        why: SecondNote,
    },
    /// The song writes what the hand holds.
    Written {
        /// Members from the lowest up.
        tones: Vec<Member>,
    },
    /// The song writes where the hand lies.
    Near {
        /// Where.
        wanted: Pitch,
        /// The lowest note.
        lowest: Pitch,
    },
    /// Wider than the reach.
    Rolled {
        /// From the lowest to the highest key.
        semitones: u8,
        /// The player's reach.
        reach: u8,
    },
    /// Fewer notes than asked for, because of the reach or the keyboard.
    Fewer {
        /// Notes asked for.
        asked: u8,
        /// Notes held.
        held: u8,
        /// The player's reach.
        reach: u8,
    },
    /// The left hand lies lower than it would by itself, where the hands would meet.
    OctaveDown {
        /// How many octaves.
        octaves: u8,
        /// What its highest note would be.
        highest: Pitch,
        /// The right hand's lowest note.
        right: Pitch,
    },
    /// An interval lies below the lowest place where it sounds clear.
    Muddy {
        /// The lower note.
        low: Pitch,
        /// The upper note.
        high: Pitch,
        /// Semitones by which it is too low.
        below: u8,
    },
    /// The keys that the hand plays have a handbook form, and other fingers than it says.
    Fingers {
        /// By the handbook, from the lowest key up.
        usual: Vec<Finger>,
        /// As played.
        played: Vec<Finger>,
        /// What it gains.
        why: FingerReason,
    },
    /// Another finger takes over while a key stays down.
    Substitution {
        /// The key.
        note: Pitch,
        /// The finger before.
        from: Finger,
        /// The finger from here on.
        to: Finger,
    },
    /// Why the slot has its beats.
    Beats {
        /// Of the slot.
        beats: u8,
        /// Of the bar.
        of: u8,
        /// Dots written behind it; 0 where the bar is split evenly.
        dots: u8,
    },
    /// Struck an eighth early, in both hands.
    Push {
        /// The degree of the chord.
        degree: Degree,
    },
    /// Struck once and left to ring.
    Diamond {
        /// The degree of the chord.
        degree: Degree,
    },
    /// What sounded goes on.
    Tie {
        /// What that is.
        chord: NumberChord,
    },
    /// No chord.
    Rest,
}

/// What other fingers than the handbook's gain.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum FingerReason {
    /// A key has the same finger in two shapes that follow one another.
    Stays {
        /// The key.
        note: Pitch,
        /// Its finger.
        finger: Finger,
        /// It comes from the shape before; otherwise it goes on into the next.
        before: bool,
    },
    /// The lowest or the highest finger is that of the shape before, or of the next.
    Outer {
        /// That of the shape before.
        before: bool,
    },
    /// A neighbour note finds a finger of its own while the rest is held.
    Neighbour {
        /// The neighbour.
        note: Pitch,
        /// Its finger.
        finger: Finger,
    },
    /// A neighbour note lies easier from what is held, though its finger would be free in the usual form as well.
    NeighbourNearer {
        /// The neighbour.
        note: Pitch,
        /// Its finger.
        finger: Finger,
    },
    /// The usual fingers would have to go further apart than this hand can.
    Span {
        /// From here.
        low: Pitch,
        /// To here.
        high: Pitch,
    },
    /// The usual form has the thumb or the little finger on a black key, this one has not.
    Black {
        /// The black key.
        note: Pitch,
        /// The finger that the usual form has on it.
        finger: Finger,
    },
    /// A finger stays free for a note of the shape that is not struck here.
    Room {
        /// That note.
        note: Pitch,
    },
    /// The same place of the section is fingered so in another pass.
    AsElsewhere,
}

/// Why a hand plays what it plays.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Reason {
    /// Which hand it is about; `None` for both or the bar.
    pub hand: Option<Hand>,
    /// What is claimed.
    pub claim: Claim,
}
