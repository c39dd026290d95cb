//! Takes from elsewhere, with what was done to them known.

use crate::support::*;
use practice::*;

/// Sixteen bars of 4/4 at 100 (a beat is 600 ms, a bar 2400), a chord on each beat, bars that differ.
fn song() -> Expected {
    song_of(16)
}

fn song_of(bars: u32) -> Expected {
    let near = |low: u32, n: u32, step: u32, of: u32| (low + (step * n) % of) as u8;
    let beat = |n: u32| chord(2, &[near(60, n, 5, 13), near(74, n, 3, 7)], &[near(36, n, 7, 11)]);
    let line = |b: u32| bar((4, 4), 100.0, &[0, 1, 2, 3].map(|n| beat(4 * b + n + b / 3)));
    expected(&part(&(0..bars).map(line).collect::<Vec<_>>()))
}

/// The song as it is heard on another clock: at a speed, with everything so much later, from one chart time to another.
fn elsewhere(song: &Expected, percent: f64, later: f64, from: f64, to: f64) -> Vec<PlayedNote> {
    let speed = Speed::new(percent).unwrap();
    let within = exactly(song, 0.0).into_iter().filter(|n| (from..to).contains(&n.at.ms()));
    within.map(|n| PlayedNote { at: ChartTime::from_ms(speed.stretch_ms(n.at.ms()) + later), ..n }).collect()
}

fn bars(score: &Score) -> (usize, usize) {
    (score.bars.first().unwrap().bar, score.bars.last().unwrap().bar)
}

#[test]
fn a_take_that_starts_late_and_stops_early_is_scored_over_what_it_covers() {
    let song = song();
    // From the second beat of bar 4 to the third of bar 10.
    let take = elsewhere(&song, 100.0, 777.0, 4.0 * 2400.0 + 500.0, 10.0 * 2400.0 + 1300.0);
    let found = score_foreign(&song, &take, &ForeignOptions::default());
    assert_eq!((found.score.expected, found.score.matched, found.score.missed), (take.len(), take.len(), 0));
    assert_eq!(bars(&found.score), (4, 10));
    assert_eq!(found.score.offset.ms(), 777.0);
    assert_eq!(found.from, Some(ChartTime::from_ms(4.0 * 2400.0 + 600.0)));
    assert_eq!(found.until, Some(ChartTime::from_ms(10.0 * 2400.0 + 1200.0)));
    let whole = score_foreign(&song, &take, &ForeignOptions { whole: true, ..ForeignOptions::default() });
    assert_eq!((whole.score.expected, whole.from), (song.notes.len(), None));
}

#[test]
fn what_is_missed_within_the_first_and_last_bar_counts() {
    let song = song();
    let take = elsewhere(&song, 100.0, 0.0, 600.0, 16.0 * 2400.0 - 700.0);
    let found = score_foreign(&song, &take, &ForeignOptions::default());
    assert_eq!((found.from, found.until), (None, None));
    assert_eq!(found.score.missed, song.notes.len() - take.len());
}

#[test]
fn trying_a_chord_before_beginning_does_not_stretch_the_take() {
    let song = song();
    let mut take = elsewhere(&song, 100.0, 0.0, 8.0 * 2400.0, 99_999.0);
    let begun = take.len();
    // Two keys of the third bar, by chance on their time.
    take.extend(elsewhere(&song, 100.0, 0.0, 2.0 * 2400.0, 2.0 * 2400.0 + 100.0).into_iter().take(2));
    let found = score_foreign(&song, &take, &ForeignOptions::default());
    assert_eq!((found.score.matched, found.score.missed, found.score.extra), (begun, 0, 2));
    assert_eq!(bars(&found.score), (8, 15));
}

#[test]
fn gaps_within_a_take_are_misses() {
    let song = song();
    let mut take = elsewhere(&song, 100.0, 50.0, 2.0 * 2400.0, 14.0 * 2400.0);
    let before = take.len();
    take.retain(|n| !(6.0 * 2400.0..9.0 * 2400.0).contains(&(n.at.ms() - 50.0)));
    let found = score_foreign(&song, &take, &ForeignOptions::default());
    assert_eq!((found.score.missed, found.score.matched), (before - take.len(), take.len()));
    assert_eq!(bars(&found.score), (2, 13));
}

#[test]
fn a_part_of_the_song_at_another_speed_is_found() {
    let song = song_of(64);
    for percent in [62.0, 80.0, 115.0] {
        let take = elsewhere(&song, percent, 4321.0, 49.0 * 2400.0, 54.0 * 2400.0);
        let options = ForeignOptions { speed: TakeSpeed::Find, ..ForeignOptions::default() };
        let found = score_foreign(&song, &take, &options);
        assert_eq!((found.score.speed.percent(), bars(&found.score)), (percent, (49, 53)));
        assert_eq!((found.score.matched, found.score.missed), (take.len(), 0));
    }
}

/// Bars of one kind, then bars that have no key in common with them; a beat is 600 ms.
fn two_halves(first: u32, second: u32) -> Expected {
    let plain = bar((4, 4), 100.0, &[0, 4, 7, 12].map(|n| chord(2, &[60 + n], &[])));
    let other = |b: u32| {
        bar(
            (4, 4),
            100.0,
            &[0, 1, 2, 3].map(|n| chord(2, &[(81 + (5 * (4 * b + n + b / 3)) % 13) as u8], &[])),
        )
    };
    let mut bars: Vec<BarOf> = (0..first).map(|_| plain.clone()).collect();
    bars.extend((0..second).map(other));
    expected(&part(&bars))
}

// More notes come before it than are looked at first, and none of them is of any use.
#[test]
fn the_speed_of_a_take_far_into_the_song_is_found_where_the_beginning_tells_nothing() {
    let song = two_halves(60, 12);
    for percent in [62.0, 80.0, 115.0] {
        let take = elsewhere(&song, percent, 4321.0, 61.0 * 2400.0, 69.0 * 2400.0);
        let found = find_speed(&song, &take, Window::ByStrike);
        assert_eq!(found.percent(), percent);
    }
}

#[test]
fn an_octave_off_is_offered_and_the_offer_puts_it_right() {
    let song = song();
    let mut take = elsewhere(&song, 100.0, 500.0, 0.0, 99_999.0);
    assert_eq!(score_foreign(&song, &take, &ForeignOptions::default()).octave_offer, None);
    take.iter_mut().for_each(|n| n.key = key(n.key.number() + 12));
    let off = score_foreign(&song, &take, &ForeignOptions::default());
    assert_eq!(off.octave_offer, Some(-12));
    assert!(off.score.matched < take.len() / 2, "the score is of what was played");
    let moved = ForeignOptions { octave_shift: -12, ..ForeignOptions::default() };
    let right = score_foreign(&song, &take, &moved);
    assert_eq!((right.score.matched, right.octave_offer), (take.len(), None));
}

#[test]
fn it_can_be_kept_as_a_take_of_our_own() {
    let (part, song) = {
        let beat = |n: u32| chord(2, &[(60 + (5 * n) % 13) as u8], &[(36 + (7 * n) % 11) as u8]);
        let line = |b: u32| bar((4, 4), 100.0, &[0, 1, 2, 3].map(|n| beat(4 * b + n + b / 3)));
        let part = part(&(0..12).map(line).collect::<Vec<_>>());
        let song = expected(&part);
        (part, song)
    };
    let notes = elsewhere(&song, 80.0, 912.0, 3.0 * 2400.0, 8.0 * 2400.0);
    let options = ForeignOptions { speed: TakeSpeed::Find, ..ForeignOptions::default() };
    let found = score_foreign(&song, &notes, &options);
    let foot = ControlChange { at: ChartTime::from_ms(912.0 + 9000.0), controller: 64, value: 127 };
    let timeline = Timeline::new(&part);
    let take = found.take(&notes, &[foot], 0, Hands::Both, &timeline);
    let tempi: Vec<(f64, f64)> =
        take.tempo.tempi().iter().map(|t| (t.quarters_per_minute, t.speed.percent())).collect();
    assert_eq!(tempi, [(100.0, 80.0)], "the chart's tempo, at the speed it was found to have");
    let again = take.score(&part, &timeline);
    assert_eq!((again.matched, again.expected), (found.score.matched, found.score.expected));
    assert_eq!(again.bars.len(), 5);
    assert!(again.notes.iter().all(|n| n.error.unwrap().ms().abs() <= 0.02), "within the grid of takes");
    // 9000 ms of its own are 7200 of the chart: the first beat of bar 3.
    assert!((take.controls[0].at.ms() - 7200.0).abs() < 0.02);
}

#[test]
fn nothing_in_common_is_scored_over_everything() {
    let song = song();
    for take in [vec![], vec![played(10.0, 120), played(700.0, 121)]] {
        let found = score_foreign(&song, &take, &ForeignOptions::default());
        assert_eq!((found.score.expected, found.score.matched), (song.notes.len(), 0));
        assert_eq!((found.from, found.until, found.octave_offer), (None, None, None));
    }
}
