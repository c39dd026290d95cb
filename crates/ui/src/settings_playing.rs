//! Settings of playing: click, steps, pedal, keyboard.

use crate::Command;
use crate::keys::{Ask, written};
use crate::menus::keyed;
use crate::pages::heading;
use crate::settings::{Column, choose, choose_of, heading_with_key, remark, toggle};
use crate::stage::Stage;
use egui::Ui;
use practice::{Between, ClickBars, ClickStyle, SUBDIVIDE_BELOW, SessionCommand, StepBy};
use theory::MidiKey;
use voicing::KeyRange;

/// The columns of the page.
pub(crate) const COLUMNS: [Column; 3] = [click, steps, keyboard];

fn click(ui: &mut Ui, stage: &mut Stage<'_>) {
    let settings = stage.model.session.settings;
    let style = settings.click_style;
    let styled = |style: ClickStyle| Command::Session(SessionCommand::SetClickStyle(style));
    heading(ui, stage, "Click");
    let on = Command::Session(SessionCommand::SetClick(!settings.click));
    toggle(ui, stage, "click", Ask::Click, settings.click, on);
    let count_in = Command::Session(SessionCommand::SetCountIn(!settings.count_in));
    toggle(ui, stage, "count-in", Ask::CountIn, settings.count_in, count_in);
    let accents = styled(ClickStyle { accents: !style.accents, ..style });
    choose(ui, stage, "first beat accented", style.accents, accents);
    heading(ui, stage, "Between the beats");
    let slow = format!("clicks below {SUBDIVIDE_BELOW:.0} a minute");
    for (text, between) in [
        (slow.as_str(), Between::WhenSlow),
        ("clicks always", Between::Always),
        ("no clicks", Between::Never),
    ] {
        let command = styled(ClickStyle { between, ..style });
        choose_of(ui, stage, "Between the beats", text, style.between == between, command);
    }
    heading_with_key(ui, stage, "It sounds in", &[Ask::ClickBars]);
    for (text, bars) in [
        ("all bars", ClickBars::All),
        ("every other bar", ClickBars::EveryOther),
        ("the count-in only", ClickBars::CountInOnly),
    ] {
        let command = styled(ClickStyle { bars, ..style });
        choose_of(ui, stage, "The click sounds in", text, style.bars == bars, command);
    }
    remark(ui, stage, "In the silent bars the time is yours to carry.");
}

fn steps(ui: &mut Ui, stage: &mut Stage<'_>) {
    heading_with_key(ui, stage, "One step is", &[Ask::StepSize]);
    let by = stage.model.session.settings.step_by;
    for (text, step) in [("a chord", StepBy::Chord), ("a single strike", StepBy::Strike)] {
        let command = Command::Session(SessionCommand::SetStepBy(step));
        choose_of(ui, stage, "One step is", text, by == step, command);
    }
    pages(ui, stage);
}

/// The ways to all other pages, for whoever does not know their keys yet.
fn pages(ui: &mut Ui, stage: &mut Stage<'_>) {
    heading(ui, stage, "Go to");
    let wide = stage.px(WIDE);
    for (text, ask) in [
        ("practise: what is played next", Ask::Practice),
        ("how ready the song is", Ask::Ready),
        ("the chart alone, for the stage", Ask::Stage),
        ("other ways to hold this chord", Ask::Ways),
        ("scales and chords", Ask::Room),
        ("how it went", Ask::Results),
        ("takes", Ask::Takes),
        ("write the song", Ask::Write),
        ("earlier versions of the song", Ask::Versions),
        ("a sheet to print", Ask::Paper),
        ("songs", Ask::Songs),
        ("a new song", Ask::NewSong),
        ("open a song file", Ask::OpenFile),
        ("all keys and signs", Ask::Help),
        ("close", Ask::Quit),
    ] {
        if keyed(ui, stage, (text, &written(ask)), None, wide).clicked() {
            stage.out.extend(crate::ask::command(ask, &stage.model));
        }
    }
}

/// Up to the keys, in units.
const WIDE: f32 = 350.0;

/// Keyboards by their number of keys, as they are sold (common practice, no source).
const KEYBOARDS: [(&str, u8, u8); 6] = [
    ("88 keys, A0 to C8", 21, 108),
    ("76 keys, E1 to G7", 28, 103),
    ("73 keys, E1 to E7", 28, 100),
    ("61 keys, C2 to C7", 36, 96),
    ("49 keys, C2 to C6", 36, 84),
    ("37 keys, C3 to C6", 48, 84),
];

fn keyboard(ui: &mut Ui, stage: &mut Stage<'_>) {
    heading(ui, stage, "Keyboard");
    for (text, low, high) in KEYBOARDS {
        let range =
            MidiKey::new(low).zip(MidiKey::new(high)).and_then(|(low, high)| KeyRange::new(low, high));
        if let Some(range) = range {
            choose(ui, stage, text, stage.model.settings.keys == range, Command::PlayerKeys(range));
        }
    }
    heading(ui, stage, "Pedal");
    let on = stage.model.session.settings.pedal;
    let command = Command::Session(SessionCommand::SetPedal(!on));
    toggle(ui, stage, "told and judged", Ask::Pedal, on, command);
    let marked = stage.model.part.is_some_and(|part| part.bars.iter().any(|bar| bar.played.pedal));
    remark(
        ui,
        stage,
        if marked {
            "A line under the bar shows where the foot goes down, changes and comes up; how it went says bar by bar what \
             was blurred, gapped or late."
        } else {
            "This song asks for no pedal. Where a song says \"pedal\": true, a line under the bar shows where the foot \
             goes down, changes and comes up."
        },
    );
}
