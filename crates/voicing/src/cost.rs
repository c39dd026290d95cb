//! The one table of what the planner pays for.

/// The weights of the planner, in whole points. A semitone of one right-hand voice costs 10 by default; all others are
/// to be read against it. "By ear" marks a weight that follows no published figure.
///
/// ```
/// use voicing::Costs;
/// assert!(Costs::default().hands_cross > 1000 * Costs::default().right_semitone);
/// assert_eq!(Costs::movement_only().third_missing, 0);
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Costs {
    /// A semitone that one voice of the right hand moves: voices go to the nearest note (Open Music Theory,
    /// keyboard-style voice leading).
    pub right_semitone: i32,
    /// A semitone of the left hand: bass leaps are idiomatic, so they weigh little (common practice).
    pub left_semitone: i32,
    /// A voice that moves at all: common tones stay, repeat goes before step (Open Music Theory). By ear.
    pub voice_moves: i32,
    /// A voice that enters or falls silent between shapes of different size. By ear.
    pub voice_enters: i32,
    /// A semitone beyond a major third in the highest voice, which the ear follows. By ear.
    pub top_leap_semitone: i32,
    /// A leap of the highest voice by more than a fifth: only where the chord forces it. By ear.
    pub top_leap_far: i32,
    /// A suspended note that does not go by step to the third of its own chord, in the same voice, where that chord
    /// follows (theory textbooks).
    pub unresolved: i32,
    /// A right-hand note within the singer's range. By ear.
    pub in_singers_way: i32,
    /// A semitone between the middle of the right hand and G4, where it sings and lies well (the song format's
    /// default place). By ear.
    pub centre_semitone: i32,
    /// The square of each semitone beyond a tritone from G4, so that a long drift is turned round. By ear.
    pub centre_far_square: i32,
    /// A semitone between the left hand's lowest note and C3 (G#2 under a shape wider than a fifth), where two octaves would
    /// do. By ear.
    pub left_centre_semitone: i32,
    /// An interval below the lowest sensible bottom note (low-interval-limit tables, Lowell & Pullig).
    pub low_limit: i32,
    /// Each semitone below that note.
    pub low_limit_semitone: i32,
    /// Two notes a semitone apart within one hand: they grate where a seventh would shine. By ear.
    pub semitone_inside: i32,
    /// The leading tone twice in one hand, or in the right hand over itself in the bass, where there was a choice (Open
    /// Music Theory).
    pub doubled_leading_tone: i32,
    /// The third of a major chord twice in one hand (Open Music Theory).
    pub doubled_major_third: i32,
    /// No third (or suspension) over both hands though the chord has one: it says what the chord is. Not where it would
    /// rub with the bass.
    pub third_missing: i32,
    /// No seventh, sixth, ninth … over both hands though the chord has it: it was written for its colour.
    pub colour_missing: i32,
    /// No root over both hands (a slash chord whose right hand leaves it out).
    pub root_missing: i32,
    /// A note in the right hand that the left already holds, where there was a choice (common practice).
    pub held_by_left: i32,
    /// A right-hand note a semitone from the left hand's lowest, octaves aside, where there was a choice.
    pub rubs_with_bass: i32,
    /// The hands cross or want the same key. More than any path through a song can cost otherwise, so that it happens
    /// only where nothing else is possible.
    pub hands_cross: i32,
    /// Each semitone that they cross, so that what must cross crosses least.
    pub cross_semitone: i32,
    /// The left hand an octave down though the hands would not have met.
    pub lowered_freely: i32,
    /// An octave down because they would have: less than any move of the right hand. By ear.
    pub lowered: i32,
    /// Fewer than three semitones between the hands: thumbs get in each other's way. By ear.
    pub hands_touch: i32,
    /// Each semitone beyond an octave and a fifth between the hands: the sound falls apart. By ear.
    pub gap_semitone: i32,
    /// A note fewer than asked for, because of reach or keyboard.
    pub thinned: i32,
}

impl Default for Costs {
    fn default() -> Self {
        Self {
            right_semitone: 10,
            left_semitone: 2,
            voice_moves: 1,
            voice_enters: 12,
            top_leap_semitone: 3,
            top_leap_far: 60,
            unresolved: 60,
            in_singers_way: 25,
            centre_semitone: 1,
            centre_far_square: 1,
            left_centre_semitone: 1,
            low_limit: 30,
            low_limit_semitone: 6,
            semitone_inside: 25,
            doubled_leading_tone: 40,
            doubled_major_third: 40,
            third_missing: 80,
            colour_missing: 50,
            root_missing: 6,
            held_by_left: 4,
            rubs_with_bass: 40,
            hands_cross: 1_000_000,
            cross_semitone: 1_000,
            lowered_freely: 200_000,
            lowered: 4,
            hands_touch: 6,
            gap_semitone: 3,
            thinned: 20_000,
        }
    }
}

impl Costs {
    /// Nothing but the movement of the voices, a point a semitone.
    pub fn movement_only() -> Self {
        Self {
            right_semitone: 1,
            left_semitone: 1,
            voice_moves: 0,
            voice_enters: 0,
            top_leap_semitone: 0,
            top_leap_far: 0,
            unresolved: 0,
            in_singers_way: 0,
            centre_semitone: 0,
            centre_far_square: 0,
            left_centre_semitone: 0,
            low_limit: 0,
            low_limit_semitone: 0,
            semitone_inside: 0,
            doubled_leading_tone: 0,
            doubled_major_third: 0,
            third_missing: 0,
            colour_missing: 0,
            root_missing: 0,
            held_by_left: 0,
            rubs_with_bass: 0,
            hands_cross: 0,
            cross_semitone: 0,
            lowered_freely: 0,
            lowered: 0,
            hands_touch: 0,
            gap_semitone: 0,
            thinned: 0,
        }
    }
}

/// The right hand's home, G4.
pub(crate) const RIGHT_CENTRE: i32 = 67;
/// So many semitones from there it begins to be far.
pub(crate) const CENTRE_FAR: i32 = 6;
/// Where the left hand's lowest note is at home: C3, but G#2 under a shape wider than a fifth, so that roots are grounded
/// and the hand stays out of the right one's way.
pub(crate) const fn left_centre(span: u8) -> i32 {
    if span > 7 { 44 } else { 48 }
}

/// The lowest sensible bottom note of an interval of 1 to 12 semitones, as a MIDI key; an octave has none.
///
/// Low-interval-limit tables in arranging handbooks (Lowell & Pullig): m2 E3, M2 Eb3, m3 C3, M3 B2, P4 A2, TT B2,
/// P5 C#2, m6 M6 m7 M7 F2. Guides, not absolutes.
pub fn low_interval_limit(semitones: u8) -> Option<u8> {
    const LIMITS: [u8; 11] = [52, 51, 48, 47, 45, 47, 37, 41, 41, 41, 41];
    LIMITS.get(usize::from(semitones.checked_sub(1)?)).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `tests/reference/fingerings.json` has the tables of several sources, which differ: each of ours stands in one.
    #[test]
    fn every_limit_stands_in_a_published_table() {
        let all: serde_json::Value =
            serde_json::from_str(include_str!("../../../tests/reference/fingerings.json")).unwrap();
        let tables = all["low_interval_limits"]["sources"].as_array().unwrap();
        let names = ["m2", "M2", "m3", "M3", "P4", "TT", "P5", "m6", "M6", "m7", "M7"];
        for (semitones, name) in (1..).zip(names) {
            let ours = low_interval_limit(semitones).unwrap();
            let published: Vec<u64> = tables.iter().filter_map(|t| t["table"][name][1].as_u64()).collect();
            assert!(published.contains(&u64::from(ours)), "{name}: {ours}, published {published:?}");
        }
        assert_eq!(low_interval_limit(12), None, "octaves are unrestricted (Lowell & Pullig)");
    }
}
