//! What opens under a word of the control line: keys, speed, loop, hands.

use crate::keys::Ask;
use crate::plain::{self, Word};
use crate::stage::Stage;
use crate::writing::{field, key_named};
use crate::{Command, fonts};
use egui::{Order, Popup, PopupCloseBehavior, Pos2, Response, Slider, Ui, pos2, vec2};
use practice::{Hands, SessionCommand, Speed};
use theory::{Capo, Key};

/// The key of the song: all twelve as far as they are usual, or one by its name; and the singer's shapes beside it.
pub(crate) fn key(ui: &mut Ui, at: Pos2, stage: &mut Stage<'_>, word: Word<'_>) {
    let Some(part) = stage.model.part else { return };
    let name = format!("Key of the song, {}", part.key.pretty());
    let response = word.named(&name).show(ui, at, stage.palette);
    // A click into the line to type in leaves it open.
    let popup = Popup::menu(&response).close_behavior(PopupCloseBehavior::CloseOnClickOutside);
    popup.show(|ui| {
        ui.set_min_width(stage.px(170.0));
        let before = stage.out.len();
        for step in 0..12 {
            let key = nearest(part.key, step);
            let note = stage.model.written_key.filter(|k| *k == key).map(|_| ", as written").unwrap_or("");
            let text = format!("{}{note}", key.pretty());
            if entry(ui, stage, &text, None, Some(key == part.key)).clicked() {
                stage.out.push(Command::KeyOfSong(key));
            }
        }
        key_by_name(ui, stage, part.key);
        hint(ui, stage, "a semitone lower", Ask::KeyLower);
        hint(ui, stage, "a semitone higher", Ask::KeyHigher);
        capos(ui, stage, part.key);
        if stage.out.len() > before {
            ui.close();
        }
    });
}

/// A line to type a key into: `Gb`, in the mode of the song.
fn key_by_name(ui: &mut Ui, stage: &mut Stage<'_>, now: Key) {
    const NAME: &str = "Key of the song by its name";
    let typed = field::Field::line(NAME, "", "or its name: Gb").wide(160.0).done(ui, stage);
    let Some(typed) = typed.filter(|typed| !typed.trim().is_empty()) else {
        return field::wrong(ui, stage, NAME, None, false);
    };
    let read = key_named(&typed, now.mode()).and_then(|key| {
        let same = key.mode() == now.mode();
        if same { Ok(key) } else { Err(format!("The song is in {}; name such a key.", now.mode().name())) }
    });
    if let Ok(key) = read {
        stage.out.push(Command::KeyOfSong(key));
    }
    field::wrong(ui, stage, NAME, read.err(), true);
}

/// What a guitarist who sings along reads: the open shapes behind a capo.
fn capos(ui: &mut Ui, stage: &mut Stage<'_>, key: Key) {
    let now = stage.capo();
    for (way, capo) in Capo::ways(key).into_iter().enumerate().filter(|(_, capo)| capo.fret() > 0) {
        let chosen = now == Some(capo);
        if entry(ui, stage, &capo.text(), None, Some(chosen)).clicked() {
            stage.out.push(Command::Capo((!chosen).then_some(way)));
        }
    }
    hint(ui, stage, "shapes for a guitar", Ask::Capo);
}

/// Keys by semitones from C up, so that the list stays where it is.
fn nearest(key: Key, pitch_class: i32) -> Key {
    let up = (pitch_class - i32::from(key.tonic().pitch_class())).rem_euclid(12);
    if up == 0 { key } else { key.transposed(up) }
}

/// Speed: a slider and a few round values.
pub(crate) fn speed(ui: &mut Ui, at: Pos2, stage: &mut Stage<'_>, word: Word<'_>) {
    let percent = stage.model.session.settings.speed.percent();
    let name = format!("Speed, {percent:.0} percent of the chart's tempo");
    let response = word.named(&name).show(ui, at, stage.palette);
    menu(&response, stage, |ui, stage| {
        let mut value = percent;
        let range = Speed::MIN.percent()..=Speed::MAX.percent();
        let slider = Slider::new(&mut value, range).step_by(1.0).suffix(" %").text("speed");
        if ui.add(slider).changed() {
            set_speed(stage, value);
        }
        for value in [50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 110.0] {
            let text = format!("{value:.0} %");
            if entry(ui, stage, &text, None, Some((percent - value).abs() < 0.5)).clicked() {
                set_speed(stage, value);
            }
        }
        hint(ui, stage, "5 % slower", Ask::Slower);
        hint(ui, stage, "5 % faster", Ask::Faster);
    });
}

fn set_speed(stage: &mut Stage<'_>, percent: f64) {
    stage.out.push(Command::Session(SessionCommand::SetSpeed(Speed::clamped(percent.round()))));
}

/// What is repeated.
pub(crate) fn loops(ui: &mut Ui, at: Pos2, stage: &mut Stage<'_>, word: Word<'_>) {
    let looped = stage.model.session.settings.loop_bars.is_some();
    let name = format!("Loop, {}", word.text);
    let word = if looped { word.strong() } else { word };
    let response = word.named(&name).show(ui, at, stage.palette);
    menu(&response, stage, |ui, stage| {
        for (text, ask) in [
            ("this section", Ask::LoopSection),
            ("from this bar on", Ask::LoopFrom),
            ("up to this bar", Ask::LoopTo),
            ("the whole song", Ask::NoLoop),
        ] {
            if entry(ui, stage, text, Some(ask), None).clicked() {
                stage.out.extend(crate::ask::command(ask, &stage.model));
            }
        }
    });
}

/// Which hands the player takes.
pub(crate) fn hands(ui: &mut Ui, at: Pos2, stage: &mut Stage<'_>, word: Word<'_>) {
    let hands = stage.model.session.settings.hands;
    let name = format!("Hands, {}", word.text);
    let response = word.named(&name).show(ui, at, stage.palette);
    menu(&response, stage, |ui, stage| {
        for (text, ask, which) in [
            ("both hands", Ask::BothHands, Hands::Both),
            ("right hand alone, the program plays the left", Ask::RightHand, Hands::Right),
            ("left hand alone, the program plays the right", Ask::LeftHand, Hands::Left),
        ] {
            if entry(ui, stage, text, Some(ask), Some(hands == which)).clicked() {
                stage.out.push(Command::Session(SessionCommand::SetHands(which)));
            }
        }
    });
}

fn menu<'a>(response: &Response, stage: &mut Stage<'a>, content: impl FnOnce(&mut Ui, &mut Stage<'a>)) {
    Popup::menu(response).close_behavior(PopupCloseBehavior::CloseOnClick).show(|ui| {
        ui.set_min_width(stage.px(170.0));
        content(ui, stage);
    });
}

/// A line of a menu or of a page: a word with its shortcut at the right.
pub(crate) fn entry(
    ui: &mut Ui,
    stage: &Stage<'_>,
    text: &str,
    ask: Option<Ask>,
    chosen: Option<bool>,
) -> Response {
    let key = ask.map(crate::keys::written).unwrap_or_default();
    keyed(ui, stage, (text, &key), chosen, stage.px(160.0))
}

/// The same with a key of the page's own. Under each other their keys stand in one column where all are at least so wide.
pub(crate) fn keyed(
    ui: &mut Ui,
    stage: &Stage<'_>,
    (text, key): (&str, &str),
    chosen: Option<bool>,
    least: f32,
) -> Response {
    let font = fonts::sans(stage.px(16.0));
    // A menu grows with its lines; on a page there is so much room and no more.
    let room = if ui.layer_id().order == Order::Background { ui.available_width() } else { f32::INFINITY };
    let keyed = plain::width(ui.painter(), key, &fonts::sans(stage.px(13.5)));
    let shown = plain::elided(ui.painter(), text, &font, room - keyed - stage.px(28.0));
    let wide = plain::width(ui.painter(), &shown, &font) + (keyed + stage.px(36.0)).max(stage.px(60.0));
    let wide = wide.max(least).max(ui.available_width().min(stage.px(230.0))).min(room);
    let (_, rect) = ui.allocate_space(vec2(wide, stage.px(28.0)));
    let at = pos2(rect.left() + stage.px(8.0), rect.top() + stage.px(20.0));
    let name = plain::with_key(text, key);
    let word = Word { chosen, ..Word::new(&shown, font.size).named(&name) };
    let response = word.show(ui, at, stage.palette);
    let end = pos2(rect.right() - stage.px(8.0), at.y);
    plain::baseline_right(ui.painter(), end, key, fonts::sans(stage.px(13.5)), stage.palette.quiet);
    response
}

fn hint(ui: &mut Ui, stage: &Stage<'_>, text: &str, ask: Ask) {
    let (_, rect) = ui.allocate_space(vec2(stage.px(160.0), stage.px(22.0)));
    let y = rect.bottom() - stage.px(5.0);
    stage.text(ui, pos2(rect.left() + stage.px(8.0), y), text, 13.5, stage.palette.quiet);
    let font = fonts::sans(stage.px(13.5));
    let end = pos2(rect.right() - stage.px(8.0), y);
    plain::baseline_right(ui.painter(), end, &crate::keys::written(ask), font, stage.palette.quiet);
}
