//! Settings of the part: how full it is, the band, each hand's reach, the singer.

use crate::Command;
use crate::pages::heading;
use crate::plain::Word;
use crate::settings::{Column, choose, choose_of, remark};
use crate::stage::Stage;
use egui::{Ui, pos2, vec2};
use theory::{Hand, MidiKey};
use voicing::{KeySpan, Level, Reach, Settings};

/// The columns of the page.
pub(crate) const COLUMNS: [Column; 3] = [level_and_band, reach, singer];

const LEVELS: [(&str, Option<u8>); 6] = [
    ("as the song says", None),
    ("1, simplest: held roots under two notes", Some(1)),
    ("2, sparse", Some(2)),
    ("3, in the middle", Some(3)),
    ("4, full", Some(4)),
    ("5, fullest: octaves or tenths under four", Some(5)),
];

fn level_and_band(ui: &mut Ui, stage: &mut Stage<'_>) {
    let settings = *stage.model.settings;
    heading(ui, stage, "How full the hands play");
    for (text, level) in LEVELS {
        let level = level.and_then(Level::new);
        let command = Command::Player(Settings { level, ..settings });
        choose_of(ui, stage, "How full", text, settings.level == level, command);
    }
    let steps = [Command::Fuller(false), Command::Fuller(true)];
    stepper(ui, stage, ("The whole song", "the whole song"), ["simpler", "fuller"], steps);
    remark(ui, stage, "Sections stay as far from it as the song has them; what the song writes out stays.");
    heading(ui, stage, "Bass player");
    for (text, bass) in
        [("as the song says", None), ("one plays along", Some(true)), ("there is none", Some(false))]
    {
        let command = Command::Player(Settings { bass, ..settings });
        choose_of(ui, stage, "Bass player", text, settings.bass == bass, command);
    }
    let floor = settings.left_floor;
    let steps =
        moved(floor).map(|key| Command::Player(Settings { left_floor: key.unwrap_or(floor), ..settings }));
    let text = format!("left hand from {}", floor.pitch());
    stepper(ui, stage, ("Lowest note beside a bass player", &text), MOVES, steps);
}

/// Reaches by name, in semitones.
const REACHES: [(&str, u8); 6] = [
    ("a sixth", 9),
    ("a seventh", 11),
    ("an octave", 12),
    ("a ninth", 14),
    ("a tenth", 16),
    ("more than a tenth", 19),
];

fn reach(ui: &mut Ui, stage: &mut Stage<'_>) {
    let settings = *stage.model.settings;
    heading(ui, stage, "One hand reaches");
    let both = (settings.reach == settings.left_reach).then_some(settings.reach);
    for (text, semitones) in REACHES {
        if let Some(reach) = Reach::new(semitones) {
            let command = Command::Player(settings.with_reach(reach));
            choose(ui, stage, text, both == Some(reach), command);
        }
    }
    for hand in Hand::BOTH {
        let now = settings.reach_of(hand);
        let step = |by: i8| {
            let reach = now.semitones().checked_add_signed(by).and_then(Reach::new).unwrap_or(now);
            Command::Player(match hand {
                Hand::Right => Settings { reach, ..settings },
                Hand::Left => Settings { left_reach: reach, ..settings },
            })
        };
        let of = format!("The {} hand reaches", hand.name());
        let text = format!("{} hand: {} semitones, {}", hand.name(), now.semitones(), now.white_keys());
        stepper(ui, stage, (&of, &text), MOVES, [step(-1), step(1)]);
    }
    remark(
        ui,
        stage,
        "What lies comfortably under the hand, not what it can be stretched to. Never force a stretch; where it hurts, \
         choose less, and ask a teacher or a clinician.",
    );
}

/// Singers' ranges as choirs name them (common practice, no source).
const VOICES: [(&str, u8, u8); 6] = [
    ("bass, E2 to E4", 40, 64),
    ("baritone, A2 to A4", 45, 69),
    ("tenor, C3 to C5", 48, 72),
    ("alto, F3 to F5", 53, 77),
    ("mezzo-soprano, A3 to A5", 57, 81),
    ("soprano, C4 to C6", 60, 84),
];

fn singer(ui: &mut Ui, stage: &mut Stage<'_>) {
    let settings = *stage.model.settings;
    heading(ui, stage, "The singer");
    let sung = |voice| Command::Player(Settings { voice, ..settings });
    choose_of(
        ui,
        stage,
        "The singer",
        "none to stay out of the way of",
        settings.voice.is_none(),
        sung(None),
    );
    for (text, low, high) in VOICES {
        let voice = MidiKey::new(low).zip(MidiKey::new(high)).and_then(|(low, high)| KeySpan::new(low, high));
        choose_of(ui, stage, "The singer", text, settings.voice == voice, sung(voice));
    }
    let Some(voice) = settings.voice else { return };
    let low = moved(voice.low()).map(|key| key.and_then(|low| KeySpan::new(low, voice.high())));
    let high = moved(voice.high()).map(|key| key.and_then(|high| KeySpan::new(voice.low(), high)));
    for (name, key, ends) in
        [("Lowest note of the singer", voice.low(), low), ("Highest note of the singer", voice.high(), high)]
    {
        let side = if key == voice.low() { "from" } else { "up to" };
        let steps = ends.map(|end| sung(Some(end.unwrap_or(voice))));
        stepper(ui, stage, (name, &format!("{side} {}", key.pitch())), MOVES, steps);
    }
    remark(ui, stage, "The right hand's highest notes stay out of it where they can.");
}

/// A key one lower and one higher.
fn moved(key: MidiKey) -> [Option<MidiKey>; 2] {
    [-1, 1].map(|by| key.number().checked_add_signed(by).and_then(MidiKey::new))
}

/// The words of most ways down and up.
const MOVES: [&str; 2] = ["less", "more"];

/// A value, its name and what it is, with a way down and a way up.
fn stepper(
    ui: &mut Ui,
    stage: &mut Stage<'_>,
    (name, text): (&str, &str),
    [less, more]: [&str; 2],
    [down, up]: [Command; 2],
) {
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(28.0)));
    let mut at = pos2(rect.left() + stage.px(8.0), rect.top() + stage.px(20.0));
    at.x = stage.text(ui, at, text, 15.0, stage.palette.ink).right() + stage.px(16.0);
    for (word, command) in [(less, down), (more, up)] {
        let full = format!("{name}: {word}");
        let word = Word::new(word, stage.px(15.0)).named(&full);
        at.x = stage.offering(ui, at, &word, command).rect.right() + stage.px(12.0);
    }
}
