//! A part made by hand, without reader or planner: what the window draws is known exactly.

use practice::{HeldKey, KeyVerdict, LoopBars, Mark, Mode, Position, SessionSettings, SessionView, SlotRef, Speed};
use song::{
    Beat, Feel, Figure, HandStyle, Hold, LeftShape, Meter, PlayedBar, Quarters, Restart, Slot, SlotKind, SlotSource,
};
use theory::{Chord, Finger, Hand, Key, Member, MidiKey, Pitch};
use ui::{Devices, Model, Sheet, SongEntry, SongKind, ViewState};
use voicing::{Event, HeldNote, Part, PartBar, PartChord, Role, Settings, Shape};

/// All that a model refers to.
pub struct Stand {
    pub part: Part,
    pub sheet: Sheet,
    pub session: SessionView,
    pub devices: Devices,
    pub songs: Vec<SongEntry>,
    pub settings: Settings,
    pub view: ViewState,
    pub diagnostics: Vec<song::Diagnostic>,
}

impl Stand {
    pub fn new(part: Part) -> Stand {
        let sheet = Sheet::new(&part);
        let session = session(&part, 0);
        Stand {
            sheet,
            session,
            part,
            devices: Devices {
                midi_ports: vec!["Stage piano".into(), "Pad".into()],
                midi_port: Some("Stage piano".into()),
                sound: Some("Loudspeakers".into()),
                volume: 0.7,
                message: None,
            },
            songs: songs(),
            settings: Settings::default(),
            view: ViewState::default(),
            diagnostics: Vec::new(),
        }
    }

    pub fn model(&self) -> Model<'_> {
        Model {
            part: Some(&self.part),
            sheet: Some(&self.sheet),
            written_key: Some(self.part.key),
            diagnostics: &self.diagnostics,
            session: &self.session,
            devices: &self.devices,
            songs: &self.songs,
            settings: &self.settings,
            view: &self.view,
        }
    }

    pub fn set_part(&mut self, part: Part) {
        self.sheet = Sheet::new(&part);
        self.session = session(&part, 0);
        self.part = part;
    }
}

pub fn songs() -> Vec<SongEntry> {
    let entry = |title: &str, detail: &str, kind| SongEntry {
        title: title.into(),
        detail: detail.into(),
        kind,
        open: title.starts_with("Lanterns"),
    };
    vec![
        entry("Lanterns at the Lock", "D major, 4/4, 72", SongKind::Demo),
        entry("The Long Pound", "B♭ major, 6/8, 54", SongKind::Demo),
        entry("Frost on the Sluice", "E minor, 4/4, 96", SongKind::Demo),
        entry("Sunday set, second half", "G major, 4/4, 88", SongKind::Recent),
    ]
}

/// A session at a bar, in step.
pub fn session(part: &Part, bar: usize) -> SessionView {
    let beats = part.bars[bar].played.beat.count;
    let slot = SlotRef { bar, slot: 0 };
    let more = part.bars[bar].chords.len() > 1;
    let next = if more { SlotRef { bar, slot: 1 } } else { SlotRef { bar: bar + 1, slot: 0 } };
    SessionView {
        settings: SessionSettings { mode: Mode::Step, ..SessionSettings::default() },
        running: false,
        counting_in: None,
        position: Position {
            bar,
            slot: 0,
            beat: 1,
            beats,
            quarters: part.bars[bar].played.start.to_f64(),
            pass: 0,
        },
        slot: Some(slot),
        next: (next.bar < part.bars.len()).then_some(next),
        held: Vec::new(),
        marks: vec![Mark::Open; part.events.len()],
        wrong: Vec::new(),
        step: None,
        score: None,
        take: None,
        octave_offer: None,
        cue_generation: 0,
    }
}

/// The song of the drawing: an intro of uneven bars, a verse of four passes, a bridge over slashes, a chorus with a tie.
pub fn lanterns() -> Part {
    let mut maker = Maker::new("Lanterns at the Lock", "D major", "4/4");
    let intro: &[&str] = &["3/4: 1.. 5.", "6", "3/4: 1.. 5.", "6 1/6"];
    let last: &[&str] = &["3/4: 1.. 5.", "6", "3/4: 1.. 5.", "6"];
    maker.place("Intro", &[intro]);
    maker.place("Verse", &[intro, intro, last, last]);
    maker.place("Bridge", &[&["1", "5/7", "6", "4... 5."]]);
    maker.place("Chorus", &[&["4", "5sus4 5", "<1>", "~"]]);
    maker.place("Bridge", &[&["1", "5/7", "6", "4... 5."]]);
    maker.place("Chorus", &[&["4", "5sus4 5", "<1>", "~"]]);
    maker.part
}

/// Everything that a chart can hold, crowded.
pub fn crowded() -> Part {
    let mut maker = Maker::new(
        "A title so long that no window can show it all, not even one as wide as two music stands side by side",
        "Gb major",
        "4/4",
    );
    maker.place("An unusually long section name", &[&["1(maj7) 6(7) 2(9) 5(7b9)", "b7M(13)/#4 5sus4(7)", "^4m(6)", "N ~"]]);
    maker.place("Eight", &[&["1 5", "6 4", "2(7) 5(7)", "1", "4 1/3", "2 5", "^1", "<1>"]]);
    maker.place("Six-eight", &[&["6/8: 1 4", "5/4: 1.. 5M...", "2/4: #4dim", "7/8: 1"]]);
    maker.part
}

/// A long song, for scrolling and for the cost of a frame: `n` sections of eight bars.
pub fn long(n: usize) -> Part {
    let mut maker = Maker::new("The Long Way Round", "A major", "4/4");
    for section in 0..n {
        let name = format!("Part {}", section + 1);
        maker.place(&name, &[&["1 5", "6 4", "2(7) 5(7)", "1/3", "4... 5.", "6 1/3", "4 5", "<1>"]]);
    }
    maker.part
}

/// The player holds right and wrong keys.
pub fn with_held(stand: &mut Stand, right: &[u8], wrong: &[u8]) {
    let held = |keys: &[u8], verdict| {
        keys.iter().map(move |k| HeldKey { key: MidiKey::new(*k).unwrap(), verdict, hand: None }).collect::<Vec<_>>()
    };
    stand.session.held = held(right, KeyVerdict::Right);
    stand.session.held.extend(held(wrong, KeyVerdict::Wrong));
}

/// Playing along, stopped in the middle of a bar.
pub fn playing(stand: &mut Stand, bar: usize, beat: u8) {
    stand.session = session(&stand.part, bar);
    let start = stand.part.bars[bar].played.start.to_f64();
    let session = &mut stand.session;
    session.settings.mode = Mode::PlayAlong;
    session.settings.speed = Speed::new(80.0).unwrap();
    session.settings.loop_bars = Some(LoopBars::new(bar.saturating_sub(1), bar + 2));
    session.running = true;
    session.position.beat = beat;
    session.position.quarters = start + f64::from(beat - 1) + 0.3;
}

struct Maker {
    part: Part,
    meter: Meter,
    place: usize,
    at: Quarters,
    last: Option<Chord>,
}

impl Maker {
    fn new(title: &str, key: &str, meter: &str) -> Maker {
        let part = Part {
            title: title.into(),
            key: key.parse().unwrap(),
            sections: Vec::new(),
            settings: Settings::default(),
            bars: Vec::new(),
            events: Vec::new(),
        };
        Maker { part, meter: meter_of(meter), place: 0, at: Quarters::ZERO, last: None }
    }

    fn place(&mut self, name: &str, passes: &[&[&str]]) {
        let section = self.part.sections.iter().position(|s| s == name).unwrap_or_else(|| {
            self.part.sections.push(name.into());
            self.part.sections.len() - 1
        });
        for (pass, bars) in passes.iter().enumerate() {
            for (index, text) in bars.iter().enumerate() {
                self.bar(section, (pass as u32 + 1, passes.len() as u32), index as u32, text);
            }
        }
        self.place += 1;
    }

    fn bar(&mut self, section: usize, pass: (u32, u32), index: u32, text: &str) {
        let (meter, own_meter, rest) = match text.split_once(": ") {
            Some((meter, rest)) => (meter_of(meter), true, rest),
            None => (self.meter, false, text),
        };
        let beat = meter.beat(false);
        let items: Vec<&str> = rest.split(' ').collect();
        let mut start = Quarters::ZERO;
        let mut slots = Vec::new();
        for (n, item) in items.iter().enumerate() {
            let dots = item.chars().rev().take_while(|c| *c == '.').count();
            let length = match dots {
                0 => meter.length().split(items.len() as i64),
                dots => beat.length.times(dots as i64),
            };
            slots.push(self.slot(item.trim_end_matches('.'), dots as u8, start, length, (section, index, n)));
            start += length;
        }
        let played = PlayedBar {
            section,
            place: self.place,
            pass: pass.0,
            passes: pass.1,
            bar_in_section: index + 1,
            written_bar: Some(index),
            row: 0,
            meter,
            own_meter,
            beat,
            quarters_per_minute: 72.0,
            key: self.part.key,
            start: self.at,
            slots,
            feel: Feel::Straight,
            level: 3,
            bass: false,
            pedal: false,
            note: None,
            cue: None,
        };
        self.voiced(played, beat);
        self.at += meter.length();
    }

    fn slot(
        &mut self,
        text: &str,
        dots: u8,
        start: Quarters,
        length: Quarters,
        at: (usize, u32, usize),
    ) -> Slot {
        let kind = match text {
            "~" => SlotKind::Tie { sounding: self.last.clone().unwrap() },
            "N" => SlotKind::Rest,
            text => {
                let diamond = text.starts_with('<');
                let text = text.trim_start_matches('<').trim_end_matches('>');
                let push = text.starts_with('^');
                let written = text.trim_start_matches('^').parse().unwrap();
                let chord = Chord::in_key(written, self.part.key);
                self.last = Some(chord.clone());
                SlotKind::Chord { chord, push, diamond }
            }
        };
        let style = |hold, figure: &str| HandStyle {
            hold,
            near: None,
            figure: Figure { text: figure.into(), beats: Vec::new() },
            restart: Restart::Bar,
            figure_beat: Quarters::new(1, 1),
        };
        Slot {
            start,
            length,
            dots,
            kind,
            right: style(Hold::Notes(2), "x x x x"),
            left: style(Hold::Shape(LeftShape::RootFifth), "12 12 12 12"),
            source: SlotSource { section: at.0, exception: None, bar: at.1, slot: at.2 as u32, span: (0, 0) },
        }
    }

    fn voiced(&mut self, played: PlayedBar, beat: Beat) {
        let bar = self.part.bars.len();
        let mut chords = Vec::new();
        for (n, slot) in played.slots.iter().enumerate() {
            let chord = match &slot.kind {
                SlotKind::Chord { chord, .. } => Some(chord),
                SlotKind::Tie { sounding } => Some(sounding),
                SlotKind::Rest => None,
            };
            let shapes = chord.map(|chord| (right(chord), left(chord))).unwrap_or_default();
            if matches!(slot.kind, SlotKind::Chord { .. }) {
                self.strikes(bar, n, played.start + slot.start, slot.length, beat, &shapes);
            }
            chords.push(PartChord { right: shapes.0, left: shapes.1, why: Vec::new() });
        }
        self.part.bars.push(PartBar { played, chords });
        self.part.events.sort_by_key(|e| (e.start, e.key));
    }

    fn strikes(
        &mut self,
        bar: usize,
        slot: usize,
        at: Quarters,
        length: Quarters,
        beat: Beat,
        shapes: &(Shape, Shape),
    ) {
        let beats = length.div_floor(beat.length).max(1);
        let half = beat.length.split(2);
        for n in 0..beats {
            let start = at + beat.length.times(n);
            for note in &shapes.0.notes {
                self.event(Hand::Right, bar, slot, start, beat.length, note);
            }
            for (m, note) in shapes.1.notes.iter().enumerate() {
                let start = start + half.times(m as i64);
                self.event(Hand::Left, bar, slot, start, half, note);
            }
        }
    }

    fn event(&mut self, hand: Hand, bar: usize, slot: usize, start: Quarters, length: Quarters, note: &HeldNote) {
        self.part.events.push(Event {
            hand,
            bar,
            slot,
            start,
            length,
            pitch: note.pitch,
            key: note.key,
            finger: note.finger,
            role: Role::Chord,
            rolled: false,
        });
    }
}

/// Root and third, or the two upper members of a slash chord, near G4.
fn right(chord: &Chord) -> Shape {
    let names: Vec<_> = chord.names().collect();
    let chosen = if chord.is_slash() { [names[2 % names.len()], names[0]] } else { [names[0], names[1]] };
    let low = near(chosen[0], 62);
    let high = near(chosen[1], i32::from(low.key().unwrap().number()) + 5);
    shape(&[(low, 1), (high, if chord.is_slash() { 4 } else { 3 })])
}

fn left(chord: &Chord) -> Shape {
    let low = near(chord.bass, 48);
    let fifth = chord.names().nth(2).unwrap_or(chord.root());
    let high = near(fifth, i32::from(low.key().unwrap().number()) + 8);
    shape(&[(low, 5), (high, 1)])
}

fn near(name: theory::NoteName, target: i32) -> Pitch {
    (0..8).map(|octave| Pitch::new(name, octave)).min_by_key(|p| (p.semitones() - target).abs()).unwrap()
}

fn shape(notes: &[(Pitch, u8)]) -> Shape {
    let mut notes: Vec<HeldNote> = notes
        .iter()
        .map(|(pitch, finger)| HeldNote {
            pitch: *pitch,
            key: pitch.key().unwrap(),
            member: Member::new(1).unwrap(),
            finger: Finger::new(*finger).unwrap(),
        })
        .collect();
    notes.sort_by_key(|n| n.key);
    Shape { notes, inversion: None, omitted: Vec::new(), rolled: false }
}

fn meter_of(text: &str) -> Meter {
    let (upper, lower) = text.split_once('/').unwrap();
    Meter::new(upper.parse().unwrap(), lower.parse().unwrap()).unwrap()
}

/// The key of a text, for tests.
#[allow(dead_code)]
pub fn key(text: &str) -> Key {
    text.parse().unwrap()
}
