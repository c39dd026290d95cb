//! The click: three short woody strokes, computed once.

use std::f32::consts::TAU;

use crate::{ClickKind, SampleRate};

/// Strokes that sound at once; a stroke lasts far less than the gap to the next.
const STROKES: usize = 4;
/// Seconds a stroke lasts.
const LENGTH: f64 = 0.07;

/// The click of a synthesiser.
pub(crate) struct Click {
    /// One after the other: accent, beat, subdivision.
    sounds: [Box<[f32]>; 3],
    strokes: [Option<Stroke>; STROKES],
}

#[derive(Clone, Copy)]
struct Stroke {
    sound: usize,
    at: usize,
}

impl Click {
    pub(crate) fn new(rate: SampleRate) -> Click {
        Click {
            sounds: [sound(rate, 1_760.0, 0.42), sound(rate, 1_175.0, 0.30), sound(rate, 880.0, 0.16)],
            strokes: [None; STROKES],
        }
    }

    pub(crate) fn is_silent(&self) -> bool {
        self.strokes.iter().all(Option::is_none)
    }

    /// Begins a stroke; where all are taken, the one nearest its end makes room.
    pub(crate) fn strike(&mut self, kind: ClickKind) {
        let sound = match kind {
            ClickKind::Accent => 0,
            ClickKind::Beat => 1,
            ClickKind::Subdivision => 2,
        };
        let oldest =
            self.strokes.iter_mut().max_by_key(|stroke| stroke.map_or(usize::MAX, |stroke| stroke.at));
        if let Some(place) = oldest {
            *place = Some(Stroke { sound, at: 0 });
        }
    }

    /// Adds the next frames.
    pub(crate) fn add_to(&mut self, out: &mut [f32]) {
        for place in &mut self.strokes {
            let Some(stroke) = place else { continue };
            let rest = &self.sounds[stroke.sound][stroke.at..];
            for (sample, sound) in out.iter_mut().zip(rest) {
                *sample += sound;
            }
            stroke.at += out.len();
            if stroke.at >= self.sounds[stroke.sound].len() {
                *place = None;
            }
        }
    }
}

/// Two modes of a small block of wood, with a soft start and a soft end.
fn sound(rate: SampleRate, hertz: f32, level: f32) -> Box<[f32]> {
    let length = rate.frames(LENGTH);
    let rate = rate.hertz() as f32;
    (0..length)
        .map(|frame| {
            let seconds = frame as f32 / rate;
            let start = (seconds / 0.0006).min(1.0);
            let end = ((length - frame) as f32 / (0.01 * rate)).min(1.0);
            let low = (TAU * hertz * seconds).sin() * (-seconds / 0.009).exp();
            let high = (TAU * hertz * 2.57 * seconds).sin() * (-seconds / 0.004).exp();
            level * start * start * (3.0 - 2.0 * start) * end * (low + 0.45 * high)
        })
        .collect()
}
