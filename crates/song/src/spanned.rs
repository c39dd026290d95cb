//! A value and where it is written.

use crate::Span;

/// A value and where it is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Spanned<T> {
    /// The value.
    pub value: T,
    /// Bytes of the song file.
    pub span: Span,
}

impl<T> Spanned<T> {
    /// A value and its place.
    pub const fn new(value: T, span: Span) -> Self {
        Self { value, span }
    }
}
