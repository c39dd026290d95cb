//! The contract with the sound thread: nothing is allocated or freed while it plays.

use crate::measure::{key, rate};
use assert_no_alloc::{assert_no_alloc, violation_count};
use sound::{Bus, ClickKind, EventKind, Gain, Instrument, Source, Synth, VOICES, Velocity};

/// Everything the synthesiser can be told, in the worst order: all voices start at once, are stolen, struck again, held by
/// the pedal, released; more is scheduled than there is room for.
fn storm(synth: &mut Synth, block: &mut [f32]) {
    let source = Source::FIRST;
    for round in 0..40u8 {
        for voice in 0..VOICES as u8 {
            let (key, velocity) = (
                key(21 + ((u16::from(voice) * 3 + u16::from(round) * 7) % 88) as u8),
                Velocity::clamped(1 + voice),
            );
            let _ = synth.schedule_in(u32::from(voice), EventKind::NoteOn { key, velocity, source });
            let _ = synth.schedule_in(100 + u32::from(voice), EventKind::NoteOff { key, source });
        }
        let _ =
            synth.schedule_in(50, EventKind::Sustain { source, value: if round % 2 == 0 { 127 } else { 0 } });
        let _ = synth.schedule_in(55, EventKind::Sostenuto { source, value: round * 3 });
        let _ = synth.schedule_in(56, EventKind::UnaCorda { source, value: round * 3 });
        let _ = synth.schedule_in(60, EventKind::Click(ClickKind::Accent));
        let gain = Gain::from_percent(f32::from(round));
        let _ = synth.schedule_in(70, EventKind::Gain { bus: Bus::Master, gain });
        synth.set_gain(Bus::Own, Gain::UNITY);
        synth.render(block, 2);
    }
    while synth.schedule_in(9_999, EventKind::Click(ClickKind::Beat)).is_ok() {}
    let _ = synth.schedule_in(0, EventKind::Forget(Source::Part));
    let _ = synth.schedule_in(0, EventKind::AllOff(source));
    (0..400).for_each(|_| synth.render(block, 2));
    synth.skip(1_000);
}

#[test]
fn nothing_is_allocated_or_freed_while_instruments_are_exchanged() {
    let mut synth = Synth::new(rate());
    let mut next = Some(Instrument::piano(rate()));
    let mut spent = None;
    let mut block = vec![0.0; 2 * 256];
    let before = violation_count();
    assert_no_alloc(|| {
        let source = Source::FIRST;
        let _ =
            synth.schedule_in(0, EventKind::NoteOn { key: key(60), velocity: Velocity::clamped(90), source });
        synth.render(&mut block, 2);
        next = next.take().and_then(|next| synth.replace(next));
        for _ in 0..100 {
            synth.render(&mut block, 2);
            spent = spent.take().or_else(|| synth.take_spent());
        }
    });
    assert_eq!(violation_count() - before, 0);
    assert!(next.is_none() && spent.is_some());
}

#[test]
fn nothing_is_allocated_while_64_voices_start_are_stolen_and_released() {
    let mut synth = Synth::new(rate());
    let mut block = vec![0.0; 2 * 256];
    let before = violation_count();
    assert_no_alloc(|| storm(&mut synth, &mut block));
    assert_eq!(violation_count() - before, 0);
    assert_eq!(synth.sounding(), 0, "all of it came to an end");
}

#[test]
fn the_watch_would_notice_an_allocation() {
    let before = violation_count();
    assert_no_alloc(|| drop(std::hint::black_box(vec![0u8; 64])));
    assert!(violation_count() > before);
}
