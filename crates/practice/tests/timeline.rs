use crate::support::*;
use practice::*;
use song::Quarters;

/// 3/4 at 60, then 4/4 at 120, then 6/8 with dotted quarters at 60 (quarters at 90).
fn three_bars() -> Timeline {
    let held = |eighths| [chord(eighths, &[60], &[])];
    Timeline::new(&part(&[
        bar((3, 4), 60.0, &held(6)),
        bar((4, 4), 120.0, &held(8)),
        bar((6, 8), 90.0, &held(6)),
    ]))
}

// By hand: 3 quarters of 1000 ms, 4 of 500 ms, 3 of 666.67 ms.
#[test]
fn bars_lie_where_their_tempos_put_them() {
    let t = three_bars();
    let starts: Vec<f64> = t.bars().iter().map(|b| b.start_ms).collect();
    assert_eq!(starts, [0.0, 3000.0, 5000.0]);
    assert_eq!(t.end(), Quarters::new(10, 1));
    assert_eq!(t.time(t.end()), ChartTime::from_ms(7000.0));
    assert_eq!(t.bars()[2].beats_per_minute(), 60.0, "a dotted quarter is one beat");
}

#[test]
fn a_push_crosses_the_bar_line_at_the_tempo_of_the_bar_it_sounds_in() {
    let t = three_bars();
    assert_eq!(t.ms(Quarters::new(5, 2)), 2500.0, "an eighth before bar 1, at 60");
    assert_eq!(t.ms(Quarters::new(-1, 2)), -500.0, "before the first bar line, at the first tempo");
    assert_eq!(t.time(Quarters::new(11, 1)).micros(), 7_666_667, "beyond the end, at the last");
}

#[test]
fn quarters_and_milliseconds_are_each_others_inverse() {
    let t = three_bars();
    for n in -4..44 {
        let at = Quarters::new(n, 4);
        assert!((t.quarters(t.time(at)) - at.to_f64()).abs() < 1e-5, "{n}/4");
    }
}

#[test]
fn a_bar_has_its_beats_and_the_first_is_accented() {
    let t = three_bars();
    let beats = |bar| t.beats(bar).iter().map(|b| (b.beat, b.at.to_f64(), b.accent)).collect::<Vec<_>>();
    assert_eq!(beats(0), [(1, 0.0, true), (2, 1.0, false), (3, 2.0, false)]);
    assert_eq!(beats(2), [(1, 7.0, true), (2, 8.5, false)]);
    assert!(t.beats(3).is_empty());
}

#[test]
fn a_time_finds_its_bar() {
    let t = three_bars();
    let bar = |ms| t.bar_at(ChartTime::from_ms(ms));
    assert_eq!([-10.0, 0.0, 2999.9, 3000.0, 9999.0].map(bar), [Some(0), Some(0), Some(0), Some(1), Some(2)]);
    assert_eq!(Timeline::default().bar_at(ChartTime::ZERO), None);
}

#[test]
fn speeds_beyond_30_to_130_cannot_be_made() {
    assert_eq!(Speed::new(29.9), None);
    assert_eq!(Speed::new(130.1), None);
    assert_eq!(Speed::new(f64::NAN), None);
    assert_eq!(Speed::clamped(500.0), Speed::MAX);
    assert_eq!(Speed::new(50.0).map(|s| s.stretch_ms(100.0)), Some(200.0));
}
