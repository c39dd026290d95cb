//! Changes from chord to chord: what is heard of them, what is believed of them, and drills of them.

use crate::remembering::{name, on_day, pass, played_but, song};
use crate::support::*;
use practice::history::*;
use practice::learn::{Heard, *};
use practice::*;
use std::sync::Arc;
use theory::Hand;
use voicing::Part;

/// The first strike of the right hand for the second chord of a bar; bars last four seconds.
fn into_second_chord(n: &ExpectedNote, bar: usize) -> bool {
    n.bar == bar && n.hand == Hand::Right && n.at.ms() == 4000.0 * bar as f64 + 2000.0
}

/// A pass at 80 % in which that strike is left out of some bars.
fn slipping(part: &Part, bars: &[usize], hands: Hands, day: i64) -> PassRecord {
    let left_out = |n: &ExpectedNote| bars.iter().any(|bar| into_second_chord(n, *bar)) || !hands.has(n.hand);
    pass(part, Take::new(played_but(part, left_out), Speed::clamped(80.0), hands, None), day)
}

fn recalling(part: &Part, records: &[PassRecord]) -> Coach {
    Coach::recalling(part, Speed::clamped(80.0), &place(records, &fingerprints(part)))
}

fn change(bar: usize, slot: usize, right: Option<bool>, left: Option<bool>) -> ChangePassed {
    ChangePassed { bar, slot, right, left }
}

const MADE: Option<bool> = Some(true);

#[test]
fn a_record_has_each_change_by_hand() {
    let part = song(&["1", "4"]);
    let record = slipping(&part, &[1], Hands::Both, 0);
    let all = [change(0, 1, MADE, MADE), change(1, 0, MADE, MADE), change(1, 1, Some(false), MADE)];
    assert_eq!(record.changes, all, "nothing comes before the first chord");
    let right = slipping(&part, &[], Hands::Right, 0);
    assert_eq!(right.changes[0], change(0, 1, MADE, None));
}

#[test]
fn old_bars_tell_of_changes_by_their_strikes() {
    let part = song(&["1", "4", "5"]);
    let record = slipping(&part, &[2], Hands::Both, 0);
    assert_eq!(ChangePassed::of_bars(&record.bars, false), record.changes);
    let drilled = ChangePassed::of_bars(&record.bars[2..], true);
    assert_eq!(drilled, [change(2, 0, MADE, MADE), change(2, 1, Some(false), MADE)], "led into");
    assert_eq!(ChangePassed::of_bars(&record.bars[2..], false), drilled[1..], "begun there");
    let apart = [record.bars[0].clone(), record.bars[2].clone()];
    assert_eq!(
        ChangePassed::of_bars(&apart, false).len(),
        2,
        "no change leads over a bar that was not played"
    );
}

// From C E G over C to C F A over F and back, by hand.
#[test]
fn the_voices_of_a_change_are_told() {
    let changes = Change::all(&song(&["1", "4"]));
    let texts: Vec<String> = changes.iter().map(Change::text).collect();
    let right = "the right hand's top note up 2 semitones and middle note up 1";
    assert_eq!(texts[0], format!("into bar 1, chord 2: {right}; the left hand's note up 5 semitones"));
    assert!(texts[1].starts_with("into bar 2: the right hand's top note down 2 semitones"), "{texts:?}");
    assert_eq!(changes.len(), 3);
    let twice = bar((4, 4), 60.0, &[chord(4, &[60], &[36]), chord(4, &[60], &[36])]);
    assert_eq!(Change::all(&part(&[twice])), [], "struck again as it lies");
}

#[test]
fn what_fails_at_a_change_is_believed_of_the_change_and_not_of_the_rest() {
    let part = song(&["1", "4", "5", "6"]);
    let coach = recalling(&part, &vec![slipping(&part, &[2], Hands::Both, 0); 4]);
    let ready = readiness(&part, &coach, 0.5, Some(6.5));
    let of = |bar, slot| ready.changes.iter().find(|c| (c.change.bar, c.change.slot) == (bar, slot)).unwrap();
    let (weak, sound) = (of(2, 1), of(2, 0));
    assert!(weak.ready.today.mean < 0.4 && sound.ready.today.mean > 0.8, "{weak:?} {sound:?}");
    assert!(weak.ready.today.low < weak.ready.today.mean && weak.ready.today.mean < weak.ready.today.high);
    assert!(sound.ready.on_the_day.unwrap().mean < sound.ready.today.mean, "days without practice");
    assert_eq!((weak.heard, weak.alone), (4, [None, None]));
    let told: Vec<String> = ready.weak_changes(0.7).iter().map(|c| c.words()).collect();
    assert!(
        told.len() == 1 && told[0].starts_with("into bar 3, chord 2: the right hand's top note"),
        "{told:?}"
    );
    // The failure is in the bar already: the song is as likely as its bars.
    let bars: f64 = ready.bars.iter().map(|bar| bar.today.mean).product();
    assert!((ready.song.today.mean - bars).abs() < 1e-9);
    for change in &ready.changes {
        assert!(change.ready.today.mean >= ready.bars[change.change.bar].today.mean, "{change:?}");
    }
}

#[test]
fn a_bar_that_fails_at_a_change_is_drilled_there_first() {
    let part = song(&["1", "4", "5", "6"]);
    let records = vec![slipping(&part, &[2], Hands::Both, 0); 4];
    let placed = place(&records, &fingerprints(&part));
    let mut coach = recalling(&part, &records);
    let mut hard = hard_bars_of(&part, placed.iter().flat_map(|pass| pass.bars.iter().copied()));
    coach.explain(&mut hard, 0.5);
    let why: Vec<String> = hard[0].reasons.iter().map(|reason| reason.text()).collect();
    assert_eq!(
        (hard[0].bar, why[0].as_str()),
        (2, "the change into chord 2: the right hand's top note up 2 semitones and middle note up 1")
    );
    let mut advice = coach.next(0.5).unwrap();
    assert_eq!((advice.bars, advice.change, advice.hands), (LoopBars::new(2, 2), Some(1), Hands::Right));
    let mut stages = vec![(advice.change, advice.hands)];
    for _ in 0..20 {
        let clean = [change(2, 1, MADE, MADE)];
        let bars = if advice.change.is_none() { vec![Heard { bar: 2, clean: true }] } else { Vec::new() };
        let heard = HeardPass { bars, changes: clean.to_vec(), rests: Vec::new() };
        coach.heard_pass(&advice, &heard, 0.5);
        advice = coach.next(0.5).unwrap();
        if advice.why != Why::Hard || advice.bars != LoopBars::new(2, 2) {
            break;
        }
        stages.push((advice.change, advice.hands));
    }
    stages.dedup();
    assert_eq!(stages, [(Some(1), Hands::Right), (Some(1), Hands::Both), (None, Hands::Both)]);
    assert!(coach.spacings().any(|(bar, spacing)| bar == 2 && spacing.is_some()), "learned");
}

#[test]
fn each_hand_is_believed_alone() {
    let part = song(&["1", "4"]);
    let coach = recalling(&part, &vec![slipping(&part, &[1], Hands::Right, 0); 3]);
    let known = coach.change_belief(1, 1).unwrap();
    let heard = [Hands::Both, Hands::Right, Hands::Left].map(|hands| known.of(hands).heard());
    assert_eq!(heard, [0, 3, 0]);
    let ready = readiness(&part, &coach, 0.0, None);
    let alone = |bar, slot| {
        ready.changes.iter().find(|c| (c.change.bar, c.change.slot) == (bar, slot)).unwrap().alone
    };
    let (weak, sound) = (alone(1, 1)[0].unwrap(), alone(1, 0)[0].unwrap());
    assert!(weak.mean < 0.4 && sound.mean > 0.8 && alone(1, 1)[1].is_none(), "{weak:?} {sound:?}");
    assert!(ready.alone[1][0].unwrap().mean < ready.alone[0][0].unwrap().mean);
}

#[test]
fn the_same_change_in_another_pass_is_the_same() {
    let part = song(&["1", "4", "1", "4"]);
    let coach = recalling(&part, &vec![slipping(&part, &[1], Hands::Both, 0); 4]);
    let chances = coach.change_chances(0.0);
    let of = |bar, slot| {
        chances[coach.changes().iter().position(|c| (c.bar, c.slot) == (bar, slot)).unwrap()].mean
    };
    assert_eq!(of(1, 1), of(3, 1));
    assert!(of(1, 1) < of(1, 0));
}

#[test]
fn a_change_across_a_bar_line_is_still_there_if_both_its_bars_are() {
    let (before, after) = (song(&["1", "4", "5"]), song(&["1", "2", "5"]));
    let records = [slipping(&before, &[], Hands::Both, 0)];
    let placed = place(&records, &fingerprints(&after));
    let kept: Vec<(usize, usize)> = placed[0].changes.iter().map(|c| (c.bar, c.slot)).collect();
    assert_eq!(kept, [(0, 1), (2, 1)]);
}

/// What is struck in an excerpt: bar, milliseconds, key.
fn struck(excerpt: &Excerpt) -> Vec<(usize, f64, u8)> {
    let notes = expected(&excerpt.part).notes;
    notes.iter().map(|n| (n.bar, n.at.ms(), n.key.number())).collect()
}

// By hand: a beat is a second, each bar has a chord in each half, struck on each beat.
#[test]
fn the_change_alone_goes_from_the_last_beat_before_it_into_the_first_after() {
    let halves = |n: u8| {
        let half = |n: u8| SlotOf { every: 2, ..chord(4, &[60 + n], &[]) };
        bar((4, 4), 60.0, &[half(n), half(n + 1)])
    };
    let part = part(&[halves(0), halves(10)]);
    let within = Excerpt::of_change(&part, 1, 1).unwrap();
    assert_eq!(struck(&within), [(0, 1000.0, 70), (0, 2000.0, 71)]);
    assert_eq!(within.part.bars[0].played.meter.to_string(), "3/4");
    assert_eq!((&within.bars[..], &within.taken_from[..]), (&[None][..], &[Some(1)][..]));
    let across = Excerpt::of_change(&part, 1, 0).unwrap();
    assert_eq!(struck(&across), [(0, 3000.0, 61), (1, 4000.0, 70)]);
    assert_eq!((across.bars, across.taken_from), (vec![None, None], vec![Some(0), Some(1)]));
    assert_eq!(Excerpt::of_change(&part, 0, 0), None);
    assert_eq!(Excerpt::of_change(&part, 1, 2), None);
}

// The same with rests in the beats before the changes.
#[test]
fn a_hand_that_rests_before_a_change_strikes_once_before_it() {
    let halves = |n: u8| {
        let half = |n: u8| SlotOf { every: 2, ..chord(4, &[60 + n], &[]) };
        bar((4, 4), 60.0, &[half(n), half(n + 1)])
    };
    let mut part = part(&[halves(0), halves(10)]);
    part.events.retain(|event| event.start.to_f64() % 2.0 == 0.0);
    let within = Excerpt::of_change(&part, 1, 1).unwrap();
    assert_eq!(struck(&within), [(0, 0.0, 70), (0, 2000.0, 71)]);
    let across = Excerpt::of_change(&part, 1, 0).unwrap();
    assert_eq!(struck(&across), [(0, 2000.0, 61), (1, 4000.0, 70)]);
}

#[test]
fn a_pass_of_a_change_alone_tells_of_the_change_and_of_no_bar() {
    let part = song(&["1", "4"]);
    let excerpt = Excerpt::of_change(&part, 1, 1).unwrap();
    let on_stand = Arc::new(excerpt.part.clone());
    let record = |but: Option<Hand>| {
        let notes = played_but(&on_stand, |n| Some(n.hand) == but && n.at.ms() == 2000.0);
        let take = Take::new(notes, Speed::FULL, Hands::Both, None);
        let score = take.score(&on_stand, &Timeline::new(&on_stand));
        let lap = Lap { part: on_stand.clone(), take: Arc::new(take), score: Arc::new(score) };
        PassRecord::of_stretch(&lap, &part, &excerpt, name(), About::default(), on_day(0))
    };
    let (made, missed) = (record(None), record(Some(Hand::Left)));
    assert_eq!((&made.bars[..], &made.changes[..]), (&[][..], &[change(1, 1, MADE, MADE)][..]));
    assert_eq!(missed.changes, [change(1, 1, MADE, Some(false))]);
    assert!(made.is_clean() && !missed.is_clean());
    let coach = recalling(&part, &[made]);
    assert_eq!(coach.change_belief(1, 1).unwrap().both.heard(), 1);
    assert!(!coach.is_known(), "no bar was heard");
}

#[test]
fn a_drill_of_a_bar_hears_the_changes_into_it_and_out_of_it() {
    let part = song(&["1", "4", "5"]);
    let excerpt = Excerpt::of(&part, LoopBars::new(1, 1), true).unwrap();
    let on_stand = Arc::new(excerpt.part.clone());
    let take = Take::new(played_but(&on_stand, |_| false), Speed::FULL, Hands::Both, None);
    let score = take.score(&on_stand, &Timeline::new(&on_stand));
    let lap = Lap { part: on_stand, take: Arc::new(take), score: Arc::new(score) };
    let record = PassRecord::of_stretch(&lap, &part, &excerpt, name(), About::default(), on_day(0));
    let heard: Vec<(usize, usize)> = record.changes.iter().map(|c| (c.bar, c.slot)).collect();
    assert_eq!((record.bars.len(), heard), (1, vec![(1, 0), (1, 1), (2, 0)]));
}
