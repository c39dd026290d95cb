//! Settings of the screen, and the ways to other pages.

use crate::keys::Ask;
use crate::menus::entry;
use crate::pages::heading;
use crate::settings::{Column, choose, heading_with_key, remark, toggle};
use crate::stage::Stage;
use crate::{Command, KeyboardView, Labels, Page, Theme};
use egui::Ui;

/// The columns of the page.
pub(crate) const COLUMNS: [Column; 3] = [names, keys, pages];

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

fn pages(ui: &mut Ui, stage: &mut Stage<'_>) {
    heading(ui, stage, "Also");
    for (text, ask, command) in [
        ("all keys and signs", Ask::Help, Command::Show(Page::Keys)),
        ("songs", Ask::Songs, Command::Show(Page::Songs)),
        ("scales and chords", Ask::Room, Command::Show(Page::Room)),
        ("how it went", Ask::Results, Command::Show(Page::Results)),
        ("takes", Ask::Takes, Command::Show(Page::Takes)),
        ("a sheet to print", Ask::Paper, Command::Show(Page::Paper)),
        ("how late the sound is", Ask::Timing, Command::Show(Page::Timing)),
        ("open a song file", Ask::OpenFile, Command::OpenFile),
        ("close", Ask::Quit, Command::Quit),
    ] {
        if entry(ui, stage, text, Some(ask), None).clicked() {
            stage.out.push(command);
        }
    }
}
