//! What the song reader and the unfolding promise, against the song format.
// clippy lets only #[test] functions unwrap; helpers of tests may as well.
#![allow(clippy::unwrap_used)]

mod bounds;
mod cases;
mod demos;
mod edit_properties;
mod edits;
mod example;
mod features;
mod goals;
mod keys;
mod letters;
mod pasting;
mod precedence;
mod properties;
mod saving;
mod schema;
mod show;
mod typed_song;
mod typing;
mod unfold;
