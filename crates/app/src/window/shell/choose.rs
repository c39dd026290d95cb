//! Choosing otherwise: other ways shown and heard, pinned into the song file, undone.

use super::{Shell, waker};
use crate::document::Step;
use crate::session;
use crate::window::chooser::{Chooser, Question};
use crate::window::choosing::{self, Choosing};
use practice::{
    ChartTime, Expected, Hands, HeldKey, KeyVerdict, Lap, PlayedNote, ScoreOptions, SessionCommand,
    SessionView, SlotRef, Speed, Take,
};
use std::sync::Arc;
use theory::{Hand, MidiKey};
use ui::{Choices, Command, Page};
use voicing::{Part, Pin, PinScope};

/// So long a way is heard, in milliseconds, and so loud.
const HEARD_MS: f64 = 1400.0;
const HEARD_VELOCITY: u8 = 72;

const SCOPES: [PinScope; 2] = [PinScope::EveryPass, PinScope::ThisPass];

/// The shell's side of choosing.
pub(super) struct Desk {
    choosing: Choosing,
    chooser: Chooser,
    shown: Choices,
    /// Whether a pin could be taken out of every pass, or of this one.
    pinned: [bool; 2],
}

impl Desk {
    pub fn new(ctx: &egui::Context) -> std::io::Result<Desk> {
        let chooser = Chooser::start(waker(ctx))?;
        Ok(Desk { choosing: Choosing::default(), chooser, shown: Choices::default(), pinned: [false; 2] })
    }

    pub fn shown(&self) -> &Choices {
        &self.shown
    }
}

impl Shell {
    /// The page of other ways follows the song, the place and the keys that are held.
    pub(super) fn choose(&mut self) {
        let answers: Vec<_> = self.desk.chooser.answers().collect();
        for (question, ways) in answers {
            self.desk.choosing.answered(&question, ways);
        }
        if self.view.page == Page::Ways {
            let held = self.now().held;
            self.desk.choosing.hold(&held);
            let at = self.desk.choosing.at();
            let part = self.document.part().filter(|part| !part.is_notes_alone());
            if let (Some(song), Some(part), Some(at)) = (self.document.song(), part, at) {
                let player = *self.document.player();
                let question = Question { song: song.clone(), part: part.clone(), player, at };
                if let Some(question) = self.desk.choosing.asks(question) {
                    self.view.way = None;
                    self.desk.pinned = SCOPES.map(|scope| !self.pins_at(at, scope).is_empty());
                    self.desk.chooser.ask(question);
                }
            }
        }
        self.desk.shown = self.desk.choosing.shown(self.document.can_undo(), self.document.can_redo());
        let pinned =
            SCOPES.into_iter().zip(self.desk.pinned).find(|(scope, _)| *scope == self.view.pin_scope);
        self.desk.shown.pinned = pinned.is_some_and(|(_, pinned)| pinned);
    }

    /// What a command means for the chord that is chosen for: one walks to another, opens the page, leaves it.
    pub(super) fn follow_the_choice(&mut self, command: &Command) {
        if self.view.page != Page::Ways {
            self.desk.choosing.turn_to(None);
            return;
        }
        let walks = matches!(
            command,
            Command::Session(
                SessionCommand::GoToBar(_)
                    | SessionCommand::Back(_)
                    | SessionCommand::Forward(_)
                    | SessionCommand::Advance
            )
        );
        let chosen = self.desk.choosing.at();
        if chosen.is_none() || walks {
            self.ask_session(SessionCommand::Stop);
            let at = self.now().slot;
            self.desk.choosing.turn_to(at);
            self.view.way = self.view.way.filter(|_| at == chosen);
        }
    }

    /// What the session shows, while one chooses: the chord that is chosen for, whatever is played.
    pub(super) fn as_chosen(&self, session: &mut SessionView) {
        let Some(at) = self.desk.choosing.at().filter(|_| self.view.page == Page::Ways) else { return };
        session.slot = Some(at);
        session.next = None;
        (session.position.bar, session.position.slot) = (at.bar, at.slot);
        let held = |key| HeldKey { key, verdict: KeyVerdict::Neutral, hand: None };
        session.held = self.desk.choosing.holding().into_iter().map(held).collect();
        session.octave_offer = None;
    }

    /// Carries out what was chosen.
    pub(super) fn carry_out_choice(&mut self, command: Command) {
        match command {
            Command::Way(Some(index)) => self.hear_way(index),
            Command::TakeWay(index) => self.take_way(index),
            Command::AsHeld => self.pin_as_held(),
            Command::LetGo => self.desk.choosing.let_go(),
            Command::Unpin => self.unpin(),
            Command::Undo => {
                let step = self.document.undo();
                self.go_through(step, "Undone: ", "There is nothing to undo.");
            }
            Command::Redo => {
                let step = self.document.redo();
                self.go_through(step, "Done again: ", "There is nothing to do again.");
            }
            _ => {}
        }
    }

    /// A key of the screen is clicked while one chooses.
    pub(super) fn click_on_key(&mut self, key: MidiKey) {
        if self.view.page == Page::Ways {
            self.desk.choosing.click(key);
        }
    }

    fn now(&self) -> SessionView {
        self.session.stand().view(self.session.clock().now())
    }

    fn hear_way(&mut self, index: usize) {
        let (Some(way), Some(part)) = (self.desk.choosing.way(index), self.document.part()) else { return };
        let notes = way.other.shape.notes.iter().chain(&way.other.beside.notes);
        let keys: Vec<MidiKey> = notes.map(|note| note.key).collect();
        let lap = heard(part, &keys);
        self.change_session(session::Change::Replay(lap, false));
    }

    fn take_way(&mut self, index: usize) {
        let (Some(way), Some(at)) = (self.desk.choosing.way(index), self.desk.choosing.at()) else { return };
        let told = format!("{} hand pinned: {}.", capital(way.hand), way.notes());
        let pin = way.other.pin.clone();
        self.pin(&[pin], at, "a chord chosen otherwise", told);
    }

    fn pin_as_held(&mut self) {
        let choosing = self.view.page == Page::Ways;
        let session = self.now();
        let at = if choosing { self.desk.choosing.at() } else { session.slot };
        let keys = if choosing {
            self.desk.choosing.holding()
        } else {
            session.held.iter().map(|held| held.key).collect()
        };
        let (Some(song), Some(part), Some(at)) = (self.document.song(), self.document.part(), at) else {
            return self.say_of_choice("Open a song first.".to_owned());
        };
        if part.is_notes_alone() {
            let told = "These are the notes of a MIDI file: there is no chord here to pin.";
            return self.say_of_choice(told.to_owned());
        }
        match choosing::pins_as_held(song, part, at, &keys) {
            Ok((pins, text)) => self.pin(&pins, at, "a chord as it was held", format!("Pinned. {text}")),
            Err(told) => self.say_of_choice(told),
        }
    }

    /// The edits that take the pins of a chord out.
    fn pins_at(&self, at: SlotRef, scope: PinScope) -> Vec<song::edit::Change> {
        let (Some(song), Some(text)) = (self.document.song(), self.document.text()) else {
            return Vec::new();
        };
        voicing::unpin(text, song, (at.bar, at.slot), scope)
    }

    fn unpin(&mut self) {
        let Some(at) = self.desk.choosing.at() else { return };
        let changes = self.pins_at(at, self.view.pin_scope);
        if changes.is_empty() {
            return self.say_of_choice("Nothing is pinned here.".to_owned());
        }
        match self.document.edit(&changes, "a pin taken out") {
            Ok(step) => self.go_through(step, "", "The pin is out: the hand is planned again."),
            Err(error) => self.say_of_choice(format!("The pin stays: {error}.")),
        }
    }

    fn pin(&mut self, pins: &[Pin], at: SlotRef, name: &str, told: String) {
        let Some(song) = self.document.song() else { return };
        let several = song.bars.get(at.bar).is_some_and(|bar| bar.passes > 1);
        let scope = if several { self.view.pin_scope } else { PinScope::EveryPass };
        let changes = pins.iter().map(|pin| pin.changes(song, (at.bar, at.slot), scope));
        let Some(changes) = changes.collect::<Option<Vec<_>>>() else {
            return self.say_of_choice(
                "An exception puts this bar in; write the tones into that exception.".to_owned(),
            );
        };
        // Where the last good song stays over a file with mistakes, its bars may not be those of the file.
        let wrong = self.document.diagnostics().iter().any(song::Diagnostic::is_error);
        if wrong && !self.document.is_in_part() {
            return self.say_of_choice("The song file has a mistake; mend that first.".to_owned());
        }
        match self.document.edit(&changes.concat(), name) {
            Ok(step) => self.go_through(step, "", &told),
            Err(error) => self.say_of_choice(format!("Nothing is pinned: {error}.")),
        }
    }

    /// Has a step written and planned. It is told with its name behind some words, or without one in others.
    fn go_through(&mut self, step: Option<Step>, before: &str, else_told: &str) {
        let mut told = match &step {
            Some(step) if !before.is_empty() => format!("{before}{}.", step.name),
            _ => else_told.to_owned(),
        };
        if let Some(step) = step {
            told += &self.keep_step(step);
        }
        self.say_of_choice(told);
    }

    /// Said on the page of other ways, and as a line at the foot of the reasons elsewhere.
    pub(super) fn say_of_choice(&mut self, told: String) {
        if self.view.page == Page::Ways {
            self.desk.choosing.tell(told);
        } else {
            self.told = Some(told);
        }
    }
}

fn capital(hand: Hand) -> &'static str {
    if hand == Hand::Right { "Right" } else { "Left" }
}

/// A chord to be heard by itself: a take of it, of a song without bars.
pub(super) fn heard(part: &Part, keys: &[MidiKey]) -> Lap {
    let note = |key: &MidiKey| PlayedNote {
        at: ChartTime::from_ms(0.0),
        length: Some(ChartTime::from_ms(HEARD_MS)),
        key: *key,
        velocity: HEARD_VELOCITY,
    };
    let take = Take::new(keys.iter().map(note).collect(), Speed::FULL, Hands::Both, None);
    let part = Part {
        title: part.title.clone(),
        key: part.key,
        sections: Vec::new(),
        note: None,
        words: Vec::new(),
        count_in: None,
        settings: part.settings,
        bars: Vec::new(),
        events: Vec::new(),
        proof: voicing::Proof::default(),
    };
    let expected = Expected::of_part(&part, &practice::Timeline::new(&part), Hands::Both, None);
    let score = practice::score(&expected, &[], &ScoreOptions::default());
    Lap { part: Arc::new(part), take: Arc::new(take), score: Arc::new(score) }
}

#[cfg(test)]
mod tests;
