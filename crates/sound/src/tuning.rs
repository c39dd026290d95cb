//! How stiff the strings of each key are, and how the piano is tuned for it.
//!
//! # Inharmonicity
//!
//! The partials of a stiff string lie above whole multiples: f(n) = n f₁ √((1 + B n²) / (1 + B)) (Fletcher 1964, "Normal
//! vibration frequencies of a stiff piano string"). B follows two straight lines in the logarithm, one for the wound
//! strings and one for the plain ones; form and coefficients after Rauhala, Lehtonen and Välimäki 2007 (from memory).
//! They lie in the range that measurements of pianos show (Conklin 1999, Fletcher and Rossing, "The Physics of Musical
//! Instruments": about 10⁻⁴ at the break, 4·10⁻⁴ at middle C, 10⁻² at the top; from memory).
//!
//! # Stretch
//!
//! Tuners make octaves beatless between partials that both strings have, not between fundamentals, so that the octaves
//! come out wider than 2:1: the sixth partial of the lower string with the third of the upper in the bass, the fourth with
//! the second in the middle, the second with the first at the top (common practice of tuners, 6:3, 4:2 and 2:1 octaves).
//! The curve here is that of the inharmonicity above: at each key it rises by a twelfth of what the octave about that key
//! is too wide, from A4 = 440 Hz (ISO 16:1975). That it comes out some 20 cents low at the bottom and some 30 high at the
//! top is what Railsback measured on tuned pianos (1938; from memory).

use crate::Key;

/// The key from which tuning begins: A4.
const A4: i32 = 69;
/// Above this the coefficient no longer rises: the shortest strings of real pianos scatter about it.
const STIFFEST: f64 = 0.012;

/// The coefficient B of a key's strings, without unit: how much sharper its partials are than whole multiples.
///
/// ```
/// use sound::{Key, tuning};
/// // The tenth partial of middle C is some 25 cents sharp.
/// let Some(key) = Key::new(60) else { unreachable!() };
/// let b = tuning::inharmonicity(key);
/// let cents = 600.0 * ((1.0 + 100.0 * b) / (1.0 + b)).log2();
/// assert!((15.0..35.0).contains(&cents));
/// ```
pub fn inharmonicity(key: Key) -> f64 {
    stiffness(f64::from(key.midi()))
}

/// How far a key is tuned from equal temperament, in cents.
///
/// ```
/// use sound::{Key, tuning};
/// assert_eq!(Key::new(69).map(tuning::stretch), Some(0.0));
/// assert!(Key::new(108).is_some_and(|c8| tuning::stretch(c8) > 20.0));
/// ```
pub fn stretch(key: Key) -> f64 {
    let midi = i32::from(key.midi());
    let steps = |from: i32, to: i32| (from..to).map(|below| step(f64::from(below) + 0.5)).sum::<f64>();
    steps(A4, midi) - steps(midi, A4)
}

/// The frequency in hertz that a key's fundamental is tuned to.
pub fn hertz(key: Key) -> f64 {
    key.hertz() * (stretch(key) / 1200.0).exp2()
}

/// The frequency in hertz of a key's partial, counted from 1, the fundamental.
pub fn partial(key: Key, n: u32) -> f64 {
    partial_of(hertz(key), inharmonicity(key), n)
}

/// A partial of a string whose fundamental and stiffness are known already.
pub(crate) fn partial_of(fundamental: f64, b: f64, n: u32) -> f64 {
    let n = f64::from(n);
    n * fundamental * ((1.0 + b * n * n) / (1.0 + b)).sqrt()
}

fn stiffness(midi: f64) -> f64 {
    let wound = (-0.0847 * midi - 5.82).exp();
    let plain = (0.0926 * midi - 13.64).exp();
    (wound + plain).min(STIFFEST)
}

/// What one semitone about a place on the keyboard is too wide, in cents.
fn step(middle: f64) -> f64 {
    let (low, high) = (stiffness(middle - 6.0), stiffness(middle + 6.0));
    // The partial of the upper string that is matched: third in the bass, first at the top, sliding in between.
    let upper = (3.0 - 2.0 * (middle - 33.0) / 60.0).clamp(1.0, 3.0);
    let sharp = |b: f64, n: f64| 600.0 * ((1.0 + b * n * n) / (1.0 + b)).log2();
    (sharp(low, 2.0 * upper) - sharp(high, upper)) / 12.0
}
