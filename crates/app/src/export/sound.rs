//! A part as sound, by the program's own piano, a piece at a time, so that no song is in memory as a whole.

use super::flac::Flac;
use super::{FileKind, Wanted};
use practice::{Accent, CueKind, LoopBars, Timeline, clicks_of_bar, notes_by_time};
use sound::offline::Rendering;
use sound::{ClickKind, Event, EventKind, Instrument, Key, SampleRate, Source, Velocity};
use std::io::{Error, ErrorKind, Seek, Write};
use voicing::Part;

/// Left and right.
const CHANNELS: usize = 2;
/// Frames rendered at a time.
const PIECE: usize = 4096;
/// It begins so long after the file does, in milliseconds.
const LEAD_MS: f64 = 100.0;
/// What still rings is faded out after so many seconds.
const LONGEST_TAIL: f64 = 8.0;

/// Something that takes samples of 16 bits, interleaved.
trait Encoder {
    fn add(&mut self, samples: &[i32]) -> std::io::Result<()>;
    fn finish(self: Box<Self>) -> std::io::Result<()>;
}

/// Renders a part into a file.
pub(super) fn render<W: Write + Seek>(
    part: &Part,
    wanted: &Wanted,
    file: &mut W,
    go_on: &mut dyn FnMut(f32) -> bool,
) -> std::io::Result<()> {
    let rate = SampleRate::DEFAULT;
    let events = events(part, wanted, rate);
    let last = events.iter().map(|event| event.frame).max().unwrap_or(0);
    let latest = last + rate.frames(LONGEST_TAIL);
    let mut encoder: Box<dyn Encoder + '_> = match wanted.kind {
        FileKind::Flac => Box::new(Flac::new(file, rate, CHANNELS)?),
        _ => Box::new(Wav::new(file, rate)?),
    };
    let mut rendering = Rendering::new(rate, Instrument::piano(rate), events);
    let mut piece = [0.0f32; PIECE * CHANNELS];
    let mut samples = [0i32; PIECE * CHANNELS];
    while !rendering.is_over() && rendering.frame() < latest {
        if !go_on((rendering.frame() as f64 / latest as f64) as f32) {
            return Err(ErrorKind::Interrupted.into());
        }
        let from = rendering.frame();
        rendering.fill(&mut piece, CHANNELS);
        for (at, (sample, value)) in samples.iter_mut().zip(&piece).enumerate() {
            let fade = fade(from + (at / CHANNELS) as u64, latest, rate);
            *sample = (f64::from(*value) * fade * f64::from(i16::MAX)).round() as i32;
        }
        encoder.add(&samples)?;
    }
    encoder.finish()?;
    go_on(1.0);
    Ok(())
}

/// 1, and in the last second before the end down to nothing.
fn fade(frame: u64, end: u64, rate: SampleRate) -> f64 {
    (end.saturating_sub(frame) as f64 / f64::from(rate.hertz())).min(1.0)
}

/// All that sounds, in frames of the file.
fn events(part: &Part, wanted: &Wanted, rate: SampleRate) -> Vec<Event> {
    let timeline = Timeline::new(part);
    let bars = wanted.bars.unwrap_or(LoopBars::new(0, part.bars.len().saturating_sub(1)));
    let notes = notes_by_time(part, &timeline, bars, |hand| wanted.hands.has(hand));
    let first_bar = timeline.bars().get(bars.from()).map_or(0.0, |bar| bar.start_ms);
    let origin = notes.first().map_or(first_bar, |note| note.0.min(first_bar));
    let frame = |ms: f64| rate.frames((wanted.speed.stretch_ms(ms - origin) + LEAD_MS) / 1000.0);
    let mut events: Vec<Event> =
        notes.iter().filter_map(|&(ms, kind)| Some(Event { frame: frame(ms), kind: note(kind)? })).collect();
    if wanted.click {
        let last = bars.to().min(part.bars.len().saturating_sub(1));
        for click in (bars.from()..=last).flat_map(|bar| clicks_of_bar(&timeline, bar, wanted.speed)) {
            let kind = match click.accent {
                Accent::Bar => ClickKind::Accent,
                Accent::Beat => ClickKind::Beat,
                Accent::Subdivision => ClickKind::Subdivision,
            };
            events.push(Event { frame: frame(timeline.ms(click.at)), kind: EventKind::Click(kind) });
        }
    }
    events
}

fn note(kind: CueKind) -> Option<EventKind> {
    let source = Source::Part;
    match kind {
        CueKind::NoteOn { key, velocity, .. } => {
            let velocity = Velocity::clamped(velocity);
            Some(EventKind::NoteOn { key: Key::new(key.number())?, velocity, source })
        }
        CueKind::NoteOff { key, .. } => Some(EventKind::NoteOff { key: Key::new(key.number())?, source }),
        _ => None,
    }
}

/// A WAV file.
struct Wav<W: Write + Seek>(hound::WavWriter<W>);

impl<W: Write + Seek> Wav<W> {
    fn new(file: W, rate: SampleRate) -> std::io::Result<Self> {
        let spec = hound::WavSpec {
            channels: CHANNELS as u16,
            sample_rate: rate.hertz(),
            bits_per_sample: 16,
            sample_format: hound::SampleFormat::Int,
        };
        hound::WavWriter::new(file, spec).map(Wav).map_err(Error::other)
    }
}

impl<W: Write + Seek> Encoder for Wav<W> {
    fn add(&mut self, samples: &[i32]) -> std::io::Result<()> {
        let mut block = self.0.get_i16_writer(samples.len() as u32);
        samples.iter().for_each(|sample| block.write_sample(*sample as i16));
        block.flush().map_err(of_hound)
    }

    fn finish(self: Box<Self>) -> std::io::Result<()> {
        self.0.finalize().map_err(of_hound)
    }
}

fn of_hound(error: hound::Error) -> Error {
    match error {
        hound::Error::IoError(error) => error,
        other => Error::other(other),
    }
}

impl<W: Write + Seek> Encoder for Flac<W> {
    fn add(&mut self, samples: &[i32]) -> std::io::Result<()> {
        Flac::add(self, samples)
    }

    fn finish(self: Box<Self>) -> std::io::Result<()> {
        Flac::finish(*self)
    }
}
