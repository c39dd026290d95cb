//! How even it was, in plain words.

use crate::evenness::LEAST;
use crate::{CrossingGap, HandEvenness, Loudness, RunEvenness, Together};
use theory::{CrossingKind, Hand};

/// So many sentences about crossings for one hand.
const CROSSINGS: usize = 2;

impl RunEvenness {
    /// In plain words, a sentence each, hand by hand: how even, which crossings stand out, how loud; then how well together.
    /// Without a gap, no words.
    pub fn words(&self) -> Vec<String> {
        let mut words: Vec<String> = self.hands.iter().flat_map(HandEvenness::words).collect();
        words.extend(self.together.map(|together| together.text()));
        words
    }
}

impl HandEvenness {
    /// Of this hand, in plain words.
    pub fn words(&self) -> Vec<String> {
        let mut words = vec![self.steadiness()];
        words.extend(self.crossing_words());
        words.extend(self.loudness.iter().flat_map(Loudness::words));
        words
    }

    /// The kinds of crossing that are worth a sentence: onto one note where that is often enough, else all of a kind.
    pub fn standing_out(&self) -> Vec<&CrossingGap> {
        let of_note = |c: &&CrossingGap| c.matters && c.onto.is_some();
        let told = |kind: CrossingKind| self.crossings.iter().any(|c| of_note(&c) && c.kind == kind);
        let whole = |c: &&CrossingGap| c.matters && c.onto.is_none() && !told(c.kind);
        self.crossings.iter().filter(|c| of_note(c) || whole(c)).take(CROSSINGS).collect()
    }

    fn crossing_words(&self) -> Vec<String> {
        let told: Vec<String> = self.standing_out().iter().map(|crossing| crossing.text()).collect();
        let count = self.gaps.iter().filter(|gap| gap.crossing.is_some()).count();
        if !told.is_empty() || count == 0 {
            return told;
        }
        let enough = self.crossings.iter().any(|crossing| crossing.count >= LEAST);
        vec![match enough {
            true => "The crossings are as even as the rest.".into(),
            false => "Too few crossings yet to judge them: loop it.".into(),
        }]
    }

    /// Bounds in the likeness of what is noticed: 6 ms in fast notes, 2.5 % in slow ones (Friberg & Sundberg); the steps
    /// above that are common practice, no source.
    fn steadiness(&self) -> String {
        let (hand, spread) = (capital(self.hand), self.spread_ms);
        let within = |ms: f64, share: f64| spread <= ms.max(share * self.asked_ms);
        let size = spread.round();
        if within(10.0, 0.04) {
            format!("{hand} hand: very even, {size} ms either way.")
        } else if within(20.0, 0.08) {
            format!("{hand} hand: even, {size} ms either way.")
        } else if within(35.0, 0.14) {
            format!("{hand} hand: a little uneven, {size} ms either way.")
        } else {
            format!("{hand} hand: uneven, {size} ms either way. Slower would help.")
        }
    }
}

impl CrossingGap {
    /// `The gap before the thumb on C is 40 ms longer.`
    pub fn text(&self) -> String {
        let size = self.longer_ms.abs().round();
        let way = if self.longer_ms > 0.0 { "longer" } else { "shorter" };
        match (self.kind, self.onto) {
            (CrossingKind::ThumbUnder, Some((note, _))) => {
                format!("The gap before the thumb on {} is {size} ms {way}.", note.pretty())
            }
            (CrossingKind::FingerOver, Some((note, finger))) => {
                format!(
                    "The gap before finger {finger} over the thumb, on {}, is {size} ms {way}.",
                    note.pretty()
                )
            }
            (CrossingKind::ThumbUnder, None) => format!("Gaps before the thumb are {size} ms {way}."),
            (CrossingKind::FingerOver, None) => {
                format!("Gaps before a finger passes over the thumb are {size} ms {way}.")
            }
        }
    }
}

/// Above so much a finger's touch, or an accent, is told from the others, in velocities (common practice, no source).
const HEARD: f64 = 8.0;

impl Loudness {
    fn words(&self) -> Vec<String> {
        let size = self.spread.round();
        let mut words = vec![match self.spread {
            s if s <= 6.0 => format!("Loudness: even, {size} of 127 either way."),
            s if s <= 11.0 => format!("Loudness: a little uneven, {size} of 127 either way."),
            _ => format!("Loudness: uneven, {size} of 127 either way."),
        }];
        let most = self.fingers.iter().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()));
        if let Some((finger, harder)) = most.filter(|(_, harder)| harder.abs() > HEARD) {
            let which = if finger.number() == 1 { "The thumb".into() } else { format!("Finger {finger}") };
            let way = if *harder > 0.0 { "louder" } else { "softer" };
            words.push(format!("{which} is {way} than the others by {}.", harder.abs().round()));
        }
        words.extend(self.accents.map(|harder| match harder {
            h if h > HEARD => format!("Accents stand out by {}.", h.round()),
            _ => "Accents do not stand out yet.".into(),
        }));
        words
    }
}

/// Notes of one chord in real playing spread by some 30 ms (Goebl 2001).
const USUAL_APART_MS: f64 = 30.0;

impl Together {
    /// `The hands are together: 8 ms apart on average.`
    pub fn text(&self) -> String {
        let apart = self.apart_ms.round();
        let first = match self.left_after_ms {
            late if late > 0.5 * USUAL_APART_MS => "; the right comes first",
            early if early < -0.5 * USUAL_APART_MS => "; the left comes first",
            _ => "",
        };
        match self.apart_ms {
            ms if ms <= USUAL_APART_MS => {
                format!("The hands are together: {apart} ms apart on average{first}.")
            }
            ms if ms <= 2.0 * USUAL_APART_MS => {
                format!("The hands are nearly together: {apart} ms apart on average{first}.")
            }
            _ => format!("The hands are apart: {apart} ms on average{first}."),
        }
    }
}

fn capital(hand: Hand) -> &'static str {
    match hand {
        Hand::Right => "Right",
        Hand::Left => "Left",
    }
}
