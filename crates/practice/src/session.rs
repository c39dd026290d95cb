//! The session: settings, transport, following and score as one state machine without clock or thread.

use crate::{Accent, Position, SessionCommand, SessionSettings, SessionView, Stamp, Timeline};
use std::sync::Arc;
use theory::{Hand, MidiKey};
use voicing::Part;

/// What happened to a key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoteChange {
    /// It went down, so hard (1 to 127).
    On {
        /// 1 to 127.
        velocity: u8,
    },
    /// It came up.
    Off,
}

/// Something to be sounded by the program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Cue {
    /// When, exactly.
    pub at: Stamp,
    /// What.
    pub kind: CueKind,
}

/// What to sound.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CueKind {
    /// A note begins.
    NoteOn {
        /// Whose it is.
        hand: Hand,
        /// Its key.
        key: MidiKey,
        /// 1 to 127.
        velocity: u8,
    },
    /// A note ends.
    NoteOff {
        /// Whose it is.
        hand: Hand,
        /// Its key.
        key: MidiKey,
    },
    /// A click.
    Click(Accent),
}

/// A practice session on one part.
#[derive(Clone, Debug)]
pub struct Session {
    part: Arc<Part>,
    timeline: Arc<Timeline>,
    settings: SessionSettings,
}

impl Session {
    /// A session at the start of a part, in step mode.
    pub fn new(part: Arc<Part>) -> Session {
        let timeline = Arc::new(Timeline::new(&part));
        Session { part, timeline, settings: SessionSettings::default() }
    }
    /// Another part (the song was edited, transposed or replaced): ends a run, keeps the settings and, as far as it
    /// exists, the bar one is in.
    pub fn set_part(&mut self, part: Arc<Part>, now: Stamp) {
        let _ = now;
        self.timeline = Arc::new(Timeline::new(&part));
        self.part = part;
    }
    /// The part.
    pub fn part(&self) -> &Arc<Part> {
        &self.part
    }
    /// Its timeline.
    pub fn timeline(&self) -> &Arc<Timeline> {
        &self.timeline
    }
    /// Does what a player asks for.
    pub fn apply(&mut self, command: SessionCommand, now: Stamp) {
        let _ = (command, now);
    }
    /// A key of the player's went down or came up, at the stamp of its MIDI event.
    pub fn note(&mut self, at: Stamp, key: MidiKey, change: NoteChange) {
        let _ = (at, key, change);
    }
    /// Time went by: ends a run at the end of the song, starts a pass of the loop, marks what was missed. Call it some ten
    /// times a second while running.
    pub fn tick(&mut self, now: Stamp) {
        let _ = now;
    }
    /// What the program has to sound from one moment up to, and without, another, by time. Ask for stretches one after
    /// another; each is given once.
    pub fn cues(&mut self, from: Stamp, to: Stamp) -> Vec<Cue> {
        let _ = (from, to);
        Vec::new()
    }
    /// What the screen shows.
    pub fn view(&self, now: Stamp) -> SessionView {
        let _ = now;
        SessionView {
            settings: self.settings,
            running: false,
            counting_in: None,
            position: Position::default(),
            slot: None,
            next: None,
            held: Vec::new(),
            marks: Vec::new(),
            wrong: Vec::new(),
            step: None,
            score: None,
            take: None,
            octave_offer: None,
            cue_generation: 0,
        }
    }
}
