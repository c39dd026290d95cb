//! What each hand is told: its rhythm, what it holds, where; for the song, a section, a pass, a bar or a chord.

use super::field::{Field as Line, wrong};
use super::line::{Offer, hand, label, offers, side};
use super::state::{SideCommand, place_in_words};
use super::{grid, head, holds};
use crate::stage::Stage;
use crate::{Command, Writing, WritingCommand};
use egui::Ui;
use practice::SessionCommand;
use song::edit::{HandField, Place, Said, said};
use song::{Figure, HandStyle, Restart};
use std::sync::Arc;
use theory::Hand;

/// What is set, and for whom.
pub(crate) struct About {
    pub hand: Hand,
    pub place: Place,
    /// The place in words.
    pub of: String,
    /// What is said of just this place.
    pub said: Said,
    /// How the hand plays at the chord in hand after all precedence, if that can be told.
    pub holds: Option<HandStyle>,
}

impl About {
    /// `Right hand's figure for Verse, bar 3`.
    pub fn name(&self, what: &str) -> String {
        format!("{} hand's {what} for {}", crate::reasons::capital(self.hand.name()), self.of)
    }

    /// What is told the hand at just this place.
    pub fn own(&self) -> &song::HandSettings {
        self.said.hand(self.hand)
    }
}

/// Draws the topic.
pub(crate) fn show(ui: &mut Ui, stage: &mut Stage<'_>, writing: &Writing) {
    head::reach(ui, stage, writing);
    let state = &stage.model.view.writing.side;
    let (place, hand) = (state.place(stage.model.view.writing.chosen), state.hand());
    let hands = Hand::BOTH.map(|one| {
        let text = format!("{} hand", one.name());
        let name = format!("Tell the {text}");
        Offer::of(text, name, one == hand, side(SideCommand::Hand(one)))
    });
    offers(ui, stage, "", hands.into());
    let about = About {
        hand,
        place,
        of: place_in_words(writing, place),
        said: said(&writing.song, place),
        holds: style(stage, place, hand),
    };
    figure(ui, stage, &about);
    restart(ui, stage, &about);
    holds::show(ui, stage, &about);
}

/// How the hand plays where the place begins, in the part as it was planned: with what the level says.
fn style(stage: &Stage<'_>, place: Place, hand: Hand) -> Option<HandStyle> {
    let chosen = stage.model.view.writing.chosen;
    // Of the song or a section, what holds at the bar that is chosen.
    let (section, bar, pass, beat) = match (place, chosen.place) {
        (Place::Bar { section, bar, pass, beat }, _) => (Some(section), Some(bar), pass, beat),
        (_, Place::Bar { section, bar, pass, .. }) => (Some(section), Some(bar), pass, None),
        _ => (chosen.section(), None, chosen.pass(), None),
    };
    let fits = |played: &song::PlayedBar| {
        section.is_none_or(|section| played.section == section)
            && bar.is_none_or(|bar| played.written_bar.or(played.in_place_of) == Some(bar))
            && pass.is_none_or(|pass| played.pass == pass)
    };
    let bar = stage.model.part?.bars.iter().map(|bar| &bar.played).find(|played| fits(played))?;
    let begins = |slot: &&song::Slot| {
        u8::try_from(slot.start.div_floor(bar.beat.length) + 1).is_ok_and(|at| Some(at) == beat)
    };
    let slot = bar.slots.iter().find(begins).or(bar.slots.first())?;
    Some(if hand == Hand::Right { slot.right.clone() } else { slot.left.clone() })
}

/// The rhythm, as text and as a grid.
fn figure(ui: &mut Ui, stage: &mut Stage<'_>, about: &About) {
    label(ui, stage, "figure");
    let own = about.own().figure.as_ref().map(|figure| figure.value.clone());
    let text = own.as_ref().map(|figure| figure.text.clone()).unwrap_or_default();
    let shown = own.clone().or(about.holds.as_ref().map(|style| style.figure.clone()));
    let shown = shown.unwrap_or_else(|| Arc::new(Figure::held()));
    let name = about.name("figure");
    let typed = Line::line(&name, &text, &shown.text).live(ui, stage);
    let asked = typed.is_some();
    let error = match typed.as_deref().map(str::trim) {
        Some("") => {
            stage.out.push(hand(about.place, about.hand, HandField::Figure(None)));
            None
        }
        Some(text) => match Figure::parse(text) {
            Ok(figure) => {
                stage.out.push(hand(about.place, about.hand, HandField::Figure(Some(figure))));
                None
            }
            Err(error) => Some(format!("{}.", crate::reasons::capital(&error.to_string()))),
        },
        None => None,
    };
    wrong(ui, stage, &name, error, asked);
    grid::show(ui, stage, about, &shown);
    let (text, name, command) = if stage.model.session.running {
        ("stop", "Stop", Command::Session(SessionCommand::Stop))
    } else {
        ("hear it", "Hear this place, once", Command::Writing(WritingCommand::HearPlace(about.place)))
    };
    let mut words = vec![Offer::deed(text, name, command)];
    if own.is_some() {
        let command = hand(about.place, about.hand, HandField::Figure(None));
        words.push(Offer::deed("no figure of its own", about.name("figure: none of its own"), command));
    }
    offers(ui, stage, "", words);
}

/// Where the figure begins again.
fn restart(ui: &mut Ui, stage: &mut Stage<'_>, about: &About) {
    let own = about.own().restart;
    let words =
        [("as it was", None), ("at each bar", Some(Restart::Bar)), ("at each chord", Some(Restart::Chord))];
    let words = words.map(|(text, restart)| {
        let name = about.name(&format!("figure begins again {text}"));
        Offer::of(text, name, own == restart, hand(about.place, about.hand, HandField::Restart(restart)))
    });
    offers(ui, stage, "begins", words.into());
}
