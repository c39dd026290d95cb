//! Song text to [`Song`] and diagnostics.

mod exception;
pub(crate) mod fields;
mod goal;
mod hand;
mod links;
mod section;
mod settings;
mod song;
mod values;

use crate::json::{self, Text};
use crate::limits::FILE_BYTES;
use crate::report::Report;
use crate::{Reading, Song, Span};

/// Reads a song file: the best song there is, and all its mistakes at once. Never panics, whatever the text.
///
/// ```
/// let reading = song::read(r#"{ "format": 1, "title": "Lock", "key": "D major", "tempo": 72,
///   "sections": [ { "name": "Intro", "bars": ["1.. 5. | 6"] } ] }"#);
/// assert_eq!(
///     reading.diagnostics[0].in_file("demo.json").to_string(),
///     "demo.json:2:46: this bar has 4 beats and its dots add up to 3; write 1... 5. or put 3/4: before it"
/// );
/// assert_eq!(reading.song.unwrap().title, "Lock");
/// ```
pub fn read(text: &str) -> Reading {
    let mut report = Report::default();
    let song = if text.len() > FILE_BYTES {
        too_large(text.len(), &mut report);
        None
    } else {
        read_text(text, &mut report)
    };
    finish(song, report, text)
}

/// Reads the bytes of a song file, which should be UTF-8.
pub fn read_bytes(bytes: &[u8]) -> Reading {
    let error = match std::str::from_utf8(bytes) {
        Ok(text) => return read(text),
        Err(error) => error,
    };
    let mut report = Report::default();
    if bytes.len() > FILE_BYTES {
        too_large(bytes.len(), &mut report);
        return Reading { song: None, diagnostics: report.finish("") };
    }
    let text = String::from_utf8_lossy(bytes);
    // Up to the first wrong byte the text is the same, so the place is right.
    let at = error.valid_up_to();
    report.error((at, at + 1), "this byte is not UTF-8 text", "save the file as UTF-8");
    let song = read_text(&text, &mut report);
    finish(song, report, &text)
}

fn finish(song: Option<Song>, report: Report, text: &str) -> Reading {
    let mut diagnostics = report.finish(text);
    if let Some(song) = &song {
        crate::song_place::name(song, &mut diagnostics);
    }
    Reading { song, diagnostics }
}

fn too_large(bytes: usize, report: &mut Report) {
    let what = format!("the file has {bytes} bytes, and a song has at most {FILE_BYTES}");
    report.error((0, 0), what, "make two songs of it");
}

fn read_text(text: &str, report: &mut Report) -> Option<Song> {
    const MARK: &str = "\u{feff}";
    if let Some(rest) = text.strip_prefix(MARK) {
        report.error(
            (0, MARK.len()),
            "the file begins with a byte order mark",
            "save it as UTF-8 without one",
        );
        // As many spaces keep every place.
        return read_json(&format!("{}{rest}", " ".repeat(MARK.len())), report);
    }
    read_json(text, report)
}

fn read_json(text: &str, report: &mut Report) -> Option<Song> {
    let value = json::parse(text, report)?;
    let song = Reader { text, report }.song(&value)?;
    crate::check::check(&song, report);
    Some(song)
}

/// Walks the tree of a song file.
struct Reader<'t, 'r> {
    text: &'t str,
    report: &'r mut Report,
}

impl Reader<'_, '_> {
    fn error(&mut self, span: Span, message: impl Into<String>, hint: impl Into<String>) {
        self.report.error(span, message, hint);
    }

    /// A mistake inside a string.
    fn error_in(&mut self, text: &Text<'_>, span: Span, message: impl Into<String>, hint: impl Into<String>) {
        self.report.error(text.place(span), message, hint);
    }
}
