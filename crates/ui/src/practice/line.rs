//! A line of the panel of practice: an offer, its key at the right.

use super::PracticeCommand;
use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::{Command, fonts};
use egui::{Response, Ui, pos2, vec2};

/// Units.
const HIGH: f32 = 25.0;
const BASELINE: f32 = 17.5;

/// A word over the whole line that asks for a command. Its name is the text with the key behind it.
pub(crate) fn offer(
    ui: &mut Ui,
    stage: &mut Stage<'_>,
    (text, key): (&str, &str),
    chosen: Option<bool>,
    command: PracticeCommand,
) -> Response {
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(HIGH)));
    let at = pos2(rect.left(), rect.top() + stage.px(BASELINE));
    let small = fonts::sans(stage.px(13.0));
    let end = pos2(rect.right(), at.y);
    let key_box = plain::baseline_right(ui.painter(), end, key, small, stage.palette.quiet);
    let room = key_box.left() - stage.px(10.0) - at.x;
    let shown = plain::elided(ui.painter(), text, &fonts::sans(stage.px(15.0)), room);
    let name = plain::with_key(text, key);
    let word = Word { chosen, ..Word::new(&shown, stage.px(15.0)).named(&name) };
    stage.offering(ui, at, &word, Command::Practice(command))
}

/// Several words on one line, each with its key.
pub(crate) fn offers(ui: &mut Ui, stage: &mut Stage<'_>, words: &[(&str, &str, PracticeCommand)]) {
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(HIGH)));
    let mut at = pos2(rect.left(), rect.top() + stage.px(BASELINE));
    for (text, key, command) in words {
        let name = plain::with_key(text, key);
        let word = Word::new(text, stage.px(15.0)).named(&name).font(fonts::sans(stage.px(15.0)));
        let wide = plain::width(ui.painter(), text, &fonts::sans(stage.px(15.0)));
        stage.offering(ui, at, &word, Command::Practice(command.clone()));
        let key_at = pos2(at.x + wide + stage.px(6.0), at.y);
        let font = fonts::sans(stage.px(13.0));
        at.x = plain::baseline(ui.painter(), key_at, key, font, stage.palette.quiet).right() + stage.px(18.0);
    }
}
