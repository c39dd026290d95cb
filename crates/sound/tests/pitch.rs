//! Every key sounds at its stretched pitch, and its partials lie where stiff strings have them.

use std::f64::consts::TAU;

use crate::measure::{cents, key, line_near, on};
use sound::{SampleRate, offline, tuning};

/// Equal temperament with A4 = 440 Hz (ISO 16:1975), computed here apart from the crate.
fn tempered(midi: u8) -> f64 {
    440.0 * 2f64.powf((f64::from(midi) - 69.0) / 12.0)
}

/// The long bass strings need a long look, the short treble does not ring for one.
fn look(midi: u8) -> f64 {
    match midi {
        0..48 => 4.0,
        48..84 => 1.5,
        _ => 0.5,
    }
}

fn fundamental_is_right(midi: u8, hertz: u32) {
    let rate = SampleRate::new(hertz).unwrap();
    let samples = offline::render(rate, &[on(0, midi, 90)], rate.frames(look(midi)) as usize, 1);
    let start = rate.frames(0.02) as usize;
    let intended = tuning::hertz(key(midi));
    let error = cents(intended, line_near(&samples[start..], hertz, intended));
    assert!(error.abs() <= 2.0, "key {midi} at {hertz} Hz is off by {error:.2} cents");
}

#[test]
fn all_88_keys_are_within_two_cents() {
    (21..=108).for_each(|midi| fundamental_is_right(midi, 48_000));
}

#[test]
fn other_sample_rates_do_not_change_the_pitch() {
    for hertz in [44_100, 96_000] {
        [21, 40, 60, 69, 88, 108].into_iter().for_each(|midi| fundamental_is_right(midi, hertz));
    }
}

#[test]
fn known_pitches() {
    // The standard tuning pitch (ISO 16) and middle C of equal temperament as tables print it (261.63 Hz).
    assert_eq!(tuning::hertz(key(69)), 440.0);
    assert!((key(60).hertz() - 261.63).abs() < 0.005);
}

#[test]
fn octaves_are_stretched_as_on_tuned_pianos() {
    // Railsback 1938, the curve of tuned pianos (from memory): some 15 to 35 cents low at A0, within a few cents in the
    // middle, some 20 to 45 cents high at C8, and never falling.
    let curve: Vec<f64> = (21..=108).map(|midi| cents(tempered(midi), tuning::hertz(key(midi)))).collect();
    assert!(curve.is_sorted(), "{curve:?}");
    assert!((-35.0..-15.0).contains(&curve[0]), "A0 {:.1}", curve[0]);
    assert!((20.0..45.0).contains(&curve[87]), "C8 {:.1}", curve[87]);
    for (midi, off) in (21..).zip(&curve).filter(|(midi, _)| (48..=76).contains(midi)) {
        assert!(off.abs() < 5.0, "key {midi} {off:.1}");
    }
}

#[test]
fn strings_are_as_stiff_as_measured_ones() {
    // The coefficient B of pianos of several sizes (Fletcher 1964; Conklin 1999; Fletcher and Rossing, "The Physics of Musical
    // Instruments"; all from memory): least about the break between wound and plain strings, then rising a hundredfold.
    let b = |midi| tuning::inharmonicity(key(midi));
    for (midi, range) in
        [(21, 1e-4..1.5e-3), (40, 5e-5..4e-4), (60, 2e-4..7e-4), (84, 1e-3..6e-3), (108, 5e-3..4e-2)]
    {
        assert!(range.contains(&b(midi)), "key {midi}: {}", b(midi));
    }
    let least = (21..=108).min_by(|one, other| b(*one).total_cmp(&b(*other))).unwrap();
    assert!((33..=48).contains(&least), "least at {least}");
}

#[test]
fn partials_lie_where_stiffness_puts_them() {
    // f(n) = n f1 sqrt((1 + B n²) / (1 + B)) (Fletcher 1964).
    let rate = SampleRate::DEFAULT;
    for midi in 21..=108 {
        let samples = offline::render(rate, &[on(0, midi, 110)], rate.frames(look(midi)) as usize, 1);
        let (b, first) = (tuning::inharmonicity(key(midi)), tuning::hertz(key(midi)));
        for n in [2.0f64, 3.0, 5.0, 7.0, 10.0] {
            let expected = n * first * ((1.0 + b * n * n) / (1.0 + b)).sqrt();
            if expected > 9_000.0 {
                break;
            }
            let error = cents(expected, line_near(&samples[960..], 48_000, expected));
            assert!(error.abs() <= 2.5, "partial {n} of key {midi} is off by {error:.2} cents");
        }
    }
}

/// The frequency of a key's fundamental at some seconds, by how far its phase gets ahead in a tenth of a second.
fn at_second(samples: &[f32], hertz: f64, second: f64) -> f64 {
    let phase = |from: f64| {
        let (from, length) = ((from * 48_000.0) as usize, 24_000);
        let (re, im) = (0..length).fold((0.0, 0.0), |(re, im), at| {
            let window = 0.5 - 0.5 * (TAU * at as f64 / f64::from(length)).cos();
            let angle = TAU * hertz * (from + at as usize) as f64 / 48_000.0;
            let sample = window * f64::from(samples[from + at as usize]);
            (re + sample * angle.cos(), im - sample * angle.sin())
        });
        im.atan2(re) / TAU
    };
    let ahead = phase(second + 0.1) - phase(second);
    hertz + (ahead - ahead.round()) / 0.1
}

#[test]
fn the_strings_of_a_unison_are_a_little_apart() {
    // Some tenths of a cent to two cents (Kirk 1959, "Tuning preferences for piano unison groups"; from memory): what is
    // left when the strings' common motion is over is a little off what they sounded together. Single strings stay.
    let moved = |midi: u8| {
        let samples = offline::render(SampleRate::DEFAULT, &[on(0, midi, 100)], 7 * 48_000, 1);
        let hertz = tuning::hertz(key(midi));
        let early = at_second(&samples, hertz, 0.1);
        let later = [2.0, 3.0, 4.0, 5.0, 6.0].map(|second| cents(early, at_second(&samples, hertz, second)));
        later.into_iter().map(f64::abs).fold(0.0, f64::max)
    };
    for midi in [48, 55, 60, 64, 67] {
        assert!((0.25..2.0).contains(&moved(midi)), "key {midi}: {:.2} cents", moved(midi));
    }
    assert!(moved(28) < 0.25, "a single string: {:.2} cents", moved(28));
}
