//! From a message that another process sends to the sound that comes out: a figure for players, measured on real servers.
//!
//! `measure_latency [NOTES]` starts a JACK server on its dummy driver and, for blocks of 64, 128 and 256 frames, plays notes
//! to two programs through MIDI and records what they play: to `hear_devices`, which is all of our way from the message to
//! the sample, and to the least that any program can do, a click at the start of the next block. What the latter takes is
//! what the servers, the bridge between them and the recording add. Milliseconds: median, 99 of 100, worst.
#![allow(clippy::print_stdout, clippy::print_stderr)]

use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::thread::sleep;
use std::time::{Duration, Instant};

use midir::os::unix::VirtualOutput;
use rodio::cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use rodio::cpal::{self, BufferSize, StreamConfig};

type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

const SERVER: &str = "overhand-latency";
const RATE: f64 = 48_000.0;
/// Has a damper, and a period of a millisecond.
const KEY: u8 = 84;
const ALSA: &str = r#"
</usr/share/alsa/alsa.conf>
pcm.out { type jack playback_ports { 0 system:playback_1 1 system:playback_2 } }
pcm.in { type jack capture_ports { 0 system:capture_1 } }
pcm.!default { type asym
  playback.pcm { type plug slave.pcm "out" }
  capture.pcm { type plug slave.pcm "in" } }
"#;

fn main() -> Outcome<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    match arguments.iter().map(String::as_str).collect::<Vec<_>>().as_slice() {
        ["bare", frames] => bare(frames.parse()?),
        ["probe", subject, frames, notes] => probe(subject, frames, notes.parse()?),
        rest => all(rest.first().map_or(Ok(200), |notes| notes.parse())?),
    }
}

/// Starts a server and measures everything, each in a process of its own that finds the server by its environment.
fn all(notes: usize) -> Outcome<()> {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("asound.conf");
    std::fs::write(&file, ALSA)?;
    let mut server = Command::new("jackd");
    server.args(["-R", "-P", "20", "-n", SERVER, "-d", "dummy", "-r", "48000", "-p", "64"]);
    let server = Ends(quiet(&mut server).spawn()?);
    let mut ready = Command::new("jack_wait");
    if !quiet(ready.args(["-w", "-t", "10", "-s", SERVER])).status()?.success() {
        return Err("the JACK server did not start".into());
    }
    println!(
        "{notes} notes each; server at 64 frames of 48000 a second; milliseconds: median, 99 of 100, worst"
    );
    for frames in ["64", "128", "256"] {
        for subject in ["hear_devices", "bare"] {
            let mut probe = Command::new(std::env::current_exe()?);
            within(probe.args(["probe", subject, frames, &notes.to_string()]), &file).status()?;
        }
    }
    drop(server);
    Ok(())
}

fn within<'a>(command: &'a mut Command, file: &Path) -> &'a mut Command {
    command
        .env("JACK_DEFAULT_SERVER", SERVER)
        .env("JACK_NO_START_SERVER", "1")
        .env("ALSA_CONFIG_PATH", file)
        .env("PULSE_SERVER", "unix:/nonexistent")
}

fn quiet(command: &mut Command) -> &mut Command {
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null())
}

/// A process that is asked to end with this value.
struct Ends(Child);

impl Drop for Ends {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = Command::new("kill").arg(self.0.id().to_string()).stderr(Stdio::null()).status();
        let _ = self.0.wait();
    }
}

/// The least that a program can do: a click at the start of the next block.
fn bare(frames: u32) -> Outcome<()> {
    let struck = Arc::new(AtomicBool::new(false));
    let device = cpal::default_host().default_output_device().ok_or("no output")?;
    let config =
        StreamConfig { buffer_size: BufferSize::Fixed(frames), ..device.default_output_config()?.config() };
    let (channels, play) = (usize::from(config.channels), Arc::clone(&struck));
    let mut ordinary = true;
    let stream = device.build_output_stream(
        config,
        move |out: &mut [f32], _: &cpal::OutputCallbackInfo| {
            if std::mem::take(&mut ordinary) {
                come_first();
            }
            out.fill(0.0);
            if play.swap(false, Ordering::Acquire) {
                out[..channels * 32].fill(0.5);
            }
        },
        |_| {},
        None,
    )?;
    stream.play()?;
    let midi = midir::MidiInput::new("bare")?;
    let port = loop {
        let ports = midi.ports();
        let wanted = ports.into_iter().find(|port| port.id().contains("probe:keys"));
        if let Some(port) = wanted {
            break port;
        }
        sleep(Duration::from_millis(50));
    };
    let hear = move |_: u64, bytes: &[u8], (): &mut ()| {
        if matches!(bytes, [0x90, _, velocity] if *velocity > 0) {
            struck.store(true, Ordering::Release);
        }
    };
    let _connection = midi.connect(&port, "in", hear, ()).map_err(|error| error.to_string())?;
    sleep(Duration::from_secs(3600));
    Ok(())
}

/// What was recorded, and when each block of it came: how many samples there were by then.
#[derive(Default)]
struct Recorded {
    samples: Vec<f32>,
    blocks: Vec<(usize, Instant)>,
}

/// Plays notes to a program and tells how long after each its sound was recorded.
fn probe(subject: &str, frames: &str, notes: usize) -> Outcome<()> {
    let mut port =
        midir::MidiOutput::new("probe")?.create_virtual("keys").map_err(|error| error.to_string())?;
    let here = std::env::current_exe()?;
    let mut program = match subject {
        "bare" => Command::new(&here),
        // Examples lie in a folder beside the programs.
        name => Command::new(here.parent().and_then(Path::parent).ok_or("no folder")?.join(name)),
    };
    if subject == "bare" {
        program.arg("bare");
    }
    // Its input stays open for as long as it is to run.
    let program = program.arg(frames).stdin(Stdio::piped()).stdout(Stdio::null()).stderr(Stdio::null());
    let program = Ends(program.spawn()?);
    let recorded = Arc::new(Mutex::new(Recorded::default()));
    let _stream = record(&recorded)?;
    // Long enough for it to find sound and keyboard.
    sleep(Duration::from_secs(5));
    connect(program.0.id())?;
    sleep(Duration::from_secs(1));
    let mut sent = Vec::with_capacity(notes);
    let start = Instant::now();
    for note in 0..notes {
        // All over the blocks: steps of 0.37 ms.
        let at = start + Duration::from_micros(300_000 * note as u64 + 370 * (note as u64 % 97));
        sleep(at.saturating_duration_since(Instant::now()));
        sent.push(Instant::now());
        port.send(&[0x90, KEY, 110])?;
        sleep(Duration::from_millis(30));
        port.send(&[0x80, KEY, 0])?;
    }
    sleep(Duration::from_millis(500));
    let recorded = recorded.lock().map_err(|error| error.to_string())?;
    let mut took: Vec<f64> = sent.iter().filter_map(|at| recorded.sound_after(*at)).collect();
    took.sort_by(f64::total_cmp);
    let of = |share: f64| {
        took.get(((took.len() as f64 - 1.0) * share).round() as usize).copied().unwrap_or(f64::NAN)
    };
    let lost = notes - took.len();
    println!("{frames:>4} {subject:<13} {:6.2} {:6.2} {:6.2}   {lost} not heard", of(0.5), of(0.99), of(1.0));
    Ok(())
}

fn record(into: &Arc<Mutex<Recorded>>) -> Outcome<cpal::Stream> {
    let device = cpal::default_host().default_input_device().ok_or("no input")?;
    // However late a block comes, its samples are counted; so it may be large, and loses none.
    let config = StreamConfig { channels: 1, sample_rate: RATE as u32, buffer_size: BufferSize::Fixed(1024) };
    let (into, mut ordinary) = (Arc::clone(into), true);
    let stream = device.build_input_stream(
        config,
        move |samples: &[f32], _: &cpal::InputCallbackInfo| {
            if std::mem::take(&mut ordinary) {
                come_first();
            }
            let now = Instant::now();
            if let Ok(mut recorded) = into.lock() {
                recorded.samples.extend(samples);
                let so_far = recorded.samples.len();
                recorded.blocks.push((so_far, now));
            }
        },
        |_| {},
        None,
    )?;
    stream.play()?;
    Ok(stream)
}

/// As the program does for its own callback, where it may.
fn come_first() {
    use thread_priority::unix::{
        RealtimeThreadSchedulePolicy, ThreadSchedulePolicy, set_thread_priority_and_policy, thread_native_id,
    };
    if let Ok(priority) = 10u8.try_into() {
        let policy = ThreadSchedulePolicy::Realtime(RealtimeThreadSchedulePolicy::Fifo);
        let priority = thread_priority::ThreadPriority::Crossplatform(priority);
        // It was a wish.
        let _ = set_thread_priority_and_policy(thread_native_id(), priority, policy);
    }
}

/// Leads a program's sound into this one's recording, instead of the silence that is recorded else.
fn connect(program: u32) -> Outcome<()> {
    let list = Command::new("jack_lsp").stderr(Stdio::null()).output()?.stdout;
    let ports: Vec<String> = String::from_utf8_lossy(&list).lines().map(str::to_owned).collect();
    let find = |process: u32, kind: &str| {
        let of = |port: &&String| {
            port.contains(&format!(".P.{process}.")) || port.contains(&format!(".C.{process}."))
        };
        ports.iter().filter(of).find(|port| port.contains(kind)).cloned()
    };
    let (from, to) = (find(program, ":out_"), find(std::process::id(), ":in_"));
    let (Some(from), Some(to)) = (from, to) else {
        return Err(format!("ports are missing: {ports:?}").into());
    };
    Command::new("jack_connect").args([from, to]).stdout(Stdio::null()).stderr(Stdio::null()).status()?;
    Ok(())
}

impl Recorded {
    /// How many milliseconds after a moment a sound begins; nothing within 100 ms is no sound.
    fn sound_after(&self, at: Instant) -> Option<f64> {
        let first = self.sample_at(at)?;
        let before = &self.samples[first.saturating_sub(480)..first];
        let silence = before.iter().fold(0.0f32, |most, sample| most.max(sample.abs()));
        let least = (4.0 * silence).max(0.001);
        let after = self.samples.get(first..)?.iter().take(4800).position(|sample| sample.abs() > least)?;
        Some(after as f64 * 1000.0 / RATE)
    }

    /// How many samples there were at a moment: by the block that came with the least delay within two seconds of it.
    fn sample_at(&self, at: Instant) -> Option<usize> {
        let seconds = |block: &(usize, Instant)| {
            let since = |a: Instant, b: Instant| a.saturating_duration_since(b).as_secs_f64();
            since(at, block.1) - since(block.1, at)
        };
        let near = self.blocks.iter().filter(|block| seconds(block).abs() < 2.0);
        let samples = near.map(|block| block.0 as f64 + seconds(block) * RATE).max_by(f64::total_cmp)?;
        let sample = samples.round() as usize;
        (sample < self.samples.len()).then_some(sample)
    }
}
