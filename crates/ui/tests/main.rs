//! Window tests without a window.
