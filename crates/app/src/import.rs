//! Songs from other programs' files and from plain text, told by their content.

use exchange::{ExchangeError, Figures, Imported};
use std::path::Path;

/// Why no song was made.
#[derive(Debug, thiserror::Error)]
pub enum NotASong {
    /// What is wrong with the file.
    #[error(transparent)]
    Exchange(#[from] ExchangeError),
    /// A MIDI file without chords.
    #[error("there is no chord in the words of this MIDI file, so that it makes no chart")]
    NotesOnly,
    /// It is one already.
    #[error("this is a song file already; open it as it is")]
    SongAlready,
    /// Nothing that is known.
    #[error("this is neither MusicXML, nor a standard MIDI file, nor a text chart")]
    Unknown,
}

/// Makes a song of a file's bytes: MusicXML (plain or compressed), a standard MIDI file with chords in its words, or a plain
/// text chart. `title` is used where the file has none.
///
/// # Errors
/// Why there is none, and what to do about it.
pub fn read(bytes: &[u8], title: &str) -> Result<Imported, NotASong> {
    if exchange::looks_like_midi(bytes) {
        let file = exchange::read_midi(bytes)?;
        return Ok(exchange::midi_chart(&file, title).ok_or(NotASong::NotesOnly)??);
    }
    let archive = bytes.starts_with(b"PK");
    let text = std::str::from_utf8(bytes).ok();
    let start = text.map_or("", str::trim_start).trim_start_matches('\u{feff}');
    if archive || exchange::musicxml::looks_like(bytes) || start.starts_with('<') {
        return Ok(exchange::musicxml::read(bytes, title)?);
    }
    if start.starts_with('{') {
        return Err(NotASong::SongAlready);
    }
    let text =
        text.filter(|text| !text.contains('\0') && !text.trim().is_empty()).ok_or(NotASong::Unknown)?;
    let pasted = song::paste::read(text, None);
    let told = pasted.doubts.iter().map(ToString::to_string).collect();
    let reading = song::read(&pasted.song.to_text());
    let (bars, bars_played, chords) = reading.song.map_or((0, 0, 0), |song| {
        let written: usize = song.sections.iter().flat_map(|s| &s.rows).map(|row| row.bars.len()).sum();
        let chords = song.sections.iter().flat_map(|s| &s.rows).flat_map(|row| &row.bars);
        let is_chord = |item: &&song::Item| matches!(item.kind, song::ItemKind::Chord { .. });
        (written, song.play().bars.len(), chords.flat_map(song::ChartBar::items).filter(is_chord).count())
    });
    if chords == 0 {
        return Err(NotASong::Unknown);
    }
    Ok(Imported {
        song: pasted.song,
        told,
        figures: Figures { bars, bars_played, chords, moved: 0, simplified: 0, noted: 0 },
    })
}

/// The name of a file as a title.
pub fn title_of(path: &Path) -> String {
    path.file_stem().unwrap_or_default().to_string_lossy().replace(['_', '-'], " ")
}

/// In a line: `G major, 36 bars (64 as played), 52 chords, 2 of them at another beat`.
pub fn summary(imported: &Imported) -> String {
    let Figures { bars, bars_played, chords, moved, simplified, noted } = imported.figures;
    let counted = |n: usize, what: &str| format!("{n} {what}{}", if n == 1 { "" } else { "s" });
    let mut line = format!("{}, {}", imported.song.key, counted(bars, "bar"));
    if bars_played != bars {
        line += &format!(" ({bars_played} as played)");
    }
    line += &format!(", {}", counted(chords, "chord"));
    if moved > 0 {
        line += &format!(", {moved} of them at another beat");
    }
    if simplified > 0 {
        line += &format!(", {simplified} said in part");
    }
    if noted > 0 {
        line += &format!("; {noted} more kept as notes alone");
    }
    line
}
