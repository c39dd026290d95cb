//! Tests of files from and for elsewhere.
#![allow(clippy::unwrap_used)] // What helpers of tests unwrap is part of what is tested.

mod demos;
mod hostile;
mod hostile_scores;
mod lead_sheets;
mod own_scores;
mod reading;
mod reference;
mod scores;
mod sheets;
mod takes;
mod ties;
