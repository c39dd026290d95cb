//! Tests of the practice room from outside.
#![allow(clippy::unwrap_used)] // What helpers of tests unwrap is part of what is tested.

mod calibrating;
mod changes;
mod changing;
mod clicks;
mod clocks;
mod coaching;
mod evenness;
mod foreign;
mod hard;
mod learner;
mod offsets;
mod pedalling;
mod playing;
mod reference;
mod remembering;
mod replaying;
mod scoring;
mod screen;
mod sessions;
mod simulate;
mod stepping;
mod support;
mod takes;
mod timeline;
