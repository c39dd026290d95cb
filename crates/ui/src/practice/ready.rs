//! How ready a song is, in words and pictures.

use crate::fonts;
use crate::pages::{frame, say};
use crate::stage::Stage;
use egui::{Rect, Ui, UiBuilder};

/// Draws the page.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let body = frame(ui, rect, stage, "How ready it is");
    ui.scope_builder(UiBuilder::new().max_rect(body), |ui| words(ui, stage));
}

fn words(ui: &mut Ui, stage: &mut Stage<'_>) {
    let (font, ink) = (fonts::sans(stage.px(16.0)), stage.palette.ink);
    let shown = stage.model.practice;
    let Some(song) = &shown.song else { return say(ui, "The history is being read.", font, ink) };
    if song.ready.is_a_guess {
        return say(ui, "Nothing was heard of this song yet. Play it once along with the click.", font, ink);
    }
    let date = shown.by.as_ref().map_or_else(String::new, |(_, name)| format!("on {name}"));
    say(ui, &format!("{}: {}", song.title, song.ready.song.words(&date)), font.clone(), ink);
    for section in &song.ready.sections {
        say(ui, &format!("{}: {}", section.name, section.ready.words(&date)), font.clone(), ink);
    }
    for hard in &song.hard {
        let reasons: Vec<String> = hard.reasons.iter().map(|reason| reason.text()).collect();
        say(ui, &format!("bar {}: {}", hard.bar + 1, reasons.join("; ")), font.clone(), ink);
    }
    song.progress.iter().for_each(|line| say(ui, line, font.clone(), ink));
}
