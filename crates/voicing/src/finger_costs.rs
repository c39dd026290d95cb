//! The one table of what the choice of fingers pays for.

/// The weights of the fingers, in whole points; they know nothing of the weights of the shapes, which are chosen before.
/// "By ear" marks a weight that follows no published figure. Distances are in semitones of a hand that reaches an
/// octave: a wider hand's are counted as less, a smaller hand's as more.
///
/// ```
/// use voicing::FingerCosts;
/// let costs = FingerCosts::default();
/// // The handbook's form stays, thumb on a black key included, and a held key keeps its finger before all else.
/// assert!(costs.thumb_on_black + costs.little_on_black < costs.not_handbook);
/// assert!(costs.not_handbook < costs.substitution);
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FingerCosts {
    /// A shape for which handbooks have a form, in other fingers. Teachers' handbooks give the same forms in every key. More
    /// than a common tone weighs on both sides, black keys included; less than a neighbour that slides.
    pub not_handbook: i32,
    /// The form that some handbooks give beside the usual one (first inversion 1-3-5, sixths 1-4, left fifths 5-2). More
    /// than one repeated key weighs, so that a chord looks the same wherever it comes; less than two.
    pub other_handbook: i32,
    /// Of a third, a fourth or a tritone another common pair than 1-3, 1-4 and 1-5: what lies around it decides (common practice).
    pub other_narrow: i32,
    /// A semitone that two fingers are wider apart than relaxed (Parncutt et al. 1997). Not asked of handbook forms.
    pub beyond_relaxed: i32,
    /// The same beyond comfortable, on top.
    pub beyond_comfortable: i32,
    /// The same beyond possible, on top: only where no fingers fit.
    pub beyond_possible: i32,
    /// A semitone that two fingers are closer than relaxed.
    pub cramped: i32,
    /// Two keys or more without the thumb: it carries the hand's balance in chords. By ear.
    pub without_thumb: i32,
    /// The thumb on a black key: it is short, and draws the hand into the keys (common practice; scales avoid it).
    pub thumb_on_black: i32,
    /// The little finger on a black key, for the same reason, less strongly (common practice).
    pub little_on_black: i32,
    /// A key by itself, by finger from the thumb; right hand. The middle of the hand lies readiest. By ear.
    pub alone_right: [i32; 5],
    /// The same for the left hand, which lies above its bass note. By ear.
    pub alone_left: [i32; 5],
    /// Another finger on a key that stays down: a silent change costs attention (common practice: a held tone keeps its
    /// finger).
    pub substitution: i32,
    /// Another finger on a key that the shape before had too (common practice: repeated tones of a progression keep
    /// theirs).
    pub repeated_key_changes: i32,
    /// Another finger on the lowest or the highest key than the shape before had there (common practice: the outer
    /// fingers stay stable). Each.
    pub outer_finger_changes: i32,
    /// In a line of single notes: the same finger on another key near by; it cannot be joined.
    pub same_finger_steps: i32,
    /// In a line: the thumb goes under, or a finger over it.
    pub thumb_passes: i32,
    /// In a line: fingers cross otherwise than over the thumb.
    pub fingers_cross: i32,
    /// In a line: the most that a stretch or a leap costs, for the hand moves instead.
    pub hand_moves: i32,
    /// A neighbour note on the finger of its own note: it has to hop or slide.
    pub neighbour_slides: i32,
    /// A neighbour note that crosses its own note's finger over or under the thumb.
    pub neighbour_passes: i32,
    /// The same where the thumb has no part in it.
    pub neighbour_crosses: i32,
    /// A neighbour note on a finger that holds a key, or beyond one: that key would have to be lifted. Only where no finger
    /// lies in order; a stretch that is too wide comes before it, for a hand can hop.
    pub lifts_held_key: i32,
}

impl Default for FingerCosts {
    fn default() -> Self {
        Self {
            not_handbook: 12,
            other_handbook: 5,
            other_narrow: 1,
            beyond_relaxed: 2,
            beyond_comfortable: 4,
            beyond_possible: 10_000,
            cramped: 1,
            without_thumb: 2,
            thumb_on_black: 2,
            little_on_black: 1,
            alone_right: [2, 1, 0, 1, 2],
            alone_left: [2, 1, 1, 1, 0],
            substitution: 30,
            repeated_key_changes: 4,
            outer_finger_changes: 1,
            same_finger_steps: 5,
            thumb_passes: 2,
            fingers_cross: 5,
            hand_moves: 4,
            neighbour_slides: 26,
            neighbour_passes: 12,
            neighbour_crosses: 34,
            lifts_held_key: 1_000_000,
        }
    }
}
