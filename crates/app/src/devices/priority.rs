//! The sound callback comes before whatever else the machine is busy with.

/// Above every ordinary thread, and below the 15 and more at which a JACK server and its clients usually run.
#[cfg(target_os = "linux")]
const PRIORITY: u8 = 10;

/// Asks the system to wake this thread before all ordinary ones. Where the user may not ask for that, everything stays as it
/// was: sound then stumbles sooner on a busy machine.
#[cfg(target_os = "linux")]
pub(super) fn come_first() {
    use thread_priority::unix::{
        RealtimeThreadSchedulePolicy, ThreadSchedulePolicy, set_thread_priority_and_policy, thread_native_id,
    };
    if let Ok(priority) = PRIORITY.try_into() {
        let policy = ThreadSchedulePolicy::Realtime(RealtimeThreadSchedulePolicy::Fifo);
        let priority = thread_priority::ThreadPriority::Crossplatform(priority);
        // It was a wish.
        let _ = set_thread_priority_and_policy(thread_native_id(), priority, policy);
    }
}

/// Elsewhere the system does so by itself.
#[cfg(not(target_os = "linux"))]
pub(super) fn come_first() {}
