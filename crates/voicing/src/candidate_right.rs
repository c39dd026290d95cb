//! What the right hand may hold at a chord.

use crate::candidate::{Candidate, CandidateSet, Ingredient, Room, Wish, keep_nearest, stacked};
use song::{Hold, Tones};
use theory::{Chord, Hand, Member};

/// The right hand's candidates. Never empty.
pub(crate) fn right_candidates(chord: &Chord, wish: Wish<'_>, room: Room) -> CandidateSet {
    let (palette, mut candidates) = match wish.hold {
        Hold::Tones(tones) => written_tones(chord, tones, room),
        Hold::Notes(count) if wish.written => counted_notes(chord, *count, room),
        Hold::Notes(count) => freely_doubled(chord, *count, room),
        Hold::Shape(_) => counted_notes(chord, 3, room),
    };
    if let Some(near) = wish.near {
        keep_nearest(&mut candidates, near);
    }
    CandidateSet::new(palette, candidates)
}

/// Candidates with fewer notes than asked for, for keyboards on which the hands would meet otherwise. Empty for written
/// tones, which are obeyed.
pub(crate) fn thinner_right(chord: &Chord, wish: Wish<'_>, room: Room) -> Vec<Candidate> {
    let Hold::Notes(count) = *wish.hold else { return Vec::new() };
    let mut thinner = Vec::new();
    for fewer in 1..count.clamp(1, 4) {
        let mut found = of_size(chord, fewer, room);
        found.iter_mut().for_each(|c| c.thinned = count - fewer);
        thinner.append(&mut found);
    }
    if let Some(near) = wish.near {
        keep_nearest(&mut thinner, near);
    }
    thinner
}

fn own_palette(chord: &Chord) -> Vec<Ingredient> {
    chord.tones.iter().map(|t| Ingredient::new(t.member, t.name)).collect()
}

fn counted_notes(chord: &Chord, count: u8, room: Room) -> (Vec<Ingredient>, Vec<Candidate>) {
    let count = count.clamp(1, 4);
    for size in (1..=count).rev() {
        let mut found = of_size(chord, size, room);
        if !found.is_empty() {
            found.iter_mut().for_each(|c| c.thinned = count - size);
            return (own_palette(chord), found);
        }
    }
    (own_palette(chord), Vec::new())
}

/// So many notes where the level asks for them: besides the root the fifth may be doubled as well, and a minor third, so
/// that a full hand need not go from root position to root position.
fn freely_doubled(chord: &Chord, count: u8, room: Room) -> (Vec<Ingredient>, Vec<Candidate>) {
    let (palette, mut found) = counted_notes(chord, count, room);
    let members: Vec<u8> = (0..chord.tones.len() as u8).collect();
    if usize::from(count) != members.len() + 1 || found.iter().any(|c| c.thinned > 0) {
        return (palette, found);
    }
    let minor_third = chord.member(Member::THIRD).is_some_and(|third| third.semitones == 3);
    let doubled = [Some(Member::FIFTH), minor_third.then_some(Member::THIRD)];
    for place in doubled.into_iter().flatten().filter_map(|member| place_of(chord, member)) {
        let choice = [&members[..], &[place]].concat();
        add_positions(&palette, choice, room, &mut found);
    }
    (palette, found)
}

/// Every close position of every choice of `size` notes, on every place of the keyboard, within the reach.
fn of_size(chord: &Chord, size: u8, room: Room) -> Vec<Candidate> {
    let palette = own_palette(chord);
    let mut found: Vec<Candidate> = Vec::new();
    for choice in choices(chord, usize::from(size)) {
        add_positions(&palette, choice, room, &mut found);
    }
    found
}

/// Every close position of some notes, in every place of the keyboard that fits, which is not there yet.
fn add_positions(palette: &[Ingredient], choice: Vec<u8>, room: Room, found: &mut Vec<Candidate>) {
    each_order(choice, &mut |order| {
        let places = stacked(palette, order, room.range);
        let whole = places.first().is_some_and(|shape| usize::from(shape.count) == order.len());
        // One stack in other octaves: what fits the hand in one fits in all.
        if !whole || !places[0].fits(Hand::Right, room.reach) {
            return;
        }
        for shape in places {
            if !found.iter().any(|f| f.keys() == shape.keys()) {
                found.push(shape);
            }
        }
    });
}

/// Which members sound when the right hand holds `size` notes, as places among the chord's tones; doublings repeat one.
pub(crate) fn choices(chord: &Chord, size: usize) -> Vec<Vec<u8>> {
    let members: Vec<u8> = (0..chord.tones.len() as u8).collect();
    if size >= members.len() {
        return vec![with_doublings(chord, members, size)];
    }
    let essential = essential(chord, size);
    let mut found = subsets(&members, size);
    found.retain(|choice| essential.iter().any(|needed| needed.iter().all(|n| choice.contains(n))));
    found
}

/// The root again, then the fifth; never a third.
fn with_doublings(chord: &Chord, mut members: Vec<u8>, size: usize) -> Vec<u8> {
    for doubled in [Member::ROOT, Member::FIFTH] {
        if members.len() < size
            && let Some(place) = place_of(chord, doubled)
        {
            members.push(place);
        }
    }
    members
}

/// The sets of members of which one must be in the hand that holds `size` notes, fewer than the chord has.
///
/// The third stays unless it is suspended, or lies a semitone from the left hand's note, or is the leading tone and the left
/// hand's note itself.
fn essential(chord: &Chord, size: usize) -> Vec<Vec<u8>> {
    let third = third_or_suspension(chord);
    let seventh = place_of(chord, Member::SEVENTH);
    let top = top_extension(chord);
    let unwanted = third.filter(|&place| rubs_with_bass(chord, place) || leads_from_bass(chord, place));
    let third = if unwanted.is_some() { None } else { third };
    if size == 1 {
        let mut single: Vec<Vec<u8>> = [third, seventh].into_iter().flatten().map(|p| vec![p]).collect();
        if single.is_empty() {
            single = (0..chord.tones.len() as u8).filter(|p| unwanted != Some(*p)).map(|p| vec![p]).collect();
        }
        return single;
    }
    let is_ninth = chord.member(Member::NINTH).is_some();
    let ranked = match (seventh, top) {
        (Some(_), Some(_)) => [third, top, seventh],
        (Some(_), None) => [third, seventh, None],
        (None, Some(_)) if is_ninth || size > 2 => [third, top, None],
        _ => [third, None, None],
    };
    vec![ranked.into_iter().flatten().take(size).collect()]
}

fn third_or_suspension(chord: &Chord) -> Option<u8> {
    if let Some(third) = place_of(chord, Member::THIRD) {
        return Some(third);
    }
    [Member::FOURTH, Member::SECOND].into_iter().find_map(|m| place_of(chord, m))
}

/// The highest extension beyond the seventh: a thirteenth, eleventh, ninth, sixth or an added fourth.
fn top_extension(chord: &Chord) -> Option<u8> {
    let added_fourth = chord.member(Member::THIRD).is_some().then_some(Member::FOURTH);
    [Member::THIRTEENTH, Member::ELEVENTH, Member::NINTH, Member::SIXTH]
        .into_iter()
        .chain(added_fourth)
        .find_map(|m| place_of(chord, m))
}

fn place_of(chord: &Chord, member: Member) -> Option<u8> {
    chord.tones.iter().position(|t| t.member == member).map(|p| p as u8)
}

fn rubs_with_bass(chord: &Chord, place: u8) -> bool {
    let class = |name: theory::NoteName| i32::from(name.pitch_class());
    let distance = (class(chord.tones[usize::from(place)].name) - class(chord.bass)).rem_euclid(12);
    matches!(distance, 1 | 11)
}

/// Whether a note is the leading tone and the one that the left hand stands on.
fn leads_from_bass(chord: &Chord, place: u8) -> bool {
    let name = chord.tones[usize::from(place)].name;
    let leading = chord.key.tonic().up(theory::Interval::new(6, 11));
    name.pitch_class() == leading.pitch_class() && name.pitch_class() == chord.bass.pitch_class()
}

fn subsets(members: &[u8], size: usize) -> Vec<Vec<u8>> {
    (0u32..1 << members.len())
        .filter(|bits| bits.count_ones() as usize == size)
        .map(|bits| members.iter().copied().filter(|&m| bits & (1 << m) != 0).collect())
        .collect()
}

/// Calls `visit` with every order of the notes; at most 4, so at most 24.
fn each_order(mut notes: Vec<u8>, visit: &mut impl FnMut(&[u8])) {
    fn permute(notes: &mut [u8], fixed: usize, visit: &mut impl FnMut(&[u8])) {
        if fixed == notes.len() {
            return visit(notes);
        }
        for i in fixed..notes.len() {
            notes.swap(fixed, i);
            permute(notes, fixed + 1, visit);
            notes.swap(fixed, i);
        }
    }
    permute(&mut notes, 0, visit);
}

fn written_tones(chord: &Chord, tones: &Tones, room: Room) -> (Vec<Ingredient>, Vec<Candidate>) {
    let palette: Vec<Ingredient> = tones.0.iter().map(|&m| member_of(chord, m)).collect();
    let order: Vec<u8> = (0..palette.len().min(255) as u8).collect();
    let mut candidates = stacked(&palette, &order, room.range);
    candidates.iter_mut().for_each(|c| c.rolled = c.span() > room.reach);
    if candidates.is_empty() {
        return counted_notes(chord, 3, room);
    }
    (palette, candidates)
}

/// A member by its number; one the chord does not have is read in the key, with the chord's altered notes put in.
fn member_of(chord: &Chord, member: Member) -> Ingredient {
    let same_letter = |m: Member| (m.number() - 1) % 7;
    let tone = chord
        .member(member)
        .or_else(|| chord.tones.iter().copied().find(|t| same_letter(t.member) == same_letter(member)));
    let name = tone.map_or_else(
        || {
            let letter = chord.root().letter.index() + i32::from(same_letter(member));
            let letter = theory::Letter::at(letter);
            let scale = chord.scale();
            scale.into_iter().find(|n| n.letter == letter).unwrap_or(chord.root())
        },
        |t| t.name,
    );
    Ingredient::new(member, name)
}
