//! In the room of scales and chords, while the plan's warm-up is played there: what it is, how long, and the way on.

use super::PracticeCommand;
use super::panel::minutes_left;
use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::{Command, fonts};
use egui::{Rect, Role, Sense, Ui, WidgetInfo, pos2};

/// Units.
const LINE: f32 = 34.0;
const SIZE: f32 = 16.0;

/// Draws the line at the top, if there is a warm-up; returns what is left for the room.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) -> Rect {
    let now = &stage.model.practice.now;
    if !now.warm_up {
        return rect;
    }
    let y = rect.top() + stage.px(17.0);
    let (small, quiet) = (fonts::sans(stage.px(13.0)), stage.palette.quiet);
    let key = plain::baseline_right(ui.painter(), pos2(rect.right(), y), "Enter", small, quiet);
    let text = "go on with the plan";
    let wide = plain::width(ui.painter(), text, &fonts::sans(stage.px(SIZE)));
    let at = pos2(key.left() - stage.px(8.0) - wide, y);
    let word = Word::new(text, stage.px(SIZE)).named("go on with the plan (Enter)").strong();
    stage.offering(ui, at, &word, Command::Practice(PracticeCommand::Next));
    let left = minutes_left(now.minutes_left).map_or_else(String::new, |left| format!(", {left}"));
    let said = format!("Warm-up: {}{left}", now.text);
    let font = fonts::bold(stage.px(SIZE));
    let left = rect.left() + stage.px(6.0);
    let shown = plain::elided(ui.painter(), &said, &font, at.x - stage.px(20.0) - left);
    let drawn = plain::baseline(ui.painter(), pos2(left, y), &shown, font, stage.palette.ink);
    let response = ui.interact(drawn, ui.scope_id().with("warm-up"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &said));
    rect.with_min_y(rect.top() + stage.px(LINE))
}
