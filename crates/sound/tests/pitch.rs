//! Every key sounds at its pitch.

use crate::measure::{cents, key, line_near, on};
use sound::{SampleRate, offline};

/// Equal temperament with A4 = 440 Hz (ISO 16:1975), computed here apart from the crate.
fn tempered(midi: u8) -> f64 {
    440.0 * 2f64.powf((f64::from(midi) - 69.0) / 12.0)
}

fn fundamental_is_right(midi: u8, hertz: u32) {
    let rate = SampleRate::new(hertz).unwrap();
    // The long bass strings need a long look, the short treble does not ring for one.
    let seconds = if midi < 48 {
        4.0
    } else if midi < 84 {
        1.5
    } else {
        0.5
    };
    let samples = offline::render(rate, &[on(0, midi, 90)], rate.frames(seconds) as usize, 1);
    let start = rate.frames(0.02) as usize;
    let found = line_near(&samples[start..], hertz, tempered(midi));
    let error = cents(tempered(midi), found);
    assert!(error.abs() <= 3.0, "key {midi} at {hertz} Hz is off by {error:.2} cents");
}

#[test]
fn all_88_keys_are_within_three_cents() {
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
    assert_eq!(key(69).hertz(), 440.0);
    assert!((key(60).hertz() - 261.63).abs() < 0.005);
}

#[test]
fn partials_of_stiff_strings_are_sharp() {
    // Stiffness makes the partials of real strings sharper than whole multiples (piano acoustics, from memory:
    // f(n) = n f0 sqrt(1 + B n²), B about 0.0004 at middle C, so that the tenth partial is some 30 cents sharp).
    let rate = SampleRate::DEFAULT;
    let samples = offline::render(rate, &[on(0, 60, 110)], rate.frames(1.0) as usize, 1);
    let tenth = line_near(&samples[960..], 48_000, tempered(60) * 10.0 * 1.017);
    let sharp = cents(10.0 * tempered(60), tenth);
    assert!((15.0..50.0).contains(&sharp), "the tenth partial is sharp by {sharp:.1} cents");
}
