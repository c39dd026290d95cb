//! Tests of the two-hand part.

mod contract;
mod exact;
mod figures;
mod fingers;
mod long;
mod plans;
mod print;
mod properties;
mod reasons;
mod slash;
mod transposing;
mod voice_leading;
