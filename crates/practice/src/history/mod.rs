//! What history remembers: one record for each pass, and where its bars are in the song as it is now.
//!
//! A record holds everything that is ever asked of a pass, so that it can be read without the take: which bars were clean,
//! and strike by strike what was played. Bars are known by [`song::Fingerprint`] and found again with [`song::realign`];
//! what is no longer in the song stays in the record and is counted, never guessed at.
//!
//! Files, locks and the calendar are the business of the edge: a [`Moment`] is an argument.

mod change;
mod moment;
mod passed;
mod placed;
mod record;

pub use change::ChangePassed;
pub use moment::{MS_PER_DAY, Moment};
pub use passed::{BarPassed, How, StrikePassed};
pub use placed::{Placed, place};
pub use record::{About, Guess, Help, Marks, PassRecord, Purpose, SongName, fingerprints};
