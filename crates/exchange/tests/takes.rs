//! Takes go out and come back.

use exchange::{read_midi, write_take};
use midly::{MetaMessage, MidiMessage, TrackEventKind};
use practice::*;
use proptest::prelude::*;
use song::{Beat, Meter};
use theory::MidiKey;

fn note(at_ms: f64, length: Option<f64>, key: u8, velocity: u8) -> PlayedNote {
    PlayedNote {
        at: ChartTime::from_ms(at_ms),
        length: length.map(ChartTime::from_ms),
        key: MidiKey::new(key).expect("a key"),
        velocity,
    }
}

/// Notes of one key one after another, as on a keyboard.
fn notes() -> impl Strategy<Value = Vec<PlayedNote>> {
    let of_key = (21u8..109, prop::collection::vec((5.0f64..900.0, 1.0f64..400.0, 1u8..128), 0..6)).prop_map(
        |(key, notes)| {
            let mut at = -700.0;
            notes
                .into_iter()
                .map(|(gap, length, velocity)| {
                    let note = note(at + gap, Some(length), key, velocity);
                    at += gap + length;
                    note
                })
                .collect::<Vec<_>>()
        },
    );
    prop::collection::btree_map(0u8..12, of_key, 1..6).prop_map(|keys| {
        let mut seen = std::collections::HashSet::new();
        let once = keys.into_values().filter(|notes| notes.first().is_none_or(|n| seen.insert(n.key)));
        once.flatten().collect()
    })
}

fn bar(upper: u8, lower: u8, tempo: f64) -> (Meter, Beat, f64) {
    let meter = Meter::new(upper, lower).expect("a meter");
    (meter, meter.beat(false), tempo)
}

/// What a take is played to: bars of any meter and tempo, from one of them on, with the speed changed on the way.
fn tempo() -> impl Strategy<Value = TakeTempo> {
    let one = (1u8..=12, prop::sample::select(vec![2u8, 4, 8, 16]), 30.0f64..300.0);
    let bars = prop::collection::vec(one.prop_map(|(upper, lower, tempo)| bar(upper, lower, tempo)), 1..9);
    let speeds = prop::collection::vec((-2000.0f64..20_000.0, 30.0f64..=130.0), 0..4);
    (bars, speeds, 0usize..9).prop_map(|(bars, mut speeds, from)| {
        speeds.sort_by(|a, b| a.0.total_cmp(&b.0));
        let speeds: Vec<(f64, Speed)> = speeds.into_iter().map(|(ms, s)| (ms, Speed::clamped(s))).collect();
        let bar_range = LoopBars::new(from.min(bars.len() - 1), bars.len() - 1);
        TakeTempo::of_bars(&Timeline::of_bars(bars), bar_range, &speeds)
    })
}

proptest! {
    #[test]
    fn a_take_comes_back_as_it_went(
        notes in notes(),
        tempo in tempo(),
        percent in 30.0f64..=130.0,
        bars in prop::option::of((0usize..50, 0usize..50)),
        ends in prop::option::of((-900_000i64..40_000_000, 40_000_000i64..90_000_000)),
        key in prop::option::of(prop::sample::select(vec!["D major", "Gb major", "C# minor"])),
        pedals in prop::collection::vec((-900i64..60_000, prop::sample::select(vec![64u8, 66, 67]), 0u8..128), 0..20),
    ) {
        let speed = Speed::new(percent).unwrap();
        let bars = bars.map(|(a, b)| LoopBars::new(a, b));
        let (from, until) = (ends.map(|e| ChartTime::from_micros(e.0)), ends.map(|e| ChartTime::from_micros(e.1)));
        let key = key.map(|k| k.parse().expect("a key"));
        let take = Take { from, until, key, ..Take::over(tempo, notes, speed, Hands::Left, bars) };
        let control = |(ms, controller, value)| {
            ControlChange { at: ChartTime::from_ms(ms as f64), controller, value }
        };
        let take = take.with_controls(pedals.into_iter().map(control).collect());
        let back = read_midi(&write_take(&take)).unwrap().take();
        prop_assert_eq!(back, Some(take));
    }
}

/// The bar lines and the moments of a file, worked out from its bytes alone (Standard MIDI Files 1.0).
struct Reader {
    division: u64,
    /// Tick, microseconds a quarter.
    tempi: Vec<(u64, u64)>,
    /// Tick, quarters a bar times 64.
    meters: Vec<(u64, u64)>,
    strikes: Vec<u64>,
    key: Option<(i8, bool)>,
}

impl Reader {
    fn new(bytes: &[u8]) -> Reader {
        let smf = midly::Smf::parse(bytes).expect("a file");
        assert_eq!(smf.header.format, midly::Format::Parallel);
        let midly::Timing::Metrical(division) = smf.header.timing else { panic!("in quarters") };
        let division = u64::from(division.as_int());
        let (tempi, meters, strikes) = (Vec::new(), Vec::new(), Vec::new());
        let mut reader = Reader { division, tempi, meters, strikes, key: None };
        for track in &smf.tracks {
            let mut tick = 0;
            for event in track {
                tick += u64::from(event.delta.as_int());
                reader.event(tick, event.kind);
            }
        }
        reader
    }

    fn event(&mut self, tick: u64, kind: TrackEventKind<'_>) {
        match kind {
            TrackEventKind::Meta(MetaMessage::Tempo(t)) => self.tempi.push((tick, t.as_int().into())),
            TrackEventKind::Meta(MetaMessage::TimeSignature(upper, power, ..)) => {
                self.meters.push((tick, (u64::from(upper) * 4 * 64) >> power));
            }
            TrackEventKind::Meta(MetaMessage::KeySignature(fifths, minor)) => {
                self.key = Some((fifths, minor))
            }
            TrackEventKind::Midi { message: MidiMessage::NoteOn { .. }, .. } => self.strikes.push(tick),
            _ => {}
        }
    }

    fn bar_lines(&self, until: u64) -> Vec<u64> {
        let mut lines = vec![0];
        while let Some(&last) = lines.last().filter(|last| **last < until) {
            let meter = self.meters.iter().rfind(|m| m.0 <= last).expect("a meter from the beginning");
            lines.push(last + meter.1 * self.division / 64);
        }
        lines
    }

    fn ms(&self, tick: u64) -> f64 {
        let ends = self.tempi.iter().skip(1).map(|t| t.0).chain([u64::MAX]);
        let lasts = |(&(from, micros), to): (&(u64, u64), u64)| {
            tick.min(to).saturating_sub(from) as f64 * micros as f64 / self.division as f64
        };
        self.tempi.iter().zip(ends).map(lasts).sum::<f64>() / 1000.0
    }
}

#[test]
fn the_bar_lines_of_a_take_are_those_of_the_chart_as_it_was_played() {
    let bars = [
        bar(4, 4, 72.5),
        bar(4, 4, 72.5),
        bar(6, 8, 100.0),
        bar(3, 4, 100.0),
        bar(7, 8, 133.3),
        bar(4, 4, 60.0),
        bar(4, 4, 60.0),
    ];
    let timeline = Timeline::of_bars(bars);
    // Bars 2 to 7, begun at 60 % and made faster within a bar, twice.
    let mut transport = Transport::start(Stamp::default(), 0.0, Speed::clamped(60.0));
    transport.set_speed(transport.stamp(timeline.bars()[3].start_ms + 333.0), Speed::clamped(85.0));
    transport.set_speed(transport.stamp(timeline.bars()[5].start_ms + 1234.5), Speed::clamped(92.0));
    let speeds: Vec<(f64, Speed)> = transport.segments().iter().map(|s| (s.run_ms, s.speed)).collect();
    let stretch = LoopBars::new(1, 6);
    let tempo = TakeTempo::of_bars(&timeline, stretch, &speeds);
    let lines: Vec<f64> = timeline.bars()[1..].iter().map(|bar| bar.start_ms).collect();
    let early = note(lines[0] - 200.0, Some(50.0), 50, 80);
    let struck = lines.iter().map(|at| note(*at, Some(100.0), 60, 80)).chain([early]).collect();
    let take = Take::over(tempo, struck, Speed::clamped(92.0), Hands::Both, Some(stretch));
    let file = Reader::new(&write_take(&Take { key: Some("Eb major".parse().expect("a key")), ..take }));
    assert_eq!(file.key, Some((-3, false)), "three flats");
    let (first, struck) = file.strikes.split_first().expect("the early note");
    let in_file = file.bar_lines(*struck.last().expect("a note on each line"));
    assert_eq!(in_file[1..], *struck, "a bar before, then those of the chart");
    assert!(*first < struck[0]);
    let moments = lines.iter().map(|at| transport.stamp(*at));
    let zero = transport.stamp(lines[0]);
    for (tick, moment) in struck.iter().zip(moments) {
        let (in_file, played) = (file.ms(*tick) - file.ms(struck[0]), moment.ms_since(zero));
        // A tempo in a file is a whole number of microseconds a quarter: half of one on each of 19 quarters; and a speed
        // changes on a tick, of 27 µs here.
        assert!((in_file - played).abs() < 0.04, "{in_file} ms in the file, {played} ms as played");
    }
}

/// As takes were written at first: 20 µs a tick at 120 a minute, whatever the chart.
#[test]
fn a_take_of_the_first_version_is_read_as_it_was() {
    let text = b"overhand take 1; speed 60; lead 100000; hands right; key D major; bars 4-7; until 9000000";
    let event = |delta: u32, kind| midly::TrackEvent { delta: delta.into(), kind };
    let midi = |message| TrackEventKind::Midi { channel: 0.into(), message };
    let on = |key: u8| midi(MidiMessage::NoteOn { key: key.into(), vel: 70.into() });
    let off = |key: u8| midi(MidiMessage::NoteOff { key: key.into(), vel: 64.into() });
    let foot = midi(MidiMessage::Controller { controller: 64.into(), value: 127.into() });
    let track = vec![
        event(0, TrackEventKind::Meta(MetaMessage::Text(text))),
        event(0, TrackEventKind::Meta(MetaMessage::Tempo(500_000.into()))),
        event(99_000, on(60)),
        event(500, off(60)),
        event(500, foot),
        event(50_001, on(62)),
        event(10_000, off(62)),
        event(0, TrackEventKind::Meta(MetaMessage::EndOfTrack)),
    ];
    let header = midly::Header::new(midly::Format::SingleTrack, midly::Timing::Metrical(25_000.into()));
    let mut bytes = Vec::new();
    midly::Smf { header, tracks: vec![track] }.write_std(&mut bytes).expect("a vector takes all bytes");
    let take = read_midi(&bytes).unwrap().take().expect("ours");
    // By hand: 1000 steps of 20 µs before the bar line, at 60 %, are 12 ms of the chart; 50,001 after it 600.012 ms.
    let micros: Vec<(i64, Option<i64>)> =
        take.notes.iter().map(|n| (n.at.micros(), n.length.map(ChartTime::micros))).collect();
    assert_eq!(micros, [(-12_000, Some(6000)), (600_012, Some(120_000))]);
    assert_eq!(take.controls[0].at, ChartTime::ZERO);
    assert_eq!(
        (take.speed, take.hands, take.bars),
        (Speed::clamped(60.0), Hands::Right, Some(LoopBars::new(4, 7)))
    );
    assert_eq!((take.until, take.key), (Some(ChartTime::from_micros(9_000_000)), "D major".parse().ok()));
}

#[test]
fn a_note_that_was_never_let_go_is_ended() {
    let take = Take::new(vec![note(10.0, None, 60, 80)], Speed::FULL, Hands::Both, None);
    let back = read_midi(&write_take(&take)).unwrap();
    assert_eq!(back.notes()[0].end.map(|e| e - back.notes()[0].at), Some(ChartTime::from_ms(2000.0)));
}

#[test]
fn other_programs_read_a_take_in_the_time_it_was_played_in() {
    let half = Speed::new(50.0).unwrap();
    let take = Take::new(
        vec![note(-100.0, Some(50.0), 60, 80), note(500.0, Some(50.0), 62, 80)],
        half,
        Hands::Both,
        None,
    );
    let file = read_midi(&write_take(&take)).unwrap();
    let starts: Vec<f64> = file.notes().iter().map(|n| n.at.ms()).collect();
    // The first bar line lies a bar of 4/4 at 120 into the file, which lasts 4 s at half the speed. Half a tick is 16 µs.
    let wanted = [4000.0 - 200.0, 4000.0 + 1000.0];
    assert!(starts.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 0.017), "{starts:?}");
    assert_eq!(starts.len(), 2);
}

#[test]
fn a_saved_take_is_scored_to_the_same_result() {
    let bar = |bar: usize| BarSpan {
        bar,
        section: "Verse".into(),
        start: ChartTime::from_ms(1666.667 * bar as f64),
        end: ChartTime::from_ms(1666.667 * (bar + 1) as f64),
        beat_ms: 416.667,
        changes: Vec::new(),
    };
    let expected_note = |n: usize| ExpectedNote {
        hand: theory::Hand::Right,
        bar: n / 4,
        start: song::Quarters::new(n as i64, 1),
        at: ChartTime::from_ms(416.667 * n as f64),
        key: MidiKey::new(60 + (n % 12) as u8).expect("a key"),
        rolled: false,
        event: n,
    };
    let expected = Expected::new((0..40).map(expected_note).collect(), (0..10).map(bar).collect(), 4);
    let speed = Speed::new(73.0).unwrap();
    // Early, late, missed, brushed: some of everything.
    let play = |(n, e): (usize, &ExpectedNote)| {
        let late = ((n * 7919) % 1131) as f64 / 10.0 - 50.0;
        (n % 9 != 5).then(|| note(e.at.ms() + late, Some(120.0), e.key.number(), 60))
    };
    let mut notes: Vec<PlayedNote> = expected.notes.iter().enumerate().filter_map(play).collect();
    notes.push(note(5.0, Some(20.0), 61, 9));
    notes.push(note(4000.0, None, 90, 90));
    let take = Take::new(notes, speed, Hands::Both, None);
    let options = ScoreOptions { speed, ..ScoreOptions::default() };
    let before = score(&expected, &take.notes, &options);
    let back = read_midi(&write_take(&take)).unwrap().take().expect("our own");
    assert!(before.matched > 20 && before.missed > 3 && before.extra > 1, "{before:?}");
    assert_eq!(score(&expected, &back.notes, &ScoreOptions { speed: back.speed, ..options }), before);
}
