//! Between what the window shows and what the settings remember.

use crate::devices::MidiChoice;
use crate::storage::{self, Settings};
use ui::{KeyboardView, Labels, Theme, ViewState};

/// The view as it was the last time.
pub fn view(settings: &Settings) -> ViewState {
    ViewState {
        theme: match settings.theme {
            storage::Theme::Day => Theme::Day,
            storage::Theme::Night => Theme::Night,
        },
        labels: match settings.labels {
            storage::Labels::Numbers => Labels::Numbers,
            storage::Labels::Names => Labels::Names,
            storage::Labels::Both => Labels::Both,
        },
        keyboard: match settings.keyboard {
            storage::Keyboard::Full => KeyboardView::Full,
            storage::Keyboard::Player => KeyboardView::Players,
            storage::Keyboard::Song => KeyboardView::Song,
        },
        piano_octave: settings.piano_octave,
        asked_reach: settings.reach.is_some(),
        asked_keyboard: settings.keys.is_some(),
        ..ViewState::default()
    }
}

/// Keeps what the view shows.
pub fn keep_view(settings: &mut Settings, view: &ViewState) {
    settings.theme = match view.theme {
        Theme::Day => storage::Theme::Day,
        Theme::Night => storage::Theme::Night,
    };
    settings.labels = match view.labels {
        Labels::Numbers => storage::Labels::Numbers,
        Labels::Names => storage::Labels::Names,
        Labels::Both => storage::Labels::Both,
    };
    settings.keyboard = match view.keyboard {
        KeyboardView::Full => storage::Keyboard::Full,
        KeyboardView::Players => storage::Keyboard::Player,
        KeyboardView::Song => storage::Keyboard::Song,
    };
    settings.piano_octave = view.piano_octave;
}

/// Keeps reach and keyboard once the player has answered or put the question away.
pub fn keep_player(settings: &mut Settings, view: &ViewState, player: &voicing::Settings) {
    settings.reach = view.asked_reach.then(|| player.reach.semitones());
    settings.keys = view.asked_keyboard.then(|| (player.keys.low().number(), player.keys.high().number()));
}

/// Which keyboards to listen to.
pub fn midi(settings: &Settings) -> MidiChoice {
    match &settings.midi {
        storage::Midi::Every => MidiChoice::Every,
        storage::Midi::Nothing => MidiChoice::Nothing,
        storage::Midi::Named(names) => MidiChoice::Named(names.clone()),
    }
}

/// Keeps which keyboards to listen to.
pub fn keep_midi(settings: &mut Settings, choice: &MidiChoice) {
    settings.midi = match choice {
        MidiChoice::Every => storage::Midi::Every,
        MidiChoice::Nothing => storage::Midi::Nothing,
        MidiChoice::Named(names) => storage::Midi::Named(names.clone()),
    };
}

/// A keyboard chosen in the window.
pub fn choice(name: Option<String>) -> MidiChoice {
    name.map_or(MidiChoice::Nothing, |name| MidiChoice::Named(vec![name]))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_view_comes_back_as_it_was() {
        let shown = ViewState {
            theme: Theme::Night,
            labels: Labels::Names,
            keyboard: KeyboardView::Full,
            piano_octave: 4,
            asked_reach: true,
            ..ViewState::default()
        };
        let mut settings = Settings::default();
        keep_view(&mut settings, &shown);
        keep_player(&mut settings, &shown, &voicing::Settings::default());
        keep_midi(&mut settings, &choice(Some("Stage piano".to_owned())));
        assert_eq!(view(&settings), shown);
        assert_eq!(midi(&settings), MidiChoice::Named(vec!["Stage piano".to_owned()]));
    }
}
