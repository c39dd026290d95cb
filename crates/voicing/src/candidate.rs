//! Candidate shapes: what one hand could hold at one chord.

use crate::finger_grip::can_hold;
use song::Hold;
use theory::{Hand, Member, NoteName};

/// The most notes one hand holds: written tones beyond are left out from the top.
pub(crate) const MOST_NOTES: usize = 8;

/// One way of holding a chord in one hand. Small and flat, since the planner walks through millions of pairs of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub(crate) struct Candidate {
    /// How many notes.
    pub count: u8,
    /// MIDI keys from the lowest up.
    pub keys: [u8; MOST_NOTES],
    /// For each key the place of its name in [`CandidateSet::palette`].
    pub names: [u8; MOST_NOTES],
    /// Wider than the reach, but written so.
    pub rolled: bool,
    /// Octaves below where it lies by itself: the left hand gives way where the hands would meet.
    pub lowered: u8,
    /// Notes fewer than asked for.
    pub thinned: u8,
}

impl Candidate {
    /// From the lowest key up.
    pub fn keys(&self) -> &[u8] {
        &self.keys[..usize::from(self.count)]
    }
    /// Places in the palette, from the lowest key up.
    pub fn names(&self) -> &[u8] {
        &self.names[..usize::from(self.count)]
    }
    pub fn low(&self) -> Option<u8> {
        self.keys().first().copied()
    }
    pub fn high(&self) -> Option<u8> {
        self.keys().last().copied()
    }
    /// Semitones from the lowest to the highest key.
    pub fn span(&self) -> u8 {
        match (self.low(), self.high()) {
            (Some(low), Some(high)) => high - low,
            _ => 0,
        }
    }
    /// Whether a hand can hold it: within the reach, and with fingers that spread so far.
    pub fn fits(&self, hand: Hand, reach: u8) -> bool {
        self.span() <= reach && can_hold(self.keys(), hand, reach)
    }
    /// The same shape so many semitones higher, if that is a place on the keyboard `low..=high`.
    pub fn moved(mut self, semitones: i32, range: (u8, u8)) -> Option<Candidate> {
        for key in &mut self.keys[..usize::from(self.count)] {
            let there = u8::try_from(i32::from(*key) + semitones).ok()?;
            if there < range.0 || range.1 < there {
                return None;
            }
            *key = there;
        }
        Some(self)
    }
}

/// A note that a shape may hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) struct Ingredient {
    pub member: Member,
    pub name: NoteName,
    /// At least an octave above the lowest note, as a tenth is.
    pub beyond_octave: bool,
}

impl Ingredient {
    pub fn new(member: Member, name: NoteName) -> Ingredient {
        Ingredient { member, name, beyond_octave: false }
    }
}

/// One hand's wish at a chord.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Wish<'a> {
    /// What to hold.
    pub hold: &'a Hold,
    /// Whether the song writes that: then it is obeyed, and rolled where it is wider than the reach.
    pub written: bool,
    /// Near which key the lowest note lies.
    pub near: Option<i32>,
    /// The key that the hand stays on or above, beside a bass player.
    pub floor: Option<u8>,
}

impl<'a> Wish<'a> {
    /// So many notes, wherever they lie well.
    pub fn notes(hold: &'a Hold) -> Wish<'a> {
        Wish { hold, written: false, near: None, floor: None }
    }
}

/// The hand's reach in semitones and the keyboard's ends.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Room {
    pub reach: u8,
    pub range: (u8, u8),
}

/// All candidates of one hand at one chord, and the names of their notes.
#[derive(Clone, Debug, Default)]
pub(crate) struct CandidateSet {
    pub palette: Vec<Ingredient>,
    pub candidates: Vec<Candidate>,
    /// The number of notes that all candidates have, if they agree.
    pub uniform: Option<u8>,
    /// The candidates' keys by voice, lowest voice first: `voices[v * len + i]`. Only if `uniform`.
    pub voices: Vec<i32>,
}

impl CandidateSet {
    pub fn new(palette: Vec<Ingredient>, candidates: Vec<Candidate>) -> CandidateSet {
        let uniform =
            candidates.first().map(|c| c.count).filter(|&n| candidates.iter().all(|c| c.count == n));
        let voices = (0..usize::from(uniform.unwrap_or(0)))
            .flat_map(|voice| candidates.iter().map(move |c| i32::from(c.keys[voice])))
            .collect();
        CandidateSet { palette, candidates, uniform, voices }
    }

    pub fn len(&self) -> usize {
        self.candidates.len()
    }

    /// The keys of one voice in all candidates.
    pub fn voice(&self, voice: usize) -> &[i32] {
        &self.voices[voice * self.len()..(voice + 1) * self.len()]
    }
}

/// Stacks ingredients from the lowest up as close as they go, in every octave of the keyboard. A shape that is wider
/// than the whole keyboard loses notes from the top until it fits somewhere.
pub(crate) fn stacked(palette: &[Ingredient], order: &[u8], range: (u8, u8)) -> Vec<Candidate> {
    let mut order = &order[..order.len().min(MOST_NOTES)];
    while !order.is_empty() {
        let shape = close_stack(palette, order);
        let found: Vec<Candidate> = (0..11).filter_map(|octave| shape.moved(12 * octave, range)).collect();
        if !found.is_empty() {
            return found;
        }
        order = &order[..order.len() - 1];
    }
    Vec::new()
}

/// The close stack with its lowest note in the lowest octave of MIDI. At most eight notes, so at most 96 keys high.
fn close_stack(palette: &[Ingredient], order: &[u8]) -> Candidate {
    let mut shape = Candidate { count: order.len() as u8, ..Candidate::default() };
    let mut last: Option<u8> = None;
    for (i, &place) in order.iter().enumerate() {
        let Ingredient { name, beyond_octave, .. } = palette[usize::from(place)];
        let class = name.pitch_class();
        let least = match last {
            None => 0,
            Some(below) if beyond_octave => below.max(shape.keys[0] + 11) + 1,
            Some(below) => below + 1,
        };
        let key = least + (i32::from(class) - i32::from(least)).rem_euclid(12) as u8;
        shape.keys[i] = key;
        shape.names[i] = place;
        last = Some(key);
    }
    shape
}

/// Keeps the candidates whose lowest key is nearest to `near`.
pub(crate) fn keep_nearest(candidates: &mut Vec<Candidate>, near: i32) {
    let distance = |c: &Candidate| c.low().map_or(0, |low| (i32::from(low) - near).abs());
    if let Some(best) = candidates.iter().map(distance).min() {
        candidates.retain(|c| distance(c) == best);
    }
}
