//! The plan: an item a line; what is done is quiet, what is in hand is underlined, what comes can be moved. In a set the name
//! of the song stands above its items.

use super::{ItemShown, PracticeCommand};
use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::{Command, fonts};
use egui::{FontId, Key, Rect, Ui, pos2, vec2};

/// Units.
const HIGH: f32 = 25.0;
const BASELINE: f32 = 17.5;
/// For the minutes at the left, and for each of the two arrows at the right.
const MINUTES: f32 = 34.0;
const ARROW: f32 = 20.0;

/// Draws it. The keys move the item that has the focus, else the one in hand.
pub(crate) fn show(ui: &mut Ui, stage: &mut Stage<'_>) {
    let shown = stage.model.practice;
    let (mut focused, mut song) = (None, None);
    for (place, item) in shown.items.iter().enumerate() {
        if item.song.is_some() && song != item.song.as_ref() {
            song = item.song.as_ref();
            above(ui, stage, item);
        }
        // The same bar comes several times in a plan.
        let of = ui.push_id(("item of the plan", place), |ui| line(ui, stage, place, item));
        if of.inner {
            focused = Some(place);
        }
    }
    let place = focused.unwrap_or(shown.at);
    for (key, by) in [(Key::E, -1), (Key::U, 1)] {
        let pressed = ui.input(|i| i.modifiers.is_none() && i.key_pressed(key));
        if pressed && !ui.ctx().text_edit_focused() && !stage.model.view.piano_keys {
            stage.out.extend(moved(stage, place, by));
        }
    }
}

/// The song that the items below are of.
fn above(ui: &mut Ui, stage: &Stage<'_>, item: &ItemShown) {
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(HIGH)));
    let font = fonts::italic(stage.px(14.0));
    let at = pos2(rect.left() + stage.px(MINUTES), rect.top() + stage.px(BASELINE));
    let room = rect.right() - at.x;
    let name = item.song.as_deref().unwrap_or_default();
    let text = plain::elided(ui.painter(), name, &font, room);
    plain::baseline(ui.painter(), at, &text, font, stage.palette.quiet);
}

/// What moves an item by so many places, if it is not done and stays among those that are not.
fn moved(stage: &Stage<'_>, place: usize, by: isize) -> Option<Command> {
    let shown = stage.model.practice;
    let to = place.checked_add_signed(by)?;
    let open = shown.at..shown.items.len();
    let command = PracticeCommand::Move { from: place, to };
    (open.contains(&place) && open.contains(&to)).then_some(Command::Practice(command))
}

/// A line; whether something of it has the focus.
fn line(ui: &mut Ui, stage: &mut Stage<'_>, place: usize, item: &ItemShown) -> bool {
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(HIGH)));
    let y = rect.top() + stage.px(BASELINE);
    let small = fonts::sans(stage.px(13.0));
    let minutes = minutes(item.minutes);
    let end = pos2(rect.left() + stage.px(MINUTES - 14.0), y);
    plain::baseline_right(ui.painter(), end, &minutes, small, stage.palette.quiet);
    let font = match item.is_rest {
        true => fonts::italic(stage.px(15.0)),
        false => fonts::sans(stage.px(15.0)),
    };
    let left = rect.left() + stage.px(MINUTES);
    let room = rect.right() - left;
    let text = shortened(ui, &item.text, &font, room);
    let named = named(item);
    let name = format!("{named}, {minutes} minutes");
    let chosen = Some(place == stage.model.practice.at);
    let word = Word { chosen, ..Word::new(&text, stage.px(15.0)).named(&name).font(font) };
    let go = Command::Practice(PracticeCommand::GoTo(place));
    let response = stage.offering(ui, pos2(left, y), &word, go);
    let (hovered, mut focus) = (ui.rect_contains_pointer(rect), response.has_focus());
    for (nth, by, sign, key) in [(1.0, -1, "↑", "E"), (0.0, 1, "↓", "U")] {
        let Some(command) = moved(stage, place, by) else { continue };
        let right = rect.right() - nth * stage.px(ARROW);
        let cell = Rect::from_min_max(pos2(right - stage.px(ARROW), rect.top()), pos2(right, rect.bottom()));
        let name = format!("{named} one place {} ({key})", if by < 0 { "earlier" } else { "later" });
        let arrow = plain::clickable(ui, cell, &name, None, stage.palette);
        focus |= arrow.has_focus();
        // Nothing of this is seen until a line is looked at.
        if hovered || focus {
            ui.painter().rect_filled(cell, 0.0, stage.palette.ground);
            let at = pos2(cell.center().x, y);
            let font = fonts::sans(stage.px(15.0));
            plain::baseline_centred(ui.painter(), at, sign, font, stage.palette.quiet);
        }
        if arrow.clicked() {
            stage.out.push(command);
        }
    }
    focus
}

/// In a set with its song.
fn named(item: &ItemShown) -> String {
    item.song.as_ref().map_or_else(|| item.text.clone(), |song| format!("{song}: {}", item.text))
}

/// All of it, or as far as its first comma, where that is all there is room for.
fn shortened(ui: &Ui, text: &str, font: &FontId, room: f32) -> String {
    let fits = |text: &&str| plain::width(ui.painter(), text, font) <= room;
    let short = text.split(", ").next().filter(fits);
    let whole = Some(text).filter(fits);
    whole.or(short).map_or_else(|| plain::elided(ui.painter(), text, font, room), str::to_owned)
}

/// `3`, `1.5`.
fn minutes(minutes: f64) -> String {
    let tenths = (10.0 * minutes).round() / 10.0;
    format!("{tenths}")
}

/// No key that moves an item means anything else on the page.
#[cfg(test)]
mod tests {
    use super::*;
    use egui::Modifiers;

    #[test]
    fn the_keys_that_move_items_are_free() {
        for key in [Key::E, Key::U] {
            let taken = crate::keys::SHORTCUTS.iter().any(|s| s.key == key && s.modifiers == Modifiers::NONE);
            assert!(!taken, "{key:?}");
        }
    }

    #[test]
    fn minutes_are_short() {
        assert_eq!([3.0, 1.5, 3.28].map(minutes), ["3", "1.5", "3.3"]);
    }
}
