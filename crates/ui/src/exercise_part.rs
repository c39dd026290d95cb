//! Steps of an exercise laid into bars: the part that is stepped, played along with and scored.

use crate::exercise_run::Note;
use song::{
    Beat, Figure, HandStyle, Hold, LeftShape, Meter, PlayedBar, Quarters, Restart, Slot, SlotKind, SlotSource,
};
use std::num::NonZeroU8;
use theory::{Chord, Hand, Key, Member, Pitch};
use voicing::{Event, HeldNote, Part, PartBar, PartChord, Role, Settings, Shape};

/// What both hands strike at one time.
#[derive(Clone, Debug)]
pub(crate) struct Step {
    chord: Chord,
    notes: [Vec<Note>; 2],
    inversion: Option<u8>,
    accented: bool,
    to_end_of_bar: bool,
}

impl Step {
    /// A chord (every slot has one) and the notes of the right and of the left hand.
    pub fn new(chord: Chord, notes: [Vec<Note>; 2]) -> Step {
        Step { chord, notes, inversion: None, accented: false, to_end_of_bar: false }
    }
    /// As an inversion of its chord.
    pub fn inverted(self, inversion: u8) -> Step {
        Step { inversion: Some(inversion), ..self }
    }
    /// With an accent, or without.
    pub fn accented(self, accented: bool) -> Step {
        Step { accented, ..self }
    }
    /// Held until its bar ends.
    pub fn held_to_bar_line(self) -> Step {
        Step { to_end_of_bar: true, ..self }
    }
    /// What a hand strikes.
    pub fn pitches(&self, hand: Hand) -> impl Iterator<Item = Pitch> + '_ {
        self.notes[hand as usize].iter().map(|(pitch, _)| *pitch)
    }
    /// Moves all notes.
    pub fn moved(&mut self, by: impl Fn(Pitch) -> Pitch) {
        self.notes.iter_mut().flatten().for_each(|(pitch, _)| *pitch = by(*pitch));
    }

    fn shape(&self, hand: Hand) -> Shape {
        let held = |(pitch, finger): &Note| {
            let tone = self.chord.member_sounding(pitch.name.pitch_class());
            let member = tone.map_or(Member::ROOT, |tone| tone.member);
            Some(HeldNote { pitch: *pitch, key: pitch.key()?, member, finger: *finger, substitute: None })
        };
        let notes = self.notes[hand as usize].iter().filter_map(held).collect();
        Shape { notes, inversion: self.inversion, ..Shape::default() }
    }
}

/// How steps lie in beats.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Beats {
    meter: Meter,
    beat: Beat,
    parts: Option<NonZeroU8>,
    step: Quarters,
    quarters_per_minute: f64,
}

impl Beats {
    /// So many notes a beat, so many beats a minute, four beats a bar, threes and sixes in dotted beats. Where the click
    /// divides the beat, it divides it as the notes do; a single note a beat leaves it to its own parts.
    pub fn new(notes_a_beat: u8, tempo: u16) -> Beats {
        let (count, unit) = if notes_a_beat.is_multiple_of(3) { (12, 8) } else { (4, 4) };
        let meter = Meter::new(count, unit).expect("4/4 and 12/8 are meters");
        let beat = meter.beat(false);
        let quarters_per_minute = f64::from(tempo) * beat.length.to_f64();
        let parts = NonZeroU8::new(notes_a_beat).filter(|parts| parts.get() > 1);
        let step = beat.length.split(i64::from(notes_a_beat.max(1)));
        Beats { meter, beat, parts, step, quarters_per_minute }
    }
}

/// The part of some steps, one after another. The last note of all is held to the end of its bar.
pub(crate) fn part(title: String, section: String, key: Key, beats: Beats, steps: Vec<Step>) -> Part {
    let mut part = Part {
        title,
        key,
        sections: vec![section],
        note: None,
        words: Vec::new(),
        count_in: None,
        settings: Settings::default(),
        bars: Vec::new(),
        events: Vec::new(),
        proof: voicing::Proof::default(),
    };
    let mut at = Quarters::ZERO;
    let last = steps.len().saturating_sub(1);
    for (index, step) in steps.into_iter().enumerate() {
        at += add(&mut part, beats, at, &step, step.to_end_of_bar || index == last);
    }
    part.events.sort_by_key(|event| (event.start, event.key));
    part
}

/// Puts a step in its bar; returns how long it is.
fn add(part: &mut Part, beats: Beats, at: Quarters, step: &Step, to_end: bool) -> Quarters {
    let bar_length = beats.meter.length();
    let bar = at.div_floor(bar_length) as usize;
    let start = bar_length.times(bar as i64);
    if part.bars.len() <= bar {
        let played = empty_bar(part.key, bar, start, beats);
        part.bars.push(PartBar { played, chords: Vec::new() });
    }
    let length = if to_end { start + bar_length - at } else { beats.step };
    let slot = part.bars[bar].chords.len();
    let chord = PartChord { right: step.shape(Hand::Right), left: step.shape(Hand::Left), why: Vec::new() };
    for hand in Hand::BOTH {
        for (place, note) in chord.hand(hand).notes.iter().enumerate() {
            let event = event(hand, (bar, slot), (at, length), note);
            part.events.push(Event { place: place as u8, accented: step.accented, ..event });
        }
    }
    part.bars[bar].played.slots.push(slot_of(step, (at - start, length), (bar, slot)));
    part.bars[bar].chords.push(chord);
    length
}

fn event(hand: Hand, place: (usize, usize), time: (Quarters, Quarters), note: &HeldNote) -> Event {
    Event {
        hand,
        bar: place.0,
        slot: place.1,
        start: time.0,
        length: time.1,
        pitch: note.pitch,
        key: note.key,
        place: 0,
        finger: note.finger,
        substitutions: Vec::new(),
        role: Role::Chord,
        rolled: false,
        accented: false,
    }
}

fn slot_of(step: &Step, time: (Quarters, Quarters), place: (usize, usize)) -> Slot {
    let style = |hold| HandStyle {
        hold,
        near: None,
        figure: Figure::held().into(),
        restart: Restart::Chord,
        figure_beat: Quarters::new(1, 1),
        written: song::Written::default(),
    };
    Slot {
        start: time.0,
        length: time.1,
        dots: 0,
        symbol: step.chord.written.to_string(),
        kind: SlotKind::Chord { chord: step.chord.clone(), push: false, diamond: false },
        continued: false,
        right: style(Hold::Notes(3)),
        left: style(Hold::Shape(LeftShape::Triad)),
        source: SlotSource {
            section: 0,
            exception: None,
            bar: place.0 as u32,
            slot: place.1 as u32,
            span: (0, 0),
        },
    }
}

fn empty_bar(key: Key, index: usize, start: Quarters, beats: Beats) -> PlayedBar {
    PlayedBar {
        row: index as u32 / 4,
        beat: beats.beat,
        beat_parts: beats.parts,
        start,
        ..PlayedBar::alone(index as u32, key, beats.meter, beats.quarters_per_minute)
    }
}
