//! Takes that were recorded elsewhere: their clock, their speed and where they begin are not known and are found.
//!
//! In this order: the speed, if it is asked for; the shift; the stretch that the take covers, over which alone it is
//! scored. A take that fits an octave or two away is told so.

use crate::verdict::shifted;
use crate::{
    ChartTime, ControlChange, Expected, Hands, LoopBars, Offset, PlayedNote, Score, ScoreOptions, Speed,
    Take, TakeTempo, Timeline, Window, find_speed, score,
};

/// How fast a take was played.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TakeSpeed {
    /// So fast.
    Given(Speed),
    /// To be found, see [`find_speed`].
    Find,
}

/// How a take from elsewhere is scored.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ForeignOptions {
    /// What counts as a pair.
    pub window: Window,
    /// The shift of its clock.
    pub offset: Offset,
    /// Its speed.
    pub speed: TakeSpeed,
    /// Semitones, a multiple of 12, by which its keys are moved first.
    pub octave_shift: i8,
    /// Whether all that is expected counts, also what lies before its beginning and after its end.
    pub whole: bool,
}

impl Default for ForeignOptions {
    fn default() -> Self {
        let speed = TakeSpeed::Given(Speed::FULL);
        ForeignOptions {
            window: Window::ByStrike,
            offset: Offset::Auto,
            speed,
            octave_shift: 0,
            whole: false,
        }
    }
}

/// What came of it.
#[derive(Clone, Debug, PartialEq)]
pub struct ForeignScore {
    /// The score over what the take covers; it tells shift and speed.
    pub score: Score,
    /// The first expected note that counts; `None` if the take begins in the first bar.
    pub from: Option<ChartTime>,
    /// The last expected note that counts; `None` if it ends in the last bar.
    pub until: Option<ChartTime>,
    /// It would fit, and does not as it is, if its keys were moved by so many semitones more.
    pub octave_offer: Option<i8>,
}

/// Scores a take from elsewhere. Its notes are in its own time, that is as [`PlayedNote`]s at full speed.
///
/// A take covers what lies between the first and the last strike around which at least half is played. If the first of
/// them lies in the first bar, the player began at the beginning and all of that bar counts; so at the end.
pub fn score_foreign(expected: &Expected, notes: &[PlayedNote], options: &ForeignOptions) -> ForeignScore {
    let scored = score_as_it_is(expected, notes, options);
    let offer = (scored.score.precision < 0.5 && !notes.is_empty()).then(|| {
        [-12, 12, -24, 24].into_iter().find(|by| {
            let moved = ForeignOptions { octave_shift: options.octave_shift + by, ..*options };
            score_as_it_is(expected, notes, &moved).score.precision >= 0.75
        })
    });
    ForeignScore { octave_offer: offer.flatten(), ..scored }
}

impl ForeignScore {
    /// The take as one of this program's own, with the shift taken off: it can be shown, kept and scored again to the same
    /// result, as far as the grid of takes goes; its tempi and bar lines are those of the song. `notes` and `controls` are
    /// those of the take in its own time.
    pub fn take(
        &self,
        notes: &[PlayedNote],
        controls: &[ControlChange],
        octave_shift: i8,
        hands: Hands,
        timeline: &Timeline,
    ) -> Take {
        let speed = self.score.speed;
        let moved: Vec<PlayedNote> = in_chart(&shifted(notes, octave_shift), speed)
            .into_iter()
            .map(|n| PlayedNote { at: n.at - self.score.offset, ..n })
            .collect();
        let at = |c: &ControlChange| ChartTime::from_ms(speed.shrink_ms(c.at.ms())) - self.score.offset;
        let controls = controls.iter().map(|c| ControlChange { at: at(c), ..*c }).collect();
        let all = LoopBars::new(0, timeline.bars().len().saturating_sub(1));
        let tempo = TakeTempo::of_bars(timeline, all, &[(0.0, speed)]);
        let take = Take::over(tempo, moved, speed, hands, None).with_controls(controls);
        Take { from: self.from, until: self.until, ..take }
    }
}

fn score_as_it_is(expected: &Expected, notes: &[PlayedNote], options: &ForeignOptions) -> ForeignScore {
    let notes = shifted(notes, options.octave_shift);
    let speed = match options.speed {
        TakeSpeed::Given(speed) => speed,
        TakeSpeed::Find => find_speed(expected, &notes, options.window),
    };
    let notes = in_chart(&notes, speed);
    let scoring = ScoreOptions { window: options.window, offset: options.offset, speed };
    let all = score(expected, &notes, &scoring);
    let (from, until) = if options.whole { (None, None) } else { covered(expected, &all) };
    if from.is_none() && until.is_none() {
        return ForeignScore { score: all, from, until, octave_offer: None };
    }
    let scoring = ScoreOptions { offset: Offset::Fixed(all.offset), ..scoring };
    let score = score(&expected.between(from, until), &notes, &scoring);
    ForeignScore { score, from, until, octave_offer: None }
}

/// Notes in their own time, in the chart's.
fn in_chart(notes: &[PlayedNote], speed: Speed) -> Vec<PlayedNote> {
    let chart = |t: ChartTime| ChartTime::from_ms(speed.shrink_ms(t.ms()));
    let note = |n: &PlayedNote| {
        let at = chart(n.at);
        PlayedNote { at, length: n.length.map(|l| chart(n.at + l) - at), ..*n }
    };
    notes.iter().map(note).collect()
}

/// So many strikes one after another are looked at, to tell playing from a note that fits by chance.
const AROUND: usize = 8;

/// Where a take begins and ends, if that is not where the part does.
fn covered(expected: &Expected, score: &Score) -> (Option<ChartTime>, Option<ChartTime>) {
    let mut strikes: Vec<Struck> = Vec::new();
    for strike in &score.strikes {
        let played = strike.error_ms.is_some();
        match strikes.last_mut() {
            Some(last) if last.at == strike.at => last.played |= played,
            _ => strikes.push(Struck { at: strike.at, bar: strike.bar, played }),
        }
    }
    let Some(first) = begins(&strikes) else { return (None, None) };
    strikes.reverse();
    let last = begins(&strikes).unwrap_or(first);
    let of_bar = |bar: Option<&crate::BarSpan>| bar.map(|b| b.bar);
    let from = (of_bar(expected.bars.first()) != Some(first.bar)).then_some(first.at);
    let until = (of_bar(expected.bars.last()) != Some(last.bar)).then_some(last.at);
    (from, until)
}

/// What both hands strike at one time.
#[derive(Clone, Copy)]
struct Struck {
    at: ChartTime,
    bar: usize,
    played: bool,
}

/// The first strike that was played and from which on at least half was.
fn begins(strikes: &[Struck]) -> Option<Struck> {
    let index = (0..strikes.len()).find(|&i| {
        let ahead = &strikes[i..(i + AROUND).min(strikes.len())];
        strikes[i].played && 2 * ahead.iter().filter(|s| s.played).count() >= ahead.len()
    })?;
    Some(strikes[index])
}
