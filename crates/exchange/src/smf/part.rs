//! Writing parts: what a sequencer, or another program for practising, needs of a song.

use super::write::{TrackEvents, key_signature, time_signature, track};
use midly::num::{u4, u7, u15, u24};
use midly::{Format, Header, MetaMessage, MidiMessage, Smf, Timing, TrackEventKind};
use practice::{Accent, Hands, Speed, Timeline, clicks_of_bar, velocity};
use song::letters::LetterChord;
use song::{Quarters, SlotKind};
use theory::Hand;
use voicing::{Part, PedalKind};

/// Ticks of a quarter where the part asks for nothing finer.
const USUAL_DIVISION: i64 = 480;
/// The finest there can be is 32,767: this one divides by all numbers to 10.
const FINEST_DIVISION: i64 = 20_160;
/// The slowest tempo that fits its event, in microseconds a quarter.
const SLOWEST: f64 = ((1 << 24) - 1) as f64;
/// How the text begins that says how many ticks come before the first bar.
pub(super) const MARK: &str = "overhand part 1; lead ";
/// High and low wood block (General MIDI 1, percussion key map), for accents and other clicks.
const CLICK_KEYS: [u8; 2] = [76, 77];
/// Channel 10, counted from 0.
const PERCUSSION: u8 = 9;
/// Sustain (MIDI 1.0).
const SUSTAIN: u8 = 64;

/// Writes a part as a standard MIDI file of format 1: a track with tempi, meters, keys, sections as markers and chords as
/// texts; a track for each hand; if asked for, one with the click. Where the first bar begins with a push, a bar comes
/// before it.
pub fn write_part(part: &Part, hands: Hands, click: bool) -> Vec<u8> {
    let clock = Ticks::of(part);
    let conductor = conductor(part, &clock);
    let texts: Vec<(i64, TrackEventKind<'_>)> =
        conductor.iter().map(|(tick, what)| (*tick, what.kind())).collect();
    let of_hand = |hand: Hand| hand_track(part, hand, &clock);
    let wanted = [Hand::Right, Hand::Left].into_iter().filter(|hand| hands.has(*hand));
    let played: Vec<TrackEvents<'static>> = wanted.map(of_hand).collect();
    let division = u15::new(u16::try_from(clock.division).unwrap_or(480));
    let mut smf = Smf::new(Header::new(Format::Parallel, Timing::Metrical(division)));
    smf.tracks.push(track(texts));
    smf.tracks.extend(played.into_iter().map(track));
    if click {
        smf.tracks.push(track(click_track(part, &clock)));
    }
    let mut bytes = Vec::new();
    smf.write_std(&mut bytes).expect("a vector takes all bytes, and four tracks fit a header");
    bytes
}

/// From quarters to ticks.
struct Ticks {
    division: i64,
    /// Before the first bar line.
    lead: i64,
}

impl Ticks {
    fn of(part: &Part) -> Ticks {
        let times = part.events.iter().flat_map(|event| [event.start, event.start + event.length]);
        let slots = part.bars.iter().flat_map(|bar| &bar.played.slots).map(|slot| slot.start);
        let bars = part.bars.iter().map(|bar| bar.played.start);
        let mut division = USUAL_DIVISION;
        for denominator in times.chain(slots).chain(bars).map(|at| at.fraction().1) {
            division = lcm(division, denominator);
            if division > i64::from(i16::MAX) {
                division = FINEST_DIVISION;
                break;
            }
        }
        let early = part.events.iter().any(|event| event.start < Quarters::ZERO);
        let first = part.bars.first().map_or(Quarters::ZERO, |bar| bar.played.meter.length());
        let mut clock = Ticks { division, lead: 0 };
        clock.lead = if early { clock.at(first) } else { 0 };
        clock
    }

    fn at(&self, quarters: Quarters) -> i64 {
        let (n, d) = quarters.fraction();
        let ticks = i128::from(n) * i128::from(self.division);
        let rounded = (2 * ticks + i128::from(d)).div_euclid(2 * i128::from(d));
        self.lead + i64::try_from(rounded).unwrap_or(i64::MAX / 4)
    }
}

/// An event of the conductor's track, which owns its texts.
enum Sign {
    Name(String),
    Text(String),
    Marker(String),
    Other(TrackEventKind<'static>),
}

impl Sign {
    fn kind(&self) -> TrackEventKind<'_> {
        TrackEventKind::Meta(match self {
            Sign::Name(text) => MetaMessage::TrackName(text.as_bytes()),
            Sign::Text(text) => MetaMessage::Text(text.as_bytes()),
            Sign::Marker(text) => MetaMessage::Marker(text.as_bytes()),
            Sign::Other(kind) => return *kind,
        })
    }
}

fn conductor(part: &Part, clock: &Ticks) -> Vec<(i64, Sign)> {
    let mut signs = vec![(0, Sign::Name(part.title.clone()))];
    if clock.lead > 0 {
        signs.push((0, Sign::Text(format!("{MARK}{}", clock.lead))));
    }
    let (mut tempo, mut meter, mut key, mut section) = (None, None, None, None);
    let mut silent = false;
    for (index, bar) in part.bars.iter().enumerate() {
        let played = &bar.played;
        // What holds at the beginning holds in a bar before as well.
        let at = if index == 0 { 0 } else { clock.at(played.start) };
        let micros = (60_000_000.0 / played.quarters_per_minute).round().clamp(1.0, SLOWEST) as u32;
        if tempo.replace(micros) != Some(micros) {
            signs.push((at, Sign::Other(TrackEventKind::Meta(MetaMessage::Tempo(u24::new(micros))))));
        }
        if meter.replace(played.meter) != Some(played.meter) {
            signs.push((at, Sign::Other(time_signature(played.meter))));
        }
        if key.replace(played.key) != Some(played.key) {
            signs.push((at, Sign::Other(key_signature(played.key))));
        }
        let place = (played.place, played.pass);
        if section.replace(place) != Some(place) {
            let name = part.sections.get(played.section).cloned().unwrap_or_default();
            let pass = if played.passes > 1 {
                format!(", pass {} of {}", played.pass, played.passes)
            } else {
                String::new()
            };
            signs.push((clock.at(played.start), Sign::Marker(name + &pass)));
        }
        for slot in played.slots.iter().filter(|slot| !slot.continued) {
            let name = match &slot.kind {
                SlotKind::Chord { chord, .. } => {
                    silent = false;
                    LetterChord::of(chord).to_string()
                }
                SlotKind::Rest if !std::mem::replace(&mut silent, true) => "N.C.".to_owned(),
                SlotKind::Rest | SlotKind::Tie { .. } => continue,
            };
            signs.push((clock.at(played.start + slot.start), Sign::Text(name)));
        }
    }
    // The track ends where the song does, rests at its end and all.
    let end = part.bars.last().map_or(Quarters::ZERO, |last| last.played.start + last.played.meter.length());
    signs.push((clock.at(end), Sign::Text(String::new())));
    signs.sort_by_key(|sign| sign.0);
    signs
}

fn hand_track(part: &Part, hand: Hand, clock: &Ticks) -> TrackEvents<'static> {
    let (name, channel): (&'static [u8], u8) =
        if hand == Hand::Right { (b"Right Hand", 0) } else { (b"Left Hand", 1) };
    let midi = |message| TrackEventKind::Midi { channel: u4::new(channel), message };
    let mut events: Vec<(i64, u8, TrackEventKind<'static>)> = vec![
        (0, 0, TrackEventKind::Meta(MetaMessage::TrackName(name))),
        (0, 1, midi(MidiMessage::ProgramChange { program: u7::new(0) })),
    ];
    for event in part.events.iter().filter(|event| event.hand == hand) {
        let key = u7::new(event.key.number());
        let on = clock.at(event.start);
        let off = clock.at(event.start + event.length).max(on + 1);
        events.push((on, 4, midi(MidiMessage::NoteOn { key, vel: u7::new(velocity(event).min(127)) })));
        events.push((off, 2, midi(MidiMessage::NoteOff { key, vel: u7::new(64) })));
    }
    for mark in part.pedal_marks() {
        let at = clock.at(mark.at);
        let pedal =
            |value: u8| midi(MidiMessage::Controller { controller: u7::new(SUSTAIN), value: u7::new(value) });
        // The foot comes up as the new chord goes down, and goes down again after it.
        if mark.kind != PedalKind::Down {
            events.push((at, 3, pedal(0)));
        }
        if mark.kind != PedalKind::Up {
            events.push((at + clock.division / 8, 3, pedal(127)));
        }
    }
    in_order(events)
}

fn click_track(part: &Part, clock: &Ticks) -> TrackEvents<'static> {
    let timeline = Timeline::new(part);
    let midi = |message| TrackEventKind::Midi { channel: u4::new(PERCUSSION), message };
    let mut events = vec![(0, 0, TrackEventKind::Meta(MetaMessage::TrackName(b"Click")))];
    for click in (0..part.bars.len()).flat_map(|bar| clicks_of_bar(&timeline, bar, Speed::FULL)) {
        let (key, vel) = match click.accent {
            Accent::Bar => (CLICK_KEYS[0], 110),
            Accent::Beat => (CLICK_KEYS[1], 90),
            Accent::Subdivision => (CLICK_KEYS[1], 50),
        };
        let (key, at) = (u7::new(key), clock.at(click.at));
        events.push((at, 4, midi(MidiMessage::NoteOn { key, vel: u7::new(vel) })));
        events.push((at + clock.division / 16, 2, midi(MidiMessage::NoteOff { key, vel: u7::new(64) })));
    }
    in_order(events)
}

fn in_order(mut events: Vec<(i64, u8, TrackEventKind<'static>)>) -> TrackEvents<'static> {
    events.sort_by_key(|event| (event.0, event.1));
    events.into_iter().map(|(tick, _, kind)| (tick, kind)).collect()
}

fn lcm(a: i64, b: i64) -> i64 {
    let (mut x, mut y) = (a, b);
    while y != 0 {
        (x, y) = (y, x % y);
    }
    a / x.max(1) * b
}
