//! The changes from chord to chord of a part: where they are, which voices move and how far.

use theory::{Hand, MidiKey};
use voicing::Part;

/// A change into a chord.
///
/// A chord that is struck again as it lies is none. The first chord of a song is none either.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Change {
    /// The bar of the chord it goes into, from 0.
    pub bar: usize,
    /// Which chord of that bar, from 0.
    pub slot: usize,
    /// What the right hand does; `None` where it stays or is silent.
    pub right: Option<Moves>,
    /// What the left hand does.
    pub left: Option<Moves>,
}

/// How a hand's notes move from one shape to the next.
///
/// ```
/// use practice::learn::Moves;
/// let keys = |numbers: &[u8]| numbers.iter().filter_map(|n| theory::MidiKey::new(*n)).collect::<Vec<_>>();
/// // C E G to C F A.
/// let moves = Moves::between(&keys(&[60, 64, 67]), &keys(&[60, 65, 69]));
/// assert_eq!(moves.text(theory::Hand::Right), "the right hand's top note up 2 semitones and middle note up 1");
/// ```
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Moves {
    /// How many notes of the new shape were not held before.
    pub notes: usize,
    /// How far its notes go together, in semitones, each from the nearest that was held.
    pub semitones: u32,
    /// Voice by voice from the lowest, in semitones, up positive; `None` beyond the last voice, and for all where the shapes
    /// have different numbers of notes.
    pub voices: [Option<i8>; 5],
}

impl Change {
    /// All changes of a part, in order.
    pub fn all(part: &Part) -> Vec<Change> {
        let mut before: [Vec<MidiKey>; 2] = Default::default();
        let mut changes = Vec::new();
        for (bar, part_bar) in part.bars.iter().enumerate() {
            for (slot, chord) in part_bar.chords.iter().enumerate() {
                let [right, left] = Hand::BOTH.map(|hand| {
                    let now: Vec<MidiKey> = chord.hand(hand).notes.iter().map(|note| note.key).collect();
                    // Over a rest the hand comes from the shape that it had.
                    let before = match now.is_empty() {
                        true => return None,
                        false => std::mem::replace(&mut before[hand as usize], now.clone()),
                    };
                    (!before.is_empty() && before != now).then(|| Moves::between(&before, &now))
                });
                changes.extend((right.is_some() || left.is_some()).then_some(Change {
                    bar,
                    slot,
                    right,
                    left,
                }));
            }
        }
        changes
    }

    /// What a hand does; `None` where it stays or is silent.
    pub fn of(&self, hand: Hand) -> Option<Moves> {
        match hand {
            Hand::Right => self.right,
            Hand::Left => self.left,
        }
    }

    /// For a musician: `into bar 3, chord 2: the right hand's top note up 2`; bars and chords count from 1.
    pub fn text(&self) -> String {
        let moves = Hand::BOTH.into_iter().filter_map(|hand| Some(self.of(hand)?.text(hand)));
        let moves: Vec<String> = moves.collect();
        let chord = if self.slot == 0 { String::new() } else { format!(", chord {}", self.slot + 1) };
        format!("into bar {}{chord}: {}", self.bar + 1, moves.join("; "))
    }
}

impl Moves {
    /// From one shape into the next, each from the lowest note.
    pub fn between(before: &[MidiKey], now: &[MidiKey]) -> Moves {
        let far = |k: &MidiKey| before.iter().map(|b| u32::from(b.number().abs_diff(k.number()))).min();
        let mut voices = [None; 5];
        if before.len() == now.len() && now.len() <= voices.len() {
            for (voice, (from, to)) in voices.iter_mut().zip(before.iter().zip(now)) {
                // Keys lie within 0 to 127, so that no difference leaves an i8.
                *voice = Some(to.number() as i8 - from.number() as i8);
            }
        }
        Moves {
            notes: now.iter().filter(|k| !before.contains(k)).count(),
            semitones: now.iter().filter_map(far).sum(),
            voices,
        }
    }

    /// Which voices move and how far, for a musician.
    pub fn text(&self, hand: Hand) -> String {
        let hand = hand.name();
        let voices: Vec<i8> = self.voices.iter().flatten().copied().collect();
        let way = |by: i8| format!("{} {}", if by > 0 { "up" } else { "down" }, by.unsigned_abs());
        let unit = |by: i8| if by.abs() == 1 { "semitone" } else { "semitones" };
        match voices.as_slice() {
            [] if self.notes == 1 => format!("a new note of the {hand} hand, {} semitones", self.semitones),
            [] => {
                format!("{} new notes of the {hand} hand, {} semitones together", self.notes, self.semitones)
            }
            [by] => format!("the {hand} hand's note {} {}", way(*by), unit(*by)),
            [first, rest @ ..] if rest.iter().all(|by| by == first) => {
                format!("all {} notes of the {hand} hand {} {}", voices.len(), way(*first), unit(*first))
            }
            all => {
                let moving = (0..all.len()).rev().filter(|voice| all[*voice] != 0);
                let mut told: Vec<String> = moving
                    .clone()
                    .map(|voice| format!("{} {}", name(voice, all.len()), way(all[voice])))
                    .collect();
                // The unit is told once.
                if let (Some(first), Some(voice)) = (told.first_mut(), moving.clone().next()) {
                    *first += &format!(" {}", unit(all[voice]));
                }
                format!("the {hand} hand's {}", joined(&told))
            }
        }
    }
}

/// How a voice is called, counted from the lowest.
fn name(voice: usize, of: usize) -> &'static str {
    match (voice, of) {
        (0, 2) => "lower note",
        (1, 2) => "upper note",
        (0, _) => "lowest note",
        (1, 3) => "middle note",
        (n, of) if n + 1 == of => "top note",
        (1, _) => "second note from below",
        (2, 5) => "middle note",
        _ => "second note from above",
    }
}

fn joined(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(before: &[u8], now: &[u8]) -> String {
        let keys = |numbers: &[u8]| numbers.iter().filter_map(|n| MidiKey::new(*n)).collect::<Vec<_>>();
        Moves::between(&keys(before), &keys(now)).text(Hand::Left)
    }

    // By hand.
    #[test]
    fn the_voices_that_move_are_named_with_how_far() {
        assert_eq!(told(&[36], &[43]), "the left hand's note up 7 semitones");
        assert_eq!(told(&[36, 43], &[36, 41]), "the left hand's upper note down 2 semitones");
        assert_eq!(told(&[60, 64, 67], &[72, 76, 79]), "all 3 notes of the left hand up 12 semitones");
        assert_eq!(
            told(&[48, 55, 60, 64], &[50, 57, 60, 65]),
            "the left hand's top note up 1 semitone, second note from below up 2 and lowest note up 2"
        );
        assert_eq!(told(&[60, 64], &[60, 65, 69]), "2 new notes of the left hand, 6 semitones together");
    }
}
