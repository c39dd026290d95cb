//! A SoundFont bank is played or refused, whatever its bytes: nothing panics, nothing is louder than full scale.
#![no_main]

use libfuzzer_sys::fuzz_target;
use sound::{Event, EventKind, Instrument, Key, SampleRate, SoundBank, Source, Synth, Velocity};

#[path = "../../../crates/sound/tests/small_bank.rs"]
mod small_bank;

// What the reader behind it stumbles over is caught in the crate; only what gets out of it counts.
fuzz_target!(init: std::panic::set_hook(Box::new(|_| {})), |bytes: &[u8]| {
    play(bytes);
    // The same bytes once more as changes of a good bank: two for a place, one to put there.
    let mut bank = small_bank::small_bank();
    for [low, high, value] in bytes.as_chunks::<3>().0 {
        // The tables behind the samples, for the most part.
        let at = bank.len() - 1 - usize::from(u16::from_le_bytes([*low, *high])) % bank.len();
        bank[at] = *value;
    }
    play(&bank);
});

fn play(bytes: &[u8]) {
    let rate = SampleRate::DEFAULT;
    let Ok(bank) = SoundBank::from_bytes(bytes) else { return };
    for preset in 0..bank.presets().len().min(4) {
        let bank = bank.with_preset(preset).expect("there are that many");
        let Ok(instrument) = Instrument::bank(&bank, rate) else { continue };
        let mut synth = Synth::with_instrument(rate, 0, instrument);
        for (frame, midi) in [(0, 60), (0, 108), (9, 21)] {
            let key = Key::new(midi).expect("below 128");
            let kind = EventKind::NoteOn { key, velocity: Velocity::clamped(127), source: Source::Part };
            synth.schedule(Event { frame, kind }).expect("three events find room");
        }
        let mut samples = [0.0; 2 * 1_024];
        synth.render(&mut samples, 2);
        assert!(samples.iter().all(|sample| sample.is_finite() && sample.abs() < 1.0));
    }
}
