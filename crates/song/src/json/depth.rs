//! What can be seen of a JSON text without reading it by recursion: how deep it nests, and texts left open.

use crate::Span;
use crate::limits::DEPTH;

/// The first bracket that lies too deep.
pub(super) fn too_deep(text: &str) -> Option<Span> {
    let mut depth = 0usize;
    let mut in_string = false;
    let mut escaped = false;
    for (at, byte) in text.bytes().enumerate() {
        match byte {
            _ if escaped => escaped = false,
            b'\\' if in_string => escaped = true,
            b'"' => in_string = !in_string,
            b'{' | b'[' if !in_string => depth += 1,
            b'}' | b']' if !in_string => depth = depth.saturating_sub(1),
            _ => {}
        }
        if depth > DEPTH {
            return Some((at, at + 1));
        }
    }
    None
}

/// The first text that runs over the end of its line: most likely its closing quote is missing.
pub(super) fn left_open(text: &str) -> Option<Span> {
    let mut opened = None;
    let mut escaped = false;
    for (at, byte) in text.bytes().enumerate() {
        match (byte, opened) {
            _ if escaped => escaped = false,
            (b'\\', Some(_)) => escaped = true,
            (b'"', None) => opened = Some(at),
            (b'"', Some(_)) => opened = None,
            (b'\n' | b'\r', Some(start)) => return Some((start, at)),
            _ => {}
        }
    }
    opened.map(|start| (start, text.len()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn brackets_in_strings_do_not_count() {
        assert_eq!(too_deep(&format!("[\"{}\\\"[\"]", "[".repeat(40))), None);
        assert_eq!(too_deep(&"[".repeat(DEPTH)), None);
        assert_eq!(too_deep(&"[".repeat(DEPTH + 1)), Some((DEPTH, DEPTH + 1)));
    }
}
