//! Rendering without a device, as fast as the machine can.

use crate::{Event, SampleRate, Synth};

/// Frames handed to the synthesiser at a time.
const BLOCK: usize = 256;

/// Renders `frames` frames of events (in any order), interleaved over `channels`, with every gain at unity unless an
/// event moves it. The same events always give the same samples.
///
/// ```
/// use sound::{ClickKind, Event, EventKind, SampleRate, offline};
/// let click = Event { frame: 100, kind: EventKind::Click(ClickKind::Accent) };
/// let mono = offline::render(SampleRate::DEFAULT, &[click], 4_800, 1);
/// assert_eq!(mono.iter().position(|sample| *sample != 0.0), Some(101));
/// ```
pub fn render(rate: SampleRate, events: &[Event], frames: usize, channels: usize) -> Vec<f32> {
    let mut ordered: Vec<&Event> = events.iter().collect();
    ordered.sort_by_key(|event| event.frame);
    let mut ordered = ordered.into_iter().peekable();
    let mut synth = Synth::new(rate);
    let mut out = vec![0.0; frames * channels];
    for block in out.chunks_mut((BLOCK * channels).max(1)) {
        let end = synth.frame() + BLOCK as u64;
        while let Some(event) = ordered.next_if(|event| event.frame < end) {
            // A block holds far fewer events than the queue; should one not, the surplus goes unheard.
            let _ = synth.schedule(*event);
        }
        synth.render(block, channels);
    }
    out
}
