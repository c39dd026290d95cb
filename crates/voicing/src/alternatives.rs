//! The next best ways to hold a chord, each with what it would cost the song and why it lost.

use crate::candidate::{Candidate, CandidateSet, Wish};
use crate::pin::At;
use crate::planner::{Planner, Stop, Voiced};
use crate::section_plan::Tour;
use crate::why_not::{Scene, why_not};
use crate::{Claim, Costs, Pin, Settings, Shape};
use song::{Hold, LeftShape, PlayedSong, SlotKind, Tones};
use theory::{Chord, Hand, Key, Member, MidiKey, Pitch};

/// Another way to hold a chord in one hand.
#[derive(Clone, Debug, PartialEq)]
pub struct Alternative {
    /// Its notes from the lowest up, in the key of the night.
    pub notes: Vec<Pitch>,
    /// The same as a shape, with the fingers that the hand then has.
    pub shape: Shape,
    /// What the other hand then holds: it may have to give way.
    pub beside: Shape,
    /// Its members, counted as the song file does.
    pub members: Vec<Member>,
    /// 0 root position, 1 first inversion, and so on; `None` where the word does not fit.
    pub inversion: Option<u8>,
    /// What the whole song as played would cost more with it, all else planned around it. Below zero where the song, or its
    /// level, asks for something dearer.
    pub costs_more: i64,
    /// Why it lost: what speaks most against it here.
    pub why: Claim,
    /// What takes it.
    pub pin: Pin,
}

/// The `most` next best ways to hold a chord in one hand, the best first. `song` is in its written key, `to` is the key of the
/// night; none if it is of the other mode.
///
/// ```
/// use voicing::{Settings, alternatives};
/// let text = r#"{ "format": 1, "title": "Lock", "key": "C major", "tempo": 72,
///   "sections": [ { "name": "A", "bars": ["1 | 4 | 1"] } ] }"#;
/// let song = song::read(text).sound().unwrap().play();
/// let others = alternatives(&song, song.key, &Settings::default(), (1, 0), theory::Hand::Right, 3);
/// assert_eq!(others.len(), 3);
/// assert!(others.windows(2).all(|pair| pair[0].costs_more <= pair[1].costs_more));
/// ```
pub fn alternatives(
    song: &PlayedSong,
    to: Key,
    settings: &Settings,
    at: At,
    hand: Hand,
    most: usize,
) -> Vec<Alternative> {
    let mut written = song.clone();
    crate::texture::fill_in(&mut written, settings);
    let costs = Costs::default();
    let mut planner = Planner::new(settings, &costs);
    let tour = Tour::of(&mut planner, &written);
    let visit = tour.visits.iter().position(|&(bar, slot, _)| (bar, slot) == at);
    let slot = written.bars.get(at.0).and_then(|bar| bar.slots.get(at.1));
    let (Some(visit), Some(SlotKind::Chord { chord, .. })) = (visit, slot.map(|slot| &slot.kind)) else {
        return Vec::new();
    };
    let stops: Vec<Stop> = tour.places.iter().map(|place| Stop::Open(place.pair)).collect();
    let (chosen, proof) = tour.solve(&planner, &stops);
    let place = tour.visits[visit].2;
    let open = open_pair(&mut planner, &tour, (place, chord), hand, &written, at);
    let scene = Scene::of(&tour, &chosen, visit, (chord, hand));
    let played = planner.shape(chosen[place], hand).1.keys().to_vec();
    let mut found: Vec<Found> = Vec::new();
    for other in promising(&planner, open, &scene, &played).into_iter().take(most + SPARE) {
        let mut stops = stops.clone();
        stops[place] = Stop::One(open, hand, other);
        let (around, dearer) = tour.solve(&planner, &stops);
        let around = around[place];
        let (set, candidate) = planner.shape(around, hand);
        let pin = pin(chord, hand, set, candidate);
        found.extend(pin.map(|pin| Found { around, pin, costs_more: dearer.cost - proof.cost }));
    }
    found.sort_by_key(|found| found.costs_more);
    found.truncate(most);
    let visits = || tour.visits.iter().filter(|visit| visit.2 == place).map(|&(bar, slot, _)| (bar, slot));
    let other = |found: Found| {
        let song = pinned(song, visits(), &found.pin);
        alternative(&planner, &scene, found, &song, (to, settings, at))
    };
    found.into_iter().filter_map(other).collect()
}

/// So many more than asked for are planned out, since the song around may change their order.
const SPARE: usize = 2;

/// A candidate with what the song costs around it.
struct Found {
    around: Voiced,
    pin: Pin,
    costs_more: i64,
}

/// The song with a shape pinned wherever a place of it is played.
fn pinned(song: &PlayedSong, places: impl Iterator<Item = At>, pin: &Pin) -> PlayedSong {
    let mut song = song.clone();
    for (bar, slot) in places {
        let slot = &mut song.bars[bar].slots[slot];
        let style = if pin.hand == Hand::Right { &mut slot.right } else { &mut slot.left };
        (style.hold, style.near, style.written.hold) = (pin.hold.clone(), Some(pin.near), true);
    }
    song
}

/// A pair table in which the hand may hold anything that suits the chord, whatever the song writes.
fn open_pair(
    planner: &mut Planner<'_>,
    tour: &Tour,
    (place, chord): (usize, &Chord),
    hand: Hand,
    song: &PlayedSong,
    at: At,
) -> usize {
    let pair = &planner.pairs[tour.places[place].pair];
    let (right, left) = (pair.right, pair.left);
    let bar = &song.bars[at.0];
    let slot = &bar.slots[at.1];
    let free = |hold| Wish { hold, written: false, near: None, floor: None };
    match hand {
        Hand::Right => {
            let hold = match &slot.right.hold {
                Hold::Tones(tones) => Hold::Notes(tones.0.len().clamp(1, 4) as u8),
                other => other.clone(),
            };
            let right = planner.set_for(chord, hand, free(&hold));
            planner.pair_of(chord, right, left)
        }
        Hand::Left => {
            let floor = bar.bass.then_some(planner.floor);
            let shapes = [LeftShape::Root, LeftShape::Octave, LeftShape::RootFifth, LeftShape::Triad];
            let mut holds: Vec<Hold> = shapes.map(Hold::Shape).into();
            if let Hold::Notes(_) | Hold::Shape(LeftShape::RootFifthOctave) = slot.left.hold {
                holds.push(slot.left.hold.clone());
            }
            let sets: Vec<usize> =
                holds.iter().map(|hold| planner.set_for(chord, hand, Wish { floor, ..free(hold) })).collect();
            let left = planner.joined(&sets);
            planner.pair_of(chord, right, left)
        }
    }
}

/// The other candidates of the hand, by what they cost between the shapes around them; none that is played already.
fn promising(planner: &Planner<'_>, open: usize, scene: &Scene<'_>, played: &[u8]) -> Vec<usize> {
    let pair = &planner.pairs[open];
    let set = &planner.sets[if scene.hand == Hand::Right { pair.right } else { pair.left }];
    let mut found: Vec<(i32, usize)> = Vec::new();
    for (number, candidate) in set.candidates.iter().enumerate() {
        let cost = scene.local_cost(planner, open, number);
        let same = candidate.keys() == played || candidate.count == 0 || candidate.thinned > 0;
        // The left hand would give way to the right one, an octave down, and be another shape.
        let meets = scene.hand == Hand::Left && candidate.high() >= scene.other_low(planner);
        let known = found.iter().any(|&(_, other)| set.candidates[other].keys() == candidate.keys());
        if !same && !meets && !known && cost < crate::why_not::IMPOSSIBLE {
            found.push((cost, number));
        }
    }
    found.sort_unstable();
    found.into_iter().map(|(_, number)| number).collect()
}

/// A candidate as the song is played with it, in the key of the night.
fn alternative(
    planner: &Planner<'_>,
    scene: &Scene<'_>,
    found: Found,
    pinned: &PlayedSong,
    (to, settings, at): (Key, &Settings, At),
) -> Option<Alternative> {
    let Found { around, pin, costs_more } = found;
    let hand = scene.hand;
    let (set, candidate) = planner.shape(around, hand);
    let members: Vec<Member> =
        candidate.names().iter().map(|&name| set.palette[usize::from(name)].member).collect();
    let mut part = crate::plan(pinned, to, settings).ok()?;
    let chord = part.bars.get_mut(at.0)?.chords.get_mut(at.1)?;
    let other = if hand == Hand::Right { Hand::Left } else { Hand::Right };
    let [shape, beside] = [hand, other].map(|hand| std::mem::take(chord.hand_mut(hand)));
    let bare = members.iter().all(|member| *member == members[0]);
    Some(Alternative {
        notes: shape.notes.iter().map(|note| note.pitch).collect(),
        shape,
        beside,
        inversion: if bare { None } else { Member::inversion(members[0]) },
        costs_more,
        why: why_not(planner, scene, around),
        members,
        pin,
    })
}

fn pin(chord: &Chord, hand: Hand, set: &CandidateSet, candidate: &Candidate) -> Option<Pin> {
    let ingredient = |name: &u8| set.palette[usize::from(*name)];
    let members: Vec<Member> = candidate.names().iter().map(|name| ingredient(name).member).collect();
    let near = Pitch::spelled(ingredient(candidate.names().first()?).name, MidiKey::new(candidate.low()?)?)?;
    let numbers: Vec<u8> = members.iter().map(|m| m.number()).collect();
    let hold = match (hand, &numbers[..]) {
        (Hand::Left, [1, 5, 1]) => Hold::Shape(LeftShape::RootFifthOctave),
        (Hand::Left, [1, 5]) => Hold::Shape(LeftShape::RootFifth),
        (_, [1, 1]) => Hold::Tones(Tones(members)),
        // The song file has no word for other doublings.
        _ if (1..members.len()).any(|at| members[..at].contains(&members[at])) => return None,
        _ => Hold::Tones(Tones(members)),
    };
    let named =
        |tones: &Tones| tones.0.iter().all(|&m| hand == Hand::Right || chord.is_slash() || m.number() <= 7);
    match &hold {
        Hold::Tones(tones) if !named(tones) => None,
        _ => Some(Pin { hand, hold, near }),
    }
}
