//! What the player has to decide about the song's file, in a line over the chart.

use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::{Command, FileQuestion, FilesCommand, Model, fonts};
use egui::{Label, Rect, RichText, Ui, UiBuilder, pos2, vec2};

/// How many lines the strip needs.
pub(crate) fn lines(model: &Model<'_>) -> usize {
    usize::from(model.files.asks.is_some())
}

/// Draws the question with its answers.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let Some(question) = &stage.model.files.asks else { return };
    stage.card(ui, rect);
    let edge = Rect::from_min_size(rect.min, vec2(stage.px(4.0), rect.height()));
    ui.painter().rect_filled(edge, 0.0, stage.palette.ink);
    let y = rect.top() + stage.px(24.0);
    let font = fonts::sans(stage.px(15.0));
    let mut x = rect.right() - stage.px(18.0);
    for (text, name, command) in answers(question).into_iter().rev() {
        x -= plain::width(ui.painter(), text, &font);
        let word = Word::new(text, stage.px(15.0)).named(name).strong();
        stage.offering(ui, pos2(x, y), &word, command);
        x -= stage.px(22.0);
    }
    let text = words(question, stage.model.file);
    let left = rect.left() + stage.px(18.0);
    let text = plain::elided(ui.painter(), &text, &font, x - left);
    let place = Rect::from_min_max(pos2(left, y - stage.px(15.0)), pos2(x, y + stage.px(5.0)));
    let label = Label::new(RichText::new(text).font(font).color(stage.palette.ink)).extend();
    ui.scope_builder(UiBuilder::new().max_rect(place), |ui| ui.add(label));
}

fn words(question: &FileQuestion, file: &str) -> String {
    match question {
        FileQuestion::Clash(places) => {
            format!("Another program changed {file} where you did: {}. Nothing is lost.", places.join(", "))
        }
        FileQuestion::Gone => format!("{file} is not there any more. What you write is kept safe meanwhile."),
    }
}

fn answers(question: &FileQuestion) -> Vec<(&'static str, &'static str, Command)> {
    let files = Command::Files;
    match question {
        FileQuestion::Clash(_) => vec![
            (
                "keep mine",
                "Keep mine: it goes into the file, the other stays a version",
                files(FilesCommand::KeepMine),
            ),
            ("take the file’s", "Take the file’s: mine stays a version", files(FilesCommand::TakeTheirs)),
        ],
        FileQuestion::Gone => {
            vec![("write it anew", "Write the file anew where it was", files(FilesCommand::WriteAnew))]
        }
    }
}
