//! Everything sounds on the frame it names, wherever the blocks end, and starts from zero.

use crate::measure::{RATE, level, mono, on, peak, rate, sent_anew};
use sound::{ClickKind, Event, EventKind, Synth, offline};

#[test]
fn a_note_begins_on_its_frame_and_not_before() {
    for frame in [0u64, 1, 63, 64, 255, 256, 257, 1_000, 4_801] {
        for midi in [21, 60, 108] {
            let samples = mono(&[on(frame, midi, 100)], 0.2);
            let first = samples.iter().position(|sample| *sample != 0.0).unwrap();
            // The first sample of a smooth beginning is zero itself.
            assert_eq!(first as u64, frame + 1, "key {midi}");
        }
    }
}

#[test]
fn the_same_note_later_is_the_same_sound_later() {
    let length = 24_000;
    let early = offline::render(rate(), &[on(10, 60, 90)], 10 + length, 2);
    let late = offline::render(rate(), &[on(333, 60, 90)], 333 + length, 2);
    let apart = early[20..].iter().zip(&late[666..]).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max);
    // What is quieter than -120 dB may be left out at another place.
    assert!(apart < 1e-5, "{apart}");
}

#[test]
fn blocks_of_any_size_give_the_same_samples() {
    let events = [on(100, 60, 90), on(777, 64, 70), click(1_500, ClickKind::Accent)];
    let whole = offline::render(rate(), &events, 9_600, 2);
    let mut synth = Synth::new(rate());
    events.iter().for_each(|event| synth.schedule(*event).unwrap());
    let mut pieces = vec![0.0; 2 * 9_600];
    let mut rest = &mut pieces[..];
    for frames in [1, 7, 64, 100, 128, 441, 1_024, 3].into_iter().cycle() {
        let (block, later) = rest.split_at_mut((2 * frames).min(rest.len()));
        synth.render(block, 2);
        rest = later;
        if rest.is_empty() {
            break;
        }
    }
    assert_eq!(synth.frame(), 9_600);
    let apart = whole.iter().zip(&pieces).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max);
    assert!(apart < 1e-5, "{apart}");
}

#[test]
fn what_comes_too_late_sounds_at_once() {
    let mut synth = Synth::new(rate());
    let mut block = [0.0; 512];
    synth.render(&mut block, 1);
    synth.schedule(on(5, 60, 100)).unwrap();
    synth.render(&mut block, 1);
    assert_eq!(block.iter().position(|sample| *sample != 0.0), Some(1));
}

#[test]
fn what_is_sent_anew_and_sounds_already_is_not_struck_twice() {
    // Struck in the block that was rendered last; the new speed has moved them by two milliseconds.
    let first = [on(23_900, 60, 90), on(23_950, 64, 90), click(24_000, ClickKind::Beat)];
    let anew = first.map(|event| Event { frame: event.frame + 96, ..event });
    let apart =
        |one: &[f32], other: &[f32]| one.iter().zip(other).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max);
    let piano = |first: &[Event], anew: &[Event]| sent_anew(Synth::new(rate()), first, anew);
    let usual = piano(&first, &[]);
    assert!(apart(&usual, &piano(&first, &anew)) < 1e-5, "it sounds on as if nothing had been");
    // What was let go longer ago is struck; so is what comes for the first time.
    let before = piano(&first, &[on(22_000, 60, 90)]);
    let new = piano(&first[1..], &anew[..1]);
    for (name, samples) in [("before", before), ("new", new)] {
        assert!(apart(&usual, &samples) > 0.01, "{name}");
        assert!(samples[24_100..].iter().any(|sample| sample.abs() > 0.01), "{name}");
    }
    // What has no damper is stopped, so it must be struck again.
    let high = [on(23_950, 100, 90)];
    let [usual, struck] = [piano(&high, &[]), piano(&high, &high)].map(|samples| level(&samples[30_000..]));
    assert!((struck - usual).abs() < 6.0, "{struck:.1} dB, usually {usual:.1} dB");
    let twice = piano(&[click(20_000, ClickKind::Beat)], &[click(22_000, ClickKind::Beat)]);
    assert!(peak(&twice[24_064..]) > 0.1, "another click, though it comes late");
}

#[test]
fn no_beginning_is_hard() {
    // Within the first quarter of a millisecond a note reaches no tenth of its peak.
    for midi in [21, 48, 72, 108] {
        let samples = mono(&[on(0, midi, 127)], 0.5);
        let start = peak(&samples[..12]);
        assert!(start < 0.1 * peak(&samples), "key {midi} starts at {start}");
    }
}

#[test]
fn clicks_are_short_and_weaker_off_the_beat() {
    let stroke = |kind| mono(&[click(480, kind)], 0.2);
    let [accent, beat, subdivision] =
        [ClickKind::Accent, ClickKind::Beat, ClickKind::Subdivision].map(|kind| peak(&stroke(kind)));
    assert!(accent > 1.2 * beat && beat > 1.2 * subdivision, "{accent} {beat} {subdivision}");
    let samples = stroke(ClickKind::Accent);
    assert_eq!(samples.iter().position(|sample| *sample != 0.0), Some(481));
    let end = samples.iter().rposition(|sample| *sample != 0.0).unwrap();
    assert!(end < 480 + RATE as usize / 10, "it lasts {end} frames");
}

fn click(frame: u64, kind: ClickKind) -> Event {
    Event { frame, kind: EventKind::Click(kind) }
}
