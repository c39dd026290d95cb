use crate::support::*;
use practice::*;

/// Two bars of 4/4 at 100 (a beat is 600 ms): C, then F over a low root; strikes on 1 and 3.
fn two_bars() -> Expected {
    let c = chord(4, &[60, 64, 67], &[36]);
    let f = chord(4, &[60, 65, 69], &[41]);
    expected(&part(&[bar((4, 4), 100.0, &[c.clone(), c]), bar((4, 4), 100.0, &[f.clone(), f])]))
}

fn scored(take: &[PlayedNote]) -> Score {
    score(&two_bars(), take, &ScoreOptions::default())
}

/// The right hand's strikes, in order.
fn verdicts(score: &Score) -> Vec<StrikeVerdict> {
    score.strikes.iter().filter(|s| s.hand == theory::Hand::Right).map(|s| s.verdict).collect()
}

#[test]
fn a_perfect_take_is_clean_bar_by_bar() {
    let score = scored(&exactly(&two_bars(), 0.0));
    assert_eq!((score.matched, score.missed, score.extra), (16, 0, 0));
    assert!(score.bars.iter().all(|b| b.clean && b.clean_in_time && b.expected == 8 && b.matched == 8));
}

#[test]
fn without_notes_every_ratio_is_nought() {
    let nothing = scored(&[]);
    assert_eq!((nothing.precision, nothing.recall, nothing.f1), (0.0, 0.0, 0.0));
    assert_eq!((nothing.mean_ms, nothing.spread_ms), (None, None));
    assert!(nothing.bars.iter().all(|b| !b.clean));
    let silence = score(&Expected::default(), &[], &ScoreOptions::default());
    assert_eq!((silence.recall, silence.f1), (0.0, 0.0));
}

// Worked by hand from the rule of windows: the beat is 600 ms, the gap 1200: in time within 48, counted within 150.
#[test]
fn windows_decide_between_in_time_counted_and_missed() {
    let late = |ms: f64| scored(&exactly(&two_bars(), ms));
    assert!(late(48.0).notes.iter().all(|n| n.in_time));
    assert!(late(48.1).notes.iter().all(|n| !n.in_time && n.error.is_some()));
    assert_eq!(late(150.0).matched, 16);
    assert_eq!(late(150.1).matched, 0);
}

#[test]
fn at_half_speed_windows_are_half_as_wide_in_chart_time() {
    let options = ScoreOptions { speed: Speed::new(50.0).unwrap(), ..ScoreOptions::default() };
    // As played the beat is 1200 ms: in time within 60 ms, which are 30 of the chart.
    let at = |ms: f64| score(&two_bars(), &exactly(&two_bars(), ms), &options).notes[0].in_time;
    assert!(at(30.0) && !at(30.1));
    let score = score(&two_bars(), &exactly(&two_bars(), 20.0), &options);
    assert_eq!(score.as_played_ms(ChartTime::from_ms(score.median_ms.unwrap())), 40.0);
}

#[test]
fn one_strike_in_eight_may_be_loose_in_a_clean_bar() {
    let slots: Vec<SlotOf> = (0..8).map(|n| chord(1, &[60 + n], &[])).collect();
    let song = expected(&part(&[bar((4, 4), 60.0, &slots)]));
    let mut take = exactly(&song, 0.0);
    let loosen = |take: &mut Vec<PlayedNote>, n: usize| take[n].at = take[n].at + ChartTime::from_ms(100.0);
    loosen(&mut take, 3);
    assert!(score(&song, &take, &ScoreOptions::default()).bars[0].clean);
    loosen(&mut take, 5);
    assert!(!score(&song, &take, &ScoreOptions::default()).bars[0].clean);
}

#[test]
fn an_extra_belongs_to_the_bar_of_its_time() {
    let mut take = exactly(&two_bars(), 0.0);
    take.push(played(2399.9, 90));
    take.push(played(2400.0, 91));
    take.push(played(-700.0, 92));
    take.push(played(99_000.0, 93));
    let score = scored(&take);
    let at: Vec<(usize, u8)> = score.extras.iter().map(|e| (e.bar, e.key.number())).collect();
    assert_eq!(at, [(0, 92), (0, 90), (1, 91), (1, 93)]);
    assert_eq!((score.bars[0].extra, score.bars[1].extra), (2, 2));
    assert!(!score.bars[0].clean && !score.bars[1].clean);
}

// The rule: shorter than 30 ms or softer than velocity 15, next to a right key.
#[test]
fn brushes_are_not_counted_as_wrong() {
    let with = |extra: PlayedNote| {
        let mut take = exactly(&two_bars(), 0.0);
        take.push(extra);
        let score = scored(&take);
        (score.extras[0].kind, score.bars[0].clean, score.extra)
    };
    let short = |ms| PlayedNote { length: Some(ChartTime::from_ms(ms)), ..played(5.0, 61) };
    assert_eq!(with(short(29.9)), (ExtraKind::Brush, true, 1));
    assert_eq!(with(short(30.0)), (ExtraKind::Wrong, false, 1));
    let soft = |velocity, key| PlayedNote { velocity, ..played(5.0, key) };
    assert_eq!(with(soft(14, 66)), (ExtraKind::Brush, true, 1));
    assert_eq!(with(soft(15, 66)), (ExtraKind::Wrong, false, 1));
    assert_eq!(with(soft(14, 80)), (ExtraKind::Wrong, false, 1), "no right key is next to it");
}

#[test]
fn the_right_chord_elsewhere_is_told_apart_from_a_wrong_one() {
    let mut take: Vec<PlayedNote> = Vec::new();
    let mut strike = |ms: f64, keys: &[u8]| take.extend(keys.iter().map(|&k| played(ms, k)));
    strike(10.0, &[36, 64, 67, 72]); // C in first inversion: two of its keys lie where they should
    strike(1210.0, &[36, 48, 52, 55]); // C an octave lower
    strike(2410.0, &[41, 62, 65, 70]); // another chord, one key shared
    strike(3610.0, &[41]); // nothing in the right hand
    let score = scored(&take);
    let expected = [
        StrikeVerdict::OtherInversion,
        StrikeVerdict::OtherOctave(-12),
        StrikeVerdict::Part,
        StrikeVerdict::Missed,
    ];
    assert_eq!(verdicts(&score), expected);
    assert_eq!((score.bars[0].clean, score.bars[0].clean_in_time), (false, true));
    assert!(!score.bars[1].clean_in_time);
    assert_eq!(expected[1].text(), "the right chord, an octave lower");
}

#[test]
fn another_chord_is_wrong_even_with_as_many_keys() {
    let mut take: Vec<PlayedNote> = exactly(&two_bars(), 0.0);
    take.retain(|n| n.at.ms() > 0.0 || n.key.number() == 36);
    take.extend([62, 66, 69].map(|k| played(0.0, k)));
    let score = scored(&take);
    assert_eq!(verdicts(&score)[0], StrikeVerdict::Wrong);
    assert!(!score.bars[0].clean_in_time);
}

// Notes more than 45 ms apart were not together.
#[test]
fn a_chord_whose_notes_come_apart_is_told() {
    let apart = |ms: f64| {
        let mut take = exactly(&two_bars(), 0.0);
        let top = take.iter_mut().find(|n| n.key.number() == 67).unwrap();
        top.at = ChartTime::from_ms(ms);
        let score = scored(&take);
        (
            score.strikes.iter().filter(|s| !s.together).count(),
            remarks(&score).contains(&Remark::NotTogether(1)),
        )
    };
    assert_eq!(apart(45.0), (0, false));
    assert_eq!(apart(45.1), (1, true));
}

/// The middle of the notes is on the beat, but they are 60 ms apart.
#[test]
fn a_bar_with_a_smeared_chord_is_not_clean() {
    let mut take = exactly(&two_bars(), 0.0);
    for (note, by) in take.iter_mut().zip([0.0, -30.0, 0.0, 30.0]) {
        note.at = note.at + ChartTime::from_ms(by);
    }
    let score = scored(&take);
    let right = score.strikes.iter().find(|s| s.hand == theory::Hand::Right).unwrap();
    assert!(right.in_time && !right.together);
    assert_eq!((score.bars[0].clean, score.bars[1].clean), (false, true));
}

#[test]
fn steady_lead_is_told_apart_from_unsteadiness() {
    let steady = remarks(&scored(&exactly(&two_bars(), -22.0)));
    let even = Remark::Scatter { ms: 0.0, steadiness: Steadiness::VeryEven };
    assert_eq!(steady[1..], [Remark::Ahead { ms: 22.0, steadily: true }, even]);
    let mut take = exactly(&two_bars(), 0.0);
    for (n, note) in take.iter_mut().enumerate() {
        // Whole strikes, alternately 70 ms late and 10 early: 30 late on the whole.
        let by = if (n / 4) % 2 == 0 { 70.0 } else { -10.0 };
        note.at = note.at + ChartTime::from_ms(by);
    }
    let unsteady = remarks(&scored(&take));
    let uneven = Remark::Scatter { ms: 40.0, steadiness: Steadiness::LittleUneven };
    assert_eq!(unsteady[1..], [Remark::Behind { ms: 30.0, steadily: false }, uneven]);
    assert_eq!(unsteady[1].text(), "30 ms behind the beat on the whole");
    assert_eq!(unsteady[2].text(), "a little uneven: 40 ms either way");
}

// A steady 10 to 30 ms ahead is normal (Aschersleben 2002: taps fall some tens of ms before a click).
#[test]
fn a_usual_lead_is_called_usual_and_a_larger_one_is_not() {
    let said = |late: f64| remarks(&scored(&exactly(&two_bars(), late)))[1].text();
    assert_eq!(said(-9.9), "on the beat on the whole");
    assert_eq!(said(-10.0), "steadily 10 ms ahead of the beat, which is usual");
    assert_eq!(said(-30.0), "steadily 30 ms ahead of the beat, which is usual");
    assert_eq!(said(-31.0), "steadily 31 ms ahead of the beat: let the beat come");
    assert_eq!(said(14.0), "steadily 14 ms behind the beat");
}

/// Sixteen chords of 4/4 at 100 (a beat is 600 ms), one on each beat, no two alike.
fn a_chord_on_each_beat() -> Expected {
    let beat = |n: u8| chord(2, &[60 + n % 7, 67 + n % 5], &[36 + n]);
    let line = |b: u8| bar((4, 4), 100.0, &[0, 1, 2, 3].map(|n| beat(4 * b + n)));
    expected(&part(&[0, 1, 2, 3].map(line)))
}

#[test]
fn the_right_keys_steadily_half_a_beat_late_are_told_as_such() {
    let song = a_chord_on_each_beat();
    let said = |late: f64, percent: f64| {
        let options = ScoreOptions { speed: Speed::new(percent).unwrap(), ..ScoreOptions::default() };
        let score = score(&song, &exactly(&song, late), &options);
        assert_eq!((score.matched, score.extra), (0, 48), "the score stays what it is");
        remarks(&score)[1..].iter().map(|r| r.text()).collect::<Vec<_>>()
    };
    assert_eq!(said(300.0, 100.0), ["the right keys, steadily half a beat late"]);
    assert_eq!(said(-300.0, 50.0), ["the right keys, steadily half a beat early"]);
    assert_eq!(said(-600.0, 100.0), ["the right keys, steadily a beat early"]);
    assert_eq!(said(260.0, 50.0), ["the right keys, steadily 520 ms late"], "as played, 0.43 beats");
    assert_eq!(said(1500.0, 100.0), Vec::<String>::new(), "two beats and a half are too far to tell");
}

#[test]
fn a_shift_is_told_of_most_keys_right_and_of_no_others() {
    let song = a_chord_on_each_beat();
    let with = |right: usize| {
        let mut take = exactly(&song, 300.0);
        take[right..].iter_mut().for_each(|n| n.key = key(n.key.number() + 40));
        score(&song, &take, &ScoreOptions::default()).steady_shift.map(|s| (s.by.ms(), s.beats, s.matched))
    };
    assert_eq!(with(36), Some((300.0, 0.5, 36)), "three notes in four");
    assert_eq!(with(35), None);
    assert_eq!(score(&song, &exactly(&song, 30.0), &ScoreOptions::default()).steady_shift, None);
}

#[test]
fn a_first_line_an_octave_off_is_noticed() {
    let song = two_bars();
    let moved = |by: i8| -> Vec<PlayedNote> {
        let up = |n: PlayedNote| PlayedNote { key: key(n.key.number().checked_add_signed(by).unwrap()), ..n };
        exactly(&song, 5.0).into_iter().map(up).collect()
    };
    let off = |take: &[PlayedNote]| octave_off(&song, take, &ScoreOptions::default());
    assert_eq!(off(&moved(12)), Some(12));
    assert_eq!(off(&moved(-24)), Some(-24));
    assert_eq!(off(&moved(0)), None);
    assert_eq!(off(&moved(7)), None);
    assert_eq!(Remark::OctaveOff(12).text(), "the first line was played an octave too high");
}

#[test]
fn a_hand_is_scored_alone() {
    let song = two_bars();
    let right = song.for_hands(Hands::Right);
    let score = score(&right, &exactly(&right, 0.0), &ScoreOptions::default());
    assert_eq!((score.expected, score.matched), (12, 12));
}
