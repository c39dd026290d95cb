//! What a player can set and ask for.

use crate::{ClickStyle, Speed};
use theory::Hand;

/// How the song is gone through.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum Mode {
    /// The song waits until the right keys were struck.
    #[default]
    Step,
    /// The clock runs, the player plays along and is scored.
    PlayAlong,
    /// The program plays everything.
    Listen,
}

/// Which hands the player takes; the program plays the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
#[allow(missing_docs)]
pub enum Hands {
    #[default]
    Both,
    Right,
    Left,
}

impl Hands {
    /// Whether a hand is the player's.
    pub fn has(self, hand: Hand) -> bool {
        match self {
            Hands::Both => true,
            Hands::Right => hand == Hand::Right,
            Hands::Left => hand == Hand::Left,
        }
    }
    /// `both`, `right` or `left`.
    pub const fn name(self) -> &'static str {
        match self {
            Hands::Both => "both",
            Hands::Right => "right",
            Hands::Left => "left",
        }
    }
}

/// How much is one step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum StepBy {
    /// Both hands' shapes of one chord.
    #[default]
    Chord,
    /// One strike.
    Strike,
}

/// A run of bars, both ends included, from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct LoopBars {
    from: usize,
    to: usize,
}

impl LoopBars {
    /// Bars from one to another, in either order.
    pub fn new(a: usize, b: usize) -> LoopBars {
        LoopBars { from: a.min(b), to: a.max(b) }
    }
    /// The first bar.
    pub const fn from(self) -> usize {
        self.from
    }
    /// The last bar.
    pub const fn to(self) -> usize {
        self.to
    }
    /// Whether a bar is among them.
    pub fn contains(self, bar: usize) -> bool {
        (self.from..=self.to).contains(&bar)
    }
}

/// By how much to go back or forward.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Unit {
    Beat,
    Bar,
}

/// All settings of a session.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SessionSettings {
    /// Step, play along or listen.
    pub mode: Mode,
    /// The player's hands.
    pub hands: Hands,
    /// Whether the program plays the hand that is not the player's; else that hand is silent.
    pub other_hand: bool,
    /// Of the chart's tempo.
    pub speed: Speed,
    /// The bars that are repeated, if any.
    pub loop_bars: Option<LoopBars>,
    /// Whether a bar is counted in before the clock starts.
    pub count_in: bool,
    /// Whether the click sounds; without it only the count-in is clicked.
    pub click: bool,
    /// How the click sounds.
    pub click_style: ClickStyle,
    /// How much is one step.
    pub step_by: StepBy,
    /// Semitones, a multiple of 12, by which the player's keys are moved before they are judged.
    pub octave_shift: i8,
    /// Whether the pedalling is judged.
    pub pedal: bool,
}

impl Default for SessionSettings {
    fn default() -> Self {
        Self {
            mode: Mode::Step,
            hands: Hands::Both,
            other_hand: true,
            speed: Speed::FULL,
            loop_bars: None,
            count_in: true,
            click: true,
            click_style: ClickStyle::default(),
            pedal: false,
            step_by: StepBy::Chord,
            octave_shift: 0,
        }
    }
}

/// What a player asks of a session.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SessionCommand {
    /// From the start of the bar one is in, or of the loop; counts in first, if so set. In step mode, which has no clock,
    /// nothing.
    Start,
    /// Through these bars once, and no further; counts in first, if so set. In step mode nothing.
    StartIn(LoopBars),
    /// Ends the run; in play-along what was played so far is scored.
    Stop,
    /// Starts or stops.
    Toggle,
    /// Changes the mode; ends a run.
    SetMode(Mode),
    /// Changes the player's hands; while running a moment later, without a lost beat. What was played before is a take of its
    /// own.
    SetHands(Hands),
    /// Whether the program plays the hand that is not the player's, from the next start.
    SetOtherHand(bool),
    /// Changes the speed; while running a moment later: what sounds goes on, no beat is lost, verdicts stay exact.
    SetSpeed(Speed),
    /// Loops bars, or no longer; while running from the next bar line on.
    SetLoop(Option<LoopBars>),
    /// Count-in on or off, from the next start.
    SetCountIn(bool),
    /// Click on or off; while running from the next click that was not handed out yet.
    SetClick(bool),
    /// How the click sounds, also while running.
    SetClickStyle(ClickStyle),
    /// Whether the pedalling is judged.
    SetPedal(bool),
    /// How much is one step.
    SetStepBy(StepBy),
    /// Moves the player's keys by octaves before judging: the offer of [`crate::SessionView::octave_offer`], accepted.
    SetOctaveShift(i8),
    /// To the start of a bar (beyond the last: to the last). Ends a run.
    GoToBar(usize),
    /// Back by a beat, or to the start of this bar or of the one before. Ends a run.
    Back(Unit),
    /// Forward by a beat or a bar. Ends a run.
    Forward(Unit),
    /// In step mode: the space bar or a pedal; the step counts as done and is sounded.
    Advance,
}
