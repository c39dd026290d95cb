//! What the song reader and the unfolding promise, against the song format.

mod demos;
