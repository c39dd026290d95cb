//! Settings, on a page that opens on demand.

use crate::keys::{Ask, written};
use crate::menus::entry;
use crate::pages::{frame, heading, say};
use crate::stage::Stage;
use crate::{Command, KeyboardView, Labels, Page, Theme, fonts, plain};
use egui::{Rect, ScrollArea, Slider, Ui, UiBuilder, pos2, vec2};
use practice::{SessionCommand, StepBy};
use theory::MidiKey;
use voicing::{KeyRange, Reach};

/// Draws the page.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let body = frame(ui, rect, stage, "Settings");
    let wide = (body.width() - stage.px(60.0)) / 3.0;
    let columns: [fn(&mut Ui, &mut Stage<'_>); 3] = [devices, player, screen];
    for (index, column) in columns.into_iter().enumerate() {
        let left = body.left() + index as f32 * (wide + stage.px(30.0));
        let place = Rect::from_min_size(pos2(left, body.top()), vec2(wide, body.height()));
        ui.scope_builder(UiBuilder::new().max_rect(place), |ui| {
            ui.spacing_mut().item_spacing.y = stage.px(1.0);
            ScrollArea::vertical().id_salt(("settings", index)).auto_shrink([false, false]).show(ui, |ui| {
                column(ui, stage);
            });
        });
    }
}

fn choose(ui: &mut Ui, stage: &mut Stage<'_>, text: &str, chosen: bool, command: Command) {
    if entry(ui, stage, text, None, Some(chosen)).clicked() {
        stage.out.push(command);
    }
}

/// A heading over a choice that a key also walks through: the key stands at the end of the line.
fn heading_with_key(ui: &mut Ui, stage: &Stage<'_>, text: &str, key: &str) {
    heading(ui, stage, text);
    let line = ui.min_rect();
    let end = pos2(
        line.left() + ui.available_width().min(stage.px(230.0)) - stage.px(8.0),
        line.bottom() - stage.px(7.0),
    );
    plain::baseline_right(ui.painter(), end, key, fonts::sans(stage.px(13.5)), stage.palette.quiet);
}

fn devices(ui: &mut Ui, stage: &mut Stage<'_>) {
    let devices = stage.model.devices;
    heading(ui, stage, "MIDI keyboard");
    for port in &devices.midi_ports {
        let chosen = devices.midi_port.as_ref() == Some(port);
        choose(ui, stage, port, chosen, Command::MidiPort(Some(port.clone())));
    }
    choose(ui, stage, "none", devices.midi_port.is_none(), Command::MidiPort(None));
    if entry(ui, stage, "look again", None, None).clicked() {
        stage.out.push(Command::LookForDevices);
    }
    heading_with_key(ui, stage, "Sound", &format!("{} {}", written(Ask::Quieter), written(Ask::Louder)));
    let sound = devices.sound.as_deref().unwrap_or("no sound device; all else works");
    say(ui, sound, fonts::sans(stage.px(16.0)), stage.palette.ink);
    let mut volume = 100.0 * devices.volume;
    let slider =
        Slider::new(&mut volume, 0.0..=100.0).step_by(1.0).fixed_decimals(0).suffix(" %").text("volume");
    if ui.add(slider).changed() {
        stage.out.push(Command::Volume(volume / 100.0));
    }
    say(ui, "Keep it moderate, above all in headphones.", fonts::sans(stage.px(14.0)), stage.palette.quiet);
    heading(ui, stage, "While playing");
    let settings = stage.model.session.settings;
    let session = |command| Command::Session(command);
    toggle(
        ui,
        stage,
        "click",
        Ask::Click,
        settings.click,
        session(SessionCommand::SetClick(!settings.click)),
    );
    let count_in = session(SessionCommand::SetCountIn(!settings.count_in));
    toggle(ui, stage, "count-in", Ask::CountIn, settings.count_in, count_in);
    for (text, by) in [("step by chord", StepBy::Chord), ("step by single strike", StepBy::Strike)] {
        toggle(
            ui,
            stage,
            text,
            Ask::StepSize,
            settings.step_by == by,
            session(SessionCommand::SetStepBy(by)),
        );
    }
}

fn toggle(ui: &mut Ui, stage: &mut Stage<'_>, text: &str, ask: Ask, on: bool, command: Command) {
    if entry(ui, stage, text, Some(ask), Some(on)).clicked() {
        stage.out.push(command);
    }
}

/// Reaches by name, in semitones.
const REACHES: [(&str, u8); 6] = [
    ("a sixth", 9),
    ("a seventh", 11),
    ("an octave", 12),
    ("a ninth", 14),
    ("a tenth", 16),
    ("more than a tenth", 19),
];

/// Keyboards by their number of keys, as they are sold (common practice, no source).
const KEYBOARDS: [(&str, u8, u8); 5] = [
    ("88 keys, A0 to C8", 21, 108),
    ("76 keys, E1 to G7", 28, 103),
    ("61 keys, C2 to C7", 36, 96),
    ("49 keys, C2 to C6", 36, 84),
    ("37 keys, C3 to C6", 48, 84),
];

fn player(ui: &mut Ui, stage: &mut Stage<'_>) {
    let settings = stage.model.settings;
    heading(ui, stage, "One hand reaches");
    for (text, semitones) in REACHES {
        if let Some(reach) = Reach::new(semitones) {
            choose(ui, stage, text, settings.reach == reach, Command::Reach(reach));
        }
    }
    let caution = "What lies comfortably under the hand, not what it can be stretched to. Never force a stretch; where \
                   it hurts, choose less, and ask a teacher or a clinician.";
    say(ui, caution, fonts::sans(stage.px(14.0)), stage.palette.quiet);
    heading(ui, stage, "Keyboard");
    for (text, low, high) in KEYBOARDS {
        let range =
            MidiKey::new(low).zip(MidiKey::new(high)).and_then(|(low, high)| KeyRange::new(low, high));
        if let Some(range) = range {
            choose(ui, stage, text, settings.keys == range, Command::PlayerKeys(range));
        }
    }
}

fn screen(ui: &mut Ui, stage: &mut Stage<'_>) {
    let view = stage.model.view;
    heading_with_key(ui, stage, "Chords and notes as", &written(Ask::Labels));
    for (text, labels) in
        [("numbers", Labels::Numbers), ("names", Labels::Names), ("numbers and names", Labels::Both)]
    {
        choose(ui, stage, text, view.labels == labels, Command::Labels(labels));
    }
    heading_with_key(ui, stage, "Keys drawn", &written(Ask::Keyboard));
    for (text, keyboard) in [
        ("those of the song, large", KeyboardView::Song),
        ("those of my keyboard", KeyboardView::Players),
        ("all 88", KeyboardView::Full),
    ] {
        choose(ui, stage, text, view.keyboard == keyboard, Command::Keyboard(keyboard));
    }
    heading_with_key(ui, stage, "Light", &written(Ask::Theme));
    for (text, theme) in [("day: ink on paper", Theme::Day), ("night: chalk on slate", Theme::Night)] {
        choose(ui, stage, text, view.theme == theme, Command::Theme(theme));
    }
    heading(ui, stage, "Also");
    toggle(
        ui,
        stage,
        "letters play notes",
        Ask::PianoKeys,
        view.piano_keys,
        Command::PianoKeys(!view.piano_keys),
    );
    for (text, ask, command) in [
        ("all keys", Ask::Help, Command::Show(Page::Keys)),
        ("songs", Ask::Songs, Command::Show(Page::Songs)),
        ("scales and chords", Ask::Room, Command::Show(Page::Room)),
        ("close", Ask::Quit, Command::Quit),
    ] {
        if entry(ui, stage, text, Some(ask), None).clicked() {
            stage.out.push(command);
        }
    }
}
