//! The keys of the page of other ways: they come before the window's own while it is shown.

use crate::{Command, Model, Page};
use egui::{Key, Modifiers};

/// How they are written on the page.
pub(crate) const WRITTEN: &str = "↑ ↓ to hear, Enter to take";

/// The key that takes a pin out, as it is written on the page.
pub(crate) const UNPIN: &str = "Delete";

/// What a key asks for on this page, if it is one of its own.
pub(crate) fn command(key: Key, modifiers: Modifiers, model: &Model<'_>) -> Option<Command> {
    if model.view.page != Page::Ways || !modifiers.is_none() {
        return None;
    }
    if key == Key::Delete {
        return model.choices.pinned.then_some(Command::Unpin);
    }
    let ways = model.choices.ways.as_ref().map_or(0, Vec::len);
    let last = ways.checked_sub(1)?;
    let shown = model.view.way.filter(|way| *way <= last);
    match key {
        Key::ArrowDown => Some(Command::Way(Some(shown.map_or(0, |way| (way + 1).min(last))))),
        Key::ArrowUp => Some(Command::Way(Some(shown.map_or(last, |way| way.saturating_sub(1))))),
        Key::Enter => shown.map(Command::TakeWay),
        _ => None,
    }
}
