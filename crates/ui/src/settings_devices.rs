//! Settings of MIDI, sound and the instrument.

use crate::keys::Ask;
use crate::menus::entry;
use crate::pages::heading;
use crate::plain::Word;
use crate::settings::{Column, choose_of, heading_with_key, remark};
use crate::stage::Stage;
use crate::{Command, Instrument, Page, Touch, Voice};
use egui::{Pos2, Rect, Sense, Stroke, StrokeKind, Ui, pos2, vec2};

/// The columns of the page.
pub(crate) const COLUMNS: [Column; 3] = [midi, sound, instrument];

fn midi(ui: &mut Ui, stage: &mut Stage<'_>) {
    let devices = stage.model.devices;
    heading(ui, stage, "MIDI keyboard");
    let of = "MIDI keyboard";
    choose_of(ui, stage, of, "every one there is", devices.every_midi_port, Command::EveryMidiPort);
    for port in &devices.midi_ports {
        let chosen = !devices.every_midi_port && devices.midi_port.as_ref() == Some(port);
        choose_of(ui, stage, of, port, chosen, Command::MidiPort(Some(port.clone())));
    }
    let none = !devices.every_midi_port && devices.midi_port.is_none();
    choose_of(ui, stage, of, "none", none, Command::MidiPort(None));
    heading(ui, stage, "MIDI channel");
    channels(ui, stage);
    heading(ui, stage, "Touch");
    for touch in Touch::ALL {
        choose_of(ui, stage, "Touch", touch.words(), devices.touch == touch, Command::Touch(touch));
    }
    ui.add_space(stage.px(8.0));
    if entry(ui, stage, "look for devices again", None, None).clicked() {
        stage.out.push(Command::LookForDevices);
    }
}

/// `all`, and the sixteen channels in two lines.
fn channels(ui: &mut Ui, stage: &mut Stage<'_>) {
    let chosen = stage.model.devices.channel;
    choose_of(ui, stage, "MIDI channel", "all", chosen.is_none(), Command::Channel(None));
    for line in [1..=8_u8, 9..=16] {
        let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(28.0)));
        for channel in line.clone() {
            let x = stage.px(8.0 + 38.0 * f32::from(channel - line.start()));
            let name = format!("MIDI channel: {channel}");
            let at = rect.left_top() + vec2(x, stage.px(20.0));
            let word = Number { value: channel.into(), name: &name, chosen: chosen == Some(channel) };
            word.offer(ui, at, stage, Command::Channel(Some(channel)));
        }
    }
}

/// A number among others in a line.
struct Number<'a> {
    value: u32,
    name: &'a str,
    chosen: bool,
}

impl Number<'_> {
    fn offer(&self, ui: &mut Ui, at: Pos2, stage: &mut Stage<'_>, command: Command) {
        let text = self.value.to_string();
        let word = Word::new(&text, stage.px(16.0)).named(self.name).chosen(self.chosen);
        stage.offering(ui, at, &word, command);
    }
}

/// How many frames are asked for at a time.
fn buffers(ui: &mut Ui, stage: &mut Stage<'_>) {
    let devices = stage.model.devices;
    heading(ui, stage, "Frames in a block of sound");
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(28.0)));
    for (at, frames) in devices.buffers.iter().copied().enumerate() {
        let place = rect.left_top() + vec2(stage.px(8.0 + 58.0 * at as f32), stage.px(20.0));
        let name = format!("Frames in a block of sound: {frames}");
        let word = Number { value: frames, name: &name, chosen: devices.buffer == frames };
        word.offer(ui, place, stage, Command::Buffer(frames));
    }
    remark(ui, stage, "Fewer: your keys sound sooner. More: nothing stumbles on a busy computer.");
}

fn sound(ui: &mut Ui, stage: &mut Stage<'_>) {
    let devices = stage.model.devices;
    heading(ui, stage, "Sound device");
    let of = "Sound device";
    let own = devices.sound_output.is_none();
    choose_of(ui, stage, of, "the system's own", own, Command::SoundOutput(None));
    for output in &devices.sound_outputs {
        let chosen = devices.sound_output.as_ref() == Some(output);
        choose_of(ui, stage, of, output, chosen, Command::SoundOutput(Some(output.clone())));
    }
    match &devices.sound {
        Some(sound) => remark(ui, stage, &format!("Playing: {sound}")),
        None => remark(ui, stage, "No sound device is open; all else works."),
    }
    buffers(ui, stage);
    heading_with_key(ui, stage, "Volumes", &[Ask::Quieter, Ask::Louder]);
    if let Some(value) = volume(ui, stage, "everything", devices.volume) {
        stage.out.push(Command::Volume(value));
    }
    for voice in Voice::ALL {
        if let Some(value) = volume(ui, stage, voice.name(), devices.volumes[voice.index()]) {
            stage.out.push(Command::VolumeOf(voice, value));
        }
    }
    remark(ui, stage, "Keep it moderate, above all in headphones.");
    heading(ui, stage, "Delay");
    if entry(ui, stage, "how late the sound is", Some(Ask::Timing), None).clicked() {
        stage.out.push(Command::Show(Page::Timing));
    }
}

/// One press on `−` or `+`.
const STEP: f32 = 0.05;

/// A volume: its name, `−`, a bar that can be drawn along, `+`, and the percent; the new volume, if it was moved.
fn volume(ui: &mut Ui, stage: &mut Stage<'_>, name: &str, value: f32) -> Option<f32> {
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), stage.px(29.0)));
    let y = rect.top() + stage.px(20.0);
    let x = |units: f32| rect.left() + stage.px(units);
    stage.text(ui, pos2(x(8.0), y), name, 16.0, stage.palette.ink);
    let mut moved = None;
    for (sign, way, at, by) in [("−", "quieter", 134.0, -STEP), ("+", "louder", 286.0, STEP)] {
        let name = format!("{name} {way}");
        let word = Word::new(sign, stage.px(18.0)).named(&name).strong();
        if word.show(ui, pos2(x(at), y), stage.palette).clicked() {
            moved = Some(((value + by) / STEP).round() * STEP);
        }
    }
    let bar = Rect::from_min_max(pos2(x(156.0), y - stage.px(14.0)), pos2(x(276.0), y + stage.px(2.0)));
    let label = format!("volume of {name}");
    // The words beside it are for the keyboard.
    let response = ui.interact(bar, ui.scope_id().with(&label), Sense::CLICK | Sense::DRAG);
    response.widget_info(|| egui::WidgetInfo::slider(true, f64::from(value), &label));
    if let Some(place) = response.interact_pointer_pos() {
        let share = (place.x - bar.left()) / bar.width();
        let wanted = (share.clamp(0.0, 1.0) * 100.0).round() / 100.0;
        moved = (wanted != value).then_some(wanted).or(moved);
    }
    let line = Rect::from_center_size(bar.center(), vec2(bar.width(), stage.px(6.0)));
    let filled = Rect::from_min_size(line.min, vec2(value * line.width(), line.height()));
    ui.painter().rect_filled(filled, 0.0, stage.palette.ink);
    ui.painter().rect_stroke(line, 0.0, Stroke::new(1.0, stage.palette.line), StrokeKind::Inside);
    let percent = format!("{:.0} %", 100.0 * value);
    stage.text(ui, pos2(x(308.0), y), &percent, 14.5, stage.palette.quiet);
    moved.map(|value| value.clamp(0.0, 1.0))
}

fn instrument(ui: &mut Ui, stage: &mut Stage<'_>) {
    let devices = stage.model.devices;
    heading(ui, stage, "Instrument");
    let of = "Instrument";
    let piano = devices.bank.is_none();
    choose_of(ui, stage, of, "the built-in piano", piano, Command::Instrument(Instrument::Piano));
    for (at, bank) in devices.banks.iter().enumerate() {
        let chosen = devices.bank.as_ref() == Some(bank);
        choose_of(ui, stage, of, bank, chosen, Command::Instrument(Instrument::Bank(at)));
    }
    if entry(ui, stage, "another SoundFont bank", None, None).clicked() {
        stage.out.push(Command::Instrument(Instrument::File));
    }
    if devices.banks.is_empty() && piano {
        remark(ui, stage, "SoundFont 2 banks in the system's usual folders are listed here.");
    }
    if !devices.presets.is_empty() {
        heading(ui, stage, "Preset");
    }
    for (at, preset) in devices.presets.iter().enumerate() {
        let command = Command::Instrument(Instrument::Preset(at));
        choose_of(ui, stage, "Preset", preset, devices.preset == Some(at), command);
    }
}
