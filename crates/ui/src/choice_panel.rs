//! Other ways to hold the chord in hand, in place of the reasons: seen, heard, taken; or pinned as it is held.

use crate::keys::Ask;
use crate::menus::entry;
use crate::pages::say;
use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::{Command, Way, choice_keys, fonts, reasons, whole_lines};
use egui::{Rect, Ui, UiBuilder, pos2, vec2};
use theory::{Hand, MidiKey};
use voicing::PinScope;

/// Draws the column.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    if reasons::notes::alone(stage) {
        return reasons::notes::nothing_to_choose(ui, rect, stage);
    }
    ui.scope_builder(UiBuilder::new().max_rect(rect), |ui| {
        ui.spacing_mut().item_spacing = vec2(0.0, stage.px(3.0));
        whole_lines::column(ui, stage, "other ways", column);
    });
}

fn column(ui: &mut Ui, stage: &mut Stage<'_>) {
    let Some((kind, _)) = reasons::in_hand(stage) else { return };
    reasons::title(ui, stage, kind);
    told(ui, stage);
    as_held(ui, stage);
    scope(ui, stage);
    unpin(ui, stage);
    ways(ui, stage);
    for (ask, verb, step, command) in [
        (Ask::Undo, "undo", &stage.model.choices.undo, Command::Undo),
        (Ask::Redo, "redo", &stage.model.choices.redo, Command::Redo),
    ] {
        let Some(step) = step else { continue };
        if entry(ui, stage, &format!("{verb} {step}"), Some(ask), None).clicked() {
            stage.out.push(command);
        }
    }
    if entry(ui, stage, "back to the reasons", Some(Ask::Back), None).clicked() {
        stage.out.extend(crate::ask::command(Ask::Back, &stage.model));
    }
}

fn told(ui: &mut Ui, stage: &Stage<'_>) {
    if let Some(told) = &stage.model.choices.told {
        say(ui, told, fonts::bold(stage.px(15.0)), stage.palette.ink);
    }
}

fn as_held(ui: &mut Ui, stage: &mut Stage<'_>) {
    if entry(ui, stage, "as I hold it", Some(Ask::AsHeld), None).clicked() {
        stage.out.push(Command::AsHeld);
    }
    let holding = &stage.model.choices.holding;
    if holding.is_empty() {
        let text = "Hold the notes you want, or click them on the keyboard, then F10.";
        return say(ui, text, fonts::sans(stage.px(14.0)), stage.palette.quiet);
    }
    let names: Vec<String> = holding.iter().map(|key| spelled(stage, *key)).collect();
    let held = format!("Held: {}", names.join(" "));
    side_by_side(ui, stage, Some(&held), &[("let go", "Let the held notes go", None, Command::LetGo)]);
}

/// Words to click in one line, behind others that are only read.
fn side_by_side(
    ui: &mut Ui,
    stage: &mut Stage<'_>,
    read: Option<&str>,
    words: &[(&str, &str, Option<bool>, Command)],
) {
    let size = stage.px(14.5);
    let mut left = ui.max_rect().left() + stage.px(8.0);
    if let Some(read) = read {
        say(ui, read, fonts::sans(size), stage.palette.ink);
        let wide = plain::width(ui.painter(), read, &fonts::sans(size));
        left += wide;
    }
    // Beside what is read, or where that leaves no room on a line of its own.
    let beside = read.is_some() && left + stage.px(60.0) < ui.max_rect().right();
    let y = if beside {
        ui.min_rect().bottom() - stage.px(4.0)
    } else {
        left = ui.max_rect().left() + stage.px(8.0);
        let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(28.0)));
        rect.top() + stage.px(18.0)
    };
    for (text, name, chosen, command) in words {
        let word = Word { chosen: *chosen, ..Word::new(text, size).named(name) };
        left = stage.offering(ui, pos2(left, y), &word, command.clone()).rect.right() + stage.px(12.0);
    }
}

/// As the key of the song spells it.
fn spelled(stage: &Stage<'_>, key: MidiKey) -> String {
    let scale = stage.model.part.map(|part| part.key.scale());
    let name = scale.into_iter().flatten().find(|name| name.pitch_class() == key.number() % 12);
    name.and_then(|name| theory::Pitch::spelled(name, key)).unwrap_or(key.pitch()).pretty()
}

/// In which passes a choice holds, where there are several.
fn scope(ui: &mut Ui, stage: &mut Stage<'_>) {
    let slot = stage.model.session.slot;
    let bar = slot.and_then(|slot| stage.model.part?.bars.get(slot.bar));
    if bar.is_none_or(|bar| bar.played.passes <= 1) {
        return;
    }
    let chosen = stage.model.view.pin_scope;
    let word = |text, name, scope| (text, name, Some(chosen == scope), Command::PinFor(scope));
    let words = [
        word("every pass", "Pin for every pass", PinScope::EveryPass),
        word("this pass alone", "Pin for this pass alone", PinScope::ThisPass),
    ];
    side_by_side(ui, stage, None, &words);
}

/// The way back to what the program chooses.
fn unpin(ui: &mut Ui, stage: &mut Stage<'_>) {
    if stage.model.choices.pinned {
        let name = format!("take the pin out ({})", choice_keys::UNPIN);
        let (_, rect) = ui.allocate_space(vec2(ui.available_width().min(stage.px(230.0)), stage.px(28.0)));
        let y = rect.top() + stage.px(20.0);
        let word = Word::new("take the pin out", stage.px(16.0)).named(&name);
        stage.offering(ui, pos2(rect.left() + stage.px(8.0), y), &word, Command::Unpin);
        let (end, font) = (pos2(rect.right() - stage.px(8.0), y), fonts::sans(stage.px(13.5)));
        plain::baseline_right(ui.painter(), end, choice_keys::UNPIN, font, stage.palette.quiet);
    }
}

fn ways(ui: &mut Ui, stage: &mut Stage<'_>) {
    let Some(ways) = &stage.model.choices.ways else {
        return say(ui, "Working out other ways …", fonts::sans(stage.px(15.0)), stage.palette.quiet);
    };
    if ways.is_empty() {
        return say(ui, "There is no other way here.", fonts::sans(stage.px(15.0)), stage.palette.quiet);
    }
    say(ui, choice_keys::WRITTEN, fonts::sans(stage.px(14.0)), stage.palette.quiet);
    for hand in Hand::BOTH {
        let mut headed = false;
        for (index, way) in ways.iter().enumerate().filter(|(_, way)| way.hand == hand) {
            if !std::mem::replace(&mut headed, true) {
                ui.add_space(stage.px(8.0));
                let heading = format!("{} hand", reasons::capital(hand.name()));
                say(ui, &heading, fonts::bold(stage.px(15.5)), stage.palette.hand(hand));
            }
            line(ui, stage, index, way);
        }
    }
    ui.add_space(stage.px(8.0));
}

/// A way: its notes to be clicked, and under them what it costs and why it lost.
fn line(ui: &mut Ui, stage: &mut Stage<'_>, index: usize, way: &Way) {
    let notes = way.notes();
    let (name, fingers) = (way.name(), way.fingers());
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(28.0)));
    let at = pos2(rect.left() + stage.px(8.0), rect.top() + stage.px(20.0));
    let font = fonts::bold(stage.px(16.0));
    let fingers_font = fonts::sans(stage.px(15.0));
    let fingers_wide = plain::width(ui.painter(), &fingers, &fingers_font) + stage.px(14.0);
    let shown = plain::elided(ui.painter(), &notes, &font, rect.width() - stage.px(16.0) - fingers_wide);
    let chosen = stage.model.view.way == Some(index);
    let word = Word::new(&shown, stage.px(16.0)).font(font).named(&name).chosen(chosen);
    let response = stage.offering(ui, at, &word, Command::TakeWay(index));
    let behind = pos2(response.rect.right() + stage.px(8.0), at.y);
    stage.text(ui, behind, &fingers, 15.0, stage.palette.quiet);
    // A mouse that lies still does not argue with the arrow keys.
    let moved = ui.input(|input| input.pointer.delta() != egui::Vec2::ZERO);
    if !chosen && !response.clicked() && (response.hovered() && moved || response.gained_focus()) {
        stage.out.push(Command::Way(Some(index)));
    }
    let text = format!("{}. {}", reasons::capital(&way.cost()), way.why());
    let font = fonts::sans(stage.px(14.0));
    let edge = egui::Margin { left: stage.px(8.0) as i8, ..egui::Margin::ZERO };
    let told = egui::Frame::new().inner_margin(edge).show(ui, |ui| say(ui, &text, font, stage.palette.quiet));
    // The arrow keys lead beyond what is seen; once there, the wheel may lead away.
    let id = egui::Id::unique("way seen last");
    if chosen && ui.data(|data| data.get_temp::<usize>(id)) != Some(index) {
        ui.data_mut(|data| data.insert_temp(id, index));
        ui.scroll_to_rect(response.rect.union(told.response.rect), None);
    }
}
