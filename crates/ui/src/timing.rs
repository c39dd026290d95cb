//! How late the sound is: taps to a click, then to a light, what they said, and how sure that is.

use crate::menus::entry;
use crate::pages::{frame, heading, say};
use crate::stage::Stage;
use crate::{Command, TapDeed, TapTo, Tapping, fonts, plain};
use egui::{Rect, Stroke, StrokeKind, Ui, UiBuilder, pos2, vec2};

/// Draws the page.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    let body = frame(ui, rect, stage, "How late the sound is");
    let split = body.left() + 0.56 * body.width();
    let words = Rect::from_min_max(body.min, pos2(split, body.bottom()));
    let place = Rect::from_min_max(pos2(split + stage.px(40.0), body.top()), body.max);
    ui.scope_builder(UiBuilder::new().max_rect(words), |ui| {
        ui.spacing_mut().item_spacing.y = stage.px(5.0);
        text(ui, stage);
    });
    light(ui, place, stage);
}

fn text(ui: &mut Ui, stage: &mut Stage<'_>) {
    let (sans, ink) = (fonts::sans(stage.px(17.0)), stage.palette.ink);
    let taps = stage.model.taps;
    let why = "Sound leaves a device a little later than it is asked for, and not every device says by how much. Two rows \
               of taps tell: tap one key of your keyboard, with one finger, to every beat. The space bar does, but less \
               exactly.";
    say(ui, why, sans.clone(), ink);
    ui.add_space(stage.px(10.0));
    row(ui, stage, "1", "to the click", TapTo::Click);
    if let Some(told) = &taps.click {
        say(ui, told, fonts::sans(stage.px(15.5)), stage.palette.quiet);
    }
    row(ui, stage, "2", "to the light", TapTo::Light);
    ui.add_space(stage.px(10.0));
    if let Some(told) = &taps.told {
        heading(ui, stage, "What was measured");
        say(ui, told, sans, ink);
    }
    set(ui, stage);
}

fn row(ui: &mut Ui, stage: &mut Stage<'_>, number: &str, words: &str, to: TapTo) {
    let taps = stage.model.taps;
    let (_, line) = ui.allocate_space(vec2(ui.available_width(), stage.px(36.0)));
    let y = line.top() + stage.px(26.0);
    plain::baseline(
        ui.painter(),
        pos2(line.left(), y),
        number,
        fonts::serif(stage.px(24.0)),
        stage.palette.ink,
    );
    let at = pos2(line.left() + stage.px(34.0), y);
    let can_begin = to == TapTo::Click || taps.has_click;
    let size = 18.0;
    match taps.tapping {
        Some(under_way) if under_way.to == to => {
            let text = format!("stop tapping {words}");
            let word = plain::Word::new(&text, stage.px(size)).strong();
            stage.offering(ui, at, &word, Command::Taps(TapDeed::Stop));
        }
        None if can_begin => {
            let text = format!("tap {words}");
            let word = plain::Word::new(&text, stage.px(size)).strong().asks(crate::keys::Ask::StartStop);
            stage.offering(ui, at, &word, Command::Taps(TapDeed::Start(to)));
        }
        _ => {
            stage.text(ui, at, &format!("tap {words}"), size, stage.palette.quiet);
        }
    }
}

/// What is set now, and what may be set. Nothing is set that the player did not ask for.
fn set(ui: &mut Ui, stage: &mut Stage<'_>) {
    let now = stage.model.devices.sound_delay_ms;
    let said = if now == 0.0 {
        "No other delay is taken off now.".to_owned()
    } else {
        format!("Now the sound is taken to come {} ms {}.", now.abs().round(), later(now))
    };
    ui.add_space(stage.px(8.0));
    let small = fonts::sans(stage.px(15.5));
    say(ui, device(stage.model.taps.device_says_ms).as_str(), small.clone(), stage.palette.quiet);
    say(ui, &said, small, stage.palette.quiet);
    if let Some(ms) = stage.model.taps.suggested_ms.map(f64::round)
        && ms != now
    {
        let text = format!("take the sound to come {} ms {}", ms.abs(), later(ms));
        if entry(ui, stage, &text, None, None).clicked() {
            stage.out.push(Command::Taps(TapDeed::SetDelay(ms)));
        }
    }
    if now != 0.0 && entry(ui, stage, "take no delay off", None, None).clicked() {
        stage.out.push(Command::Taps(TapDeed::SetDelay(0.0)));
    }
}

/// What the device says of itself.
fn device(says_ms: Option<f64>) -> String {
    match says_ms.map(|ms| ms.round() as i64) {
        None => "No sound device is open.".into(),
        Some(0) => "The device does not say how late its sound is.".into(),
        Some(ms) => {
            format!("The device says that its sound is {ms} ms late; that much is taken off already.")
        }
    }
}

fn later(ms: f64) -> &'static str {
    if ms < 0.0 { "earlier than the light" } else { "later than the light" }
}

/// The light, and how far the row has come.
fn light(ui: &Ui, place: Rect, stage: &Stage<'_>) {
    let palette = stage.palette;
    let tapping = stage.model.taps.tapping;
    let centre = pos2(place.center().x, place.top() + stage.px(170.0));
    let radius = stage.px(110.0);
    let lit = tapping.is_some_and(|t| t.to == TapTo::Light && t.lit);
    let fill = if lit { palette.ink } else { palette.page };
    let line = if tapping.is_some_and(|t| t.to == TapTo::Light) { palette.ink } else { palette.line };
    ui.painter().circle(centre, radius, fill, Stroke::new(stage.px(1.6), line));
    let Some(Tapping { to, beat, of, .. }) = tapping else { return };
    let under = pos2(centre.x, centre.y + radius + stage.px(40.0));
    let words = match to {
        TapTo::Click => "tap with the click",
        TapTo::Light => "tap with the light",
    };
    plain::baseline_centred(ui.painter(), under, words, fonts::sans(stage.px(18.0)), palette.ink);
    let track = Rect::from_center_size(under + vec2(0.0, stage.px(30.0)), vec2(2.0 * radius, stage.px(8.0)));
    let share = beat as f32 / of.max(1) as f32;
    let done = Rect::from_min_size(track.min, vec2(share * track.width(), track.height()));
    ui.painter().rect_filled(done, 0.0, palette.line);
    ui.painter().rect_stroke(track, 0.0, Stroke::new(1.0, palette.line), StrokeKind::Inside);
}
