//! Keeps system libraries from printing.

/// The ALSA library prints several lines for each device that is not there; the status says it in one. Holds for the
/// calling thread, and throws away what was collected since the last call.
#[cfg(target_os = "linux")]
pub(super) fn quiet_driver() {
    // Where even this fails, the lines are printed; nothing else is lost.
    let _ = alsa::Output::local_error_handler();
}

/// Elsewhere nothing prints.
#[cfg(not(target_os = "linux"))]
pub(super) fn quiet_driver() {}
