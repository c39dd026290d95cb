//! The keys of pages that have but a few of their own: a new song, earlier versions, takes.

use crate::{Command, FilesCommand, Model, Page, WritingCommand};
use egui::{Key, Modifiers};
use song::forms::FORMS;

/// The keys of the forms of a new song, and how they are written.
pub(crate) const FORM_KEYS: [(Key, &str); 9] = [
    (Key::Num1, "1"),
    (Key::Num2, "2"),
    (Key::Num3, "3"),
    (Key::Num4, "4"),
    (Key::Num5, "5"),
    (Key::Num6, "6"),
    (Key::Num7, "7"),
    (Key::Num8, "8"),
    (Key::Num9, "9"),
];

/// A copy: of the song that is open, or of it and its takes.
pub(crate) const COPY: &str = "C";
/// A take from elsewhere.
pub(crate) const OTHER_TAKE: &str = "O";
/// How the keys of the versions are written on their page.
pub(crate) const BRING_BACK: &str = "Enter";

/// What a key asks for on such a page.
pub(crate) fn command(key: Key, modifiers: Modifiers, model: &Model<'_>) -> Option<Command> {
    if !modifiers.is_none() {
        return None;
    }
    match (model.view.page, key) {
        (Page::NewSong, Key::C) => Some(Command::Writing(WritingCommand::Duplicate)),
        (Page::NewSong, _) => {
            let form = FORM_KEYS.iter().position(|(own, _)| *own == key)?;
            (form < FORMS.len()).then_some(Command::Writing(WritingCommand::New(form)))
        }
        (Page::Takes, Key::O) => Some(Command::OpenTakeFile),
        (Page::Takes, Key::C) => Some(Command::Files(FilesCommand::CopyWithTakes)),
        (Page::Versions, _) => versions(key, model).map(Command::Files),
        _ => None,
    }
}

/// The arrows look at one version after the other, Enter brings back the one that is looked at.
fn versions(key: Key, model: &Model<'_>) -> Option<FilesCommand> {
    let versions = model.files.versions.as_deref().unwrap_or_default();
    let last = versions.len().checked_sub(1)?;
    let at = model.files.looked_at.as_ref().map(|(at, _)| *at);
    match key {
        Key::ArrowDown => Some(FilesCommand::Look(Some(at.map_or(0, |at| (at + 1).min(last))))),
        Key::ArrowUp => Some(FilesCommand::Look(Some(at.map_or(last, |at| at.saturating_sub(1))))),
        Key::Enter => at.filter(|at| !versions[(*at).min(last)].now).map(FilesCommand::BringBack),
        _ => None,
    }
}
