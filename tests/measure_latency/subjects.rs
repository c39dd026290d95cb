//! The programs that are measured. Each tells on its output, in nanoseconds of the system's clock, when it did what.

use super::Outcome;
use app::devices::{self, ClockPair, InputKind, Setup};
use rodio::cpal::traits::{DeviceTrait, HostTrait, StreamTrait};
use rodio::cpal::{self, BufferSize, StreamConfig};
use sound::{ClickKind, Event, EventKind};
use std::collections::VecDeque;
use std::io::Read;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::channel;
use std::thread::sleep;
use std::time::{Duration, Instant, SystemTime};

/// So long it is looked back for the earliest blocks: not longer, for a server on a busy machine skips a cycle now and then.
const EARLIEST_OF: Duration = Duration::from_millis(300);
/// A click that is asked for sounds so much later.
const AHEAD_S: f64 = 0.05;

/// The least that a program can do: a click at the start of the next block. It tells `struck` when a message came and
/// `asked` when the block was asked for that holds its click.
pub fn bare(frames: u32) -> Outcome<()> {
    let struck = Arc::new(AtomicBool::new(false));
    let (tell, told) = channel();
    let device = cpal::default_host().default_output_device().ok_or("no output")?;
    let config =
        StreamConfig { buffer_size: BufferSize::Fixed(frames), ..device.default_output_config()?.config() };
    let (channels, play, tell_asked) = (usize::from(config.channels), Arc::clone(&struck), tell.clone());
    let mut ordinary = true;
    let stream = device.build_output_stream(
        config,
        move |out: &mut [f32], _: &cpal::OutputCallbackInfo| {
            let at = Instant::now();
            if std::mem::take(&mut ordinary) {
                come_first();
            }
            out.fill(0.0);
            if play.swap(false, Ordering::Acquire) {
                out[..channels * 32].fill(0.5);
                // Nobody listens any more when all is over.
                let _ = tell_asked.send(("asked", at));
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
            let _ = tell.send(("struck", Instant::now()));
            struck.store(true, Ordering::Release);
        }
    };
    let _connection = midi.connect(&port, "in", hear, ()).map_err(|error| error.to_string())?;
    while let Ok((what, at)) = told.recv() {
        println!("{what} {}", nanos(at));
    }
    Ok(())
}

/// Our own devices. It tells `struck` when a message came; and whenever the soft pedal moves, a click on a frame a little
/// ahead, as `click` when the block of that frame is asked for at the earliest, and as `late` how much later than at the
/// earliest blocks are asked for as a rule.
pub fn ours(frames: u32) -> Outcome<()> {
    let ended = Arc::new(AtomicBool::new(false));
    let until = Arc::clone(&ended);
    std::thread::spawn(move || {
        // However the input ends, so does the program.
        let _ = std::io::stdin().read_to_end(&mut Vec::new());
        until.store(true, Ordering::Relaxed);
    });
    let mut handles = devices::open(Setup { buffer: frames, ..Setup::default() }, || {});
    let mut line = Line::default();
    while !ended.load(Ordering::Relaxed) {
        handles.inbox.wait(Duration::from_millis(5));
        while let Some(pair) = handles.clock.next_pair() {
            line.learn(pair);
        }
        while let Some(input) = handles.inbox.next_input() {
            match input.kind {
                InputKind::KeyDown { .. } => println!("struck {}", nanos(input.at)),
                InputKind::UnaCorda { .. } => {
                    let Some(newest) = line.pairs.back().copied() else { continue };
                    let frame = newest.frame + newest.rate.frames(AHEAD_S);
                    handles.part.send(Event { frame, kind: EventKind::Click(ClickKind::Accent) });
                    println!("click {}", nanos(line.asked_for(frame, newest)));
                    println!("late {}", line.usual_lateness());
                }
                _ => {}
            }
        }
    }
    Ok(())
}

/// When blocks are asked for, by the earliest of the last moments.
#[derive(Default)]
struct Line {
    pairs: VecDeque<ClockPair>,
}

impl Line {
    fn learn(&mut self, pair: ClockPair) {
        if self.pairs.back().is_some_and(|last| last.generation != pair.generation) {
            self.pairs.clear();
        }
        self.pairs.push_back(pair);
        while self.pairs.front().is_some_and(|first| pair.at - first.at > EARLIEST_OF) {
            self.pairs.pop_front();
        }
    }

    /// Seconds by which each block came before the newest one, less those that their frames are apart.
    fn early(&self, newest: ClockPair) -> impl Iterator<Item = f64> + '_ {
        let early = move |pair: &ClockPair| {
            (newest.at - pair.at).as_secs_f64() - newest.rate.seconds(newest.frame - pair.frame)
        };
        self.pairs.iter().map(early)
    }

    fn asked_for(&self, frame: u64, newest: ClockPair) -> Instant {
        let earliest = self.early(newest).fold(0.0, f64::max);
        newest.at + Duration::from_secs_f64(newest.rate.seconds(frame - newest.frame))
            - Duration::from_secs_f64(earliest)
    }

    /// The middle of how much later than the earliest blocks came, in nanoseconds.
    fn usual_lateness(&self) -> u64 {
        let Some(newest) = self.pairs.back() else { return 0 };
        let mut early: Vec<f64> = self.early(*newest).collect();
        early.sort_by(f64::total_cmp);
        ((early[early.len() - 1] - early[early.len() / 2]) * 1e9) as u64
    }
}

/// As the program does for its own callback, where it may.
pub fn come_first() {
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

/// A moment on the system's clock, which is the same in every process.
pub fn nanos(at: Instant) -> u64 {
    // Of several readings the one with the least between the two clocks.
    let reading = || {
        let (before, system, after) = (Instant::now(), SystemTime::now(), Instant::now());
        (after - before, before, system)
    };
    let best = (0..5).map(|_| reading()).min_by_key(|reading| reading.0);
    let (_, monotonic, system) = best.unwrap_or_else(reading);
    let now = system.duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default().as_nanos();
    let at = now + at.saturating_duration_since(monotonic).as_nanos()
        - monotonic.saturating_duration_since(at).as_nanos();
    u64::try_from(at).unwrap_or(u64::MAX)
}
