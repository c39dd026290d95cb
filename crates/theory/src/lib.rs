//! Pitches, intervals, keys, scales and chords, spelled as a musician spells them; fingers for scales
//! and arpeggios.
//!
//! Conventions: middle C is C4 is MIDI key 60; an octave number belongs to the letter, so B#3 is key 60 as well.
//! Accidentals are counted in semitones, sharps positive. Intervals count diatonic steps from 0 (a unison).
//!
//! This crate does not know song files, hands' shapes, or time.
#![forbid(unsafe_code)]

mod arpeggio;
mod arpeggio_fingers;
mod capo;
mod chord;
mod chord_fingers;
mod chord_name;
mod chord_positions;
mod degree;
mod finger;
mod finger_rule;
mod interval;
mod key;
mod member;
mod name;
mod number_chord;
mod pitch;
mod quality;
mod reader;
mod scale;
mod scale_fingers;
mod scale_kind;
mod scale_tables;

pub use arpeggio::{Arpeggio, ArpeggioKind};
pub use capo::Capo;
pub use chord::{Chord, ChordTone};
pub use degree::{Degree, ParseDegreeError};
pub use finger::{Finger, Hand};
pub use interval::Interval;
pub use key::{Key, Mode, ParseKeyError};
pub use member::{Member, ParseMemberError};
pub use name::{Letter, NoteName, ParseNameError};
pub use number_chord::{ChordWarning, NumberChord, ParseChordError};
pub use pitch::{MidiKey, Pitch};
pub use quality::{Extension, Quality};
pub use scale::Scale;
pub use scale_fingers::{Crossing, CrossingKind, FingerSource, ScaleFingers};
pub use scale_kind::ScaleKind;
