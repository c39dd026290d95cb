//! What is practised: what is in hand, what comes, and what can be chosen; in place of the reasons.

use super::PracticeCommand;
use super::keys::{by, minutes};
use super::line::{offer, offers};
use super::{plan_list, set};
use crate::pages::{heading, say};
use crate::reasons::capital;
use crate::stage::Stage;
use crate::writing::side::field::Field;
use crate::{Command, fonts, whole_lines};
use egui::{Rect, Ui, UiBuilder, vec2};
use practice::history::{Guess, Marks};
use practice::learn::LISTENS;

/// Draws the column.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    ui.scope_builder(UiBuilder::new().max_rect(rect), |ui| {
        ui.spacing_mut().item_spacing = vec2(0.0, stage.px(1.0));
        whole_lines::column(ui, stage, "practice", column);
    });
}

fn column(ui: &mut Ui, stage: &mut Stage<'_>) {
    what_was_said(ui, stage);
    match stage.model.practice.running {
        true => in_hand(ui, stage),
        false => before(ui, stage),
    }
    if !stage.model.practice.items.is_empty() {
        heading(ui, stage, "The plan, in minutes");
        plan_list::show(ui, stage);
    }
    set::songs(ui, stage);
    choices(ui, stage);
}

fn what_was_said(ui: &mut Ui, stage: &mut Stage<'_>) {
    let shown = stage.model.practice;
    let (plain, ink) = (fonts::sans(stage.px(14.5)), stage.palette.ink);
    for told in shown.caution.into_iter().chain(shown.told.as_deref()) {
        say(ui, told, plain.clone(), ink);
    }
    if shown.caution.is_some() || shown.told.is_some() {
        offer(ui, stage, ("read", "Enter"), None, PracticeCommand::Read);
        ui.add_space(stage.px(6.0));
    }
}

/// What is played, large, and how; a rest says that it is one.
fn in_hand(ui: &mut Ui, stage: &mut Stage<'_>) {
    let shown = stage.model.practice;
    let now = &shown.now;
    let (plain, ink, quiet) = (fonts::sans(stage.px(14.5)), stage.palette.ink, stage.palette.quiet);
    let (what, how) = now.what_and_how();
    say(ui, &capital(what), fonts::serif(stage.px(21.0)), ink);
    if !how.is_empty() {
        say(ui, how, fonts::bold(stage.px(18.0)), ink);
        ui.add_space(stage.px(4.0));
    }
    let aside = [
        shown.items.get(shown.at).filter(|item| item.is_rest).map(|_| REST),
        now.warm_up.then_some(IN_THE_ROOM),
        now.turns.then_some(set::TURNS),
        (now.marks == Marks::After && !now.asked).then_some(LISTENS),
    ];
    let left = minutes_left(now.minutes_left);
    for words in aside.into_iter().flatten().chain(left.as_deref()) {
        say(ui, words, plain.clone(), quiet);
    }
    ui.add_space(stage.px(3.0));
    if now.asked {
        ui.add_space(stage.px(6.0));
        say(ui, "How did that go?", fonts::bold(stage.px(16.0)), ink);
        for (number, guess) in Guess::ALL.into_iter().enumerate() {
            let key = (number + 1).to_string();
            offer(ui, stage, (guess.text(), &key), None, PracticeCommand::Guess(guess));
        }
    }
    let again = ("again", "A", PracticeCommand::Again);
    let words = [("next", "Enter", PracticeCommand::Next), ("stop", "X", PracticeCommand::Stop)];
    let words: Vec<_> = (!now.asked).then_some(again).into_iter().chain(words).collect();
    offers(ui, stage, &words);
}

/// What is said of a rest.
const REST: &str = "Hands off the keys. It goes on by itself when the time is over, or now with Enter.";
/// Where the warm-up is.
const IN_THE_ROOM: &str = "It is played on the page of scales and chords: F4.";

/// `2 minutes left`; nothing once the time is over.
pub(crate) fn minutes_left(minutes: f64) -> Option<String> {
    match minutes.ceil() {
        whole if whole < 1.0 => None,
        1.0 => Some("1 minute left".to_owned()),
        whole => Some(format!("{whole:.0} minutes left")),
    }
}

/// How much time there is, and until when.
fn before(ui: &mut Ui, stage: &mut Stage<'_>) {
    let shown = stage.model.practice;
    let (large, ink) = (fonts::serif(stage.px(18.0)), stage.palette.ink);
    say(ui, &format!("I have {} minutes", shown.minutes), large.clone(), ink);
    let mut typed = None;
    field_and_offers(
        ui,
        stage,
        Field::line("Minutes for today", &shown.minutes.to_string(), "20").wide(56.0),
        &[("more", "M", minutes(shown, false)), ("less", "Shift+M", minutes(shown, true))],
        &mut typed,
    );
    if let Some(typed) = typed {
        stage.out.push(Command::Practice(PracticeCommand::MinutesTyped(typed)));
    }
    set::scope(ui, stage);
    let day = match &shown.by {
        Some((_, name)) => format!("Played on {name}"),
        None => "No day to be ready by".to_owned(),
    };
    ui.add_space(stage.px(6.0));
    say(ui, &day, large, ink);
    let mut typed = None;
    let field = Field::line("The day it is played", &shown.by_typed, "2026-12-06").wide(116.0);
    let none = [("no day", "Y", PracticeCommand::By(None))];
    field_and_offers(ui, stage, field, if shown.by.is_some() { &none } else { &[] }, &mut typed);
    let step = [("a day later", "T", by(shown, false)), ("earlier", "Shift+T", by(shown, true))];
    offers(ui, stage, &step);
    if let Some(typed) = typed {
        stage.out.push(Command::Practice(PracticeCommand::ByTyped(typed)));
    }
    offer(ui, stage, ("begin", "Enter"), Some(true), PracticeCommand::Begin);
}

/// A place to type in, and words beside it.
fn field_and_offers(
    ui: &mut Ui,
    stage: &mut Stage<'_>,
    field: Field<'_>,
    words: &[(&str, &str, PracticeCommand)],
    typed: &mut Option<String>,
) {
    ui.horizontal(|ui| {
        *typed = field.done(ui, stage);
        ui.add_space(stage.px(12.0));
        offers(ui, stage, words);
    });
}

fn choices(ui: &mut Ui, stage: &mut Stage<'_>) {
    let shown = stage.model.practice;
    heading(ui, stage, "How I practise");
    let feedback = format!("marks: {}", shown.feedback.text());
    let next = PracticeCommand::Feedback(super::keys::next_feedback(shown.feedback));
    offer(ui, stage, (&feedback, "W"), None, next);
    let memory = PracticeCommand::FromMemory(!shown.from_memory);
    offer(ui, stage, ("from memory", "F"), Some(shown.from_memory), memory);
    let asks = PracticeCommand::AskMe(!shown.asks);
    offer(ui, stage, ("ask me first how it went", "H"), Some(shown.asks), asks);
    if shown.set.is_none() {
        offer(ui, stage, ("open a set list", "Q"), None, PracticeCommand::OpenSet);
    }
    heading(ui, stage, "From the keyboard itself");
    for (deed, trigger) in &shown.triggers {
        let means = match (shown.learning == Some(*deed), trigger) {
            (true, _) => "press a key or a pedal".to_owned(),
            (false, Some(trigger)) => trigger.text(),
            (false, None) => "no key, no pedal".to_owned(),
        };
        let text = format!("{}: {means}", deed.text());
        let command = super::keys::trigger(*deed, *trigger);
        offer(ui, stage, (&text, super::keys::written(*deed)), None, command);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_left_is_told_in_whole_minutes() {
        let told = [3.2, 1.0, 0.2, 0.0, -1.0].map(minutes_left);
        let told: Vec<_> = told.iter().map(|left| left.as_deref()).collect();
        assert_eq!(told, [Some("4 minutes left"), Some("1 minute left"), Some("1 minute left"), None, None]);
    }
}
