//! Tests of files from and for elsewhere.

mod hostile;
mod reading;
mod reference;
mod takes;
