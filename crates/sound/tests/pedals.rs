//! The three pedals, and keyboards that do not share them.

use crate::measure::{RATE, centroid, key, level, mono, off, on, peak, pedal};
use sound::{Event, EventKind, Port, Source, Velocity, offline, tuning};
use std::f64::consts::TAU;

/// From 0.3 to 0.4 seconds after the key came up at 0.5 s.
fn after_release(samples: &[f32]) -> f64 {
    level(&samples[(0.8 * f64::from(RATE)) as usize..(0.9 * f64::from(RATE)) as usize])
}

fn sostenuto(frame: u64, value: u8) -> Event {
    Event { frame, kind: EventKind::Sostenuto { source: Source::Part, value } }
}

fn una_corda(value: u8) -> Event {
    Event { frame: 0, kind: EventKind::UnaCorda { source: Source::Part, value } }
}

#[test]
fn the_sustain_pedal_holds_from_64_up_and_little_by_little_below() {
    let note = |value| after_release(&mono(&[pedal(0, value), on(0, 60, 90), off(24_000, 60)], 1.0));
    let held = after_release(&mono(&[pedal(0, 127), on(0, 60, 90)], 1.0));
    let damped = note(0);
    assert!(damped < held - 25.0, "{damped:.1} dB, held {held:.1} dB");
    // Controller 64: 64 to 127 is on (MIDI 1.0).
    for value in [64, 90, 127] {
        assert!((note(value) - held).abs() < 0.01, "{value}: {:.1} dB, held {held:.1} dB", note(value));
    }
    assert!((note(10) - damped).abs() < 0.5, "a foot that rests on the pedal changes nothing");
    let half: Vec<f64> = [20, 30, 40, 50, 60].map(note).into();
    assert!(half.is_sorted_by(|less, more| more - less > 0.3), "{half:.1?}");
    assert!(half[2] > damped + 6.0 && half[2] < held - 3.0, "half way: {half:.1?}");
}

#[test]
fn the_pedal_damps_when_it_comes_up() {
    let lifted = mono(&[pedal(0, 127), on(0, 60, 90), off(24_000, 60), pedal(30_000, 0)], 1.0);
    let held = mono(&[pedal(0, 127), on(0, 60, 90)], 1.0);
    assert!(after_release(&lifted) < after_release(&held) - 20.0);
}

#[test]
fn other_strings_ring_along_under_the_pedal_only() {
    // A fifth below and above, silent themselves, share partials with what is struck.
    let staccato = |foot: u8| mono(&[pedal(0, foot), on(0, 60, 100)], 2.0);
    let (dry, wet) = (staccato(0), staccato(127));
    let along: Vec<f32> = wet.iter().zip(&dry).map(|(wet, dry)| wet - dry).collect();
    let below = level(&along[24_000..]) - level(&dry[24_000..]);
    assert!((-32.0..-10.0).contains(&below), "what rings along is at {below:.1} dB");
    let start = peak(&along[..48]);
    assert!(start < 0.01 * peak(&dry), "and it grows from nothing: {start}");
}

#[test]
fn strings_ring_along_that_share_a_partial_with_what_sounds() {
    // The knock of a blow moves all strings alike; only those with a partial at C5 take up the second partial of C4.
    let play = |foot: u8| mono(&[pedal(0, foot), on(0, 60, 100)], 2.0);
    let along: Vec<f32> = play(127).iter().zip(play(0)).map(|(wet, dry)| wet - dry).collect();
    let at = |midi: u8| {
        let turn = TAU * tuning::hertz(key(midi)) / f64::from(RATE);
        let (re, im) = along[24_000..].iter().enumerate().fold((0.0, 0.0), |(re, im), (frame, sample)| {
            let window = 0.5 - 0.5 * (TAU * frame as f64 / (along.len() - 24_000) as f64).cos();
            let (sin, cos) = (turn * frame as f64).sin_cos();
            (re + window * f64::from(*sample) * cos, im + window * f64::from(*sample) * sin)
        });
        20.0 * re.hypot(im).log10()
    };
    let above = at(72) - at(71).max(at(73));
    assert!(above > 10.0, "C5 stands out by {above:.1} dB");
}

#[test]
fn sostenuto_holds_what_is_down_and_nothing_later() {
    let low = mono(&[on(0, 48, 90), sostenuto(12_000, 127), off(24_000, 48)], 1.0);
    let high = mono(&[sostenuto(0, 127), on(0, 48, 90), off(24_000, 48)], 1.0);
    let held = after_release(&mono(&[on(0, 48, 90)], 1.0));
    assert!((after_release(&low) - held).abs() < 0.5);
    assert!(after_release(&high) < held - 15.0);
    let up = mono(&[on(0, 48, 90), sostenuto(12_000, 127), off(24_000, 48), sostenuto(26_000, 0)], 1.0);
    assert!(after_release(&up) < held - 15.0);
}

#[test]
fn una_corda_is_softer_and_duller() {
    let [open, half, soft] = [0, 64, 127].map(|value| mono(&[una_corda(value), on(0, 60, 90)], 0.5));
    assert!(level(&open) > level(&half) + 0.5 && level(&half) > level(&soft) + 0.5);
    assert!((1.5..6.0).contains(&(level(&open) - level(&soft))));
    assert!(centroid(&open) > 1.05 * centroid(&soft));
}

#[test]
fn the_top_octave_and_a_half_has_no_dampers() {
    let rest = |midi| {
        let held = after_release(&mono(&[on(0, midi, 90)], 1.0));
        held - after_release(&mono(&[on(0, midi, 90), off(24_000, midi)], 1.0))
    };
    assert!(rest(90) > 10.0, "{}", rest(90));
    assert_eq!(rest(91), 0.0);
    assert_eq!(rest(102), 0.0);
}

#[test]
fn keyboards_share_neither_keys_nor_pedals() {
    let [first, second] = [0, 1].map(|at| Source::Own(Port::new(at).unwrap()));
    let note = |source| EventKind::NoteOn { key: key(60), velocity: Velocity::clamped(90), source };
    let play = |more: &[(u64, EventKind)]| {
        let mut events = vec![Event { frame: 0, kind: note(first) }];
        events.extend(more.iter().map(|(frame, kind)| Event { frame: *frame, kind: *kind }));
        after_release(&offline::render(crate::measure::rate(), &events, 48_000, 1))
    };
    let alone = play(&[]);
    let up = |source| EventKind::NoteOff { key: key(60), source };
    assert!((play(&[(24_000, up(second))]) - alone).abs() < 1e-9, "the other keyboard's key came up");
    assert!(play(&[(24_000, up(first))]) < alone - 25.0);
    let down = |source| EventKind::Sustain { source, value: 127 };
    assert!(play(&[(0, down(second)), (24_000, up(first))]) < alone - 20.0, "the other's pedal");
    assert!(play(&[(0, down(first)), (24_000, up(first))]) > alone - 1.0);
    // The same key on both: one comes up, the other goes on.
    let both = play(&[(0, note(second)), (24_000, up(second))]);
    assert!((both - alone).abs() < 1.0, "{both:.1} {alone:.1}");
}
