//! What the left hand may hold at a chord.

use crate::candidate::{Candidate, CandidateSet, Ingredient, Room, Wish, keep_nearest, stacked};
use crate::slash::{SecondNote, second_note};
use song::{Hold, LeftShape, Tones};
use theory::{Chord, Hand, Letter, Member, NoteName};

/// Where the left hand's lowest note lies by default: E2 to G3.
pub(crate) const LOWEST_NOTE: (i32, i32) = (40, 55);
/// Beside a bass player it lies in the tenor, C3 to B3, clear of the bass and below the right hand's home.
const BESIDE_BASS: (i32, i32) = (48, 59);

/// The left hand's candidates: where the shape lies by itself, and every octave below, for where the hands would meet.
/// Never empty; a hand without notes is a candidate without keys.
pub(crate) fn left_candidates(chord: &Chord, wish: Wish<'_>, room: Room) -> CandidateSet {
    let shape = match wish.hold {
        Hold::Shape(LeftShape::None) => {
            return CandidateSet::new(Vec::new(), vec![Candidate::default()]);
        }
        Hold::Notes(count) => match beside_bass(chord, *count, wish, room) {
            Some(set) => return set,
            None => shape_stack(chord, LeftShape::RootFifth, false),
        },
        Hold::Tones(tones) => Stack { palette: written_tones(chord, tones), written: true },
        Hold::Shape(shape) => shape_stack(chord, *shape, wish.written),
    };
    let everywhere = shape.placed(room);
    let candidates = at_home_and_below(everywhere, wish);
    if candidates.is_empty() {
        return CandidateSet::new(Vec::new(), vec![Candidate::default()]);
    }
    CandidateSet::new(shape.palette, candidates)
}

/// The shape's lower notes alone, for keyboards on which the hands would meet otherwise. Places in the palette of
/// [`left_candidates`]. Empty for written tones, which are obeyed.
pub(crate) fn thinner_left(chord: &Chord, wish: Wish<'_>, room: Room) -> Vec<Candidate> {
    let stack = match wish.hold {
        Hold::Shape(LeftShape::None | LeftShape::Root) | Hold::Tones(_) | Hold::Notes(_) => {
            return Vec::new();
        }
        Hold::Shape(shape) => shape_stack(chord, *shape, wish.written),
    };
    let mut thinner = Vec::new();
    for kept in 1..stack.palette.len() {
        let order: Vec<u8> = (0..kept as u8).collect();
        let mut placed = at_home_and_below(stacked(&stack.palette, &order, room.range), wish);
        placed.iter_mut().for_each(|c| c.thinned = (stack.palette.len() - kept) as u8);
        placed.retain(|c| c.fits(Hand::Left, room.reach));
        thinner.append(&mut placed);
    }
    thinner
}

/// Beside a bass player: so many of the chord's notes without the one that the bass has, as close as they go, on or
/// above the floor. `None` if that leaves nothing to hold.
fn beside_bass(chord: &Chord, count: u8, wish: Wish<'_>, room: Room) -> Option<CandidateSet> {
    let bass = chord.bass.pitch_class();
    let upper = || chord.tones.iter().filter(|t| t.name.pitch_class() != bass);
    let palette: Vec<Ingredient> = upper().map(|t| Ingredient::new(t.member, t.name)).collect();
    let floor = wish.floor.unwrap_or(0).max(room.range.0);
    for size in (1..=usize::from(count).min(palette.len())).rev() {
        let mut found = Vec::new();
        for order in orders(palette.len() as u8, size) {
            found.extend(stacked(&palette, &order, (floor, room.range.1)));
        }
        found.retain(|c| usize::from(c.count) == size && c.fits(Hand::Left, room.reach));
        found.iter_mut().for_each(|c| c.thinned = count.min(palette.len() as u8) - size as u8);
        match wish.near {
            Some(near) => keep_nearest(&mut found, near),
            None => keep_between(&mut found, (BESIDE_BASS.0.max(i32::from(floor)), BESIDE_BASS.1)),
        }
        if !found.is_empty() {
            return Some(CandidateSet::new(palette, found));
        }
    }
    None
}

/// Every way to take `size` of so many places, in every order.
fn orders(places: u8, size: usize) -> Vec<Vec<u8>> {
    let mut orders: Vec<Vec<u8>> = vec![Vec::new()];
    for _ in 0..size {
        let longer = |order: &Vec<u8>| {
            let free = (0..places).filter(|place| !order.contains(place));
            free.map(|place| [&order[..], &[place]].concat()).collect::<Vec<_>>()
        };
        orders = orders.iter().flat_map(longer).collect();
    }
    orders
}

/// What is stacked from the lowest up, and whether a player wrote it so.
struct Stack {
    palette: Vec<Ingredient>,
    /// Written: kept and rolled where it is wider than the reach. Else notes are left out from the top.
    written: bool,
}

impl Stack {
    /// In every octave of the keyboard.
    fn placed(&self, room: Room) -> Vec<Candidate> {
        let mut order: Vec<u8> = (0..self.palette.len().min(255) as u8).collect();
        loop {
            let mut found = stacked(&self.palette, &order, room.range);
            let wide = found.first().is_some_and(|c| c.span() > room.reach);
            let fits = found.first().is_none_or(|c| c.fits(Hand::Left, room.reach));
            if !fits && !self.written && order.len() > 1 {
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
/// marks what lies whole octaves below it. Beside a bass player nothing lies below the floor if it can be helped; what
/// the song puts there by `near` stays.
fn at_home_and_below(mut everywhere: Vec<Candidate>, wish: Wish<'_>) -> Vec<Candidate> {
    let low = |c: &Candidate| c.low().map_or(0, i32::from);
    let floor = wish.floor.filter(|_| wish.near.is_none()).map_or(0, i32::from);
    if everywhere.iter().any(|c| low(c) >= floor) {
        everywhere.retain(|c| low(c) >= floor);
    }
    let mut home = everywhere.clone();
    match wish.near {
        Some(near) => keep_nearest(&mut home, near),
        None => keep_between(&mut home, (LOWEST_NOTE.0.max(floor), LOWEST_NOTE.1.max(floor + 11))),
    }
    let Some(lowest) = home.iter().map(low).min() else { return Vec::new() };
    everywhere.retain(|c| low(c) < lowest);
    for candidate in &mut everywhere {
        candidate.lowered = ((lowest - low(candidate)) / 12) as u8;
    }
    home.extend(everywhere);
    home
}

/// Keeps what has its lowest note in a stretch of keys, or what lies nearest to its middle if nothing has.
fn keep_between(candidates: &mut Vec<Candidate>, stretch: (i32, i32)) {
    let inside = |c: &Candidate| c.low().is_some_and(|low| (stretch.0..=stretch.1).contains(&i32::from(low)));
    if candidates.iter().any(inside) {
        candidates.retain(inside);
    } else {
        keep_nearest(candidates, (stretch.0 + stretch.1) / 2);
    }
}

/// A shape by its name, from the lowest note up.
fn shape_stack(chord: &Chord, shape: LeftShape, written: bool) -> Stack {
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
        LeftShape::RootFifthTenth => tenth_stack(chord, root, second, why),
    };
    // Root and fifth, even written, says no more than what a hand does that was told nothing.
    Stack { palette, written: written && shape != LeftShape::RootFifth }
}

/// Root, fifth and tenth; without a fifth, root and tenth; where the chord has no tenth, the octave in its place.
fn tenth_stack(chord: &Chord, root: Ingredient, second: Ingredient, why: SecondNote) -> Vec<Ingredient> {
    let mut palette = vec![root];
    if !why.is_octave() {
        palette.push(second);
    }
    let top = tenth(chord, second.name).map_or(root, |name| ingredient(chord, name));
    palette.push(Ingredient { beyond_octave: true, ..top });
    palette
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
