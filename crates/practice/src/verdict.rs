//! What a score says in words: how many, steady or not, ahead or behind, and what to look at.

use crate::{ChartTime, Expected, PlayedNote, Score, ScoreOptions, StrikeVerdict, score};
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
    /// Steadily ahead of the beat by so much.
    Ahead(f64),
    /// Steadily behind it.
    Behind(f64),
    /// On the beat.
    OnTheBeat,
    /// The strikes scatter by so much, on whichever side.
    Unsteady(f64),
    /// They do not scatter.
    Steady(f64),
    /// So many chords whose notes came apart.
    NotTogether(usize),
    /// So many chords that were right in another octave or inversion.
    OtherPosition(usize),
    /// The first line was played so many semitones too high (or, negative, too low).
    OctaveOff(i8),
}

/// A median nearer to nought than this is on the beat, in milliseconds as played.
const ON_THE_BEAT_MS: f64 = 10.0;
/// A lead up to this is normal: taps fall some tens of milliseconds before a click (Aschersleben 2002).
const NORMAL_LEAD_MS: f64 = 30.0;
/// A spread up to this is steady; ensembles spread by 30 to 40 ms (ensemble studies).
const STEADY_MS: f64 = 30.0;

/// What a score says, the most important first. Lead or lag is the median, unsteadiness the spread: one may be steadily
/// late, or unsteady and right on average.
///
/// ```
/// use practice::Remark;
/// assert_eq!(Remark::Ahead(18.0).text(), "a steady 18 ms ahead, which is normal");
/// ```
pub fn remarks(score: &Score) -> Vec<Remark> {
    let mut remarks = vec![Remark::Count { matched: score.matched, expected: score.expected }];
    if let (Some(median), Some(spread)) = (score.median_ms, score.spread_ms) {
        let (median, spread) = (score.speed.stretch_ms(median), score.speed.stretch_ms(spread));
        remarks.push(match median {
            m if m.abs() < ON_THE_BEAT_MS => Remark::OnTheBeat,
            m if m < 0.0 => Remark::Ahead(-m),
            m => Remark::Behind(m),
        });
        remarks.push(if spread > STEADY_MS { Remark::Unsteady(spread) } else { Remark::Steady(spread) });
    }
    let count = |test: fn(&crate::StrikeScore) -> bool| score.strikes.iter().filter(|s| test(s)).count();
    let apart = count(|s| !s.together);
    let elsewhere =
        count(|s| matches!(s.verdict, StrikeVerdict::OtherOctave(_) | StrikeVerdict::OtherInversion));
    remarks.extend((apart > 0).then_some(Remark::NotTogether(apart)));
    remarks.extend((elsewhere > 0).then_some(Remark::OtherPosition(elsewhere)));
    remarks
}

impl Remark {
    /// For a musician.
    pub fn text(self) -> String {
        let chords = |n: usize| if n == 1 { "1 chord".to_string() } else { format!("{n} chords") };
        match self {
            Remark::Count { matched, expected } => format!("{matched} of {expected} notes"),
            Remark::Ahead(ms) if ms <= NORMAL_LEAD_MS => {
                format!("a steady {ms:.0} ms ahead, which is normal")
            }
            Remark::Ahead(ms) => format!("{ms:.0} ms ahead of the beat on the whole"),
            Remark::Behind(ms) => format!("{ms:.0} ms behind the beat on the whole"),
            Remark::OnTheBeat => "on the beat on the whole".into(),
            Remark::Unsteady(ms) => format!("unsteady: the strikes scatter by {ms:.0} ms"),
            Remark::Steady(ms) => format!("steady: the strikes scatter by {ms:.0} ms"),
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

/// By how many semitones the first line was played too high (or, negative, too low), if it was played an octave or two
/// off: fewer than half of its notes are right as they are, and at least three in four after the shift.
pub fn octave_off(expected: &Expected, played: &[PlayedNote], options: &ScoreOptions) -> Option<i8> {
    let end = expected.bars.get(expected.first_line.checked_sub(1)?)?.end;
    let last = expected.bars[expected.first_line - 1].bar;
    let first = expected.bars[0].bar;
    let notes = expected.notes.iter().filter(|n| (first..=last).contains(&n.bar)).copied().collect();
    let line = Expected::new(notes, expected.bars[..expected.first_line].to_vec(), expected.first_line);
    let in_line: Vec<PlayedNote> =
        played.iter().filter(|p| p.at < end + ChartTime::from_ms(LINE_MARGIN_MS)).copied().collect();
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
