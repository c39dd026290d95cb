//! "I have so many minutes": what to do with them, for one song or a set; and the days until one plays.
//!
//! Each rule and what it rests on:
//!
//! - First the scale and the chords of the key, for at most four minutes (teachers' practice).
//! - Then the hardest bars, three of them in turn and not one after the other: alternating passages beats blocks of one,
//!   modestly (Carter & Grahn 2016). What was learned and is due is asked among them (Simmons 2012; see
//!   [`crate::learn::Spacing`]).
//! - Then joins: from one section into the next, in a set from one song into the next, which is never rehearsed otherwise.
//! - At the end a run-through, if there is time for one.
//! - A few minutes' rest in every half hour, with a word about hands (see the trade's cautions).
//!
//! How the minutes are shared out is this program's reading. A plan is a proposal: each item can be skipped, moved or
//! stopped, and what was played counts, whatever the plan said.

mod days;
mod item;
mod make;
mod sitting;

pub use days::{DayAhead, DaysAhead, spread};
pub use item::{PlanItem, SessionPlan, Task};
pub use make::{PlanSong, Wish, go_on, plan};
pub use sitting::{NextPass, Outcome, Sitting};

/// What is said with a rest; short, and it defers to those who know the player's hands.
pub const REST: &str = "Rest your hands for a few minutes. Stop at pain, numbness or tingling, and ask a teacher or a \
                        clinician where it hurts.";
