//! The cost of a frame. (being written)
fn main() {}
