//! The program at the edge: command line, window, devices, storage. All that opens files, reads clocks, starts threads
//! or prints is here; what it means is worked out in the crates below.
//!
//! Four values make up what the window knows: the document, the session, the view and the devices. Each changes in one
//! place only, its `apply`.
#![forbid(unsafe_code)]

pub mod cli;
pub mod devices;
pub mod document;
pub mod export;
pub mod import;
pub mod session;
pub mod storage;
pub mod window;
