//! How even a scale or an arpeggio was played: the gaps from strike to strike, those at crossings against the others, how
//! hard the keys went down, and whether the hands came together.
//!
//! All times are in milliseconds as the player felt them. A gap's error is what was played minus what was asked: positive is
//! longer.

use crate::Lap;
use crate::spread::{mean, spread};
use song::Quarters;
use std::collections::HashMap;
use theory::{CrossingKind, Finger, Hand, NoteName};
use voicing::{Event, Part};

/// How even some passes were.
///
/// Only strikes whose notes were all played count; where one is missed, no gap is measured on either side.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct RunEvenness {
    /// Of each hand that played, right hand first.
    pub hands: Vec<HandEvenness>,
    /// Where both hands had something to strike at the same time; `None` if they hardly ever had.
    pub together: Option<Together>,
}

/// How even one hand was.
#[derive(Clone, Debug, PartialEq)]
pub struct HandEvenness {
    /// Which.
    pub hand: Hand,
    /// The gaps of all passes, pass by pass in order of playing.
    pub gaps: Vec<Gap>,
    /// How long most gaps were asked to be.
    pub asked_ms: f64,
    /// The spread of the gaps' errors (standard deviation), those at crossings left out.
    pub spread_ms: f64,
    /// The gaps at crossings against all others, the one that differs most first.
    pub crossings: Vec<CrossingGap>,
    /// How hard the keys went down; `None` where nothing tells (a mouse, letters).
    pub loudness: Option<Loudness>,
}

/// From one strike of a hand to its next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// Which pass, from 0.
    pub pass: usize,
    /// The event that ends it, by its index in the part: of a chord the lowest.
    pub event: usize,
    /// How long it was asked to be.
    pub asked_ms: f64,
    /// Played minus asked.
    pub error_ms: f64,
    /// What happens in it, if the hand crosses.
    pub crossing: Option<Crossed>,
    /// How hard the key that ends it went down.
    pub velocity: Option<u8>,
}

/// A crossing between two strikes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Crossed {
    /// Thumb under or finger over.
    pub kind: CrossingKind,
    /// The finger beside the thumb.
    pub finger: Finger,
    /// The note that is reached.
    pub onto: NoteName,
}

/// Gaps at crossings of one kind, perhaps onto one note, against the gaps elsewhere.
///
/// ```
/// use practice::CrossingGap;
/// use theory::{CrossingKind, Finger};
/// let onto = Some(("C".parse().unwrap(), Finger::THUMB));
/// let gap = CrossingGap { kind: CrossingKind::ThumbUnder, onto, count: 6, longer_ms: 40.2, matters: true };
/// assert_eq!(gap.text(), "The gap before the thumb on C is 40 ms longer.");
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CrossingGap {
    /// Thumb under or finger over.
    pub kind: CrossingKind,
    /// The note and the finger that reaches it, if these are crossings onto one note; else they are all of their kind.
    pub onto: Option<(NoteName, Finger)>,
    /// How many there were.
    pub count: usize,
    /// How much longer they were than the others, on average.
    pub longer_ms: f64,
    /// Whether that is much and often enough to speak of.
    pub matters: bool,
}

/// How hard the keys went down, in MIDI velocities, 1 to 127.
#[derive(Clone, Debug, PartialEq)]
pub struct Loudness {
    /// On average, accents left out.
    pub mean: f64,
    /// Standard deviation, accents left out.
    pub spread: f64,
    /// How much harder accented notes went down on average; `None` without accents.
    pub accents: Option<f64>,
    /// How much harder each finger struck than the other fingers, for fingers that struck four times or more.
    pub fingers: Vec<(Finger, f64)>,
}

/// How both hands came together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Together {
    /// How many strikes of both hands there were.
    pub count: usize,
    /// The left hand minus the right, the median: negative, the left hand comes first.
    pub left_after_ms: f64,
    /// How far apart they were on average, whichever came first.
    pub apart_ms: f64,
}

/// So many crossings, or strikes of a finger, before anything is said about them (common practice, no source).
pub(crate) const LEAST: usize = 4;

impl RunEvenness {
    /// Of some passes through the same part; passes through other parts are left out.
    pub fn of(part: &Part, laps: &[Lap]) -> RunEvenness {
        let passes: Vec<Pass<'_>> =
            laps.iter().filter(|lap| *lap.part == *part).map(|lap| Pass::new(part, lap)).collect();
        let hands = Hand::BOTH.into_iter().filter_map(|hand| HandEvenness::of(hand, &passes)).collect();
        RunEvenness { hands, together: together(&passes) }
    }

    /// Of one hand, if it played.
    pub fn hand(&self, hand: Hand) -> Option<&HandEvenness> {
        self.hands.iter().find(|of| of.hand == hand)
    }
}

/// One pass: what each hand struck, in order.
struct Pass<'a> {
    strikes: [Vec<Strike<'a>>; 2],
}

/// What one hand strikes at one time.
struct Strike<'a> {
    start: Quarters,
    notes: Vec<(usize, &'a Event)>,
    /// When it was asked for and when it was played, as felt, from the first bar line; `None` where a note was missed.
    asked_ms: f64,
    played_ms: Option<f64>,
    velocities: Vec<u8>,
}

impl<'a> Pass<'a> {
    fn new(part: &'a Part, lap: &Lap) -> Pass<'a> {
        let (score, take) = (&lap.score, &lap.take);
        let velocities: HashMap<_, u8> = take.notes.iter().map(|n| ((n.at, n.key), n.velocity)).collect();
        let mut strikes = [Vec::new(), Vec::new()];
        for note in &score.notes {
            let Some(event) = part.events.get(note.event) else { continue };
            let list: &mut Vec<Strike<'a>> = &mut strikes[note.hand as usize];
            if list.last().is_none_or(|strike| strike.start != note.start) {
                let asked_ms = score.as_played_ms(note.expected_at);
                let empty = (Vec::new(), Vec::new());
                list.push(Strike {
                    start: note.start,
                    notes: empty.0,
                    asked_ms,
                    played_ms: Some(0.0),
                    velocities: empty.1,
                });
            }
            let Some(strike) = list.last_mut() else { continue };
            let played = note.played_at.map(|at| score.as_played_ms(at));
            // The mean of the notes, summed up step by step.
            let before = strike.notes.len() as f64;
            strike.played_ms =
                strike.played_ms.zip(played).map(|(mean, at)| (mean * before + at) / (before + 1.0));
            strike.notes.push((note.event, event));
            strike.velocities.extend(
                note.played_at.and_then(|at| velocities.get(&(at + score.offset, note.key))).copied(),
            );
        }
        Pass { strikes }
    }

    fn of(&self, hand: Hand) -> &[Strike<'a>] {
        &self.strikes[hand as usize]
    }
}

impl HandEvenness {
    fn of(hand: Hand, passes: &[Pass<'_>]) -> Option<HandEvenness> {
        let gaps: Vec<Gap> = passes
            .iter()
            .enumerate()
            .flat_map(|(pass, of)| of.of(hand).windows(2).filter_map(move |two| gap(pass, hand, two)))
            .collect();
        let plain: Vec<f64> = gaps.iter().filter(|g| g.crossing.is_none()).map(|g| g.error_ms).collect();
        let asked_ms = usual(gaps.iter().map(|g| g.asked_ms))?;
        let spread_ms = spread(&plain).unwrap_or(0.0);
        let crossings = crossings(&gaps, &plain, asked_ms, spread_ms);
        let loudness = loudness(passes.iter().flat_map(|pass| pass.of(hand)));
        Some(HandEvenness { hand, gaps, asked_ms, spread_ms, crossings, loudness })
    }
}

fn gap(pass: usize, hand: Hand, two: &[Strike<'_>]) -> Option<Gap> {
    let [from, to] = two else { return None };
    let (left, reached) = (from.played_ms?, to.played_ms?);
    let asked_ms = to.asked_ms - from.asked_ms;
    let velocity = to.velocities.first().copied();
    let crossing = match (&from.notes[..], &to.notes[..]) {
        ([(_, before)], [(_, after)]) => crossed(hand, before, after),
        _ => None,
    };
    Some(Gap {
        pass,
        event: to.notes[0].0,
        asked_ms,
        error_ms: reached - left - asked_ms,
        crossing,
        velocity,
    })
}

/// Within one position of the right hand finger numbers rise with the keys, of the left they fall; a step the other way is a
/// crossing, and one of its ends is the thumb.
pub fn crossed(hand: Hand, before: &Event, after: &Event) -> Option<Crossed> {
    let rises = after.key > before.key;
    let fingers_rise = after.finger > before.finger;
    let moved = before.key != after.key && before.finger != after.finger;
    if !moved || (rises == fingers_rise) == (hand == Hand::Right) {
        return None;
    }
    let onto = after.pitch.name;
    match (before.finger, after.finger) {
        (finger, Finger::THUMB) => Some(Crossed { kind: CrossingKind::ThumbUnder, finger, onto }),
        (Finger::THUMB, finger) => Some(Crossed { kind: CrossingKind::FingerOver, finger, onto }),
        _ => None,
    }
}

/// The value that comes most often, to the nearest millisecond.
fn usual(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut counted: Vec<(i64, usize, f64)> = Vec::new();
    for value in values {
        let rounded = value.round() as i64;
        match counted.iter_mut().find(|c| c.0 == rounded) {
            Some(known) => known.1 += 1,
            None => counted.push((rounded, 1, value)),
        }
    }
    counted.into_iter().max_by_key(|c| c.1).map(|c| c.2)
}

/// Each kind of crossing, onto each note and as a whole, against the gaps without one.
fn crossings(gaps: &[Gap], plain: &[f64], asked_ms: f64, spread_ms: f64) -> Vec<CrossingGap> {
    let Some(usual) = mean(plain) else { return Vec::new() };
    let mut found: Vec<CrossingGap> = Vec::new();
    let at_crossings = || gaps.iter().filter_map(|gap| Some((gap.crossing?, gap.error_ms)));
    let mut add = |kind: CrossingKind, onto: Option<(NoteName, Finger)>| {
        let of = |c: &Crossed| c.kind == kind && onto.is_none_or(|known| known == reached(c));
        let errors: Vec<f64> = at_crossings().filter(|(c, _)| of(c)).map(|(_, error)| error).collect();
        let Some(mean) = mean(&errors) else { return };
        let longer_ms = mean - usual;
        // Speak of it above the larger of 15 ms and a tenth of the gap, beyond twice the own spread (common practice, no
        // source).
        let much = longer_ms.abs() > 15.0_f64.max(0.1 * asked_ms).max(2.0 * spread_ms);
        let count = errors.len();
        found.push(CrossingGap { kind, onto, count, longer_ms, matters: much && count >= LEAST });
    };
    let mut places: Vec<(CrossingKind, (NoteName, Finger))> = Vec::new();
    for (crossing, _) in at_crossings() {
        let place = (crossing.kind, reached(&crossing));
        if !places.contains(&place) {
            places.push(place);
        }
    }
    places.iter().for_each(|(kind, onto)| add(*kind, Some(*onto)));
    [CrossingKind::ThumbUnder, CrossingKind::FingerOver].into_iter().for_each(|kind| add(kind, None));
    found.sort_by(|a, b| b.longer_ms.abs().total_cmp(&a.longer_ms.abs()));
    found
}

/// The note that is reached, with the finger that reaches it.
fn reached(crossing: &Crossed) -> (NoteName, Finger) {
    match crossing.kind {
        CrossingKind::ThumbUnder => (crossing.onto, Finger::THUMB),
        CrossingKind::FingerOver => (crossing.onto, crossing.finger),
    }
}

fn loudness<'a>(strikes: impl Iterator<Item = &'a Strike<'a>>) -> Option<Loudness> {
    let mut plain: Vec<(Finger, f64)> = Vec::new();
    let mut accented: Vec<f64> = Vec::new();
    for strike in strikes.filter(|s| s.velocities.len() == s.notes.len()) {
        for (velocity, (_, event)) in strike.velocities.iter().zip(&strike.notes) {
            match event.accented {
                true => accented.push(f64::from(*velocity)),
                false => plain.push((event.finger, f64::from(*velocity))),
            }
        }
    }
    let all: Vec<f64> = plain.iter().map(|p| p.1).collect();
    let first = *all.first().or(accented.first())?;
    // A mouse and letters strike every key alike.
    if all.iter().chain(&accented).all(|velocity| *velocity == first) {
        return None;
    }
    let middle = mean(&all)?;
    let of = |finger: Finger, same: bool| -> Vec<f64> {
        plain.iter().filter(|p| (p.0 == finger) == same).map(|p| p.1).collect()
    };
    let harder = |finger: Finger| {
        let own = of(finger, true);
        (own.len() >= LEAST).then_some(())?;
        Some((finger, mean(&own)? - mean(&of(finger, false))?))
    };
    Some(Loudness {
        mean: middle,
        spread: spread(&all)?,
        accents: mean(&accented).map(|loud| loud - middle),
        fingers: Finger::ALL.into_iter().filter_map(harder).collect(),
    })
}

fn together(passes: &[Pass<'_>]) -> Option<Together> {
    let mut after: Vec<f64> = Vec::new();
    for pass in passes {
        let right: HashMap<Quarters, f64> =
            pass.of(Hand::Right).iter().filter_map(|s| Some((s.start, s.played_ms?))).collect();
        let both = pass.of(Hand::Left).iter().filter_map(|s| Some(s.played_ms? - right.get(&s.start)?));
        after.extend(both);
    }
    if after.len() < LEAST {
        return None;
    }
    after.sort_by(f64::total_cmp);
    let middle = after.len() / 2;
    let median = if after.len() % 2 == 1 { after[middle] } else { (after[middle - 1] + after[middle]) / 2.0 };
    let apart: Vec<f64> = after.iter().map(|ms| ms.abs()).collect();
    Some(Together { count: after.len(), left_after_ms: median, apart_ms: mean(&apart)? })
}
