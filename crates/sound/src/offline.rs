//! Rendering without a device, as fast as the machine can.

use crate::{Event, Instrument, SampleRate, Synth};

/// Frames handed to the synthesiser at a time.
const BLOCK: usize = 256;

/// Renders `frames` frames of events (in any order), interleaved over `channels`, on the modelled piano, with every gain at
/// unity unless an event moves it. The same events always give the same samples.
///
/// ```
/// use sound::{ClickKind, Event, EventKind, SampleRate, offline};
/// let click = Event { frame: 100, kind: EventKind::Click(ClickKind::Accent) };
/// let mono = offline::render(SampleRate::DEFAULT, &[click], 4_800, 1);
/// assert_eq!(mono.iter().position(|sample| *sample != 0.0), Some(101));
/// ```
pub fn render(rate: SampleRate, events: &[Event], frames: usize, channels: usize) -> Vec<f32> {
    let mut out = vec![0.0; frames * channels];
    Rendering::new(rate, Instrument::piano(rate), events.to_vec()).fill(&mut out, channels);
    out
}

/// A rendering under way, taken a piece at a time: for a file that is written as it goes, and for what lasts until it has
/// died away.
///
/// ```
/// use sound::{ClickKind, Event, EventKind, Instrument, SampleRate, offline::Rendering};
/// let rate = SampleRate::DEFAULT;
/// let click = Event { frame: 100, kind: EventKind::Click(ClickKind::Accent) };
/// let mut rendering = Rendering::new(rate, Instrument::piano(rate), vec![click]);
/// let (mut piece, mut samples) = ([0.0; 2 * 1024], Vec::new());
/// while !rendering.is_over() {
///     rendering.fill(&mut piece, 2);
///     samples.extend(piece);
/// }
/// assert!(samples.len() < 48_000, "a click is soon over");
/// ```
pub struct Rendering {
    synth: Synth,
    /// Those that were not handed over yet, the last first.
    to_come: Vec<Event>,
}

impl Rendering {
    /// Begins on frame 0 with events in any order; of one frame they take place in the order given. The instrument is of the
    /// same rate.
    pub fn new(rate: SampleRate, instrument: Instrument, mut events: Vec<Event>) -> Rendering {
        events.sort_by_key(|event| event.frame);
        events.reverse();
        Rendering { synth: Synth::with_instrument(rate, 0, instrument), to_come: events }
    }

    /// The frame that comes next.
    pub fn frame(&self) -> u64 {
        self.synth.frame()
    }

    /// Renders the next `out.len() / channels` frames, interleaved, as [`Synth::render`] does.
    pub fn fill(&mut self, out: &mut [f32], channels: usize) {
        for block in out.chunks_mut((BLOCK * channels).max(1)) {
            let end = self.synth.frame() + BLOCK as u64;
            while let Some(event) = self.to_come.pop_if(|event| event.frame < end) {
                // A block holds far fewer events than the queue; should one not, the surplus goes unheard.
                let _ = self.synth.schedule(event);
            }
            self.synth.render(block, channels);
        }
    }

    /// Whether everything has sounded and died away: all that is still to come is exact silence.
    pub fn is_over(&self) -> bool {
        self.to_come.is_empty() && self.synth.is_over()
    }
}
