//! One instrument takes over from another while it plays.

use crate::measure::{RATE, key, level, on, rate};
use crate::small_bank::small_bank;
use sound::{EventKind, Instrument, SoundBank, Source, Synth, Velocity, VelocityCurve};

#[test]
fn the_old_one_fades_the_new_one_sounds_and_the_old_one_comes_back() {
    let mut synth = Synth::new(rate());
    synth.schedule(on(0, 48, 100)).unwrap();
    let mut before = vec![0.0; RATE as usize / 2];
    synth.render(&mut before, 1);
    assert!(synth.replace(Instrument::piano(rate())).is_none());
    assert!(synth.replace(Instrument::piano(rate())).is_some(), "one at a time");
    assert!(synth.take_spent().is_none(), "it still fades");
    let mut fading = vec![0.0; RATE as usize / 2];
    synth.render(&mut fading, 1);
    assert_eq!(synth.sounding(), 0);
    // No step where they meet: the first sample goes on where the last was.
    let steps = |part: &[f32]| part.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f32::max);
    assert!((fading[0] - before[before.len() - 1]).abs() <= steps(&before[12_000..]));
    assert!(steps(&fading) <= 1.1 * steps(&before[12_000..]));
    assert!(level(&fading[12_000..]) < level(&before[12_000..]) - 40.0);
    assert!(synth.take_spent().is_some());
    synth.schedule_in(0, on(0, 60, 100).kind).unwrap();
    synth.render(&mut fading, 1);
    assert_eq!(synth.sounding(), 1);
}

#[test]
fn the_touch_bends_what_the_player_plays_and_not_the_part() {
    let heard = |curve, source| {
        let mut synth = Synth::new(rate());
        synth.set_curve(curve);
        let velocity = Velocity::clamped(60);
        synth.schedule_in(0, EventKind::NoteOn { key: key(60), velocity, source }).unwrap();
        let mut block = vec![0.0; 24_000];
        synth.render(&mut block, 1);
        level(&block)
    };
    let even = heard(VelocityCurve::Even, Source::FIRST);
    assert!(heard(VelocityCurve::Soft, Source::FIRST) > even + 1.0);
    assert!(heard(VelocityCurve::Firm, Source::FIRST) < even - 1.0);
    assert_eq!(heard(VelocityCurve::Soft, Source::Part), heard(VelocityCurve::Even, Source::Part));
}

#[test]
fn pedals_stay_where_they_are_when_the_instrument_changes() {
    let (source, bank) = (Source::FIRST, SoundBank::from_bytes(&small_bank()).unwrap());
    let rings_on = |pedal: EventKind, instrument: Instrument| {
        let (mut synth, mut block) = (Synth::new(rate()), vec![0.0; 24_000]);
        synth.schedule_in(0, pedal).unwrap();
        synth.render(&mut block, 1);
        assert!(synth.replace(instrument).is_none());
        let (key, velocity) = (key(71), Velocity::clamped(100));
        synth.schedule_in(0, EventKind::NoteOn { key, velocity, source }).unwrap();
        synth.schedule_in(9_600, EventKind::NoteOff { key, source }).unwrap();
        (0..2).for_each(|_| synth.render(&mut block, 1));
        level(&block[12_000..]) > -50.0
    };
    for down in [true, false] {
        let pedal = EventKind::Sustain { source, value: if down { 127 } else { 0 } };
        assert_eq!(rings_on(pedal, Instrument::piano(rate())), down, "the piano");
        assert_eq!(rings_on(pedal, Instrument::bank(&bank, rate()).unwrap()), down, "a bank");
    }
}
