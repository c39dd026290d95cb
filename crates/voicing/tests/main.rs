//! Tests of the two-hand part.

mod print;
mod smoke;
