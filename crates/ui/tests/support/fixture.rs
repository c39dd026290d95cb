//! Songs on the stand: read, planned and followed by the real crates, so that the window is tested on what it shows.

// Tests, pictures and bench each use a part of it.
#![allow(dead_code, clippy::unwrap_used)]

use practice::{
    Expected, HeldKey, KeyVerdict, LoopBars, Mode, PlayedNote, ScoreOptions, Session, SessionCommand,
    SessionView, Speed, Stamp, StepBy, Timeline,
};
use std::sync::Arc;
use theory::{Key, MidiKey};
use ui::{Devices, Model, Sheet, SongEntry, SongKind, ViewState};
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

    fn is_scored(&mut self, expected: &Expected, mut played: Vec<PlayedNote>) {
        played.sort_by_key(|n| (n.at, n.key));
        let score = practice::score(expected, &played, &ScoreOptions::default());
        self.session.score = Some(Arc::new(score));
    }
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
