//! The key that chords by letter are most likely in.

use super::chord::LetterChord;
use theory::{Chord, Degree, Extension, Key, Mode, NumberChord, Quality};

/// A key and how sure it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KeyGuess {
    /// The key.
    pub key: Key,
    /// How sure, 0 to 1; the guesses of one list add up to 1.
    pub sureness: f64,
}

/// All keys, the likeliest first. What counts is how many of the chords are the key's own, what they are otherwise used
/// for (a dominant in minor, a borrowed fourth degree), where they begin and end, and steps from the fifth degree to the
/// first (common practice, no source). Without chords all keys are alike.
///
/// ```
/// let chords = song::letters::chords("Am F C G | Am F E7 Am");
/// let guess = song::letters::propose_key(&chords)[0];
/// assert_eq!(guess.key.to_string(), "A minor");
/// assert!(guess.sureness > 0.5);
/// ```
pub fn propose_key(chords: &[LetterChord]) -> Vec<KeyGuess> {
    let scores: Vec<(Key, f64)> = Key::all().map(|key| (key, score(chords, key))).collect();
    let best = scores.iter().map(|(_, score)| *score).fold(f64::NEG_INFINITY, f64::max);
    let sum: f64 = scores.iter().map(|(_, score)| (score - best).exp()).sum();
    let mut guesses: Vec<KeyGuess> = scores
        .into_iter()
        .map(|(key, score)| KeyGuess { key, sureness: (score - best).exp() / sum })
        .collect();
    guesses.sort_by(|a, b| {
        let simpler = a.key.signature().abs().cmp(&b.key.signature().abs());
        b.sureness.total_cmp(&a.sureness).then(simpler)
    });
    guesses
}

/// How well a key suits: a number whose differences tell, not its size.
fn score(chords: &[LetterChord], key: Key) -> f64 {
    let numbers: Vec<NumberChord> = chords.iter().map(|chord| chord.number(key)).collect();
    let (Some(first), Some(last)) = (numbers.first(), numbers.last()) else { return 0.0 };
    let each: f64 = chords.iter().zip(&numbers).map(|(chord, number)| belongs(chord, number, key)).sum();
    let tonic = |number: &NumberChord| number.root == Degree::TONIC && number.quality.is_none();
    let home = numbers.windows(2).filter(|pair| is_dominant(&pair[0], key) && tonic(&pair[1])).count();
    // Long songs say more than short ones, though not in proportion.
    let weight = 4.0 * (chords.len() as f64 / 4.0).sqrt() / chords.len() as f64;
    each * weight
        + 1.5 * f64::from(u8::from(tonic(first)))
        + f64::from(u8::from(tonic(last)))
        + 0.5 * (home.min(3) as f64)
}

/// How well a chord belongs to a key.
fn belongs(chord: &LetterChord, number: &NumberChord, key: Key) -> f64 {
    let spelled = key.degree(number.root) == chord.root;
    let misspelled = if spelled { 0.0 } else { -0.5 };
    let inside = Chord::in_key(*number, key).names().filter(|name| !key.contains(*name)).count();
    let value = match (inside, number.root.alter()) {
        (0, 0) => 2.0,
        _ if is_dominant(number, key) => 1.7,
        (1, 0) if number.extension == Some(Extension::Seventh) => 1.0,
        _ if borrowed(number, key) => 0.5,
        (1, 0) => 0.3,
        _ => -1.0,
    };
    value + misspelled
}

/// The fifth degree as a major chord, which minor keys borrow from major.
fn is_dominant(number: &NumberChord, key: Key) -> bool {
    let major = Chord::in_key(*number, key).quality() == Quality::Major;
    number.root.number() == 5 && number.root.alter() == 0 && major
}

/// Chords that songs in a major key often take from elsewhere: the minor fourth degree, the major ones on flat degrees.
fn borrowed(number: &NumberChord, key: Key) -> bool {
    if key.mode() == Mode::Minor {
        return number.root.number() == 4 && number.quality == Some(Quality::Major);
    }
    match (number.root.alter(), number.root.number()) {
        (-1, 3 | 6 | 7) => number.quality.is_none(),
        (0, 4) => number.quality == Some(Quality::Minor),
        (0, 2 | 3 | 6) => number.quality == Some(Quality::Major),
        _ => false,
    }
}
