//! Steadiness from one day to another.

/// How far strikes scattered before, and scatter now, in milliseconds as played.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Steady {
    /// Before.
    pub before: f64,
    /// Now.
    pub now: f64,
}

/// Less of a change than this, in milliseconds, is not told.
const TOLD_MS: f64 = 4.0;

impl Steady {
    /// For a musician; `None` where hardly anything changed.
    ///
    /// ```
    /// use practice::learn::Steady;
    /// let words = Steady { before: 42.0, now: 27.0 }.words();
    /// assert_eq!(words.as_deref(), Some("steadier than the week before: 27 ms either way, it was 42"));
    /// ```
    pub fn words(self) -> Option<String> {
        let Steady { before, now } = self;
        let how = match before - now {
            by if by >= TOLD_MS => "steadier",
            by if by <= -TOLD_MS => "less steady",
            _ => return None,
        };
        Some(format!("{how} than the week before: {now:.0} ms either way, it was {before:.0}"))
    }
}
