//! How loud, and never too loud.

use crate::measure::{centroid, level, mono, off, on, peak, rate};
use sound::{Bus, ClickKind, Event, EventKind, Gain, Source, offline};

/// Both hands spread, all ten fingers.
const TEN: [u8; 10] = [36, 43, 48, 52, 55, 60, 64, 67, 72, 76];

#[test]
fn louder_and_brighter_with_velocity() {
    for midi in [21, 36, 48, 60, 72, 84, 96] {
        let measured: Vec<(f64, f64)> = [20, 45, 70, 95, 127]
            .map(|velocity| mono(&[on(0, midi, velocity)], 0.5))
            .iter()
            .map(|samples| (level(samples), centroid(samples)))
            .collect();
        for pair in measured.windows(2) {
            assert!(pair[1].0 > pair[0].0 + 2.0, "key {midi}, level: {measured:?}");
            assert!(pair[1].1 > pair[0].1, "key {midi}, centroid: {measured:?}");
        }
    }
}

#[test]
fn neighbouring_keys_are_about_as_loud() {
    let levels: Vec<f64> = (21..=108).map(|midi| level(&mono(&[on(0, midi, 80)], 0.3))).collect();
    for (at, pair) in levels.windows(2).enumerate() {
        assert!((pair[1] - pair[0]).abs() < 2.5, "from key {} to the next: {pair:?}", at + 21);
    }
}

#[test]
fn ten_hard_struck_keys_under_the_pedal_stay_inside_full_scale() {
    let mut events = vec![Event { frame: 0, kind: EventKind::Sustain { source: Source::Part, value: 127 } }];
    for blow in 0..6u64 {
        events.extend(TEN.map(|midi| on(blow * 6_000, midi, 127)));
        events.extend(TEN.map(|midi| off(blow * 6_000 + 3_000, midi)));
        events.push(Event { frame: blow * 6_000, kind: EventKind::Click(ClickKind::Accent) });
    }
    for bus in Bus::ALL {
        events.push(Event { frame: 0, kind: EventKind::Gain { bus, gain: Gain::from_factor(2.0) } });
    }
    let samples = offline::render(rate(), &events, 48_000, 2);
    let peak = peak(&samples);
    assert!(peak < 1.0, "{peak}");
    assert!(peak > 0.7, "the limiter was at work: {peak}");
    assert!(samples.iter().all(|sample| sample.is_finite()));
}

#[test]
fn one_note_at_usual_gain_is_not_touched_by_the_limiter() {
    let usual = peak(&mono(&[on(0, 60, 100)], 0.5));
    let half = Event { frame: 0, kind: EventKind::Gain { bus: Bus::Master, gain: Gain::from_factor(0.5) } };
    // The gain arrives within 20 ms, so compare afterwards.
    let quiet = mono(&[half, on(4_800, 60, 100)], 0.6);
    let settled = mono(&[on(4_800, 60, 100)], 0.6);
    let ratio = peak(&quiet[9_600..]) / peak(&settled[9_600..]);
    assert!((ratio - 0.5).abs() < 1e-3, "{ratio}");
    assert!(usual < 0.7, "{usual}");
}

#[test]
fn each_volume_moves_its_own_source_only() {
    let own = |frame| Event {
        frame,
        kind: EventKind::NoteOn {
            key: crate::measure::key(60),
            velocity: sound::Velocity::clamped(90),
            source: Source::FIRST,
        },
    };
    let silent = |bus| Event { frame: 0, kind: EventKind::Gain { bus, gain: Gain::SILENT } };
    let click = Event { frame: 100, kind: EventKind::Click(ClickKind::Beat) };
    let heard = |bus, event| peak(&mono(&[silent(bus), event], 0.3)) > 0.0;
    for (bus, part, played, clicked) in [
        (Bus::Part, false, true, true),
        (Bus::Own, true, false, true),
        (Bus::Click, true, true, false),
        (Bus::Master, false, false, false),
    ] {
        let found = (heard(bus, on(100, 60, 90)), heard(bus, own(100)), heard(bus, click));
        assert_eq!(found, (part, played, clicked), "{bus:?} silent");
    }
}

#[test]
fn channels_beyond_two_are_silent_and_one_carries_both_sides() {
    let events = [on(0, 40, 90)];
    let stereo = offline::render(rate(), &events, 4_800, 2);
    let mono = offline::render(rate(), &events, 4_800, 1);
    let six = offline::render(rate(), &events, 4_800, 6);
    for frame in 0..4_800 {
        let (left, right) = (stereo[2 * frame], stereo[2 * frame + 1]);
        assert_eq!(mono[frame], 0.5 * (left + right));
        assert_eq!(six[6 * frame..6 * frame + 6], [left, right, 0.0, 0.0, 0.0, 0.0]);
    }
}

#[test]
fn low_keys_lean_left_and_high_keys_right_a_little() {
    let lean = |midi| {
        let stereo = offline::render(rate(), &[on(0, midi, 90)], 24_000, 2);
        let side = |at: usize| stereo.iter().skip(at).step_by(2).copied().collect::<Vec<f32>>();
        level(&side(1)) - level(&side(0))
    };
    assert!((-4.0..-0.8).contains(&lean(24)), "{}", lean(24));
    assert!((0.8..4.0).contains(&lean(105)), "{}", lean(105));
    assert!(lean(64).abs() < 1.0, "{}", lean(64));
}
