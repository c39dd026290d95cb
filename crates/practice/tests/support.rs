//! Parts made by hand.

use practice::{ChartTime, Expected, Hands, PlayedNote, Timeline};
use song::{Figure, HandStyle, Hold, Meter, PlayedBar, Quarters, Restart, Slot, SlotKind, SlotSource};
use theory::{Chord, Degree, Finger, Hand, Key, Letter, Member, MidiKey, Mode, NoteName, NumberChord};
use voicing::{Event, HeldNote, Part, PartBar, PartChord, Role, Settings, Shape};

/// A chord of a bar: its length in eighths, its keys by hand, how it is struck.
#[derive(Clone, Debug)]
pub struct SlotOf {
    pub eighths: i64,
    pub right: Vec<u8>,
    pub left: Vec<u8>,
    /// Both hands strike again every so many eighths; 0: once.
    pub every: i64,
    pub push: bool,
    pub tie: bool,
}

pub fn chord(eighths: i64, right: &[u8], left: &[u8]) -> SlotOf {
    SlotOf { eighths, right: right.into(), left: left.into(), every: 0, push: false, tie: false }
}

#[derive(Clone, Debug)]
pub struct BarOf {
    pub meter: (u8, u8),
    /// Quarters a minute.
    pub tempo: f64,
    pub row: u32,
    pub slots: Vec<SlotOf>,
}

pub fn bar(meter: (u8, u8), tempo: f64, slots: &[SlotOf]) -> BarOf {
    BarOf { meter, tempo, row: 0, slots: slots.to_vec() }
}

pub fn key(number: u8) -> MidiKey {
    MidiKey::new(number).expect("a MIDI key")
}

pub fn eighths(n: i64) -> Quarters {
    Quarters::new(n, 2)
}

pub fn part(bars: &[BarOf]) -> Part {
    let mut start = Quarters::ZERO;
    let mut out = Part {
        title: "Towpath".into(),
        key: c_major(),
        sections: vec!["Verse".into()],
        note: None,
        words: Vec::new(),
        count_in: None,
        settings: Settings::default(),
        bars: Vec::new(),
        events: Vec::new(),
        proof: voicing::Proof::default(),
    };
    for (index, bar) in bars.iter().enumerate() {
        let part_bar = part_bar(bar, index, start, &mut out.events);
        start += part_bar.played.meter.length();
        out.bars.push(part_bar);
    }
    out.events.sort_by_key(|e| (e.start, e.key));
    out
}

pub fn c_major() -> Key {
    Key::new(NoteName::new(Letter::C, 0), Mode::Major).expect("a key with a signature")
}

fn part_bar(bar: &BarOf, index: usize, start: Quarters, events: &mut Vec<Event>) -> PartBar {
    let meter = Meter::new(bar.meter.0, bar.meter.1).expect("a meter");
    let (mut slots, mut chords, mut offset) = (Vec::new(), Vec::new(), Quarters::ZERO);
    for (slot, of) in bar.slots.iter().enumerate() {
        slots.push(written_slot(of, offset));
        chords.push(PartChord { right: shape(&of.right), left: shape(&of.left), why: Vec::new() });
        strikes(of, (index, slot), start + offset, events);
        offset += eighths(of.eighths);
    }
    assert_eq!(offset, meter.length(), "the slots of bar {index} fill it");
    let played = PlayedBar {
        row: bar.row,
        text: String::new(),
        start,
        slots,
        ..PlayedBar::alone(index as u32, c_major(), meter, bar.tempo)
    };
    PartBar { played, chords }
}

fn strikes(of: &SlotOf, (bar, slot): (usize, usize), at: Quarters, events: &mut Vec<Event>) {
    if of.tie {
        return;
    }
    let every = if of.every == 0 { of.eighths } else { of.every };
    for n in 0..of.eighths / every {
        let early = if of.push && n == 0 { Quarters::EIGHTH } else { Quarters::ZERO };
        for (hand, keys) in [(Hand::Right, &of.right), (Hand::Left, &of.left)] {
            events.extend((0..).zip(keys).map(|(place, &k)| Event {
                hand,
                bar,
                slot,
                start: at + eighths(n * every) - early,
                length: eighths(every),
                pitch: key(k).pitch(),
                key: key(k),
                place,
                finger: finger(),
                substitutions: Vec::new(),
                role: Role::Chord,
                rolled: false,
                accented: false,
            }));
        }
    }
}

fn written_slot(of: &SlotOf, start: Quarters) -> Slot {
    let written = NumberChord {
        root: Degree::new(1, 0).expect("a degree"),
        quality: None,
        extension: None,
        under: None,
    };
    let chord = Chord::in_key(written, c_major());
    let kind = match (of.tie, of.right.is_empty() && of.left.is_empty()) {
        (true, _) => SlotKind::Tie { sounding: chord },
        (_, true) => SlotKind::Rest,
        _ => SlotKind::Chord { chord, push: of.push, diamond: false },
    };
    let style = HandStyle {
        hold: Hold::Notes(3),
        near: None,
        figure: Figure { text: "x".into(), beats: Vec::new() }.into(),
        restart: Restart::Bar,
        figure_beat: Quarters::new(1, 1),
        written: song::Written::default(),
    };
    Slot {
        start,
        length: eighths(of.eighths),
        dots: 0,
        kind,
        symbol: "1".into(),
        continued: false,
        right: style.clone(),
        left: style,
        source: SlotSource { section: 0, exception: None, bar: 0, slot: 0, span: (0, 0) },
    }
}

fn shape(keys: &[u8]) -> Shape {
    let note = |&k: &u8| HeldNote {
        pitch: key(k).pitch(),
        key: key(k),
        member: Member::new(1).expect("a member"),
        finger: finger(),
        substitute: None,
    };
    Shape { notes: keys.iter().map(note).collect(), ..Shape::default() }
}

fn finger() -> Finger {
    Finger::new(1).expect("a finger")
}

/// What the whole part asks of both hands.
pub fn expected(part: &Part) -> Expected {
    Expected::of_part(part, &Timeline::new(part), Hands::Both, None)
}

/// A note played so many milliseconds into the song, held long and firmly.
pub fn played(ms: f64, number: u8) -> PlayedNote {
    PlayedNote {
        at: ChartTime::from_ms(ms),
        length: Some(ChartTime::from_ms(300.0)),
        key: key(number),
        velocity: 70,
    }
}

/// Every expected note, played so many milliseconds late.
pub fn exactly(expected: &Expected, late_ms: f64) -> Vec<PlayedNote> {
    expected.notes.iter().map(|n| played(n.at.ms() + late_ms, n.key.number())).collect()
}
