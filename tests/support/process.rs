//! Processes that end with the test, and waiting for what they do.

use std::process::Child;
use std::time::{Duration, Instant};

/// A child that is ended when it goes out of scope, whether or not the test passed.
pub struct Ends(pub Child);

impl Drop for Ends {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Waits until something is there; after `seconds` the test fails with what was waited for.
pub fn wait_for<T>(what: &str, seconds: u64, mut look: impl FnMut() -> Option<T>) -> T {
    let start = Instant::now();
    loop {
        if let Some(found) = look() {
            return found;
        }
        assert!(start.elapsed() < Duration::from_secs(seconds), "after {seconds} s still no {what}");
        std::thread::sleep(Duration::from_millis(20));
    }
}

/// Microseconds of the system's clock.
pub fn micros() -> u64 {
    let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap();
    u64::try_from(now.as_micros()).unwrap()
}
