//! Sounds that would run out of their loop: the one thing a bank's own checks leave open.
//!
//! The player steps back by one loop at most in each frame. Where a key is so far above the sound's own pitch that a
//! single step is longer than the loop, it would leave the loop and in the end the memory.

use rustysynth::{InstrumentRegion, LoopMode, Preset, PresetRegion, SoundFont};

/// Octaves by which modulation may bend a tone further.
const CENTS: f64 = 1_200.0;

/// Whether any key of a preset runs away at a sample rate.
pub(super) fn runs_away(font: &SoundFont, preset: &Preset, rate: f64) -> bool {
    preset.get_regions().iter().any(|outer| match font.get_instruments().get(outer.get_instrument_id()) {
        Some(instrument) => {
            instrument.get_regions().iter().any(|inner| pair_runs_away(font, outer, inner, rate))
        }
        None => true,
    })
}

fn pair_runs_away(font: &SoundFont, outer: &PresetRegion, inner: &InstrumentRegion, rate: f64) -> bool {
    let Some(sample) = font.get_sample_headers().get(inner.get_sample_id()) else { return true };
    let length = f64::from(inner.get_sample_end_loop()) - f64::from(inner.get_sample_start_loop());
    let looping = inner.get_sample_modes() != LoopMode::NoLoop && length > 0.0;
    let own_rate = f64::from(sample.get_sample_rate());
    if own_rate <= 0.0 {
        return true;
    }
    let tune = f64::from(outer.get_coarse_tune()) * 100.0
        + f64::from(inner.get_coarse_tune()) * 100.0
        + f64::from(outer.get_fine_tune())
        + f64::from(inner.get_fine_tune());
    let scale = f64::from(outer.get_scale_tuning()) + f64::from(inner.get_scale_tuning());
    let keys = [
        outer.get_key_range_start().max(inner.get_key_range_start()),
        outer.get_key_range_end().min(inner.get_key_range_end()),
    ];
    if keys[0] > keys[1] {
        return false;
    }
    let above =
        keys.map(|key| scale * f64::from(key - inner.get_root_key())).into_iter().fold(f64::MIN, f64::max);
    let bent = [
        [outer.get_modulation_lfo_to_pitch(), inner.get_modulation_lfo_to_pitch()],
        [outer.get_vibrato_lfo_to_pitch(), inner.get_vibrato_lfo_to_pitch()],
        [outer.get_modulation_envelope_to_pitch(), inner.get_modulation_envelope_to_pitch()],
    ];
    let bend: f64 = bent.iter().map(|[one, other]| f64::from(one + other).abs()).sum();
    let step = own_rate / rate * ((tune + above + bend) / CENTS).exp2();
    // Without a loop the sound just ends, unless a step is beyond all numbers.
    step > if looping { length } else { 1e6 }
}
