//! Between what the window shows and what the settings remember.

use crate::devices::{InstrumentChoice, MidiChoice, SoundChoice};
use crate::storage::{self, Settings};
use practice::{Between, ClickBars, ClickStyle, SessionCommand, SessionSettings};
use theory::ArpeggioKind;
use ui::{KeyboardView, Labels, Motion, Room, Subject, Theme, Touch, ViewState};

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
        room: room(settings).unwrap_or_default(),
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

/// The scale room as it was the last time, if the player has chosen anything there.
pub fn room(settings: &Settings) -> Option<Room> {
    let kept = settings.room.as_ref()?;
    let plain = Room::default();
    let named = |kind: &ArpeggioKind| kind.name() == kept.arpeggio;
    let broken = ArpeggioKind::ALL.into_iter().find(named).unwrap_or(plain.broken);
    let known = |all: &[u8], kept: u8, plain: u8| if all.contains(&kept) { kept } else { plain };
    let room = Room {
        subject: Subject::ALL.into_iter().find(|s| s.name() == kept.practise).unwrap_or(plain.subject),
        scale: kept.scale.parse().unwrap_or(plain.scale),
        inversion: if usize::from(kept.inversion) < broken.size() { kept.inversion } else { 0 },
        broken,
        sevenths: kept.sevenths,
        octaves: known(&[1, 2, 3, 4], kept.octaves, plain.octaves),
        motion: if kept.contrary { Motion::Contrary } else { Motion::Together },
        notes_a_beat: known(&Room::NOTES_A_BEAT, kept.notes_a_beat, plain.notes_a_beat),
        chords_a_beat: known(&Room::NOTES_A_BEAT, kept.chords_a_beat, plain.chords_a_beat),
        accents: known(&Room::ACCENTS, kept.accents, plain.accents),
        ..plain
    };
    let tempo = if kept.tempo == 0 { plain.tempo } else { kept.tempo };
    Some(room.with_tempo(i32::from(tempo)))
}

/// Keeps what the scale room works on; a drill is for the day.
pub fn keep_room(settings: &mut Settings, room: &Room) {
    settings.room = Some(storage::Room {
        practise: room.subject.name().to_owned(),
        scale: room.scale.to_string(),
        arpeggio: room.broken.name().to_owned(),
        inversion: room.inversion,
        sevenths: room.sevenths,
        octaves: room.octaves,
        contrary: room.motion == Motion::Contrary,
        notes_a_beat: room.notes_a_beat,
        chords_a_beat: room.chords_a_beat,
        accents: room.accents,
        tempo: room.tempo,
    });
}

/// Keeps what the player and the band bring; reach and keyboard once the player has answered or put the question away.
pub fn keep_player(settings: &mut Settings, view: &ViewState, player: &voicing::Settings) {
    settings.reach = view.asked_reach.then(|| player.reach.semitones());
    settings.left_reach = (player.left_reach != player.reach).then(|| player.left_reach.semitones());
    settings.level = player.level.map(voicing::Level::number);
    settings.bass = player.bass;
    settings.left_floor = player.left_floor.number();
    settings.voice = player.voice.map(|voice| (voice.low().number(), voice.high().number()));
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

/// What plays the notes.
pub fn instrument(settings: &Settings) -> InstrumentChoice {
    let preset = settings.instrument.preset;
    match &settings.instrument.bank {
        Some(file) => InstrumentChoice::Bank { file: file.clone(), preset },
        None => InstrumentChoice::Piano,
    }
}

/// Keeps what plays the notes.
pub fn keep_instrument(settings: &mut Settings, choice: &InstrumentChoice) {
    settings.instrument = match choice {
        InstrumentChoice::Piano => storage::Instrument::default(),
        InstrumentChoice::Bank { file, preset } => {
            storage::Instrument { bank: Some(file.clone()), preset: *preset }
        }
    };
}

/// Which sound device to use.
pub fn sound(settings: &Settings) -> SoundChoice {
    settings.sound_device.clone().map_or(SoundChoice::System, SoundChoice::Named)
}

/// How the player's touch sounds.
pub fn touch(settings: &Settings) -> Touch {
    match settings.touch {
        storage::Touch::Soft => Touch::Soft,
        storage::Touch::Even => Touch::Even,
        storage::Touch::Firm => Touch::Firm,
        storage::Touch::Same => Touch::Same,
    }
}

/// Keeps how the player's touch sounds.
pub fn keep_touch(settings: &mut Settings, touch: Touch) {
    settings.touch = match touch {
        Touch::Soft => storage::Touch::Soft,
        Touch::Even => storage::Touch::Even,
        Touch::Firm => storage::Touch::Firm,
        Touch::Same => storage::Touch::Same,
    };
}

/// What a session has to be told at the start.
pub fn session(settings: &Settings) -> [SessionCommand; 4] {
    let click = settings.click;
    let style = ClickStyle {
        accents: click.accents,
        between: match click.between {
            storage::Between::Slow => Between::WhenSlow,
            storage::Between::Always => Between::Always,
            storage::Between::Never => Between::Never,
        },
        bars: match click.bars {
            storage::ClickBars::All => ClickBars::All,
            storage::ClickBars::Other => ClickBars::EveryOther,
            storage::ClickBars::CountIn => ClickBars::CountInOnly,
        },
    };
    [
        SessionCommand::SetClick(click.on),
        SessionCommand::SetCountIn(click.count_in),
        SessionCommand::SetClickStyle(style),
        SessionCommand::SetPedal(settings.pedal),
    ]
}

/// Keeps what of a session is the player's and not the song's.
pub fn keep_session(settings: &mut Settings, session: &SessionSettings) {
    let style = session.click_style;
    settings.click = storage::Click {
        on: session.click,
        count_in: session.count_in,
        accents: style.accents,
        between: match style.between {
            Between::WhenSlow => storage::Between::Slow,
            Between::Always => storage::Between::Always,
            Between::Never => storage::Between::Never,
        },
        bars: match style.bars {
            ClickBars::All => storage::ClickBars::All,
            ClickBars::EveryOther => storage::ClickBars::Other,
            ClickBars::CountInOnly => storage::ClickBars::CountIn,
        },
    };
    settings.pedal = session.pedal;
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
        keep_touch(&mut settings, Touch::Firm);
        let bank = InstrumentChoice::Bank { file: "Grand.sf2".into(), preset: Some(3) };
        keep_instrument(&mut settings, &bank);
        assert_eq!((touch(&settings), instrument(&settings)), (Touch::Firm, bank));
        assert_eq!(view(&settings), shown);
        assert_eq!(midi(&settings), MidiChoice::Named(vec!["Stage piano".to_owned()]));
    }

    #[test]
    fn the_scale_room_comes_back_as_it_was_but_for_its_drill() {
        for kind in ArpeggioKind::ALL {
            for (subject, notes_a_beat) in Subject::ALL.into_iter().zip([1, 5, 6, 8]) {
                let chosen = Room {
                    subject,
                    scale: "Eb harmonic minor".parse().unwrap(),
                    broken: kind,
                    inversion: 2,
                    sevenths: true,
                    octaves: 3,
                    motion: Motion::Contrary,
                    notes_a_beat,
                    chords_a_beat: notes_a_beat,
                    accents: 3,
                    tempo: 84,
                    drill: Some(ui::Drill { hand: theory::Hand::Left, crossing: 0 }),
                };
                let mut settings = Settings::default();
                keep_room(&mut settings, &chosen);
                assert_eq!(room(&settings), Some(Room { drill: None, ..chosen }));
                assert_eq!(view(&settings).room, Room { drill: None, ..chosen });
            }
        }
        assert_eq!(room(&Settings::default()), None);
    }

    #[test]
    fn a_room_that_is_not_understood_is_the_plain_one() {
        let odd = storage::Room {
            practise: "the drums".into(),
            scale: "H major".into(),
            inversion: 9,
            octaves: 40,
            notes_a_beat: 7,
            chords_a_beat: 9,
            accents: 200,
            tempo: 9000,
            ..storage::Room::default()
        };
        let settings = Settings { room: Some(odd), ..Settings::default() };
        assert_eq!(room(&settings), Some(Room { tempo: Room::TEMPOS.1, ..Room::default() }));
        let empty = Settings { room: Some(storage::Room::default()), ..Settings::default() };
        assert_eq!(room(&empty), Some(Room::default()), "what a file leaves out takes its default");
    }

    #[test]
    fn the_click_comes_back_as_it_was() {
        let style = ClickStyle { accents: false, between: Between::Never, bars: ClickBars::EveryOther };
        let played =
            SessionSettings { click: false, click_style: style, pedal: true, ..SessionSettings::default() };
        let mut settings = Settings::default();
        keep_session(&mut settings, &played);
        let said = session(&settings);
        assert!(
            said.contains(&SessionCommand::SetClick(false)) && said.contains(&SessionCommand::SetPedal(true))
        );
        assert!(said.contains(&SessionCommand::SetClickStyle(style)));
    }
}
