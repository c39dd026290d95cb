//! The keys of the side column, while a song is being written.

use super::state::{SideCommand, Topic};
use crate::{Command, Model, Page, WritingCommand};
use egui::{Id, Key, Modifiers, Ui};

/// Where the cell that has the focus is remembered.
const CELL: &str = "cell of a figure that has the focus";

/// Where it is remembered when one typed at the side last.
const TYPED: &str = "typed at the side";

/// Where the topic that was open is remembered, and whether a line waits for the cursor.
const OPEN: &str = "topic open at the side";
const FIRST: &str = "first line of a topic";

/// The keys in the order of the topics.
const KEYS: [Key; 5] = [Key::Num1, Key::Num2, Key::Num3, Key::Num4, Key::Num5];

/// What a key asks for on this page, if it is one of the side column's.
pub(crate) fn command(key: Key, modifiers: Modifiers, model: &Model<'_>) -> Option<Command> {
    if model.view.page != Page::Writing || !modifiers.matches_exact(Modifiers::COMMAND) {
        return None;
    }
    let at = KEYS.iter().position(|own| *own == key)?;
    Some(Command::Writing(WritingCommand::Side(SideCommand::Topic(Topic::ALL[at]))))
}

/// Whether what is typed goes into a cell of a figure.
pub(crate) fn in_a_cell(ui: &Ui) -> bool {
    let cell: Option<Id> = ui.data(|data| data.get_temp(Id::unique(CELL)));
    cell.is_some() && cell == ui.memory(|memory| memory.focused())
}

/// A cell of a figure has the focus.
pub(crate) fn cell_has_focus(ui: &Ui, cell: Id) {
    ui.data_mut(|data| data.insert_temp(Id::unique(CELL), cell));
    typing(ui);
}

/// A line or a cell of the side has the focus in this frame.
pub(crate) fn typing(ui: &Ui) {
    let now = ui.ctx().cumulative_pass_nr();
    ui.data_mut(|data| data.insert_temp(Id::unique(TYPED), now));
}

/// Whether one had it in the frame before: Escape then leaves it, and not the page.
pub(crate) fn was_typing(ui: &Ui) -> bool {
    let last: Option<u64> = ui.data(|data| data.get_temp(Id::unique(TYPED)));
    last.is_some_and(|last| last + 1 >= ui.ctx().cumulative_pass_nr())
}

/// Remembers which topic is open. Where another one opens, the first line that is drawn gets the cursor. Whether one was
/// just closed.
pub(crate) fn opened(ui: &Ui, topic: Option<Topic>) -> bool {
    let before: Option<Option<Topic>> = ui.data(|data| data.get_temp(Id::unique(OPEN)));
    let another = topic.is_some() && before.is_some_and(|before| before != topic);
    ui.data_mut(|data| {
        data.insert_temp(Id::unique(OPEN), topic);
        data.insert_temp(Id::unique(FIRST), another);
    });
    topic.is_none() && before.flatten().is_some()
}

/// Whether this line gets the cursor: the first one after [`opened`], once.
pub(crate) fn first_line(ui: &Ui) -> bool {
    ui.data_mut(|data| std::mem::take(data.get_temp_mut_or_default::<bool>(Id::unique(FIRST))))
}

/// How the key of a topic is written.
pub(crate) fn written(topic: Topic) -> String {
    let at = Topic::ALL.iter().position(|other| *other == topic).unwrap_or_default();
    format!("Ctrl+{}", at + 1)
}
