//! Tests of the two-hand part.
#![allow(clippy::unwrap_used, reason = "an unwrap in a test's helper fails the test")]

mod contract;
mod exact;
mod figures;
mod fingers;
mod long;
mod pedal;
mod plans;
mod print;
mod properties;
mod reasons;
mod slash;
mod transposing;
mod voice_leading;
