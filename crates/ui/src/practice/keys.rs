//! The keys of the page of practice: they come before the window's own while it is shown.

use super::{PracticeCommand, Trigger, TriggerDeed};
use crate::{Command, Model, Page};
use egui::{Key, Modifiers};
use practice::history::Guess;
use practice::learn::Feedback;

/// They and what they do, for the page of keys and the README.
pub const PRACTICE_KEYS: [(&str, &str); 19] = [
    ("Enter", "begin; next; read what was said"),
    ("A X", "again; stop for now, it counts"),
    ("M Shift+M", "five minutes more, less"),
    ("T Shift+T", "played a day later, earlier"),
    ("Y", "no day it is played on"),
    ("E U", "this item earlier, later in the plan"),
    ("W F", "when marks are shown; from memory"),
    ("H", "ask me first how it went"),
    ("1 2 3", "clean; a slip or two; not yet"),
    ("Q Shift+Q", "open a set list; close it"),
    ("S Shift+S", "the next song of the set, the one before"),
    ("J", "from this song into the next"),
    ("Z", "the whole set, or the open song alone"),
    ("Shift+A", "a key or pedal for again, or none"),
    ("Shift+Enter", "a key or pedal for next; Shift+X: for stop"),
    ("Enter", "on the stage: the next song"),
    ("Backspace", "on the stage: the song before"),
    ("F12 W", "how ready, there: write the history out"),
    ("F12 Delete", "delete this song's; with Shift: all of it"),
];

/// Their heading on the page of keys.
pub(crate) const PRACTICE_HEADING: &str = "On the page of practice these come first";

/// What a key asks for on this page, if it is one of its own.
pub(crate) fn command(key: Key, modifiers: Modifiers, model: &Model<'_>) -> Option<Command> {
    if model.view.page == Page::Practice
        && let Some(command) = planned(key, modifiers, model.practice)
    {
        return Some(Command::Practice(command));
    }
    if model.view.page == Page::Ready {
        return history(key, modifiers).map(Command::Practice);
    }
    if !modifiers.is_none() {
        return None;
    }
    let asked = match model.view.page {
        Page::Practice => of_page(key, model.practice),
        Page::Stage => of_stage(key),
        // The plan goes on from the room that it opened.
        Page::Room if model.practice.now.warm_up && key == Key::Enter => Some(PracticeCommand::Next),
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
            Key::Num1 => Some(Guess::Clean),
            Key::Num2 => Some(Guess::Slips),
            Key::Num3 => Some(Guess::NotYet),
            _ => None,
        };
        // The pass that is asked about waits: it is not played over.
        if guess.is_some() || key == Key::A {
            return guess.map(PracticeCommand::Guess);
        }
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

/// So many minutes more or less with one key.
const MINUTES: u16 = 5;

/// What there is time for, and until when.
fn planned(key: Key, modifiers: Modifiers, shown: &super::Practice) -> Option<PracticeCommand> {
    let back = modifiers.matches_exact(Modifiers::SHIFT);
    if !back && !modifiers.is_none() {
        return None;
    }
    let set = shown.set.is_some();
    match key {
        // While one practises, other minutes would begin the plan anew.
        Key::M if !shown.running => Some(minutes(shown, back)),
        Key::T => Some(by(shown, back)),
        Key::Y if !back => Some(PracticeCommand::By(None)),
        Key::S if set => Some(PracticeCommand::SetSong(if back { -1 } else { 1 })),
        Key::Q if set && back => Some(PracticeCommand::CloseSet),
        Key::A | Key::Enter | Key::X if back => {
            let deed = TriggerDeed::ALL.into_iter().find(|deed| own_key(*deed) == key)?;
            let means = shown.triggers.iter().find(|(of, _)| *of == deed).and_then(|(_, means)| *means);
            Some(trigger(deed, means))
        }
        _ => None,
    }
}

/// The key that does the same; with Shift it chooses one of the player's keyboard.
const fn own_key(deed: TriggerDeed) -> Key {
    match deed {
        TriggerDeed::Again => Key::A,
        TriggerDeed::Next => Key::Enter,
        TriggerDeed::Stop => Key::X,
    }
}

/// How the key is written that chooses one for a deed.
pub(crate) const fn written(deed: TriggerDeed) -> &'static str {
    match deed {
        TriggerDeed::Again => "Shift+A",
        TriggerDeed::Next => "Shift+Enter",
        TriggerDeed::Stop => "Shift+X",
    }
}

/// Listens for a key or a pedal; where one means something already, it does so no more.
pub(crate) fn trigger(deed: TriggerDeed, means: Option<Trigger>) -> PracticeCommand {
    match means {
        Some(_) => PracticeCommand::Trigger(deed, None),
        None => PracticeCommand::LearnTrigger(deed),
    }
}

/// The keys of the history, on the page of how ready a song is, as they are written there.
pub(crate) const EXPORT: &str = "W";
/// See above.
pub(crate) const DELETE_SONG: &str = "Delete";
/// See above.
pub(crate) const DELETE_ALL: &str = "Shift+Delete";

fn history(key: Key, modifiers: Modifiers) -> Option<PracticeCommand> {
    match (key, modifiers) {
        (Key::W, Modifiers::NONE) => Some(PracticeCommand::Export),
        (Key::Delete, Modifiers::NONE) => Some(PracticeCommand::DeleteSong),
        (Key::Delete, Modifiers::SHIFT) => Some(PracticeCommand::DeleteAll),
        _ => None,
    }
}

/// Five minutes more or less, never none.
pub(crate) fn minutes(shown: &super::Practice, less: bool) -> PracticeCommand {
    let step = |minutes: u16| if less { minutes.saturating_sub(MINUTES) } else { minutes + MINUTES };
    PracticeCommand::Minutes(step(shown.minutes).clamp(MINUTES, 600))
}

/// A day later or earlier, from today where there is no day yet; never before today.
pub(crate) fn by(shown: &super::Practice, earlier: bool) -> PracticeCommand {
    let day = shown.by.as_ref().map_or(shown.today, |(day, _)| *day);
    PracticeCommand::By(Some((if earlier { day - 1 } else { day + 1 }).max(shown.today)))
}

pub(crate) fn next_feedback(now: Feedback) -> Feedback {
    let at = Feedback::ALL.iter().position(|one| *one == now).unwrap_or(0);
    Feedback::ALL[(at + 1) % Feedback::ALL.len()]
}
