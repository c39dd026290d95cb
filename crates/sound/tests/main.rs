//! Measures offline renders: pitch, place, level, silence; and that rendering never allocates.
#![allow(clippy::unwrap_used, reason = "a test that meets what it does not expect has failed")]

mod bank;
mod decay;
mod level;
mod measure;
mod onset;
mod pedals;
mod pitch;
mod real_time;
mod release;
mod small_bank;
mod snap;
mod swap;

/// Notices every allocation of the thread that runs inside `assert_no_alloc`.
#[global_allocator]
static ALLOCATOR: assert_no_alloc::AllocDisabler = assert_no_alloc::AllocDisabler;
