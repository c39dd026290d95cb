//! What the song reader and the unfolding promise, against the song format.

mod cases;
mod demos;
mod schema;
