//! A JACK server on its dummy driver, and processes that end with a value.

use super::Outcome;
use std::process::{Child, Command, Stdio};

const NAME: &str = "overhand-latency";
const ALSA: &str = r#"
</usr/share/alsa/alsa.conf>
pcm.out { type jack playback_ports { 0 system:playback_1 1 system:playback_2 } }
pcm.in { type jack capture_ports { 0 system:capture_1 } }
pcm.!default { type asym
  playback.pcm { type plug slave.pcm "out" }
  capture.pcm { type plug slave.pcm "in" } }
"#;

/// A running server.
pub struct Server {
    _server: Ends,
    folder: tempfile::TempDir,
}

impl Server {
    /// Starts one and waits until it answers.
    pub fn start() -> Outcome<Server> {
        let folder = tempfile::tempdir()?;
        std::fs::write(folder.path().join("asound.conf"), ALSA)?;
        let mut server = Command::new("jackd");
        server.args(["-R", "-P", "20", "-n", NAME, "-d", "dummy", "-r", "48000", "-p", "64"]);
        let server = Ends(quiet(&mut server).spawn()?);
        let mut ready = Command::new("jack_wait");
        if !quiet(ready.args(["-w", "-t", "10", "-s", NAME])).status()?.success() {
            return Err("the JACK server did not start".into());
        }
        Ok(Server { _server: server, folder })
    }

    /// For a program that is to find this server.
    pub fn within<'a>(&self, command: &'a mut Command) -> &'a mut Command {
        command
            .env("JACK_DEFAULT_SERVER", NAME)
            .env("JACK_NO_START_SERVER", "1")
            .env("ALSA_CONFIG_PATH", self.folder.path().join("asound.conf"))
            .env("PULSE_SERVER", "unix:/nonexistent")
    }
}

fn quiet(command: &mut Command) -> &mut Command {
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null())
}

/// A process that is asked to end with this value.
pub struct Ends(pub Child);

impl Drop for Ends {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = Command::new("kill").arg(self.0.id().to_string()).stderr(Stdio::null()).status();
        let _ = self.0.wait();
    }
}
