//! Measures offline renders.
