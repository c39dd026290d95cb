//! Events to samples: a modelled piano or the player's own SoundFont bank, a click, a small room and a limiter, in real
//! time or offline.
//!
//! # Conventions
//!
//! - Time is counted in *frames* (one sample for every channel) since the stream began, as `u64`. At 48 kHz a frame is
//!   20.8 µs. An [`Event`] sounds on exactly the frame it names, wherever the edges of the blocks fall.
//! - Samples are `f32`, interleaved, full scale ±1; nothing ever exceeds it. Silence is exactly `0.0`.
//! - A [`Key`] is a MIDI note number (middle C = C4 = 60, A4 = 69 = 440 Hz), a [`Velocity`] 1 to 127.
//! - Sources sound side by side: the [`Part`](Source::Part) that the program plays, and what the player plays on each
//!   keyboard ([`Own`](Source::Own)). Each has its own keys and pedals; part, own playing and click have a volume each.
//! - The piano is tuned and stretched as [`tuning`] says.
//! - [`Synth::new`] builds every table; after that nothing here allocates, locks, logs or waits. See [`Synth`].
//!
//! # What it does not do
//!
//! It opens no device, reads no file and knows no clock, no bars and no beats: whoever calls it turns musical time into
//! frames. It holds no recorded samples: every sound is computed, or comes from a bank whose bytes the caller read.
//!
//! ```
//! use sound::{Event, EventKind, Key, SampleRate, Source, Velocity, offline};
//! // A C major triad for one second, and a second to let it fade.
//! let rate = SampleRate::new(48_000)?;
//! let mut events = Vec::new();
//! for key in [60, 64, 67].into_iter().filter_map(Key::new) {
//!     let (source, velocity) = (Source::Part, Velocity::clamped(80));
//!     events.push(Event { frame: 0, kind: EventKind::NoteOn { key, velocity, source } });
//!     events.push(Event { frame: 48_000, kind: EventKind::NoteOff { key, source } });
//! }
//! let samples = offline::render(rate, &events, 96_000, 2);
//! assert_eq!(samples.len(), 2 * 96_000);
//! # Ok::<(), sound::SampleRateError>(())
//! ```

mod again;
mod bank;
mod click;
mod curve;
mod event;
mod gain;
mod instrument;
mod key;
mod limiter;
mod modes;
pub mod offline;
mod pedals;
mod pending;
mod piano;
mod rate;
mod resonance;
mod room;
mod strings;
mod synth;
pub mod tuning;
mod voice;

pub use bank::{BankError, SoundBank};
pub use curve::VelocityCurve;
pub use event::{Bus, ClickKind, Event, EventKind, Port, Source};
pub use gain::Gain;
pub use instrument::Instrument;
pub use key::{Key, Velocity};
pub use pending::QueueFull;
pub use piano::VOICES;
pub use rate::{SampleRate, SampleRateError};
pub use synth::Synth;
