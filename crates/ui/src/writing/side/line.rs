//! Words to choose among, in as many lines as they take.

use super::state::SideCommand;
use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::{Command, WritingCommand, fonts};
use egui::{Ui, pos2, vec2};
use song::edit::{Change, Field, HandField, Place};
use theory::Hand;

/// A word: what is drawn, what is read out, whether it is the chosen one, and what it asks for.
pub(crate) struct Offer {
    pub text: String,
    pub name: String,
    pub chosen: Option<bool>,
    pub command: Command,
}

impl Offer {
    /// A word that does something.
    pub fn deed(text: impl Into<String>, name: impl Into<String>, command: Command) -> Offer {
        Offer { text: text.into(), name: name.into(), chosen: None, command }
    }

    /// One of several.
    pub fn of(text: impl Into<String>, name: impl Into<String>, chosen: bool, command: Command) -> Offer {
        Offer { text: text.into(), name: name.into(), chosen: Some(chosen), command }
    }
}

/// Draws words behind a quiet label.
pub(crate) fn offers(ui: &mut Ui, stage: &mut Stage<'_>, label: &str, words: Vec<Offer>) {
    let (size, gap, high) = (stage.px(15.0), stage.px(13.0), stage.px(26.0));
    let font = fonts::sans(size);
    let (_, mut line) = ui.allocate_space(vec2(ui.available_width(), high));
    let mut at = pos2(line.left(), line.top() + stage.px(19.0));
    if !label.is_empty() {
        at.x = stage.text(ui, at, label, 15.0, stage.palette.quiet).right() + gap;
    }
    let indent = at.x.min(line.left() + stage.px(78.0));
    for offer in words {
        let wide = plain::width(ui.painter(), &offer.text, &font);
        if at.x + wide > line.right() - stage.px(6.0) && at.x > indent {
            (_, line) = ui.allocate_space(vec2(ui.available_width(), high));
            at = pos2(indent, line.top() + stage.px(19.0));
        }
        let word = Word { chosen: offer.chosen, ..Word::new(&offer.text, size).named(&offer.name) };
        at.x = stage.offering(ui, at, &word, offer.command).rect.right() + gap - stage.px(6.0);
    }
}

/// A quiet label over what is typed.
pub(crate) fn label(ui: &mut Ui, stage: &Stage<'_>, text: &str) {
    ui.add_space(stage.px(4.0));
    crate::pages::say(ui, text, fonts::sans(stage.px(14.0)), stage.palette.quiet);
}

/// Asks for edits as one step.
pub(crate) fn change(changes: Vec<Change>) -> Command {
    Command::Writing(WritingCommand::Change(changes))
}

/// Asks for something that the song, a section or a bar says.
pub(crate) fn field(place: Place, field: Field) -> Command {
    change(vec![Change::Field { place, field }])
}

/// Asks for something that a hand is told.
pub(crate) fn hand(place: Place, hand: Hand, field: HandField) -> Command {
    change(vec![Change::Hand { place, hand, field }])
}

/// Asks for something of the side column itself.
pub(crate) fn side(command: SideCommand) -> Command {
    Command::Writing(WritingCommand::Side(command))
}
