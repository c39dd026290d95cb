//! What a score says in words: how many, steady or not, ahead or behind, and what to look at.
//!
//! These are the only limits by which lead, lag and steadiness are told; the screen and the command line both take their
//! words from here.

use crate::{
    ChartTime, Expected, Offset, PlayedNote, Score, ScoreOptions, SteadyShift, StrikeVerdict, score,
};
use theory::MidiKey;

/// One thing to say about a take. Milliseconds are as played.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Remark {
    /// So many notes of so many.
    Count {
        /// Hit.
        matched: usize,
        /// Of so many.
        expected: usize,
    },
    /// The right keys, but all of them off by more than counts: by so much, in so long a beat.
    Shifted {
        /// Played minus expected: negative is early.
        ms: f64,
        /// The same in beats.
        beats: f64,
    },
    /// Ahead of the beat by so much.
    Ahead {
        /// By so much.
        ms: f64,
        /// Whether the strikes keep together, so that this holds for each of them.
        steadily: bool,
    },
    /// Behind it.
    Behind {
        /// By so much.
        ms: f64,
        /// As for [`Remark::Ahead`].
        steadily: bool,
    },
    /// On the beat.
    OnTheBeat,
    /// How far the strikes scatter, on whichever side of the beat.
    Scatter {
        /// A standard deviation.
        ms: f64,
        /// What that is called.
        steadiness: Steadiness,
    },
    /// So many chords whose notes came apart.
    NotTogether(usize),
    /// So many chords that were right in another octave or inversion.
    OtherPosition(usize),
    /// The first line was played so many semitones too high (or, negative, too low).
    OctaveOff(i8),
}

/// How evenly strikes lie, by the standard deviation of their errors as played. The notes of one chord alone spread by some
/// 30 ms in real playing, ensembles by 30 to 40 ms (Goebl 2001; ensemble studies); where the grades lie around that is this
/// program's reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Steadiness {
    /// Up to 20 ms.
    VeryEven,
    /// Up to 35 ms.
    Even,
    /// Up to 60 ms: no order of two onsets is certain below that (Hirsh-type studies).
    LittleUneven,
    /// Above.
    Uneven,
}

impl Steadiness {
    /// The grade of a spread in milliseconds as played.
    ///
    /// ```
    /// assert_eq!(practice::Steadiness::of(28.0), practice::Steadiness::Even);
    /// ```
    pub fn of(spread_ms: f64) -> Steadiness {
        match spread_ms {
            s if s <= 20.0 => Steadiness::VeryEven,
            s if s <= 35.0 => Steadiness::Even,
            s if s <= 60.0 => Steadiness::LittleUneven,
            _ => Steadiness::Uneven,
        }
    }
}

/// A median nearer to nought than this is on the beat, in milliseconds as played: a steady lead of 10 to 30 ms is normal
/// and told, less is not worth a word.
const ON_THE_BEAT_MS: f64 = 10.0;
/// A lead up to this is normal: taps fall some tens of milliseconds before a click (Aschersleben 2002).
const NORMAL_LEAD_MS: f64 = 30.0;

/// What a score says, the most important first. Lead or lag is the median, unsteadiness the spread: one may be steadily
/// late, or unsteady and right on average. Of a take that was moved by a shift no lead or lag is told, for it went with the
/// shift.
///
/// ```
/// use practice::Remark;
/// let lead = Remark::Ahead { ms: 18.0, steadily: true };
/// assert_eq!(lead.text(), "steadily 18 ms ahead of the beat, which is usual");
/// ```
pub fn remarks(score: &Score) -> Vec<Remark> {
    let mut remarks = vec![Remark::Count { matched: score.matched, expected: score.expected }];
    if let Some(SteadyShift { by, beats, .. }) = score.steady_shift {
        remarks.push(Remark::Shifted { ms: score.as_played_ms(by), beats });
        return remarks;
    }
    remarks.extend(in_time(score));
    let count = |test: fn(&crate::StrikeScore) -> bool| score.strikes.iter().filter(|s| test(s)).count();
    let apart = count(|s| !s.together);
    let elsewhere =
        count(|s| matches!(s.verdict, StrikeVerdict::OtherOctave(_) | StrikeVerdict::OtherInversion));
    remarks.extend((apart > 0).then_some(Remark::NotTogether(apart)));
    remarks.extend((elsewhere > 0).then_some(Remark::OtherPosition(elsewhere)));
    remarks
}

/// Lead or lag, and how even.
fn in_time(score: &Score) -> Vec<Remark> {
    let (Some(median), Some(spread)) = (score.median_ms, score.spread_ms) else { return Vec::new() };
    let (median, spread) = (score.speed.stretch_ms(median), score.speed.stretch_ms(spread));
    let steadiness = Steadiness::of(spread);
    let steadily = steadiness <= Steadiness::Even;
    let lead = match median {
        m if m.abs() < ON_THE_BEAT_MS => Remark::OnTheBeat,
        m if m < 0.0 => Remark::Ahead { ms: -m, steadily },
        m => Remark::Behind { ms: m, steadily },
    };
    let told = (score.offset == ChartTime::ZERO).then_some(lead);
    told.into_iter().chain([Remark::Scatter { ms: spread, steadiness }]).collect()
}

impl Remark {
    /// Whether it is about time: lead, lag, evenness, or all of it shifted.
    pub fn is_of_time(self) -> bool {
        !matches!(
            self,
            Remark::Count { .. } | Remark::NotTogether(_) | Remark::OtherPosition(_) | Remark::OctaveOff(_)
        )
    }

    /// For a musician.
    pub fn text(self) -> String {
        let chords = |n: usize| if n == 1 { "1 chord".to_string() } else { format!("{n} chords") };
        match self {
            Remark::Count { matched, expected } => format!("{matched} of {expected} notes"),
            Remark::Shifted { ms, beats } => {
                let way = if ms < 0.0 { "early" } else { "late" };
                format!("the right keys, steadily {} {way}", so_much(ms.abs(), beats.abs()))
            }
            Remark::Ahead { ms, steadily: true } if ms <= NORMAL_LEAD_MS => {
                format!("steadily {ms:.0} ms ahead of the beat, which is usual")
            }
            Remark::Ahead { ms, steadily: true } => {
                format!("steadily {ms:.0} ms ahead of the beat: let the beat come")
            }
            Remark::Ahead { ms, .. } => format!("{ms:.0} ms ahead of the beat on the whole"),
            Remark::Behind { ms, steadily: true } => format!("steadily {ms:.0} ms behind the beat"),
            Remark::Behind { ms, .. } => format!("{ms:.0} ms behind the beat on the whole"),
            Remark::OnTheBeat => "on the beat on the whole".into(),
            Remark::Scatter { ms, steadiness } => match steadiness {
                Steadiness::VeryEven => format!("very even: {ms:.0} ms either way"),
                Steadiness::Even => format!("even: {ms:.0} ms either way"),
                Steadiness::LittleUneven => format!("a little uneven: {ms:.0} ms either way"),
                Steadiness::Uneven => format!("uneven: {ms:.0} ms either way; slower would help"),
            },
            Remark::NotTogether(n) => format!("the notes of {} did not come together", chords(n)),
            Remark::OtherPosition(n) => format!("{} right, in another octave or inversion", chords(n)),
            Remark::OctaveOff(by) => {
                let way = if by > 0 { "high" } else { "low" };
                match by.unsigned_abs() / 12 {
                    1 => format!("the first line was played an octave too {way}"),
                    n => format!("the first line was played {n} octaves too {way}"),
                }
            }
        }
    }
}

/// A shift as musicians say it, if it is near a fraction of a beat that has a name; else in milliseconds.
fn so_much(ms: f64, beats: f64) -> String {
    const NAMED: [(f64, &str); 8] = [
        (0.25, "a quarter of a beat"),
        (1.0 / 3.0, "a third of a beat"),
        (0.5, "half a beat"),
        (2.0 / 3.0, "two thirds of a beat"),
        (0.75, "three quarters of a beat"),
        (1.0, "a beat"),
        (1.5, "a beat and a half"),
        (2.0, "two beats"),
    ];
    // Half the way between the two that lie nearest to each other.
    let named = NAMED.iter().find(|(size, _)| (size - beats).abs() <= 0.04);
    named.map_or_else(|| format!("{ms:.0} ms"), |(_, name)| (*name).to_owned())
}

/// By how many semitones the first line was played too high (or, negative, too low), if it was played an octave or two
/// off: fewer than half of its notes are right as they are, and at least three in four after the shift. If the shift in
/// time is to be found as well, the line is looked for in the whole take.
pub fn octave_off(expected: &Expected, played: &[PlayedNote], options: &ScoreOptions) -> Option<i8> {
    let end = expected.bars.get(expected.first_line.checked_sub(1)?)?.end;
    let last = expected.bars[expected.first_line - 1].bar;
    let first = expected.bars[0].bar;
    let notes = expected.notes.iter().filter(|n| (first..=last).contains(&n.bar)).copied().collect();
    let line = Expected::new(notes, expected.bars[..expected.first_line].to_vec(), expected.first_line);
    let in_line = |p: &&PlayedNote| match options.offset {
        Offset::Fixed(offset) => p.at - offset < end + ChartTime::from_ms(LINE_MARGIN_MS),
        Offset::Auto => true,
    };
    let in_line: Vec<PlayedNote> = played.iter().filter(in_line).copied().collect();
    let share = |by: i8| score(&line, &shifted(&in_line, -by), options).recall;
    if line.notes.is_empty() || share(0) >= 0.5 {
        return None;
    }
    [12, -12, 24, -24].into_iter().find(|&by| share(by) >= 0.75)
}

/// What is played a little after the line's end may belong to it.
const LINE_MARGIN_MS: f64 = 150.0;

/// Notes moved by semitones; those that would leave the keyboard's 128 keys are left out.
pub(crate) fn shifted(played: &[PlayedNote], by: i8) -> Vec<PlayedNote> {
    let key = |k: MidiKey| k.number().checked_add_signed(by).and_then(MidiKey::new);
    played.iter().filter_map(|p| Some(PlayedNote { key: key(p.key)?, ..*p })).collect()
}
