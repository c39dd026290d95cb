//! All shortcuts, in one table: handling, tooltips, accessible names and the page of keys read it.

use crate::{Command, Model, Page};
use egui::{Key, Modifiers};
use theory::MidiKey;

/// What a shortcut stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Ask {
    StartStop,
    BeatOn,
    BeatBack,
    BarOn,
    BarBack,
    First,
    Last,
    Faster,
    Slower,
    BitFaster,
    BitSlower,
    Step,
    PlayAlong,
    Listen,
    StepSize,
    BothHands,
    RightHand,
    LeftHand,
    LoopSection,
    LoopFrom,
    LoopTo,
    NoLoop,
    KeyLower,
    KeyHigher,
    Click,
    CountIn,
    Quieter,
    Louder,
    Labels,
    Capo,
    Theme,
    Keyboard,
    PianoKeys,
    Help,
    Songs,
    Room,
    Results,
    Takes,
    Timing,
    More,
    Pedal,
    ClickBars,
    Ways,
    Write,
    NewSong,
    HearHere,
    AsHeld,
    Undo,
    Redo,
    Versions,
    Back,
    OpenFile,
    Paper,
    Practice,
    Ready,
    Stage,
    Quit,
}

/// A line of the table.
#[derive(Clone, Copy, Debug)]
pub struct Shortcut {
    /// What it stands for.
    pub ask: Ask,
    /// The key.
    pub key: Key,
    /// With these held.
    pub modifiers: Modifiers,
    /// What it does, for the page of keys.
    pub words: &'static str,
}

const fn plain(ask: Ask, key: Key, words: &'static str) -> Shortcut {
    Shortcut { ask, key, modifiers: Modifiers::NONE, words }
}

const fn with(ask: Ask, modifiers: Modifiers, key: Key, words: &'static str) -> Shortcut {
    Shortcut { ask, key, modifiers, words }
}

/// The table. Where an entry has two keys, the first is the one that is shown.
pub const SHORTCUTS: &[Shortcut] = &[
    plain(Ask::StartStop, Key::Space, "start or stop; in step, the next step"),
    plain(Ask::BeatOn, Key::ArrowRight, "a beat on"),
    plain(Ask::BeatBack, Key::ArrowLeft, "a beat back"),
    plain(Ask::BarOn, Key::PageDown, "a bar on"),
    plain(Ask::BarBack, Key::PageUp, "a bar back"),
    with(Ask::BarOn, Modifiers::SHIFT, Key::ArrowRight, "a bar on"),
    with(Ask::BarBack, Modifiers::SHIFT, Key::ArrowLeft, "a bar back"),
    plain(Ask::First, Key::Home, "to the first bar"),
    plain(Ask::Last, Key::End, "to the last bar"),
    plain(Ask::Faster, Key::ArrowUp, "5 % faster"),
    plain(Ask::Slower, Key::ArrowDown, "5 % slower"),
    with(Ask::BitFaster, Modifiers::SHIFT, Key::ArrowUp, "1 % faster"),
    with(Ask::BitSlower, Modifiers::SHIFT, Key::ArrowDown, "1 % slower"),
    plain(Ask::Step, Key::Num1, "step at your own pace"),
    plain(Ask::PlayAlong, Key::Num2, "play along"),
    plain(Ask::Listen, Key::Num3, "listen"),
    plain(Ask::StepSize, Key::G, "step by chord or by strike"),
    plain(Ask::BothHands, Key::B, "both hands"),
    plain(Ask::RightHand, Key::R, "right hand alone"),
    plain(Ask::LeftHand, Key::L, "left hand alone"),
    plain(Ask::LoopSection, Key::O, "loop this section"),
    plain(Ask::LoopFrom, Key::OpenBracket, "loop from this bar"),
    plain(Ask::LoopTo, Key::CloseBracket, "loop to this bar"),
    plain(Ask::NoLoop, Key::Backspace, "no loop"),
    plain(Ask::KeyLower, Key::Comma, "the song a semitone lower"),
    plain(Ask::KeyHigher, Key::Period, "the song a semitone higher"),
    plain(Ask::Click, Key::C, "click on or off"),
    plain(Ask::CountIn, Key::I, "count-in on or off"),
    plain(Ask::ClickBars, Key::V, "in which bars the click sounds"),
    plain(Ask::Pedal, Key::P, "pedal told and judged, or not"),
    plain(Ask::Quieter, Key::Minus, "quieter"),
    plain(Ask::Louder, Key::Equals, "louder"),
    plain(Ask::Labels, Key::N, "numbers, names or both"),
    plain(Ask::Capo, Key::S, "shapes for a guitar with a capo, or none"),
    plain(Ask::Theme, Key::D, "day or night"),
    plain(Ask::Keyboard, Key::K, "which keys are drawn"),
    plain(Ask::PianoKeys, Key::F2, "play notes on this keyboard's letters"),
    plain(Ask::Help, Key::F1, "all keys and signs"),
    with(Ask::Help, Modifiers::SHIFT, Key::Questionmark, "all keys and signs"),
    plain(Ask::Songs, Key::F3, "songs"),
    plain(Ask::Room, Key::F4, "scales and chords"),
    plain(Ask::Results, Key::F5, "how it went"),
    plain(Ask::More, Key::F6, "settings"),
    plain(Ask::Takes, Key::F7, "takes"),
    plain(Ask::Timing, Key::F8, "how late the sound is"),
    plain(Ask::Ways, Key::F9, "other ways to hold this chord"),
    plain(Ask::AsHeld, Key::F10, "pin this chord as I hold it"),
    plain(Ask::Practice, Key::F11, "practise: what is played next"),
    plain(Ask::Ready, Key::F12, "how ready the song is"),
    with(Ask::Stage, Modifiers::SHIFT, Key::F11, "the chart alone, for the stage"),
    plain(Ask::Back, Key::Escape, "back to the song"),
    with(Ask::Write, Modifiers::COMMAND, Key::E, "write the song"),
    with(Ask::NewSong, Modifiers::COMMAND, Key::N, "a new song"),
    with(Ask::HearHere, Modifiers::COMMAND, Key::Enter, "hear it from this bar, or stop"),
    with(Ask::OpenFile, Modifiers::COMMAND, Key::O, "open a song file"),
    with(Ask::Paper, Modifiers::COMMAND, Key::P, "a sheet to print"),
    with(Ask::Undo, Modifiers::COMMAND, Key::Z, "undo a change of the song"),
    with(Ask::Redo, Modifiers::COMMAND, Key::Y, "redo it"),
    with(Ask::Versions, Modifiers::COMMAND, Key::H, "how the song was: earlier versions"),
    with(Ask::Quit, Modifiers::COMMAND, Key::Q, "close"),
];

/// How a shortcut is written in tooltips and names: `Space`, `Ctrl+O`.
pub fn written(ask: Ask) -> String {
    SHORTCUTS.iter().find(|s| s.ask == ask).map(label).unwrap_or_default()
}

/// One line of the table as a person reads it.
pub fn label(shortcut: &Shortcut) -> String {
    let key = match shortcut.key {
        Key::ArrowLeft => "←",
        Key::ArrowRight => "→",
        Key::ArrowUp => "↑",
        Key::ArrowDown => "↓",
        Key::Escape => "Esc",
        Key::PageUp => "Page Up",
        Key::PageDown => "Page Down",
        Key::Equals => "+",
        key => key.symbol_or_name(),
    };
    let m = shortcut.modifiers;
    let prefix = if shortcut.key == Key::Questionmark {
        // Where it needs Shift, its own sign says so.
        ""
    } else if m.command {
        "Ctrl+"
    } else if m.shift {
        "Shift+"
    } else {
        ""
    };
    format!("{prefix}{key}")
}

/// The commands that this frame's key presses ask for.
pub(crate) fn handle(ui: &egui::Ui, model: &Model<'_>, out: &mut Vec<Command>) {
    let focused = ui.memory(|m| m.focused().is_some());
    let typing = ui.ctx().text_edit_focused() || crate::writing::side_keys::in_a_cell(ui);
    let lost_focus = ui.input(|i| i.events.iter().any(|e| matches!(e, egui::Event::WindowFocused(false))));
    if lost_focus {
        out.push(Command::KeysUp);
    }
    let events = ui.input(|i| i.events.clone());
    for event in &events {
        let egui::Event::Key { key, physical_key, pressed, repeat, modifiers } = event else { continue };
        if model.view.piano_keys && modifiers.is_none() && !typing {
            if let Some(note) = piano_note(physical_key.unwrap_or(*key), model.view.piano_octave) {
                match (pressed, repeat) {
                    (true, false) => out.push(Command::KeyDown(note, 80)),
                    (true, true) => {}
                    (false, _) => out.push(Command::KeyUp(note)),
                }
                continue;
            }
            if *pressed && let Some(octave) = octave_step(*key) {
                out.push(Command::KeysUp);
                out.push(Command::PianoOctave((model.view.piano_octave + octave).clamp(1, 6)));
                continue;
            }
        }
        // It leaves a line at the side or what is looked for before it leaves the page.
        let writes = model.view.page == Page::Writing && model.writing.is_some();
        let looks = writes && model.view.writing.find.is_some();
        if *key == Key::Escape && (looks || crate::writing::side_keys::was_typing(ui)) {
            continue;
        }
        let typed = typing && !of_the_window(*key, *modifiers);
        // Where a song is written these lead into its rows.
        let to_rows = model.view.page == Page::Writing && matches!(key, Key::ArrowUp | Key::ArrowDown);
        let taken = to_rows && modifiers.is_none() || focused && belongs_to_focus(*key, *modifiers);
        if *pressed && !typed && !taken {
            out.extend(command_for(*key, *modifiers, *repeat, model));
        }
    }
}

/// A focused control takes these keys itself.
fn belongs_to_focus(key: Key, modifiers: Modifiers) -> bool {
    use Key::{ArrowDown, ArrowLeft, ArrowRight, ArrowUp, Enter, Space};
    !modifiers.command && matches!(key, Space | Enter | ArrowLeft | ArrowRight | ArrowUp | ArrowDown)
}

/// While something is typed these keys are still the window's; all others write.
fn of_the_window(key: Key, modifiers: Modifiers) -> bool {
    let names = key.name();
    let function = names.len() > 1 && names.starts_with('F') && names[1..].parse::<u8>().is_ok();
    let written = matches!(key, Key::A | Key::C | Key::V | Key::X)
        || matches!(
            key,
            Key::ArrowLeft | Key::ArrowRight | Key::Backspace | Key::Delete | Key::Home | Key::End
        );
    function && modifiers.is_none() || modifiers.command && !written
}

fn command_for(key: Key, modifiers: Modifiers, repeat: bool, model: &Model<'_>) -> Option<Command> {
    let key = if key == Key::Plus { Key::Equals } else { key };
    let of_page = crate::room_keys::command(key, modifiers, model);
    let of_page = of_page.or_else(|| crate::writing::side_keys::command(key, modifiers, model));
    let of_page = of_page.or_else(|| crate::paper_keys::command(key, modifiers, model));
    let of_page = of_page.or_else(|| crate::practice::keys::command(key, modifiers, model));
    let of_page = of_page.or_else(|| crate::page_keys::command(key, modifiers, model));
    if let Some(command) = of_page.or_else(|| crate::choice_keys::command(key, modifiers, model)) {
        return Some(command);
    }
    let shortcut = SHORTCUTS.iter().find(|s| s.key == key && modifiers.matches_exact(s.modifiers))?;
    if repeat && !repeats(shortcut.ask) {
        return None;
    }
    crate::ask::command(shortcut.ask, model)
}

/// Held keys walk and change speed; they do not start and stop again.
fn repeats(ask: Ask) -> bool {
    use Ask::{BarBack, BarOn, BeatBack, BeatOn, BitFaster, BitSlower, Faster, Louder, Quieter, Slower};
    matches!(
        ask,
        BeatOn | BeatBack | BarOn | BarBack | Faster | Slower | BitFaster | BitSlower | Louder | Quieter
    )
}

fn octave_step(key: Key) -> Option<i8> {
    match key {
        Key::Minus => Some(-1),
        Key::Equals | Key::Plus => Some(1),
        _ => None,
    }
}

const LOWER_ROW: [Key; 17] = [
    Key::Z,
    Key::S,
    Key::X,
    Key::D,
    Key::C,
    Key::V,
    Key::G,
    Key::B,
    Key::H,
    Key::N,
    Key::J,
    Key::M,
    Key::Comma,
    Key::L,
    Key::Period,
    Key::Semicolon,
    Key::Slash,
];

const UPPER_ROW: [Key; 17] = [
    Key::Q,
    Key::Num2,
    Key::W,
    Key::Num3,
    Key::E,
    Key::R,
    Key::Num5,
    Key::T,
    Key::Num6,
    Key::Y,
    Key::Num7,
    Key::U,
    Key::I,
    Key::Num9,
    Key::O,
    Key::Num0,
    Key::P,
];

/// The note of a computer key by its place, as two rows of piano keys: the lower row from C of the given octave, the
/// upper one an octave higher.
pub fn piano_note(key: Key, octave: i8) -> Option<MidiKey> {
    let lower = LOWER_ROW.iter().position(|k| *k == key);
    let upper = || UPPER_ROW.iter().position(|k| *k == key).map(|at| at + 12);
    let at = lower.or_else(upper)?;
    u8::try_from(12 * (i32::from(octave) + 1) + at as i32).ok().and_then(MidiKey::new)
}

/// The computer key that plays a note, the upper row first: what [`piano_note`] turns round.
pub(crate) fn piano_letter(note: MidiKey, octave: i8) -> Option<&'static str> {
    let mut rows = UPPER_ROW.iter().chain(&LOWER_ROW);
    rows.find(|key| piano_note(**key, octave) == Some(note)).map(|key| key.symbol_or_name())
}

/// Whether a page may be left with [`Ask::Back`].
pub(crate) fn can_go_back(page: Page) -> bool {
    page != Page::Song
}
