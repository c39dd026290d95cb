//! Checks that cross the crates, and runs of the whole program. Built with crates/app, so that `overhand` is the binary
//! just built.
#![allow(clippy::unwrap_used)]

mod architecture;
mod command_line;
mod files;
#[cfg(feature = "midi-jack")]
mod kept;
mod planning;
mod program;
mod real_thing;
mod scoring;
mod sheets;
mod support;
