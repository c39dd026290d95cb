//! Learning: how likely a bar is clean, what makes it hard, and what to play next.
//!
//! Conventions: a speed is a [`crate::Speed`]; a day is a number of days from any fixed one, with fractions; a chance lies
//! between 0 and 1 and comes with its uncertainty. Clean is what the score calls clean for time: the right chord in
//! another inversion counts.
//!
//! Nothing here is sure of a player: what is believed is a distribution, it widens with every day that nothing is heard,
//! and it starts from a guess that is written down in [`Belief`].

mod belief;
mod by_hands;
mod change;
mod coach;
mod drill;
mod excerpt;
mod feedback;
mod goals;
mod grid;
mod hard;
mod heard;
mod honesty;
mod inside;
mod ladder;
mod player;
mod progress;
mod readiness;
mod recall;
mod spacing;
mod steady;

pub use belief::{Belief, Chance};
pub use by_hands::ByHands;
pub use change::{Change, Moves};
pub use coach::{Advice, Coach, Why};
pub use drill::{Drill, DrillBars, DrillEnd};
pub use excerpt::Excerpt;
pub use feedback::{Feedback, LISTENS, guessed, help_after};
pub use goals::{GoalBars, first_day, goal_bars, goals_of};
pub use hard::{HardBar, Reason, ScoredPass, hard_bars, hard_bars_of};
pub use heard::{Heard, HeardPass};
pub use honesty::{Forecast, Honesty};
pub use ladder::{Ladder, LadderStep};
pub use progress::{BarDay, Gain, PracticeDay, gains, practice_days, progress_words};
pub use readiness::{ChangeReady, Readiness, Ready, SectionReady, readiness, sections};
pub use recall::{BarKnownBy, bars_known_by};
pub use spacing::Spacing;
pub use steady::Steady;
