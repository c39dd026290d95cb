use crate::support::*;
use practice::*;
use proptest::prelude::*;

/// Four bars of broken chords at 100, both hands.
fn song() -> Expected {
    let mut bars = Vec::new();
    for b in 0..4u8 {
        let slots: Vec<SlotOf> =
            (0..4u8).map(|n| chord(2, &[60 + (3 * b + 4 * n) % 17], &[36 + b + n])).collect();
        bars.push(bar((4, 4), 100.0, &slots));
    }
    expected(&part(&bars))
}

fn auto(window: Window) -> ScoreOptions {
    ScoreOptions { offset: Offset::Auto, window, ..ScoreOptions::default() }
}

#[test]
fn a_take_on_another_clock_is_moved_onto_the_song() {
    let song = song();
    for shift in [-900.0, 1234.0, 60_000.5] {
        let score = score(&song, &exactly(&song, shift), &auto(Window::ByStrike));
        assert_eq!((score.matched, score.offset.ms()), (32, shift));
        assert_eq!(score.mean_ms, Some(0.0));
    }
}

#[test]
fn a_take_that_fits_where_it_lies_is_left_there() {
    let score = score(&song(), &exactly(&song(), 30.0), &auto(Window::ByStrike));
    assert_eq!((score.matched, score.offset, score.mean_ms), (32, ChartTime::ZERO, Some(30.0)));
}

#[test]
fn a_take_that_shares_no_key_stays_where_it_is() {
    let score = score(&song(), &[played(500.0, 120)], &auto(Window::ByStrike));
    assert_eq!((score.matched, score.extra, score.offset), (0, 1, ChartTime::ZERO));
}

#[test]
fn the_speed_of_a_take_is_found() {
    let song = song();
    for (percent, found) in [(60.0, 60.0), (100.0, 100.0), (117.0, 117.0)] {
        let speed = Speed::new(percent).unwrap();
        let slow =
            |n: &PlayedNote| PlayedNote { at: ChartTime::from_ms(speed.stretch_ms(n.at.ms()) + 777.0), ..*n };
        let take: Vec<PlayedNote> = exactly(&song, 0.0).iter().map(slow).collect();
        assert_eq!(find_speed(&song, &take, Window::ByStrike).percent(), found);
    }
}

// Takes of hands: every tenth note missing, wrong keys between, up to 30 ms of jitter as played.
#[test]
fn the_speed_of_an_uneven_take_is_found_too() {
    let song = song();
    for percent in [60.0, 73.0, 88.0, 100.0, 112.0, 130.0] {
        let speed = Speed::new(percent).unwrap();
        let mut take: Vec<PlayedNote> = Vec::new();
        for (n, note) in song.notes.iter().enumerate().filter(|(n, _)| n % 10 != 7) {
            let at = speed.stretch_ms(note.at.ms()) + 4321.0 + ((n * 7919) % 61) as f64 - 30.0;
            take.push(played(at, note.key.number()));
            if n % 8 == 3 {
                take.push(played(at + 40.0, 100));
            }
        }
        let found = find_speed(&song, &take, Window::ByStrike).percent();
        assert!((found - percent).abs() <= 1.0, "{found} % found, {percent} % played");
        let moved: Vec<PlayedNote> = take
            .iter()
            .map(|n| PlayedNote { at: ChartTime::from_ms(Speed::clamped(found).shrink_ms(n.at.ms())), ..*n })
            .collect();
        let options = ScoreOptions { speed: Speed::clamped(found), ..auto(Window::ByStrike) };
        let matched = score(&song, &moved, &options).matched;
        assert_eq!(matched, song.notes.len() - song.notes.len().div_ceil(10).min(3), "at {percent} %");
    }
}

fn matched_at(song: &Expected, take: &[PlayedNote], window: i64, shift: i64) -> (usize, i128) {
    let options = ScoreOptions {
        window: Window::Fixed(ChartTime::from_micros(window)),
        offset: Offset::Fixed(ChartTime::from_micros(shift)),
        ..ScoreOptions::default()
    };
    let score = score(song, take, &options);
    let errors: Vec<i128> =
        score.notes.iter().filter_map(|n| n.error).map(|e| i128::from(e.micros())).collect();
    let (n, sum) = (errors.len() as i128, errors.iter().sum::<i128>());
    (errors.len(), n * errors.iter().map(|e| e * e).sum::<i128>() - sum * sum)
}

/// Notes of one bar at these microseconds, on a few keys.
fn few(times: &[(i64, u8)]) -> Vec<PlayedNote> {
    times
        .iter()
        .map(|&(at, k)| PlayedNote { at: ChartTime::from_micros(at), ..played(0.0, 60 + k) })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    /// Against every whole microsecond there is.
    #[test]
    fn no_other_shift_matches_more(
        targets in prop::collection::vec((0i64..60, 0u8..2), 1..6),
        take in prop::collection::vec((0i64..60, 0u8..2), 1..6),
        window in 0i64..12,
    ) {
        let note = |(event, n): (usize, &PlayedNote)| ExpectedNote {
            hand: theory::Hand::Right, bar: 0, start: song::Quarters::ZERO, at: n.at, key: n.key, rolled: false, event,
        };
        let song = Expected::new(few(&targets).iter().enumerate().map(note).collect(), Vec::new(), 0);
        let take = few(&take);
        let found = score(&song, &take, &auto(Window::Fixed(ChartTime::from_micros(window))));
        let best = (-80..80).map(|s| matched_at(&song, &take, window, s)).max_by_key(|b| (b.0, -b.1)).unwrap();
        prop_assert_eq!(found.matched, best.0);
        if matched_at(&song, &take, window, 0) == best {
            prop_assert_eq!(found.offset, ChartTime::ZERO);
        }
    }
}
