//! FLAC (RFC 9639), block by block; what is only known at the end is put into the head then.

use flacenc::bitsink::ByteSink;
use flacenc::component::{BitRepr, Stream, StreamInfo};
use flacenc::config::Encoder;
use flacenc::error::{Verified, Verify};
use flacenc::source::{Context, Fill, FrameBuf};
use sound::SampleRate;
use std::fmt::Display;
use std::io::{Error, Seek, SeekFrom, Write};

/// Frames in a block.
const BLOCK: usize = 4096;
/// Bits of a sample.
const BITS: usize = 16;

/// A FLAC file being written.
pub(super) struct Flac<W> {
    file: W,
    config: Verified<Encoder>,
    info: StreamInfo,
    buffer: FrameBuf,
    context: Context,
    channels: usize,
    waiting: Vec<i32>,
    blocks: usize,
}

impl<W: Write + Seek> Flac<W> {
    /// Begins a file.
    pub fn new(file: W, rate: SampleRate, channels: usize) -> std::io::Result<Self> {
        let config = Encoder::default().into_verified().map_err(|(_, error)| other(error))?;
        let mut info = StreamInfo::new(rate.hertz() as usize, channels, BITS).map_err(other)?;
        info.set_block_sizes(BLOCK, BLOCK).map_err(other)?;
        let buffer = FrameBuf::with_size(channels, BLOCK).map_err(other)?;
        let context = Context::new(BITS, channels);
        let waiting = Vec::with_capacity(2 * BLOCK * channels);
        let mut flac = Flac { file, config, info, buffer, context, channels, waiting, blocks: 0 };
        flac.head()?;
        Ok(flac)
    }

    /// Adds samples of 16 bits, interleaved.
    pub fn add(&mut self, samples: &[i32]) -> std::io::Result<()> {
        self.waiting.extend_from_slice(samples);
        while self.waiting.len() >= BLOCK * self.channels {
            let block: Vec<i32> = self.waiting.drain(..BLOCK * self.channels).collect();
            self.block(&block)?;
        }
        Ok(())
    }

    /// Writes what is left, and the head anew.
    pub fn finish(mut self) -> std::io::Result<()> {
        let rest = std::mem::take(&mut self.waiting);
        if !rest.is_empty() {
            self.buffer.resize(rest.len() / self.channels);
            self.block(&rest)?;
        }
        self.info.set_md5_digest(&self.context.md5_digest());
        self.info.set_total_samples(self.context.total_samples());
        self.file.seek(SeekFrom::Start(0))?;
        self.head()?;
        self.file.seek(SeekFrom::End(0))?;
        self.file.flush()
    }

    fn head(&mut self) -> std::io::Result<()> {
        let mut sink = ByteSink::new();
        Stream::with_stream_info(self.info.clone()).write(&mut sink).map_err(|_| other("the head"))?;
        self.file.write_all(sink.as_slice())
    }

    fn block(&mut self, samples: &[i32]) -> std::io::Result<()> {
        self.buffer.fill_interleaved(samples).map_err(other)?;
        self.context.fill_interleaved(samples).map_err(other)?;
        let frame = flacenc::encode_fixed_size_frame(&self.config, &self.buffer, self.blocks, &self.info);
        let mut sink = ByteSink::new();
        frame.map_err(other)?.write(&mut sink).map_err(|_| other("a block"))?;
        self.blocks += 1;
        self.file.write_all(sink.as_slice())
    }
}

fn other(error: impl Display) -> Error {
    Error::other(format!("the sound could not be packed: {error}"))
}
