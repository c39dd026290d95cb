//! What is practised: what is in hand, what comes, and what can be chosen; in place of the reasons.

use super::PracticeCommand;
use super::keys::{by, minutes};
use super::line::{offer, offers};
use super::plan_list;
use crate::pages::{heading, say};
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
    set(ui, stage);
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

fn in_hand(ui: &mut Ui, stage: &mut Stage<'_>) {
    let now = &stage.model.practice.now;
    let (plain, ink, quiet) = (fonts::sans(stage.px(14.5)), stage.palette.ink, stage.palette.quiet);
    say(ui, &now.text, fonts::bold(stage.px(16.0)), ink);
    if now.marks == Marks::After {
        say(ui, LISTENS, plain.clone(), quiet);
    }
    if now.asked {
        say(ui, "How did that go?", plain, ink);
        for (number, guess) in Guess::ALL.into_iter().enumerate() {
            let key = (number + 1).to_string();
            offer(ui, stage, (guess.text(), &key), None, PracticeCommand::Guess(guess));
        }
    }
    let words = [
        ("again", "A", PracticeCommand::Again),
        ("next", "Enter", PracticeCommand::Next),
        ("stop", "X", PracticeCommand::Stop),
    ];
    offers(ui, stage, &words);
}

/// How much time there is, and until when.
fn before(ui: &mut Ui, stage: &mut Stage<'_>) {
    let shown = stage.model.practice;
    let (bold, ink) = (fonts::bold(stage.px(16.0)), stage.palette.ink);
    say(ui, &format!("I have {} minutes", shown.minutes), bold.clone(), ink);
    let mut typed = None;
    field_and_offers(
        ui,
        stage,
        Field::line("Minutes for today", &shown.minutes.to_string(), "20").wide(56.0),
        &[("more", "M", minutes(shown, false)), ("less", "Shift+M", minutes(shown, true))],
        &mut typed,
    );
    if let Some(minutes) = typed.and_then(|typed| typed.trim().parse().ok()) {
        stage.out.push(Command::Practice(PracticeCommand::Minutes(minutes)));
    }
    let day = match &shown.by {
        Some((_, name)) => format!("Played on {name}"),
        None => "No day to be ready by".to_owned(),
    };
    say(ui, &day, bold, ink);
    let mut typed = None;
    let field = Field::line("The day it is played", &shown.by_typed, "2026-12-06").wide(116.0);
    let none = [("none", "Y", PracticeCommand::By(None))];
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
        ui.add_space(stage.px(4.0));
        offers(ui, stage, words);
    });
}

fn set(ui: &mut Ui, stage: &mut Stage<'_>) {
    let Some((title, songs, at)) = &stage.model.practice.set else { return };
    heading(ui, stage, title);
    for (place, song) in songs.iter().enumerate() {
        let by = place as isize - *at as isize;
        ui.push_id(("song of the set", place), |ui| {
            offer(ui, stage, (song, ""), Some(place == *at), PracticeCommand::SetSong(by));
        });
    }
    if at + 1 < songs.len() {
        offer(ui, stage, ("from this song into the next", "J"), None, PracticeCommand::SetJoin);
    }
    offer(ui, stage, ("close the set", ""), None, PracticeCommand::CloseSet);
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
    for (deed, trigger) in &shown.triggers {
        let means = match (shown.learning == Some(*deed), trigger) {
            (true, _) => "press a key or a pedal".to_owned(),
            (false, Some(trigger)) => trigger.text(),
            (false, None) => "choose a key or a pedal".to_owned(),
        };
        let text = format!("{} on the keyboard: {means}", deed.text());
        let command = match trigger {
            Some(_) => PracticeCommand::Trigger(*deed, None),
            None => PracticeCommand::LearnTrigger(*deed),
        };
        offer(ui, stage, (&text, ""), None, command);
    }
}
