//! Practising: from a part to a clock that runs, a player who is followed, and a score.
//!
//! Conventions: every clock has its own type, all of them in [`clock`]. [`Stamp`] is the computer's monotonic clock;
//! [`Frames`] count a sound stream; [`ChartTime`] is the time of the song at the chart's own tempo, in whole
//! microseconds from the first bar line (a first push lies below zero); [`song::Quarters`] is the written time.
//! Bars, slots and events are indexed from 0 as in [`voicing::Part`]; beats are counted from 1 as musicians count.
//! Errors are played minus expected: negative is early.
//!
//! ```
//! use practice::Speed;
//! let speed = Speed::new(60.0).expect("60 lies within 30 to 130");
//! // A bar of four at 120 lasts two seconds; at 60 % it lasts three and a third.
//! assert_eq!(speed.stretch_ms(2000.0).round(), 3333.0);
//! ```
//!
//! This crate opens no file and no device, asks no clock and starts no thread: stamps are arguments.
#![forbid(unsafe_code)]

mod click;
pub mod clock;
mod clock_follower;
mod errors;
mod evenness;
mod evenness_words;
mod expected;
mod extras;
mod follow;
mod foreign;
pub mod history;
mod lanes;
pub mod latency;
pub mod learn;
mod leg;
mod mapping;
mod matching;
mod offset;
mod pedal;
mod places;
mod replay;
mod run;
mod score;
mod session;
pub mod session_plan;
mod settings;
mod sounds;
mod speed_of_take;
mod spread;
mod steady_shift;
mod step;
mod strikes;
mod take;
mod take_tempo;
mod timeline;
mod transport;
mod verdict;
mod view;
mod windows;

pub use click::{
    Accent, Between, Click, ClickBars, ClickStyle, SUBDIVIDE_BELOW, clicks_in_style, clicks_of_bar, count_in,
    count_in_bars, count_in_style,
};
pub use clock::{ChartTime, Frames, Speed, Stamp};
pub use evenness::{Crossed, CrossingGap, Gap, HandEvenness, Loudness, RunEvenness, Together, crossed};
pub use expected::{BarSpan, Expected, ExpectedNote};
pub use follow::{Follower, Heard};
pub use foreign::{ForeignOptions, ForeignScore, TakeSpeed, score_foreign};
pub use pedal::{PedalFault, PedalScore, PedalVerdict, SUSTAIN, judge_pedal};
pub use replay::Replay;
pub use score::{BarScore, ExtraKind, ExtraNote, NoteScore, Offset, Score, ScoreOptions, Window, score};
pub use session::{Cue, CueKind, NoteChange, Session};
pub use settings::{Hands, LoopBars, Mode, SessionCommand, SessionSettings, StepBy, Unit};
pub use sounds::{notes_by_time, velocity};
pub use speed_of_take::find_speed;
pub use steady_shift::SteadyShift;
pub use step::{Step, StepHeard, Stepper, steps};
pub use strikes::{StrikeScore, StrikeVerdict, TOGETHER_MS};
pub use take::{ControlChange, PlayedNote, Take};
pub use take_tempo::{MeterStep, TICKS_PER_QUARTER, TakeTempo, TempoStep};
pub use timeline::{BarTime, BeatTime, Timeline};
pub use transport::{Segment, Transport};
pub use verdict::{Remark, Steadiness, octave_off, remarks};
pub use view::{CountIn, HeldKey, KeyVerdict, Lap, Mark, Position, SessionView, SlotRef, StepView, WrongKey};
