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

#[test]
fn accents_and_what_sounds_between_beats_can_be_chosen() {
    let of = |tempo, style| pattern(&clicks_in_style(&timeline((4, 4), tempo), 0, Speed::FULL, style));
    let plain = ClickStyle { accents: false, ..ClickStyle::default() };
    assert_eq!(of(120.0, plain), "bbbb");
    let always = ClickStyle { between: Between::Always, ..ClickStyle::default() };
    assert_eq!((of(120.0, always), of(40.0, always)), ("|.b.b.b.".into(), "|.b.b.b.".into()));
    let never = ClickStyle { between: Between::Never, ..ClickStyle::default() };
    assert_eq!(of(40.0, never), "|bbb");
    assert_eq!(pattern(&count_in_style(&timeline((3, 4), 72.0), 0, Speed::FULL, always)), "|.b.b.");
}

/// The bars (1500 ms each, from the first bar line) in which clicks are heard over so many bars, the count-in apart.
fn heard_in(bars: ClickBars, looped: Option<LoopBars>, count: u32) -> (usize, Vec<u32>) {
    let three = |_| bar((3, 4), 120.0, &[chord(6, &[60], &[])]);
    let mut session = Session::new(std::sync::Arc::new(part(&[0, 1, 2, 3, 4].map(three))));
    let ms = Stamp::from_ms;
    session.apply(SessionCommand::SetMode(Mode::PlayAlong), ms(0.0));
    session.apply(SessionCommand::SetLoop(looped), ms(0.0));
    session.apply(SessionCommand::SetClickStyle(ClickStyle { bars, ..ClickStyle::default() }), ms(0.0));
    session.apply(SessionCommand::Start, ms(0.0));
    // It is counted in for two bars, after 120 ms.
    let first = 120.0 + 3000.0;
    let cues = session.cues(ms(0.0), ms(first + 1500.0 * f64::from(count) - 1.0));
    let clicks =
        cues.iter().filter(|c| matches!(c.kind, CueKind::Click(_))).map(|c| c.at.ms_since(ms(first)));
    let (before, after): (Vec<f64>, Vec<f64>) = clicks.partition(|at| *at < -1.0);
    let mut bars: Vec<u32> = after.iter().map(|at| ((at + 1.0) / 1500.0) as u32).collect();
    bars.dedup();
    (before.len(), bars)
}

#[test]
fn the_click_can_leave_the_time_to_the_player() {
    assert_eq!(heard_in(ClickBars::All, None, 5), (6, vec![0, 1, 2, 3, 4]));
    assert_eq!(heard_in(ClickBars::CountInOnly, None, 5), (6, vec![]));
    assert_eq!(heard_in(ClickBars::EveryOther, None, 5), (6, vec![0, 2, 4]));
    let three = Some(LoopBars::new(1, 3));
    assert_eq!(
        heard_in(ClickBars::EveryOther, three, 7),
        (6, vec![0, 2, 4, 6]),
        "counted through the passes"
    );
    assert_eq!(heard_in(ClickBars::EveryOther, Some(LoopBars::new(2, 2)), 4), (6, vec![0, 2]));
}

// As many bars as the song writes; where it writes none, one in slow songs and two in fast ones. A song without a count-in
// is counted in where one begins later in it (common practice, no source).
#[test]
fn a_song_says_how_long_it_is_counted_in() {
    let fast = || [bar((4, 4), 160.0, &[chord(8, &[60], &[])]), bar((4, 4), 160.0, &[chord(8, &[60], &[])])];
    let bars = |count_in| {
        let mut part = part(&fast());
        part.count_in = count_in;
        let timeline = Timeline::new(&part);
        [0, 1].map(|bar| count_in_bars(&timeline, bar, Speed::FULL))
    };
    assert_eq!(bars(None), [2, 2]);
    assert_eq!(bars(Some(1)), [1, 1]);
    assert_eq!(bars(Some(4)), [4, 4]);
    assert_eq!(bars(Some(0)), [0, 2]);
}
