//! The monotonic clock as the session counts it.

use practice::Stamp;
use std::time::Instant;

/// Turns instants into stamps: nanoseconds from one moment, fixed when the program started.
#[derive(Clone, Copy, Debug)]
pub struct Clock {
    start: Instant,
}

impl Clock {
    /// A clock that starts now.
    pub fn start() -> Clock {
        Clock { start: Instant::now() }
    }

    /// The stamp of now.
    pub fn now(self) -> Stamp {
        self.stamp(Instant::now())
    }

    /// The stamp of an instant, also of one before the start.
    pub fn stamp(self, at: Instant) -> Stamp {
        let nanos = |d: std::time::Duration| i64::try_from(d.as_nanos()).unwrap_or(i64::MAX);
        match at.checked_duration_since(self.start) {
            Some(since) => Stamp::from_nanos(nanos(since)),
            None => Stamp::from_nanos(-nanos(self.start - at)),
        }
    }
}
