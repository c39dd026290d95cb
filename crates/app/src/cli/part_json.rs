//! The JSON document of `overhand part`.

use practice::{Hands, Timeline};
use serde::Serialize;
use song::{Slot, SlotKind};
use theory::Hand;
use voicing::{Event, HeldNote, Part, PartBar, PartChord, Role, Shape};

/// The whole part.
#[derive(Serialize)]
pub struct PartJson {
    title: String,
    key: String,
    reach: u8,
    /// Where the left hand's differs.
    #[serde(skip_serializing_if = "Option::is_none")]
    left_reach: Option<u8>,
    keys: String,
    bars: Vec<BarJson>,
    events: Vec<EventJson>,
}

#[derive(Serialize)]
struct BarJson {
    bar: usize,
    section: String,
    pass: u32,
    bar_in_section: u32,
    meter: String,
    key: String,
    tempo: f64,
    beat: f64,
    start: f64,
    length: f64,
    start_ms: f64,
    chords: Vec<ChordJson>,
}

#[derive(Serialize)]
struct ChordJson {
    symbol: String,
    name: String,
    start: f64,
    length: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    right: Option<ShapeJson>,
    #[serde(skip_serializing_if = "Option::is_none")]
    left: Option<ShapeJson>,
    why: Vec<WhyJson>,
}

#[derive(Serialize)]
struct ShapeJson {
    notes: Vec<String>,
    midi: Vec<u8>,
    tones: Vec<String>,
    fingers: Vec<u8>,
    /// By place in `notes`: fingers that take over while the key stays down.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    substitutions: Vec<ShapeSubstitutionJson>,
    inversion: Option<u8>,
    omitted: Vec<String>,
    rolled: bool,
}

#[derive(Serialize)]
struct ShapeSubstitutionJson {
    note: usize,
    finger: u8,
}

#[derive(Serialize)]
struct SubstitutionJson {
    at: f64,
    finger: u8,
}

#[derive(Serialize)]
struct WhyJson {
    hand: Option<&'static str>,
    text: String,
}

#[derive(Serialize)]
struct EventJson {
    hand: &'static str,
    bar: usize,
    start: f64,
    length: f64,
    start_ms: f64,
    midi: u8,
    note: String,
    finger: u8,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    substitutions: Vec<SubstitutionJson>,
    role: &'static str,
}

impl PartJson {
    /// The document of a part; with one hand only, the other one and its reasons are left out.
    pub fn new(part: &Part, hands: Hands) -> PartJson {
        let timeline = Timeline::new(part);
        let bars = part.bars.iter().enumerate();
        let events = part.events.iter().filter(|event| hands.has(event.hand));
        PartJson {
            title: part.title.clone(),
            key: part.key.to_string(),
            reach: part.settings.reach.semitones(),
            left_reach: (part.settings.left_reach != part.settings.reach)
                .then(|| part.settings.left_reach.semitones()),
            keys: keys(part),
            bars: bars.map(|(index, bar)| bar_json(part, &timeline, index, bar, hands)).collect(),
            events: events.map(|event| event_json(event, &timeline)).collect(),
        }
    }
}

/// The keyboard of a part: `A0-C8`.
pub fn keys(part: &Part) -> String {
    format!("{}-{}", part.settings.keys.low().pitch(), part.settings.keys.high().pitch())
}

/// The chord's name in the trade's form: `Bb/D`; a rest has `N.C.`
pub fn name(slot: &Slot) -> String {
    match &slot.kind {
        SlotKind::Chord { chord, .. } | SlotKind::Tie { sounding: chord } => chord.name(),
        SlotKind::Rest => "N.C.".to_owned(),
    }
}

fn bar_json(part: &Part, timeline: &Timeline, index: usize, bar: &PartBar, hands: Hands) -> BarJson {
    let played = &bar.played;
    let beat = played.beat.length.to_f64();
    let slots = played.slots.iter().zip(&bar.chords);
    BarJson {
        bar: index,
        section: part.sections.get(played.section).cloned().unwrap_or_default(),
        pass: played.pass,
        bar_in_section: played.bar_in_section,
        meter: played.meter.to_string(),
        key: played.key.to_string(),
        tempo: played.quarters_per_minute / beat,
        beat,
        start: played.start.to_f64(),
        length: played.meter.length().to_f64(),
        start_ms: timeline.ms(played.start),
        chords: slots.map(|(slot, chord)| chord_json(bar, slot, chord, hands)).collect(),
    }
}

fn chord_json(bar: &PartBar, slot: &Slot, chord: &PartChord, hands: Hands) -> ChordJson {
    let shape = |hand| hands.has(hand).then(|| shape_json(chord.hand(hand)));
    let about = |reason: &&voicing::Reason| reason.hand.is_none_or(|hand| hands.has(hand));
    let why = chord.why.iter().filter(about);
    ChordJson {
        symbol: slot.symbol.clone(),
        name: name(slot),
        start: (bar.played.start + slot.start).to_f64(),
        length: slot.length.to_f64(),
        right: shape(Hand::Right),
        left: shape(Hand::Left),
        why: why.map(|reason| WhyJson { hand: reason.hand.map(Hand::name), text: reason.text() }).collect(),
    }
}

fn shape_json(shape: &Shape) -> ShapeJson {
    let notes = || shape.notes.iter();
    ShapeJson {
        notes: notes().map(|note| note.pitch.to_string()).collect(),
        midi: notes().map(|note| note.key.number()).collect(),
        tones: notes().map(|note| note.member.to_string()).collect(),
        fingers: notes().map(|note| note.finger.number()).collect(),
        substitutions: notes().enumerate().filter_map(substitution).collect(),
        inversion: shape.inversion,
        omitted: shape.omitted.iter().map(ToString::to_string).collect(),
        rolled: shape.rolled,
    }
}

fn substitution((note, held): (usize, &HeldNote)) -> Option<ShapeSubstitutionJson> {
    held.substitute.map(|finger| ShapeSubstitutionJson { note, finger: finger.number() })
}

fn event_json(event: &Event, timeline: &Timeline) -> EventJson {
    EventJson {
        hand: event.hand.name(),
        bar: event.bar,
        start: event.start.to_f64(),
        length: event.length.to_f64(),
        start_ms: timeline.ms(event.start),
        midi: event.key.number(),
        note: event.pitch.to_string(),
        finger: event.finger.number(),
        substitutions: (event.substitutions.iter())
            .map(|change| SubstitutionJson { at: change.at.to_f64(), finger: change.finger.number() })
            .collect(),
        role: match event.role {
            Role::Chord => "chord",
            Role::Passing => "passing",
        },
    }
}
