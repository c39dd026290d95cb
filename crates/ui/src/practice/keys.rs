//! The keys of the page of practice: they come before the window's own while it is shown.

use super::PracticeCommand;
use crate::{Command, Model, Page};
use egui::{Key, Modifiers};
use practice::history::Guess;
use practice::learn::Feedback;

/// They and what they do, for the page of keys and the README.
pub const PRACTICE_KEYS: [(&str, &str); 7] = [
    ("Enter", "begin; the next item; goes on after what was said"),
    ("A", "again, from its beginning"),
    ("X", "stop for now; what was played counts"),
    ("W F", "when marks are shown; play from memory"),
    ("H", "ask me how it went before the verdict"),
    ("Q J", "open a set list; from this song into the next"),
    ("1 2 3", "the answer: clean, a slip or two, not yet"),
];

/// What a key asks for on this page, if it is one of its own.
pub(crate) fn command(key: Key, modifiers: Modifiers, model: &Model<'_>) -> Option<Command> {
    if !modifiers.is_none() {
        return None;
    }
    let asked = match model.view.page {
        Page::Practice => of_page(key, model.practice),
        Page::Stage => of_stage(key),
        _ => None,
    };
    asked.map(Command::Practice)
}

/// On the stage: through the set.
fn of_stage(key: Key) -> Option<PracticeCommand> {
    match key {
        Key::Enter => Some(PracticeCommand::SetSong(1)),
        Key::Backspace => Some(PracticeCommand::SetSong(-1)),
        _ => None,
    }
}

fn of_page(key: Key, shown: &super::Practice) -> Option<PracticeCommand> {
    if shown.now.asked {
        let guess = match key {
            Key::Num1 => Guess::Clean,
            Key::Num2 => Guess::Slips,
            Key::Num3 => Guess::NotYet,
            _ => return None,
        };
        return Some(PracticeCommand::Guess(guess));
    }
    Some(match key {
        Key::Enter if shown.told.is_some() || shown.caution.is_some() => PracticeCommand::Read,
        Key::Enter if !shown.running => PracticeCommand::Begin,
        Key::Enter => PracticeCommand::Next,
        Key::A => PracticeCommand::Again,
        Key::X => PracticeCommand::Stop,
        Key::W => PracticeCommand::Feedback(next_feedback(shown.feedback)),
        Key::F => PracticeCommand::FromMemory(!shown.from_memory),
        Key::H => PracticeCommand::AskMe(!shown.asks),
        Key::Q => PracticeCommand::OpenSet,
        Key::J if shown.set.is_some() => PracticeCommand::SetJoin,
        _ => return None,
    })
}

fn next_feedback(now: Feedback) -> Feedback {
    let at = Feedback::ALL.iter().position(|one| *one == now).unwrap_or(0);
    Feedback::ALL[(at + 1) % Feedback::ALL.len()]
}
