//! What the screen needs to know of a session: plain values, made anew for every frame that is drawn.

use crate::{ChartTime, LoopBars, Score, SessionSettings, Take};
use std::sync::Arc;
use theory::{Hand, MidiKey};
use voicing::Part;

/// A snapshot of a session.
#[derive(Clone, Debug, PartialEq)]
pub struct SessionView {
    /// All settings.
    pub settings: SessionSettings,
    /// Whether the clock runs.
    pub running: bool,
    /// While a bar is counted in.
    pub counting_in: Option<CountIn>,
    /// Where one is.
    pub position: Position,
    /// The chord in hand; `None` in a song without chords.
    pub slot: Option<SlotRef>,
    /// The chord that comes next.
    pub next: Option<SlotRef>,
    /// The keys the player holds, from the lowest up.
    pub held: Vec<HeldKey>,
    /// How each event of the part went, as long as the part's events.
    pub marks: Vec<Mark>,
    /// Keys that were struck in this run and are not in the part, in order of time.
    pub wrong: Vec<WrongKey>,
    /// In step mode, the step in hand.
    pub step: Option<StepView>,
    /// The result of the last run, or of the last pass through the loop.
    pub score: Option<Arc<Score>>,
    /// What was played in it.
    pub take: Option<Arc<Take>>,
    /// All passes of the last run that was played along, the first one first. They stay, with what they were played to,
    /// until a pass of the next run is over.
    pub laps: Arc<Vec<Lap>>,
    /// The first line was played an octave (or two) off: moving the player's keys by so many semitones would put it right.
    pub octave_offer: Option<i8>,
    /// Changes whenever cues that were given for times to come no longer hold (stop, speed, place, loop). Whoever plays
    /// them then silences what sounds, drops what is queued, and asks again from now.
    pub cue_generation: u64,
}

/// One pass that was played along: through the song, through some bars, or once round a loop.
#[derive(Clone, Debug, PartialEq)]
pub struct Lap {
    /// What it was played to.
    pub part: Arc<Part>,
    /// What was played.
    pub take: Arc<Take>,
    /// How it went.
    pub score: Arc<Score>,
}

/// Where one is in the song.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Position {
    /// The bar.
    pub bar: usize,
    /// The slot in that bar.
    pub slot: usize,
    /// The beat of the bar, from 1.
    pub beat: u8,
    /// Of how many.
    pub beats: u8,
    /// The exact place, in quarters from the first bar line; below zero while counting into the first bar.
    pub quarters: f64,
    /// How often the loop has been gone through, from 0.
    pub pass: u32,
}

/// A count-in under way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CountIn {
    /// The beat, from 1.
    pub beat: u8,
    /// Beats in the bar.
    pub of: u8,
    /// Bars that are still to be counted, this one included.
    pub bars_left: u32,
}

/// A slot of a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct SlotRef {
    /// The bar.
    pub bar: usize,
    /// The slot in it.
    pub slot: usize,
}

/// A key that the player holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HeldKey {
    /// The key.
    pub key: MidiKey,
    /// What it is.
    pub verdict: KeyVerdict,
    /// Whose it is, if it is in the part.
    pub hand: Option<Hand>,
}

/// What a held key is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum KeyVerdict {
    /// Asked for, and struck for it.
    Right,
    /// Not asked for.
    Wrong,
    /// Held from before, or nothing is judged.
    Neutral,
}

/// How an event of the part went. Errors are in milliseconds as played, negative is early.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub enum Mark {
    /// Not yet, or not the player's.
    #[default]
    Open,
    /// In time.
    Hit(f64),
    /// Counted, but early.
    Early(f64),
    /// Counted, but late.
    Late(f64),
    /// Its time went by.
    Missed,
    /// Struck while stepping, where time is not judged.
    Struck,
}

/// A key that is not in the part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WrongKey {
    /// The bar it was struck in.
    pub bar: usize,
    /// When.
    pub at: ChartTime,
    /// The key.
    pub key: MidiKey,
}

/// The step in hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StepView {
    /// Index of the step.
    pub index: usize,
    /// How many steps the song (or the loop) has.
    pub of: usize,
    /// Events of the part that are still to be struck.
    pub open: Vec<usize>,
    /// Keys that are still to be struck, each with its hand: with chord steps all of the shapes, whatever the rhythm.
    pub open_keys: Vec<(Hand, MidiKey)>,
    /// Events of the part that were struck.
    pub struck: Vec<usize>,
    /// Wrong keys struck since the last step.
    pub wrong: Vec<MidiKey>,
    /// The bars that are gone through; `None` for the whole song.
    pub bars: Option<LoopBars>,
}
