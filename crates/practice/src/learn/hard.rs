//! Hard bars, with what makes them hard, from passes that were scored.

use super::{Change, Moves};
use crate::history::{BarPassed, How, StrikePassed};
use crate::{PedalScore, Score};
use std::collections::BTreeMap;
use theory::Hand;
use voicing::Part;

/// A bar that is clean in fewer passes than this is hard.
const CLEAN: f64 = 0.7;
/// A fault is a reason from this share of what could have failed on; all shares here are this program's reading.
const OFTEN: f64 = 0.3;
/// Other positions and chords that come apart from this share on.
const NOW_AND_THEN: f64 = 0.25;
/// So far beside the rest of the take a bar is always late or early, in milliseconds as played: what stands out beyond the
/// 20 ms or so at which the order of two onsets can be told (Hirsh-type studies).
const BESIDE_MS: f64 = 25.0;
/// A change in which the notes of a hand go so far together, in semitones, or so many of them move, is a reason.
const FAR: u32 = 5;
const MANY: usize = 3;
/// Fewer strikes than this say nothing.
const FEWEST: usize = 2;

/// One scored pass.
#[derive(Clone, Copy, Debug)]
pub struct ScoredPass<'a> {
    /// Its score.
    pub score: &'a Score,
    /// How the pedal was used, if that was judged.
    pub pedal: Option<&'a PedalScore>,
}

/// A bar that is not clean often enough.
#[derive(Clone, Debug, PartialEq)]
pub struct HardBar {
    /// The bar.
    pub bar: usize,
    /// How often it was played.
    pub passes: usize,
    /// How often it was clean.
    pub clean: usize,
    /// Why, the most likely reason first; empty where the passes do not say.
    pub reasons: Vec<Reason>,
}

/// Why a bar is hard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reason {
    /// One hand fails, the other hardly does.
    OneHand(Hand),
    /// The change into a chord.
    Change {
        /// Whose.
        hand: Hand,
        /// Into which chord of the bar, from 0.
        slot: usize,
        /// Which voices move, and how far.
        moves: Moves,
    },
    /// The chord was right in another inversion or octave, so many times of so many.
    OtherPosition(usize, usize),
    /// Later than the rest of the take by so many milliseconds as played.
    AlwaysLate(f64),
    /// Earlier than the rest of it.
    AlwaysEarly(f64),
    /// The right keys at the wrong times, so many of so many.
    Rhythm(usize, usize),
    /// Its chords do not split it evenly, or it has a meter of its own.
    UnevenBar,
    /// The notes of its chords come apart, so many times of so many.
    NotTogether(usize, usize),
    /// The pedal, in so many passes of so many.
    Pedal(usize, usize),
}

/// The hard bars of a part, the hardest first: those that were played at least twice and were clean in fewer than seven of
/// ten passes.
pub fn hard_bars(part: &Part, passes: &[ScoredPass<'_>]) -> Vec<HardBar> {
    let all: Vec<BarPassed> =
        passes.iter().flat_map(|p| BarPassed::of_score(part, p.score, p.pedal)).collect();
    hard_bars_of(part, all.iter().map(|bar| (bar.bar, bar)))
}

/// The same from what history remembers: bars of passes, each with its place in the part now.
pub fn hard_bars_of<'a>(
    part: &Part,
    passed: impl IntoIterator<Item = (usize, &'a BarPassed)>,
) -> Vec<HardBar> {
    let mut played: BTreeMap<usize, Vec<&BarPassed>> = BTreeMap::new();
    for (bar, passed) in passed.into_iter().filter(|(bar, _)| *bar < part.bars.len()) {
        played.entry(bar).or_default().push(passed);
    }
    let clean = |bars: &[&BarPassed]| bars.iter().filter(|b| b.clean_in_time).count();
    let share = |bars: &[&BarPassed]| clean(bars) as f64 / bars.len() as f64;
    let changes = Change::all(part);
    let mut hard: Vec<HardBar> = played
        .iter()
        .filter(|(_, bars)| bars.len() >= FEWEST && share(bars) < CLEAN)
        .map(|(&bar, bars)| HardBar {
            bar,
            passes: bars.len(),
            clean: clean(bars),
            reasons: reasons(part, &changes, bar, bars),
        })
        .collect();
    hard.sort_by(|a, b| (a.clean * b.passes).cmp(&(b.clean * a.passes)));
    hard
}

impl Reason {
    /// For a musician.
    pub fn text(self) -> String {
        let hand = |hand: Hand| hand.name();
        match self {
            Reason::OneHand(h) => format!("it is the {} hand", hand(h)),
            Reason::Change { hand, slot, moves } => {
                format!("the change into chord {}: {}", slot + 1, moves.text(hand))
            }
            Reason::OtherPosition(n, of) => format!("another inversion or octave {n} times of {of}"),
            Reason::AlwaysLate(ms) => format!("{ms:.0} ms later than the rest"),
            Reason::AlwaysEarly(ms) => format!("{ms:.0} ms earlier than the rest"),
            Reason::Rhythm(n, of) => format!("the rhythm: {n} of {of} right keys were not in time"),
            Reason::UnevenBar => "the bar is uneven".into(),
            Reason::NotTogether(n, of) => format!("the notes came apart {n} times of {of}"),
            Reason::Pedal(n, of) => format!("the pedal, {n} times of {of}"),
        }
    }
}

fn reasons(part: &Part, changes: &[Change], bar: usize, passed: &[&BarPassed]) -> Vec<Reason> {
    let strikes: Vec<StrikePassed> = passed.iter().flat_map(|p| p.strikes.iter().copied()).collect();
    if strikes.len() < FEWEST {
        return Vec::new();
    }
    let mut reasons: Vec<Reason> = one_hand(&strikes).into_iter().collect();
    reasons.extend(change(changes, bar, &strikes));
    reasons.extend(of_all(&strikes, NOW_AND_THEN, Reason::OtherPosition, |s| s.how == How::OtherPosition));
    let beside = beside(&strikes);
    let played: Vec<StrikePassed> = strikes.into_iter().filter(|s| s.how != How::Missed).collect();
    let rhythm = of_all(&played, OFTEN, Reason::Rhythm, |s| !s.in_time);
    let uneven = is_uneven(part, bar) && (rhythm.is_some() || reasons.is_empty());
    reasons.extend(beside.or(rhythm));
    reasons.extend(of_all(&played, NOW_AND_THEN, Reason::NotTogether, |s| !s.together));
    let pedals: Vec<bool> = passed.iter().filter_map(|p| p.pedal).collect();
    let faulty = pedals.iter().filter(|right| !**right).count();
    reasons.extend(
        (faulty >= FEWEST && 2 * faulty >= pedals.len()).then_some(Reason::Pedal(faulty, pedals.len())),
    );
    reasons.extend(uneven.then_some(Reason::UnevenBar));
    reasons
}

fn one_hand(strikes: &[StrikePassed]) -> Option<Reason> {
    let share = |hand: Hand| {
        let of_hand: Vec<&StrikePassed> = strikes.iter().filter(|s| s.hand == hand).collect();
        let missed = of_hand.iter().filter(|s| missed(s)).count() as f64;
        (of_hand.len() >= FEWEST).then(|| missed / of_hand.len() as f64)
    };
    let (right, left) = (share(Hand::Right)?, share(Hand::Left)?);
    match (right, left) {
        (r, l) if r >= OFTEN && r >= 2.0 * l => Some(Reason::OneHand(Hand::Right)),
        (r, l) if l >= OFTEN && l >= 2.0 * r => Some(Reason::OneHand(Hand::Left)),
        _ => None,
    }
}

/// The change that fails most: the first strike of a chord is missed more often than what follows it.
fn change(changes: &[Change], bar: usize, strikes: &[StrikePassed]) -> Option<Reason> {
    let mut firsts: BTreeMap<(usize, Hand), Vec<bool>> = BTreeMap::new();
    for s in strikes.iter().filter(|s| s.first) {
        firsts.entry((s.slot, s.hand)).or_default().push(missed(s));
    }
    let share = |missed: &[bool]| missed.iter().filter(|m| **m).count() as f64 / missed.len() as f64;
    let usual = |hand: Hand| {
        let later = strikes.iter().filter(|s| !s.first && s.hand == hand);
        let later: Vec<bool> = later.map(missed).collect();
        if later.is_empty() { 0.0 } else { share(&later) }
    };
    let fails = |hand: Hand, missed: &[bool]| {
        missed.len() >= FEWEST && share(missed) >= OFTEN && share(missed) >= 1.5 * usual(hand)
    };
    let worst = firsts
        .iter()
        .filter(|((_, hand), missed)| fails(*hand, missed))
        .max_by(|a, b| share(a.1).total_cmp(&share(b.1)).then(b.0.cmp(a.0)))?;
    let (slot, hand) = *worst.0;
    let moves = changes.iter().find(|change| (change.bar, change.slot) == (bar, slot))?.of(hand)?;
    (moves.semitones >= FAR || moves.notes >= MANY).then_some(Reason::Change { hand, slot, moves })
}

/// Always late or early beside the rest: on the median, and three strikes in four on that side.
fn beside(strikes: &[StrikePassed]) -> Option<Reason> {
    let mut ms: Vec<f64> = strikes.iter().filter_map(|s| s.beside_ms).collect();
    ms.sort_by(f64::total_cmp);
    let middle = *ms.get(ms.len() / 2).filter(|_| ms.len() > FEWEST)?;
    let same_side = ms.iter().filter(|m| m.signum() == middle.signum()).count();
    if middle.abs() < BESIDE_MS || 4 * same_side < 3 * ms.len() {
        return None;
    }
    Some(if middle > 0.0 { Reason::AlwaysLate(middle) } else { Reason::AlwaysEarly(-middle) })
}

fn of_all(
    strikes: &[StrikePassed],
    share: f64,
    reason: fn(usize, usize) -> Reason,
    test: impl Fn(&StrikePassed) -> bool,
) -> Option<Reason> {
    let (times, of) = (strikes.iter().filter(|s| test(s)).count(), strikes.len());
    (times >= FEWEST && times as f64 >= share * of as f64).then(|| reason(times, of))
}

fn missed(strike: &StrikePassed) -> bool {
    strike.how == How::Missed
}

fn is_uneven(part: &Part, bar: usize) -> bool {
    let played = &part.bars[bar].played;
    played.own_meter || played.slots.windows(2).any(|pair| pair[0].length != pair[1].length)
}
