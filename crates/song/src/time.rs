//! Musical time: quarters, meters, beats, tempo.

use num_rational::Ratio;

/// A length or place in quarter notes, exact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Quarters(Ratio<i64>);

impl Quarters {
    /// Nothing.
    pub const ZERO: Quarters = Quarters(Ratio::new_raw(0, 1));
    /// One eighth note.
    pub const EIGHTH: Quarters = Quarters(Ratio::new_raw(1, 2));
    /// A fraction of quarters: `new(3, 2)` is a dotted quarter. The denominator must not be 0.
    pub fn new(numerator: i64, denominator: i64) -> Self {
        Self(Ratio::new(numerator, denominator))
    }
    /// As a floating-point number, for screens, files and milliseconds.
    pub fn to_f64(self) -> f64 {
        *self.0.numer() as f64 / *self.0.denom() as f64
    }
    /// The exact fraction: numerator, denominator.
    pub fn fraction(self) -> (i64, i64) {
        (*self.0.numer(), *self.0.denom())
    }
    /// This length so many times.
    pub fn times(self, n: i64) -> Self {
        Self(self.0 * n)
    }
    /// This length in so many equal parts; `parts` must not be 0.
    pub fn split(self, parts: i64) -> Self {
        Self(self.0 / parts)
    }
    /// How often `unit` fits, rounded down; `unit` must not be zero.
    pub fn div_floor(self, unit: Quarters) -> i64 {
        (self.0 / unit.0).floor().to_integer()
    }
}

impl std::ops::Add for Quarters {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self(self.0 + o.0)
    }
}
impl std::ops::Sub for Quarters {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Self(self.0 - o.0)
    }
}
impl std::ops::AddAssign for Quarters {
    fn add_assign(&mut self, o: Self) {
        self.0 += o.0;
    }
}

/// A meter as written, e.g. 4/4 or 6/8.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Meter {
    upper: u8,
    lower: u8,
}

/// What is counted in a bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Beat {
    /// Its length.
    pub length: Quarters,
    /// How many fill the bar.
    pub count: u8,
}

impl Meter {
    /// A meter of 1 to 32 over 1, 2, 4, 8, 16 or 32; `None` otherwise.
    pub const fn new(upper: u8, lower: u8) -> Option<Meter> {
        if upper >= 1 && upper <= 32 && matches!(lower, 1 | 2 | 4 | 8 | 16 | 32) {
            Some(Meter { upper, lower })
        } else {
            None
        }
    }
    /// Reads `3/4`; `None` for what is no meter.
    pub fn parse(text: &str) -> Option<Meter> {
        let (upper, lower) = text.split_once('/')?;
        let figure = |text: &str| {
            let text = text.trim();
            text.parse().ok().filter(|_| text.bytes().all(|b| b.is_ascii_digit()))
        };
        Meter::new(figure(upper)?, figure(lower)?)
    }
    /// The upper figure.
    pub const fn upper(self) -> u8 {
        self.upper
    }
    /// The lower figure.
    pub const fn lower(self) -> u8 {
        self.lower
    }
    /// The length of a bar.
    pub fn length(self) -> Quarters {
        Quarters::new(4 * i64::from(self.upper), i64::from(self.lower))
    }
    /// The beat: over 8 and divisible by 3 a dotted quarter, unless eighths are counted; else the lower figure's note.
    pub fn beat(self, count_eighths: bool) -> Beat {
        if self.lower == 8 && self.upper.is_multiple_of(3) && !count_eighths {
            Beat { length: Quarters::new(3, 2), count: self.upper / 3 }
        } else {
            Beat { length: Quarters::new(4, i64::from(self.lower)), count: self.upper }
        }
    }
}

impl std::fmt::Display for Meter {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}/{}", self.upper, self.lower)
    }
}

/// A tempo in beats a minute, 20 to 300. What a beat is says the meter in force where it is written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tempo(f64);

impl Tempo {
    /// A tempo; `None` outside 20 to 300 (or not a number).
    pub fn new(beats_per_minute: f64) -> Option<Tempo> {
        crate::limits::TEMPO.contains(&beats_per_minute).then_some(Tempo(beats_per_minute))
    }
    /// Beats a minute.
    pub fn beats_per_minute(self) -> f64 {
        self.0
    }
}

/// How eighths are felt: even, or two to one (swing), the second of a pair on the last third of the quarter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
#[allow(missing_docs)]
pub enum Feel {
    #[default]
    Straight,
    Swing,
}
