//! Songs on the stand: read, planned and followed by the real crates, so that the window is tested on what it shows.

// Tests, pictures and bench each use a part of it.
#![allow(dead_code, clippy::unwrap_used)]

use practice::{
    Expected, HeldKey, KeyVerdict, Lap, LoopBars, Mark, Mode, PlayedNote, Score, ScoreOptions, Session,
    SessionCommand, SessionView, Speed, Stamp, StepBy, Take, Timeline,
};
use std::sync::Arc;
use theory::{Key, MidiKey};
use ui::{Choices, Devices, Model, Sheet, SongEntry, SongKind, TakeEntry, TapView, ViewState};
use voicing::{Part, Settings};

pub const LANTERNS: &str = include_str!("../../../../demo-songs/lanterns-at-the-lock.json");
pub const FROST: &str = include_str!("../../../../demo-songs/frost-on-the-sluice.json");
pub const WALTZ: &str = include_str!("../../../../demo-songs/heron-waltz.json");
pub const POUND: &str = include_str!("../../../../demo-songs/the-long-pound.json");
pub const QUAY: &str = include_str!("../../../../demo-songs/saturday-quay.json");

/// All that a model refers to.
pub struct Stand {
    pub part: Arc<Part>,
    pub sheet: Sheet,
    pub follower: Session,
    pub session: SessionView,
    pub devices: Devices,
    pub songs: Vec<SongEntry>,
    pub settings: Settings,
    pub view: ViewState,
    pub diagnostics: Vec<song::Diagnostic>,
    pub takes: Vec<TakeEntry>,
    pub take: Option<String>,
    pub taps: TapView,
    pub choices: Choices,
    pub writing: Option<ui::Writing>,
    pub files: ui::Files,
    pub paper: ui::Paper,
    pub practice: ui::Practice,
    pub replay: Option<f64>,
}

impl Stand {
    /// A song on the stand, in step, at its first bar.
    pub fn new(text: &str) -> Stand {
        Stand::of_part(part(text))
    }

    pub fn of_part(part: Part) -> Stand {
        let part = Arc::new(part);
        let follower = Session::new(part.clone());
        Stand {
            sheet: Sheet::new(&part),
            session: follower.view(Stamp::from_nanos(0)),
            follower,
            part,
            devices: devices(),
            takes: Vec::new(),
            take: None,
            taps: TapView::default(),
            choices: Choices::default(),
            writing: None,
            files: ui::Files::default(),
            paper: ui::Paper::default(),
            practice: ui::Practice::default(),
            replay: None,
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
            file: "song.json",
            diagnostics: &self.diagnostics,
            laps: &self.session.laps,
            takes: &self.takes,
            take: self.take.as_deref(),
            replay: self.replay,
            writing: self.writing.as_ref(),
            files: &self.files,
            paper: &self.paper,
            practice: &self.practice,
            taps: &self.taps,
            choices: &self.choices,
            session: &self.session,
            devices: &self.devices,
            songs: &self.songs,
            settings: &self.settings,
            view: &self.view,
        }
    }

    /// The session does these, half a second apart, and is looked at `ms` after the last.
    pub fn does(&mut self, commands: &[SessionCommand], ms: f64) {
        let mut now = Stamp::from_ms(1000.0);
        for command in commands {
            self.follower.apply(*command, now);
            now = now.plus_ms(500.0);
        }
        let now = now.plus_ms(ms);
        self.follower.tick(now);
        self.session = self.follower.view(now);
    }

    /// Other ways to hold the chord in hand are worked out, and something was said.
    pub fn looks_for_ways(&mut self, text: &str) {
        let song = song::read(text).sound().expect("the fixture's songs are sound").play();
        let Some(at) = self.session.slot else { return };
        let ways = theory::Hand::BOTH.into_iter().flat_map(|hand| {
            let others = voicing::alternatives(&song, song.key, &self.settings, (at.bar, at.slot), hand, 4);
            others.into_iter().map(move |other| ui::Way { hand, other })
        });
        self.choices.ways = Some(ways.collect());
    }

    /// The keys are shown as held whatever the session says.
    pub fn holds(&mut self, right: &[u8], wrong: &[u8]) {
        let held = |keys: &[u8], verdict| -> Vec<HeldKey> {
            keys.iter().map(|k| HeldKey { key: MidiKey::new(*k).unwrap(), verdict, hand: None }).collect()
        };
        self.session.held = held(right, KeyVerdict::Right);
        self.session.held.extend(held(wrong, KeyVerdict::Wrong));
    }

    /// The whole song was played along: a little late, less steady in some bars, with a note missed here and there and
    /// some wrong keys.
    pub fn has_played(&mut self) {
        self.does(&[SessionCommand::SetMode(Mode::PlayAlong)], 0.0);
        let timeline = Timeline::new(&self.part);
        let expected = Expected::of_part(&self.part, &timeline, practice::Hands::Both, None);
        let mut played = Vec::new();
        for (n, note) in expected.notes.iter().enumerate() {
            let hard = matches!(note.bar % 7, 3 | 4);
            if (hard && n % 3 == 0) || n % 53 == 0 {
                continue;
            }
            let wobble = ((n * 7919) % 41) as f64 - 20.0;
            let error = 9.0 + if hard { 3.0 * wobble } else { 0.7 * wobble };
            let at = practice::ChartTime::from_ms(note.at.ms() + error);
            let up = if hard && n % 11 == 0 { 1 } else { 0 };
            let key = MidiKey::new(note.key.number() + up).unwrap();
            played.push(PlayedNote { at, length: None, key, velocity: 80 });
        }
        self.is_scored(&expected, played);
    }

    /// The whole song was played exactly, but for the keys of one hand in one bar, which were an octave too high.
    pub fn has_played_an_octave_up(&mut self, hand: theory::Hand, bar: usize) {
        self.does(&[SessionCommand::SetMode(Mode::PlayAlong)], 0.0);
        let timeline = Timeline::new(&self.part);
        let expected = Expected::of_part(&self.part, &timeline, practice::Hands::Both, None);
        let up = |note: &practice::ExpectedNote| if (note.hand, note.bar) == (hand, bar) { 12 } else { 0 };
        let played = expected.notes.iter().map(|note| PlayedNote {
            at: note.at,
            length: None,
            key: MidiKey::new(note.key.number() + up(note)).unwrap(),
            velocity: 80,
        });
        let played = played.collect();
        self.is_scored(&expected, played);
    }

    /// The whole song was played exactly, but for one bar: each note a little late.
    pub fn has_played_late(&mut self, bar: usize, ms: f64) {
        self.does(&[SessionCommand::SetMode(Mode::PlayAlong)], 0.0);
        let timeline = Timeline::new(&self.part);
        let expected = Expected::of_part(&self.part, &timeline, practice::Hands::Both, None);
        let late = |note: &practice::ExpectedNote| if note.bar == bar { ms } else { 0.0 };
        let played = expected.notes.iter().map(|note| PlayedNote {
            at: practice::ChartTime::from_ms(note.at.ms() + late(note)),
            length: None,
            key: note.key,
            velocity: 80,
        });
        let played = played.collect();
        self.is_scored(&expected, played);
    }

    /// An exercise was played along so many times: right keys, a little unsteady, the thumb late where it passes under and
    /// louder than the fingers.
    pub fn has_run(&mut self, passes: usize, late_ms: f64) {
        self.does(&[SessionCommand::SetMode(Mode::PlayAlong)], 0.0);
        let timeline = Timeline::new(&self.part);
        let expected = Expected::of_part(&self.part, &timeline, practice::Hands::Both, None);
        let mut laps = Vec::new();
        for pass in 0..passes {
            let mut before: [Option<usize>; 2] = [None, None];
            let played = expected.notes.iter().enumerate().map(|(n, note)| {
                let event = &self.part.events[note.event];
                let last = before[note.hand as usize].replace(note.event);
                let crosses = last.and_then(|l| practice::crossed(note.hand, &self.part.events[l], event));
                let under = crosses.is_some_and(|c| c.kind == theory::CrossingKind::ThumbUnder);
                let wobble = (((n + 3 * pass) * 7919) % 17) as f64 - 8.0;
                let right = note.hand == theory::Hand::Right;
                let late = if under && right { late_ms } else { 0.0 } + if right { 0.0 } else { 6.0 };
                let at = practice::ChartTime::from_ms(note.at.ms() + 0.6 * wobble + late);
                let loud = if event.finger.number() == 1 { 84 } else { 70 } + (n % 5) as u8;
                PlayedNote { at, length: None, key: note.key, velocity: loud }
            });
            let take = Take::new(played.collect(), Speed::FULL, practice::Hands::Both, None);
            let score = practice::score(&expected, &take.notes, &ScoreOptions::default());
            laps.push(Lap { part: self.part.clone(), take: Arc::new(take), score: Arc::new(score) });
        }
        self.session.laps = Arc::new(laps);
    }

    fn is_scored(&mut self, expected: &Expected, mut played: Vec<PlayedNote>) {
        played.sort_by_key(|n| (n.at, n.key));
        let score = practice::score(expected, &played, &ScoreOptions::default());
        self.session.marks = marks(&score, self.part.events.len());
        let take = Take::new(played, Speed::FULL, practice::Hands::Both, None);
        let lap = Lap { part: self.part.clone(), take: Arc::new(take), score: Arc::new(score) };
        Arc::make_mut(&mut self.session.laps).push(lap);
    }

    /// A new player's two bars, as the first start sets them.
    pub fn is_guided(&mut self) {
        let commands = [
            SessionCommand::SetHands(practice::Hands::Right),
            SessionCommand::SetSpeed(Speed::clamped(60.0)),
            SessionCommand::SetLoop(Some(LoopBars::new(0, 1))),
        ];
        self.does(&commands, 0.0);
    }

    /// The right hand of the first two bars was looped five times, each time with less left out.
    pub fn loops_five_times(&mut self) {
        self.does(&[SessionCommand::SetMode(Mode::PlayAlong)], 0.0);
        let timeline = Timeline::new(&self.part);
        let (hands, bars) = (practice::Hands::Right, Some(LoopBars::new(0, 1)));
        let expected = Expected::of_part(&self.part, &timeline, hands, bars);
        for lap in 0..5 {
            let kept = |n: &usize| n % 5 <= lap;
            let notes = (0..expected.notes.len()).filter(kept).map(|n| &expected.notes[n]);
            self.is_scored(&expected, notes.map(|note| as_written(note, 8.0)).collect());
            let laps = Arc::make_mut(&mut self.session.laps);
            let last = laps.last_mut().unwrap();
            last.take = Arc::new(Take { hands, bars, ..(*last.take).clone() });
        }
    }

    /// The whole song was played with the right keys, all of them half a beat late.
    pub fn has_played_beside_the_beat(&mut self) {
        self.does(&[SessionCommand::SetMode(Mode::PlayAlong)], 0.0);
        let timeline = Timeline::new(&self.part);
        let expected = Expected::of_part(&self.part, &timeline, practice::Hands::Both, None);
        let late = timeline.bars()[0].beat_ms() / 2.0;
        let played = expected.notes.iter().map(|note| as_written(note, late)).collect();
        self.is_scored(&expected, played);
    }

    /// Some takes of two songs, as the list shows them.
    pub fn has_takes(&mut self) {
        let take = |song: &str, when: &str, how: &str, result: &str| TakeEntry {
            song: song.into(),
            when: when.into(),
            how: how.into(),
            result: result.into(),
            kept: false,
            open: false,
            heard: false,
        };
        let lanterns = "Lanterns at the Lock";
        self.takes = vec![
            take(
                lanterns,
                "25 Nov 2026, 18:40",
                "100 %, D major, both hands, the whole song",
                "698 of 758 notes",
            ),
            take(
                lanterns,
                "25 Nov 2026, 18:31",
                "80 %, D major, right hand, 1st Chorus, bars 1–4",
                "52 of 60 notes",
            ),
            take(
                lanterns,
                "24 Nov 2026, 21:05",
                "60 %, E♭ major, both hands, Intro, bars 1–2",
                "19 of 20 notes",
            ),
            take(
                "Heron Waltz",
                "22 Nov 2026, 10:12",
                "95 %, A♭ major, both hands, the whole song",
                "402 of 518 notes",
            ),
        ];
        self.takes[1].kept = true;
        self.takes[2].heard = true;
    }
}

fn as_written(note: &practice::ExpectedNote, late_ms: f64) -> PlayedNote {
    let at = practice::ChartTime::from_ms(note.at.ms() + late_ms);
    PlayedNote { at, length: None, key: note.key, velocity: 80 }
}

/// Both rows were tapped.
pub fn taps() -> TapView {
    let beats: Vec<Stamp> = (0..24).map(|n| Stamp::from_ms(700.0 * f64::from(n))).collect();
    let row = |late: f64| {
        let wobble = |n: usize| ((n * 7919) % 23) as f64 - 11.0;
        let taps: Vec<Stamp> =
            beats.iter().enumerate().map(|(n, beat)| beat.plus_ms(late + wobble(n))).collect();
        practice::latency::measure_taps(&beats, &taps).unwrap()
    };
    let both = practice::latency::Calibration { click: row(18.0), light: row(-26.0) };
    TapView {
        tapping: None,
        click: Some("20 taps, 18 ms after the click on the whole.".into()),
        told: Some(both.text()),
        has_click: true,
        device_says_ms: Some(10.7),
        suggested_ms: both.suggested_ms(),
    }
}

/// As the session marks what a score says.
fn marks(score: &Score, events: usize) -> Vec<Mark> {
    let mut marks = vec![Mark::Open; events];
    for note in &score.notes {
        marks[note.event] = match note.error.map(|error| score.as_played_ms(error)) {
            None => Mark::Missed,
            Some(ms) if note.in_time => Mark::Hit(ms),
            Some(ms) if ms < 0.0 => Mark::Early(ms),
            Some(ms) => Mark::Late(ms),
        };
    }
    marks
}

fn devices() -> Devices {
    Devices {
        midi_ports: vec!["Stage piano".into(), "Pad".into()],
        midi_port: Some("Stage piano".into()),
        sound: Some("Loudspeakers".into()),
        sound_outputs: vec!["Loudspeakers".into(), "USB box, headphones".into()],
        buffer: 128,
        buffers: vec![64, 128, 256, 512, 1024],
        volume: 0.7,
        volumes: [0.8, 0.6, 1.0],
        banks: vec!["GrandAndMore.sf2".into(), "Lock organ.sf2".into()],
        ..Devices::default()
    }
}

/// The part of a song text in another key.
pub fn part_in(text: &str, key: &str) -> Part {
    let song = song::read(text).sound().expect("the fixture's songs are sound").play();
    voicing::plan(&song, self::key(key), &Settings::default()).expect("a key of the same mode")
}

/// The part of a song text.
pub fn part(text: &str) -> Part {
    let song = song::read(text).sound().expect("the fixture's songs are sound").play();
    voicing::plan(&song, song.key, &Settings::default()).expect("the key is the written one")
}

/// A song of these sections, each with its printed rows.
pub fn song(title: &str, key: &str, sections: &[(&str, &[&str])]) -> String {
    let sections: Vec<String> = sections
        .iter()
        .map(|(name, rows)| format!("{{ \"name\": \"{name}\", \"bars\": {rows:?} }}"))
        .collect();
    format!(
        "{{ \"format\": 1, \"title\": \"{title}\", \"key\": \"{key}\", \"tempo\": 72, \"right\": {{ \"figure\": \"x x x x\" }},
           \"left\": {{ \"figure\": \"12 12 12 12\" }}, \"sections\": [ {} ] }}",
        sections.join(",")
    )
}

/// Much in little room.
pub fn crowded() -> String {
    song(
        "A title so long that no window can show it all, not even one as wide as two music stands side by side",
        "Gb major",
        &[
            (
                "An unusually long section name",
                &["1(maj7) 6(7) 2(9) 5(7b9) | b7M(13)/#4 5sus4(7) | ^4m(6) | N... 1. | ~"],
            ),
            ("Eight", &["1 5 | 6 4 | 2(7) 5(7) | 1 | 4 1/3 | 2 5 | ^1 | <1>"]),
            ("Others", &["6/8: 1 4 | 5/4: 1.. 5M... | 2/4: #4dim | 7/8: 1 | 3/4: 1/b7"]),
        ],
    )
}

/// So many sections of eight bars.
pub fn long(n: usize) -> String {
    let names: Vec<String> = (1..=n).map(|n| format!("Part {n}")).collect();
    let row: &[&str] = &["1 5 | 6 4 | 2(7) 5(7) | 1/3 | 4... 5. | 6 1/3 | 4 5 | <1>"];
    let sections: Vec<(&str, &[&str])> = names.iter().map(|name| (name.as_str(), row)).collect();
    song("The Long Way Round", "A major", &sections)
}

/// Earlier versions of a song, one of them looked at.
pub fn files() -> ui::Files {
    let entry =
        |when: &str, what: &str| ui::VersionEntry { when: when.into(), what: what.into(), now: false };
    let mut versions = vec![
        entry("today, 21:14", "bar 6 of Chorus"),
        entry("today, 21:09", "bars 1 to 3 of Lift, the right hand of Lift"),
        entry("today, 20:58", "by another program: the tempo"),
        entry("today, 20:58", "written here, not in the file: the tempo"),
        entry("24 Nov 2026, 19:30", "a new section Bridge, the order"),
        entry("20 Nov 2026, 22:03", "the song as it was found"),
    ];
    versions[0].now = true;
    let row = |text: &str, heading, differs| ui::VersionRow { text: text.into(), heading, differs };
    let rows = vec![
        row("Lanterns at the Lock · D major · 4/4 · 72", false, true),
        row("Intro", true, false),
        row("3/4: 1.. 5. | 6", false, false),
        row("Verse, like Intro, 4 passes", true, false),
        row("one exception", false, false),
        row("Lift", true, false),
        row("1/4 | 1/5 | 1/6 | 1sus2/5.. 5..", false, true),
        row("Chorus", true, false),
        row("4 | 4... 5. | 6 | ~", false, false),
    ];
    ui::Files { versions: Some(versions), looked_at: Some((2, rows)), asks: None }
}

/// The song list.
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
        entry("Saturday Quay", "A major, 4/4, 120", SongKind::Demo),
        entry("Heron Waltz", "A♭ major, 3/4, 100.5", SongKind::Demo),
        entry("Sunday set, second half", "G major, 4/4, 88", SongKind::Recent),
        entry("Ropes of Last Winter", "E♭ major, 4/4, 76", SongKind::Aside),
    ]
}

/// The index of the first bar of a section's place.
pub fn bar_of(part: &Part, section: &str, place: usize) -> usize {
    let of = |b: &voicing::PartBar| part.sections[b.played.section] == section && b.played.place >= place;
    part.bars.iter().position(of).expect("the song has the section")
}

/// Settings for playing along at 80 % in a loop of four bars.
pub fn along(bar: usize) -> Vec<SessionCommand> {
    vec![
        SessionCommand::SetMode(Mode::PlayAlong),
        SessionCommand::SetSpeed(Speed::clamped(80.0)),
        SessionCommand::SetLoop(Some(LoopBars::new(bar, bar + 3))),
        SessionCommand::SetCountIn(false),
        SessionCommand::GoToBar(bar),
        SessionCommand::Start,
    ]
}

/// Stepping by single strikes.
pub fn by_strike(bar: usize) -> Vec<SessionCommand> {
    vec![SessionCommand::SetStepBy(StepBy::Strike), SessionCommand::GoToBar(bar)]
}

/// The key of a text.
pub fn key(text: &str) -> Key {
    text.parse().unwrap()
}
