//! The set list in the column of practice: its songs, whether all of it is practised, from one song into the next.

use super::line::offer;
use super::{PracticeCommand, SetShown, SetSongShown};
use crate::pages::{heading, say};
use crate::stage::Stage;
use crate::{Command, fonts};
use egui::{Key, Ui};

/// The key that turns from the whole set to the open song alone, and back; on the page of readiness as well.
pub(crate) const WHOLE: &str = "Z";

/// What is said when another song comes.
pub(crate) const TURNS: &str = "Another song: find your place. It is counted in in a moment, or now with A.";

/// Whether that key was pressed, and nothing is being typed.
pub(crate) fn pressed(ui: &Ui, stage: &Stage<'_>) -> bool {
    let pressed = ui.input(|i| i.modifiers.is_none() && i.key_pressed(Key::Z));
    pressed && !ui.ctx().text_edit_focused() && !stage.model.view.piano_keys
}

/// What is planned: all of the set, or the song that is open. Only where there is a set, and nothing is under way.
pub(crate) fn scope(ui: &mut Ui, stage: &mut Stage<'_>) {
    let Some(set) = &stage.model.practice.set else { return };
    if let Some(trouble) = &set.trouble {
        heading(ui, stage, &set.title);
        return lost(ui, stage, trouble);
    }
    let key = |chosen: bool| if chosen { "" } else { WHOLE };
    for (text, whole) in [("for the whole set", true), ("for the open song alone", false)] {
        let chosen = set.whole == whole;
        offer(ui, stage, (text, key(chosen)), Some(chosen), PracticeCommand::Whole(whole));
    }
    if pressed(ui, stage) {
        stage.out.push(Command::Practice(PracticeCommand::Whole(!set.whole)));
    }
    if set.whole && !set.is_read {
        say(ui, "Its songs are being read.", fonts::sans(stage.px(14.5)), stage.palette.quiet);
    }
}

/// Its songs.
pub(crate) fn songs(ui: &mut Ui, stage: &mut Stage<'_>) {
    let set = stage.model.practice.set.as_ref().filter(|set| set.trouble.is_none());
    let Some(set) = set else { return };
    heading(ui, stage, &set.title);
    for (place, song) in set.songs.iter().enumerate() {
        ui.push_id(("song of the set", place), |ui| {
            let is_open = set.at == Some(place);
            offer(
                ui,
                stage,
                (&line(song), key(set, place)),
                Some(is_open),
                PracticeCommand::SetSongAt(place),
            );
        });
    }
    if set.joins {
        offer(ui, stage, ("back to the song", "X"), None, PracticeCommand::Stop);
    }
    if set.at.is_some_and(|at| at + 1 < set.songs.len()) {
        offer(ui, stage, ("from this song into the next", "J"), None, PracticeCommand::SetJoin);
    }
    offer(ui, stage, ("close the set", "Shift+Q"), None, PracticeCommand::CloseSet);
}

/// Where the list cannot be read: why, and what to do.
fn lost(ui: &mut Ui, stage: &mut Stage<'_>, trouble: &str) {
    let trouble = trouble.trim_end_matches('.');
    let text =
        format!("{trouble}. Put it back where it was, or mend it, and read it again; or open another.");
    say(ui, &text, fonts::sans(stage.px(14.5)), stage.palette.ink);
    offer(ui, stage, ("read it again", WHOLE), None, PracticeCommand::ReadSet);
    offer(ui, stage, ("open another set list", "Q"), None, PracticeCommand::OpenSet);
    offer(ui, stage, ("forget it", "Shift+Q"), None, PracticeCommand::CloseSet);
    if pressed(ui, stage) {
        stage.out.push(Command::Practice(PracticeCommand::ReadSet));
    }
}

fn line(song: &SetSongShown) -> String {
    match &song.trouble {
        Some(trouble) => format!("{}: {trouble}", song.name),
        None => song.name.clone(),
    }
}

fn key(set: &SetShown, place: usize) -> &'static str {
    let at = set.at.map_or(-1, |at| at as isize);
    match place as isize - at {
        1 => "S",
        -1 if set.at.is_some() => "Shift+S",
        _ => "",
    }
}
