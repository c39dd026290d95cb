//! What a player played.

use crate::{ChartTime, Expected, Hands, LoopBars, Score, ScoreOptions, Speed, TakeTempo, Timeline, score};
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
    /// How fast it was played; if that changed, in the end.
    pub speed: Speed,
    /// The chart's meters and tempi where it was played, and how fast each bar was.
    pub tempo: TakeTempo,
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

impl Take {
    /// A take of which no more is known than its speed; its notes are put in order and on the grid.
    pub fn new(notes: Vec<PlayedNote>, speed: Speed, hands: Hands, bars: Option<LoopBars>) -> Take {
        Take::over(TakeTempo::unknown(speed), notes, speed, hands, bars)
    }

    /// A take over a chart; its notes are put in order and on the grid. Its speed is the one that it is judged by.
    pub fn over(
        tempo: TakeTempo,
        notes: Vec<PlayedNote>,
        speed: Speed,
        hands: Hands,
        bars: Option<LoopBars>,
    ) -> Take {
        let mut notes: Vec<PlayedNote> = notes
            .into_iter()
            .map(|n| {
                let at = tempo.on_grid(n.at);
                // The end is put on the grid, not the length: a file holds ends.
                PlayedNote { at, length: n.length.map(|l| tempo.on_grid(n.at + l) - at), ..n }
            })
            .collect();
        notes.sort_by_key(|n| (n.at, n.key));
        let (from, until, key) = (None, None, None);
        Take { notes, controls: Vec::new(), speed, tempo, hands, bars, from, until, key }
    }

    /// The take with movements of pedals, put in order and on the grid.
    pub fn with_controls(self, controls: Vec<ControlChange>) -> Take {
        let on_grid = |c: ControlChange| ControlChange {
            at: self.tempo.on_grid(c.at),
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
