//! What fingers a hand may take, and what they cost, worked out from the documents alone: the spans of the published
//! table, the forms of the handbooks, and the words beside each weight of [`FingerCosts`].

use song::{Quarters, SlotKind};
use theory::{Hand, MidiKey};
use voicing::{Event, FingerCosts, Part, Role, Shape};

/// Fingers on the keys that a hand plays of a shape, from the lowest key up.
pub type Fingers = Vec<u8>;

/// A moment at which the hand may take other fingers.
pub struct Moment {
    pub hand: Hand,
    reach: u8,
    rolled: bool,
    /// The keys that are played while the shape lasts.
    pub keys: Vec<u8>,
    /// Every choice that can lie on the whole shape, less what is not played.
    pub choices: Vec<Fingers>,
    /// Which keys stay down from before, and which sound.
    held: Vec<bool>,
    sounding: Vec<bool>,
    /// Neighbour notes: key, and the index of the key beside which it stands.
    pub neighbours: Vec<(u8, usize)>,
    /// The shape of the moment before goes on.
    goes_on: bool,
    /// The fingers that the part shows, where it shows any.
    shown: Vec<Option<u8>>,
    shown_neighbours: Fingers,
}

/// All moments of one hand in a part that is played once through.
pub fn moments(part: &Part, hand: Hand) -> Vec<Moment> {
    let mut moments = Vec::new();
    for (bar, b) in part.bars.iter().enumerate() {
        for (slot, s) in b.played.slots.iter().enumerate() {
            if let SlotKind::Chord { .. } = s.kind {
                slot_moments(part, hand, (bar, slot), b.played.start + s.start, &mut moments);
            }
        }
    }
    moments
}

fn slot_moments(part: &Part, hand: Hand, place: (usize, usize), start: Quarters, moments: &mut Vec<Moment>) {
    let shape = part.bars[place.0].chords[place.1].hand(hand);
    let of_hand = || part.events.iter().filter(move |e| e.hand == hand);
    let struck: Vec<&Event> = of_hand().filter(|e| (e.bar, e.slot) == place).collect();
    let begin = struck.iter().map(|e| e.start).chain([start]).min().unwrap();
    let from_before: Vec<&Event> = of_hand()
        .filter(|e| (e.bar, e.slot) < place && e.start + e.length > begin && e.role == Role::Chord)
        .collect();
    let is_played = |i: usize| {
        struck.iter().any(|e| usize::from(e.place) == i)
            || from_before.iter().any(|e| e.key == shape.notes[i].key)
    };
    let played: Vec<usize> = (0..shape.notes.len()).filter(|&i| is_played(i)).collect();
    if played.is_empty() {
        return;
    }
    // Where a neighbour is struck, and where the next strike follows it; and the beginning.
    let mut times: Vec<Quarters> = struck.iter().map(|e| e.start).collect();
    times.dedup();
    let neighbour_at = |at: Quarters| struck.iter().any(|e| e.start == at && e.role == Role::Passing);
    let mut at: Vec<Quarters> = (0..times.len())
        .filter(|&i| neighbour_at(times[i]) || (i > 0 && neighbour_at(times[i - 1])))
        .map(|i| times[i])
        .collect();
    let first = if from_before.is_empty() { times[0] } else { begin };
    if !at.contains(&first) {
        at.insert(0, first);
    }
    for (i, &now) in at.iter().enumerate() {
        let next = at.get(i + 1).copied();
        moments.push(moment(part, (hand, shape), &played, (&struck, &from_before), (now, next), i > 0));
    }
}

fn moment(
    part: &Part,
    (hand, shape): (Hand, &Shape),
    played: &[usize],
    (struck, before): (&[&Event], &[&Event]),
    (now, next): (Quarters, Option<Quarters>),
    goes_on: bool,
) -> Moment {
    let end = |e: &Event| e.start + e.length;
    let on = |i: usize| {
        let key = shape.notes[i].key;
        struck.iter().chain(before).copied().filter(move |e| e.key == key && e.role == Role::Chord)
    };
    let shown = |i: usize| {
        let event = on(i).rfind(|e| next.is_none_or(|next| e.start < next) && end(e) > now)?;
        let mut changes = event.substitutions.iter().filter(|change| change.at <= now);
        Some(changes.next_back().map_or(event.finger, |change| change.finger).number())
    };
    let keys: Vec<u8> = shape.notes.iter().map(|n| n.key.number()).collect();
    let reach = part.settings.reach_of(hand).semitones();
    let mut choices: Vec<Fingers> = (fingerings(&keys, hand, reach, shape.rolled).into_iter())
        .map(|whole| played.iter().map(|&i| whole[i]).collect())
        .collect();
    choices.sort();
    choices.dedup();
    let neighbours: Vec<&&Event> =
        struck.iter().filter(|e| e.start == now && e.role == Role::Passing).collect();
    let beside = |e: &Event| played.iter().position(|&i| i == usize::from(e.place)).unwrap();
    Moment {
        hand,
        reach,
        rolled: shape.rolled,
        keys: played.iter().map(|&i| shape.notes[i].key.number()).collect(),
        choices,
        held: played.iter().map(|&i| on(i).any(|e| e.start < now && end(e) > now)).collect(),
        sounding: played.iter().map(|&i| on(i).any(|e| e.start <= now && end(e) > now)).collect(),
        neighbours: neighbours.iter().map(|e| (e.key.number(), beside(e))).collect(),
        goes_on,
        shown: played.iter().map(|&i| shown(i)).collect(),
        shown_neighbours: neighbours.iter().map(|e| e.finger.number()).collect(),
    }
}

/// All fingers that can lie on a shape; where none can, those that miss it in the fewest pairs.
pub fn fingerings(keys: &[u8], hand: Hand, reach: u8, rolled: bool) -> Vec<Fingers> {
    let mut all = rising(keys.len(), hand);
    let missed = |fingers: &Fingers| if rolled { 0 } else { impossible(keys, fingers, reach) };
    let fewest = all.iter().map(missed).min().unwrap_or(0);
    all.retain(|fingers| missed(fingers) == fewest);
    all
}

/// All choices of so many fingers that rise with the keys in the right hand and fall in the left.
fn rising(count: usize, hand: Hand) -> Vec<Fingers> {
    let mut all: Vec<Fingers> = vec![Vec::new()];
    for _ in 0..count {
        all = all
            .iter()
            .flat_map(|some| {
                let from = some.last().map_or(1, |last| last + 1);
                (from..=5).map(move |next| [&some[..], &[next]].concat())
            })
            .collect();
    }
    if hand == Hand::Left {
        all.iter_mut().for_each(|fingers| fingers.iter_mut().for_each(|finger| *finger = 6 - *finger));
    }
    all
}

/// More than any passage costs.
const ENDLESS: i32 = 1_000_000_000;

/// What the fingers cost that the part shows, if they are among the choices. Where it shows none (a key that is not
/// struck yet), the best.
pub fn shown_cost(moments: &[Moment], costs: &FingerCosts) -> Option<i32> {
    Some(cheapest(moments, true, ENDLESS, costs)).filter(|&cost| cost < ENDLESS)
}

/// The least that any choice of fingers costs, found by trying them all. What would cost `enough` by its end, however
/// cheap the rest were, is not followed further.
pub fn least_cost(moments: &[Moment], enough: i32, costs: &FingerCosts) -> i32 {
    cheapest(moments, false, enough, costs)
}

fn cheapest(moments: &[Moment], shown: bool, enough: i32, costs: &FingerCosts) -> i32 {
    let offers: Vec<Vec<Offer<'_>>> = moments.iter().map(|moment| moment.offers(shown, costs)).collect();
    // What each moment costs at the least, whatever comes before it.
    let least = |i: usize| {
        let by_itself =
            |offer: &Offer<'_>| offer.neighbours + if moments[i].goes_on { 0 } else { offer.alone };
        offers[i].iter().map(by_itself).min().unwrap_or(0)
    };
    let rest: Vec<i32> = (0..=moments.len()).map(|from| (from..moments.len()).map(least).sum()).collect();
    let search = Search { moments, offers: &offers, rest: &rest, costs };
    let mut best = enough;
    search.from(0, None, 0, &mut best);
    best
}

/// A choice of fingers with what it costs by itself.
struct Offer<'a> {
    fingers: &'a Fingers,
    alone: i32,
    neighbours: i32,
}

struct Search<'a> {
    moments: &'a [Moment],
    offers: &'a [Vec<Offer<'a>>],
    rest: &'a [i32],
    costs: &'a FingerCosts,
}

impl Search<'_> {
    fn from(&self, at: usize, before: Option<&Fingers>, spent: i32, best: &mut i32) {
        let Some(here) = self.moments.get(at) else {
            *best = spent.min(*best);
            return;
        };
        for offer in &self.offers[at] {
            let changed = match before {
                None => offer.alone,
                Some(theirs) if here.goes_on && theirs == offer.fingers => 0,
                Some(theirs) => {
                    offer.alone + here.change((&self.moments[at - 1], theirs), offer.fingers, self.costs)
                }
            };
            let spent = spent + changed + offer.neighbours;
            if spent + self.rest[at + 1] < *best {
                self.from(at + 1, Some(offer.fingers), spent, best);
            }
        }
    }
}

impl Moment {
    fn offers(&self, shown: bool, costs: &FingerCosts) -> Vec<Offer<'_>> {
        let fits = |fingers: &&Fingers| {
            !shown || self.shown.iter().zip(*fingers).all(|(shown, f)| shown.is_none_or(|shown| shown == *f))
        };
        let offer = |fingers| Offer {
            fingers,
            alone: self.alone(fingers, costs),
            neighbours: self.least_for_neighbours(fingers, shown, costs),
        };
        self.choices.iter().filter(fits).map(offer).collect()
    }

    /// Whether a key has the finger that it had: it stays down, or it goes to or comes from its neighbour.
    fn keeps(&self, earlier: &Moment, i: usize) -> bool {
        let mut neighbours = self.neighbours.iter().chain(&earlier.neighbours);
        self.held[i] || self.goes_on && neighbours.any(|&(_, beside)| beside == i)
    }

    /// What it costs to come from other keys or other fingers.
    fn change(&self, (earlier, theirs): (&Moment, &Fingers), fingers: &Fingers, costs: &FingerCosts) -> i32 {
        let mut cost = 0;
        for (i, key) in self.keys.iter().enumerate() {
            match earlier.keys.iter().position(|k| k == key) {
                Some(j) if theirs[j] != fingers[i] && self.keeps(earlier, i) => cost += costs.substitution,
                Some(j) if theirs[j] != fingers[i] => cost += costs.repeated_key_changes,
                _ => {}
            }
        }
        if !self.goes_on && self.keys.len() > 1 && earlier.keys.len() > 1 {
            cost += costs.outer_finger_changes * i32::from(theirs.first() != fingers.first());
            cost += costs.outer_finger_changes * i32::from(theirs.last() != fingers.last());
        }
        if self.keys.len() == 1 && earlier.keys.len() == 1 && self.keys != earlier.keys {
            cost += self.line((earlier.keys[0], theirs[0]), (self.keys[0], fingers[0]), costs);
        }
        cost
    }

    fn alone(&self, fingers: &Fingers, costs: &FingerCosts) -> i32 {
        let black: i32 = self.keys.iter().zip(fingers).map(|(&k, &f)| on_black(k, f, costs)).sum();
        if let [finger] = fingers[..] {
            let table = if self.hand == Hand::Right { costs.alone_right } else { costs.alone_left };
            return black + table[usize::from(finger) - 1];
        }
        let last = self.keys.len() - 1;
        let pairs = || (0..=last).flat_map(move |i| (i + 1..=last).map(move |j| (i, j)));
        let missed = if self.rolled { 0 } else { impossible(&self.keys, fingers, self.reach) };
        let impossible = costs.beyond_possible * missed;
        let gaps: Vec<u8> = self.keys.windows(2).map(|w| w[1] - w[0]).collect();
        let book = handbook(&gaps, self.hand);
        let strain: i32 = pairs()
            .filter(|&(i, j)| j == i + 1 || (i == 0 && j == last && !self.rolled))
            .map(|(i, j)| self.stretch(fingers[i], fingers[j], self.keys[j] - self.keys[i], costs))
            .map(|strain| if self.rolled { strain.min(costs.hand_moves) } else { strain })
            .sum();
        let without_thumb = if fingers.contains(&1) { 0 } else { costs.without_thumb };
        black
            + impossible
            + match book.iter().position(|form| form == fingers) {
                Some(0) => 0,
                Some(_) if gaps.len() == 1 && gaps[0] <= 6 => costs.other_narrow,
                Some(_) => costs.other_handbook,
                None if book.is_empty() => without_thumb + strain,
                None => costs.not_handbook + without_thumb + strain,
            }
    }

    fn stretch(&self, a: u8, b: u8, semitones: u8, costs: &FingerCosts) -> i32 {
        let [_, closest, relaxed, comfortable, most] = span(a, b);
        // In semitones of a hand that reaches an octave.
        let wide = f64::from(semitones) * 12.0 / f64::from(self.reach);
        let over = |limit: i32| ((wide - f64::from(limit)) - 1e-9).ceil().max(0.0) as i32;
        let near = (closest - i32::from(semitones)).max(0);
        let too_near =
            i32::from(possible_far(a, b, semitones, self.reach) && !possible(a, b, semitones, self.reach));
        near * costs.cramped
            + over(relaxed) * costs.beyond_relaxed
            + over(comfortable) * costs.beyond_comfortable
            + (over(most) + too_near) * costs.beyond_possible
    }

    /// From one single note to the next.
    fn line(&self, from: (u8, u8), to: (u8, u8), costs: &FingerCosts) -> i32 {
        let semitones = from.0.abs_diff(to.0);
        if from.1 == to.1 {
            return if semitones <= self.reach { costs.same_finger_steps } else { costs.hand_moves };
        }
        if self.in_order(from, to) {
            return self.stretch(from.1, to.1, semitones, costs).min(costs.hand_moves);
        }
        if thumb_passes(from.1, to.1, semitones) { costs.thumb_passes } else { costs.fingers_cross }
    }

    /// Fingers in the order of the keys.
    fn in_order(&self, from: (u8, u8), to: (u8, u8)) -> bool {
        let keys = i32::from(to.0) - i32::from(from.0);
        let fingers = i32::from(to.1) - i32::from(from.1);
        (keys > 0) == if self.hand == Hand::Right { fingers > 0 } else { fingers < 0 }
    }

    fn least_for_neighbours(&self, fingers: &Fingers, shown: bool, costs: &FingerCosts) -> i32 {
        let choices = if shown {
            vec![self.shown_neighbours.clone()]
        } else {
            rising(self.neighbours.len(), self.hand)
        };
        let cost = |choice: &Fingers| {
            let each = self.neighbours.iter().zip(choice);
            each.map(|(&note, &finger)| self.neighbour(fingers, note, finger, costs)).sum::<i32>()
        };
        choices.iter().map(cost).min().unwrap()
    }

    fn neighbour(
        &self,
        fingers: &Fingers,
        (key, beside): (u8, usize),
        finger: u8,
        costs: &FingerCosts,
    ) -> i32 {
        let own = (self.keys[beside], fingers[beside]);
        let semitones = key.abs_diff(own.0);
        let mut cost = on_black(key, finger, costs)
            + if finger == own.1 {
                costs.neighbour_slides
            } else if self.in_order(own, (key, finger)) {
                self.stretch(own.1, finger, semitones, costs)
            } else if thumb_passes(own.1, finger, semitones) {
                costs.neighbour_passes
            } else {
                costs.neighbour_crosses
            };
        for i in (0..self.keys.len()).filter(|&i| self.sounding[i] && i != beside) {
            let held = (self.keys[i], fingers[i]);
            cost += if held.1 == finger || !self.in_order(held, (key, finger)) {
                costs.lifts_held_key
            } else {
                self.stretch(held.1, finger, key.abs_diff(held.0), costs)
            };
        }
        cost
    }
}

fn on_black(key: u8, finger: u8, costs: &FingerCosts) -> i32 {
    match (MidiKey::new(key).unwrap().is_black(), finger) {
        (true, 1) => costs.thumb_on_black,
        (true, 5) => costs.little_on_black,
        _ => 0,
    }
}

/// Least practical, least relaxed, most relaxed, most comfortable and most practical span in semitones: Parncutt et al.
/// 1997, table 2, from `tests/reference/fingerings.json`; the most relaxed of 1-5, which differs between reprints, is 11
/// here.
fn span(a: u8, b: u8) -> [i32; 5] {
    match (a.min(b), a.max(b)) {
        (1, 2) => [-5, 1, 5, 8, 10],
        (1, 3) => [-4, 3, 7, 10, 12],
        (1, 4) => [-3, 5, 9, 12, 14],
        (1, 5) => [-1, 7, 11, 13, 15],
        (2, 3) => [1, 1, 2, 3, 5],
        (2, 4) => [1, 3, 4, 5, 7],
        (2, 5) => [2, 5, 6, 8, 10],
        (3, 4) => [1, 1, 2, 2, 4],
        (3, 5) => [1, 3, 4, 5, 7],
        (4, 5) => [1, 1, 2, 3, 5],
        _ => unreachable!("two different fingers"),
    }
}

/// How many pairs of fingers cannot be so far apart.
fn impossible(keys: &[u8], fingers: &Fingers, reach: u8) -> i32 {
    let pairs = (0..keys.len()).flat_map(|i| (i + 1..keys.len()).map(move |j| (i, j)));
    pairs.filter(|&(i, j)| !possible(fingers[i], fingers[j], keys[j] - keys[i], reach)).count() as i32
}

/// Whether two fingers of a hand can hold keys so far apart.
pub fn possible(a: u8, b: u8, semitones: u8, reach: u8) -> bool {
    possible_far(a, b, semitones, reach) && i32::from(semitones) >= span(a, b)[0]
}

fn possible_far(a: u8, b: u8, semitones: u8, reach: u8) -> bool {
    f64::from(semitones) <= f64::from(span(a, b)[4]) * f64::from(reach) / 12.0 + 1e-9
}

fn thumb_passes(a: u8, b: u8, semitones: u8) -> bool {
    a.min(b) == 1 && a.max(b) < 5 && i32::from(semitones) <= -span(a, b)[0]
}

/// The forms of the handbooks for keys so many semitones apart, the usual one first; none where they leave it to the
/// hand. Triads: teachers' handbooks, in `tests/reference/fingerings.json`. All others: common practice, no source;
/// triads with the octave as the arpeggios in Hanon, The Virtuoso Pianist, no. 41, from memory.
pub fn handbook(gaps: &[u8], hand: Hand) -> Vec<Fingers> {
    let third = |gap: u8| gap == 3 || gap == 4;
    let fourth = |gap: u8| gap == 5 || gap == 6;
    let octave = gaps.iter().sum::<u8>() == 12;
    let text = match *gaps {
        [gap] if third(gap) => ["13 24 35 12", "31 42 53 21"],
        [5] => ["14 25 13 15", "41 52 31 51"],
        [6] => ["15 14 25", "51 41 52"],
        [7] => ["15", "51 52"],
        [8 | 9 | 12] => ["15 14", "51 41"],
        [gap] if gap >= 10 => ["15", "51"],
        [a, b] if third(a) && third(b) => ["135", "531"],
        [a, b] if third(a) && fourth(b) => ["125 135", "531"],
        [a, b] if fourth(a) && third(b) => ["135", "521"],
        [a, b] if a >= 5 && a + b >= 12 => ["125", "521"],
        [a, b, c] if octave && third(a) && third(b) && fourth(c) => ["1235 1245", "5421 5321"],
        [a, b, c] if octave && third(a) && fourth(b) && third(c) => ["1245", "5421"],
        [a, b, c] if octave && fourth(a) && third(b) && third(c) => ["1245 1235", "5321"],
        // Sevenths in close position: three thirds, or two and a second where the root has its seventh below.
        [a, b, c]
            if a + b + c < 12
                && [a, b, c].iter().filter(|&&gap| gap < 3).count() <= 1
                && [a, b, c].iter().all(|&gap| gap < 5) =>
        {
            ["1235 1245", "5321 5421"]
        }
        _ => ["", ""],
    };
    let forms = if hand == Hand::Right { text[0] } else { text[1] };
    forms.split_whitespace().map(|form| form.bytes().map(|digit| digit - b'0').collect()).collect()
}
