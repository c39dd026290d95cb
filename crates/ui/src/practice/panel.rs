//! What is practised: what is in hand, what comes, and what can be chosen; in place of the reasons.

use super::PracticeCommand;
use crate::menus::entry;
use crate::pages::say;
use crate::stage::Stage;
use crate::{Command, fonts, whole_lines};
use egui::{Rect, Ui, UiBuilder, vec2};
use practice::history::{Guess, Marks};
use practice::learn::LISTENS;

/// Draws the column.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    ui.scope_builder(UiBuilder::new().max_rect(rect), |ui| {
        ui.spacing_mut().item_spacing = vec2(0.0, stage.px(3.0));
        whole_lines::column(ui, stage, "practice", column);
    });
}

fn column(ui: &mut Ui, stage: &mut Stage<'_>) {
    let shown = stage.model.practice;
    let (plain, bold) = (fonts::sans(stage.px(14.5)), fonts::bold(stage.px(15.0)));
    let (ink, quiet) = (stage.palette.ink, stage.palette.quiet);
    for told in shown.caution.into_iter().chain(shown.told.as_deref()) {
        say(ui, told, plain.clone(), ink);
        offer(ui, stage, "read it (Enter)", None, PracticeCommand::Read);
    }
    if shown.running {
        say(ui, &shown.now.text, bold, ink);
        if shown.now.marks == Marks::After {
            say(ui, LISTENS, plain.clone(), quiet);
        }
        if shown.now.asked {
            say(ui, "How did that go?", plain.clone(), ink);
            for (number, guess) in Guess::ALL.into_iter().enumerate() {
                let text = format!("{} ({})", guess.text(), number + 1);
                offer(ui, stage, &text, None, PracticeCommand::Guess(guess));
            }
        }
        offer(ui, stage, "again (A)", None, PracticeCommand::Again);
        offer(ui, stage, "next (Enter)", None, PracticeCommand::Next);
        offer(ui, stage, "stop (X)", None, PracticeCommand::Stop);
    } else {
        say(ui, &format!("I have {} minutes", shown.minutes), bold, ink);
        for minutes in [10, 20, 30, 45, 60] {
            let text = format!("{minutes} minutes");
            offer(ui, stage, &text, Some(shown.minutes == minutes), PracticeCommand::Minutes(minutes));
        }
        offer(ui, stage, "begin (Enter)", None, PracticeCommand::Begin);
    }
    for (place, item) in shown.items.iter().enumerate() {
        let text = format!("{:.1} min  {}", item.minutes, item.text);
        offer(ui, stage, &text, Some(place == shown.at), PracticeCommand::GoTo(place));
    }
    if let Some((title, songs, at)) = &shown.set {
        say(ui, title, bold_again(stage), ink);
        for (place, song) in songs.iter().enumerate() {
            let by = place as isize - *at as isize;
            offer(ui, stage, song, Some(place == *at), PracticeCommand::SetSong(by));
        }
        offer(ui, stage, "from this song into the next (J)", None, PracticeCommand::SetJoin);
        offer(ui, stage, "no set any more", None, PracticeCommand::CloseSet);
    } else {
        offer(ui, stage, "open a set list (Q)", None, PracticeCommand::OpenSet);
    }
    let feedback = format!("marks: {} (W)", shown.feedback.text());
    say(ui, &feedback, plain, quiet);
    offer(
        ui,
        stage,
        "from memory (F)",
        Some(shown.from_memory),
        PracticeCommand::FromMemory(!shown.from_memory),
    );
    for (deed, trigger) in &shown.triggers {
        let means = match (shown.learning == Some(*deed), trigger) {
            (true, _) => "press a key or a pedal".to_owned(),
            (false, Some(trigger)) => trigger.text(),
            (false, None) => "choose a key or a pedal".to_owned(),
        };
        let text = format!("{} from the keyboard: {means}", deed.text());
        let command = match trigger {
            Some(_) => PracticeCommand::Trigger(*deed, None),
            None => PracticeCommand::LearnTrigger(*deed),
        };
        offer(ui, stage, &text, None, command);
    }
    offer(ui, stage, "ask me first how it went (H)", Some(shown.asks), PracticeCommand::AskMe(!shown.asks));
}

fn bold_again(stage: &Stage<'_>) -> egui::FontId {
    fonts::bold(stage.px(15.0))
}

fn offer(ui: &mut Ui, stage: &mut Stage<'_>, text: &str, chosen: Option<bool>, command: PracticeCommand) {
    if entry(ui, stage, text, None, chosen).clicked() {
        stage.out.push(Command::Practice(command));
    }
}
