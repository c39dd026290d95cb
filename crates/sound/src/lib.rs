//! Events to samples: a struck-string voice, a click and a limiter, in real time or offline.
//!
//! # Conventions
//!
//! - Time is counted in *frames* (one sample for every channel) since the stream began, as `u64`. At 48 kHz a frame is
//!   20.8 µs. An [`Event`] sounds on exactly the frame it names, wherever the edges of the blocks fall.
//! - Samples are `f32`, interleaved, full scale ±1; nothing ever exceeds it. Silence is exactly `0.0`.
//! - A [`Key`] is a MIDI note number (middle C = C4 = 60, A4 = 69 = 440 Hz), a [`Velocity`] 1 to 127.
//! - Two sources sound side by side, each with its own gain: the [`Part`](Source::Part) that the program plays and what
//!   the player plays ([`Own`](Source::Own)).
//! - [`Synth::new`] builds every table; after that nothing here allocates, locks, logs or waits. See [`Synth`].
//!
//! # What it does not do
//!
//! It opens no device, reads no file and knows no clock, no bars and no beats: whoever calls it turns musical time into
//! frames. It holds no recorded samples; every sound is computed.
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

mod click;
mod event;
mod gain;
mod key;
mod limiter;
mod modes;
pub mod offline;
mod pending;
mod rate;
mod strings;
mod synth;
mod voice;
mod voices;

pub use event::{Bus, ClickKind, Event, EventKind, Source};
pub use gain::Gain;
pub use key::{Key, Velocity};
pub use pending::QueueFull;
pub use rate::{SampleRate, SampleRateError};
pub use synth::Synth;
pub use voices::VOICES;
