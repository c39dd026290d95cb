//! A standard MIDI file as the practice room needs it.

use super::outline::Outline;
use practice::{BarSpan, ChartTime, ControlChange, Expected, ExpectedNote, PlayedNote, Speed, Take};
use song::Quarters;
use theory::{Hand, MidiKey};

/// What was read from a standard MIDI file.
#[derive(Clone, Debug, PartialEq)]
pub struct MidiFile {
    pub(crate) notes: Vec<MidiNote>,
    pub(crate) controls: Vec<ControlChange>,
    pub(crate) track_names: Vec<String>,
    pub(crate) bars: Vec<BarSpan>,
    pub(crate) take: Option<Take>,
    pub(crate) outline: Outline,
}

/// One note of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MidiNote {
    /// When it begins, by the file's tempo map.
    pub at: ChartTime,
    /// When it ends; `None` if the file does not end it.
    pub end: Option<ChartTime>,
    /// Where it begins, in quarters.
    pub start: Quarters,
    /// How long it lasts, in quarters; `None` if the file does not end it.
    pub length: Option<Quarters>,
    /// Its key.
    pub key: MidiKey,
    /// How hard, 1 to 127.
    pub velocity: u8,
    /// The hand that its track is named after.
    pub hand: Option<Hand>,
    /// Index of its track.
    pub track: usize,
    /// Index of its bar in the file.
    pub bar: usize,
}

/// So many bars are taken for the first line of a file, which has no lines.
const FIRST_LINE: usize = 4;

impl MidiFile {
    /// All notes, by time, then by key.
    pub fn notes(&self) -> &[MidiNote] {
        &self.notes
    }

    /// All movements of the three pedals, by time.
    pub fn controls(&self) -> &[ControlChange] {
        &self.controls
    }

    /// The names of the tracks; empty where there is none.
    pub fn track_names(&self) -> &[String] {
        &self.track_names
    }

    /// The file as a part to be played: the notes of tracks named right or left, or, if no track is, all notes, split at
    /// middle C.
    pub fn expected(&self) -> Expected {
        let hand = self.hand_of();
        let note = |(event, n): (usize, &MidiNote)| {
            let (bar, start, at, key) = (n.bar, n.start, n.at, n.key);
            Some(ExpectedNote { hand: hand(n)?, bar, start, at, key, rolled: false, event })
        };
        let notes = self.notes.iter().enumerate().filter_map(note).collect();
        Expected::new(notes, self.bars.clone(), FIRST_LINE.min(self.bars.len()))
    }

    /// Which hand a note is for, as [`MidiFile::expected`] has it.
    pub(crate) fn hand_of(&self) -> impl Fn(&MidiNote) -> Option<Hand> + use<> {
        let named = self.notes.iter().any(|n| n.hand.is_some());
        let split = |n: &MidiNote| if n.key >= MidiKey::MIDDLE_C { Hand::Right } else { Hand::Left };
        move |n| if named { n.hand } else { Some(split(n)) }
    }

    /// Whether it has a track for each hand: written for two hands, not played in by somebody.
    pub fn names_both_hands(&self) -> bool {
        Hand::BOTH.into_iter().all(|hand| self.notes.iter().any(|n| n.hand == Some(hand)))
    }

    /// The file as a take that was played at a speed: its notes in the chart's time.
    pub fn played(&self, speed: Speed) -> Vec<PlayedNote> {
        let chart = |t: ChartTime| ChartTime::from_ms(speed.shrink_ms(t.ms()));
        let note = |n: &MidiNote| PlayedNote {
            at: chart(n.at),
            length: n.end.map(|end| chart(end) - chart(n.at)),
            key: n.key,
            velocity: n.velocity,
        };
        self.notes.iter().map(note).collect()
    }

    /// The take, if this program recorded it: with its clock, its speed and its bars.
    pub fn take(&self) -> Option<Take> {
        self.take.clone()
    }
}
