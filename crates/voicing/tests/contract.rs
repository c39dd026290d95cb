//! What the hands may hold and what it costs, worked out a second time from the song format and the table of costs alone:
//! plain sets of keys, no shapes of the planner's.

use std::collections::BTreeSet;
use theory::{Chord, Member};
use voicing::{Costs, low_interval_limit};

/// A left-hand shape with how many octaves it lies below its home.
#[derive(Clone, Debug)]
pub struct Left {
    pub keys: Vec<u8>,
    pub lowered: u8,
}

fn class_of(chord: &Chord, member: u8) -> Option<u8> {
    chord.member(Member::new(member).unwrap()).map(|t| t.name.pitch_class())
}

fn leading_tone(chord: &Chord) -> u8 {
    (chord.key.tonic().pitch_class() + 11) % 12
}

fn semitone_apart(a: u8, b: u8) -> bool {
    matches!((12 + a - b) % 12, 1 | 11)
}

/// Every set of `notes` keys (fewer where none is in reach) that is a right hand for the chord.
pub fn right_hands(chord: &Chord, notes: usize, reach: u8, keys: (u8, u8)) -> Vec<Vec<u8>> {
    (1..=notes).rev().map(|n| sets(chord, n, reach, keys)).find(|found| !found.is_empty()).unwrap()
}

fn sets(chord: &Chord, notes: usize, reach: u8, keys: (u8, u8)) -> Vec<Vec<u8>> {
    let usable: Vec<u8> = (keys.0..=keys.1).filter(|k| chord.has_pitch_class(k % 12)).collect();
    let mut found = vec![vec![]];
    for _ in 0..notes {
        let longer = found.iter().flat_map(|set: &Vec<u8>| {
            let fits =
                |key: &u8| set.last().is_none_or(|l| l < key) && set.first().is_none_or(|f| key - f <= reach);
            usable
                .iter()
                .copied()
                .filter(fits)
                .map(|key| [set.clone(), vec![key]].concat())
                .collect::<Vec<_>>()
        });
        found = longer.collect();
    }
    found.retain(|set| is_right_hand(chord, set));
    found
}

fn is_right_hand(chord: &Chord, set: &[u8]) -> bool {
    let classes: BTreeSet<u8> = set.iter().map(|k| k % 12).collect();
    if set.len() >= chord.tones.len() {
        return all_and_doublings(chord, set, &classes);
    }
    if classes.len() < set.len() {
        return false;
    }
    let bass = chord.bass.pitch_class();
    let third = class_of(chord, 3).or(class_of(chord, 4)).or(class_of(chord, 2));
    let leads = |class: u8| class == bass && class == leading_tone(chord);
    let unwanted = third.filter(|t| semitone_apart(*t, bass) || leads(*t));
    let third = third.filter(|_| unwanted.is_none());
    let seventh = class_of(chord, 7);
    let added_fourth = class_of(chord, 3).and(class_of(chord, 4));
    let colour = class_of(chord, 13).or(class_of(chord, 11)).or(class_of(chord, 9));
    let other = class_of(chord, 6).or(added_fourth);
    let has = |wanted: Option<u8>| wanted.is_none_or(|class| classes.contains(&class));
    match set.len() {
        1 if third.is_none() && seventh.is_none() => unwanted.is_none_or(|u| !classes.contains(&u)),
        1 => third.is_some_and(|t| classes.contains(&t)) || seventh.is_some_and(|s| classes.contains(&s)),
        // A seventh chord keeps 3 and 7, a chord with more on top 3 and that.
        2 => has(third) && has(colour.or(seventh)),
        _ => has(third) && has(seventh) && has(colour.or(other)),
    }
}

/// Every member, then the root again, then the fifth.
fn all_and_doublings(chord: &Chord, set: &[u8], classes: &BTreeSet<u8>) -> bool {
    let times = |class: Option<u8>| set.iter().filter(|k| Some(**k % 12) == class).count();
    let extra = set.len() - chord.tones.len();
    let (roots, fifths) = (times(class_of(chord, 1)), times(class_of(chord, 5)));
    classes.len() == chord.tones.len() && roots == 1 + extra.min(1) && fifths == 1 + extra.saturating_sub(1)
}

/// The default left hands: `root`, `octave` or `root fifth` between E2 and G3, and every octave below.
pub fn left_hands(chord: &Chord, shape: &str, keys: (u8, u8)) -> Vec<Left> {
    let bass = chord.bass.pitch_class();
    let root = (12 + chord.root().pitch_class() - bass) % 12;
    let fifth = match chord.has_pitch_class((bass + 7) % 12) {
        true => 7,
        false if root != 0 && chord.has_pitch_class(bass) => root,
        false => 12,
    };
    let above: &[u8] = match shape {
        "root" => &[0],
        "octave" => &[0, 12],
        _ => &[0, fifth],
    };
    let on_keyboard = |low: &u8| *low >= keys.0 && low + above.last().unwrap() <= keys.1;
    let lows = |range: std::ops::RangeInclusive<u8>| {
        range.filter(|k| k % 12 == bass).filter(on_keyboard).collect::<Vec<_>>()
    };
    let home = lows(40..=55);
    let lowest = home[0];
    let shape = |low: u8| Left { keys: above.iter().map(|a| low + a).collect(), lowered: 0 };
    let below =
        lows(0..=lowest - 1).into_iter().map(|low| Left { lowered: (lowest - low) / 12, ..shape(low) });
    home.into_iter().map(shape).chain(below).collect()
}

/// The table of costs for one chord.
pub fn pair_cost(chord: &Chord, right: &[u8], left: &Left, costs: &Costs) -> i64 {
    let all: BTreeSet<u8> = right.iter().chain(&left.keys).map(|k| k % 12).collect();
    let bass = chord.bass.pitch_class();
    let mut cost = 0;
    let off = ((i32::from(right[0]) + i32::from(*right.last().unwrap())) / 2 - 67).abs();
    cost += costs.centre_semitone * off + costs.centre_far_square * (off - 6).max(0) * (off - 6).max(0);
    let wide = left.keys.last().unwrap() - left.keys[0] > 7;
    cost += costs.left_centre_semitone * (i32::from(left.keys[0]) - if wide { 44 } else { 48 }).abs();
    for hand in [right, &left.keys] {
        for pair in hand.windows(2) {
            let limit = low_interval_limit(pair[1] - pair[0]).unwrap_or(0);
            if pair[0] < limit {
                cost += costs.low_limit + costs.low_limit_semitone * i32::from(limit - pair[0]);
            }
            cost += if pair[1] == pair[0] + 1 { costs.semitone_inside } else { 0 };
        }
        let times = |class: u8| hand.iter().filter(|k| **k % 12 == class).count();
        cost += if times(leading_tone(chord)) > 1 { costs.doubled_leading_tone } else { 0 };
        let major = chord.member(Member::THIRD).filter(|t| t.semitones == 4);
        let doubled = major.is_some_and(|t| times(t.name.pitch_class()) > 1);
        cost += if doubled { costs.doubled_major_third } else { 0 };
    }
    let third = class_of(chord, 3).or(class_of(chord, 2)).or(class_of(chord, 4));
    if third.is_some_and(|t| !all.contains(&t) && !semitone_apart(t, bass)) {
        cost += costs.third_missing;
    }
    for colour in [6, 7, 9, 11, 13].into_iter().filter_map(|m| class_of(chord, m)) {
        cost += if all.contains(&colour) { 0 } else { costs.colour_missing };
    }
    cost += if all.contains(&chord.root().pitch_class()) { 0 } else { costs.root_missing };
    let classes: BTreeSet<u8> = right.iter().map(|k| k % 12).collect();
    let over_itself = bass == leading_tone(chord) && classes.contains(&bass);
    cost += if over_itself { costs.doubled_leading_tone } else { 0 };
    cost += costs.held_by_left
        * classes.iter().filter(|c| left.keys.iter().any(|k| k % 12 == **c)).count() as i32;
    cost += costs.rubs_with_bass * classes.iter().filter(|c| semitone_apart(**c, bass)).count() as i32;
    i64::from(cost + hands_cost(right, left, costs))
}

fn hands_cost(right: &[u8], left: &Left, costs: &Costs) -> i32 {
    let gap = i32::from(right[0]) - i32::from(*left.keys.last().unwrap());
    let would_meet = gap - 12 <= 0;
    let lowered = if would_meet { costs.lowered } else { costs.lowered_freely };
    let apart = if gap <= 0 {
        costs.hands_cross - costs.cross_semitone * gap
    } else if gap < 3 {
        costs.hands_touch
    } else {
        costs.gap_semitone * (gap - 19).max(0)
    };
    apart + lowered * i32::from(left.lowered)
}

/// The movement of the right hand and of the left. Voices go one to one from the lowest up; of shapes of different size
/// the smaller one's voices go where they move least, and each voice too many enters or falls silent.
pub fn move_cost(
    chords: (&Chord, &Chord),
    right: (&[u8], &[u8]),
    left: (&[u8], &[u8]),
    costs: &Costs,
) -> i64 {
    let distance = |a: u8, b: u8| i32::from(a.abs_diff(b));
    let voice = |d: i32| costs.right_semitone * d + if d > 0 { costs.voice_moves } else { 0 };
    let leap = (distance(*right.0.last().unwrap(), *right.1.last().unwrap()) - 4).max(0);
    let entering = costs.voice_enters * right.0.len().abs_diff(right.1.len()) as i32;
    let moved = least_pairing(right, &|a, b| voice(distance(a, b)));
    let left = least_pairing(left, &|a, b| costs.left_semitone * distance(a, b));
    let far = if leap + 4 > 7 { costs.top_leap_far } else { 0 };
    let resolving = if resolves(chords, right) { 0 } else { costs.unresolved };
    i64::from(moved + entering + costs.top_leap_semitone * leap + far + resolving + left)
}

/// Whether a suspended note in the right hand goes by step to the third, where the same root with its third follows.
fn resolves((from, to): (&Chord, &Chord), right: (&[u8], &[u8])) -> bool {
    let (Some(third), None) = (class_of(to, 3), class_of(from, 3)) else { return true };
    let (suspended, steps) = match (class_of(from, 4), class_of(from, 2)) {
        (Some(fourth), _) => (fourth, [-1, -2]),
        (None, Some(second)) => (second, [1, 2]),
        (None, None) => return true,
    };
    let Some(held) = right.0.iter().find(|k| **k % 12 == suspended) else { return true };
    let stepped = |key: &u8| steps.contains(&(i32::from(*key) - i32::from(*held)));
    from.root() != to.root() || right.1.iter().any(|key| key % 12 == third && stepped(key))
}

fn least_pairing((a, b): (&[u8], &[u8]), cost: &dyn Fn(u8, u8) -> i32) -> i32 {
    let (few, many) = if a.len() <= b.len() { (a, b) } else { (b, a) };
    let choices = (0u32..1 << many.len()).filter(|bits| bits.count_ones() as usize == few.len());
    let chosen =
        |bits: u32| many.iter().enumerate().filter(move |(i, _)| bits & (1 << i) != 0).map(|(_, key)| *key);
    choices.map(|bits| few.iter().zip(chosen(bits)).map(|(a, b)| cost(*a, b)).sum()).min().unwrap()
}
