//! The keys of the page of the sheet to print: they come before the window's own while it is shown.

use crate::{Command, Model, Page, PaperChoice, PaperCommand, PaperFile};
use egui::{Key, Modifiers};

/// Which sheet.
pub(crate) const KIND: &str = "K";
/// The paper.
pub(crate) const SIZE: &str = "A";
/// Numbers, letters or both.
pub(crate) const LABELS: &str = "N";
/// Passes in full or not.
pub(crate) const PASSES: &str = "W";
/// Save as PDF.
pub(crate) const PDF: &str = "S";
/// Save as SVG.
pub(crate) const SVG: &str = "V";

/// Save as a MIDI file.
pub(crate) const MIDI: &str = "M";
/// Save as a score.
pub(crate) const SCORE: &str = "X";
/// The same, compressed.
pub(crate) const COMPRESSED: &str = "Z";
/// Save as sound.
pub(crate) const WAV: &str = "H";
/// The same, smaller.
pub(crate) const FLAC: &str = "F";
/// Stop what is being written.
pub(crate) const STOP: &str = "T";

/// What a key asks for on this page, if it is one of its own.
pub(crate) fn command(key: Key, modifiers: Modifiers, model: &Model<'_>) -> Option<Command> {
    if model.view.page != Page::Paper || !modifiers.is_none() {
        return None;
    }
    let choice = model.view.paper;
    let choose = |choice: PaperChoice| PaperCommand::Choose(choice);
    let last = model.paper.pages.len().saturating_sub(1);
    let page = model.view.paper_page.min(last);
    let command = match key {
        Key::K => choose(PaperChoice { kind: choice.kind.next(), ..choice }),
        Key::A => choose(PaperChoice { size: choice.size.other(), ..choice }),
        Key::N => choose(PaperChoice { labels: choice.labels.next(), ..choice }),
        Key::W => choose(PaperChoice { written_out: !choice.written_out, ..choice }),
        Key::S => PaperCommand::Save(PaperFile::Pdf),
        Key::V => PaperCommand::Save(PaperFile::Svg),
        Key::M => PaperCommand::Save(PaperFile::Midi),
        Key::X => PaperCommand::Save(PaperFile::MusicXml),
        Key::Z => PaperCommand::Save(PaperFile::CompressedMusicXml),
        Key::H => PaperCommand::Save(PaperFile::Wav),
        Key::F => PaperCommand::Save(PaperFile::Flac),
        Key::T => PaperCommand::Stop,
        Key::PageDown => PaperCommand::Turn((page + 1).min(last)),
        Key::PageUp => PaperCommand::Turn(page.saturating_sub(1)),
        _ => return None,
    };
    Some(Command::Paper(command))
}
