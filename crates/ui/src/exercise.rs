//! A scale, or the chords of a key, as a part: so that they are stepped, played along with and scored like a song.

use crate::{Room, Subject};
use song::{
    Beat, Feel, Figure, HandStyle, Hold, LeftShape, Meter, PlayedBar, Quarters, Restart, Slot, SlotKind,
    SlotSource,
};
use theory::{
    Chord, Finger, Hand, Key, Letter, Member, NoteName, Pitch, Scale,
    ScaleFingers,
};
use voicing::{Event, HeldNote, Part, PartBar, PartChord, Role, Settings, Shape};

/// Scales and chords are taken slowly; the speed control does the rest.
const QUARTERS_PER_MINUTE: f64 = 60.0;

/// The part of an exercise: a scale up and down in eighths, both hands an octave or two apart; or the seven chords of
/// the key, each in all inversions, in quarters.
///
/// ```
/// use ui::{Room, Subject};
/// let room = Room { scale: "D major".parse().unwrap(), octaves: 1, subject: Subject::Scale };
/// let part = ui::exercise(&room);
/// // Eight notes up and seven down, for each hand.
/// assert_eq!(part.events.len(), 30);
/// ```
pub fn exercise(room: &Room) -> Part {
    let slots = match room.subject {
        Subject::Scale => scale_slots(room.scale, room.octaves),
        Subject::Chords => chord_slots(room.scale),
    };
    let mut part = Part {
        title: room.scale.pretty(),
        key: room.scale.key(),
        sections: vec![section_name(room)],
        note: None,
        words: Vec::new(),
        settings: Settings::default(),
        bars: Vec::new(),
        events: Vec::new(),
    };
    fill(&mut part, slots);
    part
}

fn section_name(room: &Room) -> String {
    match (room.subject, room.octaves) {
        (Subject::Chords, _) => "Chords".into(),
        (Subject::Scale, 1) => "One octave".into(),
        (Subject::Scale, _) => "Two octaves".into(),
    }
}

/// What both hands hold for a length.
struct Step {
    length: Quarters,
    chord: Chord,
    right: Shape,
    left: Shape,
}

/// The pitches of one hand's way up and down, the top note once.
pub(crate) fn pitches(scale: Scale, octave: i8, octaves: u8) -> Vec<Pitch> {
    let mut all = scale.pitches_up(octave, octaves);
    all.extend(scale.pitches_down(octave, octaves).into_iter().skip(1));
    all
}

/// The fingers of one hand's way up and down.
pub(crate) fn fingers(fingers: &ScaleFingers) -> Vec<Finger> {
    fingers.up.iter().chain(fingers.down.iter().skip(1)).copied().collect()
}

/// The octave of the right hand's first note: one octave starts by middle C, two start an octave lower.
pub(crate) fn right_octave(scale: Scale, octaves: u8) -> i8 {
    let high = scale.key().tonic().letter >= Letter::G;
    let start = if high { 3 } else { 4 };
    if octaves > 1 && !high { start - 1 } else { start }
}

fn scale_slots(scale: Scale, octaves: u8) -> Vec<Step> {
    let hand = |hand: Hand, octave: i8| {
        let fingers = scale.fingers(hand, octaves).map(|f| fingers(&f)).unwrap_or_default();
        pitches(scale, octave, octaves).into_iter().zip(fingers).collect::<Vec<_>>()
    };
    let octave = right_octave(scale, octaves);
    let (right, left) = (hand(Hand::Right, octave), hand(Hand::Left, octave - 1));
    let last = right.len().saturating_sub(1);
    let both = right.into_iter().zip(left).enumerate();
    both.map(|(index, (right, left))| Step {
        length: if index == last { Quarters::new(1, 1) } else { Quarters::EIGHTH },
        chord: degree_chord(scale, right.0.name),
        right: single(right),
        left: single(left),
    })
    .collect()
}

fn single((pitch, finger): (Pitch, Finger)) -> Shape {
    shape(&[pitch], &[finger], None)
}

/// The chord on the degree that a note of the scale is; a note needs one, so that its slot has a number.
fn degree_chord(scale: Scale, name: NoteName) -> Chord {
    let at = scale.key().scale().iter().position(|own| own.letter == name.letter).unwrap_or(0);
    scale.key().chords().swap_remove(at)
}

/// The triads of a scale, from its first degree to its seventh.
pub(crate) fn chords(scale: Scale) -> Vec<Chord> {
    scale.chords()
}

/// Each chord in root position, both inversions, and root position an octave higher: a bar of four quarters.
fn chord_slots(scale: Scale) -> Vec<Step> {
    let tonic = Pitch::new(scale.key().tonic(), right_octave(scale, 1));
    let mut steps = Vec::new();
    for (index, chord) in chords(scale).into_iter().enumerate() {
        let root = if index == 0 { tonic } else { about(tonic, chord.root()) };
        for place in 0..4 {
            let right = position(&chord, root, place);
            let left: Vec<Pitch> = right.iter().map(|p| Pitch::new(p.name, p.octave - 1)).collect();
            let inversion = Some(place as u8 % 3);
            steps.push(Step {
                length: Quarters::new(1, 1),
                chord: chord.clone(),
                right: shape(&right, &triad_fingers(Hand::Right, place), inversion),
                left: shape(&left, &triad_fingers(Hand::Left, place), inversion),
            });
        }
    }
    steps
}

/// The chord from its root up, then each lowest note an octave higher in turn.
fn position(chord: &Chord, root: Pitch, place: usize) -> Vec<Pitch> {
    let mut pitches = vec![root];
    for name in chord.names().skip(1) {
        pitches.push(above(pitches[pitches.len() - 1], name));
    }
    for _ in 0..place {
        let lowest = pitches.remove(0);
        pitches.push(Pitch::new(lowest.name, lowest.octave + 1));
    }
    pitches
}

/// The pitch of a name within a fourth below to a fifth above another, so that all chords lie in the middle.
fn about(tonic: Pitch, name: NoteName) -> Pitch {
    let over = above(tonic, name);
    let wide = over.semitones() - tonic.semitones() > 7;
    Pitch::new(name, if wide { over.octave - 1 } else { over.octave })
}

/// The nearest pitch of a name above another.
fn above(low: Pitch, name: NoteName) -> Pitch {
    let octave = low.octave + i8::from(name.letter <= low.name.letter);
    Pitch::new(name, octave)
}

/// Fingers of triads: right 1-3-5, 1-2-5, 1-3-5, left 5-3-1, 5-3-1, 5-2-1, in every key (teachers' handbooks).
pub(crate) fn triad_fingers(hand: Hand, inversion: usize) -> [Finger; 3] {
    let numbers = match (hand, inversion % 3) {
        (Hand::Right, 1) => [1, 2, 5],
        (Hand::Right, _) => [1, 3, 5],
        (Hand::Left, 2) => [5, 2, 1],
        (Hand::Left, _) => [5, 3, 1],
    };
    numbers.map(|n| Finger::new(n).unwrap_or(Finger::THUMB))
}

fn shape(pitches: &[Pitch], fingers: &[Finger], inversion: Option<u8>) -> Shape {
    let held = |(pitch, finger): (&Pitch, &Finger)| {
        Some(HeldNote { pitch: *pitch, key: pitch.key()?, member: Member::new(1)?, finger: *finger, substitute: None })
    };
    let notes = pitches.iter().zip(fingers).filter_map(held).collect();
    Shape { notes, inversion, ..Shape::default() }
}

fn fill(part: &mut Part, steps: Vec<Step>) {
    let Some(meter) = Meter::new(4, 4) else { return };
    let mut at = Quarters::ZERO;
    for step in steps {
        let bar = at.div_floor(meter.length()) as usize;
        let start = meter.length().times(bar as i64);
        if part.bars.len() <= bar {
            part.bars.push(PartBar { played: empty_bar(part.key, bar, start, meter), chords: Vec::new() });
        }
        let slot = part.bars[bar].chords.len();
        for hand in Hand::BOTH {
            let shape = if hand == Hand::Right { &step.right } else { &step.left };
            for (place, note) in (0..).zip(&shape.notes) {
                let struck = event(hand, (bar, slot), (at, step.length), note);
                part.events.push(Event { place, ..struck });
            }
        }
        part.bars[bar].played.slots.push(slot_of(&step, at - start, (bar, slot)));
        part.bars[bar].chords.push(PartChord { right: step.right, left: step.left, why: Vec::new() });
        at += step.length;
    }
    part.events.sort_by_key(|e| (e.start, e.key));
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

fn slot_of(step: &Step, start: Quarters, place: (usize, usize)) -> Slot {
    let style = |hold| HandStyle {
        hold,
        near: None,
        figure: Figure::held().into(),
        restart: Restart::Chord,
        figure_beat: Quarters::new(1, 1),
        written: song::Written::default(),
    };
    Slot {
        start,
        length: step.length,
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

fn empty_bar(key: Key, index: usize, start: Quarters, meter: Meter) -> PlayedBar {
    let beat: Beat = meter.beat(false);
    PlayedBar {
        section: 0,
        place: 0,
        pass: 1,
        passes: 1,
        bar_in_section: index as u32 + 1,
        written_bar: Some(index as u32),
        in_place_of: None,
        row: index as u32 / 4,
        differs: false,
        meter,
        own_meter: false,
        beat,
        quarters_per_minute: QUARTERS_PER_MINUTE,
        key,
        written_key: key,
        text: format!("{}", index + 1),
        start,
        slots: Vec::new(),
        feel: Feel::Straight,
        level: 3,
        bass: false,
        pedal: false,
        note: None,
        cue: None,
    }
}
