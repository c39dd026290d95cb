//! A JACK server of its own on its dummy driver: real MIDI and real sound between processes, at real pace.

use super::process::{Ends, wait_for};
use std::fs::File;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

/// Frames a second.
pub const RATE: u32 = 48_000;

/// The one name that servers have here, one after the other: a machine has eight places for servers, and one that was
/// killed keeps its place until another of its name comes.
const NAME: &str = "overhand-test";

/// The server's process. It is asked to end, not killed, so that it gives its place back.
struct Server(Child);

impl Drop for Server {
    fn drop(&mut self) {
        // One that stands still would not hear it.
        let _ = Command::new("kill").arg("-CONT").arg(self.0.id().to_string()).stderr(Stdio::null()).status();
        let asked = Command::new("kill").arg(self.0.id().to_string()).stderr(Stdio::null()).status();
        let until = Instant::now() + Duration::from_secs(if asked.is_ok() { 5 } else { 0 });
        while Instant::now() < until && matches!(self.0.try_wait(), Ok(None)) {
            std::thread::sleep(Duration::from_millis(20));
        }
        // It may have ended by itself.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A running server.
pub struct SoundServer {
    server: Option<Server>,
    folder: tempfile::TempDir,
    /// Held while this server may run, against others of its name; let go of last.
    _alone: File,
}

impl SoundServer {
    /// Starts a server, once every other of these tests, in this process or another, has ended.
    pub fn new() -> SoundServer {
        let alone = File::create(std::env::temp_dir().join(NAME)).unwrap();
        alone.lock().unwrap();
        if !any_server_runs() {
            forget_dead_servers();
        }
        let mut server = SoundServer { server: None, folder: tempfile::tempdir().unwrap(), _alone: alone };
        std::fs::write(server.alsa_file(), ALSA).unwrap();
        server.start();
        server
    }

    /// Starts the server again after it died.
    pub fn start(&mut self) {
        // Real-time priority where it is allowed: without it notes can be lost under load.
        let real_time = Command::new("chrt").args(["-f", "10", "true"]).status().is_ok_and(|s| s.success());
        let mut server = Command::new("jackd");
        if real_time {
            server.args(["-R", "-P", "20"]);
        } else {
            server.arg("-r");
        }
        server.args(["-n", NAME, "-d", "dummy", "-r", &RATE.to_string(), "-p", "64"]);
        server.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
        self.server = Some(Server(server.spawn().unwrap()));
        let mut ready = Command::new("jack_wait");
        ready.args(["-w", "-t", "10", "-s", NAME]);
        assert!(self.quiet(&mut ready).status().unwrap().success(), "the sound server did not start");
    }

    /// Ends the server at once, without a word to those who play through it.
    pub fn die(&mut self) {
        if let Some(server) = &mut self.server {
            server.0.kill().unwrap();
        }
        self.server = None;
    }

    /// The server does nothing more, and says nothing, until it is told to go on.
    pub fn stand_still(&self) {
        self.signal("-STOP");
    }

    /// Goes on.
    pub fn go_on(&self) {
        self.signal("-CONT");
    }

    fn signal(&self, which: &str) {
        let process = self.server.as_ref().unwrap().0.id().to_string();
        assert!(Command::new("kill").args([which, &process]).status().unwrap().success());
    }

    /// For a program that plays and listens here: MIDI by JACK, sound by ALSA and from there to JACK.
    pub fn put_into(&self, command: &mut Command) {
        command
            .env("JACK_DEFAULT_SERVER", NAME)
            .env("JACK_NO_START_SERVER", "1")
            .env("ALSA_CONFIG_PATH", self.alsa_file())
            .env("PULSE_SERVER", "unix:/nonexistent");
    }

    /// From now on the system lists another sound output, which leads here as well.
    pub fn add_output(&self, name: &str) {
        let output = format!(
            "pcm.added {{ type plug slave {{ pcm \"rawjack\" }} hint {{ show on description \"{name}\" }} }}\n"
        );
        std::fs::write(self.alsa_file(), format!("{ALSA}{output}")).unwrap();
    }

    /// Waits until a program, by the number of its process, plays through this server. It is known by what the server lays
    /// down for it in shared memory: on a busy machine a client that comes just to ask may lead others to miss one another,
    /// and they then wait for ever.
    pub fn wait_for_sound_of(&self, process: u32) {
        let end = format!("_{NAME}_{}", client_of(process));
        wait_for("sound output of the program", 40, || {
            let mut entries = std::fs::read_dir("/dev/shm").ok()?.flatten();
            entries.any(|entry| entry.file_name().to_string_lossy().ends_with(&end)).then_some(())
        });
    }

    /// Records so many seconds of a program's sound from now on.
    pub fn record(&self, process: u32, seconds: u32) -> Recording {
        let path = self.folder.path().join("capture.wav");
        let mut recorder = Command::new("jack_rec");
        recorder.arg("-f").arg(&path).args(["-d", &seconds.to_string(), "-b", "16"]);
        // Room for all of it: what it cannot write at once on a busy machine would be left out, and all after it come early.
        recorder.args(["-B", &(seconds * RATE).to_string()]).arg(format!("{}:out_000", client_of(process)));
        Recording { recorder: Ends(self.quiet(&mut recorder).spawn().unwrap()), path }
    }

    fn alsa_file(&self) -> PathBuf {
        self.folder.path().join("asound.conf")
    }

    fn quiet<'a>(&self, command: &'a mut Command) -> &'a mut Command {
        self.put_into(command);
        command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null())
    }
}

/// Whether any sound server runs on this machine, ours or another's.
fn any_server_runs() -> bool {
    let processes = std::fs::read_dir("/proc").into_iter().flatten().flatten();
    let mut names = processes.filter_map(|process| std::fs::read_to_string(process.path().join("comm")).ok());
    names.any(|name| name.starts_with("jackd"))
}

/// Gives the places of servers back that were killed, with all that was before this process: while none runs, nothing in
/// shared memory is anybody's.
fn forget_dead_servers() {
    for entry in std::fs::read_dir("/dev/shm").into_iter().flatten().flatten() {
        let name = entry.file_name();
        if ["jack-", "jack_"].iter().any(|start| name.to_string_lossy().starts_with(start)) {
            // What is another user's stays.
            let _ = std::fs::remove_file(entry.path());
        }
    }
}

/// A program's sound, as the bridge from ALSA to JACK names it.
fn client_of(process: u32) -> String {
    format!("overhand.P.{process}.1")
}

/// A recording under way.
pub struct Recording {
    recorder: Ends,
    path: PathBuf,
}

impl Recording {
    /// Waits for its end and gives its samples.
    pub fn samples(mut self) -> Vec<f32> {
        wait_for("end of the recording", 60, || self.recorder.0.try_wait().unwrap());
        samples(&self.path)
    }
}

fn samples(path: &Path) -> Vec<f32> {
    let mut reader = hound::WavReader::open(path).unwrap();
    reader.samples::<i16>().map(|sample| f32::from(sample.unwrap()) / 32_768.0).collect()
}

const ALSA: &str = r#"
</usr/share/alsa/alsa.conf>
pcm.rawjack { type jack playback_ports { 0 system:playback_1 1 system:playback_2 } }
pcm.!default { type plug slave { pcm "rawjack" } }
"#;
