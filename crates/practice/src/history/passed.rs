//! How one bar of a pass went.

use crate::{Lap, PedalScore, Score, StrikeScore, StrikeVerdict};
use std::collections::BTreeMap;
use theory::Hand;

/// A bar of a pass.
#[derive(Clone, Debug, PartialEq)]
pub struct BarPassed {
    /// Which, in the song as it was then, from 0.
    pub bar: usize,
    /// Clean as the score has it.
    pub clean: bool,
    /// Clean, where a chord in another inversion or octave counts as played: what learning goes by.
    pub clean_in_time: bool,
    /// Notes expected.
    pub expected: usize,
    /// Of them played.
    pub matched: usize,
    /// Played and not expected.
    pub extra: usize,
    /// Whether the pedal was right; `None` where it was not judged.
    pub pedal: Option<bool>,
    /// Strike by strike, by time.
    pub strikes: Vec<StrikePassed>,
}

/// A strike of one hand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StrikePassed {
    /// Whose.
    pub hand: Hand,
    /// Which chord of the bar, from 0.
    pub slot: usize,
    /// Whether it is the first of that chord for that hand: the change into it.
    pub first: bool,
    /// What was played.
    pub how: How,
    /// Whether it was in time.
    pub in_time: bool,
    /// Whether its notes came together, or need not.
    pub together: bool,
    /// Later (or, negative, earlier) than the middle of the take, in milliseconds as played; `None` if it was not played.
    pub beside_ms: Option<f64>,
}

/// What was played for a strike.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum How {
    /// The chord.
    Hit,
    /// The chord in another octave or inversion.
    OtherPosition,
    /// Not the chord.
    Missed,
}

impl StrikePassed {
    /// Played, in time.
    pub fn is_good(&self) -> bool {
        self.how != How::Missed && self.in_time
    }
}

impl BarPassed {
    /// The bars of a scored pass that were played whole.
    pub fn of(lap: &Lap, pedal: Option<&PedalScore>) -> Vec<BarPassed> {
        BarPassed::whole(lap, BarPassed::of_score(&lap.part, &lap.score, pedal))
    }

    /// Of the bars of a scored pass those that were played whole.
    pub(super) fn whole(lap: &Lap, bars: Vec<BarPassed>) -> Vec<BarPassed> {
        let whole = whole_bars(lap);
        bars.into_iter().filter(|bar| whole.get(&bar.bar).is_some_and(|n| *n == bar.expected)).collect()
    }

    /// All bars of a score in which anything was to be played.
    pub fn of_score(part: &voicing::Part, score: &Score, pedal: Option<&PedalScore>) -> Vec<BarPassed> {
        let firsts = first_strikes(part);
        let median = score.median_ms.unwrap_or(0.0);
        let mut strikes: BTreeMap<usize, Vec<StrikePassed>> = BTreeMap::new();
        for strike in &score.strikes {
            let event = strike.notes.first().and_then(|n| part.events.get(score.notes[*n].event));
            let slot = event.map_or(0, |e| e.slot);
            let first = firsts.get(&(strike.bar, slot, strike.hand)) == Some(&strike.start);
            let beside_ms = strike.error_ms.map(|ms| score.speed.stretch_ms(ms - median));
            strikes.entry(strike.bar).or_default().push(passed(strike, slot, first, beside_ms));
        }
        let bars = score.bars.iter().filter(|bar| bar.expected > 0);
        bars.map(|bar| BarPassed {
            bar: bar.bar,
            clean: bar.clean,
            clean_in_time: bar.clean_in_time,
            expected: bar.expected,
            matched: bar.matched,
            extra: bar.extra,
            pedal: pedal.and_then(|pedal| {
                let marked = pedal.verdicts.iter().any(|v| v.mark.bar == bar.bar);
                marked.then(|| pedal.words(bar.bar).is_none())
            }),
            strikes: strikes.remove(&bar.bar).unwrap_or_default(),
        })
        .collect()
    }
}

fn passed(strike: &StrikeScore, slot: usize, first: bool, beside_ms: Option<f64>) -> StrikePassed {
    let how = match strike.verdict {
        StrikeVerdict::OtherOctave(_) | StrikeVerdict::OtherInversion => How::OtherPosition,
        verdict if verdict.is_chord() => How::Hit,
        _ => How::Missed,
    };
    let (in_time, together) = (strike.in_time, strike.together);
    StrikePassed { hand: strike.hand, slot, first, how, in_time, together, beside_ms }
}

/// Where the first strike of each chord lies, for each hand.
fn first_strikes(part: &voicing::Part) -> BTreeMap<(usize, usize, Hand), song::Quarters> {
    let mut firsts = BTreeMap::new();
    for event in &part.events {
        let first = firsts.entry((event.bar, event.slot, event.hand)).or_insert(event.start);
        *first = (*first).min(event.start);
    }
    firsts
}

/// How many notes the whole of each bar of a pass asks for.
fn whole_bars(lap: &Lap) -> BTreeMap<usize, usize> {
    let timeline = crate::Timeline::new(&lap.part);
    let expected = crate::Expected::of_part(&lap.part, &timeline, lap.take.hands, lap.take.bars);
    let mut notes = BTreeMap::new();
    for note in &expected.notes {
        *notes.entry(note.bar).or_default() += 1;
    }
    notes
}
