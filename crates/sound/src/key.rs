//! Keys and velocities in the ranges of MIDI 1.0.

/// A key as a MIDI note number, 0 to 127; middle C (C4) is 60.
///
/// ```
/// use sound::Key;
/// assert_eq!(Key::new(69).map(|a4| a4.hertz().round()), Some(440.0));
/// assert_eq!(Key::new(128), None);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Key(u8);

impl Key {
    /// The number of keys there are.
    pub const COUNT: usize = 128;

    /// The key of a MIDI note number; nothing above 127.
    pub fn new(midi: u8) -> Option<Key> {
        (usize::from(midi) < Key::COUNT).then_some(Key(midi))
    }

    /// Every key, from the lowest.
    pub fn all() -> impl Iterator<Item = Key> {
        (0..=127).map(Key)
    }

    /// The MIDI note number.
    pub fn midi(self) -> u8 {
        self.0
    }

    /// Its frequency in hertz in equal temperament, A4 = 440 Hz (ISO 16:1975). The piano's own, which is stretched, is
    /// [`tuning::hertz`](crate::tuning::hertz).
    pub fn hertz(self) -> f64 {
        440.0 * ((f64::from(self.0) - 69.0) / 12.0).exp2()
    }
}

/// How fast a key goes down, 1 to 127. (Zero means "key up" in MIDI 1.0, so it cannot be made.)
///
/// ```
/// use sound::Velocity;
/// assert_eq!(Velocity::new(0), None);
/// assert_eq!(Velocity::clamped(200).get(), 127);
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Velocity(u8);

impl Velocity {
    /// A velocity; nothing outside 1 to 127.
    pub fn new(value: u8) -> Option<Velocity> {
        (1..=127).contains(&value).then_some(Velocity(value))
    }

    /// The nearest velocity in range.
    pub fn clamped(value: u8) -> Velocity {
        Velocity(value.clamp(1, 127))
    }

    /// The value, 1 to 127.
    pub fn get(self) -> u8 {
        self.0
    }

    /// The share of the hardest blow, above 0 and up to 1.
    pub(crate) fn share(self) -> f32 {
        f32::from(self.0) / 127.0
    }
}
