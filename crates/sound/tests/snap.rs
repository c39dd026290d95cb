//! Nothing that ends does so with a snap: what is above 16 kHz stays far under the note.

use std::f64::consts::{PI, TAU};

use crate::bank::debian_bank;
use crate::measure::{key, mono, off, on, peak, pedal};
use sound::offline::Rendering;
use sound::{Bus, Event, EventKind, Gain, Instrument, SampleRate, Source, Synth, VOICES, Velocity};

/// Two milliseconds at 48 kHz.
const NEAR: usize = 96;
const REACH: usize = 256;

/// What lies above 16 kHz about a frame: the root mean square over 2 ms on either side, after a filter (windowed sinc with a
/// Blackman window of 513 taps: 80 dB less below 15.5 kHz).
fn treble(samples: &[f32], about: usize) -> f64 {
    let cut = 16_000.0 / 48_000.0;
    let taps: Vec<f64> = (0..=2 * REACH)
        .map(|at| {
            let (x, share) = (at as f64 - REACH as f64, at as f64 / (2 * REACH) as f64);
            let window = 0.42 - 0.5 * (TAU * share).cos() + 0.08 * (2.0 * TAU * share).cos();
            let low = if x == 0.0 { 2.0 * cut } else { (TAU * cut * x).sin() / (PI * x) };
            window * (if x == 0.0 { 1.0 } else { 0.0 } - low)
        })
        .collect();
    let filtered = |at: usize| -> f64 {
        taps.iter().zip(&samples[at - REACH..]).map(|(tap, sample)| tap * f64::from(*sample)).sum()
    };
    let energy: f64 = (about - NEAR..about + NEAR).map(|at| filtered(at).powi(2)).sum();
    (energy / (2 * NEAR) as f64).sqrt()
}

/// Decibels under the note's peak.
fn under(samples: &[f32], about: usize) -> f64 {
    20.0 * (f64::from(peak(samples)) / treble(samples, about)).log10()
}

/// Soon after the blow and later on.
const ENDS: [u64; 2] = [1_920, 9_600];

#[test]
fn a_cut_would_be_noticed() {
    for midi in [24, 60, 96] {
        let mut samples = mono(&[on(0, midi, 110)], 0.4);
        // At a crest, where the note is far from zero.
        let crest = (2_400..3_400).max_by(|a, b| samples[*a].total_cmp(&samples[*b])).unwrap();
        samples[crest..].fill(0.0);
        let under = under(&samples, crest);
        assert!(under < 55.0, "key {midi}: {under:.1} dB");
    }
}

#[test]
fn release_stop_and_striking_again_do_not_snap() {
    for (midi, end) in
        [21, 36, 48, 60, 72, 84, 96, 108].into_iter().flat_map(|midi| ENDS.map(|end| (midi, end)))
    {
        for velocity in [30, 127] {
            let all_off = Event { frame: end, kind: EventKind::AllOff(Source::Part) };
            for (name, event) in [
                ("release", off(end, midi)),
                ("stop", all_off),
                ("struck again", on(end, midi, 1)),
                ("pedal", pedal(end, 127)),
            ] {
                let samples = mono(&[on(0, midi, velocity), event], 0.4);
                let under = under(&samples, end as usize);
                assert!(under > 60.0, "{name} of key {midi} at {velocity}, frame {end}: {under:.1} dB");
            }
        }
    }
}

#[test]
fn a_stolen_voice_does_not_snap() {
    // Keys as loud as one another, on every keyboard there is, so that one in full sound has to make room; turned down, so
    // that all together stay below the limiter.
    let gain = EventKind::Gain { bus: Bus::Master, gain: Gain::from_factor(0.02) };
    let keys = |from: u8, frame: u64| {
        let sources = Source::all().flat_map(move |source| (from..from + 5).map(move |midi| (midi, source)));
        sources.take(VOICES).map(move |(midi, source)| Event {
            frame,
            kind: EventKind::NoteOn { key: key(midi), velocity: Velocity::clamped(127), source },
        })
    };
    for (from, end) in [(24, ENDS[1]), (60, ENDS[0]), (84, ENDS[0])] {
        // The gain arrives within 20 ms.
        let begin = 1_200;
        let turned_down = [Event { frame: 0, kind: gain }];
        let full: Vec<Event> = turned_down.into_iter().chain(keys(from, begin)).collect();
        let wanted = Event { frame: begin + end, ..on(0, 100, 1) };
        let one_more: Vec<Event> = full.iter().copied().chain([wanted]).collect();
        let alone = peak(&mono(&[turned_down[0], on(begin, from, 127)], 0.5)[begin as usize..]);
        let under = 20.0 * (f64::from(alone) / treble(&mono(&one_more, 0.5), (begin + end) as usize)).log10();
        assert!(under > 60.0, "a key about {from}: {under:.1} dB under the peak of one note");
        let mut synth = Synth::new(SampleRate::DEFAULT);
        one_more.iter().for_each(|event| synth.schedule(*event).unwrap());
        synth.render(&mut vec![0.0; (begin + end) as usize + 480], 1);
        assert_eq!((synth.sounding(), synth.refused()), (VOICES, 0), "one had to go");
    }
}

/// A bank has 256 voices. Under the pedal every stroke takes some, and what it takes away in the end is its quietest.
#[test]
fn a_bank_that_runs_out_of_voices_does_not_snap() {
    let Some(bank) = debian_bank() else { return };
    // Turned down, so that all together stay below the limiter.
    let gain = EventKind::Gain { bus: Bus::Master, gain: Gain::from_factor(0.01) };
    let stroke = |n: u64| on(4_800 + 120 * n, 21 + (n * 37 % 88) as u8, 100);
    let render = |strokes: u64| {
        let mut events = vec![Event { frame: 0, kind: gain }, pedal(0, 127)];
        events.extend((0..strokes).map(stroke));
        // The one that is looked at: itself as soft as can be.
        events.push(on(60_000, 108, 1));
        let instrument = Instrument::bank(&bank, SampleRate::DEFAULT).unwrap();
        let mut samples = vec![0.0; 72_000];
        Rendering::new(SampleRate::DEFAULT, instrument, events).fill(&mut samples, 1);
        samples
    };
    let (full, one) = (render(400), peak(&render(1)));
    let about = (59_800..60_200).step_by(50);
    let under = about.map(|frame| 20.0 * (f64::from(one) / treble(&full, frame)).log10());
    let least = under.fold(f64::INFINITY, f64::min);
    assert!(least > 60.0, "{least:.1} dB under the peak of one note");
    // With voices to spare there is less: one was taken away.
    assert!(treble(&full, 60_000) > 2.0 * treble(&render(200), 60_000));
}
