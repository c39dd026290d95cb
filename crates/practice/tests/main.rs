//! Tests of the practice room from outside.

mod clicks;
mod offsets;
mod playing;
mod reference;
mod scoring;
mod stepping;
mod support;
mod takes;
mod timeline;
