use crate::support::*;
use practice::*;

fn timeline(meter: (u8, u8), tempo: f64) -> Timeline {
    let whole = i64::from(meter.0) * 8 / i64::from(meter.1);
    Timeline::new(&part(&[bar(meter, tempo, &[chord(whole, &[60], &[])])]))
}

/// `|` a bar, `b` a beat, `.` a subdivision.
fn pattern(clicks: &[Click]) -> String {
    clicks
        .iter()
        .map(|c| match c.accent {
            Accent::Bar => '|',
            Accent::Beat => 'b',
            Accent::Subdivision => '.',
        })
        .collect()
}

fn bar_pattern(meter: (u8, u8), tempo: f64, percent: f64) -> String {
    pattern(&clicks_of_bar(&timeline(meter, tempo), 0, Speed::new(percent).unwrap()))
}

// Below 50 beats a minute, as played, a click is easier to hold when it subdivides: common practice, no source.
#[test]
fn the_click_subdivides_below_50_as_played() {
    assert_eq!(bar_pattern((4, 4), 50.0, 100.0), "|bbb");
    assert_eq!(bar_pattern((4, 4), 49.9, 100.0), "|.b.b.b.");
    assert_eq!(bar_pattern((4, 4), 80.0, 60.0), "|.b.b.b.", "48 as played");
    assert_eq!(bar_pattern((6, 8), 54.0 * 1.5, 80.0), "|..b..", "dotted beats divide by three");
    assert_eq!(bar_pattern((6, 8), 54.0 * 1.5, 100.0), "|b");
}

#[test]
fn a_count_in_leads_to_the_bar_line_in_the_meter_of_its_bar() {
    let at = |t: &Timeline| count_in(t, 0, Speed::FULL).iter().map(|c| c.at.to_f64()).collect::<Vec<_>>();
    assert_eq!(at(&timeline((3, 4), 72.0)), [-3.0, -2.0, -1.0]);
    assert_eq!(at(&timeline((5, 4), 96.0)), [-5.0, -4.0, -3.0, -2.0, -1.0]);
}

// One bar in slow songs, two in fast ones: common practice, no source.
#[test]
fn fast_songs_are_counted_in_for_two_bars() {
    let bars = |tempo, percent| count_in_bars(&timeline((4, 4), tempo), 0, Speed::new(percent).unwrap());
    assert_eq!((bars(120.0, 100.0), bars(121.0, 100.0), bars(160.0, 70.0)), (1, 2, 1));
    assert_eq!(pattern(&count_in(&timeline((4, 4), 160.0), 0, Speed::FULL)), "|bbb|bbb");
}
