//! The notes of a MIDI file as a part to practise, without a chart.

use super::chart::{MOST_TEMPI, bar_spans, changes, held, tempo, title_of};
use super::file::{MidiFile, MidiNote};
use crate::ExchangeError;
use song::{
    Figure, HandStyle, Hold, LeftShape, Meter, PlayedBar, Quarters, Restart, Slot, SlotKind, SlotSource,
};
use theory::{Hand, Key, Letter, Member, MidiKey, Mode, NoteName, Pitch};
use voicing::{Event, HeldNote, Part, PartBar, PartChord, Role, Settings, Shape, finger_notes};

/// The tempo of files that name none (Standard MIDI Files 1.0), in quarters a minute.
const USUAL_TEMPO: f64 = 120.0;

/// The notes of a file as a part for both hands, in its own bars, meters, keys and tempi: the tracks named right or left,
/// or, if no track is, all notes split at middle C, as in [`MidiFile::expected`]. What is struck together is one step.
/// There are no chords in it. In another key of its mode, if one is asked for, all notes are moved the shorter way; those
/// that leave the MIDI keys then are left out. `title` is used where the first track has no name.
///
/// # Errors
/// If there is no note for either hand, or more bars than any song has.
pub fn notes_part(
    file: &MidiFile,
    title: &str,
    key: Option<Key>,
    settings: Settings,
) -> Result<Part, ExchangeError> {
    let own = keys(file);
    let written = own[0].1;
    // A key of the other mode moves nothing into it: there are no chords to read anew.
    let night = key.filter(|key| key.mode() == written.mode()).unwrap_or(written);
    let shift = written.semitones_to(night);
    let moved = |own: Key| if own == written { night } else { own.transposed(shift) };
    let mut bars = bars(file, &own)?;
    let strikes = strikes(file, &mut bars, shift);
    let mut part = Part {
        title: title_of(file, title),
        key: night,
        sections: vec!["Notes".to_owned()],
        note: None,
        words: Vec::new(),
        count_in: None,
        settings,
        bars: Vec::with_capacity(bars.len()),
        events: Vec::with_capacity(strikes.len()),
        proof: voicing::Proof::default(),
    };
    for bar in &mut bars {
        bar.played.key = moved(bar.played.written_key);
        let chords = vec![PartChord::default(); bar.onsets.len()];
        bar.lay_slots();
        part.bars.push(PartBar { played: bar.played.clone(), chords });
    }
    add_strikes(&mut part, strikes);
    if part.events.is_empty() { Err(ExchangeError::Empty) } else { Ok(part) }
}

/// A bar and where something is struck in it; the bar line is always among these places.
struct Bar {
    from: u64,
    played: PlayedBar,
    onsets: Vec<Quarters>,
}

/// A note, put into its bar and its slot.
struct Strike {
    hand: Hand,
    bar: usize,
    slot: usize,
    start: Quarters,
    length: Quarters,
    key: MidiKey,
}

/// Notes that begin within so much of a quarter are struck together: a person who plays a chord is no closer.
fn together() -> Quarters {
    Quarters::new(1, 12)
}

fn bars(file: &MidiFile, keys: &[(u64, Key)]) -> Result<Vec<Bar>, ExchangeError> {
    let outline = &file.outline;
    let follows = changes(&outline.tempos) > MOST_TEMPI;
    let last_start = file.notes.iter().map(|note| ticks(note.start, outline.ticks_per_quarter)).max();
    let last = last_start.unwrap_or(0).max(outline.last_tick.saturating_sub(1));
    let mut start = Quarters::ZERO;
    let mut bars = Vec::new();
    for (index, span) in bar_spans(outline, last)?.into_iter().enumerate() {
        let length = Quarters::new((span.to - span.from) as i64, i64::from(outline.ticks_per_quarter.max(1)));
        let meter = meter_of(length).filter(|_| length != span.meter.length()).unwrap_or(span.meter);
        let key = held(keys, span.from).unwrap_or(keys[0].1);
        let tempo = tempo(&outline.tempos, if follows { 0 } else { span.from }).unwrap_or(USUAL_TEMPO);
        let own_meter = bars.last().is_some_and(|before: &Bar| before.played.meter != meter);
        let alone = PlayedBar::alone(index as u32, key, meter, tempo);
        let played = PlayedBar { row: index as u32 / 4, start, own_meter, ..alone };
        bars.push(Bar { from: span.from, played, onsets: vec![Quarters::ZERO] });
        start += meter.length();
    }
    Ok(bars)
}

/// The meter of a bar that was cut short.
fn meter_of(length: Quarters) -> Option<Meter> {
    [4u8, 8, 16, 32].into_iter().find_map(|lower| {
        let (upper, rest) = length.times(i64::from(lower) / 4).fraction();
        Meter::new(u8::try_from(upper).ok().filter(|_| rest == 1)?, lower)
    })
}

fn ticks(at: Quarters, per_quarter: u32) -> u64 {
    let (n, d) = at.times(i64::from(per_quarter)).fraction();
    u64::try_from(n / d.max(1)).unwrap_or(0)
}

/// All notes of both hands, by time; notes that begin together get one slot.
fn strikes(file: &MidiFile, bars: &mut [Bar], shift: i32) -> Vec<Strike> {
    let hand = file.hand_of();
    let per_quarter = file.outline.ticks_per_quarter;
    let mut strikes: Vec<Strike> = Vec::with_capacity(file.notes.len());
    let mut ordered: Vec<&MidiNote> = file.notes.iter().collect();
    ordered.sort_by_key(|note| (note.start, note.key));
    for note in ordered {
        let tick = ticks(note.start, per_quarter);
        let index = bars.partition_point(|bar| bar.from <= tick).saturating_sub(1);
        let moved = u8::try_from(i32::from(note.key.number()) + shift).ok().and_then(MidiKey::new);
        let (Some(hand), Some(key), Some(bar)) = (hand(note), moved, bars.get_mut(index)) else { continue };
        let at = Quarters::new((tick - bar.from.min(tick)) as i64, i64::from(per_quarter.max(1)));
        let slot = bar.slot_at(at);
        let start = bar.played.start + at;
        let length = note.length.unwrap_or(Quarters::EIGHTH).max(Quarters::new(1, 32));
        let twice = |other: &Strike| (other.hand, other.key) == (hand, key) && other.start == start;
        if !strikes.iter().rev().take_while(|other| other.start == start).any(twice) {
            strikes.push(Strike { hand, bar: index, slot, start, length, key });
        }
    }
    strikes
}

impl Bar {
    /// The slot of what is struck at a place; places come in order.
    fn slot_at(&mut self, at: Quarters) -> usize {
        if self.onsets.last().is_none_or(|last| *last + together() < at) {
            self.onsets.push(at);
        }
        self.onsets.len() - 1
    }

    /// Slots without chords from each place to the next; none of them is written.
    fn lay_slots(&mut self) {
        let end = self.played.meter.length();
        let ends = self.onsets.iter().skip(1).copied().chain([end]);
        let slot = |(index, (start, end)): (usize, (&Quarters, Quarters))| Slot {
            start: *start,
            length: end - *start,
            dots: 0,
            symbol: "N".to_owned(),
            kind: SlotKind::Rest,
            continued: true,
            right: style(Hold::Notes(3)),
            left: style(Hold::Shape(LeftShape::Triad)),
            source: SlotSource {
                section: 0,
                exception: None,
                bar: self.played.bar_in_section - 1,
                slot: index as u32,
                span: (0, 0),
            },
        };
        self.played.slots = self.onsets.iter().zip(ends).enumerate().map(slot).collect();
    }
}

fn style(hold: Hold) -> HandStyle {
    HandStyle {
        hold,
        near: None,
        figure: Figure::held().into(),
        restart: Restart::Chord,
        figure_beat: Quarters::new(1, 1),
        written: song::Written::default(),
    }
}

/// Fingers and names for the strikes of each hand, group by group.
fn add_strikes(part: &mut Part, strikes: Vec<Strike>) {
    for hand in Hand::BOTH {
        let of_hand: Vec<&Strike> = strikes.iter().filter(|strike| strike.hand == hand).collect();
        let mut groups: Vec<Vec<&Strike>> =
            of_hand.chunk_by(|a, b| (a.bar, a.slot) == (b.bar, b.slot)).map(<[_]>::to_vec).collect();
        groups.iter_mut().for_each(|group| group.sort_by_key(|strike| strike.key));
        let keys: Vec<Vec<MidiKey>> =
            groups.iter().map(|group| group.iter().map(|strike| strike.key).collect()).collect();
        let fingers = finger_notes(hand, part.settings.reach_of(hand), &keys);
        for (group, fingers) in groups.iter().zip(fingers) {
            for (place, (strike, finger)) in group.iter().zip(fingers).enumerate() {
                add_strike(part, strike, place, finger);
            }
        }
    }
    part.events.sort_by_key(|event| (event.start, event.key));
}

fn add_strike(part: &mut Part, strike: &Strike, place: usize, finger: theory::Finger) {
    let bar = &mut part.bars[strike.bar];
    let pitch = spelled(strike.key, bar.played.key);
    let chord = &mut bar.chords[strike.slot];
    let shape: &mut Shape = match strike.hand {
        Hand::Right => &mut chord.right,
        Hand::Left => &mut chord.left,
    };
    let held = HeldNote { pitch, key: strike.key, member: Member::ROOT, finger, substitute: None };
    shape.notes.push(held);
    part.events.push(Event {
        hand: strike.hand,
        bar: strike.bar,
        slot: strike.slot,
        start: strike.start,
        length: strike.length,
        pitch,
        key: strike.key,
        place: u8::try_from(place).unwrap_or(u8::MAX),
        finger,
        substitutions: Vec::new(),
        role: Role::Chord,
        rolled: false,
        accented: false,
    });
}

/// The keys from their ticks on, at least one: where none is named, the major key that has most of the notes in its
/// scale, of several the one with the fewest signs.
fn keys(file: &MidiFile) -> Vec<(u64, Key)> {
    if !file.outline.keys.is_empty() {
        return file.outline.keys.clone();
    }
    let mut counts = [0usize; 12];
    file.notes.iter().for_each(|note| counts[usize::from(note.key.number() % 12)] += 1);
    let fits = |key: &Key| {
        let within: usize = key.scale().iter().map(|name| counts[usize::from(name.pitch_class())]).sum();
        (within, -key.signature().abs())
    };
    let best = Key::all().filter(|key| key.mode() == Mode::Major).max_by_key(fits);
    vec![(0, best.expect("there are major keys"))]
}

/// A key's name in a scale; outside it natural where it can be, else with the signs that the scale has.
fn spelled(key: MidiKey, scale: Key) -> Pitch {
    let natural = Letter::ALL.map(|letter| NoteName { letter, alter: 0 });
    let sign = if scale.signature() < 0 { -1 } else { 1 };
    let signed = natural.map(|name| NoteName { alter: sign, ..name });
    let names = scale.scale().into_iter().chain(natural).chain(signed);
    names.into_iter().find_map(|name| Pitch::spelled(name, key)).unwrap_or(key.pitch())
}
