//! Files for other programs, for the printer and for the ear: what is written, where, and how far it is.

mod flac;
mod kind;
mod sound;
mod target;

pub use kind::FileKind;
pub use target::names;

use crate::storage::write_whole;
use exchange::sheet::{self, SheetOptions};
use practice::{Hands, LoopBars, Speed};
use std::io::{Error, ErrorKind};
use std::path::{Path, PathBuf};
use voicing::Part;

/// What a file is to hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wanted {
    /// Its kind.
    pub kind: FileKind,
    /// Whose notes.
    pub hands: Hands,
    /// With the click, in MIDI files and sound.
    pub click: bool,
    /// Of the chart's tempo, for sound.
    pub speed: Speed,
    /// Only these bars, for sound.
    pub bars: Option<LoopBars>,
    /// How a sheet looks.
    pub sheet: SheetOptions,
}

/// Writes a part to a file and says which files these became (a sheet as SVG has one for each page). Each is written whole
/// or not at all; one that is there is replaced only if `force` says so. `go_on` hears how far it is, 0 to 1, and may stop
/// it.
///
/// # Errors
/// What the file system says; [`ErrorKind::AlreadyExists`] where a file is there, [`ErrorKind::Interrupted`] where it was
/// stopped. Nothing is left behind then.
pub fn write(
    part: &Part,
    wanted: &Wanted,
    path: &Path,
    force: bool,
    go_on: &mut dyn FnMut(f32) -> bool,
) -> std::io::Result<Vec<PathBuf>> {
    if wanted.kind.is_sound() {
        target::refuse_to_overwrite(path, force)?;
        target::write_growing(path, |file| sound::render(part, wanted, file, go_on))?;
        return Ok(vec![path.to_owned()]);
    }
    let documents = documents(part, wanted)?;
    let paths = names(path, documents.len());
    for path in &paths {
        target::refuse_to_overwrite(path, force)?;
    }
    for (at, (path, bytes)) in paths.iter().zip(&documents).enumerate() {
        if !go_on(at as f32 / documents.len() as f32) {
            return Err(ErrorKind::Interrupted.into());
        }
        write_whole(path, bytes)?;
    }
    go_on(1.0);
    Ok(paths)
}

/// The bytes of all files that are no sound: one, or one for each page.
fn documents(part: &Part, wanted: &Wanted) -> std::io::Result<Vec<Vec<u8>>> {
    let pages = || sheet::pages(part, &wanted.sheet);
    Ok(match wanted.kind {
        FileKind::Midi => vec![exchange::write_part(part, wanted.hands, wanted.click)],
        FileKind::MusicXml => vec![exchange::musicxml::write(&of_hands(part, wanted.hands))],
        FileKind::CompressedMusicXml => {
            vec![exchange::musicxml::write_compressed(&of_hands(part, wanted.hands))]
        }
        FileKind::Pdf => {
            let pdf = sheet::pdf(&pages(), &sheet::Meta::of(part));
            vec![pdf.map_err(|error| Error::other(error.to_string()))?]
        }
        FileKind::Svg => pages().iter().map(|page| sheet::svg(page).into_bytes()).collect(),
        FileKind::Wav | FileKind::Flac => Vec::new(),
    })
}

/// A part with the notes of some hands; those of a MIDI file, which may have been played, in note values.
fn of_hands(part: &Part, hands: Hands) -> Part {
    in_note_values(part, hands).0
}

/// How many notes of some hands stand elsewhere in notation than they were played.
pub fn moved_for_notation(part: &Part, hands: Hands) -> usize {
    in_note_values(part, hands).1
}

fn in_note_values(part: &Part, hands: Hands) -> (Part, usize) {
    let mut part = part.clone();
    part.events.retain(|event| hands.has(event.hand));
    if part.is_notes_alone() { exchange::in_note_values(&part) } else { (part, 0) }
}
