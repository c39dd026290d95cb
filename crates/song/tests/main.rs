//! What the song reader and the unfolding promise, against the song format.

mod bounds;
mod cases;
mod demos;
mod example;
mod features;
mod keys;
mod precedence;
mod properties;
mod saving;
mod schema;
mod show;
mod unfold;
