//! Beside the sheet: the song as files for other programs, and as sound.

use crate::menus::entry;
use crate::pages::{heading, say};
use crate::paper_keys as keys;
use crate::stage::Stage;
use crate::{Command, PaperCommand, PaperFile, fonts};
use egui::{Rect, Role, Sense, Ui, UiBuilder, WidgetInfo, vec2};
use practice::SessionSettings;

/// Draws the column.
pub(crate) fn show(ui: &mut Ui, rect: Rect, stage: &mut Stage<'_>) {
    ui.scope_builder(UiBuilder::new().max_rect(rect), |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        heading(ui, stage, "For other programs");
        offer(ui, stage, "MIDI file", keys::MIDI, PaperFile::Midi);
        offer(ui, stage, "MusicXML", keys::SCORE, PaperFile::MusicXml);
        offer(ui, stage, "compressed", keys::COMPRESSED, PaperFile::CompressedMusicXml);
        heading(ui, stage, "As sound");
        offer(ui, stage, "WAV", keys::WAV, PaperFile::Wav);
        offer(ui, stage, "FLAC", keys::FLAC, PaperFile::Flac);
        let as_set = as_set(&stage.model.session.settings);
        say(ui, &as_set, fonts::sans(stage.px(14.0)), stage.palette.quiet);
        if let Some(share) = stage.model.paper.writing {
            progress(ui, stage, share);
        }
    });
}

fn offer(ui: &mut Ui, stage: &mut Stage<'_>, words: &str, key: &str, file: PaperFile) {
    if entry(ui, stage, &format!("{words} ({key})"), None, None).clicked() {
        stage.out.push(Command::Paper(PaperCommand::Save(file)));
    }
}

/// How far it is, and a way to stop it.
fn progress(ui: &mut Ui, stage: &mut Stage<'_>, share: f32) {
    let percent = format!("{:.0} % written", 100.0 * share);
    heading(ui, stage, &percent);
    let (_, line) = ui.allocate_space(vec2(ui.available_width(), stage.px(8.0)));
    let bar = Rect::from_min_size(line.min, vec2(line.width(), stage.px(4.0)));
    ui.painter().rect_filled(bar, 0.0, stage.palette.line);
    let done = Rect::from_min_size(bar.min, vec2(bar.width() * share.clamp(0.0, 1.0), bar.height()));
    ui.painter().rect_filled(done, 0.0, stage.palette.ink);
    let response = ui.interact(bar, ui.scope_id().with("written"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::ProgressIndicator, true, &percent));
    if entry(ui, stage, &format!("stop ({})", keys::STOP), None, None).clicked() {
        stage.out.push(Command::Paper(PaperCommand::Stop));
    }
}

/// `both hands, 80 %, bars 5 to 12, with click, as it is set now`.
fn as_set(settings: &SessionSettings) -> String {
    let hands = match settings.hands {
        practice::Hands::Both => "both hands",
        practice::Hands::Right => "the right hand",
        practice::Hands::Left => "the left hand",
    };
    let bars = settings
        .loop_bars
        .map_or(String::new(), |bars| format!(", bars {} to {}", bars.from() + 1, bars.to() + 1));
    let click = if settings.click { ", with click" } else { "" };
    format!("{hands}, {:.0} %{bars}{click}, as it is set now", settings.speed.percent())
}
