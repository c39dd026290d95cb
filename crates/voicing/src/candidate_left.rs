//! What the left hand may hold at a chord.

use crate::candidate::{Candidate, CandidateSet, Ingredient, keep_nearest, stacked};
use crate::slash::{SecondNote, second_note};
use song::{Hold, LeftShape, Tones};
use theory::{Chord, Letter, Member, NoteName};

/// Where the left hand's lowest note lies by default: E2 to G3.
pub(crate) const LOWEST_NOTE: (i32, i32) = (40, 55);

/// The left hand's candidates: where the shape lies by itself, and every octave below, for where the hands would meet.
/// Never empty; a hand without notes is a candidate without keys.
pub(crate) fn left_candidates(
    chord: &Chord,
    hold: &Hold,
    near: Option<i32>,
    reach: u8,
    range: (u8, u8),
) -> CandidateSet {
    let shape = match hold {
        Hold::Shape(LeftShape::None) => {
            return CandidateSet::new(Vec::new(), vec![Candidate::default()]);
        }
        Hold::Tones(tones) => Stack::written(written_tones(chord, tones)),
        Hold::Shape(shape) => shape_stack(chord, *shape),
        Hold::Notes(_) => shape_stack(chord, LeftShape::RootFifth),
    };
    let everywhere = shape.placed(reach, range);
    let candidates = at_home_and_below(everywhere, near);
    if candidates.is_empty() {
        return CandidateSet::new(Vec::new(), vec![Candidate::default()]);
    }
    CandidateSet::new(shape.palette, candidates)
}

/// The shape's lower notes alone, for keyboards on which the hands would meet otherwise. Places in the palette of
/// [`left_candidates`]. Empty for written tones, which are obeyed.
pub(crate) fn thinner_left(
    chord: &Chord,
    hold: &Hold,
    near: Option<i32>,
    reach: u8,
    range: (u8, u8),
) -> Vec<Candidate> {
    let Hold::Shape(shape) = hold else { return Vec::new() };
    let stack = match shape {
        LeftShape::None | LeftShape::Root => return Vec::new(),
        shape => shape_stack(chord, *shape),
    };
    let mut thinner = Vec::new();
    for kept in 1..stack.palette.len() {
        let order: Vec<u8> = (0..kept as u8).collect();
        let mut placed = at_home_and_below(stacked(&stack.palette, &order, range), near);
        placed.iter_mut().for_each(|c| c.thinned = (stack.palette.len() - kept) as u8);
        placed.retain(|c| c.span() <= reach);
        thinner.append(&mut placed);
    }
    thinner
}

/// What is stacked from the lowest up, and whether a player wrote it so.
struct Stack {
    palette: Vec<Ingredient>,
    /// Written: kept and rolled where it is wider than the reach. Else notes are left out from the top.
    written: bool,
}

impl Stack {
    fn written(palette: Vec<Ingredient>) -> Stack {
        Stack { palette, written: true }
    }

    /// In every octave of the keyboard.
    fn placed(&self, reach: u8, range: (u8, u8)) -> Vec<Candidate> {
        let mut order: Vec<u8> = (0..self.palette.len().min(255) as u8).collect();
        loop {
            let mut found = stacked(&self.palette, &order, range);
            let wide = found.first().is_some_and(|c| c.span() > reach);
            if wide && !self.written && order.len() > 1 {
                order.pop();
                continue;
            }
            let whole = self.palette.len().min(crate::candidate::MOST_NOTES);
            for candidate in &mut found {
                candidate.rolled = wide;
                candidate.thinned = whole.saturating_sub(usize::from(candidate.count)) as u8;
            }
            return found;
        }
    }
}

/// Keeps what lies at home (nearest to `near`; else between E2 and G3, or as near to that as the keyboard allows), and
/// marks what lies whole octaves below it.
fn at_home_and_below(mut everywhere: Vec<Candidate>, near: Option<i32>) -> Vec<Candidate> {
    let low = |c: &Candidate| c.low().map_or(0, i32::from);
    let mut home = everywhere.clone();
    match near {
        Some(near) => keep_nearest(&mut home, near),
        None => {
            let inside = |c: &Candidate| (LOWEST_NOTE.0..=LOWEST_NOTE.1).contains(&low(c));
            if home.iter().any(inside) {
                home.retain(inside);
            } else {
                keep_nearest(&mut home, (LOWEST_NOTE.0 + LOWEST_NOTE.1) / 2);
            }
        }
    }
    let Some(lowest) = home.iter().map(low).min() else { return Vec::new() };
    everywhere.retain(|c| low(c) < lowest);
    for candidate in &mut everywhere {
        candidate.lowered = ((lowest - low(candidate)) / 12) as u8;
    }
    home.extend(everywhere);
    home
}

/// A shape by its name, from the lowest note up.
fn shape_stack(chord: &Chord, shape: LeftShape) -> Stack {
    let root = ingredient(chord, chord.bass);
    let (name, why) = second_note(chord);
    let second = ingredient(chord, name);
    let chosen_octave = why.is_octave();
    let palette = match shape {
        LeftShape::None => Vec::new(),
        LeftShape::Root => vec![root],
        LeftShape::Octave => vec![root, root],
        LeftShape::RootFifth => vec![root, second],
        LeftShape::RootFifthOctave if chosen_octave => vec![root, root],
        LeftShape::RootFifthOctave => vec![root, second, root],
        LeftShape::Triad => triad(chord, root),
        LeftShape::RootFifthTenth => return tenth_stack(chord, root, second, why),
    };
    // Root and fifth is what a hand does that was told nothing, so it is the planner's own choice.
    Stack { palette, written: shape != LeftShape::RootFifth }
}

/// Root, fifth and tenth; without a fifth, root and tenth; where the chord has no tenth, the octave in its place.
fn tenth_stack(chord: &Chord, root: Ingredient, second: Ingredient, why: SecondNote) -> Stack {
    let mut palette = vec![root];
    if !why.is_octave() {
        palette.push(second);
    }
    let top = tenth(chord, second.name).map_or(root, |name| ingredient(chord, name));
    palette.push(Ingredient { beyond_octave: true, ..top });
    Stack::written(palette)
}

/// The chord's note a tenth above the lowest: its third, or suspension; under a slash the note of the chord that lies
/// nearest to a tenth.
fn tenth(chord: &Chord, second: NoteName) -> Option<NoteName> {
    if !chord.is_slash() {
        let members = [Member::THIRD, Member::FOURTH, Member::SECOND];
        return members.into_iter().find_map(|m| chord.member(m)).map(|t| t.name);
    }
    let fit = |name: &NoteName| {
        let distance = above(chord.bass, *name);
        (1..=5).contains(&distance) && name.pitch_class() != second.pitch_class()
    };
    chord.names().filter(fit).min_by_key(|name| (2 * above(chord.bass, *name) - 7).abs())
}

/// The chord's own triad; under a slash its notes above the lowest one, leaving out seconds, which are mud down there.
fn triad(chord: &Chord, root: Ingredient) -> Vec<Ingredient> {
    let triad = [Member::ROOT, Member::SECOND, Member::THIRD, Member::FOURTH, Member::FIFTH];
    let mut palette = vec![root];
    let mut upper: Vec<NoteName> =
        chord.tones.iter().filter(|t| triad.contains(&t.member)).map(|t| t.name).collect();
    if chord.is_slash() {
        upper.sort_by_key(|name| above(chord.bass, *name));
        upper.retain(|name| (3..=11).contains(&above(chord.bass, *name)));
    } else {
        let extra = chord.member(Member::THIRD).and(chord.member(Member::FOURTH));
        upper.retain(|name| *name != chord.root() && extra.is_none_or(|fourth| fourth.name != *name));
    }
    palette.extend(upper.into_iter().take(2).map(|name| ingredient(chord, name)));
    palette
}

/// Intervals of the key above the degree that the hand takes; without a slash the chord's altered notes are put in.
fn written_tones(chord: &Chord, tones: &Tones) -> Vec<Ingredient> {
    let scale = if chord.is_slash() { chord.key.scale() } else { chord.scale() };
    let name = |member: Member| {
        let steps = i32::from(member.number() - 1) % 7;
        if steps == 0 {
            return chord.bass;
        }
        let letter = Letter::at(chord.bass.letter.index() + steps);
        scale.into_iter().find(|n| n.letter == letter).unwrap_or(chord.bass)
    };
    tones.0.iter().map(|&member| Ingredient::new(member, name(member))).collect()
}

/// A note above the lowest one, as a member counted from there.
fn ingredient(chord: &Chord, name: NoteName) -> Ingredient {
    let steps = (name.letter.index() - chord.bass.letter.index()).rem_euclid(7) as u8;
    Ingredient::new(Member::new(steps + 1).unwrap_or(Member::ROOT), name)
}

/// Semitones from the lower note up to the next of this name, 0 to 11.
fn above(lower: NoteName, name: NoteName) -> i32 {
    (i32::from(name.pitch_class()) - i32::from(lower.pitch_class())).rem_euclid(12)
}
