//! Nothing that ends does so with a snap: what is above 16 kHz stays far under the note.

use std::f64::consts::{PI, TAU};

use crate::measure::{mono, off, on, peak, pedal};
use sound::{Event, EventKind, Source, VOICES};

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

const END: u64 = 9_600;

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
    let all_off = Event { frame: END, kind: EventKind::AllOff(Source::Part) };
    for midi in [21, 36, 48, 60, 72, 84, 96, 108] {
        for velocity in [30, 127] {
            for (name, event) in [
                ("release", off(END, midi)),
                ("stop", all_off),
                ("struck again", on(END, midi, 1)),
                ("pedal", pedal(END, 127)),
            ] {
                let samples = mono(&[on(0, midi, velocity), event], 0.4);
                let under = under(&samples, END as usize);
                assert!(under > 60.0, "{name} of key {midi} at {velocity}: {under:.1} dB");
            }
        }
    }
}

#[test]
fn a_stolen_voice_does_not_snap() {
    // Every voice but one is soft and high; the lowest is loud, but released, and then the softest of all is wanted.
    let mut events = vec![pedal(0, 127)];
    events.extend((0..VOICES as u8).map(|at| on(0, 24 + at, 127)));
    events.push(on(END, 100, 1));
    let samples = mono(&events, 0.4);
    let alone = mono(&[on(0, 24, 127)], 0.4);
    let under = 20.0 * (f64::from(peak(&alone)) / treble(&samples, END as usize)).log10();
    assert!(under > 60.0, "{under:.1} dB under the peak of one note");
}
