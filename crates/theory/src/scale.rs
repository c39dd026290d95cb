//! (being written) scales and their fingers
