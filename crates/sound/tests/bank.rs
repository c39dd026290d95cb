//! Banks: played, refused with a reason, and never the end of the program.
#![allow(
    clippy::disallowed_methods,
    clippy::print_stderr,
    reason = "a test may read a file, ask where it runs, and say why it skips"
)]

use crate::measure::{RATE, level, line_near, off, on, peak, rate, sent_anew};
use crate::small_bank::small_bank;
use assert_no_alloc::{assert_no_alloc, violation_count};
use sound::{BankError, Event, EventKind, Instrument, SampleRate, SoundBank, Source, Synth};

/// A small General MIDI bank as Debian installs it (package timgm6mb-soundfont).
const DEBIAN: &str = "/usr/share/sounds/sf2/TimGM6mb.sf2";

pub fn debian_bank() -> Option<SoundBank> {
    match std::fs::read(DEBIAN) {
        Ok(bytes) => Some(SoundBank::from_bytes(&bytes).unwrap()),
        Err(error) if std::env::var("CI").is_err() => {
            eprintln!("skipped: {DEBIAN} is not there ({error}); install timgm6mb-soundfont");
            None
        }
        Err(error) => panic!("{DEBIAN}: {error}"),
    }
}

fn synth(bank: &SoundBank) -> Synth {
    Synth::with_instrument(rate(), 0, Instrument::bank(bank, rate()).unwrap())
}

fn play(synth: &mut Synth, events: &[Event], seconds: f64) -> Vec<f32> {
    events.iter().for_each(|event| synth.schedule(*event).unwrap());
    let mut samples = vec![0.0; rate().frames(seconds) as usize];
    synth.render(&mut samples, 1);
    samples
}

#[test]
fn a_bank_plays_its_sample_at_the_key_that_was_struck() {
    let bank = SoundBank::from_bytes(&small_bank()).unwrap();
    assert_eq!((bank.name(), bank.presets().collect::<Vec<_>>()), ("Small bank", vec!["Sine"]));
    let samples = play(&mut synth(&bank), &[on(480, 71, 100)], 0.5);
    assert!(samples[..480].iter().all(|sample| *sample == 0.0));
    let first = samples.iter().position(|sample| *sample != 0.0).unwrap();
    // Steps of 16 frames, and an attack that grows from nothing over the first of them.
    assert!((480..=480 + 48).contains(&first), "at most a millisecond late: {first}");
    // The sample is a sine of 1000 Hz for key 83; an octave lower it is one of 500 Hz.
    let found = line_near(&samples[4_800..], RATE, 500.0);
    assert!((found - 500.0).abs() < 0.5, "{found}");
}

#[test]
fn pedals_hold_the_notes_of_a_bank_and_all_off_ends_them() {
    let bank = SoundBank::from_bytes(&small_bank()).unwrap();
    let after = |pedals: &[EventKind]| {
        let mut events = vec![on(0, 71, 100), off(9_600, 71)];
        events.extend(pedals.iter().map(|kind| Event { frame: 4_800, kind: *kind }));
        level(&play(&mut synth(&bank), &events, 1.0)[36_000..])
    };
    let source = Source::Part;
    assert!(after(&[]) < -80.0);
    assert!(after(&[EventKind::Sustain { source, value: 127 }]) > -40.0);
    assert!(after(&[EventKind::Sostenuto { source, value: 127 }]) > -40.0);
    let all_off = EventKind::AllOff(source);
    assert!(after(&[EventKind::Sustain { source, value: 127 }, all_off]) < -80.0);
}

#[test]
fn what_a_bank_sounds_already_is_not_struck_twice_when_it_is_sent_anew() {
    let bank = SoundBank::from_bytes(&small_bank()).unwrap();
    let first = [on(23_900, 71, 90), on(23_950, 76, 90)];
    let usual = sent_anew(synth(&bank), &first, &[]);
    let anew = first.map(|event| Event { frame: event.frame + 96, ..event });
    assert_eq!(sent_anew(synth(&bank), &first, &anew), usual, "it sounds on as if nothing had been");
    // The rest is let go: of two keys one, or what was struck longer ago and comes again.
    let one = sent_anew(synth(&bank), &first, &anew[..1]);
    assert!(level(&one[40_000..]) < level(&usual[40_000..]) - 1.0, "the other is let go");
    let struck = [on(24_100, 71, 90), off(32_000, 71)];
    // Half a period of its sine apart from the earlier stroke: both together would be silent.
    let again = sent_anew(synth(&bank), &[on(12_052, 71, 90)], &struck);
    let alone = sent_anew(synth(&bank), &[], &struck);
    let apart = level(&again[27_000..32_000]) - level(&alone[27_000..32_000]);
    assert!(apart.abs() < 1.0, "the earlier stroke is let go when the key is struck again: {apart:.1} dB");
    assert!(level(&again[44_000..]) < level(&again[27_000..32_000]) - 20.0, "and each of them ends");
}

#[test]
fn a_bank_that_is_silent_is_silent_to_the_bit() {
    let bank = SoundBank::from_bytes(&small_bank()).unwrap();
    let samples = play(&mut synth(&bank), &[on(0, 71, 127), off(4_800, 71)], 3.0);
    assert!(peak(&samples) > 0.01);
    assert!(samples[96_000..].iter().all(|sample| sample.to_bits() == 0));
}

#[test]
fn what_is_no_bank_is_refused_with_a_reason() {
    let refused = |bytes: &[u8]| SoundBank::from_bytes(bytes).map(|_| ()).unwrap_err();
    assert_eq!(refused(b""), BankError::NotABank);
    assert_eq!(refused(b"MThd\0\0\0\x06\0\x01\0\x01\x01\xe0"), BankError::NotABank);
    let whole = small_bank();
    for end in [10, 100, 1_000, whole.len() - 1] {
        assert_eq!(refused(&whole[..end]), BankError::NotABank, "cut at {end}");
    }
    let bank = SoundBank::from_bytes(&whole).unwrap();
    let slow = SampleRate::new(8_000).unwrap();
    assert!(matches!(Instrument::bank(&bank, slow), Err(BankError::Rate(8_000))));
}

#[test]
fn a_sound_that_would_leave_its_loop_is_refused() {
    let mut bytes = small_bank();
    // The end of the loop, 1920, becomes 962: two frames of loop, and keys that step by more.
    let at =
        bytes.windows(8).position(|pair| pair == [960u32, 1_920].map(u32::to_le_bytes).concat()).unwrap();
    bytes[at + 4..at + 8].copy_from_slice(&962u32.to_le_bytes());
    let bank = SoundBank::from_bytes(&bytes).unwrap();
    assert!(matches!(Instrument::bank(&bank, rate()), Err(BankError::Damaged(_))));
}

#[test]
fn mutated_banks_are_played_or_refused_and_nothing_else() {
    // Panics inside the reader are caught; their messages would only fill the screen.
    let own = std::thread::current().id();
    let usual = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        if std::thread::current().id() != own
            || info.location().is_some_and(|at| at.file().contains("sound/tests"))
        {
            usual(info);
        }
    }));
    let (whole, mut seed) = (small_bank(), 1u64);
    let mut random = |below: usize| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 33) as usize % below
    };
    // Half of the changes fall on the tables behind the samples.
    let tables = whole.windows(4).position(|name| name == b"pdta").unwrap();
    let (mut refused, mut played) = (0, 0);
    for _ in 0..4_000 {
        let mut bytes = whole.clone();
        for _ in 0..1 + random(4) {
            let at = if random(4) == 0 { random(whole.len()) } else { tables + random(whole.len() - tables) };
            bytes[at] = [0, 1, 127, 128, 255, random(256) as u8][random(6)];
        }
        if random(8) == 0 {
            bytes.truncate(random(bytes.len()));
        }
        let Ok(instrument) = SoundBank::from_bytes(&bytes).and_then(|bank| Instrument::bank(&bank, rate()))
        else {
            refused += 1;
            continue;
        };
        let mut synth = Synth::with_instrument(rate(), 0, instrument);
        let samples = play(&mut synth, &[on(0, 60, 127), on(0, 108, 100), on(9, 21, 5), off(400, 60)], 0.02);
        assert!(samples.iter().all(|sample| sample.is_finite() && sample.abs() < 1.0));
        played += 1;
    }
    assert!(refused > 500 && played > 500, "{refused} refused, {played} played");
}

#[test]
fn debians_bank_plays_every_key_without_allocating() {
    let Some(bank) = debian_bank() else { return };
    assert!(bank.presets().len() > 100);
    let mut synth = synth(&bank);
    let mut block = vec![0.0; 2 * 256];
    let before = violation_count();
    assert_no_alloc(|| {
        for midi in 21..=108 {
            let _ = synth.schedule_in(3, on(0, midi, 100).kind);
            let _ = synth.schedule_in(7, EventKind::Sustain { source: Source::Part, value: midi });
            (0..4).for_each(|_| synth.render(&mut block, 2));
            let _ = synth.schedule_in(9, off(0, midi).kind);
        }
        let _ = synth.schedule_in(0, EventKind::AllOff(Source::Part));
        (0..900).for_each(|_| synth.render(&mut block, 2));
    });
    assert_eq!(violation_count() - before, 0);
    assert!(!synth.is_broken());
    assert!(block.iter().all(|sample| *sample == 0.0), "and it ends");
}

#[test]
fn every_preset_of_debians_bank_can_be_played() {
    let Some(bank) = debian_bank() else { return };
    let refused: Vec<&str> = bank
        .presets()
        .enumerate()
        .filter(|(at, _)| Instrument::bank(&bank.with_preset(*at).unwrap(), rate()).is_err())
        .map(|(_, name)| name)
        .collect();
    assert_eq!(refused, [""; 0]);
    assert!(bank.with_preset(bank.presets().len()).is_none());
}

#[test]
fn debians_grand_piano_and_our_own_are_about_as_loud() {
    let Some(bank) = debian_bank() else { return };
    for midi in [36, 60, 84] {
        let theirs = play(&mut synth(&bank), &[on(0, midi, 90)], 0.5);
        let ours = play(&mut Synth::new(rate()), &[on(0, midi, 90)], 0.5);
        let apart = level(&ours) - level(&theirs);
        assert!(apart.abs() < 8.0, "key {midi}: ours is louder by {apart:.1} dB");
    }
}
