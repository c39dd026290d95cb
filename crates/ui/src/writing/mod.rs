//! A song being written: the chart as a page of typed rows, and beside it what is set on the place one has chosen.
//!
//! Nothing here changes a song: every view returns [`WritingCommand`]s, and the application makes the edits. Marks and
//! printed bars come from [`Writing`], which is made anew whenever the text changed.

mod chosen;
mod clipboard;
mod command;
mod find;
mod heading;
mod help;
mod keys;
mod line;
pub(crate) mod new_song;
mod order;
mod page;
mod pieces;
mod printed;
mod row;
pub(crate) mod side;
mod text_line;
mod written;

pub use chosen::{Chosen, NewLine, WritingView};
pub use command::WritingCommand;
pub use keys::WRITING_KEYS;
pub use side::{Pen, Scope, Side, SideCommand, Taps, Topic};
pub(crate) use side::{field, key_named, keys as side_keys};
pub use written::{PastedChart, Writing, WrittenRow};

use crate::keyboard;
use crate::layout::SongPage;
use crate::stage::Stage;
use egui::{Rect, Ui, pos2};

/// The share of the window's width that the chart takes.
const CHART: f32 = 0.68;

/// The whole page.
pub(crate) fn show(ui: &mut Ui, page: SongPage, stage: &mut Stage<'_>) {
    let above = page.above_keyboard();
    let split = above.left() + CHART * above.width();
    let chart = Rect::from_min_max(above.min, pos2(split, above.bottom()));
    let side = Rect::from_min_max(pos2(split + stage.px(22.0), above.top()), above.max);
    page::show(ui, chart, stage);
    side::show(ui, side, stage);
    keyboard::show(ui, page.keyboard, stage);
}
