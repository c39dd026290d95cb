//! What of the side column is open, and what one is about to set.

use super::cell::Pen;
use super::taps::Taps;
use crate::{Chosen, Writing};
use song::edit::Place;
use theory::Hand;

/// What the side column is opened at; nothing is shown until it is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Topic {
    /// Key, meter, tempo, count-in, feel, level, band, pedal.
    Settings,
    /// How the passes of the section differ.
    Passes,
    /// What each hand holds, and in which rhythm.
    Hands,
    /// Words to the player.
    Notes,
    /// What is to go well, how fast, and by when.
    Goals,
}

impl Topic {
    /// In the order in which they stand and are numbered.
    pub const ALL: [Topic; 5] = [Topic::Settings, Topic::Passes, Topic::Hands, Topic::Notes, Topic::Goals];

    /// In a word.
    pub const fn name(self) -> &'static str {
        match self {
            Topic::Settings => "settings",
            Topic::Passes => "passes",
            Topic::Hands => "hands",
            Topic::Notes => "notes",
            Topic::Goals => "goals",
        }
    }
}

/// How far what is set reaches: as far out as this from the place that is chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub enum Scope {
    /// The song.
    Song,
    /// The section.
    Section,
    /// All bars of the pass.
    Pass,
    /// The bar, or the chord in it.
    #[default]
    Bar,
}

/// What of the side column is open.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Side {
    /// What is shown.
    pub topic: Option<Topic>,
    /// How far what is set reaches.
    pub scope: Scope,
    /// Which hand is being told.
    pub left: bool,
    /// What a click puts into a cell of the figure.
    pub pen: Pen,
    /// The beat of the figure whose cells are being counted, from 0.
    pub beat: usize,
    /// The tempo being tapped.
    pub taps: Taps,
    /// What is typed is not heard at once.
    pub silent: bool,
}

// Times are never NaN: they come from the window's clock.
impl Eq for Side {}

/// What the side column asks for of itself.
#[derive(Clone, Debug, PartialEq)]
pub enum SideCommand {
    /// Opens a topic; the one that is open is closed.
    Topic(Topic),
    /// What is set reaches this far.
    Scope(Scope),
    /// Which hand is told.
    Hand(Hand),
    /// What a click puts in.
    Pen(Pen),
    /// The beat whose cells are counted.
    Beat(usize),
    /// A tap of the tempo, at a time of the window in seconds.
    Tap(f64),
    /// What was tapped is taken, or no longer wanted.
    TapsDone,
    /// What is typed is heard at once, or not.
    Sound(bool),
}

impl Side {
    /// Carries out a command.
    pub fn apply(&mut self, command: &SideCommand) {
        match command {
            SideCommand::Topic(topic) => self.topic = Some(*topic).filter(|_| self.topic != Some(*topic)),
            SideCommand::Scope(scope) => self.scope = *scope,
            SideCommand::Hand(hand) => self.left = *hand == Hand::Left,
            SideCommand::Pen(pen) => self.pen = *pen,
            SideCommand::Beat(beat) => self.beat = *beat,
            SideCommand::Tap(at) => self.taps.tap(*at),
            SideCommand::TapsDone => self.taps = Taps::default(),
            SideCommand::Sound(on) => self.silent = !on,
        }
    }

    /// The hand that is being told.
    pub const fn hand(&self) -> Hand {
        if self.left { Hand::Left } else { Hand::Right }
    }

    /// How far out one can go from a place, the widest first.
    pub(crate) fn scopes(chosen: Chosen) -> Vec<Scope> {
        let section = chosen.section().map(|_| Scope::Section);
        let pass = chosen.pass().map(|_| Scope::Pass);
        let bar = matches!(chosen.place, Place::Bar { .. } | Place::Exception { .. }).then_some(Scope::Bar);
        [Some(Scope::Song), section, pass, bar].into_iter().flatten().collect()
    }

    /// The place that is set, as far out as was asked for.
    pub(crate) fn place(&self, chosen: Chosen) -> Place {
        let there = Side::scopes(chosen);
        let scope = there.iter().rev().find(|scope| **scope <= self.scope).copied().unwrap_or_default();
        match (scope, chosen.section()) {
            (Scope::Song, _) | (_, None) => Place::Song,
            (Scope::Section, Some(section)) => Place::Section(section),
            (Scope::Pass, Some(section)) => match chosen.pass() {
                Some(pass) => Place::Pass { section, pass },
                None => Place::Section(section),
            },
            (Scope::Bar, _) => chosen.place,
        }
    }
}

/// A place in words: `the song`, `Verse, pass 2`, `Verse, bar 3, beat 2 in pass 1`.
pub(crate) fn place_in_words(writing: &Writing, place: Place) -> String {
    let name = |section: usize| match writing.song.sections.get(section) {
        Some(section) if !section.name.trim().is_empty() => section.name.clone(),
        _ => format!("section {}", section + 1),
    };
    match place {
        Place::Song => "the song".into(),
        Place::Section(section) => name(section),
        Place::Pass { section, pass } => format!("{}, pass {pass}", name(section)),
        Place::Exception { section, exception } => format!("{}, exception {}", name(section), exception + 1),
        Place::Bar { section, bar, pass, beat } => {
            let beat = beat.map(|beat| format!(", beat {beat}")).unwrap_or_default();
            let pass = pass.map(|pass| format!(" in pass {pass}")).unwrap_or_default();
            format!("{}, bar {}{beat}{pass}", name(section), bar + 1)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_set_reaches_as_far_out_as_was_asked_for() {
        let bar = Place::Bar { section: 1, bar: 2, pass: Some(2), beat: Some(3) };
        let place = |scope| Side { scope, ..Side::default() }.place(bar.into());
        assert_eq!(place(Scope::Bar), bar);
        assert_eq!(place(Scope::Pass), Place::Pass { section: 1, pass: 2 });
        assert_eq!(place(Scope::Section), Place::Section(1));
        assert_eq!(place(Scope::Song), Place::Song);
        // Without a pass of its own, a pass is the section.
        let bar = Side { scope: Scope::Pass, ..Side::default() }.place(Chosen::bar(0, 1));
        assert_eq!(bar, Place::Section(0));
        assert_eq!(Side::default().place(Place::Section(4).into()), Place::Section(4));
    }

    #[test]
    fn a_topic_opens_and_closes() {
        let mut side = Side::default();
        assert_eq!(side.topic, None, "nothing is shown until it is asked for");
        side.apply(&SideCommand::Topic(Topic::Notes));
        side.apply(&SideCommand::Topic(Topic::Hands));
        assert_eq!(side.topic, Some(Topic::Hands));
        side.apply(&SideCommand::Topic(Topic::Hands));
        assert_eq!(side.topic, None);
    }
}
