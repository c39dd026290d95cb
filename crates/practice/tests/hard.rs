//! Hard bars of passes with planted mistakes, each with its reason.

use crate::support::*;
use practice::learn::*;
use practice::*;
use theory::Hand;

/// Four bars of 4/4 at 60 (a beat is 1000 ms), a chord in each half of a bar, struck twice: the third bar's right hand goes
/// far for its second chord, the fourth is split unevenly.
fn song() -> voicing::Part {
    let twice = |right: &[u8], left: &[u8]| SlotOf { every: 2, ..chord(4, right, left) };
    let c = || twice(&[60, 64, 67], &[36]);
    let uneven = [SlotOf { every: 2, ..chord(6, &[60, 64, 67], &[36]) }, chord(2, &[59, 62, 67], &[43])];
    part(&[
        bar((4, 4), 60.0, &[c(), twice(&[60, 65, 69], &[41])]),
        bar((4, 4), 60.0, &[c(), c()]),
        bar((4, 4), 60.0, &[c(), twice(&[72, 76, 79], &[48])]),
        bar((4, 4), 60.0, &uneven),
    ])
}

/// Passes in which something is done to every note (by its bar, its hand and its number in the bar).
fn passes(times: usize, deed: impl Fn(&ExpectedNote) -> Option<(f64, i8)>) -> Vec<Score> {
    let song = expected(&song());
    let played = song.notes.iter().filter_map(|n| {
        let (late, higher) = deed(n)?;
        Some(played(n.at.ms() + late, n.key.number().checked_add_signed(higher).unwrap()))
    });
    let take: Vec<PlayedNote> = played.collect();
    (0..times).map(|_| score(&song, &take, &ScoreOptions::default())).collect()
}

/// The hard bars with their reasons in words.
fn found(scores: &[Score]) -> Vec<(usize, Vec<String>)> {
    let passes: Vec<ScoredPass<'_>> = scores.iter().map(|score| ScoredPass { score, pedal: None }).collect();
    let hard = hard_bars(&song(), &passes);
    hard.into_iter().map(|h| (h.bar, h.reasons.into_iter().map(Reason::text).collect())).collect()
}

fn one(bar: usize, reasons: &[&str]) -> Vec<(usize, Vec<String>)> {
    vec![(bar, reasons.iter().map(|r| (*r).to_string()).collect())]
}

/// Where in its bar a note is expected, in milliseconds.
fn into_bar(n: &ExpectedNote) -> f64 {
    n.at.ms() - 4000.0 * n.bar as f64
}

#[test]
fn clean_bars_are_not_hard_and_one_pass_says_nothing() {
    assert_eq!(found(&passes(3, |_| Some((10.0, 0)))), []);
    assert_eq!(found(&passes(1, |_| None)), []);
    assert_eq!(found(&passes(2, |n| (n.bar != 1).then_some((0.0, 0)))).len(), 1);
}

#[test]
fn the_hand_that_fails_is_named() {
    let left = passes(3, |n| (n.bar != 1 || n.hand == Hand::Right).then_some((0.0, 0)));
    assert_eq!(found(&left), one(1, &["it is the left hand"]));
}

// By hand: from C E G (60 64 67) to C E G an octave higher (72 76 79) all voices go up 12 semitones, and no note was held; from
// 60 64 67 to 60 65 69 two go up by step.
#[test]
fn the_change_is_named_where_it_goes_far() {
    let at_the_change = |bar: usize| {
        passes(3, move |n| {
            let first = n.bar == bar && n.hand == Hand::Right && into_bar(n) == 2000.0;
            (!first).then_some((0.0, 0))
        })
    };
    let far = "the change into chord 2: all 3 notes of the right hand up 12 semitones";
    assert_eq!(found(&at_the_change(2)), one(2, &[far]));
    assert_eq!(found(&at_the_change(0)), one(0, &[]), "two notes by step are no reason");
}

#[test]
fn another_position_is_named_though_it_is_clean_for_time() {
    let low = passes(2, |n| {
        let octave = n.bar == 1 && n.hand == Hand::Right;
        let missed = n.bar == 1 && n.hand == Hand::Left && into_bar(n) == 1000.0;
        (!missed).then_some((0.0, if octave { -12 } else { 0 }))
    });
    assert_eq!(found(&low)[0].1[0], "another inversion or octave 8 times of 16");
}

#[test]
fn a_bar_that_drags_is_told_apart_from_an_uneven_one() {
    let drags = passes(2, |n| Some((if n.bar == 1 { 80.0 } else { 0.0 }, 0)));
    assert_eq!(found(&drags), one(1, &["80 ms later than the rest"]));
    let rough = passes(2, |n| {
        let way = if into_bar(n) % 2000.0 == 0.0 { 80.0 } else { -80.0 };
        Some((if n.bar == 1 { way } else { 0.0 }, 0))
    });
    assert_eq!(found(&rough), one(1, &["the rhythm: 16 of 16 right keys were not in time"]));
}

#[test]
fn an_uneven_bar_is_named_beside_its_rhythm() {
    let rough = passes(2, |n| {
        let way = if into_bar(n) % 2000.0 == 0.0 { 80.0 } else { -80.0 };
        Some((if n.bar == 3 { way } else { 0.0 }, 0))
    });
    assert_eq!(found(&rough)[0].1.last().map(String::as_str), Some("the bar is uneven"));
}

#[test]
fn chords_that_come_apart_are_named() {
    let late = |n: &ExpectedNote| n.bar == 1 && n.key.number() == 67 && into_bar(n) < 2000.0;
    let apart = passes(2, |n| Some((if late(n) { 58.0 } else { 0.0 }, 0)));
    assert_eq!(found(&apart), one(1, &["the notes came apart 4 times of 16"]));
}

#[test]
fn the_hardest_comes_first() {
    let half = |n: &ExpectedNote| n.bar != 2;
    let mut scores = passes(2, |n| (n.bar != 1 && half(n)).then_some((0.0, 0)));
    scores.extend(passes(2, |n| (n.bar != 1).then_some((0.0, 0))));
    let bars: Vec<usize> = found(&scores).into_iter().map(|f| f.0).collect();
    assert_eq!(bars, [1, 2]);
}
