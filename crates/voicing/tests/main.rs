//! Tests of the two-hand part.
#![allow(clippy::unwrap_used, reason = "an unwrap in a test's helper fails the test")]

mod choosing;
mod contract;
mod exact;
mod figures;
mod finger_contract;
mod finger_exact;
mod finger_properties;
mod finger_reasons;
mod fingers;
mod levels;
mod long;
mod pedal;
mod plans;
mod print;
mod properties;
mod reasons;
mod slash;
mod songs;
mod transposing;
mod voice_leading;
mod whole_song;
