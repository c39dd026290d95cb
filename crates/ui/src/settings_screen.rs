//! Settings of the screen.

use crate::keys::Ask;
use crate::pages::heading;
use crate::settings::{Column, choose, heading_with_key, remark, toggle};
use crate::stage::Stage;
use crate::{Command, KeyboardView, Labels, Theme};
use egui::Ui;

/// The columns of the page.
pub(crate) const COLUMNS: [Column; 2] = [names, keys];

fn names(ui: &mut Ui, stage: &mut Stage<'_>) {
    let view = stage.model.view;
    heading_with_key(ui, stage, "Chords and notes as", &[Ask::Labels]);
    for (text, labels) in
        [("numbers", Labels::Numbers), ("names", Labels::Names), ("numbers and names", Labels::Both)]
    {
        choose(ui, stage, text, view.labels == labels, Command::Labels(labels));
    }
    heading_with_key(ui, stage, "Light", &[Ask::Theme]);
    for (text, theme) in [("day: ink on paper", Theme::Day), ("night: chalk on slate", Theme::Night)] {
        choose(ui, stage, text, view.theme == theme, Command::Theme(theme));
    }
}

fn keys(ui: &mut Ui, stage: &mut Stage<'_>) {
    let view = stage.model.view;
    heading_with_key(ui, stage, "Keys drawn", &[Ask::Keyboard]);
    for (text, keyboard) in [
        ("those of the song, large", KeyboardView::Song),
        ("those of my keyboard", KeyboardView::Players),
        ("all 88", KeyboardView::Full),
    ] {
        choose(ui, stage, text, view.keyboard == keyboard, Command::Keyboard(keyboard));
    }
    heading(ui, stage, "Computer keyboard");
    let command = Command::PianoKeys(!view.piano_keys);
    toggle(ui, stage, "letters play notes", Ask::PianoKeys, view.piano_keys, command);
    remark(ui, stage, "Every control can be walked to with Tab and pressed with Enter.");
}
