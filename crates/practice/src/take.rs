//! What a player played.

use crate::{ChartTime, Expected, Hands, LoopBars, Score, ScoreOptions, Speed, Timeline, score};
use theory::{Key, MidiKey};
use voicing::Part;

/// One note that was played, in the time of the song.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlayedNote {
    /// When its key went down.
    pub at: ChartTime,
    /// How long it was held; `None` if it never came up.
    pub length: Option<ChartTime>,
    /// Its key.
    pub key: MidiKey,
    /// How hard, 1 to 127.
    pub velocity: u8,
}

/// A pedal (or another controller) that moved, in the time of the song.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ControlChange {
    /// When.
    pub at: ChartTime,
    /// Its number: 64 sustain, 66 sostenuto, 67 soft (MIDI 1.0).
    pub controller: u8,
    /// Where it stands now, 0 to 127.
    pub value: u8,
}

/// A take: the notes of one pass through the song or a loop, with what it was played to. Its notes are kept in chart
/// time on a grid that a standard MIDI file holds exactly, so that a take that was saved is scored to the same result.
#[derive(Clone, Debug, PartialEq)]
pub struct Take {
    /// All notes by time, then by key.
    pub notes: Vec<PlayedNote>,
    /// All movements of pedals, in order of time.
    pub controls: Vec<ControlChange>,
    /// How fast it was played.
    pub speed: Speed,
    /// Which hands the player had.
    pub hands: Hands,
    /// The bars that were played; `None` for the whole song.
    pub bars: Option<LoopBars>,
    /// The first expected note that counts; `None` if the player began at the beginning.
    pub from: Option<ChartTime>,
    /// The last expected note that counts; `None` if the player went through to the end.
    pub until: Option<ChartTime>,
    /// The key of the part that was played; `None` where that is not known.
    pub key: Option<Key>,
}

/// The grid that takes are kept on, in microseconds as played: a sixteenth of the time that one byte takes on a MIDI wire
/// (320 µs; MIDI 1.0), and a whole number of ticks of the files that takes are written to.
pub const TAKE_GRID_MICROS: i64 = 20;

impl Take {
    /// A take; its notes are put in order and on the grid.
    pub fn new(notes: Vec<PlayedNote>, speed: Speed, hands: Hands, bars: Option<LoopBars>) -> Take {
        let on_grid = |t: ChartTime| from_grid(to_grid(t, speed), speed);
        let mut notes: Vec<PlayedNote> = notes
            .into_iter()
            .map(|n| {
                let at = on_grid(n.at);
                // The end is put on the grid, not the length: a file holds ends.
                PlayedNote { at, length: n.length.map(|l| on_grid(n.at + l) - at), ..n }
            })
            .collect();
        notes.sort_by_key(|n| (n.at, n.key));
        Take { notes, controls: Vec::new(), speed, hands, bars, from: None, until: None, key: None }
    }

    /// The take with movements of pedals, put in order and on the grid.
    pub fn with_controls(self, controls: Vec<ControlChange>) -> Take {
        let on_grid = |c: ControlChange| ControlChange {
            at: from_grid(to_grid(c.at, self.speed), self.speed),
            controller: c.controller.min(127),
            value: c.value.min(127),
        };
        let mut controls: Vec<ControlChange> = controls.into_iter().map(on_grid).collect();
        controls.sort_by_key(|c| c.at);
        Take { controls, ..self }
    }

    /// What this take was to be, out of all that a part asks.
    pub fn expected(&self, part: &Part, timeline: &Timeline) -> Expected {
        Expected::of_part(part, timeline, self.hands, self.bars).between(self.from, self.until)
    }

    /// The score of this take, which carries its clock and its speed.
    pub fn score(&self, part: &Part, timeline: &Timeline) -> Score {
        let options = ScoreOptions { speed: self.speed, ..ScoreOptions::default() };
        score(&self.expected(part, timeline), &self.notes, &options)
    }
}

/// A time in steps of the grid.
pub fn to_grid(at: ChartTime, speed: Speed) -> i64 {
    (speed.stretch_ms(at.ms()) * 1000.0 / TAKE_GRID_MICROS as f64).round() as i64
}

/// The time of a step of the grid.
pub fn from_grid(step: i64, speed: Speed) -> ChartTime {
    ChartTime::from_ms(speed.shrink_ms((step as f64) * (TAKE_GRID_MICROS as f64) / 1000.0))
}
