//! What a pair of shapes costs at one chord.

use crate::candidate::{Candidate, CandidateSet};
use crate::cost::{CENTRE_FAR, RIGHT_CENTRE, left_centre, low_interval_limit};
use crate::{Costs, KeySpan};
use theory::{Chord, Hand, Interval, Member};

/// The costs of all pairs of one right and one left set at one chord.
#[derive(Clone, Debug)]
pub(crate) struct PairTable {
    /// Number of the right hand's set.
    pub right: usize,
    /// Number of the left hand's set.
    pub left: usize,
    /// By left candidate, then by right: `cost[l * rights + r]`.
    pub cost: Vec<i32>,
}

/// Costs of all pairs, by left candidate, then by right.
pub(crate) fn pair_costs(
    chord: &Chord,
    right: &CandidateSet,
    left: &CandidateSet,
    costs: &Costs,
    voice: Option<KeySpan>,
) -> Vec<i32> {
    let facts = ChordFacts::of(chord);
    let rights: Vec<(u16, i32)> = right
        .candidates
        .iter()
        .map(|c| {
            let sung = costs.in_singers_way * in_range(c, voice);
            (pitch_classes(c), sung + alone(c, Hand::Right, &facts, costs))
        })
        .collect();
    let mut table = Vec::with_capacity(right.len() * left.len());
    for l in &left.candidates {
        let held = pitch_classes(l);
        let left_alone = alone(l, Hand::Left, &facts, costs);
        for (r, &(sounding, right_alone)) in right.candidates.iter().zip(&rights) {
            let harmony = harmony(sounding, held, &facts, costs);
            table.push(right_alone + left_alone + harmony + meeting(r, l, costs));
        }
    }
    table
}

/// What matters of a chord, as sets of pitch classes (bit 0 is C).
struct ChordFacts {
    third: u16,
    colours: u16,
    root: u16,
    major_third: u16,
    leading_tone: u16,
    /// The leading tone where the left hand stands on it.
    in_bass: u16,
    beside_bass: u16,
}

impl ChordFacts {
    fn of(chord: &Chord) -> ChordFacts {
        let bit = |class: u8| 1u16 << (class % 12);
        let member = |m: Member| chord.member(m).map_or(0, |t| bit(t.name.pitch_class()));
        let third = chord.member(Member::THIRD);
        let suspension = if third.is_none() { member(Member::SECOND) | member(Member::FOURTH) } else { 0 };
        let colours = [6, 7, 9, 11, 13].into_iter().filter_map(Member::new).map(member);
        let below_tonic = Interval::new(6, 11);
        let bass = chord.bass.pitch_class();
        let beside_bass = bit(bass + 1) | bit(bass + 11);
        let leading_tone = bit(chord.key.tonic().up(below_tonic).pitch_class());
        ChordFacts {
            // A third that rubs with the bass may go.
            third: (member(Member::THIRD) | suspension) & !beside_bass,
            colours: colours.fold(0, |all, one| all | one),
            root: bit(chord.root().pitch_class()),
            major_third: third.filter(|t| t.semitones == 4).map_or(0, |t| bit(t.name.pitch_class())),
            leading_tone,
            in_bass: leading_tone & bit(bass),
            beside_bass,
        }
    }
}

/// How many notes lie where the singer sings.
fn in_range(candidate: &Candidate, voice: Option<KeySpan>) -> i32 {
    let Some(voice) = voice else { return 0 };
    let sung = voice.low().number()..=voice.high().number();
    candidate.keys().iter().filter(|key| sung.contains(key)).count() as i32
}

fn pitch_classes(candidate: &Candidate) -> u16 {
    candidate.keys().iter().fold(0, |set, key| set | 1 << (key % 12))
}

/// What a shape costs whatever the other hand does.
fn alone(shape: &Candidate, hand: Hand, facts: &ChordFacts, costs: &Costs) -> i32 {
    let (Some(low), Some(high)) = (shape.low(), shape.high()) else { return 0 };
    let place = match hand {
        Hand::Right => {
            let off = ((i32::from(low) + i32::from(high)) / 2 - RIGHT_CENTRE).abs();
            costs.centre_semitone * off + costs.centre_far_square * (off - CENTRE_FAR).max(0).pow(2)
        }
        Hand::Left => costs.left_centre_semitone * (i32::from(low) - left_centre(shape.span())).abs(),
    };
    let twice = |set: u16| shape.keys().iter().filter(|&&key| set & (1 << (key % 12)) != 0).count() > 1;
    place
        + low_limits(shape, costs)
        + costs.semitone_inside * shape.keys().windows(2).filter(|pair| pair[1] - pair[0] == 1).count() as i32
        + if twice(facts.leading_tone) { costs.doubled_leading_tone } else { 0 }
        + if twice(facts.major_third) { costs.doubled_major_third } else { 0 }
        + costs.thinned * i32::from(shape.thinned)
}

fn low_limits(shape: &Candidate, costs: &Costs) -> i32 {
    shape
        .keys()
        .windows(2)
        .map(|pair| match below_limit(pair[0], pair[1]) {
            0 => 0,
            short => costs.low_limit + costs.low_limit_semitone * i32::from(short),
        })
        .sum()
}

/// How many semitones an interval lies below its lowest sensible place.
pub(crate) fn below_limit(low: u8, high: u8) -> u8 {
    low_interval_limit(high - low).map_or(0, |limit| limit.saturating_sub(low))
}

/// What both hands together say of the chord.
fn harmony(right: u16, left: u16, facts: &ChordFacts, costs: &Costs) -> i32 {
    let sounding = right | left;
    let count = |set: u16| set.count_ones() as i32;
    costs.third_missing * i32::from(facts.third & sounding == 0 && facts.third != 0)
        + costs.colour_missing * count(facts.colours & !sounding)
        + costs.root_missing * i32::from(facts.root & sounding == 0)
        + costs.held_by_left * count(right & left)
        + costs.doubled_leading_tone * count(right & facts.in_bass)
        + costs.rubs_with_bass * count(right & facts.beside_bass)
}

/// What the hands cost one another by where they lie.
fn meeting(right: &Candidate, left: &Candidate, costs: &Costs) -> i32 {
    let (Some(low), Some(high)) = (right.low(), left.high()) else {
        return costs.lowered_freely * i32::from(left.lowered);
    };
    let gap = i32::from(low) - i32::from(high);
    let lowered = match i32::from(left.lowered) {
        0 => 0,
        // An octave higher the hands would have met.
        octaves if gap - 12 <= 0 => costs.lowered * octaves,
        octaves => costs.lowered_freely * octaves,
    };
    let distance = match gap {
        ..=0 => costs.hands_cross + costs.cross_semitone * -gap,
        1..=2 => costs.hands_touch,
        gap => costs.gap_semitone * (gap - 19).max(0),
    };
    lowered + distance
}
