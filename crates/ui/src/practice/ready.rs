//! How ready a song is, in words and pictures.

use super::{PracticeCommand, SongShown, days};
use crate::menus::entry;
use crate::pages::{frame, heading, say};
use crate::stage::Stage;
use crate::{Command, fonts};
use egui::{Rect, ScrollArea, Ui, UiBuilder, pos2};

/// Draws the page.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let body = frame(ui, rect, stage, "How ready it is");
    let middle = body.left() + 0.42 * body.width();
    let left = Rect::from_min_max(body.min, pos2(middle - stage.px(20.0), body.bottom()));
    let right = Rect::from_min_max(pos2(middle, body.top()), body.max);
    ui.scope_builder(UiBuilder::new().max_rect(left), |ui| {
        ui.spacing_mut().item_spacing.y = stage.px(4.0);
        ScrollArea::vertical().id_salt("how ready").show(ui, |ui| words(ui, stage));
    });
    ui.scope_builder(UiBuilder::new().max_rect(right), |ui| pictures(ui, stage));
}

fn words(ui: &mut Ui, stage: &mut Stage<'_>) {
    let (font, ink) = (fonts::sans(stage.px(15.0)), stage.palette.ink);
    let shown = stage.model.practice;
    let Some(song) = &shown.song else { return say(ui, "The history is being read.", font, ink) };
    if song.ready.is_a_guess {
        say(ui, "Nothing was heard of this song yet. Play it once along with the click.", font.clone(), ink);
    } else {
        heard(ui, stage, song);
    }
    if song.elsewhere > 0 {
        let text =
            format!("{} bars that were played are no longer in the song; they are kept.", song.elsewhere);
        say(ui, &text, font.clone(), stage.palette.quiet);
    }
    if let Some(told) = &shown.told {
        say(ui, told, font, ink);
    }
    heading(ui, stage, "What is remembered");
    for (text, command) in [
        ("write out the whole history as JSON", PracticeCommand::Export),
        ("delete the history of this song", PracticeCommand::DeleteSong),
        ("delete the whole history", PracticeCommand::DeleteAll),
    ] {
        if entry(ui, stage, text, None, None).clicked() {
            stage.out.push(Command::Practice(command));
        }
    }
}

/// The whole first, then what is hard and what got better, then section by section.
fn heard(ui: &mut Ui, stage: &mut Stage<'_>, song: &SongShown) {
    let (font, ink) = (fonts::sans(stage.px(15.0)), stage.palette.ink);
    let date = stage.model.practice.by.as_ref().map_or_else(String::new, |(_, name)| format!("on {name}"));
    let whole = format!("The whole song: {}.", song.ready.song.words(&date));
    say(ui, &whole, fonts::bold(stage.px(15.0)), ink);
    song.progress.iter().for_each(|line| say(ui, line, font.clone(), ink));
    if !song.hard.is_empty() {
        heading(ui, stage, "Hard bars");
    }
    for hard in song.hard.iter().take(HARD) {
        let reasons: Vec<String> = hard.reasons.iter().map(|reason| reason.text()).collect();
        let why = if reasons.is_empty() { String::new() } else { format!(": {}", reasons.join("; ")) };
        let text = format!("Bar {}, clean {} times of {}{why}.", hard.bar + 1, hard.clean, hard.passes);
        say(ui, &text, font.clone(), ink);
    }
    if !song.ready.sections.is_empty() {
        heading(ui, stage, "Section by section");
    }
    for section in &song.ready.sections {
        let (from, to) = (section.bars.from() + 1, section.bars.to() + 1);
        let text = format!("{}, bars {from} to {to}: {}.", section.name, section.ready.words(&date));
        say(ui, &text, font.clone(), ink);
    }
}

/// So many hard bars are told of.
const HARD: usize = 6;

fn pictures(ui: &mut Ui, stage: &mut Stage<'_>) {
    let Some(song) = &stage.model.practice.song else { return };
    let (font, quiet) = (fonts::sans(stage.px(14.0)), stage.palette.quiet);
    let height = 0.5 * ui.available_height() - stage.px(36.0);
    let text =
        "Each bar today (column, and how sure that is) and on the day (diamond): clean so often in ten";
    say(ui, text, font.clone(), quiet);
    days::ready(ui, stage, song, height);
    if song.days.is_empty() {
        return;
    }
    let text = "The chart by day: large squares clean at the tempo, small ones slower, rings not yet";
    say(ui, text, font, quiet);
    let today = stage.model.practice.today;
    days::by_day(ui, stage, song, height, |day| match today - day {
        0 => "today".to_owned(),
        1 => "yesterday".to_owned(),
        ago => format!("{ago} days ago"),
    });
}
