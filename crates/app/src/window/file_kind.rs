//! What a file is, by what is in it: the one place that tells. Endings are guesses that people and programs get wrong.

use crate::storage::read_within;
use std::path::Path;

/// What a file is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    /// A song file: JSON.
    Song,
    /// A chart as plain text.
    Chart,
    /// A standard MIDI file.
    Midi,
    /// A SoundFont 2 bank.
    Bank,
    /// A MusicXML document.
    MusicXml,
    /// A MusicXML document, compressed.
    CompressedMusicXml,
    /// Something else.
    Unknown,
}

/// So much of a file tells what it is.
const HEAD: usize = 64 * 1024;

/// What the file at a path is; only its beginning is read.
///
/// # Errors
/// What the file system says.
pub fn kind_of(path: &Path) -> std::io::Result<FileKind> {
    read_within(path, HEAD).map(|head| FileKind::of(&head))
}

impl FileKind {
    /// What a file is that begins like this.
    pub fn of(head: &[u8]) -> FileKind {
        let form = head.get(8..12);
        if head.starts_with(b"MThd") || head.starts_with(b"RIFF") && form == Some(b"RMID") {
            return FileKind::Midi;
        }
        if head.starts_with(b"RIFF") && form == Some(b"sfbk") {
            return FileKind::Bank;
        }
        if head.starts_with(b"PK\x03\x04") {
            return FileKind::CompressedMusicXml;
        }
        let text = String::from_utf8_lossy(head);
        let text = text.trim_start_matches('\u{feff}').trim_start();
        match text.chars().next() {
            Some('{' | '[') if !is_chart(text) => FileKind::Song,
            Some('<') if ["<score-partwise", "<score-timewise"].iter().any(|tag| text.contains(tag)) => {
                FileKind::MusicXml
            }
            Some('<') if text.starts_with("<?xml") || text.starts_with("<!") => FileKind::Unknown,
            Some(_) if is_text(head) => FileKind::Chart,
            _ => FileKind::Unknown,
        }
    }
}

/// A heading in brackets begins a chart: `[Verse]`. JSON has a list of texts in quotes, of objects, of numbers there.
fn is_chart(text: &str) -> bool {
    text.strip_prefix('[').is_some_and(|rest| rest.starts_with(char::is_alphabetic) && rest.contains(']'))
}

/// Text of whatever encoding has no control characters but those that lay it out.
fn is_text(head: &[u8]) -> bool {
    head.iter().all(|byte| *byte >= b' ' && *byte != 0x7f || b"\t\r\n\x0c".contains(byte))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_what_is_in_it() {
        let riff = |form: &[u8]| [b"RIFF\0\0\0\0".as_slice(), form].concat();
        for (head, kind) in [
            (b"{ \"format\": 1".as_slice(), FileKind::Song),
            (b"\xef\xbb\xbf\n  {", FileKind::Song),
            (b"MThd\0\0\0\x06", FileKind::Midi),
            (&riff(b"sfbk"), FileKind::Bank),
            (&riff(b"RMID"), FileKind::Midi),
            (&riff(b"WAVE"), FileKind::Unknown),
            (b"PK\x03\x04mimetype", FileKind::CompressedMusicXml),
            (b"<?xml version=\"1.0\"?>\n<score-partwise>", FileKind::MusicXml),
            (b"<?xml version=\"1.0\"?>\n<svg>", FileKind::Unknown),
            (b"Lanterns\n\nVerse\nD A Bm G\n", FileKind::Chart),
            (b"[Verse]\nD A Bm G\n", FileKind::Chart),
            (b"\xfcber den Fluss\nD A", FileKind::Chart),
            (b"\x89PNG\r\n\x1a\n\0\0", FileKind::Unknown),
            (b"\x7fELF\x02\x01\x01\0", FileKind::Unknown),
            (b"", FileKind::Unknown),
        ] {
            assert_eq!(FileKind::of(head), kind, "{}", String::from_utf8_lossy(head));
        }
    }
}
