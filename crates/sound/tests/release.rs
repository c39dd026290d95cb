//! How notes end: dampers, the pedal, stolen voices, silence.

use crate::measure::{RATE, key, level, mono, off, on, peak, pedal, rate};
use sound::{Event, EventKind, Source, Synth, VOICES, offline};

/// From 0.3 to 0.4 seconds after the key came up at 0.5 s.
fn after_release(samples: &[f32]) -> f64 {
    level(&samples[(0.8 * f64::from(RATE)) as usize..(0.9 * f64::from(RATE)) as usize])
}

#[test]
fn a_released_key_is_damped_and_a_held_one_rings_on() {
    for midi in [21, 36, 60, 84] {
        let held = mono(&[on(0, midi, 90)], 1.0);
        let released = mono(&[on(0, midi, 90), off(24_000, midi)], 1.0);
        assert_eq!(held[..24_000], released[..24_000], "nothing changes before the key comes up");
        let damped = after_release(&held) - after_release(&released);
        assert!(damped > 25.0, "key {midi} is damped by {damped:.1} dB only");
    }
}

#[test]
fn after_the_end_there_is_exact_silence() {
    let notes: Vec<Event> =
        [21, 60, 108].into_iter().flat_map(|midi| [on(0, midi, 127), off(4_800, midi)]).collect();
    let samples = offline::render(rate(), &notes, 3 * RATE as usize, 2);
    let sounds = samples.iter().rposition(|sample| *sample != 0.0).unwrap() / 2;
    assert!(sounds < 96_000, "the last sound, in the room, is at frame {sounds}");
    assert!(samples[2 * (sounds + 1)..].iter().all(|sample| sample.to_bits() == 0), "plus zero, to the bit");
    assert!(offline::render(rate(), &[], 1_000, 2).iter().all(|sample| sample.to_bits() == 0));
}

#[test]
fn no_sample_is_denormal() {
    // The highest strings fall by 60 dB in half a second: left alone they would be denormal after six.
    let samples = mono(&[pedal(0, 127), on(0, 108, 1), pedal(96_000, 0)], 12.0);
    assert!(samples.iter().all(|sample| *sample == 0.0 || sample.is_normal()));
}

#[test]
fn all_off_ends_a_source_and_lifts_its_pedal() {
    let mut synth = Synth::new(rate());
    for event in [pedal(0, 127), on(0, 60, 90), on(0, 64, 90), off(10, 60)] {
        synth.schedule(event).unwrap();
    }
    let own =
        EventKind::NoteOn { key: key(72), velocity: sound::Velocity::clamped(90), source: Source::FIRST };
    synth.schedule_in(0, own).unwrap();
    let mut block = vec![0.0; 4_800];
    synth.render(&mut block, 1);
    assert_eq!(synth.sounding(), 3);
    synth.schedule_in(0, EventKind::AllOff(Source::Part)).unwrap();
    (0..20).for_each(|_| synth.render(&mut block, 1));
    assert_eq!(synth.sounding(), 1, "the player's note goes on");
}

#[test]
fn at_most_64_notes_sound_and_the_quietest_make_room() {
    let mut synth = Synth::new(rate());
    let mut block = vec![0.0; 480];
    for midi in 22..22 + VOICES as u8 {
        synth.schedule_in(0, on(0, midi, if midi == 40 { 5 } else { 100 }).kind).unwrap();
    }
    synth.render(&mut block, 1);
    assert_eq!(synth.sounding(), VOICES);
    synth.schedule_in(0, on(0, 21, 100).kind).unwrap();
    synth.render(&mut block, 1);
    assert_eq!((synth.sounding(), synth.refused()), (VOICES, 0));
    // Key 40 was the one to go: to release it changes nothing, to release another does.
    synth.schedule_in(0, off(0, 40).kind).unwrap();
    (0..100).for_each(|_| synth.render(&mut block, 1));
    assert_eq!(synth.sounding(), VOICES);
    synth.schedule_in(0, off(0, 41).kind).unwrap();
    (0..100).for_each(|_| synth.render(&mut block, 1));
    assert_eq!(synth.sounding(), VOICES - 1);
}

/// The largest jump of the curve's bend: a click is a corner or a step, which this brings out.
fn roughness(samples: &[f32]) -> f32 {
    samples.windows(4).map(|w| (w[3] - 3.0 * w[2] + 3.0 * w[1] - w[0]).abs()).fold(0.0, f32::max)
}

#[test]
fn stealing_striking_again_and_damping_do_not_click() {
    // Low keys have little treble of their own, so a corner would stand out.
    let chord: Vec<Event> = (21..21 + VOICES as u8).map(|midi| on(0, midi, 30)).collect();
    let quiet = offline::render(rate(), &chord, 48_000, 1);
    let calm = roughness(&quiet[24_000..]);
    let softest = on(30_000, 24, 1);
    for (name, event) in [
        ("stealing", Event { kind: on(0, 60, 1).kind, ..softest }),
        ("striking again", softest),
        ("damping", off(30_000, 24)),
        ("all off", Event { kind: EventKind::AllOff(Source::Part), ..softest }),
    ] {
        let mut events = chord.clone();
        events.push(event);
        let found = roughness(&offline::render(rate(), &events, 48_000, 1)[24_000..]);
        assert!(found < 1.5 * calm + 1e-5, "{name}: {found} against {calm}");
    }
}

#[test]
fn a_volume_moves_without_a_step() {
    let gain =
        Event { frame: 12_000, kind: EventKind::Gain { bus: sound::Bus::Master, gain: sound::Gain::SILENT } };
    let samples = mono(&[on(0, 36, 100), gain], 0.5);
    let steps = |part: &[f32]| part.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f32::max);
    assert!(steps(&samples[11_900..13_100]) <= 1.1 * steps(&samples[10_000..11_900]));
    assert_eq!(peak(&samples[13_100..]).abs(), 0.0);
}

#[test]
fn every_sample_rate_sounds_and_ends() {
    for hertz in [8_000, 44_100, 96_000, 192_000] {
        let rate = sound::SampleRate::new(hertz).unwrap();
        let notes: Vec<Event> = [21, 60, 108]
            .into_iter()
            .flat_map(|midi| [on(0, midi, 100), off(rate.frames(0.3), midi)])
            .chain([pedal(rate.frames(0.1), 127), pedal(rate.frames(0.5), 0)])
            .collect();
        let samples = offline::render(rate, &notes, rate.frames(4.0) as usize, 2);
        let loudest = peak(&samples);
        assert!((0.02..0.9).contains(&loudest), "{hertz} Hz: {loudest}");
        let end = 2 * rate.frames(3.5) as usize;
        assert!(samples[end..].iter().all(|sample| sample.to_bits() == 0), "{hertz} Hz rings on");
    }
}
